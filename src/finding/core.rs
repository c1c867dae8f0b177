//! What a finding is: something wrong or doubtful in the season folder, where, why it matters, and how to mend it.

use serde::Serialize;

use crate::place::Place;
use crate::shared::Shared;
use crate::words;
use crate::words::Words;

/// How grave a finding is. The order is the order of printing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Grade {
    /// A figure would be wrong.
    Error,
    /// A person has to decide.
    Doubt,
    /// Good to know.
    Remark,
}

impl Grade {
    pub const ALL: [Grade; 3] = [Grade::Error, Grade::Doubt, Grade::Remark];

    /// The grade's name, for a reader.
    pub fn named(self) -> Words {
        match self {
            Grade::Error => words!("error"),
            Grade::Doubt => words!("doubt"),
            Grade::Remark => words!("remark"),
        }
    }

    /// So many findings of the grade: `1 doubt`, `7 doubts`.
    pub fn counted(self, number: usize) -> Words {
        match self {
            Grade::Error => words!("{number} {number:error|errors}", number),
            Grade::Doubt => words!("{number} {number:doubt|doubts}", number),
            Grade::Remark => words!("{number} {number:remark|remarks}", number),
        }
    }

    pub fn word(self) -> &'static str {
        match self {
            Grade::Error => "error",
            Grade::Doubt => "doubt",
            Grade::Remark => "remark",
        }
    }

    pub fn plural(self) -> &'static str {
        match self {
            Grade::Error => "errors",
            Grade::Doubt => "doubts",
            Grade::Remark => "remarks",
        }
    }
}

/// A row of a table as it stands in the file, so that a person sees what is meant.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Quote {
    /// The row's cells joined as the file has them.
    pub text: String,
    /// Bytes of `text` that are meant, where a single cell is.
    pub mark: Option<(usize, usize)>,
}

/// Something wrong or doubtful.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Finding {
    /// The rule's permanent name.
    pub name: &'static str,
    pub grade: Grade,
    pub place: Place,
    /// Other places that belong to it: the first of two equal photos, say.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub also: Vec<Place>,
    /// What is wrong, in a sentence.
    pub message: Words,
    /// Why it matters to a figure.
    pub why: Words,
    /// What to do.
    pub mend: Words,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub quote: Option<Box<Quote>>,
    /// What hangs on its records, where the ledger has been asked. Few have one, and there may be a finding for every photo.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub stake: Option<Box<Stake>>,
    /// So many more are like it, and only counted.
    #[serde(rename = "more_like_it", skip_serializing_if = "is_none_more")]
    pub alike: u32,
    /// Why it may stand, where season.toml accepts it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub accepted: Option<Box<Acceptance>>,
}

/// What hangs on the records of a finding.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Stake {
    /// Names of the figures that rest on one of the records, without their parts.
    pub figures: Vec<Shared>,
    /// Names of those that leave one of them out.
    pub left_out_of: Vec<Shared>,
    /// How much of a total rests on the records.
    pub shares: Vec<Share>,
}

/// A part of a total that rests on some records.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Share {
    /// The total's name in the ledger.
    pub figure: String,
    pub part: f64,
    pub whole: f64,
    /// Of both, as the ledger holds it.
    pub unit: &'static str,
}

// By reference, as serde asks.
#[expect(clippy::trivially_copy_pass_by_ref)]
fn is_none_more(alike: &u32) -> bool {
    *alike == 0
}

impl Finding {
    /// It and those that are counted with it.
    pub fn count(&self) -> usize {
        1 + self.alike as usize
    }

    /// The largest share of a total that hangs on it, 0 to 1; nothing known is 0.
    pub fn weight(&self) -> f64 {
        let shares = self.stake.iter().flat_map(|stake| &stake.shares);
        shares
            .filter(|share| share.whole > 0.0)
            .map(|share| (share.part / share.whole).clamp(0.0, 1.0))
            .fold(0.0, f64::max)
    }
}

/// A person's decision that a finding may stand.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Acceptance {
    pub reason: String,
    pub by: Option<String>,
    pub on: Option<chrono::NaiveDate>,
}
