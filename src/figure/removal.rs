//! Removal: what came out, how it is known, and how much of it a person-hour brought.
//!
//! Mass and plants go the same way: amounts that were weighed or counted stand as they are; counted containers are converted by
//! the weighed ones of their own stratum; guesses are kept apart; a stratum without weighings is refused.

use std::collections::{BTreeMap, BTreeSet};

use crate::estimate::{self, Cluster, Estimate, Interval, Outcome, PartStratum, Refusal, Stratum};
use crate::phrase;
use crate::place::Place;
use crate::season::{
    Amount, Catch, Known, PullRow, RowIndex, Season, StratumKey, StratumRecords, catch, value,
};
use crate::words;
use crate::words::Words;

use super::core::{Figure, LeftOut, Measure, Outturn};
use super::scope::Scope;

/// The words that differ between mass and plants.
struct Wording {
    stem: &'static str,
    noun: &'static str,
    measure: Measure,
    rate_stem: &'static str,
    rate_label: &'static str,
    rate_measure: Measure,
    stratum_stem: &'static str,
    mean_stem: &'static str,
    measured: &'static str,
    known_stem: &'static str,
    known_label: &'static str,
    other_known: Option<(&'static str, &'static str)>,
}

const MASS: Wording = Wording {
    stem: "removal.wet-mass",
    noun: phrase!("Wet mass removed"),
    measure: Measure::Mass,
    rate_stem: "rate.mass-per-hour",
    rate_label: phrase!("Wet mass per person-hour"),
    rate_measure: Measure::MassPerTime,
    stratum_stem: "stratum.wet-mass",
    mean_stem: "stratum.mass-per-container",
    measured: phrase!("weighed"),
    known_stem: "removal.wet-mass-weighed",
    known_label: phrase!("Wet mass weighed"),
    other_known: Some((
        "removal.wet-mass-counted",
        phrase!("Wet mass that the log calls counted"),
    )),
};

const PLANTS: Wording = Wording {
    stem: "removal.plants",
    noun: phrase!("Plants removed"),
    measure: Measure::Count,
    rate_stem: "rate.plants-per-hour",
    rate_label: phrase!("Plants per person-hour"),
    rate_measure: Measure::CountPerTime,
    stratum_stem: "stratum.plants",
    mean_stem: "stratum.plants-per-container",
    measured: phrase!("counted out"),
    known_stem: "removal.plants-counted",
    known_label: phrase!("Plants counted"),
    other_known: None,
};

/// The season's catch with what its weighings say, ready to be asked for any part of the season.
pub struct Removal<'a> {
    season: &'a Season,
    amount: Amount,
    words: &'static Wording,
    catch: Catch,
    /// The weighed containers of each stratum.
    observed: BTreeMap<StratumKey, Measured>,
}

impl<'a> Removal<'a> {
    pub fn mass(season: &'a Season) -> Self {
        Self::new(season, Amount::Mass, &MASS)
    }

    pub fn plants(season: &'a Season) -> Self {
        Self::new(season, Amount::Plants, &PLANTS)
    }

    fn new(season: &'a Season, amount: Amount, words: &'static Wording) -> Self {
        let catch = catch(&season.pulls, &season.weighings, amount);
        let ids: BTreeMap<String, usize> = season
            .pulls
            .iter()
            .enumerate()
            .rev()
            .map(|(index, pull)| (value::fold(&pull.id), index))
            .collect();
        let observed = catch
            .strata
            .iter()
            .map(|(key, records)| {
                let mut measured = Measured::default();
                for index in &records.weighings {
                    let Some(weighing) = season.weighings.get(*index) else {
                        continue;
                    };
                    if let Some(one) = weighed(season, *index, amount) {
                        measured.amounts.push(one);
                        if let Some(pull) = pull_of(season, &ids, weighing, key) {
                            let of_pull = measured.of_pulls.entry(pull).or_default();
                            of_pull.0 += one;
                            of_pull.1 += 1.0;
                        }
                    }
                }
                measured.sum = estimate::sum(measured.amounts.iter().copied());
                (key.clone(), measured)
            })
            .collect();
        Self {
            season,
            amount,
            words,
            catch,
            observed,
        }
    }

