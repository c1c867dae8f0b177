//! Whether `9.25` is twenty-five past nine or a quarter past: what a table's other cells show of it.
//!
//! Takes the rows of a table; gives, for its times of day and for each column of hours, what their points part. Where season.toml says it, the
//! cells are not asked.

use std::collections::BTreeMap;

use chrono::NaiveTime;

use super::Row;
use super::grid::Nature;
use crate::season::value::{DateHabits, Points};
use crate::units::Unit;

/// The columns of times of day.
const TIMES: [&str; 2] = ["start", "end"];

/// What is told of a cell with a point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Certainty {
    Sure,
    /// Read so because other cells of the table are.
    Shown,
    /// It may as well be the other.
    Unclear,
}

/// A time with a point in it, as read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Reading {
    pub time: NaiveTime,
    pub points: Points,
    pub certainty: Certainty,
    /// What it would be the other way, if that is a time at all.
    pub other: Option<NaiveTime>,
}

/// What the cells of a table's times, or of one column of hours, show.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(super) struct Shown {
    /// A cell that can't be minutes, such as 9.75.
    decimal: bool,
    /// A cell that nobody would write as a share of an hour, such as 9.20.
    clock: bool,
    /// A part that is no whole quarter of an hour in either way.
    odd: bool,
    /// A single five behind a point: 9.5.
    half: bool,
}

impl Shown {
    fn learn(&mut self, parts: &str) {
        // Fits: never more than four figures.
        let number: u32 = parts.parse().unwrap_or(0);
        match parts.len() {
            1 => {
                self.decimal |= number > 5;
                self.half |= number == 5;
                self.odd |= !matches!(number, 0 | 5);
            }
            2 => {
                self.decimal |= number >= 60;
                // 25 and 50 are quarters of an hour in hundredths, and minutes too.
                self.clock |=
                    number < 60 && number.is_multiple_of(5) && !matches!(number, 0 | 25 | 50);
                self.odd |= !matches!(number, 0 | 25 | 50 | 75);
            }
            _ => self.decimal = true,
        }
    }
}

/// A file, a sheet in it, and the column; of times of day no column, since start and end are written by one hand.
type Key<'a> = (&'a str, Option<&'a str>, Option<&'static str>);

/// What all tables of a reading show.
#[derive(Debug, Default)]
pub(super) struct PointsOf<'a> {
    shown: BTreeMap<Key<'a>, Shown>,
}

/// The key of a column, if it is one of times or of hours.
fn key(row: &Row, at: usize) -> Option<Key<'_>> {
    let heading = row.head.headings.get(at)?;
    let column = heading.column?;
    let of = if TIMES.contains(&column) {
        None
    } else if heading.unit == Some(Unit::Hour) {
        Some(column)
    } else {
        return None;
    };
    Some((row.head.file.as_str(), row.head.sheet.as_deref(), of))
}

impl<'a> PointsOf<'a> {
    pub fn of(rows: &'a [Row]) -> Self {
        let mut all: BTreeMap<Key<'a>, Shown> = BTreeMap::new();
        for row in rows {
            for at in 0..row.head.headings.len() {
                if let Some(key) = key(row, at)
                    && matches!(row.nature(at), Nature::Text | Nature::Number)
                    && let Some((_, parts)) = row.cells.get(at).and_then(|cell| parted(cell))
                {
                    all.entry(key).or_default().learn(parts);
                }
            }
        }
        Self { shown: all }
    }

    fn shown(&self, row: &Row, column: &str) -> Shown {
        row.index(column)
            .and_then(|at| self.shown.get(&key(row, at)?))
            .copied()
            .unwrap_or_default()
    }

    /// Reads a time of day with a point in it; nothing where the text is none, or where its point can't be settled.
    pub fn time(&self, row: &Row, column: &str, text: &str, habits: DateHabits) -> Option<Reading> {
        let (whole, parts) = parted(text)?;
        let (clock, decimal) = (on_the_clock(whole, parts), in_decimals(whole, parts));
        let (points, certainty) = match habits.times {
            Some(points) => (points, Certainty::Sure),
            None => settled(self.shown(row, column), parts),
        };
        let (time, other) = match points {
            Points::Clock => (clock, decimal),
            Points::Decimal => (decimal, clock),
        };
        Some(Reading {
            time: time?,
            points,
            certainty,
            other: other.filter(|other| Some(*other) != time),
        })
    }

    /// Hours with a point in them: how many they are, and how many they may be as well where nothing settles it.
    pub fn hours(
        &self,
        row: &Row,
        column: &str,
        text: &str,
        habits: DateHabits,
    ) -> Option<(f64, Option<f64>)> {
        let (whole, parts) = parted(text)?;
        let decimal: f64 = format!("{whole}.{parts}").parse().ok()?;
        let clock = || -> Option<f64> {
            let minutes = minutes(parts).filter(|minutes| *minutes < 60)?;
            Some(whole.parse::<f64>().ok()? + f64::from(minutes) / 60.0)
        };
        let shown = self.shown(row, column);
        match habits.hours {
            // A column that shows decimals and nothing else is not meant: 3.5 hours of travel beside 2.45 of work.
            Some(Points::Clock) if !shown.clock && (shown.decimal || shown.half) => {
                Some((decimal, None))
            }
            Some(Points::Clock) => Some((clock()?, None)),
            Some(Points::Decimal) => Some((decimal, None)),
            None => {
                let suspect = matches!(parts, "15" | "30" | "45")
                    && shown.clock
                    && !shown.decimal
                    && !shown.half;
                Some((decimal, clock().filter(|_| suspect)))
            }
        }
    }
}

