//! Typed values out of a row: each cell is read once, and what can't be read becomes a problem.

use std::collections::{BTreeMap, HashMap};
use std::mem::{Discriminant, discriminant};

use super::Row;
use super::grid::Nature;
use super::once::gathered;
use super::points::PointsOf;
use super::trouble::TableProblem;
use crate::phrase;
use crate::season::problem::{Problem, ProblemKind};
use crate::season::value::{self, DateHabits, Marks, fold, nearest};
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
    let points = PointsOf::of(rows);
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
                points: &points,
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
    pub(super) points: &'a PointsOf<'a>,
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

    pub(super) fn table_problem(&mut self, column: &str, kind: TableProblem) {
        self.problem(column, ProblemKind::Table(kind));
    }

    pub(super) fn nature(&self, column: &str) -> Nature {
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
        let number = self.plain_number(column, phrase!("a number"))?;
        if number.unit.is_some() || number.percent {
            self.not_a_number(column, phrase!("a number without a unit"));
            return None;
        }
        Some(number.value)
    }

    /// Per cent, with or without its sign.
    pub fn percent(&mut self, column: &str) -> Option<f64> {
        let number = self.plain_number(column, phrase!("a number"))?;
        if number.unit.is_some() {
            self.not_a_number(column, phrase!("per cent"));
            return None;
        }
        Some(number.value)
    }

    /// A whole number, zero or more.
    pub fn count(&mut self, column: &str) -> Option<u32> {
        let value = self.number(column)?;
        if value.fract() != 0.0 || value > f64::from(u32::MAX) {
            self.not_a_number(column, phrase!("a whole number"));
            return None;
        }
        Some(value as u32)
    }

    /// A quantity in the base unit of its dimension: kilograms, square metres, hours.
    pub fn quantity(&mut self, column: &str) -> Option<f64> {
        if let Some(hours) = self.hours(column) {
            return Some(hours);
        }
        let number = self.plain_number(column, phrase!("a number"))?;
        if number.percent {
            self.not_a_number(column, phrase!("a number"));
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
        if unit == Unit::Hour
            && let Some((hours, other)) = self.points.hours(self.row, column, &text, self.dates)
        {
            if let Some(other) = other {
                self.table_problem(
                    column,
                    TableProblem::HoursPointUnclear {
                        found: text,
                        read_as: hours.to_string(),
                        other: format!("{:.0}:{:02.0}", other.floor(), other.fract() * 60.0),
                        more: Vec::new(),
                    },
                );
            }
            // Marks of other numbers and cells that are texts matter to the reader of numbers.
            let by_clock = self.dates.hours == Some(value::Points::Clock);
            return (by_clock && self.nature(column) != Nature::Moment).then_some(hours);
        }
        let hours = value::duration(&text)?;
        // In a column of minutes 1:30 may be a minute and a half.
        if unit != Unit::Hour && text.contains(':') {
            return None;
        }
        let folded = text.to_lowercase();
        let minutes = folded.contains('m') && !folded.contains('h');
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