    pub(super) fn row(&self, index: RowIndex) -> Option<&'a PullRow> {
        self.season.pulls.get(index.pull)?.rows.get(index.row)
    }

    fn observed(&self, stratum: &StratumKey) -> &[f64] {
        self.observed
            .get(stratum)
            .map_or(&[], |measured| measured.amounts.as_slice())
    }

    /// Why a stratum can't be converted, if it can't.
    fn refusal(&self, stratum: &StratumKey) -> Option<Words> {
        let containers = self
            .catch
            .strata
            .get(stratum)
            .map_or(0.0, |records| records.containers);
        let weighed = self.observed(stratum).len();
        if weighed == 0 {
            Some(words!(
                "no {container} at the stage {stage} was {measured}; at least three have to be, better five",
                container = &stratum.container,
                stage = &stratum.stage,
                measured = Words::fixed(self.words.measured)
            ))
        } else if weighed as f64 > containers && containers > 0.0 {
            Some(words!(
                "{weighed} containers of {stratum} were {measured}, and the log has {containers}",
                weighed,
                stratum = stratum.to_string(),
                measured = Words::fixed(self.words.measured),
                containers
            ))
        } else {
            None
        }
    }

    /// All rows of the log that belong to some pulls.
    pub(super) fn rows_of(&self, pulls: &BTreeSet<usize>) -> Part {
        pulls
            .iter()
            .flat_map(|pull| {
                let at = |row| RowIndex { pull: *pull, row };
                self.catch.rows.range(at(0)..=at(usize::MAX))
            })
            .map(|(index, _)| *index)
            .collect()
    }

    /// The rows of the log that meet a condition.
    pub(super) fn rows_where(&self, wanted: impl Fn(RowIndex, &PullRow) -> bool) -> Part {
        self.catch
            .rows
            .keys()
            .copied()
            .filter(|index| self.row(*index).is_some_and(|row| wanted(*index, row)))
            .collect()
    }

    /// Sum and number of the weighed containers that belong to some of a stratum's rows.
    fn observed_in(&self, stratum: &StratumKey, part: &Part) -> (f64, f64) {
        let (Some(records), Some(measured)) =
            (self.catch.strata.get(stratum), self.observed.get(stratum))
        else {
            return (0.0, 0.0);
        };
        // A weighing that names no pull belongs to the part for certain only where the part holds the whole stratum.
        if records.rows.iter().all(|row| part.contains(row)) {
            // Exact for any number of containers that was weighed.
            return (measured.sum, measured.amounts.len() as f64);
        }
        let pulls: BTreeSet<usize> = part
            .iter()
            .filter(|index| {
                matches!(self.catch.rows.get(index), Some(Known::Convert { stratum: own, .. }) if own == stratum)
            })
            .map(|index| index.pull)
            .collect();
        let of_pulls: Vec<&(f64, f64)> = pulls
            .iter()
            .filter_map(|pull| measured.of_pulls.get(pull))
            .collect();
        (
            estimate::sum(of_pulls.iter().map(|(sum, _)| *sum)),
            of_pulls.iter().map(|(_, number)| number).sum(),
        )
    }

    /// Every record under some rows' total.
    pub(super) fn places(&self, tally: &Tally) -> Vec<Place> {
        let mut places = tally.places.clone();
        places.extend(self.measured_places(tally.containers.keys().cloned()));
        places
    }

    /// Where the measured containers of the converted strata stand.
    fn measured_places(&self, strata: impl IntoIterator<Item = StratumKey>) -> Vec<Place> {
        strata
            .into_iter()
            .filter_map(|stratum| self.catch.strata.get(&stratum))
            .flat_map(|records| &records.weighings)
            .filter_map(|index| self.season.weighings.get(*index))
            .map(|weighing| weighing.row.place())
            .collect()
    }

    /// All that is known of some rows.
    pub(super) fn tally(&self, part: &Part) -> Tally {
        let mut tally = Tally::default();
        let rows = part
            .iter()
            .filter_map(|index| Some((index, self.catch.rows.get(index)?)));
        for (index, known) in rows {
            let Some(row) = self.row(*index) else {
                continue;
            };
            let place = row.row.place();
            let mut out = |about: Option<Words>, reason: Words| {
                tally.left_out.push(LeftOut {
                    about,
                    ..LeftOut::new(place.clone(), reason)
                });
                tally.incomplete.insert(index.pull);
            };
            match known {
                Known::Zero => tally.places.push(place),
                Known::Weighed(value) => {
                    tally.weighed += value;
                    tally.places.push(place);
                }
                Known::Counted(value) => {
                    tally.counted += value;
                    tally.has_counted = true;
                    tally.places.push(place);
                }
                Known::Guessed(value) => {
                    tally.guessed += value;
                    tally.guessed_places.push(place);
                    tally.incomplete.insert(index.pull);
                }
                Known::Convert {
                    stratum,
                    containers,
                } => match self.refusal(stratum) {
                    None => {
                        *tally.containers.entry(stratum.clone()).or_default() += containers;
                        tally.places.push(place);
                    }
                    Some(reason) => out(Some(number_left_out(*containers)), reason),
                },
                Known::ConvertGuess {
                    stratum,
                    containers,
                } => {
                    let mean = self.observed.get(stratum).and_then(Measured::mean);
                    match mean {
                        Some(mean) => {
                            tally.guessed += containers * mean;
                            tally.guessed_places.push(place);
                            tally.incomplete.insert(index.pull);
                        }
                        None => out(
                            Some(words!(
                                "a guess of {containers} containers left out",
                                containers
                            )),
                            words!(
                                "no {container} at the stage {stage} was {measured}",
                                container = &stratum.container,
                                stage = &stratum.stage,
                                measured = Words::fixed(self.words.measured)
                            ),
                        ),
                    }
                }
                Known::NoKind { containers } => out(
                    Some(number_left_out(*containers)),
                    words!("their kind is not recorded"),
                ),
                Known::Nothing => out(None, words!("nothing is recorded of what came out")),
            }
        }
        tally
    }

    /// The strata of some rows, as the estimator takes them.
    pub(super) fn strata(&self, tally: &Tally, part: &Part) -> Vec<(StratumKey, PartStratum<'_>)> {
        tally
            .containers
            .iter()
            .map(|(stratum, containers)| {
                let (sum, number) = self.observed_in(stratum, part);
                let stratum_part = PartStratum {
                    unobserved: (containers - number).max(0.0),
                    observed_sum: sum,
                    observed: self.observed(stratum),
                };
                (stratum.clone(), stratum_part)
            })
            .collect()
    }

    /// The total of some rows.
    pub(super) fn total(&self, tally: &Tally, part: &Part, level: f64) -> Outcome {
        let known = tally.weighed + tally.counted;
        let parts: Vec<PartStratum<'_>> = self
            .strata(tally, part)
            .into_iter()
            .map(|(_, stratum)| stratum)
            .collect();
        if tally.places.is_empty() {
            return Err(Refusal::new(self.nothing(tally)));
        }
        let total = estimate::part_total(&parts, known, level)
            .map(|estimate| self.named(estimate, tally))?;
        // Searches that found nothing beside catch that can't be reckoned are no catch of nothing.
        let all_known = tally.left_out.is_empty() && tally.guessed_places.is_empty();
        if total.value == 0.0 && !all_known {
            return Err(Refusal::new(self.nothing(tally)));
        }
        Ok(total)
    }

    /// The value of [`Self::total`] without its uncertainty, for rows of which all is known.
    fn amount(&self, tally: &Tally, part: &Part) -> Option<f64> {
        if tally.places.is_empty() {
            return None;
        }
        let mut amounts = vec![tally.weighed + tally.counted];
        for (stratum, containers) in &tally.containers {
            let measured = self.observed.get(stratum)?;
            let (sum, number) = self.observed_in(stratum, part);
            amounts.push(sum + (containers - number).max(0.0) * measured.mean()?);
        }
        Some(estimate::sum(amounts))
    }

    fn nothing(&self, tally: &Tally) -> Words {
        if tally.left_out.is_empty() && tally.guessed_places.is_empty() {
            return words!("No pull says what came out.");
        }
        match self.amount {
            Amount::Mass => words!("Nothing was weighed that could stand for what was counted."),
            Amount::Plants => {
                words!("No plants were counted, neither of a pull nor of a container.")
            }
        }
    }

    /// Puts the strata's names where the estimate speaks of numbered groups.
    fn named(&self, mut estimate: Estimate, tally: &Tally) -> Estimate {
        let names = || {
            tally
                .containers
                .keys()
                .map(|stratum| words!("The stratum {stratum}", stratum = stratum.to_string()))
        };
        for caution in &mut estimate.caution {
            *caution = estimate::naming_groups(std::mem::take(caution), names());
        }
        estimate
    }

    /// `removal.wet-mass`, to which the names of breakdowns are added.
    pub(super) fn stem(&self) -> &'static str {
        self.words.stem
    }

    pub(super) fn noun(&self) -> Words {
        Words::fixed(self.words.noun)
    }

    /// What was measured itself of some rows.
    pub(super) fn measured(&self, tally: &Tally, part: &Part) -> f64 {
        let containers = tally
            .containers
            .keys()
            .map(|stratum| self.observed_in(stratum, part).0);
        estimate::sum(containers.chain([tally.weighed, tally.counted]))
    }

    /// Every stratum with its records and the amounts of its measured containers.
    pub(super) fn all_strata(
        &self,
    ) -> impl Iterator<Item = (&StratumKey, &StratumRecords, &[f64])> {
        self.catch
            .strata
            .iter()
            .map(|(key, records)| (key, records, self.observed(key)))
    }

    /// How each row's amount is known.
    pub(super) fn known(&self, index: RowIndex) -> Option<&Known> {
        self.catch.rows.get(&index)
    }

    /// The total of some rows, as a figure.
    pub(super) fn of_part(
        &self,
        scope: &Scope<'_>,
        stem: &str,
        label: Words,
        part: &Part,
    ) -> Figure {
        let tally = self.tally(part);
        let total = self.total(&tally, part, scope.level());
        self.total_figure(scope, stem, label, total, &tally)
    }

    fn total_figure(
        &self,
        scope: &Scope<'_>,
        stem: &str,
        label: Words,
        total: Outcome,
        tally: &Tally,
    ) -> Figure {
        let measured = Words::fixed(self.words.measured);
        let method = match self.amount {
            Amount::Mass => words!(
                "Rows with a mass of their own as they are; counted containers times the mean of the weighed ones of the same kind and growth \
                 stage. Guesses are not in it."
            ),
            Amount::Plants => words!(
                "Rows with a plants of their own as they are; counted containers times the mean of the counted out ones of the same kind and \
                 growth stage. Guesses are not in it."
            ),
        };
        scope
            .figure(stem, label, self.words.measure, total.into(), method)
            .assuming(words!(
                "The {measured} containers are a fair sample of their kind and stage.",
                measured
            ))
            .resting_on(self.places(tally))
            .without(tally.left_out.clone())
    }

    /// All figures of what came out, of a scope.
    pub fn figures(&self, scope: &Scope<'_>) -> Vec<Figure> {
        let words = self.words;
        let pulls: BTreeSet<usize> = scope.pulls.iter().map(|(index, _)| *index).collect();
        let part = self.rows_of(&pulls);
        let tally = self.tally(&part);
        let level = scope.level();
        let total = self.total(&tally, &part, level);
        let observed: f64 = tally
            .containers
            .keys()
            .map(|stratum| self.observed_in(stratum, &part).0)
            .sum();
        let known = tally.weighed
            + observed
            + if words.other_known.is_some() {
                0.0
            } else {
                tally.counted
            };
        let mut figures = vec![self.total_figure(
            scope,
            words.stem,
            Words::fixed(words.noun),
            total.clone(),
            &tally,
        )];
        let nothing_known = tally.places.is_empty();
        let exact = |value: f64| {
            if nothing_known {
                Outturn::Refused(self.nothing(&tally))
            } else {
                Outturn::Exact(value)
            }
        };
        figures.push(
            scope
                .figure(
                    words.known_stem,
                    Words::fixed(words.known_label),
                    words.measure,
                    exact(known),
                    words!(
                        "Sum of what was {measured} itself, row by row and container by container.",
                        measured = Words::fixed(words.measured)
                    ),
                )
                .resting_on(self.places(&tally)),
        );
        if let Some((stem, label)) = words.other_known
            && tally.has_counted
        {
            figures.push(
                scope
                    .figure(
                        stem,
                        Words::fixed(label),
                        words.measure,
                        Outturn::Exact(tally.counted),
                        words!("Sum over rows whose basis is counted and which give a mass all the same."),
                    )
                    .resting_on(self.places(&tally)),
            );
        }
        let floor = tally.weighed + tally.counted + observed;
        figures.push(
            scope
                .figure(
                    &format!("{}-converted", words.stem),
                    words!("{noun} converted from counted containers", noun = Words::fixed(words.noun)),
                    words.measure,
                    total.map(|estimate| shifted(estimate, floor)).into(),
                    words!("The part of the total that was not measured itself but stands on the mean of the measured containers."),
                )
                .resting_on(self.places(&tally))
                .without(tally.left_out.clone()),
        );
        if !tally.guessed_places.is_empty() {
            figures.push(
                scope
                    .figure(
                        &format!("{}-guessed", words.stem),
                        words!("{noun} by guess", noun = Words::fixed(words.noun)),
                        words.measure,
                        Outturn::Estimated(guess(tally.guessed, tally.guessed_places.len())),
                        words!("Sum over rows whose basis is guessed, or who don't say how their amount is known. In no other figure."),
                    )
                    .resting_on(tally.guessed_places.clone()),
            );
        }
        figures.push(self.rate(scope, level));
        figures
    }

    /// The pulls of which catch and hours are both known.
    pub(super) fn clusters(&self, scope: &Scope<'_>) -> Clusters {
        let level = scope.level();
        let mut clusters = Clusters::default();
        let mut used = BTreeSet::new();
        for (index, pull) in &scope.pulls {
            let own = self.rows_of(&BTreeSet::from([*index]));
            let tally = self.tally(&own);
            let mut out = |reason: Words| {
                clusters.left_out.push(LeftOut::of_pull(pull, reason));
            };
            let Some(effort) = pull.person_hours() else {
                out(words!("its hours are not recorded"));
                continue;
            };
            if !tally.incomplete.is_empty() {
                clusters.some_unknown = true;
                out(words!(
                    "part of its catch is guessed, or can't be converted"
                ));
                continue;
            }
            if effort == 0.0 {
                out(words!("it took no hours"));
                continue;
            }
            match self.amount(&tally, &own) {
                Some(amount) => {
                    clusters.of_pulls.push((*index, Cluster { amount, effort }));
                    used.insert(*index);
                }
                None => {
                    clusters.some_unknown = true;
                    out(words!("what came out is not recorded"));
                }
            }
        }
        let used = self.rows_of(&used);
        let tally = self.tally(&used);
        clusters.places = self.places(&tally);
        clusters.shared = match self.total(&tally, &used, level) {
            Ok(total) => {
                let effort = clusters.effort();
                // Without a standard error of the conversion the rate has no interval either; told with it.
                total.standard_error.map(|error| {
                    if effort > 0.0 {
                        (error / effort).powi(2)
                    } else {
                        0.0
                    }
                })
            }
            Err(_) => Some(0.0),
        };
        clusters
    }

    /// Catch per person-hour over the pulls of which both are known.
    pub(super) fn rate(&self, scope: &Scope<'_>, level: f64) -> Figure {
        let words = self.words;
        let clusters = self.clusters(scope);
        scope
            .figure(
                words.rate_stem,
                Words::fixed(words.rate_label),
                words.rate_measure,
                clusters.rate(level).into(),
                words!("Sum of the catch over sum of the person-hours, over pulls of which both are known; the interval holds how pulls differ and \
                 the error of converting containers."),
            )
            .assuming(words!("The season's pulls are a fair sample of pulls like them."))
            .resting_on(clusters.places)
            .without(clusters.left_out)
    }

    /// Total and mean of each stratum, or the reason why there is none.
    pub fn stratum_figures(&self, scope: &Scope<'_>) -> Vec<Figure> {
        let words = self.words;
        let level = scope.level();
        let mut figures = Vec::new();
        for (key, records) in &self.catch.strata {
            // A stratum of plants that nobody counted out is the rule, not a gap.
            if self.amount == Amount::Plants && self.observed(key).is_empty() {
                continue;
            }
            if records.rows.is_empty() {
                continue;
            }
            let observed = self.observed(key);
            let strata = [Stratum {
                population: records.containers,
                observed,
            }];
            let (total, mean) = match self.refusal(key) {
                Some(reason) => (
                    Outturn::Refused(reason.clone().as_sentence()),
                    Outturn::Refused(reason.clone().as_sentence()),
                ),
                None => (
                    estimate::stratified_total(&strata, 0.0, level).into(),
                    estimate::stratified_mean(&strata, level).into(),
                ),
            };
            let places = records
                .rows
                .iter()
                .filter_map(|index| self.row(*index))
                .map(|row| row.row.place())
                .chain(
                    records
                        .weighings
                        .iter()
                        .filter_map(|index| self.season.weighings.get(*index))
                        .map(|weighing| weighing.row.place()),
                );
            let places: Vec<Place> = places.collect();
            let part = stratum_name(key);
            let a_container = words!("{noun} a container", noun = self.noun());
            let mut total = scope.figure(
                words.stratum_stem,
                Words::fixed(words.noun).then(", ", key.to_string()),
                words.measure,
                total,
                words!("Containers of the stratum times the mean of the measured ones, with finite population correction."),
            );
            total.name = format!("{}/{part}", words.stratum_stem);
            let mut average = scope.figure(
                words.mean_stem,
                a_container.clone().then(", ", key.to_string()),
                words.measure,
                mean,
                words!("Mean of the measured containers of the stratum, with finite population correction."),
            );
            average.name = format!("{}/{part}", words.mean_stem);
            figures.push(total.of_kind(self.noun()).resting_on(places.clone()));
            figures.push(average.of_kind(a_container).resting_on(places));
        }
        figures
    }
}