/// How a cell's point is read by what the table shows.
fn settled(shown: Shown, parts: &str) -> (Points, Certainty) {
    let single = parts.len() == 1;
    // 9.0 and 9.00 are nine o'clock in either way.
    if parts.bytes().all(|figure| figure == b'0') {
        return (Points::Clock, Certainty::Sure);
    }
    let mut own = Shown::default();
    own.learn(parts);
    match (shown.decimal, shown.clock) {
        (true, false) => (Points::Decimal, Certainty::Shown),
        (true, true) if own.decimal => (Points::Decimal, Certainty::Unclear),
        // A program that takes 9.30 for a number drops the zero.
        (false, true) if !single => (Points::Clock, Certainty::Sure),
        (_, true) => (Points::Clock, Certainty::Unclear),
        // Nothing but quarters of an hour, and a half that is no ten to ten.
        (false, false) if shown.half && !shown.odd => (Points::Decimal, Certainty::Unclear),
        (false, false) => (Points::Clock, Certainty::Unclear),
    }
}

/// `9.25` as its two parts, figures only.
fn parted(text: &str) -> Option<(&str, &str)> {
    let figures = |part: &str, most: usize| {
        (1..=most).contains(&part.len()) && part.bytes().all(|b| b.is_ascii_digit())
    };
    let (whole, parts) = text.trim().split_once(['.', ','])?;
    // A workbook's third of an hour has as many figures as a double holds.
    (figures(whole, 2) && figures(parts, 17)).then(|| (whole, parts.get(..4).unwrap_or(parts)))
}

/// The minutes that are meant where a point parts hours and minutes: `3` for 30.
fn minutes(parts: &str) -> Option<u32> {
    match parts.len() {
        1 => parts.parse::<u32>().ok().map(|tens| tens * 10),
        2 => parts.parse().ok(),
        _ => None,
    }
}

fn on_the_clock(whole: &str, parts: &str) -> Option<NaiveTime> {
    NaiveTime::from_hms_opt(whole.parse().ok()?, minutes(parts)?, 0)
}

/// To the nearest minute: two decimals of an hour say no more.
fn in_decimals(whole: &str, parts: &str) -> Option<NaiveTime> {
    let hours: f64 = format!("{whole}.{parts}").parse().ok()?;
    // Exact: below a hundred hours.
    let minutes = (hours * 60.0).round() as u32;
    NaiveTime::from_hms_opt(minutes / 60, minutes % 60, 0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(cells: &[&str]) -> Shown {
        let mut shown = Shown::default();
        for cell in cells {
            if let Some((_, parts)) = parted(cell) {
                shown.learn(parts);
            }
        }
        shown
    }

    fn read(cell: &str, cells: &[&str]) -> (String, Certainty) {
        let (whole, parts) = parted(cell).unwrap();
        let (points, certainty) = settled(shown(cells), parts);
        let time = match points {
            Points::Clock => on_the_clock(whole, parts),
            Points::Decimal => in_decimals(whole, parts),
        };
        (time.unwrap().format("%H:%M").to_string(), certainty)
    }

    #[test]
    fn a_point_is_read_as_the_other_cells_show() {
        for (cell, cells, time, certainty) in [
            ("9.25", &["9.25", "12.75"][..], "09:15", Certainty::Shown),
            ("9.5", &["9.5", "11.75"], "09:30", Certainty::Shown),
            ("9.3333333", &["9.3333333"], "09:20", Certainty::Shown),
            ("9.25", &["9.25", "12.40"], "09:25", Certainty::Sure),
            ("9.30", &["9.30"], "09:30", Certainty::Sure),
            ("9.25", &["9.25", "12"], "09:25", Certainty::Unclear),
            ("9.5", &["9.5", "12.25"], "09:30", Certainty::Unclear),
            ("9.5", &["9.5", "12.20"], "09:50", Certainty::Unclear),
            ("9.3", &["9.3"], "09:30", Certainty::Unclear),
            ("9,75", &["9,75", "8.20"], "09:45", Certainty::Unclear),
            ("9.00", &["9.00", "8.75"], "09:00", Certainty::Sure),
        ] {
            assert_eq!(read(cell, cells), (time.to_owned(), certainty), "{cell}");
        }
    }

    #[test]
    fn other_texts_have_no_point() {
        for text in ["9", "9:30", "9.30 am", "123.5", ".5", "9.", "1.2.3", "-9.5"] {
            assert_eq!(parted(text), None, "{text}");
        }
    }
}
