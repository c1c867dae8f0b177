//! Reads a worksheet back: what was drawn, and what the auditor found.
//!
//! Takes the bytes of a workbook from anywhere; gives the results and every cell that says something else than a result.
//! Trusts nothing that it reads: sizes are bounded, and the draw itself can be held against the archive.

use std::collections::BTreeMap;
use std::io::Cursor;

use calamine::{DataRef, Reader as _, Xlsx};
use serde::Serialize;

use super::plan::{Draw, Wish};
use super::sheet::{
    ABOUT, AGREES, BOOKED, BY_SIZE, CONFIDENCE, DIFFERS, EXPECTED, FINGERPRINT, FORMAT, FOUND,
    HITS, ITEM, ITEMS, NOT_FOUND, OF, POPULATION, RESULT, SEED, SIZE, TOLERABLE,
};
use super::{DrawError, Of};
use crate::archive::profile;
use crate::verify::text::shown;

/// Bytes that a worksheet may have.
const MOST_BYTES: usize = 16 << 20;
/// Bytes to which its parts may unpack together.
const MOST_UNPACKED: u64 = 256 << 20;
/// Bytes of text in the cells of one of its sheets. A workbook may hold a text once and show it in a million cells.
const MOST_TEXT: usize = 64 << 20;

/// What the auditor says of one item.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Outcome {
    Agrees,
    /// Wrong to this share of its size; 1 where the true size isn't given.
    Differs(f64),
    NotFound,
}

/// A row of a filled sheet.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FilledRow {
    pub item: String,
    pub hits: u64,
    /// None where the cell says no result; `odd` says which.
    pub outcome: Option<Outcome>,
}

/// A cell that can't be counted.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Odd {
    /// As a spreadsheet names it: `items!C7`.
    pub cell: String,
    pub what: String,
}

/// A filled sheet.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Filled {
    pub of: Of,
    pub fingerprint: String,
    #[serde(flatten)]
    pub wish: Wish,
    pub population: u64,
    pub size: u64,
    pub rows: Vec<FilledRow>,
    pub odd: Vec<Odd>,
}

/// Reads a workbook.
///
/// # Errors
/// [`DrawError::Unfit`] where it isn't a worksheet of a draw.
pub fn read(bytes: &[u8]) -> Result<Filled, DrawError> {
    check_bounds(bytes)?;
    let mut workbook: Xlsx<_> = Xlsx::new(Cursor::new(bytes))
        .map_err(|error| unfit(format!("it can't be read: {}", shown(error))))?;
    let about = sheet(&mut workbook, ABOUT)?;
    let items = sheet(&mut workbook, ITEMS)?;
    let mut filled = read_about(&about)?;
    read_items(items, &mut filled)?;
    Ok(filled)
}

/// Texts of a row by their column, from 0; cells without text are absent.
type Row = BTreeMap<u32, String>;

/// The rows of a sheet by their number, from 0. As the cells come, and not as the rectangle that they span: one cell may say that it
/// stands in the last row and column that there can be.
fn sheet(workbook: &mut Xlsx<Cursor<&[u8]>>, name: &str) -> Result<BTreeMap<u32, Row>, DrawError> {
    let missing = |_| unfit(format!("it has no sheet '{name}'"));
    let mut cells = workbook.worksheet_cells_reader(name).map_err(missing)?;
    let mut rows: BTreeMap<u32, Row> = BTreeMap::new();
    let mut left = MOST_TEXT;
    while let Some(cell) = cells.next_cell().map_err(missing)? {
        let text = text(cell.get_value());
        let (row, column) = cell.get_position();
        if text.is_empty() {
            continue;
        }
        left = left
            .checked_sub(text.len())
            .ok_or_else(|| unfit("it is larger than any draw's"))?;
        rows.entry(row).or_default().insert(column, text);
    }
    Ok(rows)
}

fn unfit(what: impl std::fmt::Display) -> DrawError {
    DrawError::Unfit(format!(
        "the worksheet can't be evaluated: {what}. Take the file that windrow draw wrote, fill in its results and save it as .xlsx"
    ))
}

