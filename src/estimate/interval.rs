//! The shapes of interval that several estimators share.
//!
//! Takes a value, its standard error and degrees of freedom, gives an [`Interval`] or `None`
//! where the arithmetic leaves the range of doubles.

use super::Interval;
use super::distribution::student_critical;

/// value ± t · standard error.
pub fn student(value: f64, error: f64, degrees: f64, level: f64) -> Option<Interval> {
    let reach = student_critical(level, degrees) * error;
    finite(value - reach, value + reach, level)
}

/// How far the log-t interval of a total or a rate of skewed amounts leans upwards. Found by
/// measurement, as the next: see the coverage tables in `docs/methods.md`.
pub const LEAN_AMOUNT: f64 = 1.5;
/// For counts on plots, whose skew the logarithm nearly takes away by itself.
pub const LEAN_DENSITY: f64 = 0.3;
/// No interval is widened above by more than this share of its reach: beyond it the upper end
/// runs away and coverage gains nothing.
const MOST_LEAN: f64 = 0.6;

/// Student's t on the scale of logarithms, leaning upwards: from value ÷ exp(t r) to
/// value × exp(t r (1 + min(lean · r, 0.6))), where r is the relative standard error; for a value
/// that can't be negative.
///
/// By the delta method r is the standard error of the logarithm. The plain log-t interval
/// (`lean` 0) misses the truth above far more often than below, since a few skewed observations
/// seldom hold the large ones: with 5 log-normal observations of variation 0.8 it covers .91
/// instead of .95. The lean fades as data grow.
pub fn log_student(
    value: f64,
    error: f64,
    degrees: f64,
    lean: f64,
    level: f64,
) -> Option<Interval> {
    if value <= 0.0 {
        return None;
    }
    let relative = error / value;
    let reach = student_critical(level, degrees) * relative;
    finite(
        value / reach.exp(),
        value * (reach * (1.0 + (lean * relative).min(MOST_LEAN))).exp(),
        level,
    )
}

/// [`log_student`] of a total that never reaches below what was observed for certain.
pub fn floored_log_student(
    value: f64,
    error: f64,
    degrees: f64,
    floor: f64,
    level: f64,
) -> Option<Interval> {
    log_student(value, error, degrees, LEAN_AMOUNT, level).map(|interval| Interval {
        lower: interval.lower.max(floor.min(value)),
        ..interval
    })
}

fn finite(lower: f64, upper: f64, level: f64) -> Option<Interval> {
    (lower.is_finite() && upper.is_finite()).then_some(Interval {
        lower,
        upper,
        level,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_log_interval_leans_upwards_and_stays_above_zero() {
        let interval = log_student(10.0, 1.0, 4.0, 1.0, 0.95).expect("finite");
        // t with 4 degrees of freedom is 2.776 (Fisher & Yates, table of t).
        assert!((interval.lower - 10.0 / 0.2776_f64.exp()).abs() < 1e-3);
        assert!((interval.upper - 10.0 * (1.1 * 0.2776_f64).exp()).abs() < 1e-3);
        let floored = floored_log_student(10.0, 1.0, 4.0, 9.0, 0.95).expect("finite");
        assert_eq!(floored.lower, 9.0);
        assert!(interval.lower > 0.0);
        assert_eq!(log_student(0.0, 1.0, 4.0, 1.0, 0.95), None);
        assert_eq!(log_student(1e-300, 1e300, 1.0, 1.0, 0.95), None);
    }
}
