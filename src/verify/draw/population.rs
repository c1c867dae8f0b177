//! What there is to draw from: the items that an archive holds, with what a checker needs to find each.
//!
//! Takes an opened archive; gives items in the archive's own order. Photos come from the index in the ledger, so that no
//! picture has to be unpacked; all else from the tables of the season, laid out in a temporary folder and read as every
//! season is.

use serde::Serialize;

use super::{DrawError, Of};
use crate::archive::profile;
use crate::interrupt;
use crate::season::{self, Row, Season};
use crate::verify::{Opened, TreeLeaf};

/// The index of photos in an archive.
const PHOTO_INDEX: &str = "data/ledger/photo-index.csv";
/// What of the index helps to find and judge a photo.
const PHOTO_COLUMNS: [&str; 11] = [
    "sha256",
    "captured_local",
    "time_source",
    "latitude",
    "longitude",
    "site",
    "pull",
    "station",
    "role",
    "consent",
    "evidence",
];
/// Digits of a hash that are shown: enough to tell any two files of an archive apart by eye.
const SHOWN_DIGITS: usize = 16;
/// Letters of a particular that are shown; the archive holds the rest.
const SHOWN_LETTERS: usize = 300;
/// Bytes of a table that are read, as for a season folder.
const MOST_BYTES: u64 = 64 << 20;
/// The largest size of an item in parts: ten thousand tonnes, or a hundred thousand million in money. A size above it
/// is a slip, and the bound keeps the sums exact.
pub const MOST_PARTS: u64 = 10_000_000_000_000;

/// One thing that can be drawn.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Item {
    /// Its name in the draw: a photo's path, a pull's id, or a table's file and row: `weighings.csv row 7`.
    pub id: String,
    /// In whole parts; None where it isn't known or isn't above nothing.
    pub size: Option<u64>,
    /// As `Population::columns`.
    pub particulars: Vec<String>,
}

/// Everything that can be drawn.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Population {
    pub of: Of,
    pub columns: Vec<String>,
    pub items: Vec<Item>,
}

/// Reads the items of a kind from a whole archive.
///
/// # Errors
/// Where the archive lacks what it takes, or the machine fails.
pub fn population(archive: &Opened, of: Of) -> Result<Population, DrawError> {
    match of {
        Of::Photos => photos(archive),
        Of::Pulls => season_of(archive).map(|season| pulls(&season)),
        Of::Weighings => season_of(archive).map(|season| weighings(&season)),
        Of::Receipts => season_of(archive).map(|season| receipts(&season)),
    }
}

fn photos(archive: &Opened) -> Result<Population, DrawError> {
    let unfit = |what: String| DrawError::Unfit(format!("{PHOTO_INDEX} {what}"));
    let bytes = archive
        .read(PHOTO_INDEX, profile::MAX_LIST_BYTES)?
        .ok_or_else(|| unfit("is not in the archive, so photos can't be drawn".into()))?;
    let mut reader = csv::ReaderBuilder::new()
        .flexible(true)
        .from_reader(&*bytes);
    let headings = reader
        .headers()
        .map_err(|error| unfit(format!("can't be read: {error}")))?
        .clone();
    let column = |name: &str| headings.iter().position(|heading| heading == name);
    let path = column("path").ok_or_else(|| unfit("has no column 'path'".into()))?;
    let wanted: Vec<(&str, usize)> = PHOTO_COLUMNS
        .into_iter()
        .filter_map(|name| column(name).map(|at| (name, at)))
        .collect();
    let mut items = Vec::new();
    for record in reader.records() {
        let record = record.map_err(|error| unfit(format!("can't be read: {error}")))?;
        let cell = |at: usize| record.get(at).unwrap_or_default();
        items.push(Item {
            id: cell(path).to_owned(),
            size: None,
            particulars: wanted
                .iter()
                .map(|(name, at)| match *name {
                    "sha256" => cell(*at).chars().take(SHOWN_DIGITS).collect(),
                    _ => shown(cell(*at)),
                })
                .collect(),
        });
    }
    Ok(Population {
        of: Of::Photos,
        columns: wanted
            .into_iter()
            .map(|(name, _)| match name {
                "sha256" => format!("sha256, first {SHOWN_DIGITS}"),
                name => name.to_owned(),
            })
            .collect(),
        items,
    })
}

