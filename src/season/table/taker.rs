//! Typed values out of a row: each cell is read once, and what can't be read becomes a problem.

use std::collections::{BTreeMap, HashMap};
use std::mem::{Discriminant, discriminant};

use super::Row;
use super::grid::Nature;
use super::moments;
use super::trouble::TableProblem;
use crate::place::Place;
use crate::season::problem::{Problem, ProblemKind};
use crate::season::value::{self, DateHabits, DateOrder, Marks, fold, nearest};
use crate::units::{Dimension, Unit};

/// Problems of one kind that a table may give: a thousand equal ones tell no more than the first few hundred, and it bounds memory.
const MOST_OF_A_KIND: usize = 500;

/// Reads every row of a table into a record.
pub fn each<T>(
    rows: &[Row],
    dates: DateHabits,
    problems: &mut Vec<Problem>,
    record: impl Fn(&mut Taker<'_>) -> T,
) -> Vec<T> {
    let mut found = Vec::new();
    let mut counts = HashMap::new();
    let marks = marks_by_sheet(rows);
    let records = rows
        .iter()
        .map(|row| {
            let marks = marks
                .get(&(row.head.file.as_str(), row.head.sheet.as_deref()))
                .copied()
                .unwrap_or_default();
            record(&mut Taker {
                row,
                dates,
                marks,
                problems: &mut found,
                counts: &mut counts,
            })
        })
        .collect();
    problems.extend(gathered(found, rows));
    records
}

fn marks_by_sheet(rows: &[Row]) -> BTreeMap<(&str, Option<&str>), Marks> {
    let mut all: BTreeMap<(&str, Option<&str>), Marks> = BTreeMap::new();
    for row in rows {
        let marks = all
            .entry((row.head.file.as_str(), row.head.sheet.as_deref()))
            .or_default();
        for (at, heading) in row.head.headings.iter().enumerate() {
            if row.head.is_number(at, heading)
                && row.nature(at) == Nature::Text
                && let Some(cell) = row.cells.get(at)
            {
                marks.learn(cell);
            }
        }
    }
    all
}

/// Joins problems that hold for a whole column, so that one slip is told once.
fn gathered(found: Vec<Problem>, rows: &[Row]) -> Vec<Problem> {
    let mut kept: Vec<Problem> = Vec::new();
    let mut first_of: BTreeMap<(OnceAColumn, Place), usize> = BTreeMap::new();
    for problem in found {
        let Some(which) = OnceAColumn::of(&problem.kind) else {
            kept.push(problem);
            continue;
        };
        let key = (which, column_of(&problem.place));
        match first_of.get(&key).and_then(|at| kept.get_mut(*at)) {
            Some(first) => {
                if let Some(more) = more_of(&mut first.kind) {
                    more.push(problem.place);
                }
            }
            None => {
                first_of.insert(key, kept.len());
                kept.push(problem);
            }
        }
    }
    let mut shown_in: BTreeMap<Place, Option<(DateOrder, String)>> = BTreeMap::new();
    for problem in &mut kept {
        if let ProblemKind::DateAmbiguous { shown, .. } = &mut problem.kind {
            *shown = shown_in
                .entry(column_of(&problem.place))
                .or_insert_with(|| shown_by(rows, &problem.place))
                .clone();
        }
    }
    kept
}

/// The kinds of problem that are told once a column.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum OnceAColumn {
    AsText,
    Serial,
    SerialTime,
    YearMissing,
}

impl OnceAColumn {
    fn of(kind: &ProblemKind) -> Option<Self> {
        match kind {
            ProblemKind::Table(TableProblem::NumbersAsText { .. }) => Some(Self::AsText),
            ProblemKind::Table(TableProblem::SerialDates { .. }) => Some(Self::Serial),
            ProblemKind::Table(TableProblem::SerialTimes { .. }) => Some(Self::SerialTime),
            ProblemKind::Table(TableProblem::DatesWithoutYear { .. }) => Some(Self::YearMissing),
            _ => None,
        }
    }
}

fn more_of(kind: &mut ProblemKind) -> Option<&mut Vec<Place>> {
    match kind {
        ProblemKind::Table(
            TableProblem::NumbersAsText { more, .. }
            | TableProblem::SerialDates { more, .. }
            | TableProblem::SerialTimes { more, .. }
            | TableProblem::DatesWithoutYear { more, .. },
        ) => Some(more),
        _ => None,
    }
}

/// A cell's place without its row.
fn column_of(place: &Place) -> Place {
    let mut place = place.clone();
    if let crate::place::Spot::Cell { row, .. } = &mut place.spot {
        *row = 0;
    }
    place
}

