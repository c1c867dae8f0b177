//! Bootstrap-t interval on the log scale for a rate per unit of effort.
//!
//! Takes clusters, a number of resamples and a seed; gives the rate with an interval that needs
//! no table of t but learns the shape of the studentised rate from the data.

use super::number::check_level;
use super::random::Random;
use super::rate::{Cluster, Sums};
use super::{Estimate, Interval, Outcome, Refusal};
use crate::words;

/// Below this the resamples of so few clusters repeat each other too much.
const FEWEST_CLUSTERS: usize = 5;
/// Fewer resamples leave the tails of a 95 % interval to chance; more cost time for nothing.
const RESAMPLES: std::ops::RangeInclusive<usize> = 199..=100_000;
/// If more resamples than this share are without spread or amount, their tails mean little.
const MOST_UNUSABLE: f64 = 0.05;

/// Ratio of sums as in [`super::rate`], with the bootstrap-t interval of its logarithm:
/// clusters are drawn with replacement, each resample is studentised by its own jackknife
/// standard error, and the quantiles of that replace Student's t.
///
/// Measured, it covers .90 to .96 and is no better than the interval of [`super::rate`], which
/// should be preferred; it stands for comparison.
///
/// `resamples` from 199 to 100,000; the same `seed` gives the same result. Refuses what
/// [`super::rate`] refuses, and fewer than five clusters.
///
/// Source: Efron & Tibshirani 1993, An Introduction to the Bootstrap, section 12.5 (from
/// memory); log scale: measured, see `docs/methods.md`.
pub fn rate_bootstrap(clusters: &[Cluster], resamples: usize, seed: u64, level: f64) -> Outcome {
    check_level(level)?;
    let sums = Sums::of(clusters)?;
    if clusters.len() < FEWEST_CLUSTERS {
        return Err(Refusal::new(words!(
            "Redrawing the observations needs at least {fewest_clusters} of them.",
            fewest_clusters = FEWEST_CLUSTERS
        )));
    }
    if !RESAMPLES.contains(&resamples) {
        return Err(Refusal::new(words!(
            "The number of redraws must lie between 199 and 100,000."
        )));
    }
    /// Draws in all; bounds the work.
    const MOST_DRAWS: usize = 50_000_000;
    if clusters.len().saturating_mul(resamples) > MOST_DRAWS {
        return Err(Refusal::new(words!(
            "There are too many observations to be redrawn that often."
        )));
    }
    let mut estimate = Estimate::bare(
        sums.ratio,
        clusters.len(),
        words!("ratio of sums; no standard error"),
    );
    let Some(error) = sums.variance.map(f64::sqrt).filter(|_| sums.amount > 0.0) else {
        estimate.caution.push(words!(
            "The observations show no spread, so there is no interval."
        ));
        return estimate.checked();
    };
    estimate.standard_error = Some(error);
    let mut studentised = studentised(clusters, &sums, resamples, seed);
    if (studentised.len() as f64) < (1.0 - MOST_UNUSABLE) * resamples as f64 {
        estimate.caution.push(words!(
            "Too many redraws hold nothing or show no spread: there is no interval."
        ));
        return estimate.checked();
    }
    studentised.sort_by(f64::total_cmp);
    let tail = 0.5 * (1.0 - level);
    let relative = error / sums.ratio;
    let at = |probability| quantile(&studentised, probability);
    if let (Some(low), Some(high)) = (at(tail), at(1.0 - tail)) {
        estimate.interval = Some(Interval {
            lower: (sums.ratio * (-high * relative).exp()).min(sums.ratio),
            upper: (sums.ratio * (-low * relative).exp()).max(sums.ratio),
            level,
        });
        if estimate.interval.is_some_and(|i| !i.upper.is_finite()) {
            estimate.interval = None;
            estimate.caution.push(words!(
                "The uncertainty is so large that no interval can be computed."
            ));
        }
    }
    estimate.caution.push(words!(
        "Approximate: on trial data this interval held the truth in 90 to 96 of 100 cases instead \
         of 95."
    ));
    estimate.method = words!(
        "ratio of sums; standard error jackknife between observations; bootstrap-t interval on \
         the log scale, {resamples} redraws, seed {seed}",
        resamples = resamples.to_string(),
        seed = seed.to_string()
    );
    estimate.checked()
}

