//! Where in the season folder something stands.
//!
//! A place is captured while reading, since it can't be recovered later. It is a value: nothing here opens a file. [`Places`] are many
//! at once.

mod many;

pub use many::{Entry, Places, span_text};

use std::borrow::Cow;
use std::collections::BTreeSet;
use std::fmt;
use std::sync::LazyLock;

use serde::{Serialize, Serializer};

use crate::shared::Shared;

/// A file of the season folder and a spot in it.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Place {
    /// Path below the season folder, `/` between parts on every system; of a figure, the archive as season.toml names it.
    pub file: Shared,
    pub spot: Spot,
}

/// A spot within a file.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Spot {
    /// The file as a whole.
    Whole,
    /// A row as a spreadsheet counts it: the first row of the file is 1.
    Row { sheet: Option<Shared>, row: u32 },
    /// A cell, by row and by the heading of its column as the file spells it. Boxed, as most places are photos and rows, and many.
    Cell(Box<CellAt>),
    /// A heading of a table, and the row that it stands in.
    Heading(Box<CellAt>),
    /// A line of a text file, counted from 1.
    Line(u32),
    /// A key of a TOML file, for example `grants.pond-fund.match_required`.
    Key(Shared),
    /// A metadata tag of a photo.
    Tag(Shared),
    /// A GeoJSON feature, by its id or else its number counted from 1.
    Feature(Shared),
    /// A figure of the ledger in an earlier season's archive.
    Figure(Shared),
}

/// Where a cell stands in its file.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct CellAt {
    pub sheet: Option<Shared>,
    pub row: u32,
    /// The letters above the column, in a workbook; of a heading none.
    pub column: Option<Shared>,
    pub heading: Shared,
}

/// Tags in which rules find something on many photos; each name is held once.
static TAGS: LazyLock<BTreeSet<Shared>> = LazyLock::new(|| {
    [
        "DateTimeOriginal",
        "GPSImgDirection",
        "GPSLatitude",
        "GPSTimeStamp",
    ]
    .map(Shared::from)
    .into()
});

impl Place {
    pub fn whole(file: impl Into<Shared>) -> Self {
        Self {
            file: file.into(),
            spot: Spot::Whole,
        }
    }

    pub fn key(file: impl Into<Shared>, key: impl Into<Shared>) -> Self {
        Self {
            file: file.into(),
            spot: Spot::Key(key.into()),
        }
    }

    pub fn tag(file: impl Into<Shared>, tag: &str) -> Self {
        let known = TAGS.get(tag).cloned();
        Self {
            file: file.into(),
            spot: Spot::Tag(known.unwrap_or_else(|| tag.into())),
        }
    }

    pub fn feature(file: impl Into<Shared>, feature: impl Into<Shared>) -> Self {
        Self {
            file: file.into(),
            spot: Spot::Feature(feature.into()),
        }
    }

    pub fn line(file: impl Into<Shared>, line: u32) -> Self {
        Self {
            file: file.into(),
            spot: Spot::Line(line),
        }
    }

    /// The same place without its column, so that all cells of a row compare equal.
    pub fn row_only(&self) -> Self {
        self.of_row().into_owned()
    }

    /// The same, and the place itself where it is no cell: most are photos.
    pub fn of_row(&self) -> Cow<'_, Self> {
        match &self.spot {
            Spot::Cell(cell) => Cow::Owned(Self {
                file: self.file.clone(),
                spot: Spot::Row {
                    sheet: cell.sheet.clone(),
                    row: cell.row,
                },
            }),
            _ => Cow::Borrowed(self),
        }
    }
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.file)?;
        let sheet_name = |f: &mut fmt::Formatter<'_>, sheet: &Option<Shared>| match sheet {
            Some(sheet) => write!(f, " sheet {sheet}"),
            None => Ok(()),
        };
        match &self.spot {
            Spot::Whole => Ok(()),
            Spot::Row { sheet, row } => {
                sheet_name(f, sheet)?;
                write!(f, " row {row}")
            }
            Spot::Cell(cell) => {
                let (row, heading) = (cell.row, &cell.heading);
                sheet_name(f, &cell.sheet)?;
                match &cell.column {
                    Some(column) => write!(f, " cell {column}{row}")?,
                    None => write!(f, " row {row}")?,
                }
                if heading.is_empty() {
                    Ok(())
                } else {
                    write!(f, ", {heading}")
                }
            }
            Spot::Heading(cell) => {
                sheet_name(f, &cell.sheet)?;
                if cell.row > 1 {
                    write!(f, " row {}", cell.row)?;
                }
                write!(f, " heading {}", cell.heading)
            }
            Spot::Line(line) => write!(f, " line {line}"),
            Spot::Key(key) => write!(f, " key {key}"),
            Spot::Tag(tag) => write!(f, " tag {tag}"),
            Spot::Feature(feature) => write!(f, " feature {feature}"),
            Spot::Figure(figure) => write!(f, " figure {figure}"),
        }
    }
}

impl Serialize for Place {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_reads_as_a_person_would_say_it() {
        let cell = Place {
            file: "pulls.csv".into(),
            spot: Spot::Cell(Box::new(CellAt {
                sheet: None,
                row: 7,
                column: None,
                heading: "mass_kg".into(),
            })),
        };
        let of_workbook = Place {
            file: "log.xlsx".into(),
            spot: Spot::Cell(Box::new(CellAt {
                sheet: Some("June".into()),
                row: 7,
                column: Some("M".into()),
                heading: "mass_kg".into(),
            })),
        };
        assert_eq!(
            of_workbook.to_string(),
            "log.xlsx sheet June cell M7, mass_kg"
        );
        assert_eq!(cell.to_string(), "pulls.csv row 7, mass_kg");
        assert_eq!(cell.row_only().to_string(), "pulls.csv row 7");
        assert_eq!(
            Place::key("season.toml", "year").to_string(),
            "season.toml key year"
        );
    }
}
