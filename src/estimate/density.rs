//! Density from counts on plots of one size.
//!
//! Takes counts, gives the mean per unit of area, and how clumped the counts are.

use super::interval::{LEAN_DENSITY, log_student};
use super::loglinear::{dispersion, dispersion_error};
use super::number::{all_equal, check_level, mean, variance};
use super::{Estimate, Outcome, Refusal};
use crate::words;

/// Mean count ÷ `area` of one plot, with Student's t on the scale of logarithms, leaning
/// upwards, n − 1 degrees of freedom. Assumes plots chosen at random.
///
/// Refuses no plot and an area not above zero. One plot, plots that are all equal, and nothing
/// in any plot give a value without interval.
///
/// Source: Cochran 1977, Sampling Techniques, chapter 2 (from memory); log scale: measured, see
/// `docs/methods.md`.
pub fn density(counts: &[u64], area: f64, level: f64) -> Outcome {
    check_level(level)?;
    if !area.is_finite() || area <= 0.0 {
        return Err(Refusal::new(words!(
            "The size of a plot must be above zero."
        )));
    }
    let counts: Vec<f64> = counts.iter().map(|count| *count as f64).collect();
    let Some(average) = mean(&counts) else {
        return Err(Refusal::new(words!(
            "No plot was counted, so there is no density."
        )));
    };
    let mut estimate = Estimate::bare(
        average,
        counts.len(),
        words!("mean of plots; no standard error"),
    );
    match variance(&counts) {
        _ if average == 0.0 => estimate.caution.push(words!(
            "Nothing was found in any plot: the density is zero as far as seen, and no interval \
             follows from zeros alone."
        )),
        None => estimate.caution.push(words!(
            "Only one plot was counted: how much plots differ can't be told from one, so there \
             is no interval."
        )),
        Some(_) if all_equal(&counts) => estimate.caution.push(words!(
            "All plots hold the same count: that is no proof that others do too, so there is no \
             interval."
        )),
        Some(spread) => {
            let error = (spread / counts.len() as f64).sqrt();
            let degrees = counts.len() as f64 - 1.0;
            estimate.standard_error = Some(error);
            estimate.degrees_of_freedom = Some(degrees);
            estimate.interval = log_student(average, error, degrees, LEAN_DENSITY, level);
            estimate.method = words!(
                "mean of plots; t interval on the log scale, leaning upwards, with n − 1 degrees of \
                 freedom"
            );
        }
    }
    estimate.divided_by(area)
}

/// Exponent k of the negative binomial by maximum likelihood: small where counts are clumped.
///
/// Refuses fewer than two plots, nothing found, and counts that vary no more than chance alone
/// makes them (k without end).
///
/// Source: Bliss & Fisher 1953, "Fitting the negative binomial distribution to biological
/// data", Biometrics 9.
pub fn clumping(counts: &[u64]) -> Outcome {
    let counts: Vec<f64> = counts.iter().map(|count| *count as f64).collect();
    let average = mean(&counts).unwrap_or(0.0);
    if counts.len() < 2 || average == 0.0 {
        return Err(Refusal::new(words!(
            "Too little was found to tell whether it stands in clumps."
        )));
    }
    let means = vec![average; counts.len()];
    let k = dispersion(&counts, &means).ok_or_else(|| {
        Refusal::new(words!(
            "The counts vary no more than chance alone makes them: no clumps to be seen."
        ))
    })?;
    let mut estimate = Estimate::bare(
        k,
        counts.len(),
        words!("negative binomial exponent by maximum likelihood; large-sample standard error"),
    );
    estimate.standard_error = dispersion_error(&counts, &means, k);
    estimate.checked()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::estimate::interval::student;

    /// Bliss & Fisher 1953, European red mites on 150 apple leaves.
    fn mites() -> Vec<u64> {
        [70, 38, 17, 10, 9, 3, 2, 1]
            .iter()
            .enumerate()
            .flat_map(|(mites, leaves)| vec![mites as u64; *leaves])
            .collect()
    }

    /// The same: mean 1.1466667, variance 2.2736465, k 1.0245924 (.2759071); plain t interval
    /// .903387 to 1.389946 (R).
    #[test]
    fn mites_on_leaves() {
        let found = density(&mites(), 1.0, 0.95).unwrap();
        assert!((found.value - 1.146_666_7).abs() < 1e-7);
        let error = found.standard_error.unwrap();
        assert!((error * error * 150.0 - 2.273_646_5).abs() < 1e-7);
        let plain = student(found.value, error, 149.0, 0.95).unwrap();
        assert!((plain.lower - 0.903_387).abs() < 1e-6);
        assert!((plain.upper - 1.389_946).abs() < 1e-6);
        let k = clumping(&mites()).unwrap();
        assert!((k.value - 1.024_592_4).abs() < 1e-6, "{}", k.value);
        assert!((k.standard_error.unwrap() - 0.275_907_1).abs() < 1e-5);
    }

    #[test]
    fn area_divides_and_zeros_are_told() {
        let found = density(&[1, 2, 3], 0.25, 0.95).unwrap();
        assert_eq!(found.value, 8.0);
        assert_eq!(density(&[0, 0], 1.0, 0.95).unwrap().interval, None);
        assert_eq!(density(&[3], 1.0, 0.95).unwrap().interval, None);
        assert!(density(&[], 1.0, 0.95).is_err());
        assert!(density(&[1], 0.0, 0.95).is_err());
        assert!(clumping(&[1, 1, 1, 1]).is_err());
    }
}
