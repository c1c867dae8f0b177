//! Total of a part of a population, by prediction: what was observed in the part, plus the mean of its group for every unit of
//! the part that was not observed.
//!
//! Takes, for each group, the units of the part and all observations of the group; gives the part's total. When the part is the
//! whole, the result is that of [`super::stratified_total`].

use super::degrees::{satterthwaite, thin};
use super::interval::floored_log_student;
use super::number::{
    UNEVEN_CAUTION, all_equal, check_amounts, check_level, mean, sum, uneven, variance,
};
use super::{Estimate, Interval, Outcome, Refusal, group};
use crate::words;
use crate::words::Words;

/// One group, as far as it reaches into the part.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PartStratum<'a> {
    /// Units of the part that were not observed, zero or more.
    pub unobserved: f64,
    /// Sum of the amounts of the part's units that were observed.
    pub observed_sum: f64,
    /// Amounts of all observed units of the group, in the part or not.
    pub observed: &'a [f64],
}

/// Σ (observed in the part + unobserved · mean of the group) + `known`.
///
/// The variance of the prediction is Σ s² (m + m²/n) with m unobserved units of the part and n observations of the group: the
/// scatter of the m units about their mean, and the error of the mean they share. With m = N − n it is N² (1 − n/N) s²/n, the
/// variance of [`super::stratified_total`]. The interval is Student's t on the scale of logarithms, leaning upwards, with
/// Satterthwaite's degrees of freedom over the groups that are converted, floored at what was observed plus `known`.
///
/// Assumes that the observed units are a random choice of their group, wherever they were observed.
///
/// Source: R. Valliant, A. H. Dorfman and R. M. Royall, *Finite Population Sampling and Inference: A Prediction Approach*, 2000,
/// chapter 2 (expansion estimator under the common-mean model; from memory).
pub fn part_total(strata: &[PartStratum], known: f64, level: f64) -> Outcome {
    check_level(level)?;
    check_amounts(&[known])?;
    let mut caution: Vec<Words> = Vec::new();
    let mut value = vec![known];
    let mut floor = vec![known];
    let mut variances = Vec::new();
    let mut units = Vec::new();
    for (index, stratum) in strata.iter().enumerate() {
        check_amounts(stratum.observed)?;
        check_amounts(&[stratum.observed_sum, stratum.unobserved])?;
        value.push(stratum.observed_sum);
        floor.push(stratum.observed_sum);
        units.push(stratum.unobserved);
        if stratum.unobserved == 0.0 {
            continue;
        }
        let Some(average) = mean(stratum.observed) else {
            return Err(Refusal::new(words!(
                "{group} has units but none of them was measured, and no other group may stand in for it.",
                group = group(index + 1)
            )));
        };
        value.push(stratum.unobserved * average);
        let n = stratum.observed.len() as f64;
        match variance(stratum.observed) {
            None => caution.push(words!("{group} has only one measured unit: how much units differ can't be told from one, so there is no interval.", group = group(index + 1))),
            Some(_) if all_equal(stratum.observed) => caution.push(words!("{group} has {n} measured units that are all equal: that is no proof that the others are too, so there is no \
                 interval.", group = group(index + 1), n)),
            Some(spread) => {
                let scatter = spread * stratum.unobserved * (1.0 + stratum.unobserved / n);
                variances.push((scatter, n - 1.0));
            }
        }
    }
    let value = sum(value);
    let floor = sum(floor);
    let mut estimate = Estimate {
        value,
        standard_error: None,
        degrees_of_freedom: None,
        interval: None,
        caution,
        method: words!(
            "prediction: observed units as they are, the others by the mean of their group; no standard error"
        ),
        observations: strata.iter().map(|stratum| stratum.observed.len()).sum(),
        population: None,
    };
    if !estimate.caution.is_empty() {
        return estimate.checked();
    }
    if variances.is_empty() {
        estimate.method = words!("census: every unit was observed, so there is no sampling error");
        estimate.standard_error = Some(0.0);
        estimate.interval = Some(Interval {
            lower: value,
            upper: value,
            level,
        });
        return estimate.checked();
    }
    let degrees = satterthwaite(&variances);
    let error = sum(variances.into_iter().map(|(variance, _)| variance)).sqrt();
    estimate.method = words!(
        "prediction: observed units as they are, the others by the mean of their group; t interval on the log scale, leaning upwards, \
                       floored at what was observed"
    );
    estimate.standard_error = Some(error);
    estimate.degrees_of_freedom = Some(degrees);
    estimate.caution.extend(thin(degrees));
    if strata
        .iter()
        .any(|stratum| stratum.unobserved > 0.0 && uneven(stratum.observed))
    {
        estimate.caution.push(Words::fixed(UNEVEN_CAUTION));
    }
    estimate.interval = floored_log_student(value, error, degrees, floor, level);
    estimate.checked()
}

#[cfg(test)]
mod tests {
    use super::super::{Stratum, stratified_total};
    use super::*;

    #[test]
    fn the_part_that_is_the_whole_gives_the_whole() {
        // Invented values.
        let bags = [11.2, 14.8, 9.1, 16.0];
        let baskets = [4.0, 5.5, 4.9];
        let whole = stratified_total(
            &[
                Stratum {
                    population: 40.0,
                    observed: &bags,
                },
                Stratum {
                    population: 12.0,
                    observed: &baskets,
                },
            ],
            30.0,
            0.95,
        )
        .unwrap();
        let part = part_total(
            &[
                PartStratum {
                    unobserved: 36.0,
                    observed_sum: bags.iter().sum(),
                    observed: &bags,
                },
                PartStratum {
                    unobserved: 9.0,
                    observed_sum: baskets.iter().sum(),
                    observed: &baskets,
                },
            ],
            30.0,
            0.95,
        )
        .unwrap();
        assert!((part.value - whole.value).abs() < 1e-9);
        assert!((part.standard_error.unwrap() - whole.standard_error.unwrap()).abs() < 1e-9);
        let degrees = |estimate: &Estimate| estimate.degrees_of_freedom.unwrap();
        assert!((degrees(&part) - degrees(&whole)).abs() < 1e-9);
    }

    #[test]
    fn parts_add_up_to_the_whole() {
        let bags = [11.2, 14.8, 9.1, 16.0];
        let part = |unobserved, observed_sum| {
            part_total(
                &[PartStratum {
                    unobserved,
                    observed_sum,
                    observed: &bags,
                }],
                0.0,
                0.95,
            )
            .unwrap()
            .value
        };
        let together = part(36.0, 51.1);
        assert!((part(10.0, 26.0) + part(26.0, 25.1) - together).abs() < 1e-9);
    }

    #[test]
    fn nonsense_is_refused() {
        for (unobserved, known) in [(-1.0, 0.0), (f64::NAN, 0.0), (1.0, f64::INFINITY)] {
            let strata = [PartStratum {
                unobserved,
                observed_sum: 0.0,
                observed: &[1.0, 2.0],
            }];
            assert!(part_total(&strata, known, 0.95).is_err());
        }
    }
}
