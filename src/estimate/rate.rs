//! Rate per unit of effort: a ratio of sums over clusters that were each worked as a whole.
//!
//! Takes clusters of amount and effort, gives Σ amount ÷ Σ effort with an interval on
//! the log scale.
//! The other intervals for the same rate are in their own modules.

use super::interval::{LEAN_AMOUNT, log_student};
use super::number::{check_amounts, check_level, sum, variance};
use super::{Estimate, Interval, Outcome, Refusal};
use crate::words;

/// One independent piece of work.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cluster {
    /// What came of it, zero or more.
    pub amount: f64,
    /// What went into it, above zero.
    pub effort: f64,
}

/// Residuals smaller than this share of the amounts are rounding, not spread.
const ROUNDING: f64 = 1e-12;

/// Ratio of sums Σy/Σx over clusters, with the jackknife variance between clusters
/// (n − 1)/n · Σ(R₍₋ᵢ₎ − R₍·₎)², R₍₋ᵢ₎ the ratio without cluster i and R₍·₎ their mean, plus
/// `shared_variance`: a variance of the ratio that all clusters have in common, for instance
/// from a conversion factor (0 if there is none). The linearised variance, also in use, is too
/// small where effort is uneven and clusters are few.
///
/// The interval is Student's t on the scale of logarithms with n − 1 degrees of freedom, leaning
/// upwards. Assumes independent clusters; no finite population correction, since the rate is meant for
/// more work of the same kind.
///
/// Refuses: no cluster; a cluster without effort; amounts below zero. Gives a value without
/// interval for one cluster, for no amount at all, and where every cluster has the same rate.
///
/// Source: Cochran 1977, Sampling Techniques, section 6.4 (from memory); Efron & Tibshirani 1993,
/// An Introduction to the Bootstrap, chapter 11; shape of the interval: measured, see
/// `docs/methods.md`.
pub fn rate(clusters: &[Cluster], shared_variance: f64, level: f64) -> Outcome {
    check_level(level)?;
    let sums = Sums::of(clusters)?;
    if !shared_variance.is_finite() || shared_variance < 0.0 {
        return Err(Refusal::new(words!(
            "The uncertainty that all observations share must be zero or more."
        )));
    }
    let mut estimate = Estimate {
        value: sums.ratio,
        standard_error: None,
        degrees_of_freedom: None,
        interval: None,
        caution: Vec::new(),
        method: words!("ratio of sums; no standard error"),
        observations: clusters.len(),
        population: None,
    };
    let degrees = clusters.len() as f64 - 1.0;
    if sums.amount == 0.0 {
        estimate.caution.push(words!(
            "Nothing was found in the effort spent: the rate is zero, and no interval follows \
             from zeros alone."
        ));
    } else if clusters.len() < 2 {
        estimate.caution.push(words!(
            "There is only one observation: how much observations differ can't be told from \
             one, so there is no interval."
        ));
    } else if let Some(variance) = sums.variance {
        let error = (variance + shared_variance).sqrt();
        estimate.standard_error = Some(error);
        estimate.degrees_of_freedom = Some(degrees);
        estimate.interval = log_student(sums.ratio, error, degrees, LEAN_AMOUNT, level);
        estimate.method = words!(
            "ratio of sums; jackknife standard error between observations; t \
             interval on the log scale, leaning upwards, with n − 1 degrees of freedom"
        );
        if estimate.interval.is_none() {
            estimate.caution.push(words!(
                "The uncertainty is so large that no interval can be computed."
            ));
        }
    } else {
        estimate.caution.push(words!(
            "Every observation has the very same rate: that is no proof that the next one has \
             it too, so there is no interval."
        ));
    }
    estimate.checked()
}

/// Highest rate that an effort without any find leaves open, at the one-sided `level`:
/// −ln(1 − level) ÷ effort, which is 2.996 ÷ effort at 95 %. Holds if finds come as independent
/// chance events (Poisson). The value is 0 and the interval runs from 0 to the bound.
///
/// Source: Hanley & Lippman-Hand 1983, "If nothing goes wrong, is everything all right?",
/// Journal of the American Medical Association 249.
pub fn rate_if_none(effort: f64, level: f64) -> Outcome {
    check_level(level)?;
    if !effort.is_finite() || effort <= 0.0 {
        return Err(Refusal::new(words!(
            "Without effort, finding nothing says nothing."
        )));
    }
    let mut estimate = Estimate::bare(
        0.0,
        1,
        words!(
            "nothing found; one-sided upper bound, if finds come as independent chance events \
         (Poisson)"
        ),
    );
    estimate.interval = Some(Interval {
        lower: 0.0,
        upper: -(-level).ln_1p() / effort,
        level,
    });
    estimate.checked()
}

/// Sums over clusters that every interval for a rate starts from.
pub(super) struct Sums {
    pub amount: f64,
    pub ratio: f64,
    /// Jackknife variance of the ratio; `None` below two clusters or without any spread.
    pub variance: Option<f64>,
}

