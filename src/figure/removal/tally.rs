//! What is known of some rows of the log: weighed, counted, guessed, containers to be converted, and what is left out and why.
//!
//! Takes rows, gives a [`Tally`]. It judges row by row whether an amount can be used; it makes no total and rounds nothing.

use std::collections::{BTreeMap, BTreeSet};

use super::measured::Measured;
use super::{Part, Removal};
use crate::figure::left_out::{LeftOut, Why};
use crate::place::Place;
use crate::season::{Known, StratumKey};
use crate::words;
use crate::words::Words;

/// What is known of some rows.
#[derive(Debug, Default)]
pub(in crate::figure) struct Tally {
    pub weighed: f64,
    pub counted: f64,
    pub(super) has_counted: bool,
    pub guessed: f64,
    /// Containers to be converted, by stratum.
    pub containers: BTreeMap<StratumKey, f64>,
    pub places: Vec<Place>,
    pub(super) guessed_places: Vec<Place>,
    pub left_out: Vec<LeftOut>,
    /// Pulls of which not all is known without guessing.
    pub(super) incomplete: BTreeSet<usize>,
}

impl Tally {
    /// Is all of it known, without a guess?
    pub fn is_complete(&self) -> bool {
        self.incomplete.is_empty()
    }
}

impl Removal<'_> {
    /// Why a stratum can't be converted, if it can't.
    pub(super) fn refusal(&self, stratum: &StratumKey) -> Option<Words> {
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

    /// All that is known of some rows.
    pub(in crate::figure) fn tally(&self, part: &Part) -> Tally {
        let mut tally = Tally::default();
        let rows = part
            .iter()
            .filter_map(|index| Some((index, self.catch.rows.get(index)?)));
        for (index, known) in rows {
            let Some(row) = self.row(*index) else {
                continue;
            };
            let place = row.row.place();
            let mut out = |amount: Option<Words>, reason: Words| {
                tally.left_out.push(LeftOut {
                    place: place.clone(),
                    why: Why { amount, reason },
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
}

fn number_left_out(containers: f64) -> Words {
    words!("{containers} containers left out", containers)
}
