//! The worksheet as a workbook: what was drawn, with columns for the auditor's result.
//!
//! Takes a draw; gives the workbook's bytes, the same for the same draw. [`super::filled`] reads it back. The names of
//! sheets, lines and columns below are what the two share.

use rust_xlsxwriter::{
    DataValidation, DataValidationErrorStyle, DocProperties, ExcelDateTime, Format, FormatAlign,
    FormatBorder, Workbook, Worksheet, XlsxError,
};

use super::plan::per_cent;
use super::plan::{Draw, Drawn};

/// Names the format, in the first line of the sheet about the draw.
pub(super) const FORMAT: &str = "windrow draw 1";
pub(super) const ITEMS: &str = "items";
pub(super) const ABOUT: &str = "about";
/// Lines of the sheet about the draw, each with its value beside it.
pub(super) const OF: &str = "drawn of";
pub(super) const FINGERPRINT: &str = "archive's fingerprint";
pub(super) const SEED: &str = "seed";
pub(super) const CONFIDENCE: &str = "confidence";
pub(super) const TOLERABLE: &str = "tolerable share";
pub(super) const EXPECTED: &str = "wrong ones expected";
pub(super) const BY_SIZE: &str = "by size";
pub(super) const POPULATION: &str = "items in all";
pub(super) const SIZE: &str = "size of the sample";
/// Columns of the items.
pub(super) const ITEM: &str = "item";
pub(super) const HITS: &str = "hits";
pub(super) const BOOKED: &str = "booked";
pub(super) const RESULT: &str = "result";
pub(super) const FOUND: &str = "found";
const NOTE: &str = "note";
/// The line that tells how to go on with the workbook.
pub const WHAT_TO_DO: &str = "what to do";
/// The line that names the workbook's format.
pub const FORMAT_LINE: &str = "format";
/// What the column of results may say.
pub(super) const AGREES: &str = "agrees";
pub(super) const DIFFERS: &str = "differs";
pub(super) const NOT_FOUND: &str = "not found";

/// Letters that a cell of a workbook holds at most.
const LONGEST_CELL: usize = 32_767;
/// A4. A printer with Letter paper scales it.
const A4: u8 = 9;

/// The workbook's bytes.
///
/// # Errors
/// Where the draw doesn't fit into a workbook: more rows or columns than it has.
pub fn workbook(draw: &Draw) -> Result<Vec<u8>, XlsxError> {
    let mut workbook = Workbook::new();
    // No clock: the same draw gives the same bytes. The date is the one that archives bear as well.
    let made = ExcelDateTime::from_ymd(1980, 1, 1)?;
    let properties = DocProperties::new()
        .set_title("Audit worksheet")
        .set_author("windrow")
        .set_creation_datetime(&made);
    workbook.set_properties(&properties);
    items(workbook.add_worksheet(), draw)?;
    about(workbook.add_worksheet(), draw)?;
    workbook.save_to_buffer()
}

/// A text that a cell takes: no longer than it may be, and without the control characters that no workbook can hold.
fn text(value: &str) -> String {
    value
        .chars()
        .map(|c| if c.is_control() { ' ' } else { c })
        .take(LONGEST_CELL)
        .collect()
}

fn items(sheet: &mut Worksheet, draw: &Draw) -> Result<(), XlsxError> {
    let head = Format::new()
        .set_bold()
        .set_text_wrap()
        .set_align(FormatAlign::Top)
        .set_border_bottom(FormatBorder::Medium);
    let plain = Format::new()
        .set_text_wrap()
        .set_align(FormatAlign::Top)
        .set_border_bottom(FormatBorder::Hair);
    let to_fill = Format::new()
        .set_text_wrap()
        .set_align(FormatAlign::Top)
        .set_border(FormatBorder::Thin);
    sheet.set_name(ITEMS)?;
    let part = draw.of.part().filter(|_| draw.wish.by_size);
    // What the auditor fills in comes first, so that it stays in sight however many particulars there are.
    let mut columns = vec!["no.", ITEM, RESULT];
    if part.is_some() {
        columns.extend([FOUND, HITS, BOOKED]);
    }
    columns.push(NOTE);
    let mut column = 0;
    for name in columns {
        let (title, width) = match (name, part) {
            (FOUND | BOOKED, Some(part)) => (format!("{name}, {} {}", part.size, part.unit), 12),
            (NOTE, _) => (name.to_owned(), 30),
            (ITEM, _) => (name.to_owned(), 34),
            (RESULT, _) => (name.to_owned(), 12),
            _ => (name.to_owned(), 6),
        };
        sheet.write_with_format(0, column, title, &head)?;
        sheet.set_column_width(column, width)?;
        for (row, (drawn, number)) in (1..).zip(draw.items.iter().zip(1_u32..)) {
            cell(
                sheet,
                (row, column),
                name,
                number,
                drawn,
                draw,
                [&plain, &to_fill],
            )?;
        }
        if name == RESULT {
            let last = u32::try_from(draw.items.len()).unwrap_or(u32::MAX);
            sheet.add_data_validation(1, column, last, column, &results()?)?;
        }
        column += 1;
    }
    for (number, title) in draw.columns.iter().enumerate() {
        sheet.write_with_format(0, column, text(title), &head)?;
        for (row, drawn) in (1..).zip(&draw.items) {
            if let Some(value) = drawn.item.particulars.get(number) {
                sheet.write_with_format(row, column, text(value), &plain)?;
            }
        }
        sheet.set_column_width(column, 16)?;
        column += 1;
    }
    sheet.set_freeze_panes(1, 2)?;
    sheet.set_repeat_rows(0, 0)?;
    sheet.set_paper_size(A4).set_landscape();
    // As wide as the paper, as many pages as it takes.
    sheet.set_print_fit_to_pages(1, 0);
    sheet.set_footer("&L&F&RPage &P of &N");
    Ok(())
}

