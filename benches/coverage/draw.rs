//! Draws from the laws that synthetic seasons are made of.

use windrow::estimate::Random;

/// Gamma with the given mean and coefficient of variation.
///
/// Source: Marsaglia & Tsang 2000, "A simple method for generating gamma variables", ACM
/// Transactions on Mathematical Software 26 (from memory).
pub fn gamma(random: &mut Random, mean: f64, variation: f64) -> f64 {
    let shape = 1.0 / (variation * variation);
    // Below shape 1 the method is used one shape higher and scaled back.
    let raised = if shape < 1.0 { shape + 1.0 } else { shape };
    let d = raised - 1.0 / 3.0;
    let c = 1.0 / (9.0 * d).sqrt();
    let unit = loop {
        let x = random.normal();
        let v = (1.0 + c * x).powi(3);
        if v > 0.0 && random.uniform().ln() < 0.5 * x * x + d - d * v + d * v.ln() {
            break d * v;
        }
    };
    let boost = if shape < 1.0 {
        random.uniform().powf(1.0 / shape)
    } else {
        1.0
    };
    unit * boost * mean / shape
}

/// Log-normal with the given mean and coefficient of variation.
pub fn log_normal(random: &mut Random, mean: f64, variation: f64) -> f64 {
    let spread = (1.0 + variation * variation).ln();
    mean * (spread.sqrt() * random.normal() - 0.5 * spread).exp()
}

/// Poisson, by counting exponential gaps; means above 30 are split in halves.
pub fn poisson(random: &mut Random, mean: f64) -> u64 {
    if mean > 30.0 {
        let half = 0.5 * mean;
        return poisson(random, half) + poisson(random, half);
    }
    let limit = (-mean).exp();
    let mut product = random.uniform();
    let mut count = 0;
    while product > limit {
        product *= random.uniform();
        count += 1;
    }
    count
}

/// Negative binomial with the given mean and exponent k.
pub fn clumped(random: &mut Random, mean: f64, k: f64) -> u64 {
    let rate = gamma(random, mean, 1.0 / k.sqrt());
    poisson(random, rate)
}

/// Successes among `trials`, one by one.
pub fn binomial(random: &mut Random, trials: u64, chance: f64) -> u64 {
    (0..trials)
        .map(|_| u64::from(random.uniform() < chance))
        .sum()
}

/// A random choice of `size` places out of `all`, without replacement.
pub fn choice(random: &mut Random, all: usize, size: usize) -> Vec<usize> {
    let mut places: Vec<usize> = (0..all).collect();
    for place in 0..size.min(all) {
        let other = place + random.below(all - place);
        places.swap(place, other);
    }
    places.truncate(size);
    places
}
