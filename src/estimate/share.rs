//! Share of one estimated amount in the sum of two.
//!
//! Takes two amounts that can't be negative, gives the share of the first. Assumes that their errors are independent or move
//! together; both make the interval no shorter than it has to be.

use super::distribution::student_critical;
use super::number::check_level;
use super::{Estimate, Interval, Outcome, Refusal};
use crate::words;

/// a ÷ (a + b), 0 to 1, with Student's t on the scale of log odds: the variance of ln(a/b) is (SE_a/a)² + (SE_b/b)², and the
/// degrees of freedom are the smaller of the two.
///
/// Where both amounts rest on the same conversion factor their errors move together, and part of them cancels in a/b: the interval
/// is then wider than it need be. Refuses amounts below zero and a sum of zero. Gives a value without interval where a
/// standard error is missing; exact where both are.
///
/// Source: delta method, Lehmann & Casella 1998, *Theory of Point Estimation*, section 1.8 (from memory).
pub fn share(a: &Estimate, b: &Estimate, level: f64) -> Outcome {
    check_level(level)?;
    let sum = a.value + b.value;
    if a.value < 0.0 || b.value < 0.0 || !sum.is_finite() {
        return Err(Refusal::new(words!("An amount can't be below zero.")));
    }
    if sum == 0.0 {
        return Err(Refusal::new(words!(
            "Both amounts are zero, so there is no share."
        )));
    }
    let mut estimate = Estimate::bare(
        a.value / sum,
        a.observations + b.observations,
        words!("share of two amounts; no standard error"),
    );
    let (Some(error_a), Some(error_b)) = (a.standard_error, b.standard_error) else {
        estimate.caution.push(words!(
            "One of the amounts has no interval, so the share has none either."
        ));
        return estimate.checked();
    };
    if error_a == 0.0 && error_b == 0.0 {
        estimate.method = words!("both amounts are known exactly");
        estimate.standard_error = Some(0.0);
        estimate.interval = Some(Interval {
            lower: estimate.value,
            upper: estimate.value,
            level,
        });
        return estimate.checked();
    }
    if a.value == 0.0 || b.value == 0.0 {
        estimate.caution.push(words!(
            "One of the amounts is zero by an estimate, from which no interval follows."
        ));
        return estimate.checked();
    }
    let odds_error = (error_a / a.value).hypot(error_b / b.value);
    let degrees = |estimate: &Estimate| {
        estimate
            .standard_error
            .filter(|error| *error > 0.0)
            .and(estimate.degrees_of_freedom)
    };
    let Some(degrees) = [degrees(a), degrees(b)]
        .into_iter()
        .flatten()
        .min_by(f64::total_cmp)
    else {
        estimate.caution.push(words!(
            "Too little was measured to tell how sure the share is."
        ));
        return estimate.checked();
    };
    let reach = student_critical(level, degrees) * odds_error;
    let odds = a.value / b.value;
    let at = |odds: f64| {
        if odds.is_finite() {
            odds / (1.0 + odds)
        } else {
            1.0
        }
    };
    estimate.standard_error = Some(estimate.value * (1.0 - estimate.value) * odds_error);
    estimate.degrees_of_freedom = Some(degrees);
    estimate.interval = Some(Interval {
        lower: at(odds / reach.exp()),
        upper: at(odds * reach.exp()),
        level,
    });
    estimate.method = words!("share of two amounts; t interval on the scale of log odds");
    estimate.checked()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::estimate::{Stratum, stratified_total};

    fn total(population: f64, observed: &[f64]) -> Estimate {
        stratified_total(
            &[Stratum {
                population,
                observed,
            }],
            0.0,
            0.95,
        )
        .unwrap()
    }

    #[test]
    fn by_hand() {
        // ȳ 10 of 20 units: 200, s² 8/3, SE² = 20 · 16 · (8/3)/4. Second: 30 of 10 units: 300, s² 9, SE² = 10 · 7 · 9/3 = 210.
        let a = total(20.0, &[8.0, 10.0, 10.0, 12.0]);
        let b = total(10.0, &[27.0, 30.0, 33.0]);
        let share = share(&a, &b, 0.95).unwrap();
        assert!((share.value - a.value / (a.value + b.value)).abs() < 1e-15);
        assert!((a.value - 200.0).abs() < 1e-12 && (b.value - 300.0).abs() < 1e-12);
        let s2 = 8.0 / 3.0;
        let error = 0.4 * 0.6 * ((20.0 * 16.0 * s2 / 4.0) / 4e4 + 210.0 / 9e4_f64).sqrt();
        assert!((share.standard_error.unwrap() - error).abs() < 1e-12);
        let interval = share.interval.unwrap();
        assert!(
            0.0 < interval.lower
                && interval.lower < 0.4
                && 0.4 < interval.upper
                && interval.upper < 1.0
        );
        assert_eq!(share.degrees_of_freedom, Some(2.0));
    }

    #[test]
    fn censuses_are_exact_and_one_weighing_says_nothing() {
        let a = total(2.0, &[8.0, 12.0]);
        let b = total(1.0, &[20.0]);
        assert_eq!(share(&a, &b, 0.95).unwrap().standard_error, Some(0.0));
        let c = total(5.0, &[20.0]);
        assert!(share(&a, &c, 0.95).unwrap().interval.is_none());
        let none = total(1.0, &[0.0]);
        assert!(share(&none, &none, 0.95).is_err());
    }
}