impl Sums {
    pub fn of(clusters: &[Cluster]) -> Result<Self, Refusal> {
        if clusters.is_empty() {
            return Err(Refusal::new(words!(
                "Nothing was observed, so there is no rate."
            )));
        }
        let amounts: Vec<f64> = clusters.iter().map(|cluster| cluster.amount).collect();
        check_amounts(&amounts)?;
        if let Some(index) = clusters
            .iter()
            .position(|cluster| !cluster.effort.is_finite() || cluster.effort <= 0.0)
        {
            return Err(Refusal::new(words!(
                "Observation {number} has no effort: leave it out of amount and effort alike.",
                number = index + 1
            )));
        }
        Ok(Self::unchecked(clusters))
    }

    /// For clusters that have passed the checks of [`Sums::of`], such as resamples of them.
    pub fn unchecked(clusters: &[Cluster]) -> Self {
        let amount = sum(clusters.iter().map(|cluster| cluster.amount));
        let effort = sum(clusters.iter().map(|cluster| cluster.effort));
        let ratio = amount / effort;
        let n = clusters.len() as f64;
        let squares = sum(clusters
            .iter()
            .map(|cluster| (cluster.amount - ratio * cluster.effort).powi(2)));
        let scale = sum(clusters.iter().map(|cluster| cluster.amount.powi(2)));
        let variance = (clusters.len() > 1 && squares > ROUNDING * ROUNDING * scale)
            .then(|| {
                let without: Vec<f64> = clusters
                    .iter()
                    .map(|cluster| (amount - cluster.amount) / (effort - cluster.effort))
                    .collect();
                (n - 1.0).powi(2) / n * variance(&without).unwrap_or(0.0)
            })
            // Huge beside tiny efforts may leave nothing to divide by.
            .filter(|variance| variance.is_finite() && *variance > 0.0);
        Self {
            amount,
            ratio,
            variance,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Data set `city` of R's package boot (10 large cities, 1920 and 1930): ratio 1.5203125 (R
    /// boot).
    fn city() -> Vec<Cluster> {
        [
            (143.0, 138.0),
            (104.0, 93.0),
            (69.0, 61.0),
            (260.0, 179.0),
            (75.0, 48.0),
            (63.0, 37.0),
            (50.0, 29.0),
            (48.0, 23.0),
            (111.0, 30.0),
            (50.0, 2.0),
        ]
        .map(|(amount, effort)| Cluster { amount, effort })
        .to_vec()
    }

    #[test]
    fn ten_cities() {
        let found = rate(&city(), 0.0, 0.95).expect("rate");
        assert!((found.value - 1.520_312_5).abs() < 1e-12);
        // Computed from the definition in exact fractions.
        assert!((found.standard_error.unwrap() - 0.194_790_994).abs() < 1e-8);
        assert_eq!(found.degrees_of_freedom, Some(9.0));
    }

    /// Patch data, Efron & Tibshirani 1993, table 10.1: ratio −.0713061, jackknife standard error
    /// .105528 (printed in section 11.2 as 0.106; R bootstrap).
    #[test]
    fn patches() {
        let clusters: Vec<Cluster> = crate::estimate::fieller::PATCH
            .iter()
            .map(|(effort, amount)| Cluster {
                amount: *amount,
                effort: *effort,
            })
            .collect();
        let sums = Sums::unchecked(&clusters);
        assert!((sums.ratio + 0.071_306_1).abs() < 1e-7);
        assert!((sums.variance.unwrap().sqrt() - 0.105_528).abs() < 1e-6);
    }

    #[test]
    fn nothing_found_is_rate_zero_without_interval() {
        let clusters = [Cluster {
            amount: 0.0,
            effort: 3.0,
        }; 4];
        let found = rate(&clusters, 0.0, 0.95).expect("rate");
        assert_eq!(found.value, 0.0);
        assert_eq!(found.standard_error, None);
        assert_eq!(found.interval, None);
    }

    /// The 'rule of three' with its exact constant: 2.996 ÷ hours.
    #[test]
    fn nothing_found_bounds_the_rate() {
        let found = rate_if_none(10.0, 0.95).unwrap();
        assert!((found.interval.unwrap().upper - 0.299_573_2).abs() < 1e-7);
        assert!(rate_if_none(0.0, 0.95).is_err());
    }

    #[test]
    fn one_cluster_or_equal_rates_give_no_interval() {
        let one = [Cluster {
            amount: 3.0,
            effort: 2.0,
        }];
        assert_eq!(rate(&one, 0.0, 0.95).expect("rate").interval, None);
        let equal =
            [(0.1, 0.3), (0.2, 0.6), (0.7, 2.1)].map(|(amount, effort)| Cluster { amount, effort });
        assert_eq!(rate(&equal, 0.0, 0.95).expect("rate").interval, None);
    }

    #[test]
    fn shared_variance_widens() {
        let apart = rate(&city(), 0.0, 0.95).expect("rate");
        let shared = rate(&city(), 0.04, 0.95).expect("rate");
        assert!(shared.standard_error > apart.standard_error);
        assert!(rate(&city(), -1.0, 0.95).is_err());
    }

    #[test]
    fn a_cluster_without_effort_is_refused() {
        let clusters = [(1.0, 2.0), (1.0, 0.0)].map(|(amount, effort)| Cluster { amount, effort });
        let refusal = rate(&clusters, 0.0, 0.95).expect_err("refusal");
        assert!(refusal.to_string().contains("Observation 2"));
    }
}
