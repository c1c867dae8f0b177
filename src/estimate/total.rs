//! Totals from simple random samples within strata, expanded to all units of each stratum.
//!
//! Takes strata with their sizes and the units observed, gives the total with its log-t
//! interval. Borrows nothing from one stratum for another.

use super::degrees::{satterthwaite, thin};
use super::interval::floored_log_student;
use super::number::{
    UNEVEN_CAUTION, all_equal, check_amounts, check_level, mean, sum, uneven, variance,
};
use super::{Estimate, Interval, Outcome, Refusal, group};
use crate::words;
use crate::words::Words;

/// One group of alike units, of which some were observed at random.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stratum<'a> {
    /// Units in all, at least `observed.len()`.
    pub population: f64,
    /// The amounts of the units observed, each zero or more.
    pub observed: &'a [f64],
}

/// What one stratum gives to a total.
struct Part {
    total: f64,
    observed: f64,
    variance: f64,
    /// n − 1 where the stratum was sampled, 0 where all of it was observed.
    degrees: f64,
}

/// Sum of the strata's totals by simple expansion, N · mean, plus `known`, an amount known
/// exactly. Its variance is Σ N² (1 − n/N) s²/n.
///
/// The interval is Student's t on the scale of logarithms, leaning upwards, with Satterthwaite's
/// degrees of freedom over the strata that were sampled, and never reaches below what was
/// observed plus `known`. Assumes that the units observed are a random choice within their
/// stratum.
///
/// Refuses: no stratum and nothing known; a stratum with units but no observation (the reason
/// numbers it from 1); sizes smaller than what was observed; amounts below zero. Gives a value
/// without interval where a sampled stratum has one observation, or several that are all equal.
///
/// Source: Cochran 1977, Sampling Techniques, chapter 5 and section 5.4 for the degrees of freedom
/// (from memory). n − H degrees, also in use, covered as little as .74 where one of the strata
/// carries most of the variance: see the coverage tables in `docs/methods.md`.
pub fn stratified_total(strata: &[Stratum], known: f64, level: f64) -> Outcome {
    check_level(level)?;
    if !known.is_finite() || known < 0.0 {
        return Err(Refusal::new(words!(
            "The amount that is known exactly must be zero or more."
        )));
    }
    if strata.is_empty() && known == 0.0 {
        return Err(Refusal::new(words!(
            "Nothing was observed, so there is no total."
        )));
    }
    let mut parts = Vec::with_capacity(strata.len());
    let mut caution: Vec<Words> = Vec::new();
    for (index, stratum) in strata.iter().enumerate() {
        parts.push(part(index, stratum, strata.len(), &mut caution)?);
    }
    let value = sum(parts.iter().map(|part| part.total).chain([known]));
    let floor = sum(parts.iter().map(|part| part.observed).chain([known]));
    let parts_sampled = parts.iter().filter(|part| part.degrees > 0.0).count();
    let observations = strata.iter().map(|stratum| stratum.observed.len()).sum();
    let population = sum(strata.iter().map(|stratum| stratum.population));
    let mut estimate = Estimate {
        value,
        standard_error: None,
        degrees_of_freedom: None,
        interval: None,
        caution,
        method: String::new().into(),
        observations,
        population: Some(population),
    };
    if !estimate.caution.is_empty() {
        estimate.method = words!("simple expansion within strata; no standard error");
    } else if parts_sampled == 0 {
        estimate.method = words!("census: every unit was observed, so there is no sampling error");
        estimate.standard_error = Some(0.0);
        estimate.interval = Some(Interval {
            lower: value,
            upper: value,
            level,
        });
    } else {
        let error = sum(parts.iter().map(|part| part.variance)).sqrt();
        let weights: Vec<(f64, f64)> = parts
            .iter()
            .map(|part| (part.variance, part.degrees))
            .collect();
        let degrees = satterthwaite(&weights);
        estimate.method = words!(
            "simple expansion within strata; standard error with finite population \
             correction; t interval on the log scale, leaning upwards, Satterthwaite's degrees of \
             freedom, floored at what was observed"
        );
        estimate.standard_error = Some(error);
        estimate.degrees_of_freedom = Some(degrees);
        estimate.interval = floored_log_student(value, error, degrees, floor, level);
        estimate.caution.extend(thin(degrees));
        if strata.iter().any(|stratum| uneven(stratum.observed)) {
            estimate.caution.push(Words::fixed(UNEVEN_CAUTION));
        }
        if estimate.interval.is_none() {
            estimate.caution.push(words!(
                "The uncertainty is so large that no interval can be computed."
            ));
        }
    }
    estimate.checked()
}

