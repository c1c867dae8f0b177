//! Change between two measurements of the same plots.
//!
//! Takes pairs of numbers, gives the mean change with Student's t interval.

use super::interval::student;
use super::number::{all_equal, check_finite, check_level, mean, variance};
use super::{Estimate, Outcome, Refusal};
use crate::words;

/// Fewer pairs than this carry no interval: with four or fewer the t interval rests on the
/// shape of the differences, which so few can't show.
const FEWEST_PAIRS: usize = 5;

/// From here on uneven changes no longer matter: below it .92 to .95 was measured, see
/// `docs/methods.md`.
const MANY_PAIRS: usize = 30;

/// Mean of `after − before` over pairs, with Student's t interval from five pairs on.
///
/// Both slices in the same order of plots. Assumes that the plots are a random choice and that
/// differences are not wildly skewed. Refuses no pair, and slices of unequal length. Gives a
/// value without interval below five pairs and where all differences are equal.
///
/// Source: Student 1908, "The probable error of a mean", Biometrika 6.
pub fn paired_change(before: &[f64], after: &[f64], level: f64) -> Outcome {
    check_level(level)?;
    check_finite(before)?;
    check_finite(after)?;
    if before.len() != after.len() {
        return Err(Refusal::new(words!(
            "Not every measurement before has one after: only pairs can be compared."
        )));
    }
    let changes: Vec<f64> = before.iter().zip(after).map(|(b, a)| a - b).collect();
    let (Some(value), count) = (mean(&changes), changes.len()) else {
        return Err(Refusal::new(words!(
            "There is no pair of measurements to compare."
        )));
    };
    let mut estimate = Estimate {
        value,
        standard_error: None,
        degrees_of_freedom: None,
        interval: None,
        caution: Vec::new(),
        method: words!("mean of paired differences; no standard error"),
        observations: count,
        population: None,
    };
    match variance(&changes) {
        Some(_) if all_equal(&changes) => estimate.caution.push(words!(
            "All pairs changed by the very same amount: that is no proof that others did too, so \
             there is no interval."
        )),
        Some(spread) => {
            let error = (spread / count as f64).sqrt();
            let degrees = count as f64 - 1.0;
            estimate.standard_error = Some(error);
            estimate.degrees_of_freedom = Some(degrees);
            estimate.method = words!(
                "mean of paired differences; Student's t with n − 1 degrees of \
                 freedom"
            );
            if count < FEWEST_PAIRS {
                estimate.caution.push(words!(
                    "Only {count} pairs were measured: an interval needs at least \
                     {fewest_pairs}.",
                    count,
                    fewest_pairs = FEWEST_PAIRS
                ));
            } else {
                estimate.interval = student(value, error, degrees, level);
                if count < MANY_PAIRS {
                    estimate.caution.push(words!(
                        "Approximate: where changes are very uneven, few pairs hold the truth \
                         somewhat less often than the interval says."
                    ));
                }
            }
        }
        None => estimate.caution.push(words!(
            "Only one pair was measured: an interval needs at least {fewest_pairs}.",
            fewest_pairs = FEWEST_PAIRS
        )),
    }
    estimate.checked()
}

#[cfg(test)]
mod tests {
    use super::*;

    const FIRST: [f64; 10] = [0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0];
    const SECOND: [f64; 10] = [1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4];

    /// Student 1908, sleep gained by two drugs: −1.58, t −4.06213, −2.459886 to −.700114.
    #[test]
    fn students_sleep_data() {
        let found = paired_change(&SECOND, &FIRST, 0.95).expect("change");
        assert!((found.value + 1.58).abs() < 1e-12);
        let t = found.value / found.standard_error.unwrap();
        assert!((t + 4.06213).abs() < 1e-5);
        let interval = found.interval.expect("interval");
        assert!((interval.lower + 2.459_886).abs() < 1e-6);
        assert!((interval.upper + 0.700_114).abs() < 1e-6);
    }

    #[test]
    fn four_pairs_give_no_interval_and_five_do() {
        let four = paired_change(&FIRST[..4], &SECOND[..4], 0.95).expect("change");
        assert!(four.interval.is_none() && four.standard_error.is_some());
        assert!(four.caution[0].to_string().contains("at least 5"));
        let five = paired_change(&FIRST[..5], &SECOND[..5], 0.95).expect("change");
        assert!(five.interval.is_some());
    }

    #[test]
    fn broken_pairs_are_refused() {
        assert!(paired_change(&[], &[], 0.95).is_err());
        assert!(paired_change(&[1.0], &[1.0, 2.0], 0.95).is_err());
        assert!(paired_change(&[f64::NAN], &[1.0], 0.95).is_err());
    }
}
