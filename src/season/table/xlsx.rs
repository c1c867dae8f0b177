//! The sheets of an .xlsx workbook, cell by cell, so that an empty expanse takes no room.

use std::collections::BTreeSet;
use std::io::Cursor;

use calamine::{DataRef, Reader as _, SheetType, SheetVisible, Xlsx, XlsxFormulaMetadata};

use super::grid::{Cell, Gatherer, Grid, MOST_CELLS, MOST_TEXT, Nature, Region, percent};
use super::moments;
use super::workbook::{MOST_REGIONS, MOST_SHEETS};

pub(super) fn grids(bytes: &[u8]) -> Result<Vec<Grid>, String> {
    let mut book = Xlsx::new(Cursor::new(bytes)).map_err(|error| error.to_string())?;
    let from_1904 = book.has_1904_epoch();
    let sheets: Vec<(String, bool)> = book
        .sheets_metadata()
        .iter()
        .filter(|sheet| sheet.typ == SheetType::WorkSheet)
        .map(|sheet| (sheet.name.clone(), sheet.visible != SheetVisible::Visible))
        .take(MOST_SHEETS)
        .collect();
    let mut grids = Vec::new();
    let mut text_left = MOST_TEXT;
    for (name, hidden) in sheets {
        let (mut grid, left) = cells(&mut book, &name, text_left, from_1904)?;
        text_left = left;
        grid.merged = book
            .merge_cells_by_sheet_name(&name)
            .unwrap_or_default()
            .into_iter()
            .take(MOST_REGIONS)
            .map(|region| Region {
                rows: (
                    region.start.0.saturating_add(1),
                    region.end.0.saturating_add(1),
                ),
                columns: (region.start.1, region.end.1),
            })
            .collect();
        grid.sheet = Some(name);
        grid.hidden = hidden;
        grid.from_1904 = from_1904;
        grids.push(grid);
    }
    Ok(grids)
}

fn cells(
    book: &mut Xlsx<Cursor<&[u8]>>,
    sheet: &str,
    text_left: usize,
    from_1904: bool,
) -> Result<(Grid, usize), String> {
    let words = |error: calamine::XlsxError| format!("its sheet {sheet} is damaged: {error}");
    let percents = percents(book, sheet).map_err(words)?;
    let mut reader = book.worksheet_cells_reader(sheet).map_err(words)?;
    let mut gatherer = Gatherer::within(text_left);
    while let Some(record) = reader.next_cell_with_formula_metadata().map_err(words)? {
        let (line, column) = record.pos;
        let mut cell = cell(&record.value, from_1904);
        if cell.nature == Nature::Number && percents.contains(&record.pos) {
            cell.text = percent(&cell.text);
        }
        if let Some(formula) = &record.formula {
            if record.value == DataRef::Empty {
                cell.nature = Nature::Unstored;
            }
            cell.sums = match formula {
                XlsxFormulaMetadata::Normal { formula }
                | XlsxFormulaMetadata::Shared { formula, .. } => sums(formula),
                // What it stands for is with the first cell of its group; that cell is in the same row of totals.
                _ => false,
            };
        }
        if !gatherer.put(line, column, cell) {
            break;
        }
    }
    let left = gatherer.text_left();
    Ok((gatherer.finish(), left))
}

/// The cells that show their number as a percentage, by line and column. Their formats stand apart from their values, so that the
/// sheet is gone through once more where the workbook has such a format at all.
fn percents(
    book: &mut Xlsx<Cursor<&[u8]>>,
    sheet: &str,
) -> Result<BTreeSet<(u32, u32)>, calamine::XlsxError> {
    let mut found = BTreeSet::new();
    let mut reader = book.worksheet_cells_reader(sheet)?;
    let styles: BTreeSet<usize> = reader
        .styles()
        .iter()
        .enumerate()
        .filter(|(_, style)| {
            style
                .number_format
                .as_ref()
                .is_some_and(|format| shows_percent(&format.format_code))
        })
        .map(|(at, _)| at)
        .collect();
    if styles.is_empty() {
        return Ok(found);
    }
    while let Some((line, column, style)) = reader.next_style_id()? {
        if styles.contains(&style) {
            found.insert((line, column));
        }
        // Beyond the cells that are read nothing matters.
        if found.len() > MOST_CELLS {
            break;
        }
    }
    Ok(found)
}

/// Has a number format the sign that multiplies by a hundred (ECMA-376 part 1, 18.8.31, from memory of the standard)? Within quotes and
/// behind a back slash it is a mere letter.
pub(super) fn shows_percent(format: &str) -> bool {
    let mut quoted = false;
    let mut letters = format.chars();
    while let Some(letter) = letters.next() {
        match letter {
            '"' => quoted = !quoted,
            '\\' | '_' | '*' if !quoted => {
                letters.next();
            }
            // Numbers of zero and more have the first format.
            ';' if !quoted => return false,
            '%' if !quoted => return true,
            _ => {}
        }
    }
    false
}

/// Does the formula add up other cells?
pub(super) fn sums(formula: &str) -> bool {
    let formula = formula.to_ascii_uppercase();
    ["SUM(", "SUBTOTAL(", "AGGREGATE("]
        .iter()
        .any(|call| formula.contains(call))
}

fn cell(value: &DataRef<'_>, from_1904: bool) -> Cell {
    let (text, nature) = match value {
        DataRef::Empty => (String::new(), Nature::Text),
        DataRef::String(text) => (text.clone(), Nature::Text),
        DataRef::SharedString(text) => ((*text).to_owned(), Nature::Text),
        DataRef::Int(number) => (number.to_string(), Nature::Number),
        DataRef::Float(number) => (number.to_string(), Nature::Number),
        DataRef::Bool(true) => ("yes".to_owned(), Nature::Text),
        DataRef::Bool(false) => ("no".to_owned(), Nature::Text),
        DataRef::DateTime(stamp) => {
            let serial = stamp.as_f64();
            let text = if stamp.is_duration() {
                moments::duration(serial)
            } else {
                moments::serial(serial, from_1904)
            };
            (text.unwrap_or_else(|| serial.to_string()), Nature::Moment)
        }
        DataRef::DateTimeIso(text) => (moments::iso_date(text), Nature::Moment),
        DataRef::DurationIso(text) => (moments::iso_duration(text), Nature::Moment),
        DataRef::Error(error) => (error.to_string(), Nature::Fault),
    };
    Cell {
        text,
        nature,
        sums: false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_percentage_is_known_by_its_format() {
        for format in ["0%", "0.00%", "#,##0 %", "[Red]0.0%"] {
            assert!(shows_percent(format), "{format}");
        }
        for format in ["General", "0.00", "0\"%\"", "0\\%", "0;-0%", "yyyy-mm-dd"] {
            assert!(!shows_percent(format), "{format}");
        }
    }
}
