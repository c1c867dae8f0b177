//! What went wrong while reading the folder, as values. The finding room words them; nothing here decides how grave they are.

use super::table::TableProblem;
use super::value::DateOrder;
use crate::place::Place;
use crate::units::Dimension;
use crate::words::Words;

/// Something in a file that could not be read as meant.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    pub place: Place,
    pub kind: ProblemKind,
    /// The row of the table, where there is one.
    pub row: Option<RowText>,
}

/// A row as the file has it, with the number of the cell that is meant.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RowText {
    pub cells: Vec<String>,
    pub cell: Option<usize>,
}

/// The kinds of trouble that reading can meet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ProblemKind {
    /// A file that the season should have is not there.
    FileMissing { needed_for: &'static str },
    /// A file is there and can't be read as what it should be.
    FileUnreadable { reason: Words },
    /// The same table is there in two formats.
    TableTwice { other: String },
    /// A link in the folder; links are not followed.
    Link,
    /// An empty folder, which an archive can't carry.
    EmptyFolder,
    /// A table without a heading that it must have.
    HeadingMissing { heading: &'static str },
    /// A heading that the table has no use for.
    HeadingUnknown {
        heading: String,
        nearest: Option<&'static str>,
    },
    /// Two columns that mean the same.
    HeadingTwice {
        heading: String,
        first: String,
        column: &'static str,
    },
    /// A quantity whose unit nobody said.
    UnitMissing {
        heading: String,
        dimension: Dimension,
    },
    /// A unit in a heading or in a cell that is none of the dimension.
    UnitUnknown { unit: String, dimension: Dimension },
    /// A cell carries another unit than its column.
    UnitsMixed { found: String, column: String },
    /// A cell that must be filled is empty.
    ValueMissing { heading: &'static str },
    /// A cell that is not the number it should be.
    NotANumber {
        found: String,
        expected: &'static str,
    },
    /// A number with a mark of doubt on it: `~30`, `30+`.
    NumberDoubtful { found: String, read_as: String },
    /// A count or a quantity below zero.
    Negative { found: String },
    /// A cell that is no date.
    NotADate { found: String },
    /// A date that may be read in two ways, and the order that other dates of its column show.
    DateAmbiguous {
        found: String,
        shown: Option<(DateOrder, String)>,
        /// Other such dates under the same heading.
        more: Vec<Place>,
    },
    /// A date that can only be read against the order that season.toml names.
    DateAgainstOrder { found: String },
    /// A cell that is no time of day.
    NotATime { found: String },
    /// A cell that is neither yes nor no.
    NotYesOrNo { found: String },
    /// A cell that is none of the words that the column knows.
    NotAChoice {
        found: String,
        choices: String,
        nearest: Option<String>,
    },
    /// A row with more or fewer cells than there are headings.
    RowWidth { cells: usize, headings: usize },
    /// A text that is not UTF-8.
    NotUtf8 { read_as: &'static str },
    /// A key of season.toml that nothing reads.
    KeyUnknown {
        key: String,
        nearest: Option<String>,
    },
    /// A key of season.toml that must be there.
    KeyMissing { key: &'static str },
    /// A key of season.toml with a value of the wrong kind.
    KeyWrong { key: String, reason: Words },
    /// A GeoJSON feature that is no usable site or station.
    FeatureWrong { reason: Words },
    /// What reading a table met beyond single cells.
    Table(TableProblem),
}
