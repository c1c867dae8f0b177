//! How each row's catch is known, and which weighed containers stand for which counted ones.
//!
//! A stratum is a kind of container at a growth stage: a basket of seedlings is no basket of grown plants, so that nothing is ever
//! converted across strata. Pure values; the arithmetic is done in the figure room.

use std::collections::BTreeMap;
use std::fmt;

use chrono::{Datelike, NaiveDate};

use super::value::fold;
use super::{Basis, Pull, PullRow, Weighing};
use crate::words;
use crate::words::{Language, Words};

/// Kind of container and growth stage; where no stage was logged, the month stands in for it.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct StratumKey {
    pub container: String,
    pub stage: String,
}

impl StratumKey {
    /// For a reader: kind and stage are the group's own words, a month that stands in is not.
    pub fn in_words(&self) -> Words {
        let kind = &self.container;
        let month = self.stage.strip_prefix(NOT_LOGGED).and_then(|name| {
            (1..=12).find(|number| words::month(*number, Language::English) == name)
        });
        match month {
            Some(number) => words!(
                "{kind}, stage not logged, {month}",
                kind,
                month = words::Fill::MonthName(number)
            ),
            None => Words::own(self.to_string()),
        }
    }
}

/// How the stage of a row begins that tells none; the month's name follows.
const NOT_LOGGED: &str = "stage not logged, ";

impl fmt::Display for StratumKey {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}, {}", self.container, self.stage)
    }
}

/// How much of something a row holds, and how that is known.
#[derive(Debug, Clone, Default, PartialEq)]
pub enum Known {
    /// Nothing was found: zero, exactly.
    Zero,
    /// Plants counted, or a mass that the log calls counted.
    Counted(f64),
    Weighed(f64),
    /// To be converted from so many containers of a stratum.
    Convert {
        stratum: StratumKey,
        containers: f64,
    },
    /// As [`Known::Convert`], from a guessed number of containers.
    ConvertGuess {
        stratum: StratumKey,
        containers: f64,
    },
    Guessed(f64),
    /// Containers of a kind that nobody logged.
    NoKind {
        containers: f64,
    },
    /// The row says nothing of it.
    #[default]
    Nothing,
}

/// A row of the log, by the numbers of its pull and of the row in it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct RowIndex {
    pub pull: usize,
    pub row: usize,
}

/// What belongs to a stratum.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct StratumRecords {
    /// Rows whose counted containers are to be converted.
    pub rows: Vec<RowIndex>,
    /// Rows with a guessed number of containers.
    pub guessed_rows: Vec<RowIndex>,
    /// Counted containers in all.
    pub containers: f64,
    /// Numbers of the weighings of these containers.
    pub weighings: Vec<usize>,
}

/// The season's catch by row and by stratum; once for mass, once for plants.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Catch {
    pub rows: BTreeMap<RowIndex, Known>,
    pub strata: BTreeMap<StratumKey, StratumRecords>,
    /// Weighings that belong to no stratum of the log, with the reason.
    pub stray: Vec<(usize, Stray)>,
}

/// Why a weighing can't be used.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Stray {
    /// It names a pull that the log does not have.
    PullUnknown,
    /// Its pull logged no containers of that kind.
    KindNotInPull,
    /// Neither it nor its pull says at which stage it was.
    StageUnknown,
    /// Its row was weighed or counted as a whole, so that the container is in that already.
    RowWeighed,
    /// No pull of the season logged that kind at that stage.
    StratumNotInLog,
    /// It has no kind of container.
    NoKind,
}

/// What is measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Amount {
    Mass,
    Plants,
}

impl Amount {
    fn of_row(self, row: &PullRow) -> Option<f64> {
        match self {
            Amount::Mass => row.mass,
            Amount::Plants => row.plants,
        }
    }

    fn of_weighing(self, weighing: &Weighing) -> Option<f64> {
        match self {
            Amount::Mass => weighing.mass,
            Amount::Plants => weighing.plants,
        }
    }
}