fn number_left_out(containers: f64) -> Words {
    words!("{containers} containers left out", containers)
}

/// A stratum's name behind the stem: `bag/flowering`.
pub(super) fn stratum_name(key: &StratumKey) -> String {
    format!(
        "{}/{}",
        key.container,
        key.stage.replace(", ", "-").replace(' ', "-")
    )
}

/// The pull to which a weighing's container belongs.
fn pull_of(
    season: &Season,
    ids: &BTreeMap<String, usize>,
    weighing: &crate::season::Weighing,
    stratum: &StratumKey,
) -> Option<usize> {
    if let Some(id) = weighing.pull.as_deref() {
        return ids.get(&value::fold(id)).copied();
    }
    // Without a pull, the one pull of the day that logged the kind.
    let date = weighing.date?;
    let mut fitting = season.pulls.iter().enumerate().filter(|(_, pull)| {
        pull.date() == Some(date)
            && pull
                .rows
                .iter()
                .any(|row| row.container.as_deref() == Some(stratum.container.as_str()))
    });
    match (fitting.next(), fitting.next()) {
        (Some((index, _)), None) => Some(index),
        _ => None,
    }
}

fn weighed(season: &Season, index: usize, amount: Amount) -> Option<f64> {
    let weighing = season.weighings.get(index)?;
    match amount {
        Amount::Mass => weighing.mass,
        Amount::Plants => weighing.plants,
    }
}