/// (ln R* − ln R) ÷ (standard error of ln R*) of every usable resample.
fn studentised(clusters: &[Cluster], sums: &Sums, resamples: usize, seed: u64) -> Vec<f64> {
    // A fixed order first, so that the order of the input changes nothing.
    let mut pool = clusters.to_vec();
    pool.sort_by(|a, b| {
        a.amount
            .total_cmp(&b.amount)
            .then(a.effort.total_cmp(&b.effort))
    });
    let mut random = Random::seeded(seed);
    let mut drawn = pool.clone();
    let mut found = Vec::with_capacity(resamples);
    for _ in 0..resamples {
        for place in &mut drawn {
            if let Some(cluster) = pool.get(random.below(pool.len())) {
                *place = *cluster;
            }
        }
        let again = Sums::unchecked(&drawn);
        let Some(variance) = again.variance else {
            continue;
        };
        let t = (again.ratio / sums.ratio).ln() / (variance.sqrt() / again.ratio);
        if t.is_finite() {
            found.push(t);
        }
    }
    found
}

/// Quantile of sorted values by linear interpolation at (n + 1)p, held within the ends.
pub(super) fn quantile(sorted: &[f64], probability: f64) -> Option<f64> {
    let position = (probability * (sorted.len() as f64 + 1.0) - 1.0)
        .clamp(0.0, sorted.len().saturating_sub(1) as f64);
    let below = position.floor() as usize;
    let low = *sorted.get(below)?;
    let high = *sorted.get(below + 1).unwrap_or(&low);
    Some(low + (position - below as f64) * (high - low))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::estimate::rate;
    use crate::estimate::reference::*;

    fn cities() -> Vec<Cluster> {
        reals(&CITIES_1930)
            .into_iter()
            .zip(reals(&CITIES_1920))
            .map(|(amount, effort)| Cluster { amount, effort })
            .collect()
    }

    /// With 49 clusters the bootstrap-t must come near the t interval of the same rate, and the
    /// ratio is Cochran's 1.2390186 (1977, chapter 6; data of R boot).
    #[test]
    fn with_many_clusters_it_agrees_with_the_t_interval() {
        let found = rate_bootstrap(&cities(), 4999, 7, 0.95).unwrap();
        assert!((found.value - 1.239_018_6).abs() < 1e-7);
        let (boot, log_t) = (
            found.interval.unwrap(),
            rate(&cities(), 0.0, 0.95).unwrap().interval.unwrap(),
        );
        assert!(
            (boot.lower / log_t.lower - 1.0).abs() < 0.03,
            "{boot:?} {log_t:?}"
        );
        assert!(
            (boot.upper / log_t.upper - 1.0).abs() < 0.03,
            "{boot:?} {log_t:?}"
        );
    }

    #[test]
    fn the_seed_and_nothing_else_decides() {
        let mut turned = cities();
        turned.reverse();
        let one = rate_bootstrap(&cities(), 499, 7, 0.95).unwrap();
        assert_eq!(one, rate_bootstrap(&turned, 499, 7, 0.95).unwrap());
        assert_ne!(one, rate_bootstrap(&turned, 499, 8, 0.95).unwrap());
    }

    #[test]
    fn four_clusters_are_refused() {
        assert!(rate_bootstrap(&cities()[..4], 999, 1, 0.95).is_err());
        assert!(rate_bootstrap(&cities(), 3, 1, 0.95).is_err());
    }

    #[test]
    fn quantiles_interpolate_and_stay_inside() {
        assert_eq!(quantile(&[], 0.5), None);
        assert_eq!(quantile(&[1.0, 2.0, 3.0], 0.5), Some(2.0));
        assert_eq!(quantile(&[1.0, 2.0], 0.001), Some(1.0));
    }
}
