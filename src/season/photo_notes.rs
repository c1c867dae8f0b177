//! photos.csv: what people say about photos that the photos can't say themselves.

use std::collections::BTreeMap;
use std::ops::Deref;

use serde::Serialize;

use super::problem::{Problem, ProblemKind};
use super::table::{Column, Row, Taker, each, must, text};
use super::value::DateHabits;
use crate::phrase;

pub const COLUMNS: &[Column] = &[
    must("file", &["photo", "path", "file name"]),
    text("site", &["location"]),
    text("station", &["photo station"]),
    text("role", &["kind"]),
    text("caption", &[]),
    text("consent", &[]),
    text("minors", &["children", "minor"]),
    text("clock_correction", &["clock", "correction"]),
    text("withheld", &[]),
    text("reason", &[]),
    text("pull", &["pull id"]),
    text("plate", &["print"]),
    text("notes", &["note", "remarks", "comments"]),
];

/// What a photo shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Role {
    Before,
    After,
    Catch,
    Crew,
    Disposal,
    Other,
}

pub(super) const ROLES: &[(&str, Role)] = &[
    ("before", Role::Before),
    ("after", Role::After),
    ("catch", Role::Catch),
    ("crew", Role::Crew),
    ("disposal", Role::Disposal),
    ("other", Role::Other),
];

/// May people in the picture be shown?
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Consent {
    Yes,
    No,
    Unknown,
}

pub(super) const CONSENTS: &[(&str, Consent)] = &[
    ("yes", Consent::Yes),
    ("no", Consent::No),
    ("unknown", Consent::Unknown),
];

/// A word about a photo.
#[derive(Debug, Clone, PartialEq)]
pub struct PhotoNote {
    pub row: Row,
    /// Path below the season folder, or below photos/.
    pub file: Option<String>,
    pub site: Option<String>,
    pub station: Option<String>,
    pub role: Option<Role>,
    pub caption: Option<String>,
    pub consent: Option<Consent>,
    /// Are there people under age in the picture?
    pub minors: Option<bool>,
    /// Seconds to add to the camera's time.
    pub clock_correction: Option<i64>,
    pub withheld: bool,
    pub reason: Option<String>,
    pub pull: Option<String>,
    pub plate: Option<bool>,
}

/// All rows in their order, to be asked what they say of a photo.
#[derive(Debug, Clone, Default)]
pub struct PhotoNotes {
    rows: Vec<PhotoNote>,
    /// Numbers of the rows by the file that they name. There may be a row for each of thousands of photos.
    by_file: BTreeMap<String, Vec<usize>>,
}

impl PhotoNotes {
    pub(super) fn of(rows: Vec<PhotoNote>) -> Self {
        let mut by_file: BTreeMap<String, Vec<usize>> = BTreeMap::new();
        for (number, note) in rows.iter().enumerate() {
            if let Some(file) = &note.file {
                by_file.entry(file.clone()).or_default().push(number);
            }
        }
        Self { rows, by_file }
    }

    /// The rows that name a photo by its path below the season folder or below photos/, in their order.
    pub fn on(&self, photo: &str) -> Vec<&PhotoNote> {
        let below = photo.strip_prefix("photos/");
        let names = std::iter::once(photo).chain(below);
        let mut numbers: Vec<usize> = names
            .filter_map(|name| self.by_file.get(name))
            .flatten()
            .copied()
            .collect();
        numbers.sort_unstable();
        let row = |number: usize| self.rows.get(number);
        numbers.into_iter().filter_map(row).collect()
    }

    /// Takes the words for people out of the rows that `which` names; what they name stays.
    pub fn silence(&mut self, which: impl Fn(&PhotoNote) -> bool) {
        for note in self.rows.iter_mut().filter(|note| which(note)) {
            note.caption = None;
            note.reason = None;
        }
    }
}

impl Deref for PhotoNotes {
    type Target = [PhotoNote];

    fn deref(&self) -> &[PhotoNote] {
        &self.rows
    }
}

/// Reads the rows.
pub fn read(rows: &[Row], dates: DateHabits, problems: &mut Vec<Problem>) -> Vec<PhotoNote> {
    each(rows, dates, problems, |take| PhotoNote {
        file: take.needed("file"),
        site: take.text("site"),
        station: take.text("station"),
        role: take.choice("role", ROLES),
        caption: take.text("caption"),
        consent: take.choice("consent", CONSENTS),
        minors: take.yes_or_no("minors"),
        clock_correction: correction(take),
        withheld: take.yes_or_no("withheld").unwrap_or(false),
        reason: take.text("reason"),
        pull: take.text("pull"),
        plate: take.yes_or_no("plate"),
        row: take.row.clone(),
    })
}

/// `3600`, `-45`, `+1:00:00`, `-0:30`.
fn correction(take: &mut Taker<'_>) -> Option<i64> {
    let found = take.text("clock_correction")?;
    let seconds = seconds(&found);
    if seconds.is_none() {
        take.problem(
            "clock_correction",
            ProblemKind::NotANumber {
                found,
                expected: phrase!("seconds, or hours and minutes such as +1:00:00"),
            },
        );
    }
    seconds
}

/// Reads a correction in seconds.
pub fn seconds(text: &str) -> Option<i64> {
    let (sign, rest) = match text.strip_prefix(['-', '−']) {
        Some(rest) => (-1, rest),
        None => (1, text.strip_prefix('+').unwrap_or(text)),
    };
    let parts: Vec<i64> = rest
        .split(':')
        .map(|part| {
            // A year in seconds is far more than any clock is off, and far from overflow.
            part.trim()
                .parse()
                .ok()
                .filter(|part| (0..=31_536_000).contains(part))
        })
        .collect::<Option<_>>()?;
    let total = match parts.as_slice() {
        [seconds] => *seconds,
        [hours, minutes] => hours * 3600 + minutes * 60,
        [hours, minutes, seconds] => hours * 3600 + minutes * 60 + seconds,
        _ => return None,
    };
    Some(sign * total)
}

#[cfg(test)]
mod tests {
    use super::seconds;

    #[test]
    fn corrections_as_seconds_or_clock() {
        assert_eq!(seconds("3600"), Some(3600));
        assert_eq!(seconds("+1:00:00"), Some(3600));
        assert_eq!(seconds("-0:30"), Some(-1800));
        assert_eq!(seconds("an hour"), None);
        assert_eq!(seconds("99999999999999999999"), None);
    }
}
