//! The group's own words for sites, stations, kinds, stages, payers, grants, budget lines and pulls, as `[names]` in season.toml gives them.
//!
//! Takes the records of all tables and puts our name in the place of theirs. The rows keep what the file says.

use std::collections::BTreeMap;

use super::cover::CoverRow;
use super::history::HistoryRow;
use super::kinds::singular;
use super::photo_notes::PhotoNote;
use super::pulls::PullRow;
use super::spending::SpendingRow;
use super::value::fold;
use super::weighings::Weighing;

/// Their words, folded, to our names.
pub(super) struct Names(BTreeMap<String, String>);

/// The records that name something by a word.
pub(super) struct Records<'a> {
    pub pulls: &'a mut [PullRow],
    pub weighings: &'a mut [Weighing],
    pub cover: &'a mut [CoverRow],
    pub history: &'a mut [HistoryRow],
    pub spending: &'a mut [SpendingRow],
    pub photos: &'a mut [PhotoNote],
}

impl Names {
    pub fn of(names: &[(String, String)]) -> Self {
        let mut known = BTreeMap::new();
        for (theirs, ours) in names {
            // Kinds of container come in the singular, whatever the row says.
            known.insert(fold(&singular(theirs)), ours.clone());
            known.insert(fold(theirs), ours.clone());
        }
        Self(known)
    }

    fn put(&self, said: &mut Option<String>) {
        if let Some(word) = said
            && let Some(ours) = self.0.get(&fold(word))
        {
            *word = ours.clone();
        }
    }

    /// Puts our names into the records.
    pub fn apply(&self, records: Records<'_>) {
        if self.0.is_empty() {
            return;
        }
        for row in records.pulls {
            self.put(&mut row.site);
            self.put(&mut row.paid_by);
            self.put(&mut row.container);
            self.put(&mut row.stage);
        }
        for row in records.weighings {
            self.put(&mut row.pull);
            self.put(&mut row.site);
            self.put(&mut row.container);
            self.put(&mut row.stage);
        }
        for row in records.cover {
            self.put(&mut row.site);
            self.put(&mut row.station);
        }
        for row in records.history {
            self.put(&mut row.site);
        }
        for row in records.spending {
            self.put(&mut row.grant);
            self.put(&mut row.line);
        }
        for row in records.photos {
            self.put(&mut row.site);
            self.put(&mut row.station);
            self.put(&mut row.pull);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_fold_before_they_are_looked_up() {
        let names = Names::of(&[
            ("The Narrows".to_owned(), "north".to_owned()),
            ("Contractor bags".to_owned(), "bag".to_owned()),
        ]);
        for (said, ours) in [
            ("the narrows", "north"),
            ("contractor bag", "bag"),
            ("south", "south"),
        ] {
            let mut word = Some(said.to_owned());
            names.put(&mut word);
            assert_eq!(word.as_deref(), Some(ours));
        }
    }
}