/// A workbook is a ZIP, and one from a stranger may be a bomb.
fn check_bounds(bytes: &[u8]) -> Result<(), DrawError> {
    let too_large = || unfit("it is larger than any draw's");
    if bytes.len() > MOST_BYTES {
        return Err(too_large());
    }
    let mut zip = zip::ZipArchive::new(Cursor::new(bytes))
        .map_err(|error| unfit(format!("it is no workbook: {error}")))?;
    let mut unpacked = 0_u64;
    for number in 0..zip.len() {
        let entry = zip
            .by_index_raw(number)
            .map_err(|error| unfit(format!("it is no workbook: {error}")))?;
        unpacked = unpacked.saturating_add(entry.size());
    }
    if unpacked > MOST_UNPACKED {
        return Err(too_large());
    }
    Ok(())
}

/// A cell's text, safe to show.
fn text(value: &DataRef<'_>) -> String {
    let text = calamine::Data::from(value.clone()).to_string();
    let shown = text.chars().map(|c| if c.is_control() { ' ' } else { c });
    shown.collect::<String>().trim().to_owned()
}

fn read_about(sheet: &BTreeMap<u32, Row>) -> Result<Filled, DrawError> {
    // Whoever put an empty column before the names has changed nothing that they say.
    let first = sheet.values().flat_map(Row::keys).min().map_or(0, |at| *at);
    let value = |name: &str| {
        let named = |row: &&Row| row.get(&first).is_some_and(|text| text == name);
        sheet
            .values()
            .find(named)
            .map(|row| {
                row.get(&first.saturating_add(1))
                    .cloned()
                    .unwrap_or_default()
            })
            .ok_or_else(|| unfit(format!("its sheet '{ABOUT}' has no line '{name}'")))
    };
    fn number<T: std::str::FromStr>(name: &str, value: String) -> Result<T, DrawError> {
        value
            .parse()
            .map_err(|_| unfit(format!("its sheet '{ABOUT}' says '{value}' for '{name}'")))
    }
    if value("format")? != FORMAT {
        return Err(unfit("it is of another format or version"));
    }
    let of = value(OF)?;
    let of = Of::ALL
        .into_iter()
        .find(|kind| kind.word() == of)
        .ok_or_else(|| unfit(format!("windrow draws no '{of}'")))?;
    Ok(Filled {
        of,
        fingerprint: value(FINGERPRINT)?,
        wish: Wish {
            seed: value(SEED)?,
            confidence: number(CONFIDENCE, value(CONFIDENCE)?)?,
            tolerable: number(TOLERABLE, value(TOLERABLE)?)?,
            expected: number(EXPECTED, value(EXPECTED)?)?,
            by_size: value(BY_SIZE)? == "yes",
        },
        population: number(POPULATION, value(POPULATION)?)?,
        size: number(SIZE, value(SIZE)?)?,
        rows: Vec::new(),
        odd: Vec::new(),
    })
}