/// The stage of a row for conversion, or the month where none was logged.
fn stage_label(stage: Option<&str>, date: Option<NaiveDate>) -> Option<String> {
    match (stage, date) {
        (Some(stage), _) => Some(stage.to_owned()),
        (None, Some(date)) => Some(format!("{NOT_LOGGED}{}", month_name(date))),
        (None, None) => None,
    }
}

fn month_name(date: NaiveDate) -> &'static str {
    chrono::Month::try_from(u8::try_from(date.month()).unwrap_or(1))
        .map_or("", |month| month.name())
}

fn known(row: &PullRow, date: Option<NaiveDate>, amount: Amount) -> Known {
    if row.containers == Some(0.0) && amount.of_row(row).is_none_or(|value| value == 0.0) {
        return Known::Zero;
    }
    if let Some(value) = amount.of_row(row) {
        return match (row.basis, amount) {
            (_, _) if value == 0.0 && row.containers.is_none() => Known::Zero,
            (Some(Basis::Weighed), Amount::Mass) => Known::Weighed(value),
            (Some(Basis::Counted), _) => Known::Counted(value),
            // Plants of a catch that was weighed were counted beside it.
            (Some(Basis::Weighed), Amount::Plants) => Known::Counted(value),
            // An amount whose basis nobody recorded is no better than a guess.
            (Some(Basis::Guessed) | None, _) => Known::Guessed(value),
        };
    }
    let Some(containers) = row.containers else {
        return Known::Nothing;
    };
    let Some(container) = row.container.clone() else {
        return Known::NoKind { containers };
    };
    let Some(stage) = stage_label(row.stage.as_deref(), date) else {
        return Known::Nothing;
    };
    let stratum = StratumKey { container, stage };
    match row.basis {
        Some(Basis::Guessed) => Known::ConvertGuess {
            stratum,
            containers,
        },
        _ => Known::Convert {
            stratum,
            containers,
        },
    }
}

/// Sorts the season's catch.
pub fn catch(pulls: &[Pull], weighings: &[Weighing], amount: Amount) -> Catch {
    let mut catch = Catch::default();
    for (pull_index, pull) in pulls.iter().enumerate() {
        for (row_index, row) in pull.rows.iter().enumerate() {
            let index = RowIndex {
                pull: pull_index,
                row: row_index,
            };
            let date = row.date.or(pull.date());
            let mut how = known(row, date, amount);
            if let Some(listed) = listed_one_by_one(pull, row, date, &how, weighings, amount) {
                how = listed;
            }
            match &how {
                Known::Convert {
                    stratum,
                    containers,
                } => {
                    let records = catch.strata.entry(stratum.clone()).or_default();
                    records.rows.push(index);
                    records.containers += containers;
                }
                Known::ConvertGuess { stratum, .. } => {
                    catch
                        .strata
                        .entry(stratum.clone())
                        .or_default()
                        .guessed_rows
                        .push(index);
                }
                _ => {}
            }
            catch.rows.insert(index, how);
        }
    }
    let ids: BTreeMap<String, usize> = pulls
        .iter()
        .enumerate()
        .rev()
        .map(|(index, pull)| (fold(&pull.id), index))
        .collect();
    for (index, weighing) in weighings.iter().enumerate() {
        if amount.of_weighing(weighing).is_none() {
            continue;
        }
        match stratum_of(weighing, pulls, &ids, &catch) {
            Ok(stratum) => match catch.strata.get_mut(&stratum) {
                Some(records) => records.weighings.push(index),
                None => catch.stray.push((index, Stray::StratumNotInLog)),
            },
            Err(stray) => catch.stray.push((index, stray)),
        }
    }
    catch
}

