//! Missing amounts filled in several times from their own group, and the results pooled.
//!
//! Takes groups with what was observed and how many are missing, gives the total with an
//! interval that carries what the filling in does not know. Also Rubin's rules by themselves.

use super::distribution::student_critical;
use super::interval::floored_log_student;
use super::number::{all_equal, check_amounts, check_level, mean, sum, variance};
use super::random::Random;
use super::{Estimate, Interval, Outcome, Refusal, group};
use crate::words;
use crate::words::Words;

/// A group of alike units of which some amounts are missing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gap<'a> {
    /// The amounts known, zero or more.
    pub observed: &'a [f64],
    /// How many amounts are missing.
    pub missing: usize,
}

/// Pools (value, variance) of several completed data sets: the mean of the values, the mean of
/// the variances plus (1 + 1/m) times the variance between them, Student's t.
///
/// `complete`: degrees of freedom that the data would carry if nothing were missing, `None` for
/// very many; then Rubin's degrees of freedom are used, else Barnard and Rubin's. Refuses fewer
/// than two data sets and variances below zero.
///
/// Source: Rubin 1987, Multiple Imputation for Nonresponse in Surveys, chapter 3; Barnard &
/// Rubin 1999, "Small-sample degrees of freedom with multiple imputation", Biometrika 86.
pub fn pool(results: &[(f64, f64)], complete: Option<f64>, level: f64) -> Outcome {
    check_level(level)?;
    let values: Vec<f64> = results.iter().map(|result| result.0).collect();
    let variances: Vec<f64> = results.iter().map(|result| result.1).collect();
    super::number::check_finite(&values)?;
    check_amounts(&variances)?;
    let (Some(value), Some(within), Some(between)) =
        (mean(&values), mean(&variances), variance(&values))
    else {
        return Err(Refusal::new(words!(
            "Pooling needs at least two filled-in results."
        )));
    };
    let m = results.len() as f64;
    let added = (1.0 + 1.0 / m) * between;
    let total = within + added;
    let mut estimate = Estimate::bare(
        value,
        results.len(),
        words!("multiple imputation, Rubin's rules"),
    );
    if total == 0.0 {
        estimate.caution.push(words!(
            "The filled-in results show no spread, which is no proof of certainty: no interval."
        ));
        return estimate.checked();
    }
    let share = added / total;
    let many = if share > 0.0 {
        (m - 1.0) / (share * share)
    } else {
        f64::INFINITY
    };
    let degrees = match complete {
        Some(complete) if complete.is_finite() && complete > 0.0 => {
            let seen = (complete + 1.0) / (complete + 3.0) * complete * (1.0 - share);
            // The harmonic form; a share of 1 leaves nothing seen and no degrees at all.
            if seen > 0.0 {
                1.0 / (1.0 / many + 1.0 / seen)
            } else {
                0.0
            }
        }
        Some(_) => {
            return Err(Refusal::new(words!(
                "The degrees of freedom must be above zero."
            )));
        }
        None => many,
    };
    let error = total.sqrt();
    estimate.standard_error = Some(error);
    if degrees > 0.0 {
        estimate.degrees_of_freedom = degrees.is_finite().then_some(degrees);
        let reach = student_critical(level, degrees.min(1e9)) * error;
        estimate.interval = Some(Interval {
            lower: value - reach,
            upper: value + reach,
            level,
        });
        estimate.method = words!("multiple imputation, Rubin's rules; Student's t interval");
    } else {
        estimate.caution.push(words!(
            "All of the uncertainty comes from what is missing: there is no interval."
        ));
    }
    estimate.checked()
}

