//! Ratios and totals by ratio, where a second quantity is known for every unit.
//!
//! Takes pairs (x, y) of units observed at random, and the total of x over all units; gives
//! y ÷ x and the total of y. Worth it where y goes with x through the origin.

use super::degrees::{satterthwaite, thin};
use super::interval::{floored_log_student, student};
use super::number::{check_finite, check_level, sum, variance};
use super::{Estimate, Interval, Outcome, Refusal, group};
use crate::phrase;
use crate::words;
use crate::words::Words;

/// Which mean of x scales the residuals. Both forms are in use; they differ where the sample's
/// mean of x is off the population's.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RatioForm {
    /// The sample's own mean of x: follows the sample at hand, the form of R's survey package.
    SampleMean,
    /// The mean of x over all units, the textbook form.
    PopulationMean,
}

impl RatioForm {
    fn words(self) -> Words {
        match self {
            Self::SampleMean => words!("sample-mean form"),
            Self::PopulationMean => words!("population-mean form"),
        }
    }
}

/// A group of units with x known in total and pairs (x, y) of some units.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PairedStratum<'a> {
    /// Units in all.
    pub population: f64,
    /// Sum of x over all units.
    pub total_x: f64,
    /// Pairs (x, y), x >= 0, y >= 0, of the units observed.
    pub pairs: &'a [(f64, f64)],
}

/// Residuals smaller than this share of y are rounding, not spread.
const ROUNDING: f64 = 1e-12;

/// Σy ÷ Σx over units observed at random, y of either sign, with Student's t interval.
///
/// `population`: units in all where finite, for the correction 1 − n/N. Refuses fewer units
/// than observed, and a sum of x that is not above zero. One pair, or pairs all in the same
/// proportion, give a value without interval. Standard error in the sample-mean form.
///
/// Source: Lohr 1999, Sampling: Design and Analysis, section 3.1.
pub fn ratio(pairs: &[(f64, f64)], population: Option<f64>, level: f64) -> Outcome {
    check_level(level)?;
    check_pairs(pairs)?;
    let n = pairs.len() as f64;
    if population.is_some_and(|all| !all.is_finite() || all < n) {
        return Err(Refusal::new(words!(
            "There are said to be fewer units than were observed."
        )));
    }
    let x = sum(pairs.iter().map(|pair| pair.0));
    if x <= 0.0 {
        return Err(Refusal::new(words!(
            "The quantity to divide by adds up to nothing."
        )));
    }
    let value = sum(pairs.iter().map(|pair| pair.1)) / x;
    let mut estimate = Estimate::bare(
        value,
        pairs.len(),
        words!("ratio of sums; no standard error"),
    );
    estimate.population = population;
    let share_left = population.map_or(1.0, |all| 1.0 - n / all);
    match spread(pairs, value) {
        _ if share_left == 0.0 => certain(&mut estimate, level),
        Some(variance) => {
            let error = (share_left * n * variance).sqrt() / x;
            estimate.standard_error = Some(error);
            estimate.degrees_of_freedom = Some(n - 1.0);
            estimate.interval = student(value, error, n - 1.0, level);
            if pairs.len() < FEW {
                estimate.caution.push(words!(
                    "Approximate: with few and uneven units this symmetrical interval holds the \
                     truth less often than it says."
                ));
            }
            estimate.method = words!(
                "ratio of sums; linearised standard error, sample-mean form; \
                 Student's t with n − 1 degrees of freedom"
            );
        }
        None => estimate.caution.push(Words::fixed(NO_SPREAD)),
    }
    estimate.checked()
}

/// Fewer units than this leave the plainer forms short of their level when data are skewed.
const FEW: usize = 30;

const NO_SPREAD: &str = phrase!(
    "The measured units show no spread about the ratio, or there is only \
     one: that is no proof of certainty, so there is no interval."
);

fn certain(estimate: &mut Estimate, level: f64) {
    estimate.method = words!("census: every unit was observed, so there is no sampling error");
    estimate.standard_error = Some(0.0);
    estimate.interval = Some(Interval {
        lower: estimate.value,
        upper: estimate.value,
        level,
    });
}