/// The estimate less an amount that is known exactly.
fn shifted(mut estimate: Estimate, known: f64) -> Estimate {
    estimate.value = (estimate.value - known).max(0.0);
    estimate.interval = estimate.interval.map(|interval| Interval {
        lower: (interval.lower - known).max(0.0),
        upper: (interval.upper - known).max(0.0),
        level: interval.level,
    });
    estimate
}

/// A guess has no interval: nobody knows how far off a crew's guesses are.
fn guess(value: f64, rows: usize) -> Estimate {
    Estimate {
        value,
        standard_error: None,
        degrees_of_freedom: None,
        interval: None,
        caution: vec![words!("A guess: how far off it may be is not known.")],
        method: words!("sum of guesses"),
        observations: rows,
        population: None,
    }
}

/// The measured containers of a stratum.
#[derive(Debug, Default)]
struct Measured {
    amounts: Vec<f64>,
    sum: f64,
    /// Sum and number by the pull to which they belong, where that is known.
    of_pulls: BTreeMap<usize, (f64, f64)>,
}

impl Measured {
    fn mean(&self) -> Option<f64> {
        // Exact for any number of containers that was weighed.
        (!self.amounts.is_empty()).then(|| self.sum / self.amounts.len() as f64)
    }
}

/// Some rows of the log.
pub type Part = BTreeSet<RowIndex>;