/// A row that was weighed as a whole and whose containers are all listed one by one is better taken as listed: its weighings
/// then serve the rest of the stratum, and the sum is the same.
fn listed_one_by_one(
    pull: &Pull,
    row: &PullRow,
    date: Option<NaiveDate>,
    how: &Known,
    weighings: &[Weighing],
    amount: Amount,
) -> Option<Known> {
    let Known::Weighed(_) = how else { return None };
    let (container, containers) = (row.container.clone()?, row.containers?);
    let stage = stage_label(row.stage.as_deref(), date)?;
    let listed = weighings
        .iter()
        .filter(|weighing| {
            belongs(weighing, pull, &container)
                && weighing.stage.as_deref().is_none_or(|own| {
                    row.stage
                        .as_deref()
                        .is_none_or(|stage| fold(own) == fold(stage))
                })
                && amount.of_weighing(weighing).is_some()
        })
        .count();
    let rows_of_kind = pull
        .rows
        .iter()
        .filter(|other| other.container.as_deref() == Some(container.as_str()))
        .count();
    (rows_of_kind == 1 && listed > 0 && listed as f64 == containers).then_some(Known::Convert {
        stratum: StratumKey { container, stage },
        containers,
    })
}

fn belongs(weighing: &Weighing, pull: &Pull, container: &str) -> bool {
    weighing
        .pull
        .as_deref()
        .is_some_and(|id| fold(id) == fold(&pull.id))
        && weighing.container.as_deref() == Some(container)
}

fn stratum_of(
    weighing: &Weighing,
    pulls: &[Pull],
    ids: &BTreeMap<String, usize>,
    catch: &Catch,
) -> Result<StratumKey, Stray> {
    let container = weighing.container.clone().ok_or(Stray::NoKind)?;
    let Some(id) = weighing.pull.as_deref() else {
        return unlinked(weighing, container, pulls);
    };
    let pull_index = *ids.get(&fold(id)).ok_or(Stray::PullUnknown)?;
    let pull = pulls.get(pull_index).ok_or(Stray::PullUnknown)?;
    let rows: Vec<(usize, &PullRow)> = pull
        .rows
        .iter()
        .enumerate()
        .filter(|(_, row)| row.container.as_deref() == Some(container.as_str()))
        .collect();
    if rows.is_empty() {
        return Err(Stray::KindNotInPull);
    }
    let known_as_a_whole = |row: usize| {
        matches!(
            catch.rows.get(&RowIndex {
                pull: pull_index,
                row
            }),
            Some(Known::Weighed(_) | Known::Counted(_))
        )
    };
    if rows.iter().all(|(row, _)| known_as_a_whole(*row)) {
        return Err(Stray::RowWeighed);
    }
    if let Some(stage) = weighing.stage.clone() {
        return Ok(StratumKey { container, stage });
    }
    let mut stages: Vec<String> = rows
        .iter()
        .filter(|(row, _)| !known_as_a_whole(*row))
        .filter_map(|(_, row)| stage_label(row.stage.as_deref(), row.date.or(pull.date())))
        .collect();
    stages.sort();
    stages.dedup();
    match stages.as_slice() {
        [only] => Ok(StratumKey {
            container,
            stage: only.clone(),
        }),
        _ => Err(Stray::StageUnknown),
    }
}

/// A weighing that names no pull: its own stage, or the one stage of that kind on its day.
fn unlinked(weighing: &Weighing, container: String, pulls: &[Pull]) -> Result<StratumKey, Stray> {
    if let Some(stage) = weighing.stage.clone() {
        return Ok(StratumKey { container, stage });
    }
    let date = weighing.date.ok_or(Stray::StageUnknown)?;
    let mut stages: Vec<String> = pulls
        .iter()
        .filter(|pull| pull.date() == Some(date))
        .flat_map(|pull| &pull.rows)
        .filter(|row| row.container.as_deref() == Some(container.as_str()))
        .filter_map(|row| stage_label(row.stage.as_deref(), Some(date)))
        .collect();
    stages.sort();
    stages.dedup();
    match stages.as_slice() {
        [only] => Ok(StratumKey {
            container,
            stage: only.clone(),
        }),
        _ => Err(Stray::StageUnknown),
    }
}
