//! The archive of an earlier season as this season sees it: what `[previous]` in season.toml names, opened and judged.
//!
//! Plain values, filled in by whoever opened the archive (the verify room); nothing here opens a file. A season that was
//! loaded and not yet joined to its archive has none.

use std::collections::BTreeMap;

use crate::hash::Hash;
use crate::place::{Place, Spot};

/// What became of the archive that season.toml names.
#[derive(Debug, Clone, PartialEq)]
pub struct Earlier {
    /// The archive, as season.toml names it. Places of figures taken from it bear this name.
    pub archive: String,
    pub named: NamedRoot,
    pub state: EarlierState,
}

/// The root that season.toml gives for the archive.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NamedRoot {
    Not,
    Is(Hash),
    /// Neither digits nor words; why.
    Unreadable(String),
}

/// Whether the archive can be built on.
#[derive(Debug, Clone, PartialEq)]
pub enum EarlierState {
    /// It can't be opened; why.
    Missing(String),
    /// It was opened and is not whole, or is no evidence archive: each fault in words, and how many there are.
    NotWhole(Vec<String>, usize),
    Whole(EarlierRecord),
}

/// What a whole archive says of its season.
#[derive(Debug, Clone, PartialEq)]
pub struct EarlierRecord {
    /// The root over its files, worked out anew.
    pub root: Hash,
    /// Year of its season.toml.
    pub year: Option<i32>,
    /// Figures of its ledger by name, in base units; nothing where the ledger refuses one, or holds no number.
    pub figures: BTreeMap<String, Option<f64>>,
    /// Photos of its season folder by the SHA-256 of their bytes, with their paths below that folder.
    pub photos: BTreeMap<Hash, String>,
    /// The root of the archive that it names in its turn.
    pub previous: Option<Hash>,
}

impl Earlier {
    /// The record, if this season may build on it: whole, of an earlier year, and under the root that season.toml names.
    pub fn usable(&self, this_year: i32) -> Option<(i32, &EarlierRecord)> {
        let record = self.whole()?;
        let as_named = match &self.named {
            NamedRoot::Not => true,
            NamedRoot::Is(root) => *root == record.root,
            NamedRoot::Unreadable(_) => false,
        };
        let year = record.year.filter(|year| *year < this_year)?;
        as_named.then_some((year, record))
    }

    /// The record, if the archive is whole.
    pub fn whole(&self) -> Option<&EarlierRecord> {
        match &self.state {
            EarlierState::Whole(record) => Some(record),
            _ => None,
        }
    }

    /// The place of a figure in the archive's ledger.
    pub fn place(&self, figure: &str) -> Place {
        Place {
            file: self.archive.clone().into(),
            spot: Spot::Figure(figure.into()),
        }
    }
}

impl EarlierRecord {
    /// A figure's value. Outer nothing: the ledger has no such figure; inner nothing: it has no value.
    pub fn figure(&self, name: &str) -> Option<Option<f64>> {
        self.figures.get(name).copied()
    }
}