/// Pulls of which catch and hours are both known.
#[derive(Debug, Default)]
pub(super) struct Clusters {
    /// The pull's number in the season's list with its catch and hours.
    pub of_pulls: Vec<(usize, Cluster)>,
    /// Variance of the rate that all pulls share, from converting containers; nothing where it can't be told.
    pub shared: Option<f64>,
    pub places: Vec<Place>,
    pub left_out: Vec<LeftOut>,
    /// Whether there are pulls whose hours are known and whose catch is not.
    some_unknown: bool,
}

impl Clusters {
    pub fn effort(&self) -> f64 {
        estimate::sum(self.of_pulls.iter().map(|(_, cluster)| cluster.effort))
    }

    pub fn rate(&self, level: f64) -> Outcome {
        let clusters: Vec<Cluster> = self.of_pulls.iter().map(|(_, cluster)| *cluster).collect();
        // An empty boat is always counted out; where only such pulls are, they stand for no others.
        let empty = !clusters.is_empty() && clusters.iter().all(|cluster| cluster.amount == 0.0);
        if self.some_unknown && empty {
            return Err(Refusal::new(words!(
                "the catch is known of none but pulls that brought nothing, so there is no rate"
            )));
        }
        estimate::rate(&clusters, self.shared.unwrap_or(0.0), level).map(|mut estimate| {
            if self.shared.is_none() {
                estimate.interval = None;
                estimate.standard_error = None;
                estimate.caution.push(
                    words!("The conversion of containers has no interval, so the catch per hour has none either."),
                );
            }
            estimate
        })
    }
}