/// The tables of the season, read as every season is. Photos, tracks and papers stay in the archive.
fn season_of(archive: &Opened) -> Result<Season, DrawError> {
    let folder = interrupt::temporary(tempfile::tempdir, tempfile::TempDir::path);
    let folder = folder.map_err(DrawError::Machine)?;
    // A table that was withheld is not there to be read.
    let present = archive.leaves().iter().filter_map(|leaf| match leaf {
        TreeLeaf::Present(leaf) => Some(leaf),
        TreeLeaf::Withheld { .. } | TreeLeaf::Hidden { .. } => None,
    });
    for leaf in present {
        // Files straight in the season folder. The verifier's rules for names keep such a name in its folder.
        let Some(name) = leaf.path.strip_prefix(profile::SEASON) else {
            continue;
        };
        if name.contains('/') || profile::check_path(name).is_err() {
            continue;
        }
        if let Some(bytes) = archive.read(&leaf.path, MOST_BYTES)? {
            std::fs::write(folder.path().join(name), bytes).map_err(DrawError::Machine)?;
        }
    }
    Ok(season::load(folder.path(), &|_| ())?)
}

fn shown(text: &str) -> String {
    let mut letters = text.trim().chars();
    let mut short: String = letters.by_ref().take(SHOWN_LETTERS).collect();
    if letters.next().is_some() {
        short.push('…');
    }
    short
}

/// A row's name in the draw: the file, its sheet where it has sheets, and the row as a spreadsheet counts.
fn row_id(row: &Row) -> String {
    row.place().to_string()
}

/// The headings of a table as its file spells them.
fn headings(row: Option<&Row>) -> Vec<String> {
    row.map(|row| row.head.headings.iter().map(|h| shown(&h.text)).collect())
        .unwrap_or_default()
}

/// The cells of one or more rows, under the table's headings; where rows differ, each value in turn.
fn cells(rows: &[&Row], columns: usize) -> Vec<String> {
    (0..columns)
        .map(|column| {
            let mut values: Vec<&str> = Vec::new();
            for row in rows {
                let value = row.cells.get(column).map_or("", |cell| cell.trim());
                if !values.contains(&value) {
                    values.push(value);
                }
            }
            shown(&values.join(" / "))
        })
        .collect()
}

fn pulls(season: &Season) -> Population {
    let first = season.pulls.iter().find_map(|pull| pull.rows.first());
    let table = headings(first.map(|row| &row.row));
    let items = season
        .pulls
        .iter()
        .map(|pull| {
            let rows: Vec<&Row> = pull.rows.iter().map(|row| &row.row).collect();
            let places: Vec<String> = rows.iter().map(|row| row_id(row)).collect();
            let mut particulars = vec![shown(&places.join(", "))];
            particulars.extend(cells(&rows, table.len()));
            Item {
                id: pull.id.to_string(),
                size: None,
                particulars,
            }
        })
        .collect();
    let mut columns = vec!["rows".to_owned()];
    columns.extend(table);
    Population {
        of: Of::Pulls,
        columns,
        items,
    }
}

fn weighings(season: &Season) -> Population {
    let rows = season.weighings.iter().map(|weighing| {
        // Mass in kilograms; a gram is finer than any scale on a shore.
        let size = weighing.mass.and_then(|mass| parts(mass * 1000.0));
        (&weighing.row, size)
    });
    of_rows(Of::Weighings, rows.collect())
}

fn receipts(season: &Season) -> Population {
    let rows = season.spending.iter().map(|row| {
        let hundredths = row
            .amount
            .and_then(|amount| amount.checked_mul(100.into()))
            .map(|amount| {
                amount
                    .round_dp_with_strategy(0, rust_decimal::RoundingStrategy::MidpointAwayFromZero)
            })
            .and_then(|amount| u64::try_from(amount).ok())
            .filter(|parts| (1..=MOST_PARTS).contains(parts));
        (&row.row, hundredths)
    });
    of_rows(Of::Receipts, rows.collect())
}

fn of_rows(of: Of, rows: Vec<(&Row, Option<u64>)>) -> Population {
    let columns = headings(rows.first().map(|(row, _)| *row));
    let items = rows
        .into_iter()
        .map(|(row, size)| Item {
            id: row_id(row),
            size,
            particulars: cells(&[row], columns.len()),
        })
        .collect();
    Population { of, columns, items }
}

/// Whole parts of a size, rounded half away from nothing; None where there is none above nothing.
fn parts(size: f64) -> Option<u64> {
    let size = size.round();
    // The upper limit is below 2^53, so that the number is exact.
    (size >= 1.0 && size <= MOST_PARTS as f64).then_some(size as u64)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_are_whole_parts_or_none() {
        assert_eq!(parts(3_401.5), Some(3402));
        for none in [0.0, 0.4, -5.0, f64::NAN, f64::INFINITY, 1e14] {
            assert_eq!(parts(none), None, "{none}");
        }
    }

    #[test]
    fn long_texts_are_cut_and_short_ones_are_not() {
        assert_eq!(shown("  mud "), "mud");
        assert_eq!(
            shown(&"ä".repeat(SHOWN_LETTERS)).chars().count(),
            SHOWN_LETTERS
        );
        assert!(shown(&"ä".repeat(SHOWN_LETTERS + 1)).ends_with('…'));
    }
}