/// Total of all units, the missing ones filled in `imputations` times by the approximate Bayesian
/// bootstrap within their group: first as many donors as were observed are drawn with
/// replacement, then the missing amounts from these donors.
///
/// The variance between fillings is that of Rubin's rules, raised by n/(n − 1) a group, since
/// the bootstrap of n donors falls short by that factor; the interval is t on the log scale, leaning upwards, with
/// Σ (n − 1) degrees of freedom over groups with gaps, floored at what was observed. Assumes
/// that within a group amounts are missing without regard to their size. 20 to 10,000
/// imputations.
///
/// Refuses a group with gaps and nothing observed. One amount observed, or all equal, in a group
/// with gaps gives a value without interval. Nothing missing: exact.
///
/// Source: Rubin & Schenker 1986, "Multiple imputation for interval estimation from simple
/// random samples with ignorable nonresponse", Journal of the American Statistical Association
/// 81; log scale and degrees of freedom: measured, see `docs/methods.md`.
pub fn impute_total(gaps: &[Gap], imputations: usize, seed: u64, level: f64) -> Outcome {
    check_level(level)?;
    if !(20..=10_000).contains(&imputations) {
        return Err(Refusal::new(words!(
            "The number of fillings must lie between 20 and 10,000."
        )));
    }
    /// Draws in all; bounds the work that a broken count would make.
    const MOST_DRAWS: usize = 20_000_000;
    let mut floor = Vec::new();
    let mut between = Vec::new();
    let mut filled = Vec::new();
    let mut degrees = 0.0;
    let mut caution: Vec<Words> = Vec::new();
    let mut random = Random::seeded(seed);
    for (index, gap) in gaps.iter().enumerate() {
        let group = group(index + 1);
        check_amounts(gap.observed).map_err(|refusal| {
            Refusal::new(words!(
                "{group}: {reason}",
                group = &group,
                reason = refusal.reason
            ))
        })?;
        floor.push(sum(gap.observed.iter().copied()));
        if gap.missing == 0 {
            continue;
        }
        if gap.observed.is_empty() {
            return Err(Refusal::new(words!(
                "{group} has missing amounts and none observed to fill them from.",
                group
            )));
        }
        let units = gap.missing.saturating_add(gap.observed.len());
        if units.saturating_mul(imputations) > MOST_DRAWS {
            return Err(Refusal::new(words!(
                "{group} has too many missing amounts to be filled in that often.",
                group
            )));
        }
        let n = gap.observed.len() as f64;
        // The mean filling is known without drawing; the draws serve the spread.
        filled.push(gap.missing as f64 * mean(gap.observed).unwrap_or(0.0));
        if gap.observed.len() < 2 || all_equal(gap.observed) {
            caution.push(words!(
                "{group} has only one amount, or only equal ones, to fill gaps from: there \
                 is no interval.",
                group
            ));
            continue;
        }
        let draws = fillings(gap, imputations, &mut random);
        let m = imputations as f64;
        between.push(variance(&draws).unwrap_or(0.0) * (1.0 + 1.0 / m) * n / (n - 1.0));
        degrees += n - 1.0;
    }
    if gaps.iter().all(|gap| gap.observed.is_empty()) {
        return Err(Refusal::new(words!(
            "Nothing was observed, so there is no total."
        )));
    }
    let floor = sum(floor);
    let value = floor + sum(filled);
    let observations = gaps.iter().map(|gap| gap.observed.len()).sum();
    let mut estimate = Estimate::bare(value, observations, words!("observed plus filled in"));
    estimate.population = Some(sum(gaps
        .iter()
        .map(|gap| gap.observed.len() as f64 + gap.missing as f64)));
    if !caution.is_empty() {
        estimate.caution = caution;
    } else if degrees == 0.0 {
        estimate.method = words!("nothing was missing, so nothing was filled in");
        estimate.standard_error = Some(0.0);
        estimate.interval = Some(Interval {
            lower: value,
            upper: value,
            level,
        });
    } else {
        let error = sum(between).sqrt();
        estimate.standard_error = Some(error);
        estimate.degrees_of_freedom = Some(degrees);
        estimate.interval = floored_log_student(value, error, degrees, floor, level);
        estimate.method = words!(
            "missing amounts filled in {imputations} times within their group (approximate \
             Bayesian bootstrap, seed {seed}), Rubin's rules; t interval on the log scale, leaning \
             upwards, \
             floored at what was observed",
            imputations = imputations.to_string(),
            seed = seed.to_string()
        );
    }
    estimate.checked()
}

