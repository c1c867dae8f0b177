//! Places as a person reads them: rows of one table as ranges, photos of one folder as a count. Of a long list the beginning is told and
//! how many more there are: a log of thousands of rows would fill a hundred pages that nobody reads, and the attached ledger has all.

use std::collections::{BTreeMap, BTreeSet};

use crate::place::{Entry, Place, Places, Spot, span_text};
use crate::report::number::Style;
use crate::report::words::files as so_many_files;
use crate::words;
use crate::words::Words;

/// So many files of one folder are named; more are counted.
const NAMED_FILES: usize = 3;

/// So many ranges of one table's rows are named, and so many other places; of more the number is told.
const NAMED_RANGES: usize = 60;

/// `pulls.csv rows 2–14, 16; 312 files in photos/2025`.
pub fn compressed(places: &Places, style: &Style) -> String {
    let mut rows: BTreeMap<(&str, Option<&str>), BTreeSet<u32>> = BTreeMap::new();
    let mut files: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
    let mut others: Vec<String> = Vec::new();
    for entry in places.entries() {
        let place = match entry {
            Entry::Rows { file, sheet, spans } => {
                let numbers = spans.iter().flat_map(|(first, last)| *first..=*last);
                let table = (file.as_str(), sheet.as_deref());
                rows.entry(table).or_default().extend(numbers);
                continue;
            }
            Entry::Other(place) => place,
        };
        match &place.spot {
            Spot::Cell(cell) => {
                let table = (place.file.as_str(), cell.sheet.as_deref());
                rows.entry(table).or_default().insert(cell.row);
            }
            Spot::Whole | Spot::Tag(_) => {
                let folder = place.file.rsplit_once('/').map_or("", |(folder, _)| folder);
                files.entry(folder).or_default().insert(&place.file);
            }
            _ => others.push(place.to_string()),
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
            numbers = ranges(&numbers, style)
        )));
    }
    let more = others.len().saturating_sub(NAMED_RANGES);
    parts.extend(others.into_iter().take(NAMED_RANGES));
    if more > 0 {
        parts.push(style.say(words!("and {more} more", more)));
    }
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
pub fn numbers(places: &[Place], style: &Style) -> String {
    let numbers = places
        .iter()
        .filter_map(|place| match &place.spot {
            Spot::Row { row, .. } => Some(*row),
            Spot::Cell(cell) => Some(cell.row),
            _ => None,
        })
        .collect();
    ranges(&numbers, style)
}

/// `2–14, 16`, and of very many `2–14, 16 and 1,240 more`.
fn ranges(numbers: &BTreeSet<u32>, style: &Style) -> String {
    let mut spans: Vec<(u32, u32)> = Vec::new();
    let mut more = 0_usize;
    for number in numbers {
        let full = spans.len() == NAMED_RANGES;
        match spans.last_mut() {
            Some((_, last)) if last.checked_add(1) == Some(*number) => *last = *number,
            _ if full => more += 1,
            _ => spans.push((*number, *number)),
        }
    }
    let text = spans
        .into_iter()
        .map(|span| span_text(span, "–"))
        .collect::<Vec<_>>()
        .join(", ");
    if more == 0 {
        return text;
    }
    format!("{text} {}", style.say(words!("and {more} more", more)))
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
        let mut places: Places = [2, 3, 4, 7, 9, 10]
            .map(|n| row("pulls.csv", n))
            .into_iter()
            .collect();
        places.extend([Place {
            file: "pulls.csv".into(),
            spot: Spot::Cell(Box::new(crate::place::CellAt {
                sheet: None,
                row: 7,
                column: None,
                heading: "mass_kg".into(),
            })),
        }]);
        places.extend([row("weighings.csv", 5)]);
        places.extend((0..5).map(|n| Place::whole(format!("photos/{n}.jpg"))));
        places.extend([Place::key("season.toml", "rates")]);
        assert_eq!(
            compressed(&places, &english()),
            "pulls.csv rows\u{a0}2–4, 7, 9, 10; weighings.csv row\u{a0}5; season.toml key rates; 5\u{a0}files in photos"
        );
        assert_eq!(compressed(&Places::default(), &english()), "");
        assert_eq!(
            compressed(
                &[row("a", u32::MAX), row("a", u32::MAX - 1)]
                    .into_iter()
                    .collect(),
                &english()
            ),
            format!("a rows\u{a0}{}, {}", u32::MAX - 1, u32::MAX)
        );
    }
    #[test]
    fn of_a_long_list_the_beginning_is_told_and_how_many_more() {
        let style = english();
        let every_other = |count: u32| (1..=count).map(|n| row("pulls.csv", 2 * n)).collect();
        let whole: Places = every_other(60);
        assert!(compressed(&whole, &style).ends_with("118, 120"));
        let cut: Places = every_other(1300);
        let text = compressed(&cut, &style);
        assert!(text.starts_with("pulls.csv rows\u{a0}2, 4, 6, "), "{text}");
        assert!(text.ends_with("118, 120 and 1,240 more"), "{text}");
        // Many rows that follow each other are one range.
        let one: Places = (2..=9000).map(|n| row("pulls.csv", n)).collect();
        assert_eq!(compressed(&one, &style), "pulls.csv rows\u{a0}2–9000");
        let keys: Places = (0..100)
            .map(|n| Place::key("season.toml", format!("k{n:03}")))
            .collect();
        let text = compressed(&keys, &style);
        assert!(text.ends_with("key k059; and 40 more"), "{text}");
    }
}
