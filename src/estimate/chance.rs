//! The chance that a quantity lies above a target, by the distribution behind an estimate's own interval.
//!
//! Takes an estimate and a target, gives a chance. Reads the shape of the interval off the estimate, so that chance and interval
//! can't contradict each other.

use super::distribution::{beta_cumulative, student_critical};
use super::number::check_finite;
use super::{Estimate, Refusal};
use crate::words;

/// How near the ends of an interval must be to a shape to count as that shape.
const NEAR: f64 = 1e-6;

/// Chance that the quantity estimated is at least `target`, 0 to 1: one minus the level at which a one-sided interval of the same
/// shape would end at the target.
///
/// Serves the intervals of Student's t, also where they are cut at bounds, and of t on the scale of logarithms, also where they
/// lean upwards or are floored. A census gives 0 or 1. Refuses estimates without interval or degrees of freedom, and intervals
/// of another shape, such as profile-likelihood ones.
///
/// The quantity is fixed and the estimate is what varies, so this is a degree of confidence (a confidence distribution), read as
/// a chance for want of a plainer word. Source: Schweder & Hjort 2002, "Confidence and likelihood", Scandinavian Journal of
/// Statistics 29 (from memory).
pub fn chance_at_least(estimate: &Estimate, target: f64) -> Result<f64, Refusal> {
    check_finite(&[target])?;
    if estimate.standard_error == Some(0.0) {
        return Ok(if estimate.value >= target { 1.0 } else { 0.0 });
    }
    let (Some(error), Some(degrees), Some(interval)) = (
        estimate.standard_error,
        estimate.degrees_of_freedom,
        estimate.interval,
    ) else {
        return Err(Refusal::new(words!(
            "The figure has no interval, so there is no telling how likely it is to be above a target."
        )));
    };
    let value = estimate.value;
    let t = student_critical(interval.level, degrees);
    let reach = t * error;
    let is_end = |end: f64, wanted: f64| (end - wanted).abs() <= NEAR * reach;
    // An interval cut at one bound still shows its shape at the other end.
    if is_end(interval.upper, value + reach) || is_end(interval.lower, value - reach) {
        return Ok(student_cumulative((value - target) / error, degrees));
    }
    if value <= 0.0 {
        return Err(another_shape());
    }
    let relative = error / value;
    let lean = (interval.upper / value).ln() / (t * relative);
    let unfloored = value / (t * relative).exp();
    if !lean.is_finite() || lean < 1.0 - NEAR || interval.lower < unfloored * (1.0 - NEAR) {
        return Err(another_shape());
    }
    let floored = interval.lower > unfloored * (1.0 + NEAR);
    if target <= 0.0 || (floored && target <= interval.lower) {
        return Ok(1.0);
    }
    let away = (value / target).ln() / relative;
    Ok(student_cumulative(
        if away >= 0.0 { away } else { away / lean },
        degrees,
    ))
}

fn another_shape() -> Refusal {
    Refusal::new(words!(
        "The figure's interval is of a kind from which no chance can be read."
    ))
}

/// Student's distribution function.
fn student_cumulative(t: f64, degrees: f64) -> f64 {
    let tail = 0.5 * beta_cumulative(0.5 * degrees, 0.5, degrees / (degrees + t * t));
    if t >= 0.0 { 1.0 - tail } else { tail }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::estimate::{Stratum, paired_change, stratified_total};

    /// Fisher 1925, Statistical Methods for Research Workers, table of t: the upper 2.5 % point is 2.228 with 10 degrees of
    /// freedom and 12.706 with 1 (from memory).
    #[test]
    fn students_tail() {
        assert!((student_cumulative(2.228_139, 10.0) - 0.975).abs() < 1e-6);
        assert!((student_cumulative(-12.706_205, 1.0) - 0.025).abs() < 1e-6);
        assert_eq!(student_cumulative(0.0, 3.0), 0.5);
    }

    #[test]
    fn the_ends_of_the_interval_leave_half_of_the_rest_outside() {
        let total = stratified_total(
            &[Stratum {
                population: 40.0,
                observed: &[9.0, 14.0, 11.0, 17.0, 8.0],
            }],
            0.0,
            0.95,
        )
        .unwrap();
        let interval = total.interval.unwrap();
        let chance = |target| chance_at_least(&total, target).unwrap();
        assert!((chance(interval.lower) - 0.975).abs() < 1e-9);
        assert!((chance(interval.upper) - 0.025).abs() < 1e-9);
        assert!((chance(total.value) - 0.5).abs() < 1e-9);
        assert_eq!(chance(0.0), 1.0);
    }

    #[test]
    fn what_was_observed_is_certain() {
        let total = stratified_total(
            &[Stratum {
                population: 6.0,
                observed: &[9.0, 24.0, 11.0, 17.0, 8.0],
            }],
            0.0,
            0.95,
        )
        .unwrap();
        assert_eq!(total.interval.unwrap().lower, 69.0);
        assert_eq!(chance_at_least(&total, 68.0).unwrap(), 1.0);
    }

    #[test]
    fn student_intervals_too() {
        let change = paired_change(
            &[60.0, 50.0, 80.0, 40.0, 70.0],
            &[10.0, 5.0, 30.0, 15.0, 5.0],
            0.9,
        )
        .unwrap();
        let interval = change.interval.unwrap();
        assert!((chance_at_least(&change, interval.lower).unwrap() - 0.95).abs() < 1e-9);
        assert!((chance_at_least(&change, interval.upper).unwrap() - 0.05).abs() < 1e-9);
    }

    #[test]
    fn no_interval_no_chance() {
        let bare = stratified_total(
            &[Stratum {
                population: 40.0,
                observed: &[9.0],
            }],
            0.0,
            0.95,
        )
        .unwrap();
        assert!(chance_at_least(&bare, 300.0).is_err());
        assert!(chance_at_least(&bare, f64::NAN).is_err());
    }
}
