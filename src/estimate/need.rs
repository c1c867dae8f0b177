//! How much is needed next time: observations for a mean of stated precision, effort for an amount at a known rate.
//!
//! Takes numbers of the season that was, gives numbers to plan with. Planning values, no measurements: what comes may differ more, or
//! less, than what was.

use super::distribution::student_critical;
use super::number::{check_amounts, check_level, mean, variance};
use super::{Estimate, Interval, Outcome, Refusal};
use crate::words;

/// More observations than this are no plan any more.
const MOST: u32 = 100_000;

/// Observations so that the mean is known to within ± `within` (a share of the mean) at `level`, if the next ones vary as much as
/// `observed` did. `population` is the number of units that they are drawn from, where finite.
///
/// Half-width t(n − 1)·s·√((1 − n/N)/n) ≤ within · mean; the smallest n of at least two that keeps it, or N where all have to be
/// observed.
///
/// Refuses: fewer than two observations, a mean of zero, `within` not above zero.
///
/// Source: Cochran 1977, Sampling Techniques, section 4.7 (from memory), with Student's t in place of the normal deviate.
pub fn observations_needed(
    observed: &[f64],
    population: Option<f64>,
    within: f64,
    level: f64,
) -> Result<u32, Refusal> {
    check_level(level)?;
    check_amounts(observed)?;
    if !within.is_finite() || within <= 0.0 {
        return Err(Refusal::new(words!("The precision has to be above zero.")));
    }
    let (Some(average), Some(variance)) = (mean(observed), variance(observed)) else {
        return Err(Refusal::new(words!(
            "How much they vary can't be told from fewer than two."
        )));
    };
    if average <= 0.0 {
        return Err(Refusal::new(words!("A share of zero is no precision.")));
    }
    let share = variance.sqrt() / average;
    let half_width = |n: u32| {
        let count = f64::from(n);
        let finite = population.map_or(1.0, |all| (1.0 - count / all).max(0.0));
        student_critical(level, count - 1.0) * share * (finite / count).sqrt()
    };
    let most = population.map_or(MOST, |all| {
        // Rounded down: half a container can't be weighed.
        if all < f64::from(MOST) {
            (all as u32).max(2)
        } else {
            MOST
        }
    });
    // The half-width falls as n grows, so that the smallest n is found by halving.
    let (mut low, mut high) = (2_u32, most);
    if half_width(low) <= within {
        return Ok(low);
    }
    while high - low > 1 {
        let middle = low + (high - low) / 2;
        if half_width(middle) <= within {
            high = middle;
        } else {
            low = middle;
        }
    }
    Ok(high)
}

/// Effort that brings `amount` at a known rate per unit of effort, with the interval that the rate's own gives. `amount` is a target
/// and stands without uncertainty.
///
/// The upper end is infinite where the rate's lower end is zero. Refuses: a rate of zero, an amount below zero.
pub fn effort_needed(amount: f64, rate: &Estimate) -> Outcome {
    if !amount.is_finite() || amount < 0.0 {
        return Err(Refusal::new(words!("The amount must be zero or more.")));
    }
    if rate.value <= 0.0 {
        return Err(Refusal::new(words!(
            "At a rate of zero no effort brings anything."
        )));
    }
    let mut estimate = Estimate::bare(
        amount / rate.value,
        rate.observations,
        words!("amount divided by the rate; the interval's ends by the rate's own"),
    );
    estimate.interval = rate.interval.map(|interval| Interval {
        lower: amount / interval.upper,
        upper: if interval.lower > 0.0 {
            amount / interval.lower
        } else {
            f64::INFINITY
        },
        level: interval.level,
    });
    estimate.caution.clone_from(&rate.caution);
    estimate.checked_open()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Mean 10, standard deviation 2: a coefficient of variation of one fifth.
    const SAMPLE: [f64; 3] = [8.0, 10.0, 12.0];

    /// By hand: t(17) = 2.1098 and 2.1098·0.2/√18 = .0995; with 17, t(16) = 2.1199 gives .1028.
    /// Quantiles: Fisher & Yates 1963, Statistical Tables, table III (from memory).
    #[test]
    fn as_many_as_keep_the_precision_and_no_more() {
        assert_eq!(observations_needed(&SAMPLE, None, 0.1, 0.95), Ok(18));
    }

    /// By hand: of 20, the half-width with 10 is 2.2622·0.2·√(0.5/10) = .1012, with 11 it is 2.2281·0.2·√(0.45/11) = .0901.
    #[test]
    fn fewer_are_needed_of_few() {
        assert_eq!(observations_needed(&SAMPLE, Some(20.0), 0.1, 0.95), Ok(11));
        assert_eq!(observations_needed(&SAMPLE, Some(4.0), 0.001, 0.95), Ok(4));
    }

    #[test]
    fn nothing_is_planned_from_nothing() {
        assert!(observations_needed(&[8.0], None, 0.1, 0.95).is_err());
        assert!(observations_needed(&[0.0, 0.0], None, 0.1, 0.95).is_err());
        assert!(observations_needed(&SAMPLE, None, 0.0, 0.95).is_err());
        assert_eq!(observations_needed(&[5.0, 5.0], None, 0.1, 0.95), Ok(2));
    }

    #[test]
    fn effort_follows_from_the_rate() {
        let rate = Estimate {
            interval: Some(Interval {
                lower: 4.0,
                upper: 8.0,
                level: 0.95,
            }),
            ..Estimate::bare(5.0, 3, "")
        };
        let needed = effort_needed(40.0, &rate).unwrap();
        assert_eq!(needed.value, 8.0);
        let interval = needed.interval.unwrap();
        assert_eq!((interval.lower, interval.upper), (5.0, 10.0));
        assert!(effort_needed(40.0, &Estimate::bare(0.0, 3, "")).is_err());
    }
}