fn read_items(sheet: BTreeMap<u32, Row>, filled: &mut Filled) -> Result<(), DrawError> {
    let mut rows = sheet.into_iter();
    let (_, head) = rows.next().unwrap_or_default();
    // The headings of sizes have the unit behind the name.
    let column = |name: &str| {
        let titled = |title: &str| {
            title == name
                || title
                    .strip_prefix(name)
                    .is_some_and(|rest| rest.starts_with(','))
        };
        let mut columns = head.iter();
        columns.find_map(|(column, title)| titled(title).then_some(*column))
    };
    let needed = |name: &str| {
        column(name).ok_or_else(|| unfit(format!("its sheet '{ITEMS}' has no column '{name}'")))
    };
    let (item, result) = (needed(ITEM)?, needed(RESULT)?);
    let by_size = if filled.wish.by_size {
        Some((needed(HITS)?, needed(BOOKED)?, needed(FOUND)?))
    } else {
        None
    };
    let cell_name =
        |row: u32, column: u32| format!("{ITEMS}!{}{}", letters(column), u64::from(row) + 1);
    for (number, mut row) in rows {
        if filled.rows.len() >= profile::MAX_FILES {
            return Err(unfit("it has more rows than any draw"));
        }
        let mut take = |column: u32| row.remove(&column).unwrap_or_default();
        let name = take(item);
        let said = take(result).to_lowercase();
        if name.is_empty() && said.is_empty() {
            continue;
        }
        let mut odd = |column: u32, what: String| {
            filled.odd.push(Odd {
                cell: cell_name(number, column),
                what,
            });
        };
        if name.is_empty() {
            odd(item, "there is a result for no item".into());
            continue;
        }
        let mut hits = 1;
        let mut taint = 1.0;
        if let Some((at, booked, found)) = by_size {
            match take(at).parse() {
                Ok(count) => hits = count,
                Err(_) => odd(at, "the number of hits was changed".into()),
            }
            let told = take(found);
            if said == DIFFERS && !told.is_empty() {
                match (told.parse::<f64>(), take(booked).parse::<f64>()) {
                    (Ok(found), Ok(booked)) if found.is_finite() && booked > 0.0 => {
                        taint = ((booked - found).abs() / booked).min(1.0);
                    }
                    _ => odd(
                        found,
                        format!("'{told}' is no number; the item counts as wrong altogether"),
                    ),
                }
            }
        }
        let outcome = match said.as_str() {
            AGREES => Some(Outcome::Agrees),
            DIFFERS => Some(Outcome::Differs(taint)),
            NOT_FOUND => Some(Outcome::NotFound),
            "" => {
                odd(result, format!("no result yet for {name}"));
                None
            }
            other => {
                let other: String = other.chars().take(40).collect();
                odd(
                    result,
                    format!(
                        "'{other}' is no result; it has to be {AGREES}, {DIFFERS} or {NOT_FOUND}"
                    ),
                );
                None
            }
        };
        filled.rows.push(FilledRow {
            item: name,
            hits,
            outcome,
        });
    }
    Ok(())
}

/// A column as spreadsheets name it, from 0: A, B, …, Z, AA.
fn letters(mut column: u32) -> String {
    let mut name = Vec::new();
    loop {
        // Below 26, so it is a letter.
        name.push(char::from(b'A' + (column % 26) as u8));
        match (column / 26).checked_sub(1) {
            Some(rest) => column = rest,
            None => break,
        }
    }
    name.into_iter().rev().collect()
}

impl Filled {
    /// What of the sheet isn't what the archive's own draw says. Empty where the sheet is that draw's.
    pub fn differences(&self, draw: &Draw) -> Vec<String> {
        let mut found = Vec::new();
        if self.fingerprint != draw.fingerprint {
            found.push(format!(
                "the sheet was drawn from the archive with the fingerprint {}, and this one has {}",
                self.fingerprint, draw.fingerprint
            ));
        }
        if (self.population, self.size) != (draw.population, draw.size) {
            found.push(format!(
                "the sheet says {} of {}, and the archive gives {} of {}",
                self.size, self.population, draw.size, draw.population
            ));
        }
        let wanted: std::collections::BTreeMap<&str, u64> = draw
            .items
            .iter()
            .map(|drawn| (drawn.item.id.as_str(), drawn.hits))
            .collect();
        let mut seen = std::collections::BTreeSet::new();
        for row in &self.rows {
            match wanted.get(row.item.as_str()) {
                None => found.push(format!("{} was not drawn", row.item.escape_debug())),
                Some(hits) if *hits != row.hits => {
                    found.push(format!("{} was hit {hits} times", row.item.escape_debug()));
                }
                Some(_) => {}
            }
            if !seen.insert(row.item.as_str()) {
                found.push(format!("{} is there twice", row.item.escape_debug()));
            }
        }
        for item in wanted.keys().filter(|item| !seen.contains(**item)) {
            found.push(format!(
                "{} was drawn and is not in the sheet",
                item.escape_debug()
            ));
        }
        found
    }
}

#[cfg(test)]
mod tests {
    use super::super::plan::draw;
    use super::super::population::{Item, Population};
    use super::super::sheet::workbook;
    use super::*;