/// The order that other dates of the column show, where they all show the same, with an example.
fn shown_by(rows: &[Row], place: &Place) -> Option<(DateOrder, String)> {
    let column = column_of(place);
    let mut shown: Option<(DateOrder, String)> = None;
    for row in rows {
        for (at, heading) in row.head.headings.iter().enumerate() {
            if heading.column.is_none() || column_of(&super::cell_place(&row.head, 0, at)) != column
            {
                continue;
            }
            let Some(text) = row.cells.get(at) else {
                continue;
            };
            let Some(order) = value::shown_order(text) else {
                continue;
            };
            match &shown {
                Some((other, _)) if *other != order => return None,
                Some(_) => {}
                None => shown = Some((order, text.trim().to_owned())),
            }
        }
    }
    shown
}

/// A kind of problem, whatever it holds.
type KindKey = (
    Discriminant<ProblemKind>,
    Option<Discriminant<TableProblem>>,
);

fn key_of(kind: &ProblemKind) -> KindKey {
    let of_table = match kind {
        ProblemKind::Table(kind) => Some(discriminant(kind)),
        _ => None,
    };
    (discriminant(kind), of_table)
}

/// Takes typed values out of a row and notes what can't be read.
pub struct Taker<'a> {
    pub row: &'a Row,
    pub dates: DateHabits,
    pub marks: Marks,
    pub problems: &'a mut Vec<Problem>,
    /// How many problems of each kind there are already. Looked up only, never gone through.
    counts: &'a mut HashMap<KindKey, usize>,
}

