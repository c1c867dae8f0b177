//! The first sheet of a workbook (.xlsx, .ods) as rows of text.

use std::io::Cursor;

use calamine::{Data, Reader as _};

use super::Raw;

pub(super) fn rows(bytes: &[u8]) -> Result<Raw, String> {
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
