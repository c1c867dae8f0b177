//! Places as a person reads them: rows of one table as ranges, photos of one folder as a count.

use std::collections::{BTreeMap, BTreeSet};

use crate::place::{Place, Spot};
use crate::report::number::Style;
use crate::report::words::files as so_many_files;
use crate::shared::Shared;
use crate::words;
use crate::words::Words;

/// So many files of one folder are named; more are counted.
const NAMED_FILES: usize = 3;

/// `pulls.csv rows 2–14, 16; 312 files in photos/2025`.
pub fn compressed<'a>(places: &'a [Place], style: &Style) -> String {
    let mut rows: BTreeMap<(&str, Option<&str>), BTreeSet<u32>> = BTreeMap::new();
    let mut files: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
    let mut others: BTreeSet<String> = BTreeSet::new();
    for place in places {
        let mut row = |sheet: &'a Option<Shared>, row: u32| {
            let table = (place.file.as_str(), sheet.as_deref());
            rows.entry(table).or_default().insert(row);
        };
        match &place.spot {
            Spot::Row { sheet, row: number } => row(sheet, *number),
            Spot::Cell(cell) => row(&cell.sheet, cell.row),
            Spot::Whole | Spot::Tag(_) => {
                let folder = place.file.rsplit_once('/').map_or("", |(folder, _)| folder);
                files.entry(folder).or_default().insert(&place.file);
            }
            _ => {
                others.insert(place.to_string());
            }
        }
    }
    let mut parts: Vec<String> = Vec::new();
    for ((file, sheet), numbers) in rows {
        let table = match sheet {
            Some(sheet) => words!("{file} sheet {sheet}", file, sheet),
            None => Words::own(file),
        };
        parts.push(style.say(words!(
            "{table} {count:row|rows}\u{a0}{numbers}",
            table,
            count = numbers.len(),
            numbers = ranges(&numbers)
        )));
    }
    parts.extend(others);
    for (folder, files) in files {
        if files.len() <= NAMED_FILES || folder.is_empty() {
            parts.extend(files.into_iter().map(str::to_owned));
        } else {
            parts.push(style.say(words!(
                "{files} in {folder}",
                files = so_many_files(files.len()),
                folder
            )));
        }
    }
    parts.join("; ")
}

/// The rows alone, for a column whose heading names the file: `2–14, 16`.
pub fn numbers(places: &[Place]) -> String {
    let numbers = places
        .iter()
        .filter_map(|place| match &place.spot {
            Spot::Row { row, .. } => Some(*row),
            Spot::Cell(cell) => Some(cell.row),
            _ => None,
        })
        .collect();
    ranges(&numbers)
}

/// `2–14, 16`.
fn ranges(numbers: &BTreeSet<u32>) -> String {
    let mut spans: Vec<(u32, u32)> = Vec::new();
    for number in numbers {
        match spans.last_mut() {
            Some((_, last)) if last.checked_add(1) == Some(*number) => *last = *number,
            _ => spans.push((*number, *number)),
        }
    }
    spans
        .into_iter()
        .map(|(first, last)| {
            // Row numbers are names, not quantities: they carry no separators.
            if first == last {
                first.to_string()
            } else if first + 1 == last {
                format!("{first}, {last}")
            } else {
                format!("{first}–{last}")
            }
        })
        .collect::<Vec<_>>()
        .join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::words::Language;

    fn english() -> Style {
        Style {
            units: crate::season::PrintUnits::Us,
            currency: String::new(),
            language: Language::English,
        }
    }

    fn row(file: &str, row: u32) -> Place {
        Place {
            file: file.into(),
            spot: Spot::Row { sheet: None, row },
        }
    }

    #[test]
    fn rows_become_ranges_and_photos_a_count() {
        let mut places: Vec<Place> = [2, 3, 4, 7, 9, 10].map(|n| row("pulls.csv", n)).to_vec();
        places.push(Place {
            file: "pulls.csv".into(),
            spot: Spot::Cell(Box::new(crate::place::CellAt {
                sheet: None,
                row: 7,
                column: None,
                heading: "mass_kg".into(),
            })),
        });
        places.push(row("weighings.csv", 5));
        places.extend((0..5).map(|n| Place::whole(format!("photos/{n}.jpg"))));
        places.push(Place::key("season.toml", "rates"));
        assert_eq!(
            compressed(&places, &english()),
            "pulls.csv rows\u{a0}2–4, 7, 9, 10; weighings.csv row\u{a0}5; season.toml key rates; 5\u{a0}files in photos"
        );
        assert_eq!(compressed(&[], &english()), "");
        assert_eq!(
            compressed(&[row("a", u32::MAX), row("a", u32::MAX - 1)], &english()),
            format!("a rows\u{a0}{}, {}", u32::MAX - 1, u32::MAX)
        );
    }
}
