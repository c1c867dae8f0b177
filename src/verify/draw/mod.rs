//! A fair, repeatable sample of what an archive holds, for an auditor to check by hand.
//!
//! Takes an opened archive and the auditor's wishes; gives the drawn items with the reason for their number, a worksheet,
//! and from the filled worksheet what the checks prove. The rule of drawing is published (docs/for-auditors.md), so that
//! anyone can redo it from the archive's tables. Reads no clock and no chance: all of it follows from the auditor's seed.

mod by_size;
mod filled;
mod judgement;
mod plan;
mod population;
mod rule;
mod sheet;

pub use filled::{Filled, Odd, Outcome, read as read_sheet};
pub use judgement::{Judgement, judge};
pub use plan::{Draw, Drawn, Wish, draw};
pub use population::{Item, Population, population};
pub use sheet::{FORMAT_LINE, WHAT_TO_DO, lines, workbook};

use std::fmt;

use serde::Serialize;

use super::VerifyError;
use crate::estimate::Refusal;
use crate::season::SeasonError;

/// What is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Of {
    /// Rows of photo-index.csv.
    Photos,
    /// Pulls, each with all its rows.
    Pulls,
    /// Rows of the weighings table.
    Weighings,
    /// Rows of the spending table, each to be held against its receipt.
    Receipts,
}

impl Of {
    pub const ALL: [Self; 4] = [Self::Photos, Self::Pulls, Self::Weighings, Self::Receipts];

    /// The word on the command line and in the worksheet.
    pub fn word(self) -> &'static str {
        match self {
            Self::Photos => "photos",
            Self::Pulls => "pulls",
            Self::Weighings => "weighings",
            Self::Receipts => "receipts",
        }
    }

    /// The smallest part that a draw by size counts, and how many make the unit of the worksheet.
    /// None where items have no size.
    pub fn part(self) -> Option<Part> {
        match self {
            Self::Photos | Self::Pulls => None,
            Self::Weighings => Some(Part {
                name: "grams",
                size: "mass",
                unit: "kg",
                in_unit: 1000,
            }),
            Self::Receipts => Some(Part {
                name: "hundredths of the currency",
                size: "amount",
                unit: "in the season's currency",
                in_unit: 100,
            }),
        }
    }
}

/// How sizes are counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Part {
    pub name: &'static str,
    pub size: &'static str,
    pub unit: &'static str,
    pub in_unit: u64,
}

/// Why there is no draw or no judgement.
#[derive(Debug)]
pub enum DrawError {
    Verify(VerifyError),
    Season(SeasonError),
    /// The tables of the archive could not be laid out for reading.
    Machine(std::io::Error),
    /// The wishes don't fit the archive, or a file isn't what it must be; in plain words.
    Unfit(String),
}

impl fmt::Display for DrawError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Verify(error) => error.fmt(f),
            Self::Season(error) => error.fmt(f),
            Self::Machine(error) => write!(
                f,
                "the archive's tables can't be laid out in the system's temporary folder: {error}; see that it has room"
            ),
            Self::Unfit(what) => f.write_str(what),
        }
    }
}

impl std::error::Error for DrawError {}

impl From<VerifyError> for DrawError {
    fn from(error: VerifyError) -> Self {
        Self::Verify(error)
    }
}

impl From<SeasonError> for DrawError {
    fn from(error: SeasonError) -> Self {
        Self::Season(error)
    }
}

impl From<Refusal> for DrawError {
    fn from(refusal: Refusal) -> Self {
        Self::Unfit(refusal.reason.to_string())
    }
}
