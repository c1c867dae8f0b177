//! Typed values out of a row: each cell is read once, and what can't be read becomes a problem.

use super::Row;
use crate::season::problem::{Problem, ProblemKind};
use crate::season::value::{self, fold, nearest};

/// Reads every row of a table into a record.
pub fn each<T>(
    rows: &[Row],
    order: value::DateOrder,
    problems: &mut Vec<Problem>,
    record: impl Fn(&mut Taker<'_>) -> T,
) -> Vec<T> {
    rows.iter()
        .map(|row| {
            record(&mut Taker {
                row,
                order,
                problems,
            })
        })
        .collect()
}

/// Takes typed values out of a row and notes what can't be read.
pub struct Taker<'a> {
    pub row: &'a Row,
    pub order: value::DateOrder,
    pub problems: &'a mut Vec<Problem>,
}

impl Taker<'_> {
    pub fn problem(&mut self, column: &str, kind: ProblemKind) {
        self.problems.push(Problem {
            place: self.row.cell_place(column),
            kind,
            row: Some(self.row.quote(Some(column))),
        });
    }

    pub fn text(&mut self, column: &str) -> Option<String> {
        self.row.text(column).map(str::to_owned)
    }

    /// A text that must be there.
    pub fn needed(&mut self, column: &'static str) -> Option<String> {
        let text = self.text(column);
        // A column that is not there at all has been told once already.
        if text.is_none() && self.row.has(column) {
            self.problem(column, ProblemKind::ValueMissing { heading: column });
        }
        text
    }

    fn plain_number(&mut self, column: &str, expected: &'static str) -> Option<value::Number> {
        let text = self.row.text(column)?.to_owned();
        let Some(number) = value::number(&text) else {
            self.problem(
                column,
                ProblemKind::NotANumber {
                    found: text,
                    expected,
                },
            );
            return None;
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
        if number.value < 0.0 {
            self.problem(column, ProblemKind::Negative { found: text });
            return None;
        }
        Some(number)
    }

    /// A number without unit, zero or more.
    pub fn number(&mut self, column: &str) -> Option<f64> {
        let number = self.plain_number(column, "a number")?;
        if number.unit.is_some() {
            let found = self.row.text(column).unwrap_or_default().to_owned();
            self.problem(
                column,
                ProblemKind::NotANumber {
                    found,
                    expected: "a number without a unit",
                },
            );
            return None;
        }
        Some(number.value)
    }

    /// A whole number, zero or more.
    pub fn count(&mut self, column: &str) -> Option<u32> {
        let value = self.number(column)?;
        if value.fract() != 0.0 || value > f64::from(u32::MAX) {
            let found = self.row.text(column).unwrap_or_default().to_owned();
            self.problem(
                column,
                ProblemKind::NotANumber {
                    found,
                    expected: "a whole number",
                },
            );
            return None;
        }
        Some(value as u32)
    }

    /// A quantity in the base unit of its dimension: kilograms, square metres, hours.
    pub fn quantity(&mut self, column: &str) -> Option<f64> {
        let number = self.plain_number(column, "a number")?;
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

    pub fn date(&mut self, column: &str) -> Option<chrono::NaiveDate> {
        let text = self.row.text(column)?.to_owned();
        match value::date(&text, self.order) {
            Ok(date) => Some(date),
            Err(value::DateFault::NotADate) => {
                self.problem(column, ProblemKind::NotADate { found: text });
                None
            }
            Err(value::DateFault::Ambiguous) => {
                self.problem(column, ProblemKind::DateAmbiguous { found: text });
                None
            }
        }
    }

    pub fn time(&mut self, column: &str) -> Option<chrono::NaiveTime> {
        let text = self.row.text(column)?.to_owned();
        let time = value::time(&text);
        if time.is_none() {
            self.problem(column, ProblemKind::NotATime { found: text });
        }
        time
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
