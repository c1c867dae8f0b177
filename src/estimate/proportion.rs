//! A share of yes among yes-or-no observations.
//!
//! Takes counts, gives the share with its interval.

use super::distribution::{beta_quantile, normal_critical};
use super::number::check_level;
use super::{Estimate, Interval, Outcome, Refusal};
use crate::words;
use crate::words::Words;

/// Share of successes with the Clopper–Pearson interval, which covers at least its level
/// whatever the true share.
///
/// Assumes independent observations with the same chance each. Refuses no trials and more
/// successes than trials.
///
/// Source: Clopper & Pearson 1934, "The use of confidence or fiducial limits illustrated in the
/// case of the binomial", Biometrika 26.
pub fn clopper_pearson(successes: u64, trials: u64, level: f64) -> Outcome {
    check_level(level)?;
    check_counts(successes, trials)?;
    let (x, n) = (successes as f64, trials as f64);
    let share = x / n;
    let tail = 0.5 * (1.0 - level);
    let lower = if successes == 0 {
        0.0
    } else {
        beta_quantile(x, n - x + 1.0, tail)
    };
    let upper = if successes == trials {
        1.0
    } else {
        beta_quantile(x + 1.0, n - x, 1.0 - tail)
    };
    share_estimate(
        share,
        trials,
        Interval {
            lower: lower.min(share),
            upper: upper.max(share),
            level,
        },
        words!("share of observations; exact interval of Clopper and Pearson"),
    )
}

/// Share of successes with Wilson's score interval: shorter than [`clopper_pearson`], covers its
/// level on average but not for every true share.
///
/// Source: Wilson 1927, "Probable inference, the law of succession, and statistical inference",
/// Journal of the American Statistical Association 22.
pub fn wilson(successes: u64, trials: u64, level: f64) -> Outcome {
    check_level(level)?;
    check_counts(successes, trials)?;
    let n = trials as f64;
    let share = successes as f64 / n;
    let z2 = normal_critical(level).powi(2);
    let centre = (share + z2 / (2.0 * n)) / (1.0 + z2 / n);
    let reach = (z2 * (share * (1.0 - share) / n + z2 / (4.0 * n * n))).sqrt() / (1.0 + z2 / n);
    let mut estimate = share_estimate(
        share,
        trials,
        Interval {
            lower: (centre - reach).max(0.0).min(share),
            upper: (centre + reach).min(1.0).max(share),
            level,
        },
        words!("share of observations; score interval of Wilson"),
    )?;
    estimate.caution.push(words!(
        "Approximate: for some true shares this interval holds the truth in only 91 of 100 cases \
         instead of 95."
    ));
    Ok(estimate)
}

fn check_counts(successes: u64, trials: u64) -> Result<(), Refusal> {
    /// Above this a double no longer holds every count, and no real count comes near.
    const MOST: u64 = 1_000_000_000;
    if trials == 0 {
        return Err(Refusal::new(words!(
            "Nothing was observed, so there is no share."
        )));
    }
    if successes > trials {
        return Err(Refusal::new(words!(
            "More observations are counted as yes than there are observations."
        )));
    }
    if trials > MOST {
        return Err(Refusal::new(words!(
            "The count is too large to be computed with."
        )));
    }
    Ok(())
}

fn share_estimate(share: f64, trials: u64, interval: Interval, method: Words) -> Outcome {
    let spread = (share * (1.0 - share) / trials as f64).sqrt();
    Estimate {
        value: share,
        // At 0 and 1 the formula gives zero, which would claim certainty.
        standard_error: (spread > 0.0).then_some(spread),
        degrees_of_freedom: None,
        interval: Some(interval),
        caution: Vec::new(),
        method,
        observations: usize::try_from(trials).unwrap_or(usize::MAX),
        population: None,
    }
    .checked()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 81 of 263: Newcombe 1998, "Two-sided confidence intervals for the single proportion",
    /// Statistics in Medicine 17, table I (from memory); 0 of 10 and 3 of 50: R binom.test.
    #[test]
    fn published_intervals() {
        for (x, n, lower, upper) in [
            (81, 263, 0.252_737, 0.367_622),
            (0, 10, 0.0, 0.308_497),
            (3, 50, 0.012_549, 0.165_482),
        ] {
            let interval = clopper_pearson(x, n, 0.95).unwrap().interval.unwrap();
            assert!((interval.lower - lower).abs() < 1e-6, "{interval:?}");
            assert!((interval.upper - upper).abs() < 1e-6, "{interval:?}");
        }
    }

    /// Newcombe 1998, the same table, method 3 (R prop.test without correction).
    #[test]
    fn published_score_intervals() {
        for (x, n, lower, upper) in [
            (81, 263, 0.255_288_52, 0.366_209_58),
            (0, 10, 0.0, 0.277_532_80),
            (3, 50, 0.020_614_97, 0.162_170_92),
        ] {
            let interval = wilson(x, n, 0.95).unwrap().interval.unwrap();
            assert!((interval.lower - lower).abs() < 1e-7, "{interval:?}");
            assert!((interval.upper - upper).abs() < 1e-7, "{interval:?}");
        }
    }

    #[test]
    fn extremes_end_and_claim_no_certainty() {
        let none = clopper_pearson(0, 1_000_000_000, 0.95).unwrap();
        assert_eq!(none.standard_error, None);
        assert!(none.interval.unwrap().upper > 0.0);
        let all = clopper_pearson(7, 7, 0.999_999).unwrap();
        assert_eq!(all.interval.unwrap().upper, 1.0);
        assert!(clopper_pearson(0, 0, 0.95).is_err());
        assert!(clopper_pearson(3, 2, 0.95).is_err());
        assert!(clopper_pearson(u64::MAX, u64::MAX, 0.95).is_err());
    }
}
