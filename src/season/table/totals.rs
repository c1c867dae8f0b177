//! Rows of totals: told from rows of data, and held against the rows that they sum.

use super::Head;
use super::column::Sums;
use super::grid::{Line, Nature};
use crate::season::value::{self, Marks, fold};

/// Words that head a row of totals or of other sums over rows.
const FIRST_WORDS: &[&str] = &["total", "totals", "subtotal", "subtotals", "sum", "sums"];

/// Words that make a row one that sums nothing up and holds no data either.
const OTHER_WORDS: &[&str] = &[
    "average", "averages", "avg", "mean", "median", "min", "max", "minimum", "maximum", "count",
];

/// What a row that is no data is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Summary {
    Totals,
    /// Means, counts and the like.
    Other,
}

/// The words of a label, such as `Season totals:`.
fn label(text: &str) -> Option<Summary> {
    // No label is longer than a line.
    const LONGEST: usize = 80;
    if text.len() > LONGEST {
        return None;
    }
    let words: Vec<String> = text
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(fold)
        .collect();
    let (first, last) = (words.first()?.as_str(), words.last()?.as_str());
    // A sentence that begins with such a word is a note.
    if words.len() > 5 {
        return None;
    }
    if FIRST_WORDS.contains(&first)
        || matches!(last, "total" | "totals" | "subtotal" | "subtotals")
        || first == "sub" && words.get(1).is_some_and(|word| word == "total")
        || first == "grand" && words.get(1).is_some_and(|word| word.starts_with("total"))
    {
        Some(Summary::Totals)
    } else if OTHER_WORDS.contains(&first) && words.len() <= 3 {
        Some(Summary::Other)
    } else {
        None
    }
}

/// A column's running sums over the rows of data.
#[derive(Debug, Clone, Copy, Default)]
struct Running {
    all: f64,
    /// Since the last row of totals.
    since: f64,
    /// Counted once for each pull.
    pulls: f64,
    pulls_since: f64,
}

/// Remembers the sums of the rows that came by.
#[derive(Debug, Default)]
pub(super) struct Sum {
    columns: Vec<Running>,
    pulls: std::collections::BTreeSet<String>,
    pub rows: usize,
    first: Option<u32>,
    first_since: Option<u32>,
    last: u32,
}

/// A total that is none.
pub(super) struct Difference {
    pub column: usize,
    pub found: String,
    pub sum: f64,
}

/// What a row of totals sums up.
pub(super) struct Checked {
    /// Columns in which the row holds a number.
    pub columns: Vec<usize>,
    pub rows: Option<(u32, u32)>,
    pub differences: Vec<Difference>,
}

fn number(line: &Line, column: usize, marks: Marks) -> Option<f64> {
    let cell = line.cell(column)?;
    match cell.nature {
        Nature::Number => cell.text.parse().ok(),
        Nature::Moment => value::duration(&cell.text),
        Nature::Text => value::number(&cell.text, marks)
            .map(|number| number.value)
            .or_else(|| value::duration(&cell.text)),
        Nature::Fault | Nature::Unstored | Nature::Void => None,
    }
}

fn summed(head: &Head, column: usize) -> Sums {
    head.sums.get(column).copied().unwrap_or(Sums::No)
}

impl Sum {
    /// Counts a row of data in.
    pub fn add(&mut self, head: &Head, line: &Line, marks: Marks) {
        self.columns.resize(head.headings.len(), Running::default());
        let pull = head
            .headings
            .iter()
            .position(|heading| heading.column == Some("pull"))
            .and_then(|at| line.cell(at))
            .map(|cell| fold(&cell.text));
        let new = pull.is_none_or(|pull| self.pulls.insert(pull));
        for (column, running) in self.columns.iter_mut().enumerate() {
            if summed(head, column) == Sums::No {
                continue;
            }
            let Some(number) = number(line, column, marks) else {
                continue;
            };
            running.all += number;
            running.since += number;
            if new {
                running.pulls += number;
                running.pulls_since += number;
            }
        }
        self.rows += 1;
        self.first = self.first.or(Some(line.number));
        self.first_since = self.first_since.or(Some(line.number));
        self.last = line.number;
    }

