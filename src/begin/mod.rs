//! A new season folder: everything that has to be in it before the first outing.
//!
//! Takes choices, gives paths below the folder with their bytes; writes nothing itself. What the tables hold comes from the same
//! declarations that read them.

mod carry;
pub mod columns;
mod settings;
mod words;
mod workbook;

use std::fmt;

use crate::report::ReportError;
use crate::season::form::{TABLES, TableForm};
use crate::season::value::DateOrder;
use crate::season::{self, Ground, Paper, PrintUnits, SETTINGS_FILE, SITES_FILE, Settings};

pub use carry::{Carried, Former, carry};
pub use settings::is_us_zone;

/// A row to be written: text by column.
pub type Row = Vec<(&'static str, String)>;

/// What a new season needs to know.
#[derive(Debug, Clone, PartialEq)]
pub struct Choices {
    pub programme: String,
    pub year: i32,
    /// IANA name.
    pub time_zone: String,
    pub units: PrintUnits,
    /// By the units where nothing is said.
    pub paper: Option<Paper>,
    /// Tables as CSV and not as workbooks.
    pub csv: bool,
}

/// A file of the new folder.
#[derive(Debug, Clone, PartialEq)]
pub struct NewFile {
    pub path: String,
    pub bytes: Vec<u8>,
}

/// Why there can be no such folder.
#[derive(Debug)]
pub enum BeginError {
    /// What would be season.toml can't be read back; the reason says which choice is at fault.
    Settings(String),
    Sheets(ReportError),
    Table(String),
}

impl fmt::Display for BeginError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            BeginError::Settings(reason) => write!(f, "no season.toml can be written: {reason}"),
            BeginError::Sheets(error) => error.fmt(f),
            BeginError::Table(reason) => write!(f, "a table can't be written: {reason}"),
        }
    }
}

impl std::error::Error for BeginError {}

/// An empty season.
///
/// # Errors
/// Where a choice is none that a season can have.
pub fn fresh(choices: &Choices) -> Result<Vec<NewFile>, BeginError> {
    let text = settings::fresh(choices);
    folder(&text, words::NO_SITES, choices.csv, |_| Vec::new())
}

/// A season that goes on from an earlier one.
///
/// # Errors
/// As [`fresh`].
pub fn following(carried: &Carried, csv: bool) -> Result<Vec<NewFile>, BeginError> {
    folder(
        &carried.settings,
        &carried.sites,
        csv,
        |table| match table.name {
            "history" => carried.history.clone(),
            _ => Vec::new(),
        },
    )
}

fn folder(
    settings_text: &str,
    sites: &str,
    csv: bool,
    rows: impl Fn(&TableForm) -> Vec<Row>,
) -> Result<Vec<NewFile>, BeginError> {
    let settings = season::read_settings(settings_text).map_err(BeginError::Settings)?;
    let ground = season::read_ground(sites);
    let mut files: Vec<NewFile> = Vec::new();
    let mut add = |path: &str, bytes: Vec<u8>| {
        files.push(NewFile {
            path: path.to_owned(),
            bytes,
        });
    };
    add(SETTINGS_FILE, settings_text.as_bytes().to_vec());
    add(SITES_FILE, sites.as_bytes().to_vec());
    add(words::READ_ME, words::read_me(&settings, csv).into_bytes());
    for (folder, text) in words::FOLDERS {
        add(
            &format!("{folder}/{}", words::WHAT_GOES_HERE),
            text.as_bytes().to_vec(),
        );
    }
    for (section, text) in words::NARRATIVE {
        add(
            &format!("narrative/{section}.typ"),
            text.trim_start().as_bytes().to_vec(),
        );
    }
    for table in &TABLES {
        let (path, bytes) = filled_table(table, &settings, &ground, csv, &rows(table))?;
        add(&path, bytes);
    }
    for (path, bytes) in sheets(&settings, &ground)? {
        add(&format!("sheets/{path}"), bytes);
    }
    files.sort_by(|a, b| a.path.cmp(&b.path));
    Ok(files)
}

/// A table's file name and bytes, its headings with the rows below them.
///
/// # Errors
/// Where a row holds what no workbook can hold, such as a text of more than 32 767 letters.
pub fn filled_table(
    table: &TableForm,
    settings: &Settings,
    ground: &Ground,
    csv: bool,
    rows: &[Row],
) -> Result<(String, Vec<u8>), BeginError> {
    let sites: Vec<String> = ground
        .sites
        .iter()
        .map(|site| site.id.to_string())
        .collect();
    let fields = columns::fields(table, settings, &sites);
    let failed = |error: &dyn fmt::Display| BeginError::Table(format!("{}: {error}", table.name));
    let (ending, bytes) = if csv {
        (
            "csv",
            workbook::csv(&fields, rows).map_err(|error| failed(&error))?,
        )
    } else {
        (
            "xlsx",
            workbook::xlsx(table.name, &fields, rows).map_err(|error| failed(&error))?,
        )
    };
    Ok((format!("{}.{ending}", table.name), bytes))
}

/// The sheets to print, as PDFs with their file names.
///
/// # Errors
/// Where a sheet can't be set.
pub fn sheets(
    settings: &Settings,
    ground: &Ground,
) -> Result<Vec<(&'static str, Vec<u8>)>, BeginError> {
    use crate::report::sheets::{Column, Input, Sheet, render};
    let columns = TABLES
        .iter()
        .flat_map(|table| {
            columns::fields(table, settings, &[])
                .into_iter()
                .map(move |field| Column {
                    table: table.name,
                    name: field.column,
                    heading: field.heading,
                    words: field.words,
                })
        })
        .collect();
    let input = Input {
        settings,
        ground,
        columns,
    };
    Sheet::ALL
        .into_iter()
        .map(|sheet| {
            render(sheet, &input)
                .map(|bytes| (sheet.file_name(), bytes))
                .map_err(BeginError::Sheets)
        })
        .collect()
}

/// The order of dates that a place's people mostly write; only told in a comment, since a wrong guess would move dates silently.
fn usual_order(units: PrintUnits) -> DateOrder {
    match units {
        PrintUnits::Us => DateOrder::Mdy,
        PrintUnits::Metric => DateOrder::Dmy,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    pub fn choices() -> Choices {
        Choices {
            programme: "Test Pond \"Trust\" (invented)".into(),
            year: 2026,
            time_zone: "America/New_York".into(),
            units: PrintUnits::Us,
            paper: None,
            csv: false,
        }
    }

    #[test]
    fn a_new_season_is_the_same_bytes_twice() {
        let (one, two) = (fresh(&choices()).unwrap(), fresh(&choices()).unwrap());
        assert!(one == two);
        let paths: Vec<&str> = one.iter().map(|file| file.path.as_str()).collect();
        assert!(paths.contains(&"pulls.xlsx"), "{paths:?}");
        assert!(paths.contains(&"sheets/field-sheet.pdf"), "{paths:?}");
    }
}
