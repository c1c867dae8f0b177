//! Intervals that the tool does not offer, kept here to be measured beside those it does.

use statrs::distribution::{ContinuousCDF, Normal, StudentsT};
use windrow::estimate::{Cluster, Interval, Random};

pub const LEVEL: f64 = 0.95;

/// Two-sided critical value of Student's t.
pub fn t(degrees: f64) -> f64 {
    StudentsT::new(0.0, 1.0, degrees).map_or(f64::NAN, |law| law.inverse_cdf(0.5 + 0.5 * LEVEL))
}

pub fn interval(lower: f64, upper: f64) -> Option<Interval> {
    (lower.is_finite() && upper.is_finite()).then_some(Interval {
        lower,
        upper,
        level: LEVEL,
    })
}

pub fn plain(value: f64, error: f64, critical: f64) -> Option<Interval> {
    interval(value - critical * error, value + critical * error)
}

pub fn on_log(value: f64, error: f64, critical: f64) -> Option<Interval> {
    let factor = (critical * error / value).exp();
    interval(value / factor, value * factor)
}

fn ratio(clusters: impl Iterator<Item = Cluster>) -> f64 {
    let (amount, effort) =
        clusters.fold((0.0, 0.0), |sums, c| (sums.0 + c.amount, sums.1 + c.effort));
    amount / effort
}

/// Ratios of resampled clusters, sorted.
pub fn resampled(clusters: &[Cluster], resamples: usize, seed: u64) -> Vec<f64> {
    let mut random = Random::seeded(seed);
    let mut found: Vec<f64> = (0..resamples)
        .map(|_| ratio((0..clusters.len()).map(|_| clusters[random.below(clusters.len())])))
        .collect();
    found.sort_by(f64::total_cmp);
    found
}

fn quantile(sorted: &[f64], weights: Option<&[f64]>, probability: f64) -> f64 {
    match weights {
        None => {
            let place = (probability * sorted.len() as f64) as usize;
            sorted[place.min(sorted.len() - 1)]
        }
        Some(weights) => {
            let mut below = 0.0;
            for (value, weight) in sorted.iter().zip(weights) {
                below += weight;
                if below >= probability {
                    return *value;
                }
            }
            sorted[sorted.len() - 1]
        }
    }
}

/// Plain percentiles of the resampled ratios.
pub fn percentile(sorted: &[f64], weights: Option<&[f64]>) -> Option<Interval> {
    let tail = 0.5 * (1.0 - LEVEL);
    interval(
        quantile(sorted, weights, tail),
        quantile(sorted, weights, 1.0 - tail),
    )
}

/// Bias correction and acceleration of the bootstrap.
///
/// Source: Efron & Tibshirani 1993, An Introduction to the Bootstrap, section 14.3.
pub fn bias_corrected(
    clusters: &[Cluster],
    sorted: &[f64],
    weights: Option<&[f64]>,
) -> (f64, f64, Option<Interval>) {
    let Ok(normal) = Normal::new(0.0, 1.0) else {
        return (f64::NAN, f64::NAN, None);
    };
    let value = ratio(clusters.iter().copied());
    // Resamples equal to the sample count by half, which matters where all are enumerated.
    let even = 1.0 / sorted.len() as f64;
    let below: f64 = sorted
        .iter()
        .enumerate()
        .map(|(place, r)| {
            let weight = weights.map_or(even, |weights| weights[place]);
            let share = if (r - value).abs() <= 1e-12 * value.abs() {
                0.5
            } else {
                f64::from(u8::from(*r < value))
            };
            weight * share
        })
        .sum();
    let z0 = normal.inverse_cdf(below.clamp(1e-6, 1.0 - 1e-6));
    let left_out: Vec<f64> = (0..clusters.len())
        .map(|skip| {
            ratio(
                clusters
                    .iter()
                    .enumerate()
                    .filter(|(place, _)| *place != skip)
                    .map(|(_, c)| *c),
            )
        })
        .collect();
    let centre = left_out.iter().sum::<f64>() / left_out.len() as f64;
    let cubes: f64 = left_out.iter().map(|r| (centre - r).powi(3)).sum();
    let squares: f64 = left_out.iter().map(|r| (centre - r).powi(2)).sum();
    let a = cubes / (6.0 * squares.powf(1.5));
    let end = |tail: f64| {
        let z = z0 + normal.inverse_cdf(tail);
        quantile(sorted, weights, normal.cdf(z0 + z / (1.0 - a * z)))
    };
    let tail = 0.5 * (1.0 - LEVEL);
    (z0, a, interval(end(tail), end(1.0 - tail)))
}

/// Holds the two bootstraps against the patch data of Efron & Tibshirani 1993 with all 6,435
/// resample multisets enumerated: standard error .1023138, z0 .0266763, a .0240502, percentile
/// −.231232 to .165885, BCa −.222351 to .189562 (R). Whether they agree.
pub fn patch_check() -> bool {
    let z = [
        8406.0, 2342.0, 8187.0, 8459.0, 4795.0, 3516.0, 4796.0, 10238.0,
    ];
    let y = [
        -1200.0, 2601.0, -2705.0, 1982.0, -1290.0, 351.0, -638.0, -2719.0,
    ];
    let clusters: Vec<Cluster> = z
        .iter()
        .zip(&y)
        .map(|(effort, amount)| Cluster {
            amount: *amount,
            effort: *effort,
        })
        .collect();
    let mut found: Vec<(f64, f64)> = Vec::new();
    let mut counts = [0_usize; 8];
    enumerate(&clusters, &mut counts, 0, 8, &mut found);
    found.sort_by(|a, b| a.0.total_cmp(&b.0));
    let ratios: Vec<f64> = found.iter().map(|f| f.0).collect();
    let weights: Vec<f64> = found.iter().map(|f| f.1).collect();
    let mean: f64 = found.iter().map(|(r, w)| r * w).sum();
    let error = found
        .iter()
        .map(|(r, w)| w * (r - mean).powi(2))
        .sum::<f64>()
        .sqrt();
    let (z0, a, bca) = bias_corrected(&clusters, &ratios, Some(&weights));
    let (Some(plain), Some(bca)) = (percentile(&ratios, Some(&weights)), bca) else {
        return false;
    };
    [
        (error, 0.102_313_8),
        (z0, 0.026_676_3),
        (a, 0.024_050_2),
        (plain.lower, -0.231_232),
        (plain.upper, 0.165_885),
        (bca.lower, -0.222_351),
        (bca.upper, 0.189_562),
    ]
    .iter()
    .all(|(found, expected)| (found - expected).abs() < 1e-6)
}

fn enumerate(
    clusters: &[Cluster],
    counts: &mut [usize; 8],
    place: usize,
    left: usize,
    found: &mut Vec<(f64, f64)>,
) {
    if place == 7 {
        counts[7] = left;
        let factorial = |n: usize| (1..=n).map(|k| k as f64).product::<f64>();
        let ways = factorial(8) / counts.iter().map(|c| factorial(*c)).product::<f64>();
        let amount: f64 = counts
            .iter()
            .zip(clusters)
            .map(|(n, c)| *n as f64 * c.amount)
            .sum();
        let effort: f64 = counts
            .iter()
            .zip(clusters)
            .map(|(n, c)| *n as f64 * c.effort)
            .sum();
        found.push((amount / effort, ways / 8.0_f64.powi(8)));
        return;
    }
    for here in 0..=left {
        counts[place] = here;
        enumerate(clusters, counts, place + 1, left - here, found);
    }
}
