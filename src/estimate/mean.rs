//! Mean of independent observations with Student's t interval.

use super::interval::student;
use super::number::{all_equal, check_level, mean as average, variance};
use super::{Estimate, Outcome, Refusal};
use crate::words;

/// Fewer observations than this give a mean without interval: t intervals of skewed data cover too little.
const FEWEST_FOR_INTERVAL: usize = 5;

/// From here on the skew of the data no longer matters much to Student's t.
const MANY: usize = 30;

/// Mean, standard error s/√n, and t interval with n − 1 degrees of freedom, kept within `bounds`.
///
/// Source: Student 1908, Biometrika 6:1–25. Refuses an empty list and numbers that are none.
pub fn mean(observed: &[f64], bounds: (f64, f64), level: f64) -> Outcome {
    check_level(level)?;
    if observed.iter().any(|value| !value.is_finite()) {
        return Err(Refusal::new(words!("One of the numbers is not a number.")));
    }
    let Some(value) = average(observed) else {
        return Err(Refusal::new(words!(
            "Nothing was observed, so there is no mean."
        )));
    };
    let n = observed.len();
    let mut estimate = Estimate {
        value,
        standard_error: None,
        degrees_of_freedom: None,
        interval: None,
        caution: Vec::new(),
        method: words!("mean of the observations; no standard error"),
        observations: n,
        population: None,
    };
    if n < FEWEST_FOR_INTERVAL {
        estimate.caution.push(words!(
            "With {n} observations there is no interval; {fewest_for_interval} are needed.",
            n,
            fewest_for_interval = FEWEST_FOR_INTERVAL
        ));
        return estimate.checked();
    }
    if all_equal(observed) {
        estimate.caution.push(
            words!("All observations are equal: that is no proof that others would be too, so there is no interval."),
        );
        return estimate.checked();
    }
    if n < MANY {
        estimate.caution.push(
            words!("Approximate: where observations are very uneven, few of them hold the truth somewhat less often than the interval says."),
        );
    }
    if let Some(spread) = variance(observed) {
        let error = (spread / n as f64).sqrt();
        let degrees = n as f64 - 1.0;
        estimate.method =
            words!("mean of the observations; Student's t interval with n − 1 degrees of freedom");
        estimate.standard_error = Some(error);
        estimate.degrees_of_freedom = Some(degrees);
        estimate.interval = student(value, error, degrees, level).map(|mut interval| {
            interval.lower = interval.lower.max(bounds.0).min(value);
            interval.upper = interval.upper.min(bounds.1).max(value);
            interval
        });
    }
    estimate.checked()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Student 1908, Biometrika 6, table of additional hours of sleep, differences of the two drugs: mean 1.58, t 4.06213,
    /// interval 0.700114 to 2.459886 (R t.test on the data set sleep; data from memory).
    #[test]
    fn students_own_example() {
        let gains = [1.2, 2.4, 1.3, 1.3, 0.0, 1.0, 1.8, 0.8, 4.6, 1.4];
        let estimate = mean(&gains, (f64::NEG_INFINITY, f64::INFINITY), 0.95).unwrap();
        assert!((estimate.value - 1.58).abs() < 1e-12);
        let interval = estimate.interval.unwrap();
        assert!((interval.lower - 0.700_114).abs() < 1e-6);
        assert!((interval.upper - 2.459_886).abs() < 1e-6);
    }

    #[test]
    fn few_or_equal_observations_give_no_interval() {
        assert!(
            mean(&[1.0, 2.0], (0.0, 100.0), 0.95)
                .unwrap()
                .interval
                .is_none()
        );
        assert!(
            mean(&[2.0; 6], (0.0, 100.0), 0.95)
                .unwrap()
                .interval
                .is_none()
        );
        assert!(mean(&[], (0.0, 100.0), 0.95).is_err());
    }
}
