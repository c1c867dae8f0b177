//! An empty table as a workbook: headings with notes, lists to choose from, formats; or as CSV.
//!
//! Takes fields, gives bytes: the same fields, the same bytes.

use rust_xlsxwriter::{
    DataValidation, DataValidationErrorStyle, DataValidationRule, DocProperties, ExcelDateTime,
    Format, FormatAlign, FormatBorder, Note, Workbook, Worksheet, XlsxError,
};

use super::Row;
use super::columns::{Field, Holds};

/// Rows below the headings that are made ready: more outings than a season has, and few enough to open at once.
const READY: u32 = 500;
/// Letters of all words of a list together, by the format's own limit.
const LONGEST_LIST: usize = 255;

/// A table with its first rows filled.
///
/// # Errors
/// Where the workbook's library refuses, which no table of ours makes it do.
pub fn xlsx(name: &str, fields: &[Field], rows: &[Row]) -> Result<Vec<u8>, XlsxError> {
    let mut workbook = Workbook::new();
    // No clock: the same fields give the same bytes.
    let made = ExcelDateTime::from_ymd(1980, 1, 1)?;
    workbook.set_properties(
        &DocProperties::new()
            .set_title(name)
            .set_author("windrow")
            .set_creation_datetime(&made),
    );
    let sheet = workbook.add_worksheet();
    sheet.set_name(name)?;
    for (column, field) in (0_u16..).zip(fields) {
        lay_out(sheet, column, field)?;
        for (row, cells) in (1_u32..).zip(rows) {
            let format = format_of(field.holds);
            match cells.iter().find(|(name, _)| *name == field.column) {
                Some((_, text)) => match typed(field, text) {
                    Typed::Number(number) => {
                        sheet.write_with_format(row, column, number, &format)?
                    }
                    Typed::Moment(moment) => {
                        sheet.write_with_format(row, column, &moment, &format)?
                    }
                    Typed::Text => sheet.write_with_format(row, column, text, &format)?,
                },
                None => sheet.write_blank(row, column, &format)?,
            };
        }
    }
    sheet.set_row_height(0, 32)?;
    // The id stays in sight however far the row runs.
    sheet.set_freeze_panes(1, 1)?;
    sheet.set_repeat_rows(0, 0)?;
    sheet.set_landscape();
    sheet.set_print_fit_to_pages(1, 0);
    workbook.save_to_buffer()
}

/// What a spreadsheet program would make of a text that is typed into the cell.
enum Typed {
    Number(f64),
    Moment(ExcelDateTime),
    Text,
}

fn typed(field: &Field, text: &str) -> Typed {
    match field.holds {
        Holds::Count | Holds::Number | Holds::Quantity | Holds::Money => {
            text.parse().map_or(Typed::Text, Typed::Number)
        }
        // Dates as we write them ourselves; another spelling stays the text that it is.
        Holds::Date if text.parse::<chrono::NaiveDate>().is_ok() => moment(text),
        Holds::Time if text.contains(':') => moment(text),
        _ => Typed::Text,
    }
}

fn moment(text: &str) -> Typed {
    ExcelDateTime::parse_from_str(text).map_or(Typed::Text, Typed::Moment)
}

fn lay_out(sheet: &mut Worksheet, column: u16, field: &Field) -> Result<(), XlsxError> {
    let head = Format::new()
        .set_bold()
        .set_text_wrap()
        .set_align(FormatAlign::Top)
        .set_border_bottom(FormatBorder::Medium)
        .set_background_color(if field.must { 0x00BF_DADE } else { 0x00F1_F5F4 });
    sheet.set_column_format(column, &format_of(field.holds))?;
    sheet.set_column_width(column, width(field))?;
    sheet.write_with_format(0, column, &field.heading, &head)?;
    let must = if field.must { "Must be there. " } else { "" };
    let note = Note::new(format!("{must}{}", field.note))
        .set_author("windrow")
        .add_author_prefix(false)
        .set_width(240)
        .set_height(96);
    sheet.insert_note(0, column, &note)?;
    if let Some(rule) = rule(field)? {
        sheet.add_data_validation(1, column, READY, column, &rule)?;
    }
    Ok(())
}

/// What a cell is checked by while it is typed.
fn rule(field: &Field) -> Result<Option<DataValidation>, XlsxError> {
    let length: usize = field
        .words
        .iter()
        .map(|word| word.chars().count() + 1)
        .sum();
    let rule = match field.holds {
        _ if !field.words.is_empty() && length <= LONGEST_LIST => {
            DataValidation::new().allow_list_strings(&field.words)?
        }
        Holds::Count => {
            DataValidation::new().allow_whole_number(DataValidationRule::GreaterThanOrEqualTo(0))
        }
        Holds::Number | Holds::Quantity | Holds::Money => DataValidation::new()
            .allow_decimal_number(DataValidationRule::GreaterThanOrEqualTo(0.0)),
        _ => return Ok(None),
    };
    let (style, told) = if field.closed {
        (
            DataValidationErrorStyle::Stop,
            format!("Choose one of: {}.", field.words.join(", ")),
        )
    } else if field.words.is_empty() {
        // `~30` and `n/a` are read too, so that a person may insist.
        (
            DataValidationErrorStyle::Warning,
            "A number is expected. Leave the cell empty where nothing was recorded.".to_owned(),
        )
    } else {
        (
            DataValidationErrorStyle::Warning,
            "The list does not hold this word. Is it spelt as in season.toml and sites.geojson?"
                .to_owned(),
        )
    };
    Ok(Some(
        rule.set_error_style(style)
            .set_error_title("windrow")?
            .set_error_message(shortened(&told))?,
    ))
}

/// By the format's own limit on messages.
fn shortened(text: &str) -> String {
    const LONGEST: usize = 255;
    text.chars().take(LONGEST).collect()
}

fn format_of(holds: Holds) -> Format {
    let format = Format::new().set_align(FormatAlign::Top);
    match holds {
        Holds::Date => format.set_num_format("yyyy-mm-dd"),
        Holds::Time => format.set_num_format("hh:mm"),
        Holds::Count => format.set_num_format("0"),
        Holds::Money => format.set_num_format("#,##0.00"),
        Holds::Prose => format.set_text_wrap(),
        _ => format,
    }
}

/// Width in letters.
fn width(field: &Field) -> f64 {
    let longest = field.heading.split('_').map(str::len).max().unwrap_or(0);
    let usual: usize = match field.holds {
        Holds::Prose => 36,
        Holds::Date => 11,
        Holds::Site | Holds::Payer | Holds::Grant => 16,
        Holds::Text => 14,
        Holds::Container | Holds::Stage | Holds::Words => 12,
        Holds::Time | Holds::YesNo => 8,
        _ => 9,
    };
    // Few letters: exact in a float.
    usual.max(longest + 2).max(field.heading.len().min(18) + 1) as f64
}

/// The same table as CSV.
///
/// # Errors
/// None in practice: the writer writes to memory.
pub fn csv(fields: &[Field], rows: &[Row]) -> Result<Vec<u8>, csv::Error> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(fields.iter().map(|field| field.heading.as_str()))?;
    for cells in rows {
        writer.write_record(fields.iter().map(|field| {
            cells
                .iter()
                .find(|(name, _)| *name == field.column)
                .map_or("", |(_, text)| text.as_str())
        }))?;
    }
    writer
        .into_inner()
        .map_err(|error| csv::Error::from(std::io::Error::other(error.to_string())))
}