impl Taker<'_> {
    pub fn problem(&mut self, column: &str, kind: ProblemKind) {
        let count = self.counts.entry(key_of(&kind)).or_insert(0);
        *count += 1;
        if *count > MOST_OF_A_KIND {
            return;
        }
        self.problems.push(Problem {
            place: self.row.cell_place(column),
            kind,
            row: Some(self.row.quote(Some(column))),
        });
    }

    fn table_problem(&mut self, column: &str, kind: TableProblem) {
        self.problem(column, ProblemKind::Table(kind));
    }

    fn nature(&self, column: &str) -> Nature {
        self.row
            .index(column)
            .map_or(Nature::Text, |index| self.row.nature(index))
    }

    pub fn text(&mut self, column: &str) -> Option<String> {
        self.row.text(column).map(str::to_owned)
    }

    /// A text that must be there.
    pub fn needed(&mut self, column: &'static str) -> Option<String> {
        let text = self.text(column);
        // A column that is not there at all has been told once already, and so has a formula without value.
        if text.is_none() && self.row.has(column) && !self.row.is_told(column) {
            self.problem(column, ProblemKind::ValueMissing { heading: column });
        }
        text
    }

    fn plain_number(&mut self, column: &str, expected: &'static str) -> Option<value::Number> {
        let text = self.row.text(column)?.to_owned();
        let nature = self.nature(column);
        if nature == Nature::Number
            && let Ok(value) = text.parse()
        {
            return self.not_negative(
                column,
                text,
                value::Number {
                    value,
                    unit: None,
                    doubtful: false,
                    percent: false,
                    other: None,
                },
            );
        }
        let number = match value::number(&text, self.marks) {
            Some(number) => number,
            None => {
                if nature == Nature::Moment {
                    self.table_problem(column, TableProblem::NumberTurnedDate { found: text });
                    return None;
                }
                let meant = value::without_letters(&text)
                    .and_then(|meant| Some((value::number(&meant, self.marks)?, meant)));
                let Some((number, meant)) = meant else {
                    self.problem(
                        column,
                        ProblemKind::NotANumber {
                            found: text,
                            expected,
                        },
                    );
                    return None;
                };
                self.table_problem(
                    column,
                    TableProblem::LetterInNumber {
                        found: text.clone(),
                        read_as: meant,
                    },
                );
                number
            }
        };
        if number.doubtful {
            self.problem(
                column,
                ProblemKind::NumberDoubtful {
                    found: text.clone(),
                    read_as: number.value.to_string(),
                },
            );
        }
        if let Some(other) = number.other {
            self.table_problem(
                column,
                TableProblem::MarkAmbiguous {
                    found: text.clone(),
                    read_as: number.value.to_string(),
                    other: other.to_string(),
                },
            );
        }
        // In a workbook a number is no text, unless somebody's program made it one.
        let figures = text
            .bytes()
            .all(|byte| byte.is_ascii_digit() || matches!(byte, b'.' | b','));
        if self.row.head.sheet.is_some() && nature == Nature::Text && figures {
            let heading = column.to_owned();
            self.table_problem(
                column,
                TableProblem::NumbersAsText {
                    heading,
                    more: Vec::new(),
                },
            );
        }
        self.not_negative(column, text, number)
    }

    fn not_negative(
        &mut self,
        column: &str,
        text: String,
        number: value::Number,
    ) -> Option<value::Number> {
        if number.value < 0.0 {
            self.problem(column, ProblemKind::Negative { found: text });
            return None;
        }
        Some(number)
    }

    fn not_a_number(&mut self, column: &str, expected: &'static str) {
        let found = self.row.text(column).unwrap_or_default().to_owned();
        self.problem(column, ProblemKind::NotANumber { found, expected });
    }

    /// A number without unit, zero or more.
    pub fn number(&mut self, column: &str) -> Option<f64> {
        let number = self.plain_number(column, "a number")?;
        if number.unit.is_some() || number.percent {
            self.not_a_number(column, "a number without a unit");
            return None;
        }
        Some(number.value)
    }

    /// Per cent, with or without its sign.
    pub fn percent(&mut self, column: &str) -> Option<f64> {
        let number = self.plain_number(column, "a number")?;
        if number.unit.is_some() {
            self.not_a_number(column, "per cent");
            return None;
        }
        Some(number.value)
    }

    /// A whole number, zero or more.
    pub fn count(&mut self, column: &str) -> Option<u32> {
        let value = self.number(column)?;
        if value.fract() != 0.0 || value > f64::from(u32::MAX) {
            self.not_a_number(column, "a whole number");
            return None;
        }
        Some(value as u32)
    }

    /// A quantity in the base unit of its dimension: kilograms, square metres, hours.
    pub fn quantity(&mut self, column: &str) -> Option<f64> {
        if let Some(hours) = self.hours(column) {
            return Some(hours);
        }
        let number = self.plain_number(column, "a number")?;
        if number.percent {
            self.not_a_number(column, "a number");
            return None;
        }
        // Without a unit the heading has been reported already; a guessed factor would be worse than none.
        let column_unit = self.row.unit(column)?;
        let unit = match number.unit {
            Some(unit) if unit.dimension() != column_unit.dimension() => {
                self.problem(
                    column,
                    ProblemKind::UnitUnknown {
                        unit: unit.symbol().to_owned(),
                        dimension: column_unit.dimension(),
                    },
                );
                return None;
            }
            Some(unit) => {
                if unit != column_unit {
                    self.problem(
                        column,
                        ProblemKind::UnitsMixed {
                            found: unit.symbol().to_owned(),
                            column: column_unit.symbol().to_owned(),
                        },
                    );
                }
                unit
            }
            None => column_unit,
        };
        Some(number.value * unit.factor())
    }

    /// A duration such as `1:30` or `90 min` in a column of hours. Numbers are left to the reader of numbers.
    fn hours(&mut self, column: &str) -> Option<f64> {
        let unit = self.row.unit(column)?;
        if unit.dimension() != Dimension::Time {
            return None;
        }
        let text = self.row.text(column)?.to_owned();
        let hours = value::duration(&text)?;
        // In a column of minutes 1:30 may be a minute and a half.
        if unit != Unit::Hour && text.contains(':') {
            return None;
        }
        let minutes = text.to_lowercase().contains('m');
        if minutes && unit == Unit::Hour {
            self.table_problem(
                column,
                TableProblem::HoursConverted {
                    found: text,
                    read_as: format!("{hours} h"),
                },
            );
        }
        Some(hours)
    }

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
        let Some(read) = value::time(&text) else {
            self.problem(column, ProblemKind::NotATime { found: text });
            return None;
        };
        if read.rough {
            self.table_problem(
                column,
                TableProblem::TimeRough {
                    found: text,
                    read_as: read.time.format("%H:%M").to_string(),
                },
            );
        }
        Some(read.time)
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
        let time = value::time(&shown)?.time;
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

    pub fn yes_or_no(&mut self, column: &str) -> Option<bool> {
        let text = self.row.text(column)?.to_owned();
        let answer = value::yes_or_no(&text);
        if answer.is_none() {
            self.problem(column, ProblemKind::NotYesOrNo { found: text });
        }
        answer
    }

    /// One of a few words.
    pub fn choice<T: Copy>(&mut self, column: &str, choices: &[(&str, T)]) -> Option<T> {
        let text = self.row.text(column)?.to_owned();
        let folded = fold(&text);
        let chosen = choices
            .iter()
            .find(|(word, _)| fold(word) == folded)
            .map(|(_, choice)| *choice);
        if chosen.is_none() {
            let kind = ProblemKind::NotAChoice {
                nearest: nearest(&text, choices.iter().map(|(word, _)| *word)).map(str::to_owned),
                found: text,
                choices: choices
                    .iter()
                    .map(|(word, _)| *word)
                    .collect::<Vec<_>>()
                    .join(", "),
            };
            self.problem(column, kind);
        }
        chosen
    }
}
