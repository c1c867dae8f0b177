//! The worksheet of an audit draw on paper: the same look and the same closed world as a report.
//!
//! Takes texts; gives a PDF, the same for the same texts. Knows nothing of draws: what stands in the sheet is handed in.

use chrono::NaiveDate;
use serde_json::{Map, Value, json};
use typst::foundations::Bytes;

use super::chart;
use super::compile;
use super::error::ReportError;
use super::fonts::settable;
use super::palette;
use super::templates;
use super::wording;
use super::world::ReportWorld;
use crate::words::Language;

/// What stands in the sheet.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Worksheet {
    /// What was drawn: `pulls`.
    pub of: String,
    /// Tells this sheet from others: it goes into the PDF's identifier.
    pub identifier: String,
    /// Lines about the draw, each a name and its value.
    pub about: Vec<(String, String)>,
    /// Unit of sizes, where items were drawn by size: then there are columns for the size booked and the size found.
    pub sized: Option<String>,
    /// The items in the order of the draw.
    pub items: Vec<WorksheetItem>,
}

/// One drawn item.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct WorksheetItem {
    pub name: String,
    /// What the archive says of it: heading and value.
    pub told: Vec<(String, String)>,
    /// How often it was hit, and its size; only where items were drawn by size.
    pub hits: String,
    pub booked: String,
}

/// Sets the sheet.
///
/// # Errors
/// [`ReportError::Machine`] where the compiler fails: no text can make it.
pub fn worksheet(sheet: &Worksheet) -> Result<Vec<u8>, ReportError> {
    // No clock: the date that archives bear as well.
    let date = NaiveDate::from_ymd_opt(1980, 1, 1).unwrap_or_default();
    let mut world = ReportWorld::new("/worksheet.typ", compile::day(date))
        .ok_or_else(|| ReportError::Machine("the worksheet's template has no path".to_owned()))?;
    for (path, text) in templates::all() {
        world.add_source(path, text);
    }
    let value = data(sheet).to_string();
    world.add_file("/data.json", Bytes::from_string(value));
    world.add_file("/figures.json", Bytes::from_string("{}"));
    compile::pdf(&world, sheet.identifier.clone(), date, &[], 0, &mut || ())
}

fn data(sheet: &Worksheet) -> Value {
    let colours: Map<String, Value> = palette::ALL
        .iter()
        .map(|colour| (colour.name.to_owned(), colour.hex.into()))
        .collect();
    let pairs = |pairs: &[(String, String)]| -> Vec<Value> {
        let shown = pairs.iter().filter(|(_, value)| !value.trim().is_empty());
        shown
            .map(|(name, value)| json!([settable(name), settable(value)]))
            .collect()
    };
    let items: Vec<Value> = sheet
        .items
        .iter()
        .map(|item| {
            json!({
                "name": settable(&item.name),
                "told": pairs(&item.told),
                "hits": item.hits,
                "booked": item.booked,
            })
        })
        .collect();
    let mut value = json!({
        // Our own faces: no season folder is at hand that could bring others.
        "look": {"paper": "a4", "colours": colours, "width": chart::WIDTH, "text-face": null, "figure-face": null, "logo": null},
        // What a report's pages ask for beside their look; the sheet has a head of its own and attaches nothing.
        "edition": {"name": "", "title": ""},
        "programme": "",
        "year": "",
        "of": settable(&sheet.of),
        "about": pairs(&sheet.about),
        "sized": sheet.sized,
        "items": items,
    });
    // As the workbook beside it, into which its results are copied word by word.
    wording::add(&mut value, Language::English);
    value
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sheet(items: usize) -> Worksheet {
        Worksheet {
            of: "pulls".into(),
            identifier: "windrow draw test".into(),
            about: vec![("seed".into(), "dew #point[ $x$".into())],
            sized: None,
            items: (0..items)
                .map(|number| WorksheetItem {
                    name: format!("P{number}"),
                    told: vec![("site".into(), "North \"Cove\" \\ *".into())],
                    ..WorksheetItem::default()
                })
                .collect(),
        }
    }

    #[test]
    fn the_same_texts_give_the_same_bytes_and_markup_is_only_text() {
        let one = worksheet(&sheet(3)).unwrap();
        assert!(one.starts_with(b"%PDF-"));
        assert_eq!(one, worksheet(&sheet(3)).unwrap());
        assert_ne!(one, worksheet(&sheet(4)).unwrap());
    }

    #[test]
    fn sizes_have_their_columns_and_many_items_their_pages() {
        let few = worksheet(&sheet(2)).unwrap();
        let sized = Worksheet {
            sized: Some("kg".into()),
            ..sheet(2)
        };
        assert_ne!(worksheet(&sized).unwrap(), few);
        assert!(worksheet(&sheet(200)).unwrap().len() > few.len());
    }
}