/// Total of y with a ratio of its own in every stratum, summed. Needs a good handful of pairs
/// in each, since each ratio is a little biased.
///
/// The interval is t on the scale of logarithms, floored at the y observed, with Satterthwaite's
/// degrees of freedom. Refuses a stratum that holds units but no pair, or whose x adds up to
/// nothing; gives no interval where a sampled stratum shows no spread.
///
/// Source: Cochran 1977, Sampling Techniques, section 6.10 (from memory).
pub fn separate_ratio_total(strata: &[PairedStratum], form: RatioForm, level: f64) -> Outcome {
    check_strata(strata, level)?;
    let mut parts = Vec::new();
    for (index, stratum) in strata.iter().enumerate() {
        let x = sum(stratum.pairs.iter().map(|pair| pair.0));
        if x <= 0.0 {
            return Err(Refusal::new(words!(
                "{group}: the quantity to divide by adds up to nothing.",
                group = group(index + 1)
            )));
        }
        let ratio = sum(stratum.pairs.iter().map(|pair| pair.1)) / x;
        let scale = match form {
            RatioForm::PopulationMean => 1.0,
            RatioForm::SampleMean => {
                stratum.total_x * stratum.pairs.len() as f64 / (stratum.population * x)
            }
        };
        parts.push((ratio * stratum.total_x, part(stratum, ratio, scale)));
    }
    let value = sum(parts.iter().map(|part| part.0));
    let variances: Vec<Option<(f64, f64)>> = parts.into_iter().map(|part| part.1).collect();
    total(
        value,
        strata,
        &variances,
        &words!("separate ratios"),
        form,
        level,
    )
}

/// Total of y with one ratio for all strata, estimated from their expanded sums.
///
/// As [`separate_ratio_total`], but steadier where strata are small, and biased towards nothing
/// worse than a larger standard error where their ratios differ.
///
/// Source: Cochran 1977, Sampling Techniques, section 6.11 (from memory).
pub fn combined_ratio_total(strata: &[PairedStratum], form: RatioForm, level: f64) -> Outcome {
    check_strata(strata, level)?;
    let expanded = |pick: fn(&(f64, f64)) -> f64| {
        sum(strata
            .iter()
            .filter(|s| !s.pairs.is_empty())
            .map(|stratum| {
                stratum.population * sum(stratum.pairs.iter().map(pick))
                    / stratum.pairs.len() as f64
            }))
    };
    let x = expanded(|pair| pair.0);
    if x <= 0.0 {
        return Err(Refusal::new(words!(
            "The quantity to divide by adds up to nothing."
        )));
    }
    let ratio = expanded(|pair| pair.1) / x;
    let total_x = sum(strata.iter().map(|stratum| stratum.total_x));
    let scale = match form {
        RatioForm::PopulationMean => 1.0,
        RatioForm::SampleMean => total_x / x,
    };
    let variances: Vec<Option<(f64, f64)>> = strata
        .iter()
        .map(|stratum| part(stratum, ratio, scale))
        .collect();
    total(
        ratio * total_x,
        strata,
        &variances,
        &words!("one ratio for all strata"),
        form,
        level,
    )
}

fn check_pairs(pairs: &[(f64, f64)]) -> Result<(), Refusal> {
    if pairs.is_empty() {
        return Err(Refusal::new(words!(
            "Nothing was observed, so there is no ratio."
        )));
    }
    let flat: Vec<f64> = pairs.iter().flat_map(|pair| [pair.0, pair.1]).collect();
    check_finite(&flat)
        .map_err(|_| Refusal::new(words!("One of the observations is not a number.")))
}

fn check_strata(strata: &[PairedStratum], level: f64) -> Result<(), Refusal> {
    check_level(level)?;
    if strata.is_empty() {
        return Err(Refusal::new(words!(
            "Nothing was observed, so there is no total."
        )));
    }
    for (index, stratum) in strata.iter().enumerate() {
        let group = group(index + 1);
        if stratum.pairs.is_empty() {
            return Err(Refusal::new(words!(
                "{group} has units but none of them was measured, and no other group may \
                 stand in for it.",
                group
            )));
        }
        check_pairs(stratum.pairs)?;
        if stratum
            .pairs
            .iter()
            .any(|pair| pair.0 < 0.0 || pair.1 < 0.0)
        {
            return Err(Refusal::new(words!(
                "{group} has an observation below zero, which no amount can be.",
                group
            )));
        }
        if !stratum.population.is_finite() || stratum.population < stratum.pairs.len() as f64 {
            return Err(Refusal::new(words!(
                "{group} is said to hold fewer units than were observed of it.",
                group
            )));
        }
        if !stratum.total_x.is_finite() || stratum.total_x < 0.0 {
            return Err(Refusal::new(words!(
                "{group} has no usable total of the quantity to multiply by.",
                group
            )));
        }
    }
    Ok(())
}

