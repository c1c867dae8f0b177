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

/// value ÷ and × exp(t · standard error ÷ value): a t interval on the scale of logarithms,
/// for a value that can't be negative. By the delta method the standard error of the logarithm
/// is the relative standard error.
pub fn log_student(value: f64, error: f64, degrees: f64, level: f64) -> Option<Interval> {
    if value <= 0.0 {
        return None;
    }
    let factor = (student_critical(level, degrees) * error / value).exp();
    finite(value / factor, value * factor, level)
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
    fn the_log_interval_is_symmetric_in_ratio_and_never_below_zero() {
        let interval = log_student(10.0, 6.0, 4.0, 0.95).expect("finite");
        assert!((interval.lower * interval.upper - 100.0).abs() < 1e-9);
        assert!(interval.lower > 0.0);
        assert_eq!(log_student(0.0, 1.0, 4.0, 0.95), None);
        assert_eq!(log_student(1e-300, 1e300, 1.0, 0.95), None);
    }
}