fn cell(
    sheet: &mut Worksheet,
    (row, column): (u32, u16),
    name: &str,
    number: u32,
    drawn: &Drawn,
    draw: &Draw,
    [plain, to_fill]: [&Format; 2],
) -> Result<(), XlsxError> {
    match name {
        ITEM => sheet.write_with_format(row, column, text(&drawn.item.id), plain)?,
        HITS => sheet.write_with_format(row, column, drawn.hits as f64, plain)?,
        BOOKED => match (drawn.item.size, draw.of.part()) {
            (Some(size), Some(part)) => {
                sheet.write_with_format(row, column, size as f64 / part.in_unit as f64, plain)?
            }
            _ => sheet,
        },
        RESULT | FOUND | NOTE => sheet.write_blank(row, column, to_fill)?,
        _ => sheet.write_with_format(row, column, number, plain)?,
    };
    Ok(())
}

/// The list from which a result is chosen.
fn results() -> Result<DataValidation, XlsxError> {
    DataValidation::new()
        .allow_list_strings(&[AGREES, DIFFERS, NOT_FOUND])?
        .set_error_style(DataValidationErrorStyle::Stop)
        .set_error_title("Result")?
        .set_error_message("Choose agrees, differs or not found; the column 'note' takes words.")
}

/// What the draw is, a line each: a name, and its value in words.
pub fn lines(draw: &Draw) -> Vec<(&'static str, String)> {
    let wish = &draw.wish;
    let numbers = |value: f64| value.to_string();
    [
        (FORMAT_LINE, FORMAT.to_owned()),
        (OF, draw.of.word().to_owned()),
        (FINGERPRINT, draw.fingerprint.clone()),
        (SEED, wish.seed.clone()),
        (CONFIDENCE, numbers(wish.confidence)),
        (TOLERABLE, numbers(wish.tolerable)),
        (EXPECTED, wish.expected.to_string()),
        (BY_SIZE, if wish.by_size { "yes" } else { "no" }.to_owned()),
        (POPULATION, draw.population.to_string()),
        (SIZE, draw.size.to_string()),
        ("why so many", draw.reason.clone()),
        (
            "how they were drawn",
            if wish.by_size {
                "All items in the order of the SHA-256 of seed, bar and item, laid end to end by their size; hits at even steps from a \
                 start that follows from the seed. The archive's docs for auditors set it out."
            } else {
                "All items in the order of the SHA-256 of seed, bar and item; the first ones. Anyone can redo it: the documentation for \
                 auditors sets it out."
            }
            .to_owned(),
        ),
        (
            WHAT_TO_DO,
            format!(
                "Hold each item of the sheet '{ITEMS}' against what it rests on (photo, log sheet, receipt) and choose a result: {AGREES}, \
                 {DIFFERS} or {NOT_FOUND}. Change nothing else. Then: windrow draw ARCHIVE --evaluate THIS-FILE. An item that can't be \
                 checked counts as wrong. The share to be ruled out is {}.",
                per_cent(wish.tolerable)
            ),
        ),
        (
            "left out, to be checked by themselves",
            match draw.left_out.len() {
                0 => "none".to_owned(),
                _ => draw.left_out.join("; "),
            },
        ),
    ]
    .into_iter()
    .collect()
}

fn about(sheet: &mut Worksheet, draw: &Draw) -> Result<(), XlsxError> {
    let bold = Format::new().set_bold().set_align(FormatAlign::Top);
    let plain = Format::new().set_text_wrap().set_align(FormatAlign::Top);
    sheet.set_name(ABOUT)?;
    sheet.set_column_width(0, 24)?.set_column_width(1, 90)?;
    for (row, (name, value)) in (0..).zip(lines(draw)) {
        sheet.write_with_format(row, 0, name, &bold)?;
        // Text even where it is a number, so that no program reads another number into it.
        sheet.write_string_with_format(row, 1, text(&value), &plain)?;
    }
    Ok(())
}
