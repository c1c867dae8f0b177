//! Reads every table of the season, whatever its format, into rows whose cells know their place.
//!
//! Takes the bytes of a file and the columns that the table may have; gives rows and problems. Knows nothing of what the
//! columns mean. `grid` is a sheet as the file has it; `csv_file`, `xlsx` and `ods` make it; `layout` finds the headings in it,
//! `headings` understands them, `body` takes out what is no row, `taker` reads the cells.

mod below;
mod body;
mod by_kind;
mod column;
mod csv_file;
mod grid;
mod headings;
mod layout;
mod merged;
mod moments;
mod ods;
mod once;
mod points;
mod taker;
mod totals;
mod trouble;
mod when;
mod workbook;
mod xlsx;

use std::collections::BTreeMap;
use std::sync::Arc;

pub use column::{Column, Sums, must, quantity, text};
pub use grid::{Grid, MOST_LINES};
pub use headings::is_ton;
pub use taker::{Taker, each};
pub use trouble::TableProblem;

use self::below::Others;
use self::grid::{Line, Nature, letters};
use self::headings::Recogniser;
use super::problem::{Problem, ProblemKind, RowText};
use super::value::{self, DateHabits, Marks};
use crate::place::{CellAt, Place, Spot};
use crate::shared::Shared;
use crate::units::{Dimension, Unit};
use crate::words;

/// What the season says about all tables.
#[derive(Debug, Clone, Default)]
pub struct Conventions {
    /// The group's own headings, folded, to ours.
    pub headings: Vec<(String, String)>,
    pub mass: Option<Unit>,
    pub area: Option<Unit>,
    pub dates: DateHabits,
    /// Kinds of container that the group names.
    pub containers: Vec<String>,
}

impl Conventions {
    fn unit(&self, dimension: Dimension) -> Option<Unit> {
        match dimension {
            Dimension::Mass => self.mass,
            Dimension::Area => self.area,
            Dimension::Time => Some(Unit::Hour),
        }
    }
}

/// A heading as the file has it and as we understand it.
#[derive(Debug, Clone, PartialEq)]
pub struct Heading {
    pub text: String,
    pub column: Option<&'static str>,
    /// Must the column be there?
    pub must: bool,
    pub unit: Option<Unit>,
    /// The kind of container that the heading counts, in a table without a column of kinds.
    pub kind: Option<String>,
}

/// What all rows of a table share.
#[derive(Debug, PartialEq)]
pub struct Head {
    pub file: Shared,
    pub sheet: Option<Shared>,
    /// Do serial dates count from 1904?
    pub from_1904: bool,
    pub headings: Vec<Heading>,
    /// What adding up each column means.
    pub sums: Vec<Sums>,
}

impl Head {
    /// The column of ours under each heading.
    fn columns(&self) -> Vec<Option<&'static str>> {
        self.headings.iter().map(|heading| heading.column).collect()
    }

    /// Does the column hold numbers whose marks show how the table writes them?
    fn is_number(&self, at: usize, heading: &Heading) -> bool {
        heading.column.is_some()
            && (heading.unit.is_some()
                || heading.column == Some("percent")
                || self.sums.get(at).is_some_and(|sums| *sums != Sums::No))
    }
}

/// A row that knows where it stands.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    pub head: Arc<Head>,
    /// As a spreadsheet counts: the file's first row is 1.
    pub number: u32,
    pub cells: Vec<String>,
    /// What each cell is by its workbook's word; empty where all are texts.
    pub natures: Vec<Nature>,
    /// The column that holds this row's containers, where headings name their kinds.
    pub kind: Option<usize>,
}

/// The place of a cell, by the number of its column from 0.
fn cell_place(head: &Head, row: u32, column: usize) -> Place {
    Place {
        file: head.file.clone(),
        spot: Spot::Cell(Box::new(CellAt {
            sheet: head.sheet.clone(),
            row,
            // Only in a workbook do people see letters above the columns.
            column: head
                .sheet
                .as_ref()
                .map(|_| letters(u32::try_from(column).unwrap_or(u32::MAX)).into()),
            heading: head
                .headings
                .get(column)
                .map(|heading| heading.text.clone())
                .unwrap_or_default()
                .into(),
        })),
    }
}

impl Row {
    pub fn place(&self) -> Place {
        Place {
            file: self.head.file.clone(),
            spot: Spot::Row {
                sheet: self.head.sheet.clone(),
                row: self.number,
            },
        }
    }

