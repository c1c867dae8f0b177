//! Dates and times of day out of a row's cells.

use super::grid::Nature;
use super::moments;
use super::points::{Certainty, Reading};
use super::taker::Taker;
use super::trouble::TableProblem;
use crate::season::problem::ProblemKind;
use crate::season::value::{self, Points};

impl Taker<'_> {
    pub fn date(&mut self, column: &str) -> Option<chrono::NaiveDate> {
        let text = self.row.text(column)?.to_owned();
        if let Some(date) = self.serial_date(column, &text) {
            return Some(date);
        }
        let kind = match value::date(&text, self.dates) {
            Ok(read) => {
                if read.year_filled_in {
                    self.table_problem(
                        column,
                        TableProblem::DatesWithoutYear {
                            found: text.clone(),
                            read_as: read.date.to_string(),
                            more: Vec::new(),
                        },
                    );
                }
                if read.weekday.is_some() {
                    self.table_problem(
                        column,
                        TableProblem::WeekdayDiffers {
                            found: text,
                            is: read.date.format("%A %-d %B %Y").to_string(),
                        },
                    );
                }
                return Some(read.date);
            }
            Err(value::DateFault::NotADate) => ProblemKind::NotADate { found: text },
            Err(value::DateFault::AgainstOrder) => ProblemKind::DateAgainstOrder { found: text },
            Err(value::DateFault::Ambiguous) => ProblemKind::DateAmbiguous {
                found: text,
                shown: None,
                more: Vec::new(),
            },
        };
        self.problem(column, kind);
        None
    }

    /// A date that stands there as the number of its day. A workbook says from when it counts; in a text file the year of the season
    /// has to show it.
    fn serial_date(&mut self, column: &str, text: &str) -> Option<chrono::NaiveDate> {
        // Five figures: from 1927 to 2173, more than any log.
        let days: i64 = text
            .split('.')
            .next()
            .filter(|days| days.len() == 5)?
            .parse()
            .ok()?;
        if !text.bytes().all(|b| b.is_ascii_digit() || b == b'.') {
            return None;
        }
        let in_season = |date: &chrono::NaiveDate| {
            self.dates
                .year
                .is_some_and(|year| chrono::Datelike::year(date) == year)
        };
        let of = |from_1904| moments::day(days, from_1904);
        let (date, from_1904) = if self.nature(column) == Nature::Number {
            let from_1904 = self.row.head.from_1904;
            (of(from_1904)?, from_1904)
        } else {
            match (of(false).filter(in_season), of(true).filter(in_season)) {
                (Some(date), _) => (date, false),
                (None, Some(date)) => (date, true),
                (None, None) => return None,
            }
        };
        self.table_problem(
            column,
            TableProblem::SerialDates {
                found: text.to_owned(),
                read_as: date.to_string(),
                from_1904,
                more: Vec::new(),
            },
        );
        Some(date)
    }

    pub fn time(&mut self, column: &str) -> Option<chrono::NaiveTime> {
        let text = self.row.text(column)?.to_owned();
        if let Some(time) = self.serial_time(column, &text) {
            return Some(time);
        }
        if let Some(read) = self.points.time(self.row, column, &text, self.dates) {
            self.tell_point(column, text, read);
            return Some(read.time);
        }
        let time = value::time(&text);
        if time.is_none() {
            self.problem(column, ProblemKind::NotATime { found: text });
        }
        time
    }

    fn tell_point(&mut self, column: &str, found: String, read: Reading) {
        let read_as = read.time.format("%H:%M").to_string();
        let more = Vec::new();
        match (read.certainty, read.points) {
            (Certainty::Unclear, _) => self.table_problem(
                column,
                TableProblem::TimePointUnclear {
                    found,
                    read_as,
                    other: read.other.map(|other| other.format("%H:%M").to_string()),
                    more,
                },
            ),
            (Certainty::Shown, Points::Decimal) => self.table_problem(
                column,
                TableProblem::TimesDecimal {
                    found,
                    read_as,
                    more,
                },
            ),
            _ => {}
        }
    }

    /// A time that stands there as the part of a day that has gone by.
    fn serial_time(&mut self, column: &str, text: &str) -> Option<chrono::NaiveTime> {
        let (whole, decimals) = text.split_once('.')?;
        let is_number = self.nature(column) == Nature::Number;
        // Three decimals and more are no minutes.
        if whole != "0" || !is_number && decimals.len() < 3 {
            return None;
        }
        let part: f64 = text.parse().ok()?;
        let shown = moments::serial(part, false)?;
        let time = value::time(&shown)?;
        self.table_problem(
            column,
            TableProblem::SerialTimes {
                found: text.to_owned(),
                read_as: shown,
                more: Vec::new(),
            },
        );
        Some(time)
    }
}
