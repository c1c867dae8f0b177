//! A second table below the first one in the same sheet: told from rows of data, so that none is read under headings that are not its own.
//!
//! Takes the lines of a sheet and the columns that the headings above them name; gives where another table begins, and what it may be.

use super::body::{quote, row_place};
use super::column::Column;
use super::grid::{Grid, Line, Nature};
use super::headings::Recogniser;
use super::trouble::TableProblem;
use super::{Conventions, layout};
use crate::season::problem::{Problem, ProblemKind, RowText};
use crate::season::value::{self, DateHabits, DateOrder, Marks};

/// Columns whose cells are numbers, dates or times, beside those that are known by their unit.
const TYPED: [&str; 14] = [
    "date",
    "start",
    "end",
    "return_by",
    "year",
    "pass",
    "staff",
    "volunteers",
    "boats",
    "containers",
    "plants",
    "percent",
    "amount",
    "removed",
];

/// The tables that a sheet may hold beside the one that is read.
pub(super) struct Others<'a>(Vec<(&'static str, Recogniser<'a>)>);

/// Another table's line of headings.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Other {
    /// The table that it is, where its headings are one's.
    pub table: Option<&'static str>,
    pub headings: Vec<String>,
    /// What it lacks to belong to the table above, where that is a single heading.
    pub lacks: Option<&'static str>,
    /// Headings that the table above has too.
    pub shared: usize,
}

impl<'a> Others<'a> {
    pub fn new(tables: &[(&'static str, &'static [Column])], conventions: &'a Conventions) -> Self {
        Self(
            tables
                .iter()
                .map(|(name, columns)| (*name, Recogniser::new(columns, conventions)))
                .collect(),
        )
    }

    /// Is the line of this number in the list the heading of another table? `names` are the columns of the headings above it.
    pub fn begins(
        &self,
        lines: &[Line],
        at: usize,
        names: &[Option<&'static str>],
        recogniser: &Recogniser<'_>,
    ) -> Option<Other> {
        let line = lines.get(at)?;
        // Cheap first: headings are words, and no numbers.
        let words = |cell: &super::grid::Cell| {
            cell.nature == Nature::Text
                && !cell.text.trim().starts_with(|c: char| c.is_ascii_digit())
                && !value::is_blank(&cell.text)
        };
        if line.filled().count() < 2 || !line.filled().all(|(_, cell)| words(cell)) {
            return None;
        }
        let typed: Vec<&str> = line
            .filled()
            .filter(|(column, _)| {
                names
                    .get(*column)
                    .copied()
                    .flatten()
                    .is_some_and(|name| is_typed(name, recogniser))
            })
            .map(|(_, cell)| cell.text.trim())
            .collect();
        // A row with a date or a number where one belongs is a row of the table.
        if typed.iter().any(|text| is_value(text)) || layout::is_heading(line, recogniser) {
            return None;
        }
        let texts: Vec<&str> = line.cells.iter().map(|cell| cell.text.as_str()).collect();
        let known = self.0.iter().find(|(_, other)| {
            let fit = other.fit(&texts);
            fit.missing.is_empty() && fit.known >= 2 && 2 * fit.known > fit.filled
        });
        let before = at.checked_sub(1).and_then(|before| lines.get(before));
        let apart = before.is_some_and(|before| before.number.saturating_add(1) < line.number);
        let followed = lines.get(at + 1).is_some_and(|next| {
            next.number == line.number.saturating_add(1) && next.filled().count() >= 2
        });
        // Without a name, words are headings where they stand apart, head something, and can't be data: ids have figures.
        let figures = line
            .filled()
            .any(|(_, cell)| cell.text.contains(|c: char| c.is_ascii_digit()));
        if known.is_none() && (figures || !apart || !followed || typed.is_empty()) {
            return None;
        }
        let own = recogniser.fit(&texts);
        let lacks = match own.missing.as_slice() {
            [one] if own.known >= 2 => Some(*one),
            _ => None,
        };
        Some(Other {
            table: known.map(|(name, _)| *name),
            headings: line
                .filled()
                .map(|(_, cell)| cell.text.trim().to_owned())
                .collect(),
            lacks,
            shared: own.known,
        })
    }

    /// The number, in the list, of the first line that is a heading again, of this table or of another one.
    pub fn next_heading(
        &self,
        lines: &[Line],
        from: usize,
        names: &[Option<&'static str>],
        recogniser: &Recogniser<'_>,
    ) -> Option<usize> {
        (from..lines.len()).find(|at| {
            lines
                .get(*at)
                .is_some_and(|line| layout::is_heading(line, recogniser))
                || self.begins(lines, *at, names, recogniser).is_some()
        })
    }
}

fn is_typed(name: &str, recogniser: &Recogniser<'_>) -> bool {
    TYPED.contains(&name)
        || recogniser
            .column(name)
            .is_some_and(|column| column.quantity.is_some())
}

/// Has the line a date?
fn has_date(line: &Line) -> bool {
    line.filled().any(|(_, cell)| {
        cell.nature == Nature::Moment && cell.text.contains('-')
            || cell.nature == Nature::Text && is_date(&cell.text)
    })
}

fn is_date(text: &str) -> bool {
    let habits = DateHabits {
        order: DateOrder::Mdy,
        // A leap year, so that 2/29 is one too.
        year: Some(2024),
        ..DateHabits::default()
    };
    !matches!(value::date(text, habits), Err(value::DateFault::NotADate))
}

fn is_value(text: &str) -> bool {
    value::number(text, Marks::default()).is_some() || value::time(text).is_some() || is_date(text)
}

/// Another table's lines while they are passed over.
pub(super) struct Below {
    other: Other,
    heading: RowText,
    first: u32,
    last: u32,
    dated: bool,
}

impl Below {
    pub fn new(other: Other, line: &Line) -> Self {
        Self {
            other,
            heading: quote(line, None),
            first: line.number,
            last: line.number,
            dated: false,
        }
    }

    pub fn add(&mut self, line: &Line) {
        self.last = line.number;
        self.dated |= has_date(line);
    }

    pub fn told(self, file: &str, grid: &Grid) -> Problem {
        Problem {
            place: row_place(file, grid, self.first),
            // Records have dates, and a table that shares headings may be more of the same; a summary has neither.
            kind: ProblemKind::Table(TableProblem::TableBelow {
                may_count: self.other.table.is_some()
                    || self.other.lacks.is_some()
                    || self.other.shared >= 2 && self.dated,
                table: self.other.table,
                headings: self.other.headings,
                lacks: self.other.lacks,
                last: self.last,
            }),
            row: Some(self.heading),
        }
    }
}