    /// The cell under a column of ours; the row as a whole where the table has no such column.
    pub fn cell_place(&self, column: &str) -> Place {
        match self.index(column) {
            Some(index) => cell_place(&self.head, self.number, index),
            None => self.place(),
        }
    }

    /// The cell's text without blanks around it; nothing where the cell says *not recorded*.
    pub fn text(&self, column: &str) -> Option<&str> {
        if column == "container"
            && let Some(kind) = self.kind_of_heading()
        {
            return Some(kind);
        }
        let index = self.index(column)?;
        if self.nature(index) == Nature::Void {
            return None;
        }
        let text = self.cells.get(index)?.trim();
        (!value::is_blank(text)).then_some(text)
    }

    /// The row for quoting, with the cell of a column marked.
    pub fn quote(&self, column: Option<&str>) -> RowText {
        RowText {
            cells: self.cells.clone(),
            cell: column.and_then(|column| self.index(column)),
        }
    }

    /// Does the table have the column at all?
    pub fn has(&self, column: &str) -> bool {
        self.index(column).is_some()
    }

    /// Has it been told already that the cell can't be read?
    fn is_told(&self, column: &str) -> bool {
        self.index(column)
            .is_some_and(|index| self.nature(index) == Nature::Void)
    }

    fn kind_of_heading(&self) -> Option<&str> {
        self.head.headings.get(self.kind?)?.kind.as_deref()
    }

    fn nature(&self, index: usize) -> Nature {
        self.natures.get(index).copied().unwrap_or_default()
    }

    fn index(&self, column: &str) -> Option<usize> {
        if column == "containers" && self.kind.is_some() {
            return self.kind;
        }
        self.head
            .headings
            .iter()
            .position(|heading| heading.column == Some(column))
    }

    fn unit(&self, column: &str) -> Option<Unit> {
        self.head.headings.get(self.index(column)?)?.unit
    }
}

/// Tables above this size are refused: no season's log comes near it, and it bounds memory.
pub const LARGEST_TABLE: u64 = 16 << 20;

/// Files of these endings are text tables.
const TEXT_ENDINGS: [&str; 2] = ["csv", "tsv"];

/// Endings of files that are read as tables, in the order in which they are preferred.
pub const ENDINGS: [&str; 5] = ["csv", "xlsx", "ods", "tsv", "xlsm"];

/// Endings of files that hold tables and can't be read.
pub const OTHER_ENDINGS: [&str; 3] = ["xls", "xlsb", "numbers"];

/// Opens a file as the sheets that it holds. A text file is one sheet without a name.
pub fn open(file: &str, bytes: &[u8], problems: &mut Vec<Problem>) -> Vec<Grid> {
    let lower = file.to_lowercase();
    let is_text = TEXT_ENDINGS
        .iter()
        .any(|ending| lower.ends_with(&format!(".{ending}")));
    let grids = if is_text {
        csv_file::grid(file, bytes, problems).map(|grid| vec![grid])
    } else {
        workbook::grids(bytes)
    };
    match grids {
        Ok(grids) => grids,
        Err(reason) => {
            problems.push(Problem {
                place: Place::whole(file),
                kind: ProblemKind::FileUnreadable { reason },
                row: None,
            });
            Vec::new()
        }
    }
}

/// Which of the headings that a table must have a sheet lacks; nothing where it holds too few known ones to be such a table.
pub fn lacks(
    grid: &Grid,
    columns: &'static [Column],
    conventions: &Conventions,
) -> Option<Vec<&'static str>> {
    let recogniser = Recogniser::new(columns, conventions);
    let layout = layout::of(grid, &recogniser)?;
    // More than half of the headings are ours, or else the sheet is about something else.
    (layout.fit.known >= 2 && 2 * layout.fit.known > layout.fit.filled)
        .then_some(layout.fit.missing)
}