/// What is known of some rows.
#[derive(Debug, Default)]
pub(super) struct Tally {
    pub weighed: f64,
    pub counted: f64,
    has_counted: bool,
    pub guessed: f64,
    /// Containers to be converted, by stratum.
    pub containers: BTreeMap<StratumKey, f64>,
    pub places: Vec<Place>,
    guessed_places: Vec<Place>,
    pub left_out: Vec<LeftOut>,
    /// Pulls of which not all is known without guessing.
    incomplete: BTreeSet<usize>,
}

impl Tally {
    /// Is all of it known, without a guess?
    pub fn is_complete(&self) -> bool {
        self.incomplete.is_empty()
    }
}

/// Containers by kind, of a scope.
pub fn containers(scope: &Scope<'_>) -> Vec<Figure> {
    let mut kinds: BTreeMap<String, (f64, f64, Vec<Place>)> = BTreeMap::new();
    for (_, pull) in &scope.pulls {
        for row in &pull.rows {
            let (Some(containers), Some(kind)) = (row.containers, row.container.as_deref()) else {
                continue;
            };
            let entry = kinds.entry(kind.to_owned()).or_default();
            if row.basis == Some(crate::season::Basis::Guessed) && row.mass.is_none() {
                entry.1 += containers;
            } else {
                entry.0 += containers;
            }
            entry.2.push(row.row.place());
        }
    }
    let mut figures = Vec::new();
    for (kind, (counted, guessed, places)) in kinds {
        let stem = format!("removal.containers/{}", kind.replace(' ', "-"));
        let mut figure = scope
            .figure(
                &stem,
                words!("Containers: {kind}", kind),
                Measure::Count,
                Outturn::Exact(counted),
                words!("Sum of the containers of this kind in the log."),
            )
            .of_kind(words!("Containers"))
            .resting_on(places);
        if guessed > 0.0 {
            figure = figure.assuming(words!(
                "{guessed} more were guessed and are not in it.",
                guessed
            ));
        }
        figures.push(figure);
    }
    figures
}