/// Mean per unit over all strata: the total divided by the number of units. As
/// [`stratified_total`] in everything else.
pub fn stratified_mean(strata: &[Stratum], level: f64) -> Outcome {
    let total = stratified_total(strata, 0.0, level)?;
    match total.population {
        Some(units) if units > 0.0 => total.divided_by(units),
        _ => Err(Refusal::new(words!(
            "There are no units, so there is no mean."
        ))),
    }
}

/// One stratum's total and variance. Pushes a caution where the variance can't be had.
fn part(
    index: usize,
    stratum: &Stratum,
    strata: usize,
    caution: &mut Vec<Words>,
) -> Result<Part, Refusal> {
    let group = if strata == 1 {
        words!("The group")
    } else {
        group(index + 1)
    };
    let count = stratum.observed.len();
    let n = count as f64;
    check_amounts(stratum.observed).map_err(|refusal| {
        Refusal::new(words!(
            "{group}: {reason}",
            group = &group,
            reason = refusal.reason
        ))
    })?;
    if !stratum.population.is_finite() || stratum.population < n {
        return Err(Refusal::new(words!(
            "{group} is said to hold fewer units than were observed of it.",
            group
        )));
    }
    let unobserved = stratum.population > n;
    let Some(average) = mean(stratum.observed) else {
        if !unobserved {
            return Ok(Part {
                total: 0.0,
                observed: 0.0,
                variance: 0.0,
                degrees: 0.0,
            });
        }
        return Err(Refusal::new(words!(
            "{group} has units but none of them was measured, and no other group may stand in \
             for it.",
            group
        )));
    };
    let observed = sum(stratum.observed.iter().copied());
    if !unobserved {
        return Ok(Part {
            total: observed,
            observed,
            variance: 0.0,
            degrees: 0.0,
        });
    }
    let variance = match variance(stratum.observed) {
        None => {
            caution.push(words!(
                "{group} has only one measured unit: how much units differ can't be told from \
                 one, so there is no interval.",
                group
            ));
            0.0
        }
        Some(_) if all_equal(stratum.observed) => {
            caution.push(words!(
                "{group} has {count} measured units that are all equal: that is no proof that \
                 the others are too, so there is no interval.",
                group,
                count
            ));
            0.0
        }
        Some(spread) => stratum.population * (stratum.population - n) * spread / n,
    };
    Ok(Part {
        total: stratum.population * average,
        observed,
        variance,
        degrees: n - 1.0,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::estimate::reference::*;

    fn close(found: f64, expected: f64, relative: f64) {
        assert!(
            (found - expected).abs() <= relative * expected.abs(),
            "{found} is not {expected}"
        );
    }

    /// Lohr 1999, Sampling: Design and Analysis, chapter 2; R survey: total 916,927,110,
    /// standard error 58,169,381; mean = total ÷ 3078.
    #[test]
    fn farm_acreage_from_a_simple_sample() {
        let observed = reals(&AGRICULTURE_1992);
        let strata = [Stratum {
            population: 3078.0,
            observed: &observed,
        }];
        let total = stratified_total(&strata, 0.0, 0.95).unwrap();
        close(total.value, 916_927_109.64, 1e-11);
        close(total.standard_error.unwrap(), 58_169_381.169_5, 1e-11);
        let mean = stratified_mean(&strata, 0.95).unwrap();
        close(mean.value, 916_927_109.64 / 3078.0, 1e-11);
        close(
            mean.standard_error.unwrap(),
            58_169_381.169_5 / 3078.0,
            1e-11,
        );
    }

    /// Lohr 1999, stratified chapter; R survey: total 909,736,035, standard error 50,417,248.
    #[test]
    fn farm_acreage_by_region() {
        let regions = [
            (220.0, reals(&AGRICULTURE_NORTH_EAST_1992)),
            (1054.0, reals(&AGRICULTURE_NORTH_CENTRAL_1992)),
            (1382.0, reals(&AGRICULTURE_SOUTH_1992)),
            (422.0, reals(&AGRICULTURE_WEST_1992)),
        ];
        let strata: Vec<Stratum> = regions
            .iter()
            .map(|(population, observed)| Stratum {
                population: *population,
                observed,
            })
            .collect();
        let total = stratified_total(&strata, 0.0, 0.95).unwrap();
        close(total.value, 909_736_035.392, 1e-11);
        close(total.standard_error.unwrap(), 50_417_248.251_9, 1e-11);
    }

    /// R survey 4.1, apisrs and apistrat: enrolment 3,621,074.34 (169,519.65) and 3,687,177.53
    /// (114,641.72). Satterthwaite's degrees of freedom lie below the 197 of n − H.
    #[test]
    fn enrolment_of_schools() {
        let all = reals(&SCHOOLS);
        let simple = [Stratum {
            population: 6194.0,
            observed: &all,
        }];
        let total = stratified_total(&simple, 0.0, 0.95).unwrap();
        close(total.value, 3_621_074.34, 1e-9);
        close(total.standard_error.unwrap(), 169_519.65, 1e-7);
        let kinds = [
            (4421.0, reals(&SCHOOLS_ELEMENTARY)),
            (755.0, reals(&SCHOOLS_HIGH)),
            (1018.0, reals(&SCHOOLS_MIDDLE)),
        ];
        let strata: Vec<Stratum> = kinds
            .iter()
            .map(|(population, observed)| Stratum {
                population: *population,
                observed,
            })
            .collect();
        let total = stratified_total(&strata, 0.0, 0.95).unwrap();
        // R's weights are stored rounded to seven digits.
        close(total.value, 3_687_177.53, 1e-8);
        close(total.standard_error.unwrap(), 114_641.72, 1e-7);
        let degrees = total.degrees_of_freedom.unwrap();
        assert!(degrees > 99.0 && degrees < 197.0, "{degrees}");
    }

    /// Lohr 1999, Sampling: Design and Analysis, example 3.6: field counts of 25 of 100 plots,
    /// expansion 1156 with standard error 52.2207 (R survey).
    #[test]
    fn expansion_of_field_counts() {
        let observed = reals(&FIELD_COUNTS);
        let strata = [Stratum {
            population: 100.0,
            observed: &observed,
        }];
        let total = stratified_total(&strata, 0.0, 0.95).expect("total");
        assert_eq!(total.value, 1156.0);
        assert!((total.standard_error.unwrap() - 52.2207).abs() < 5e-5);
        assert!((total.degrees_of_freedom.unwrap() - 24.0).abs() < 1e-9);
        assert_eq!(total.observations, 25);
    }

    /// Lohr 1999, example 5.2 p. 137: grade averages summed over 5 of 100 suites of 4 students:
    /// total 1130.4, standard error 65.46596 with the finite population correction and 67.16666
    /// without.
    #[test]
    fn grades_by_suite() {
        let strata = [Stratum {
            population: 100.0,
            observed: &[12.16, 11.36, 8.96, 12.96, 11.08],
        }];
        let total = stratified_total(&strata, 0.0, 0.95).unwrap();
        close(total.value, 1130.4, 1e-12);
        close(total.standard_error.unwrap(), 65.465_96, 1e-7);
        close(
            total.standard_error.unwrap() / 0.95_f64.sqrt(),
            67.166_66,
            1e-7,
        );
    }

    #[test]
    fn a_census_has_no_sampling_error() {
        let strata = [Stratum {
            population: 3.0,
            observed: &[4.0, 5.0, 7.0],
        }];
        let total = stratified_total(&strata, 2.0, 0.95).expect("total");
        assert_eq!(total.value, 18.0);
        assert_eq!(total.standard_error, Some(0.0));
        let interval = total.interval.expect("interval");
        assert_eq!((interval.lower, interval.upper), (18.0, 18.0));
        assert!(total.method.to_string().starts_with("census"));
    }

    #[test]
    fn one_unit_or_equal_units_give_a_value_without_interval() {
        for observed in [&[4.0][..], &[4.0, 4.0, 4.0]] {
            let strata = [Stratum {
                population: 10.0,
                observed,
            }];
            let total = stratified_total(&strata, 0.0, 0.95).expect("total");
            assert_eq!(total.value, 40.0);
            assert_eq!(total.standard_error, None);
            assert_eq!(total.interval, None);
            assert_eq!(total.caution.len(), 1);
        }
    }

    #[test]
    fn a_stratum_without_observation_is_refused_by_number() {
        let strata = [
            Stratum {
                population: 2.0,
                observed: &[1.0, 2.0],
            },
            Stratum {
                population: 5.0,
                observed: &[],
            },
        ];
        let refusal = stratified_total(&strata, 0.0, 0.95).expect_err("refusal");
        assert!(refusal.to_string().starts_with("Group 2 "), "{refusal}");
    }

    #[test]
    fn the_lower_end_is_never_below_what_was_observed() {
        let strata = [Stratum {
            population: 4.0,
            observed: &[1.0, 30.0, 2.0],
        }];
        let total = stratified_total(&strata, 5.0, 0.95).expect("total");
        assert!(total.interval.expect("interval").lower >= 38.0);
    }
}