/// Residual variance about the ratio with divisor n − 1, residuals centred within the group;
/// `None` where there is none to see.
fn spread(pairs: &[(f64, f64)], ratio: f64) -> Option<f64> {
    let residuals: Vec<f64> = pairs.iter().map(|(x, y)| y - ratio * x).collect();
    let scale = sum(pairs.iter().map(|(_, y)| y * y));
    let spread = variance(&residuals)?;
    (spread > ROUNDING * ROUNDING * scale).then_some(spread)
}

/// Variance and degrees of freedom of one stratum; a stratum observed whole has (0, 0).
fn part(stratum: &PairedStratum, ratio: f64, scale: f64) -> Option<(f64, f64)> {
    let n = stratum.pairs.len() as f64;
    if stratum.population == n {
        return Some((0.0, 0.0));
    }
    let variance = spread(stratum.pairs, ratio)?;
    let expansion = stratum.population * (stratum.population - n) / n;
    Some((scale * scale * expansion * variance, n - 1.0))
}

fn total(
    value: f64,
    strata: &[PairedStratum],
    parts: &[Option<(f64, f64)>],
    kind: &Words,
    form: RatioForm,
    level: f64,
) -> Outcome {
    let observations = strata.iter().map(|stratum| stratum.pairs.len()).sum();
    let mut estimate = Estimate::bare(
        value,
        observations,
        words!("total by {kind}; no standard error", kind),
    );
    estimate.population = Some(sum(strata.iter().map(|stratum| stratum.population)));
    let Some(parts) = parts.iter().copied().collect::<Option<Vec<(f64, f64)>>>() else {
        estimate.caution.push(Words::fixed(NO_SPREAD));
        return estimate.checked();
    };
    if parts.iter().all(|part| part.1 == 0.0) {
        certain(&mut estimate, level);
        return estimate.checked();
    }
    let error = sum(parts.iter().map(|part| part.0)).sqrt();
    let degrees = satterthwaite(&parts);
    let floor = sum(strata
        .iter()
        .flat_map(|s| s.pairs.iter().map(|pair| pair.1)));
    estimate.standard_error = Some(error);
    estimate.degrees_of_freedom = Some(degrees);
    estimate.interval = floored_log_student(value, error, degrees, floor, level);
    estimate.caution.extend(thin(degrees));
    if form == RatioForm::PopulationMean && observations < FEW {
        estimate.caution.push(words!(
            "Approximate: with few units this form of the standard error is a little too small."
        ));
    }
    estimate.method = words!(
        "total by {kind}; standard error with finite population correction, {form}; t interval on \
         the log scale, leaning upwards, with Satterthwaite's degrees of freedom, floored at what was observed",
        kind,
        form = form.words()
    );
    estimate.checked()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::estimate::reference::*;

    fn pairs(x: &[u32], y: &[u32]) -> Vec<(f64, f64)> {
        reals(x).into_iter().zip(reals(y)).collect()
    }

    fn close(found: f64, expected: f64, relative: f64) {
        assert!(
            (found - expected).abs() <= relative * expected.abs(),
            "{found} is not {expected}"
        );
    }

    /// Lohr 1999, example 3.2 p. 63 and R survey: B .98656524 (.00575047); total 951,513,191,
    /// standard error 5,546,162 in the sample-mean form and 5,344,567 in the other.
    #[test]
    fn farm_acreage_by_ratio() {
        let pairs = pairs(&AGRICULTURE_1987, &AGRICULTURE_1992);
        let found = ratio(&pairs, Some(3078.0), 0.95).unwrap();
        close(found.value, 0.986_565_237_143, 1e-11);
        close(found.standard_error.unwrap(), 0.005_750_472_694_95, 1e-10);
        let stratum = [PairedStratum {
            population: 3078.0,
            total_x: 964_470_625.0,
            pairs: &pairs,
        }];
        for (form, error) in [
            (RatioForm::SampleMean, 5_546_161.994),
            (RatioForm::PopulationMean, 5_344_567.0),
        ] {
            for total in [separate_ratio_total, combined_ratio_total] {
                let found = total(&stratum, form, 0.95).unwrap();
                close(found.value, 951_513_190.87, 1e-10);
                close(found.standard_error.unwrap(), error, 1e-6);
            }
        }
    }

    /// Lohr 1999, stratified chapter; R survey: combined ratio 954,823,130 (5,967,910).
    #[test]
    fn farm_acreage_by_one_ratio_for_four_regions() {
        let regions = [
            (
                220.0,
                pairs(&AGRICULTURE_NORTH_EAST_1987, &AGRICULTURE_NORTH_EAST_1992),
            ),
            (
                1054.0,
                pairs(
                    &AGRICULTURE_NORTH_CENTRAL_1987,
                    &AGRICULTURE_NORTH_CENTRAL_1992,
                ),
            ),
            (
                1382.0,
                pairs(&AGRICULTURE_SOUTH_1987, &AGRICULTURE_SOUTH_1992),
            ),
            (422.0, pairs(&AGRICULTURE_WEST_1987, &AGRICULTURE_WEST_1992)),
        ];
        // Only the sum over regions is published and used here.
        let strata: Vec<PairedStratum> = regions
            .iter()
            .map(|(population, pairs)| PairedStratum {
                population: *population,
                total_x: 964_470_625.0 / 4.0,
                pairs,
            })
            .collect();
        let found = combined_ratio_total(&strata, RatioForm::SampleMean, 0.95).unwrap();
        close(found.value, 954_823_129.507_62, 1e-10);
        close(found.standard_error.unwrap(), 5_967_910.176_69, 1e-9);
    }

    /// Cochran 1977, chapter 6, data of R boot: R 1.2390186; total 28,397.07, standard error
    /// 604.036 (population mean) and 684.799 (sample mean).
    #[test]
    fn inhabitants_of_large_cities() {
        let pairs = pairs(&CITIES_1920, &CITIES_1930);
        let stratum = [PairedStratum {
            population: 196.0,
            total_x: 22_919.0,
            pairs: &pairs,
        }];
        let found = separate_ratio_total(&stratum, RatioForm::PopulationMean, 0.95).unwrap();
        close(found.value, 28_397.07, 1e-6);
        close(found.standard_error.unwrap(), 604.036, 1e-6);
        let found = separate_ratio_total(&stratum, RatioForm::SampleMean, 0.95).unwrap();
        close(found.standard_error.unwrap(), 684.799, 1e-6);
    }

    /// Lohr 1999, example 3.6 p. 75: B 1.0905660 (.0453229), total 1232.3396 (51.2149).
    #[test]
    fn trees_on_photographs() {
        let pairs = pairs(&PHOTO_COUNTS, &FIELD_COUNTS);
        let found = ratio(&pairs, Some(100.0), 0.95).unwrap();
        close(found.value, 1.090_566_0, 1e-7);
        close(found.standard_error.unwrap(), 0.045_322_9, 1e-6);
        let stratum = [PairedStratum {
            population: 100.0,
            total_x: 1130.0,
            pairs: &pairs,
        }];
        let found = combined_ratio_total(&stratum, RatioForm::SampleMean, 0.95).unwrap();
        close(found.value, 1232.3396, 1e-7);
        close(found.standard_error.unwrap(), 51.2149, 1e-6);
    }

    /// Lohr 1999, example 5.2 p. 137: mean grade of 5 of 100 suites of 4 students: 2.826, standard
    /// error .1636649, t with 4 degrees of freedom 2.37159 to 3.28041.
    #[test]
    fn grades_by_suite() {
        let pairs = [12.16, 11.36, 8.96, 12.96, 11.08].map(|grades| (4.0, grades));
        let found = ratio(&pairs, Some(100.0), 0.95).unwrap();
        close(found.value, 2.826, 1e-12);
        close(found.standard_error.unwrap(), 0.163_664_9, 1e-7);
        let interval = found.interval.unwrap();
        close(interval.lower, 2.371_59, 2e-6);
        close(interval.upper, 3.280_41, 2e-6);
    }

    #[test]
    fn what_has_no_spread_or_no_x_is_told() {
        let same = [(1.0, 2.0), (2.0, 4.0)];
        assert_eq!(ratio(&same, None, 0.95).unwrap().interval, None);
        assert!(ratio(&[(0.0, 2.0)], None, 0.95).is_err());
        assert!(ratio(&[], None, 0.95).is_err());
        let census = ratio(&[(1.0, 2.0), (2.0, 5.0)], Some(2.0), 0.95).unwrap();
        assert_eq!(census.standard_error, Some(0.0));
    }
}