    /// Is the line a row of totals or the like? By its label, by its formulas, or because it sums the rows above without a word.
    pub fn summary(
        &self,
        head: &Head,
        line: &Line,
        musts: &[usize],
        marks: Marks,
    ) -> Option<Summary> {
        let is_date = |at: usize| {
            head.headings
                .get(at)
                .is_some_and(|heading| heading.column == Some("date"))
        };
        // A row with a date is a record, whatever its first word.
        if line.filled().any(|(at, cell)| {
            is_date(at) && label(&cell.text).is_none() && cell.nature != Nature::Unstored
        }) {
            return None;
        }
        let (first, cell) = line.filled().next()?;
        let filled_musts = musts.iter().filter(|at| line.cell(**at).is_some());
        let labels = filled_musts
            .clone()
            .filter_map(|at| Some(label(&line.cell(*at)?.text)))
            .collect::<Vec<_>>();
        let found = label(&cell.text).or_else(|| labels.iter().copied().flatten().next());
        if let Some(summary) = found {
            // A site may be named Total Cove: where the row has all it must have, it is a record.
            let complete = musts.len() > 1
                && musts
                    .iter()
                    .filter(|at| **at != first)
                    .all(|at| line.cell(*at).is_some());
            return (!complete).then_some(summary);
        }
        if musts.iter().any(|at| line.cell(*at).is_some()) || self.rows < 2 {
            return None;
        }
        let mut sums = 0;
        for (column, cell) in line.filled() {
            if summed(head, column) == Sums::No {
                // Words under a column that is read make a row of data.
                if head
                    .headings
                    .get(column)
                    .is_some_and(|heading| heading.column.is_some())
                {
                    return None;
                }
                continue;
            }
            let same = number(line, column, marks).is_some_and(|number| {
                self.candidates(column)
                    .iter()
                    .any(|sum| near(number, *sum, &cell.text))
            });
            if !cell.sums && !same {
                return None;
            }
            sums += 1;
        }
        (sums > 0).then_some(Summary::Totals)
    }

    fn candidates(&self, column: usize) -> [f64; 4] {
        let running = self.columns.get(column).copied().unwrap_or_default();
        [
            running.all,
            running.since,
            running.pulls,
            running.pulls_since,
        ]
    }

    /// Holds a row of totals against the rows above it, and begins a new part after it.
    pub fn check(&mut self, head: &Head, line: &Line, marks: Marks) -> Checked {
        let mut columns = Vec::new();
        let mut differences = Vec::new();
        let mut whole = true;
        for (column, cell) in line.filled() {
            if summed(head, column) == Sums::No {
                continue;
            }
            let Some(total) = number(line, column, marks) else {
                continue;
            };
            columns.push(column);
            let [all, since, pulls, pulls_since] = self.candidates(column);
            let over_all = near(total, all, &cell.text) || near(total, pulls, &cell.text);
            let over_part = near(total, since, &cell.text) || near(total, pulls_since, &cell.text);
            if !over_all && !over_part {
                differences.push(Difference {
                    column,
                    found: cell.text.trim().to_owned(),
                    sum: if self.first == self.first_since {
                        all
                    } else {
                        since
                    },
                });
            }
            whole &= over_all;
        }
        let first = if whole { self.first } else { self.first_since };
        let rows = first.map(|first| (first, self.last));
        for running in &mut self.columns {
            running.since = 0.0;
            running.pulls_since = 0.0;
        }
        self.first_since = None;
        Checked {
            columns,
            rows,
            differences,
        }
    }
}

/// Are a printed total and a sum the same, within half of the total's last figure?
fn near(total: f64, sum: f64, text: &str) -> bool {
    let decimals = text.trim().rsplit_once(['.', ',']).map_or(0, |(_, after)| {
        after.chars().take_while(char::is_ascii_digit).count()
    });
    let step = 10_f64.powi(-i32::try_from(decimals.min(12)).unwrap_or(12));
    // The share allows for the rounding of binary sums.
    (total - sum).abs() <= 0.5 * step + 1e-9 * sum.abs()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_of_totals() {
        for text in [
            "Total",
            "TOTALS:",
            "Season total",
            "Grand total",
            "Sub-total June",
            "Sum",
        ] {
            assert_eq!(label(text), Some(Summary::Totals), "{text}");
        }
        assert_eq!(label("Average"), Some(Summary::Other));
        for text in [
            "",
            "Totalee Cove",
            "P1",
            "Summer",
            "Total of bags is a guess by the crew",
        ] {
            assert_eq!(label(text), None, "{text}");
        }
    }

    #[test]
    fn a_total_is_held_within_its_printed_figures() {
        assert!(near(12.3, 12.34, "12.3"));
        assert!(!near(12.3, 12.36, "12.3"));
        assert!(near(0.3, 0.1 + 0.2, "0.30000000000"));
        assert!(!near(153.0, 150.0, "153"));
        assert!(near(150.0, 150.4, "150"));
    }
}
