//! Reads every table of the season, whatever its format, into rows whose cells know their place.
//!
//! Takes the bytes of a file and the columns that the table may have; gives rows and problems. Knows nothing of what the
//! columns mean.

mod csv_file;
mod headings;
mod taker;
mod workbook;

use std::sync::Arc;

pub use taker::{Taker, each};

use super::problem::{Problem, ProblemKind, RowText};
use super::value;
use crate::place::{Place, Spot};
use crate::units::{Dimension, Unit};

/// A column that a table may have.
#[derive(Debug, Clone, Copy)]
pub struct Column {
    pub name: &'static str,
    /// Must the heading be there?
    pub must: bool,
    /// For a column that holds a quantity with a unit.
    pub quantity: Option<Dimension>,
    /// Other words for it, common in the trade.
    pub also: &'static [&'static str],
}

/// A column of text.
pub const fn text(name: &'static str, also: &'static [&'static str]) -> Column {
    Column {
        name,
        must: false,
        quantity: None,
        also,
    }
}

/// A column that must be there.
pub const fn must(name: &'static str, also: &'static [&'static str]) -> Column {
    Column {
        name,
        must: true,
        quantity: None,
        also,
    }
}

/// A column that holds a quantity.
pub const fn quantity(
    name: &'static str,
    dimension: Dimension,
    also: &'static [&'static str],
) -> Column {
    Column {
        name,
        must: false,
        quantity: Some(dimension),
        also,
    }
}

/// What the season says about all tables.
#[derive(Debug, Clone, Default)]
pub struct Conventions {
    /// The group's own headings, folded, to ours.
    pub headings: Vec<(String, String)>,
    pub mass: Option<Unit>,
    pub area: Option<Unit>,
    pub order: value::DateOrder,
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
    pub unit: Option<Unit>,
}

/// What all rows of a table share.
#[derive(Debug, PartialEq)]
pub struct Head {
    pub file: String,
    pub sheet: Option<String>,
    pub headings: Vec<Heading>,
}

/// A row that knows where it stands.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    pub head: Arc<Head>,
    /// As a spreadsheet counts: the file's first row is 1.
    pub number: u32,
    pub cells: Vec<String>,
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
            Some(index) => Place {
                file: self.head.file.clone(),
                spot: Spot::Cell {
                    sheet: self.head.sheet.clone(),
                    row: self.number,
                    heading: self
                        .head
                        .headings
                        .get(index)
                        .map(|heading| heading.text.clone())
                        .unwrap_or_default(),
                },
            },
            None => self.place(),
        }
    }

    /// The cell's text without blanks around it; nothing where the cell says *not recorded*.
    pub fn text(&self, column: &str) -> Option<&str> {
        let text = self.cells.get(self.index(column)?)?.trim();
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

    fn index(&self, column: &str) -> Option<usize> {
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
pub const LARGEST_TABLE: u64 = 64 << 20;

/// Reads a table.
pub fn read(
    file: &str,
    bytes: &[u8],
    columns: &'static [Column],
    conventions: &Conventions,
    problems: &mut Vec<Problem>,
) -> Vec<Row> {
    let whole = |kind| Problem {
        place: Place::whole(file),
        kind,
        row: None,
    };
    let raw = if file.to_lowercase().ends_with(".csv") {
        csv_file::rows(file, bytes, problems)
    } else {
        workbook::rows(bytes)
    };
    let Raw { sheet, rows } = match raw {
        Ok(raw) => raw,
        Err(reason) => {
            problems.push(whole(ProblemKind::FileUnreadable { reason }));
            return Vec::new();
        }
    };
    let mut rows = rows
        .into_iter()
        .filter(|(_, cells)| cells.iter().any(|cell| !cell.trim().is_empty()));
    let Some((heading_row, headings)) = rows.next() else {
        problems.push(whole(ProblemKind::FileUnreadable {
            reason: "the table is empty: not even headings".into(),
        }));
        return Vec::new();
    };
    let head = Arc::new(headings::understand(
        file,
        sheet,
        heading_row,
        &headings,
        columns,
        conventions,
        problems,
    ));
    rows.map(|(number, cells)| {
        let row = Row {
            head: Arc::clone(&head),
            number,
            cells,
        };
        let surplus = row
            .cells
            .iter()
            .skip(head.headings.len())
            .any(|cell| !cell.trim().is_empty());
        if surplus {
            problems.push(Problem {
                place: row.place(),
                kind: ProblemKind::RowWidth {
                    cells: row.cells.len(),
                    headings: head.headings.len(),
                },
                row: Some(row.quote(None)),
            });
        }
        row
    })
    .collect()
}

/// A table's rows before its headings are understood, with the numbers that a spreadsheet gives them.
struct Raw {
    sheet: Option<String>,
    rows: Vec<(u32, Vec<String>)>,
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
        let rows = read(
            "pulls.csv",
            bytes,
            COLUMNS,
            &Conventions::default(),
            &mut problems,
        );
        (rows, problems)
    }

    #[test]
    fn headings_fold_and_carry_units() {
        let (rows, problems) = read_csv(b"\xef\xbb\xbfPull ID;Wet mass (lb);Containers\nP1;10;2\n");
        assert_eq!(problems, []);
        let mut problems = Vec::new();
        let mut taker = Taker {
            row: &rows[0],
            order: value::DateOrder::Ymd,
            problems: &mut problems,
        };
        assert_eq!(taker.quantity("mass"), Some(10.0 * 0.453_592_37));
        assert_eq!(taker.count("containers"), Some(2));
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
        let mut problems = Vec::new();
        let mut taker = Taker {
            row: &rows[0],
            order: value::DateOrder::Ymd,
            problems: &mut problems,
        };
        assert_eq!(taker.quantity("mass"), None);
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
            let (rows, problems) = read_csv(bytes);
            assert!(rows.len() < 2);
            assert!(!problems.is_empty());
        }
    }
}
