//! Reads every table of the season, whatever its format, into rows whose cells know their place.
//!
//! Takes the bytes of a file and the columns that the table may have; gives rows and problems. Knows nothing of what the
//! columns mean.

use std::io::Cursor;
use std::sync::Arc;

use calamine::{Data, Reader as _};

use super::problem::{Problem, ProblemKind, RowText};
use super::value::{self, fold, nearest};
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
        csv_rows(file, bytes, problems)
    } else {
        workbook_rows(bytes)
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
    let head = Arc::new(understand(
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

struct Raw {
    sheet: Option<String>,
    rows: Vec<(u32, Vec<String>)>,
}

fn csv_rows(file: &str, bytes: &[u8], problems: &mut Vec<Problem>) -> Result<Raw, String> {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let text = match std::str::from_utf8(bytes) {
        Ok(text) => std::borrow::Cow::Borrowed(text),
        Err(_) => {
            problems.push(Problem {
                place: Place::whole(file),
                kind: ProblemKind::NotUtf8,
                row: None,
            });
            encoding_rs::WINDOWS_1252.decode(bytes).0
        }
    };
    if text.contains('\0') {
        return Err("it holds binary data, not text".into());
    }
    let delimiter = delimiter(&text);
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(delimiter)
        .from_reader(text.as_bytes());
    let mut rows = Vec::new();
    let mut number = 0u32;
    let mut next_line = 1u64;
    for record in reader.records() {
        let record = record.map_err(|error| error.to_string())?;
        let line = record.position().map_or(next_line, csv::Position::line);
        // The reader passes over empty lines; a spreadsheet counts them.
        let skipped = u32::try_from(line.saturating_sub(next_line)).unwrap_or(0);
        number = number.saturating_add(1 + skipped);
        let line_ends: usize = record.iter().map(|cell| cell.matches('\n').count()).sum();
        next_line = line + 1 + line_ends as u64;
        rows.push((number, record.iter().map(str::to_owned).collect()));
    }
    Ok(Raw { sheet: None, rows })
}

/// The delimiter that the first line that holds anything uses most, outside quotes.
fn delimiter(text: &str) -> u8 {
    let line = text
        .lines()
        .find(|line| !line.trim().is_empty())
        .unwrap_or("");
    let mut quoted = false;
    let mut counts = [(b',', 0usize), (b';', 0), (b'\t', 0)];
    for byte in line.bytes() {
        if byte == b'"' {
            quoted = !quoted;
        } else if !quoted && let Some(count) = counts.iter_mut().find(|(mark, _)| *mark == byte) {
            count.1 += 1;
        }
    }
    counts
        .iter()
        .rev()
        .max_by_key(|(_, count)| *count)
        .map_or(b',', |(mark, _)| *mark)
}

fn workbook_rows(bytes: &[u8]) -> Result<Raw, String> {
    let mut workbook = calamine::open_workbook_auto_from_rs(Cursor::new(bytes.to_vec()))
        .map_err(|error| error.to_string())?;
    let sheet = workbook
        .sheet_names()
        .first()
        .cloned()
        .ok_or("the workbook has no sheet")?;
    let range = workbook
        .worksheet_range(&sheet)
        .map_err(|error| error.to_string())?;
    let (first_row, first_column) = range.start().unwrap_or((0, 0));
    let rows = range
        .rows()
        .zip(first_row..)
        .map(|(cells, row)| {
            let indent = std::iter::repeat_n(String::new(), first_column as usize);
            (row + 1, indent.chain(cells.iter().map(cell_text)).collect())
        })
        .collect();
    Ok(Raw {
        sheet: Some(sheet),
        rows,
    })
}

/// A workbook's cell as the text that a CSV export would hold.
fn cell_text(cell: &Data) -> String {
    match cell {
        Data::DateTime(stamp) => match stamp.as_datetime() {
            // Below one day a serial number is a time of day.
            Some(moment) if stamp.as_f64() < 1.0 => moment.format("%H:%M:%S").to_string(),
            Some(moment) if moment.time() == chrono::NaiveTime::MIN => {
                moment.format("%Y-%m-%d").to_string()
            }
            Some(moment) => moment.format("%Y-%m-%d %H:%M:%S").to_string(),
            None => stamp.as_f64().to_string(),
        },
        Data::Bool(true) => "yes".into(),
        Data::Bool(false) => "no".into(),
        other => other.to_string(),
    }
}

/// Finds out which column each heading means and which unit it names.
fn understand(
    file: &str,
    sheet: Option<String>,
    row: u32,
    texts: &[String],
    columns: &'static [Column],
    conventions: &Conventions,
    problems: &mut Vec<Problem>,
) -> Head {
    let place = |heading: &str| Place {
        file: file.to_owned(),
        spot: Spot::Heading {
            sheet: sheet.clone(),
            heading: heading.to_owned(),
        },
    };
    let mut report = |place: Place, kind: ProblemKind, cell: Option<usize>| {
        problems.push(Problem {
            place,
            kind,
            row: Some(RowText {
                cells: texts.to_vec(),
                cell,
            }),
        });
    };
    let mut headings: Vec<Heading> = Vec::new();
    for (index, text) in texts.iter().enumerate() {
        let text = text.trim();
        let mapped = conventions
            .headings
            .iter()
            .find(|(theirs, _)| *theirs == fold(text))
            .map_or(text, |(_, ours)| ours.as_str());
        let mut heading = Heading {
            text: text.to_owned(),
            column: None,
            unit: None,
        };
        match recognise(mapped, columns) {
            Recognised::Column(column, unit) => {
                if headings
                    .iter()
                    .any(|other| other.column == Some(column.name))
                {
                    report(
                        place(text),
                        ProblemKind::HeadingTwice {
                            heading: text.to_owned(),
                        },
                        Some(index),
                    );
                } else {
                    heading.column = Some(column.name);
                    if let Some(dimension) = column.quantity {
                        heading.unit = unit.or(conventions.unit(dimension));
                        if heading.unit.is_none() {
                            report(
                                place(text),
                                ProblemKind::UnitMissing {
                                    heading: text.to_owned(),
                                    dimension,
                                },
                                Some(index),
                            );
                        }
                    }
                }
            }
            Recognised::WrongUnit(dimension, unit) => report(
                place(text),
                ProblemKind::UnitUnknown { unit, dimension },
                Some(index),
            ),
            Recognised::Nothing if text.is_empty() => {}
            Recognised::Nothing => report(
                place(text),
                ProblemKind::HeadingUnknown {
                    heading: text.to_owned(),
                    nearest: nearest(text, columns.iter().map(|column| column.name)),
                },
                Some(index),
            ),
        }
        headings.push(heading);
    }
    for column in columns.iter().filter(|column| column.must) {
        if !headings
            .iter()
            .any(|heading| heading.column == Some(column.name))
        {
            report(
                Place {
                    file: file.to_owned(),
                    spot: Spot::Row {
                        sheet: sheet.clone(),
                        row,
                    },
                },
                ProblemKind::HeadingMissing {
                    heading: column.name,
                },
                None,
            );
        }
    }
    Head {
        file: file.to_owned(),
        sheet,
        headings,
    }
}

enum Recognised {
    Column(&'static Column, Option<Unit>),
    /// The column is known, what stands behind its name is no unit of its dimension.
    WrongUnit(Dimension, String),
    Nothing,
}

fn recognise(text: &str, columns: &'static [Column]) -> Recognised {
    let folded = fold(text);
    let names =
        |column: &'static Column| std::iter::once(column.name).chain(column.also.iter().copied());
    if let Some(column) = columns
        .iter()
        .find(|column| names(column).any(|name| fold(name) == folded))
    {
        return Recognised::Column(column, None);
    }
    for column in columns {
        let Some(dimension) = column.quantity else {
            continue;
        };
        for name in names(column) {
            let Some(tail) = folded.strip_prefix(&fold(name)) else {
                continue;
            };
            match Unit::named(tail) {
                Some(unit) if unit.dimension() == dimension => {
                    return Recognised::Column(column, Some(unit));
                }
                Some(_) => return Recognised::WrongUnit(dimension, tail.to_owned()),
                // `mass_stone` is meant as a unit; `massachusetts` is no mass.
                None if text.contains(['_', ' ', '(', '[', '/']) => {
                    return Recognised::WrongUnit(dimension, tail.to_owned());
                }
                None => {}
            }
        }
    }
    Recognised::Nothing
}

/// Takes typed values out of a row and notes what can't be read.
pub struct Taker<'a> {
    pub row: &'a Row,
    pub order: value::DateOrder,
    pub problems: &'a mut Vec<Problem>,
}

impl Taker<'_> {
    pub fn problem(&mut self, column: &str, kind: ProblemKind) {
        self.problems.push(Problem {
            place: self.row.cell_place(column),
            kind,
            row: Some(self.row.quote(Some(column))),
        });
    }

    pub fn text(&mut self, column: &str) -> Option<String> {
        self.row.text(column).map(str::to_owned)
    }

    /// A text that must be there.
    pub fn needed(&mut self, column: &'static str) -> Option<String> {
        let text = self.text(column);
        // A column that is not there at all has been told once already.
        if text.is_none() && self.row.has(column) {
            self.problem(column, ProblemKind::ValueMissing { heading: column });
        }
        text
    }

    fn plain_number(&mut self, column: &str, expected: &'static str) -> Option<value::Number> {
        let text = self.row.text(column)?.to_owned();
        let Some(number) = value::number(&text) else {
            self.problem(
                column,
                ProblemKind::NotANumber {
                    found: text,
                    expected,
                },
            );
            return None;
        };
        if number.doubtful {
            self.problem(
                column,
                ProblemKind::NumberDoubtful {
                    found: text.clone(),
                    read_as: number.value.to_string(),
                },
            );
        }
        if number.value < 0.0 {
            self.problem(column, ProblemKind::Negative { found: text });
            return None;
        }
        Some(number)
    }

    /// A number without unit, zero or more.
    pub fn number(&mut self, column: &str) -> Option<f64> {
        let number = self.plain_number(column, "a number")?;
        if number.unit.is_some() {
            let found = self.row.text(column).unwrap_or_default().to_owned();
            self.problem(
                column,
                ProblemKind::NotANumber {
                    found,
                    expected: "a number without a unit",
                },
            );
            return None;
        }
        Some(number.value)
    }

    /// A whole number, zero or more.
    pub fn count(&mut self, column: &str) -> Option<u32> {
        let value = self.number(column)?;
        if value.fract() != 0.0 || value > f64::from(u32::MAX) {
            let found = self.row.text(column).unwrap_or_default().to_owned();
            self.problem(
                column,
                ProblemKind::NotANumber {
                    found,
                    expected: "a whole number",
                },
            );
            return None;
        }
        Some(value as u32)
    }

    /// A quantity in the base unit of its dimension: kilograms, square metres, hours.
    pub fn quantity(&mut self, column: &str) -> Option<f64> {
        let number = self.plain_number(column, "a number")?;
        // Without a unit the heading has been reported already; a guessed factor would be worse than none.
        let column_unit = self.row.unit(column)?;
        let unit = match number.unit {
            Some(unit) if unit.dimension() != column_unit.dimension() => {
                self.problem(
                    column,
                    ProblemKind::UnitUnknown {
                        unit: unit.symbol().to_owned(),
                        dimension: column_unit.dimension(),
                    },
                );
                return None;
            }
            Some(unit) => {
                if unit != column_unit {
                    self.problem(
                        column,
                        ProblemKind::UnitsMixed {
                            found: unit.symbol().to_owned(),
                            column: column_unit.symbol().to_owned(),
                        },
                    );
                }
                unit
            }
            None => column_unit,
        };
        Some(number.value * unit.factor())
    }

    pub fn date(&mut self, column: &str) -> Option<chrono::NaiveDate> {
        let text = self.row.text(column)?.to_owned();
        match value::date(&text, self.order) {
            Ok(date) => Some(date),
            Err(value::DateFault::NotADate) => {
                self.problem(column, ProblemKind::NotADate { found: text });
                None
            }
            Err(value::DateFault::Ambiguous) => {
                self.problem(column, ProblemKind::DateAmbiguous { found: text });
                None
            }
        }
    }

    pub fn time(&mut self, column: &str) -> Option<chrono::NaiveTime> {
        let text = self.row.text(column)?.to_owned();
        let time = value::time(&text);
        if time.is_none() {
            self.problem(column, ProblemKind::NotATime { found: text });
        }
        time
    }

    pub fn yes_or_no(&mut self, column: &str) -> Option<bool> {
        let text = self.row.text(column)?.to_owned();
        let answer = value::yes_or_no(&text);
        if answer.is_none() {
            self.problem(column, ProblemKind::NotYesOrNo { found: text });
        }
        answer
    }

    /// One of a few words.
    pub fn choice<T: Copy>(&mut self, column: &str, choices: &[(&str, T)]) -> Option<T> {
        let text = self.row.text(column)?.to_owned();
        let folded = fold(&text);
        let chosen = choices
            .iter()
            .find(|(word, _)| fold(word) == folded)
            .map(|(_, choice)| *choice);
        if chosen.is_none() {
            let kind = ProblemKind::NotAChoice {
                nearest: nearest(&text, choices.iter().map(|(word, _)| *word)).map(str::to_owned),
                found: text,
                choices: choices
                    .iter()
                    .map(|(word, _)| *word)
                    .collect::<Vec<_>>()
                    .join(", "),
            };
            self.problem(column, kind);
        }
        chosen
    }
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
