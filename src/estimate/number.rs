//! Checks on numbers handed in, and sums that don't depend on order.
//!
//! Takes slices and single numbers, gives sums or a [`Refusal`]. Holds no estimator.

use super::Refusal;
use crate::phrase;
use crate::words;

/// Sums after sorting, with Neumaier's compensation, so that the order of the observations
/// changes no bit of the result.
///
/// Source: Neumaier 1974, "Rundungsfehleranalyse einiger Verfahren zur Summation endlicher
/// Summen", Zeitschrift für Angewandte Mathematik und Mechanik 54 (formula from memory).
pub fn sum(values: impl IntoIterator<Item = f64>) -> f64 {
    let mut sorted: Vec<f64> = values.into_iter().collect();
    sorted.sort_by(f64::total_cmp);
    let mut total = 0.0_f64;
    let mut lost = 0.0_f64;
    for value in sorted {
        let next = total + value;
        lost += if total.abs() >= value.abs() {
            (total - next) + value
        } else {
            (value - next) + total
        };
        total = next;
    }
    total + lost
}

/// Arithmetic mean; `None` for an empty slice.
pub fn mean(values: &[f64]) -> Option<f64> {
    (!values.is_empty()).then(|| sum(values.iter().copied()) / values.len() as f64)
}

/// Sample variance with divisor n − 1; `None` below two values.
pub fn variance(values: &[f64]) -> Option<f64> {
    if values.len() < 2 {
        return None;
    }
    let centre = mean(values)?;
    Some(sum(values.iter().map(|value| (value - centre).powi(2))) / (values.len() - 1) as f64)
}

/// Whether no value differs from the first. Asked of the values themselves, since a variance
/// of equal numbers may come out as rounding noise instead of zero.
pub fn all_equal(values: &[f64]) -> bool {
    values
        .first()
        .is_none_or(|first| values.iter().all(|value| value == first))
}

/// Coefficient of variation above which few observations leave intervals short of their level.
const UNEVEN: f64 = 0.9;

/// Whether observations spread so widely that a few large ones decide their mean.
pub fn uneven(values: &[f64]) -> bool {
    match (mean(values), variance(values)) {
        (Some(mean), Some(variance)) => variance.sqrt() > UNEVEN * mean.abs(),
        _ => false,
    }
}

/// What to say of such observations.
pub const UNEVEN_CAUTION: &str = phrase!(
    "Approximate: the measured units differ so much that a few large \
     ones decide; measure more."
);

/// Refuses a confidence level that is none.
pub fn check_level(level: f64) -> Result<(), Refusal> {
    if level > 0.0 && level < 1.0 {
        Ok(())
    } else {
        Err(Refusal::new(words!(
            "The confidence level must lie between 0 and 1, such as 0.95."
        )))
    }
}

/// Refuses numbers that are not finite.
pub fn check_finite(values: &[f64]) -> Result<(), Refusal> {
    match values.iter().position(|value| !value.is_finite()) {
        None => Ok(()),
        Some(index) => Err(Refusal::new(words!(
            "Observation {number} is not a number.",
            number = index + 1
        ))),
    }
}

/// Refuses numbers that are negative or not finite.
pub fn check_amounts(values: &[f64]) -> Result<(), Refusal> {
    check_finite(values)?;
    match values.iter().position(|value| *value < 0.0) {
        None => Ok(()),
        Some(index) => Err(Refusal::new(words!(
            "Observation {number} is below zero, which no amount can be.",
            number = index + 1
        ))),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sum_keeps_small_parts_and_ignores_order() {
        assert_eq!(sum([1e16, 1.0, -1e16]), 1.0);
        assert_eq!(sum([0.1, 0.2, 0.3]), sum([0.3, 0.1, 0.2]));
    }

    #[test]
    fn variance_needs_two() {
        assert_eq!(variance(&[3.0]), None);
        assert_eq!(variance(&[1.0, 3.0]), Some(2.0));
    }

    #[test]
    fn what_is_no_amount_is_refused() {
        assert!(check_amounts(&[1.0, f64::NAN]).is_err());
        assert!(check_amounts(&[1.0, -0.5]).is_err());
        assert!(check_level(1.0).is_err());
        assert!(check_level(f64::NAN).is_err());
    }
}
