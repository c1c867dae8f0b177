//! Many places at once, each once, in their order; the rows of a table as spans.
//!
//! Under each of hundreds of figures a long log has thousands of rows: held one by one they would be most of a season's memory, and named
//! one by one most of its ledger.

use serde::{Serialize, Serializer};

use super::{Place, Spot};
use crate::shared::Shared;

/// A set of places.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Places(Vec<Entry>);

/// Rows of one table, or one other place.
#[derive(Debug, Clone, PartialEq)]
pub enum Entry {
    Rows {
        file: Shared,
        sheet: Option<Shared>,
        /// First and last row of each, in their order; between two of them at least one row is missing.
        spans: Vec<(u32, u32)>,
    },
    Other(Place),
}

impl Entry {
    fn len(&self) -> usize {
        match self {
            Self::Rows { spans, .. } => span_rows(spans),
            Self::Other(_) => 1,
        }
    }

    fn contains(&self, place: &Place) -> bool {
        match (self, &place.spot) {
            (
                Self::Rows { file, sheet, spans },
                Spot::Row {
                    sheet: in_sheet,
                    row,
                },
            ) => {
                *file == place.file
                    && sheet == in_sheet
                    && spans
                        .get(spans.partition_point(|(_, last)| last < row))
                        .is_some_and(|(first, _)| first <= row)
            }
            (Self::Other(other), _) => other == place,
            (Self::Rows { .. }, _) => false,
        }
    }
}

impl Places {
    pub fn entries(&self) -> &[Entry] {
        &self.0
    }

    /// Each place by itself.
    pub fn iter(&self) -> impl Iterator<Item = Place> + '_ {
        self.0.iter().flat_map(|entry| {
            let (other, rows) = match entry {
                Entry::Other(place) => (Some(place.clone()), None),
                Entry::Rows { file, sheet, spans } => (None, Some((file, sheet, spans))),
            };
            let rows = rows.into_iter().flat_map(|(file, sheet, spans)| {
                let rows = spans.iter().flat_map(|(first, last)| *first..=*last);
                rows.map(|row| Place {
                    file: file.clone(),
                    spot: Spot::Row {
                        sheet: sheet.clone(),
                        row,
                    },
                })
            });
            other.into_iter().chain(rows)
        })
    }

    pub fn len(&self) -> usize {
        self.0.iter().map(Entry::len).sum()
    }

    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    pub fn contains(&self, place: &Place) -> bool {
        self.0.iter().any(|entry| entry.contains(place))
    }

    /// As the ledger names them: `pulls.csv rows 2 to 41, 45`, and every other place by itself.
    pub fn texts(&self) -> Vec<String> {
        let one_row = |spans: &[(u32, u32)]| span_rows(spans) == 1;
        self.0
            .iter()
            .map(|entry| match entry {
                Entry::Other(place) => place.to_string(),
                Entry::Rows { file, sheet, spans } => {
                    let sheet = sheet
                        .as_ref()
                        .map(|sheet| format!(" sheet {sheet}"))
                        .unwrap_or_default();
                    let word = if one_row(spans) { "row" } else { "rows" };
                    let texts: Vec<String> =
                        spans.iter().map(|span| span_text(*span, " to ")).collect();
                    format!("{file}{sheet} {word} {}", texts.join(", "))
                }
            })
            .collect()
    }
}

/// `2`, `2, 3`, or `2–9` with the mark or word given between the ends. Row numbers are names, not quantities: they carry no separators.
pub fn span_text((first, last): (u32, u32), between: &str) -> String {
    match last.saturating_sub(first) {
        0 => first.to_string(),
        1 => format!("{first}, {last}"),
        _ => format!("{first}{between}{last}"),
    }
}

/// How many rows the spans hold.
fn span_rows(spans: &[(u32, u32)]) -> usize {
    let lengths = spans
        .iter()
        .map(|(first, last)| u64::from(last - first) + 1);
    usize::try_from(lengths.sum::<u64>()).unwrap_or(usize::MAX)
}

