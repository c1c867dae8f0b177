//! A rule's permanent name, grade and reason, and the few words with which rules make findings.

use super::core::{Finding, Grade, Quote};
use crate::place::Place;
use crate::season::{Row, RowText};
use crate::words::Words;

/// What is always true of a rule, whatever it finds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Rule {
    /// Permanent: season.toml accepts findings by this name.
    pub name: &'static str,
    pub grade: Grade,
    /// What it looks for, in a sentence.
    pub title: &'static str,
    /// Why it matters to a figure.
    pub why: &'static str,
}

/// A rule from its four parts.
pub const fn rule(
    name: &'static str,
    grade: Grade,
    title: &'static str,
    why: &'static str,
) -> Rule {
    Rule {
        name,
        grade,
        title,
        why,
    }
}

impl Rule {
    /// A finding of this rule.
    pub fn at(&self, place: Place, message: Words, mend: Words) -> Finding {
        Finding {
            name: self.name,
            grade: self.grade,
            place,
            also: Vec::new(),
            message,
            why: Words::fixed(self.why),
            mend,
            quote: None,
            stake: None,
            alike: 0,
            accepted: None,
        }
    }

    /// A finding on a row, with the row quoted and one column's cell marked.
    pub fn on(&self, row: &Row, column: Option<&str>, message: Words, mend: Words) -> Finding {
        let place = match column {
            Some(column) => row.cell_place(column),
            None => row.place(),
        };
        self.at(place, message, mend).quoting(&row.quote(column))
    }
}

impl Finding {
    pub fn quoting(mut self, row: &RowText) -> Self {
        self.quote = Some(Box::new(quote(row)));
        self
    }

    pub fn with(mut self, also: impl IntoIterator<Item = Place>) -> Self {
        self.also.extend(also);
        self
    }
}

/// Cells are parted by this in a quoted row.
const BETWEEN_CELLS: &str = ", ";

/// A cell longer than this is cut in a quotation: the start of a note is enough to know it by.
const LONGEST_CELL: usize = 40;

fn quote(row: &RowText) -> Quote {
    let mut text = String::new();
    let mut mark = None;
    for (index, cell) in row.cells.iter().enumerate() {
        if index > 0 {
            text.push_str(BETWEEN_CELLS);
        }
        let start = text.len();
        let plain: String = cell
            .chars()
            .map(|c| if c.is_control() { ' ' } else { c })
            .collect();
        if plain.chars().count() > LONGEST_CELL {
            text.extend(plain.chars().take(LONGEST_CELL));
            text.push('…');
        } else {
            text.push_str(&plain);
        }
        if row.cell == Some(index) {
            mark = Some((start, text.len()));
        }
    }
    Quote { text, mark }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_marked_cell_is_found_in_the_quotation() {
        let quote = quote(&RowText {
            cells: vec!["P1".into(), "2025-07-04".into(), "a\nb".into()],
            cell: Some(1),
        });
        assert_eq!(quote.text, "P1, 2025-07-04, a b");
        let (start, end) = quote.mark.unwrap();
        assert_eq!(&quote.text[start..end], "2025-07-04");
    }
}
