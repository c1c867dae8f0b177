//! Workbooks: which kind a file is, and the bounds within which its parts are unpacked.
//!
//! Takes the bytes of a file, gives its sheets as grids. Nothing is unpacked before it has been measured.

use std::io::{Cursor, Read};

use super::grid::Grid;
use super::{ods, xlsx};
use crate::words;
use crate::words::Words;
use crate::words::number;

/// Bytes of all parts of a workbook that are read, unpacked: a season's log comes nowhere near it.
const MOST_UNPACKED: u64 = 64 << 20;

/// Parts of a workbook: sheets, styles, pictures. Beyond this it is no log.
const MOST_PARTS: usize = 4096;

/// Sheets that are read.
pub(super) const MOST_SHEETS: usize = 128;

/// Merged regions of a workbook that are looked at.
pub(super) const MOST_REGIONS: usize = 10_000;

/// Reads every sheet.
///
/// # Errors
/// Where the file is no workbook, or larger than any season's.
pub(super) fn grids(bytes: &[u8]) -> Result<Vec<Grid>, Words> {
    if bytes.starts_with(&[0xd0, 0xcf, 0x11, 0xe0]) {
        return Err(words!(
            "it is locked with a password, or an old .xls under a new name; save it as .xlsx without a password"
        ));
    }
    if !bytes.starts_with(b"PK") {
        return Err(words!("it is no workbook, whatever its name says"));
    }
    let names = measured(bytes)?;
    let has = |name: &str| names.iter().any(|known| known == name);
    let grids = if has("content.xml") {
        ods::grids(bytes)?
    } else {
        xlsx::grids(bytes)?
    };
    if grids.is_empty() {
        return Err(words!("the workbook has no sheet"));
    }
    Ok(grids)
}

/// The names of the parts, after unpacking each into nothing: what a part says of its own size may be a lie.
fn measured(bytes: &[u8]) -> Result<Vec<String>, Words> {
    let mut archive =
        zip::ZipArchive::new(Cursor::new(bytes)).map_err(|error| error.to_string())?;
    if archive.len() > MOST_PARTS {
        return Err(words!(
            "it has more than {parts} parts",
            parts = number(MOST_PARTS.to_string())
        ));
    }
    let mut left = MOST_UNPACKED;
    let mut names = Vec::new();
    for index in 0..archive.len() {
        let part = archive.by_index(index).map_err(|error| error.to_string())?;
        let name = part.name().map_err(|error| error.to_string())?.into_owned();
        // Pictures and the like are never unpacked.
        if name.to_lowercase().ends_with(".xml") || name.to_lowercase().ends_with(".rels") {
            let size =
                std::io::copy(&mut part.take(left + 1), &mut std::io::sink()).map_err(|error| {
                    words!(
                        "its part {name} is damaged: {error}",
                        name = &name,
                        error = error.to_string()
                    )
                })?;
            left = left.checked_sub(size).ok_or_else(|| {
                words!(
                    "unpacked it is larger than {size} MB, which no season's log is",
                    size = number((MOST_UNPACKED >> 20).to_string())
                )
            })?;
        }
        names.push(name);
    }
    Ok(names)
}

/// Reads one part, which has been measured.
pub(super) fn part(bytes: &[u8], name: &str) -> Result<Option<String>, String> {
    let mut archive =
        zip::ZipArchive::new(Cursor::new(bytes)).map_err(|error| error.to_string())?;
    let part = match archive.by_name(name) {
        Ok(part) => part,
        Err(zip::result::ZipError::FileNotFound) => return Ok(None),
        Err(error) => return Err(error.to_string()),
    };
    let mut text = Vec::new();
    part.take(MOST_UNPACKED)
        .read_to_end(&mut text)
        .map_err(|error| format!("its part {name} is damaged: {error}"))?;
    Ok(Some(String::from_utf8_lossy(&text).into_owned()))
}