impl FromIterator<Place> for Places {
    fn from_iter<I: IntoIterator<Item = Place>>(places: I) -> Self {
        let mut places: Vec<Place> = places.into_iter().collect();
        // The rows of a table follow each other in the order of places.
        places.sort_unstable();
        places.dedup();
        let mut entries: Vec<Entry> = Vec::new();
        for place in places {
            let Spot::Row { sheet, row } = &place.spot else {
                entries.push(Entry::Other(place));
                continue;
            };
            match entries.last_mut() {
                Some(Entry::Rows {
                    file,
                    sheet: of_sheet,
                    spans,
                }) if *file == place.file && of_sheet == sheet => match spans.last_mut() {
                    Some((_, last)) if last.checked_add(1) == Some(*row) => *last = *row,
                    _ => spans.push((*row, *row)),
                },
                _ => entries.push(Entry::Rows {
                    sheet: sheet.clone(),
                    spans: vec![(*row, *row)],
                    file: place.file,
                }),
            }
        }
        Self(entries)
    }
}

impl Extend<Place> for Places {
    fn extend<I: IntoIterator<Item = Place>>(&mut self, places: I) {
        let mut more = places.into_iter().peekable();
        if more.peek().is_some() {
            *self = self.iter().chain(more).collect();
        }
    }
}

impl Serialize for Places {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        self.texts().serialize(serializer)
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use proptest::prelude::*;

    use super::*;

    fn row(file: &str, sheet: Option<&str>, row: u32) -> Place {
        Place {
            file: file.into(),
            spot: Spot::Row {
                sheet: sheet.map(Shared::from),
                row,
            },
        }
    }

    #[test]
    fn rows_of_a_table_stand_together_and_all_else_alone() {
        let places: Places = [
            row("pulls.csv", None, 9),
            Place::whole("photos/a.jpg"),
            row("pulls.csv", None, 2),
            row("weighings.csv", None, 4),
            row("log.xlsx", Some("June"), 2),
            row("pulls.csv", None, 3),
            row("log.xlsx", Some("June"), 3),
            row("pulls.csv", None, 4),
            Place::key("season.toml", "rates"),
            row("log.xlsx", Some("July"), 3),
            row("pulls.csv", None, 9),
        ]
        .into_iter()
        .collect();
        assert_eq!(
            places.texts(),
            [
                "log.xlsx sheet July row 3",
                "log.xlsx sheet June rows 2, 3",
                "photos/a.jpg",
                "pulls.csv rows 2 to 4, 9",
                "season.toml key rates",
                "weighings.csv row 4",
            ]
        );
        assert_eq!(places.len(), 10);
        assert!(Places::default().is_empty());
    }

    fn any_place() -> impl Strategy<Value = Place> {
        let file = prop::sample::select(vec!["a", "b"]);
        let sheet = prop::sample::select(vec![None, Some("s"), Some("t")]);
        let rows = prop_oneof![0_u32..12, (u32::MAX - 3)..=u32::MAX];
        (file, sheet, rows, 0..5).prop_map(|(file, sheet, number, kind)| match kind {
            0 => Place::whole(file),
            1 => Place::line(file, number),
            _ => row(file, sheet, number),
        })
    }

    proptest! {
        /// Held together they are what a set of them would be.
        #[test]
        fn places_are_a_set(one in prop::collection::vec(any_place(), 0..40), more in prop::collection::vec(any_place(), 0..10)) {
            let mut places: Places = one.iter().cloned().collect();
            places.extend(more.iter().cloned());
            let set: BTreeSet<Place> = one.into_iter().chain(more).collect();
            prop_assert_eq!(places.len(), set.len());
            prop_assert!(set.iter().all(|place| places.contains(place)));
            for number in 0..13 {
                let place = row("a", Some("s"), number);
                prop_assert_eq!(places.contains(&place), set.contains(&place));
            }
            prop_assert_eq!(places.iter().collect::<Vec<_>>(), set.into_iter().collect::<Vec<_>>());
        }
    }
}
