//! Double sampling: a cheap quantity on many units, the dear one on some of these.
//!
//! Takes both phases, gives the total of the dear quantity by ratio. For use where the cheap
//! quantity's own total is not known but sampled.

use super::interval::floored_log_student;
use super::number::{check_amounts, check_level, mean, sum, variance};
use super::{Estimate, Interval, Outcome, Refusal};
use crate::words;

/// Total of y over `population` units: N · (ȳ/x̄) · x̄', where x̄' is the mean of `first`, x on
/// all units of the first phase (those of the second included), and `second` holds the pairs
/// (x, y) of the units chosen at random among them.
///
/// Variance of the mean (1/n − 1/n') s_e² + (1/n' − 1/N) s_y², with s_e² about the ratio. The
/// interval is t on the log scale, leaning upwards, with n − 1 degrees of freedom, floored at the y observed.
/// Refuses a second phase that is empty or larger than the first, a first larger than the
/// population, and x that add up to nothing.
///
/// Source: Cochran 1977, Sampling Techniques, section 12.9 (from memory).
pub fn double_sampling_total(
    first: &[f64],
    second: &[(f64, f64)],
    population: f64,
    level: f64,
) -> Outcome {
    check_level(level)?;
    check_amounts(first)?;
    let x: Vec<f64> = second.iter().map(|pair| pair.0).collect();
    let y: Vec<f64> = second.iter().map(|pair| pair.1).collect();
    check_amounts(&x)?;
    check_amounts(&y)?;
    let (small, large) = (second.len() as f64, first.len() as f64);
    let (Some(first_mean), Some(x_mean), Some(y_mean)) = (mean(first), mean(&x), mean(&y)) else {
        return Err(Refusal::new(words!(
            "Both steps need at least one measured unit."
        )));
    };
    if small > large || !population.is_finite() || population < large {
        return Err(Refusal::new(words!(
            "The second step must be a part of the first, and the first of all units."
        )));
    }
    if x_mean <= 0.0 {
        return Err(Refusal::new(words!(
            "The quantity to divide by adds up to nothing."
        )));
    }
    let ratio = y_mean / x_mean;
    let value = population * ratio * first_mean;
    let mut estimate = Estimate::bare(
        value,
        second.len(),
        words!("double sampling by ratio; no standard error"),
    );
    estimate.population = Some(population);
    let residuals: Vec<f64> = second.iter().map(|(x, y)| y - ratio * x).collect();
    let (Some(about_ratio), Some(about_mean)) = (variance(&residuals), variance(&y)) else {
        estimate.caution.push(words!(
            "Only one unit was measured in the second step: how much units differ can't be told \
             from one, so there is no interval."
        ));
        return estimate.checked();
    };
    let spread =
        (1.0 / small - 1.0 / large) * about_ratio + (1.0 / large - 1.0 / population) * about_mean;
    let error = population * spread.max(0.0).sqrt();
    if small == population {
        estimate.method = words!("census: every unit was observed, so there is no sampling error");
        estimate.standard_error = Some(0.0);
        estimate.interval = Some(Interval {
            lower: value,
            upper: value,
            level,
        });
    } else if about_mean == 0.0 || error <= f64::EPSILON * value {
        estimate.caution.push(words!(
            "The measured units show no spread: that is no proof of certainty, so there is no \
             interval."
        ));
    } else {
        estimate.standard_error = Some(error);
        estimate.degrees_of_freedom = Some(small - 1.0);
        let floor = sum(y).min(value);
        estimate.interval = floored_log_student(value, error, small - 1.0, floor, level);
        estimate.method = words!(
            "double sampling by ratio; standard error of both steps; t interval on \
             the log scale, leaning upwards, with n − 1 degrees of freedom of the second step, floored at what was \
             observed"
        );
    }
    estimate.checked()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::estimate::reference::*;

    fn second() -> Vec<(f64, f64)> {
        reals(&CITIES_1920)
            .into_iter()
            .zip(reals(&CITIES_1930))
            .collect()
    }

    /// With the first phase equal to the second nothing is gained, and the result must be plain
    /// expansion: 25,048 (2,985.53) for the 49 of 196 cities (R boot's bigcity, Cochran 1977).
    #[test]
    fn with_equal_phases_it_is_plain_expansion() {
        let found = double_sampling_total(&reals(&CITIES_1920), &second(), 196.0, 0.95).unwrap();
        assert!((found.value - 25_048.0).abs() < 1e-6);
        assert!((found.standard_error.unwrap() - 2_985.53).abs() < 0.01);
    }

    /// With the first phase a census it is the ratio estimate in its population-mean form:
    /// total 28,397.07, standard error 604.036 (the same data; the other 147 cities are given
    /// the mean that makes the known total of 22,919).
    #[test]
    fn with_a_census_first_it_is_the_ratio_estimate() {
        let mut first = reals(&CITIES_1920);
        let rest = (22_919.0 - sum(first.iter().copied())) / 147.0;
        first.extend([rest; 147]);
        let found = double_sampling_total(&first, &second(), 196.0, 0.95).unwrap();
        assert!((found.value - 28_397.07).abs() < 0.01);
        assert!((found.standard_error.unwrap() - 604.036).abs() < 0.001);
    }

    #[test]
    fn phases_that_do_not_nest_are_refused() {
        assert!(double_sampling_total(&[1.0], &[(1.0, 1.0), (2.0, 1.0)], 5.0, 0.95).is_err());
        assert!(double_sampling_total(&[1.0, 2.0], &[(1.0, 1.0)], 1.0, 0.95).is_err());
        assert!(double_sampling_total(&[0.0, 2.0], &[(0.0, 1.0)], 4.0, 0.95).is_err());
        let one = double_sampling_total(&[1.0, 2.0], &[(1.0, 1.0)], 4.0, 0.95).unwrap();
        assert_eq!(one.interval, None);
    }
}
