//! What a report is made from.

use chrono::NaiveDate;

use crate::figure::Ledger;
use crate::finding::Finding;
use crate::phrase;
use crate::season::{Edition, Role, Season};
use crate::words::Words;

/// Everything that a report needs. Nothing else is read but the pictures of the plates.
#[derive(Debug, Clone, Copy)]
pub struct Input<'a> {
    pub season: &'a Season,
    pub ledger: &'a Ledger,
    /// All findings, the accepted ones among them.
    pub findings: &'a [Finding],
    pub plates: &'a Plates,
    pub pull_marks: &'a [PullMark],
    /// Root of the evidence, printed so that it can be held against an archive.
    pub evidence_root: [u8; 32],
    /// Leaves under the root. A leaf without a name can't be told from a node inside the tree unless their number is known.
    pub evidence_leaves: usize,
    /// File name of the archive that the root belongs to.
    pub archive_name: &'a str,
    pub tool_version: &'a str,
    pub edition: Edition,
    /// The printed date. Never the clock's, so that the same season gives the same bytes.
    pub date: NaiveDate,
}

/// The pictures to print.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Plates {
    /// Before and after from one station, in the order of printing.
    pub pairs: Vec<Pair>,
    pub singles: Vec<Single>,
    /// Were the singles picked by rule, since photos.csv names none?
    pub by_rule: bool,
}

/// One picture of a pair.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Shot {
    /// Path below the season folder, as [`crate::photo::Photo::path`] has it.
    pub photo: String,
    /// When it was taken, in local time, ready to print.
    pub taken: String,
    /// Degrees from true north that the camera looked, where the photo says.
    pub bearing: Option<f64>,
    /// Latitude and longitude that the photo states, unless its site is sensitive.
    pub position: Option<(f64, f64)>,
}

/// How well two pictures match.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum PairGrade {
    /// Same place, same view, same time of year.
    Matched,
    /// The same place, with something that differs.
    Partial,
    /// Fit to illustrate, not to compare.
    Illustrative,
}

impl PairGrade {
    pub fn word(self) -> &'static str {
        match self {
            Self::Matched => phrase!("matched"),
            Self::Partial => phrase!("partial"),
            Self::Illustrative => phrase!("illustrative"),
        }
    }
}

/// Before and after from one station.
#[derive(Debug, Clone, PartialEq)]
pub struct Pair {
    pub station: String,
    /// Site id.
    pub site: Option<String>,
    pub before: Shot,
    pub after: Shot,
    /// Metres between the two positions, where both are known.
    pub distance: Option<f64>,
    pub grade: PairGrade,
    /// Why it has this grade, in a sentence.
    pub reason: Words,
    pub caption: Option<String>,
    /// The same view in other years, in their order.
    pub other_years: Vec<Shot>,
}

/// A picture by itself.
#[derive(Debug, Clone, PartialEq)]
pub struct Single {
    pub photo: String,
    pub taken: Option<String>,
    pub site: Option<String>,
    pub role: Option<Role>,
    pub caption: Option<String>,
}

/// Where a pull was.
#[derive(Debug, Clone, PartialEq)]
pub struct PullMark {
    pub pull: String,
    /// Site id.
    pub site: Option<String>,
    /// Degrees, WGS 84.
    pub latitude: f64,
    pub longitude: f64,
}

/// How far the work is, for whoever waits.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Step {
    /// So many of the plates' pictures are scaled.
    Pictures { done: usize, total: usize },
    /// The pages are being set.
    Setting,
    /// The PDF is being written.
    Writing,
    /// The public edition is searched for what must not be in it.
    Leaks,
}