    fn drawn(by_size: bool) -> Draw {
        let population = Population {
            of: Of::Weighings,
            columns: vec!["pull".into(), "notes".into()],
            items: (2..60)
                .map(|row| Item {
                    id: format!("weighings.csv row {row}"),
                    size: Some(row * 250),
                    particulars: vec!["P01".into(), "=1+1 \u{1}".into()],
                })
                .collect(),
        };
        let wish = Wish {
            seed: "dew point".into(),
            confidence: 0.95,
            tolerable: 0.05,
            expected: 0,
            by_size,
        };
        draw(population, wish, &[7; 32]).unwrap()
    }

    #[test]
    fn the_same_draw_gives_the_same_bytes_and_reads_back_as_itself() {
        for by_size in [false, true] {
            let draw = drawn(by_size);
            let bytes = workbook(&draw).unwrap();
            assert_eq!(bytes, workbook(&draw).unwrap());
            let filled = read(&bytes).unwrap();
            assert_eq!(filled.wish, draw.wish);
            assert_eq!(filled.differences(&draw), Vec::<String>::new());
            assert_eq!(filled.rows.len(), draw.items.len());
            // Nothing is filled in yet, and every cell of it is told.
            assert_eq!(filled.odd.len(), draw.items.len());
            assert_eq!(filled.odd[0].cell, "items!C2");
            assert!(filled.rows.iter().all(|row| row.outcome.is_none()));
        }
    }

    #[test]
    fn another_archive_s_sheet_and_swapped_items_are_told() {
        let draw = drawn(false);
        let mut filled = read(&workbook(&draw).unwrap()).unwrap();
        filled.fingerprint = "0".repeat(64);
        filled.population = 20;
        filled.rows[0].item = "weighings.csv row 999".into();
        let last = filled.rows.len() - 1;
        filled.rows[last].item = filled.rows[1].item.clone();
        assert_eq!(filled.differences(&draw).len(), 6);
    }

    #[test]
    fn what_is_no_worksheet_is_refused_in_words() {
        let other = rust_xlsxwriter::Workbook::new().save_to_buffer().unwrap();
        for bytes in [&b""[..], b"PK\x03\x04", &other] {
            assert!(matches!(read(bytes), Err(DrawError::Unfit(_))));
        }
        let bytes = workbook(&drawn(false)).unwrap();
        for cut in (0..bytes.len()).step_by(61) {
            let _ = read(&bytes[..cut]);
            let mut turned = bytes.clone();
            turned[cut] ^= 0x40;
            let _ = read(&turned);
        }
    }

    #[test]
    fn a_cell_in_the_last_row_and_column_takes_no_more_room_than_another() {
        let mut book = rust_xlsxwriter::Workbook::new();
        let about = book.add_worksheet();
        about.set_name(ABOUT).unwrap();
        about.write(0, 0, "format").unwrap();
        about.write(0, 1, FORMAT).unwrap();
        // 17 thousand million cells lie between this one and the first.
        about.write(1_048_575, 16_383, "far away").unwrap();
        let bytes = book.save_to_buffer().unwrap();
        let mut book: Xlsx<_> = Xlsx::new(Cursor::new(bytes.as_slice())).unwrap();
        let rows = sheet(&mut book, ABOUT).unwrap();
        assert_eq!(rows.len(), 2);
        assert_eq!(rows[&1_048_575][&16_383], "far away");
        // It is about nothing, and told so.
        assert!(matches!(read(&bytes), Err(DrawError::Unfit(_))));
    }

    #[test]
    fn an_empty_column_before_the_others_changes_nothing() {
        let draw = drawn(false);
        let bytes = workbook(&draw).unwrap();
        let mut book: Xlsx<_> = Xlsx::new(Cursor::new(bytes.as_slice())).unwrap();
        let rows = sheet(&mut book, ABOUT).unwrap();
        let moved = rows.into_iter().map(|(number, row)| {
            let cells = row.into_iter().map(|(column, text)| (column + 1, text));
            (number, cells.collect())
        });
        assert_eq!(read_about(&moved.collect()).unwrap().wish, draw.wish);
    }

    #[test]
    fn columns_are_named_as_spreadsheets_do() {
        for (column, name) in [(0, "A"), (25, "Z"), (26, "AA"), (701, "ZZ"), (702, "AAA")] {
            assert_eq!(letters(column), name);
        }
    }
}