/// Reads a table out of the sheets of a file. `named` tells which sheets bear the table's name; they are read whatever they lack.
///
/// `others` are the tables that may stand below in the same sheet, which are told and not read.
///
/// Where no sheet bears the name, those are read that have all headings; where none has, the one that has most.
pub fn read(
    file: &str,
    grids: Vec<(Grid, bool)>,
    columns: &'static [Column],
    others: &[(&'static str, &'static [Column])],
    conventions: &Conventions,
    problems: &mut Vec<Problem>,
) -> Vec<Row> {
    let recogniser = Recogniser::new(columns, conventions);
    let others = Others::new(others, conventions);
    let mut whole = |kind| {
        problems.push(Problem {
            place: Place::whole(file),
            kind,
            row: None,
        });
    };
    let mut found: Vec<(Grid, layout::Layout, bool)> = Vec::new();
    let mut unread: Vec<String> = Vec::new();
    for (grid, named) in grids {
        match layout::of(&grid, &recogniser) {
            Some(layout) => found.push((grid, layout, named)),
            // An empty sheet is no matter, a sheet of nothing but far cells neither.
            None => continue,
        }
    }
    if found.is_empty() {
        whole(ProblemKind::FileUnreadable {
            reason: words!("the table is empty: not even headings"),
        });
        return Vec::new();
    }
    let any_named = found.iter().any(|(_, _, named)| *named);
    let any_fits = found.iter().any(|(_, layout, _)| layout.fits());
    let best = found
        .iter()
        .map(|(_, layout, _)| layout.fit.known)
        .max()
        .unwrap_or(0);
    let mut best_taken = false;
    let mut taken: Vec<(Grid, layout::Layout)> = Vec::new();
    let mut nearly: Vec<(Place, TableProblem)> = Vec::new();
    for (grid, layout, named) in found {
        let take = if any_named || any_fits {
            named || layout.fits()
        } else {
            !best_taken && layout.fit.known == best
        };
        if take {
            best_taken = true;
            taken.push((grid, layout));
        } else if let Some(name) = grid.sheet.clone() {
            let fit = &layout.fit;
            let musts = columns.iter().filter(|column| column.must).count();
            // One heading short of a table, and about nothing else.
            if fit.missing.len() == 1 && musts > 1 && fit.known >= 3 && 2 * fit.known > fit.filled {
                nearly.push((
                    Place {
                        file: file.into(),
                        spot: Spot::Row {
                            sheet: Some(name.into()),
                            row: grid.lines.get(layout.heading).map_or(1, |line| line.number),
                        },
                    },
                    TableProblem::SheetNearly {
                        missing: fit.missing.clone(),
                        unknown: layout::unknown(&grid, layout.heading, &recogniser),
                    },
                ));
            } else if !grid.hidden {
                unread.push(name);
            }
        }
    }
    if !unread.is_empty() {
        whole(ProblemKind::Table(TableProblem::SheetsNotRead {
            sheets: unread,
        }));
    }
    for (place, kind) in nearly {
        problems.push(Problem {
            place,
            kind: ProblemKind::Table(kind),
            row: None,
        });
    }
    read_sheets(file, taken, &recogniser, &others, problems)
}

fn read_sheets(
    file: &str,
    sheets: Vec<(Grid, layout::Layout)>,
    recogniser: &Recogniser<'_>,
    others: &Others<'_>,
    problems: &mut Vec<Problem>,
) -> Vec<Row> {
    let names: Vec<String> = sheets
        .iter()
        .filter_map(|(grid, _)| grid.sheet.clone())
        .collect();
    let mut rows = Vec::new();
    // Rows of the sheets before, by their words.
    let mut seen: BTreeMap<Vec<String>, Place> = BTreeMap::new();
    for (grid, layout) in sheets {
        if grid.hidden {
            problems.push(Problem {
                place: Place {
                    file: file.into(),
                    spot: Spot::Row {
                        sheet: grid.sheet.clone().map(Into::into),
                        row: grid.lines.first().map_or(1, |line| line.number),
                    },
                },
                kind: ProblemKind::Table(TableProblem::SheetHidden),
                row: None,
            });
        }
        let of_sheet = body::rows(file, grid, &layout, recogniser, others, problems);
        if names.len() > 1 {
            tell_rows_seen_before(&of_sheet, &mut seen, problems);
        }
        rows.extend(of_sheet);
    }
    if names.len() > 1 {
        problems.push(Problem {
            place: Place::whole(file),
            kind: ProblemKind::Table(TableProblem::SheetsJoined {
                sheets: names,
                rows: rows.len(),
            }),
            row: None,
        });
    }
    rows
}

