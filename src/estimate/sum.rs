//! Sum of an estimate and of amounts filled in beside it.
//!
//! Takes a total and what was filled in, gives their sum with an interval that holds both errors.

use super::degrees::satterthwaite;
use super::interval::floored_log_student;
use super::number::check_level;
use super::{Estimate, Interval, Outcome, Refusal};
use crate::words;

/// `total` + `filled`, where what was filled in was drawn from amounts that rest on the same conversion as the total.
///
/// The total's relative error is taken over the whole sum, as if both parts erred together, and the error of filling in is added
/// to it as independent: √((SE_t (t + f)/t)² + SE_f²). Degrees of freedom by Satterthwaite over the two. The interval is t on the
/// scale of logarithms, leaning upwards, floored at `floor`, which is what was observed for certain.
///
/// Gives a value without interval where one of the two has no standard error. Refuses amounts below zero.
///
/// Source: Rubin 1987, Multiple Imputation for Nonresponse in Surveys, chapter 3, for adding the variance between fillings to that
/// within; joint relative error: our own upper bound.
pub fn sum_with_filled(total: &Estimate, filled: &Estimate, floor: f64, level: f64) -> Outcome {
    check_level(level)?;
    let value = total.value + filled.value;
    if total.value < 0.0 || filled.value < 0.0 || !value.is_finite() {
        return Err(Refusal::new(words!("An amount can't be below zero.")));
    }
    let mut estimate = Estimate::bare(
        value,
        total.observations + filled.observations,
        words!("total plus what was filled in; no standard error"),
    );
    let (Some(error), Some(error_filled)) = (total.standard_error, filled.standard_error) else {
        estimate
            .caution
            .extend(total.caution.iter().chain(&filled.caution).cloned());
        estimate.caution.push(words!(
            "The total or what was filled in has no interval, so their sum has none either."
        ));
        return estimate.checked();
    };
    let joint = if total.value > 0.0 {
        error * value / total.value
    } else {
        error
    };
    let sum = joint.hypot(error_filled);
    estimate.standard_error = Some(sum);
    if sum == 0.0 {
        estimate.method = words!("both parts are known exactly");
        estimate.interval = Some(Interval {
            lower: value,
            upper: value,
            level,
        });
        return estimate.checked();
    }
    let degrees = satterthwaite(&[
        (joint * joint, total.degrees_of_freedom.unwrap_or(0.0)),
        (
            error_filled * error_filled,
            filled.degrees_of_freedom.unwrap_or(0.0),
        ),
    ]);
    if degrees > 0.0 {
        estimate.degrees_of_freedom = Some(degrees);
        estimate.interval = floored_log_student(value, sum, degrees, floor, level);
        estimate.method = words!(
            "total plus what was filled in; errors of converting and of filling in \
             added; t interval on the log scale, leaning upwards, floored at what was observed"
        );
    }
    estimate.checked()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn known(value: f64, error: f64, degrees: Option<f64>) -> Estimate {
        Estimate {
            standard_error: Some(error),
            degrees_of_freedom: degrees,
            ..Estimate::bare(value, 3, "")
        }
    }

    #[test]
    fn by_hand() {
        let sum = sum_with_filled(
            &known(100.0, 10.0, Some(4.0)),
            &known(50.0, 8.0, Some(3.0)),
            20.0,
            0.95,
        )
        .unwrap();
        assert_eq!(sum.value, 150.0);
        // 10 · 150/100 = 15; √(225 + 64) = 17; (289)² ÷ (225²/4 + 64²/3) = 5.956…
        assert!((sum.standard_error.unwrap() - 17.0).abs() < 1e-12);
        let degrees = 289.0 * 289.0 / (225.0 * 225.0 / 4.0 + 64.0 * 64.0 / 3.0);
        assert!((sum.degrees_of_freedom.unwrap() - degrees).abs() < 1e-12);
        let interval = sum.interval.unwrap();
        assert!(interval.lower >= 20.0 && interval.lower < 150.0 && interval.upper > 150.0);
    }

    #[test]
    fn no_error_known_no_interval_and_none_at_all_exact() {
        let bare = Estimate::bare(5.0, 1, "");
        let exact = known(7.0, 0.0, None);
        assert!(
            sum_with_filled(&exact, &bare, 0.0, 0.95)
                .unwrap()
                .interval
                .is_none()
        );
        let sum = sum_with_filled(&exact, &exact, 0.0, 0.95).unwrap();
        assert_eq!(sum.interval.unwrap().upper, 14.0);
    }
}