/// Sums of the missing amounts of one group in each filling.
fn fillings(gap: &Gap, imputations: usize, random: &mut Random) -> Vec<f64> {
    // A fixed order first, so that the order of the input changes nothing.
    let mut pool = gap.observed.to_vec();
    pool.sort_by(f64::total_cmp);
    (0..imputations)
        .map(|_| {
            let donors: Vec<f64> = (0..pool.len())
                .filter_map(|_| pool.get(random.below(pool.len())).copied())
                .collect();
            sum((0..gap.missing).filter_map(|_| donors.get(random.below(donors.len())).copied()))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rubin's rules by hand on five results (value, variance); degrees of freedom
    /// (m − 1)(1 + W ÷ ((1 + 1/m)B))². Rubin 1987, equations 3.1.2 to 3.1.6.
    #[test]
    fn rubins_rules() {
        let results = [
            (10.0, 4.0),
            (12.0, 5.0),
            (11.0, 4.5),
            (9.0, 4.2),
            (13.0, 4.8),
        ];
        let found = pool(&results, None, 0.95).unwrap();
        assert!((found.value - 11.0).abs() < 1e-12);
        let total: f64 = 4.5 + 1.2 * 2.5;
        assert!((found.standard_error.unwrap() - total.sqrt()).abs() < 1e-12);
        let expected = 4.0 * (1.0 + 4.5 / 3.0_f64).powi(2);
        assert!((found.degrees_of_freedom.unwrap() - expected).abs() < 1e-9);
        // Barnard & Rubin 1999 with 20 complete degrees: 21/23 · 20 · 0.6 = 10.957 seen.
        let small = pool(&results, Some(20.0), 0.95).unwrap();
        let expected = 1.0 / (1.0 / 25.0 + 1.0 / (21.0 / 23.0 * 20.0 * 0.6));
        assert!((small.degrees_of_freedom.unwrap() - expected).abs() < 1e-9);
    }

    /// With amounts missing at random the filled-in total is that of simple expansion, and its
    /// standard error too: N(N − n)s²/n (Cochran 1977, chapter 2).
    #[test]
    fn filling_in_agrees_with_expansion() {
        let observed = [3.0, 8.0, 5.0, 12.0, 7.0, 4.0, 9.0, 6.0];
        let gaps = [Gap {
            observed: &observed,
            missing: 12,
        }];
        let filled = impute_total(&gaps, 10_000, 5, 0.95).unwrap();
        let strata = [crate::estimate::Stratum {
            population: 20.0,
            observed: &observed,
        }];
        let expanded = crate::estimate::stratified_total(&strata, 0.0, 0.95).unwrap();
        assert!((filled.value - expanded.value).abs() < 1e-9);
        let ratio = filled.standard_error.unwrap() / expanded.standard_error.unwrap();
        assert!((ratio - 1.0).abs() < 0.05, "{ratio}");
    }

    #[test]
    fn gaps_without_donors_are_refused() {
        let empty = Gap {
            observed: &[],
            missing: 2,
        };
        assert!(impute_total(&[empty], 50, 1, 0.95).is_err());
        assert!(impute_total(&[], 50, 1, 0.95).is_err());
        let one = Gap {
            observed: &[4.0],
            missing: 2,
        };
        let found = impute_total(&[one], 50, 1, 0.95).unwrap();
        assert_eq!((found.value, found.interval), (12.0, None));
        let whole = Gap {
            observed: &[4.0, 5.0],
            missing: 0,
        };
        assert_eq!(
            impute_total(&[whole], 50, 1, 0.95).unwrap().standard_error,
            Some(0.0)
        );
        assert!(pool(&[(1.0, 1.0)], None, 0.95).is_err());
    }
}