/// A sheet kept as a copy would count everything twice.
fn tell_rows_seen_before(
    rows: &[Row],
    seen: &mut BTreeMap<Vec<String>, Place>,
    problems: &mut Vec<Problem>,
) {
    let mut twice: Vec<(&Row, Place)> = Vec::new();
    let keyed: Vec<(Vec<String>, &Row)> = rows
        .iter()
        .filter(|row| row.kind.is_none() || row.index("containers") == row.kind)
        .map(|row| {
            let cells: Vec<grid::Cell> = row.cells.iter().map(grid::Cell::text).collect();
            (body::key(&cells), row)
        })
        // A row of two words may well come twice.
        .filter(|(key, _)| key.iter().filter(|text| !text.is_empty()).count() >= 3)
        .collect();
    for (key, row) in &keyed {
        if let Some(place) = seen.get(key) {
            twice.push((row, place.clone()));
        }
    }
    for (key, row) in keyed {
        seen.entry(key).or_insert_with(|| row.place());
    }
    if let Some((first, there)) = twice.first() {
        let other = match &there.spot {
            Spot::Row {
                sheet: Some(sheet), ..
            } => sheet.clone(),
            _ => String::new().into(),
        };
        problems.push(Problem {
            place: first.place(),
            kind: ProblemKind::Table(TableProblem::RowsInTwoSheets {
                other: other.to_string(),
                rows: twice.iter().map(|(row, _)| row.number).collect(),
                there: twice.iter().map(|(_, place)| place.clone()).collect(),
            }),
            row: Some(first.quote(None)),
        });
    }
}

/// What the numbers of a table show about its marks.
fn marks(head: &Head, lines: &[Line]) -> Marks {
    let mut marks = Marks::default();
    let columns: Vec<usize> = head
        .headings
        .iter()
        .enumerate()
        .filter(|(at, heading)| head.is_number(*at, heading))
        .map(|(at, _)| at)
        .collect();
    for line in lines {
        for column in &columns {
            if let Some(cell) = line.cell(*column)
                && cell.nature == Nature::Text
            {
                marks.learn(&cell.text);
            }
        }
    }
    marks
}

#[cfg(test)]
mod tests {
    use super::*;

    const COLUMNS: &[Column] = &[
        must("pull", &["pull id"]),
        quantity("mass", Dimension::Mass, &["wet mass", "weight"]),
        text("containers", &[]),
    ];

    fn read_csv(bytes: &[u8]) -> (Vec<Row>, Vec<Problem>) {
        let mut problems = Vec::new();
        let grids = open("pulls.csv", bytes, &mut problems);
        let rows = read(
            "pulls.csv",
            grids.into_iter().map(|grid| (grid, true)).collect(),
            COLUMNS,
            &[],
            &Conventions::default(),
            &mut problems,
        );
        (rows, problems)
    }

    #[test]
    fn headings_fold_and_carry_units() {
        let (rows, problems) = read_csv(b"\xef\xbb\xbfPull ID;Wet mass (lb);Containers\nP1;10;2\n");
        assert_eq!(problems, []);
        let read = each(&rows, DateHabits::default(), &mut Vec::new(), |take| {
            (take.quantity("mass"), take.count("containers"))
        });
        assert_eq!(read, [(Some(10.0 * 0.453_592_37), Some(2))]);
    }

    #[test]
    fn rows_are_numbered_as_a_spreadsheet_numbers_them() {
        let (rows, _) = read_csv(b"pull,containers\n\n\nP1,\"two\nlines\"\nP2,3\n");
        let numbers: Vec<u32> = rows.iter().map(|row| row.number).collect();
        assert_eq!(numbers, [4, 5]);
    }

    #[test]
    fn a_quantity_without_unit_is_no_number() {
        let (rows, problems) = read_csv(b"pull,mass\nP1,10\n");
        assert!(matches!(
            problems[0].kind,
            ProblemKind::UnitMissing {
                dimension: Dimension::Mass,
                ..
            }
        ));
        let read = each(&rows, DateHabits::default(), &mut Vec::new(), |take| {
            take.quantity("mass")
        });
        assert_eq!(read, [None]);
    }

    #[test]
    fn unknown_headings_get_a_proposal() {
        let (_, problems) = read_csv(b"pull,contaners\nP1,3\n");
        assert!(matches!(
            problems[0].kind,
            ProblemKind::HeadingUnknown {
                nearest: Some("containers"),
                ..
            }
        ));
    }

    #[test]
    fn nonsense_is_a_problem_and_no_panic() {
        for bytes in [
            &b""[..],
            b"\0\0\0",
            b"\xff\xfe,\n\x80",
            b"\"\n\"\n",
            b",,,\n,,,",
        ] {
            let mut problems = Vec::new();
            let grids = open("pulls.csv", bytes, &mut problems);
            if !grids.is_empty() {
                let (rows, more) = read_csv(bytes);
                assert!(rows.len() < 2);
                problems.extend(more);
            }
            assert!(!problems.is_empty());
        }
    }
}
