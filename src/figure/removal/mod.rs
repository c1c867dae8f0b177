//! Removal: what came out, how it is known, and how much of it a person-hour brought.
//!
//! Mass and plants go the same way: amounts that were weighed or counted stand as they are; counted containers are converted by
//! the weighed ones of their own stratum; guesses are kept apart; a stratum without weighings is refused.
//!
//! Takes a season, gives a [`Removal`] that can be asked for any rows of the log. The way through: rows ([`Part`]) → what is known of
//! them (`tally`, by what was weighed of each stratum: `measured`) → their total (`total`), their catch per person-hour (`rate`), and
//! both as figures (`figures`, `strata`). Must not compute an uncertainty of its own: that is the estimate room's.

mod figures;
mod measured;
mod rate;
mod strata;
mod tally;
mod total;
mod wording;

use std::collections::{BTreeMap, BTreeSet};

use crate::place::Place;
use crate::season::{
    Amount, Catch, Known, PullRow, RowIndex, Season, StratumKey, StratumRecords, catch,
};
use crate::words::Words;

use measured::Measured;
pub(super) use strata::stratum_name;
use tally::Tally;
use wording::{MASS, PLANTS, Wording};

/// Some rows of the log.
pub type Part = BTreeSet<RowIndex>;

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
        let observed = measured::of_strata(season, &catch, amount);
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

    /// Those of some rows that have a catch.
    pub(super) fn rows_among(&self, rows: &Part) -> Part {
        let known = |index: &&RowIndex| self.catch.rows.contains_key(index);
        rows.iter().filter(known).copied().collect()
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

    /// `removal.wet-mass`, to which the names of breakdowns are added.
    pub(super) fn stem(&self) -> &'static str {
        self.words.stem
    }

    pub(super) fn noun(&self) -> Words {
        Words::fixed(self.words.noun)
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
}
