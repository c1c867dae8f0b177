//! Words for how the headings of a table were understood: what stands above, below and among them.
//!
//! Takes a problem, gives its rule, message and mend where it is one of headings. Must not decide what a heading means: that is
//! the season room's.

use super::phrases::{NOTHING_IF_SO, key, listed, one_of};
use crate::finding::core::Grade;
use crate::finding::rule::{Rule, rule};
use crate::season::TableProblem;
use crate::words;
use crate::words::{Words, quoted};

pub const ROWS_ABOVE_HEADINGS: Rule = rule(
    "rows-above-headings",
    Grade::Remark,
    "Rows stand above the headings of a table.",
    "They are taken for a title and read by nothing.",
);
pub const UNITS_BELOW_HEADINGS: Rule = rule(
    "units-below-headings",
    Grade::Remark,
    "The units of a table stand in a row of their own below its headings.",
    "They are read with the headings; the row counts as no data.",
);
pub const HEADING_JOINED: Rule = rule(
    "heading-joined",
    Grade::Remark,
    "A heading was read together with the merged cell above it.",
    "By itself it would mean another column.",
);
pub const HEADING_GROUPED: Rule = rule(
    "heading-grouped",
    Grade::Doubt,
    "A merged cell stands above a heading and may change what it means.",
    "Hours could be read as heads, or one area as another.",
);
pub const HEADING_AMBIGUOUS: Rule = rule(
    "heading-ambiguous",
    Grade::Doubt,
    "A heading may mean one of several columns.",
    "The column is not read: paid hours taken for volunteers' hours would count as a gift.",
);
pub const HEADINGS_AGAIN: Rule = rule(
    "headings-again",
    Grade::Remark,
    "The headings come again further down in the table.",
    "The row is taken for headings and not for data.",
);
pub const COLUMN_WITHOUT_HEADING: Rule = rule(
    "column-without-heading",
    Grade::Remark,
    "A column holds something and has no heading.",
    "The column is archived and read by nothing.",
);
pub const KIND_FROM_HEADING: Rule = rule(
    "kind-from-heading",
    Grade::Remark,
    "The kind of container was taken from a heading.",
    "Every number below it counts containers of that kind.",
);

/// The lines of season.toml of which one is to be chosen.
fn line_for_each(heading: &str, columns: &[&str]) -> Words {
    let mut lines = columns
        .iter()
        .map(|column| Words::own(format!("{} = \"{column}\"", key(heading))));
    let first = lines.next().unwrap_or_default();
    lines.fold(first, |one, other| words!("{one}, or {other}", one, other))
}

/// Rule, message and mend of a problem of this theme.
pub fn word(kind: &TableProblem) -> Option<(Rule, Words, Words)> {
    Some(match kind {
        TableProblem::AboveHeadings { lines, first } => (
            ROWS_ABOVE_HEADINGS,
            words!(
                "{number:Row|Rows} {lines} above the headings {number:is|are} left out; the first says {first}.",
                number = lines.len(),
                lines = listed(lines),
                first = quoted(first)
            ),
            Words::fixed(NOTHING_IF_SO),
        ),
        TableProblem::UnitsBelow { row } => (
            UNITS_BELOW_HEADINGS,
            words!(
                "Row {row} holds nothing but units; they were read with the headings above.",
                row = row.to_string()
            ),
            Words::fixed(NOTHING_IF_SO),
        ),
        TableProblem::Grouped {
            heading,
            group,
            read_as: Some(column),
        } => (
            HEADING_JOINED,
            words!(
                "{heading} below {group} was read as {column}.",
                heading = quoted(heading),
                group = quoted(group),
                column
            ),
            Words::fixed(NOTHING_IF_SO),
        ),
        TableProblem::Grouped { heading, group, .. } => (
            HEADING_GROUPED,
            words!(
                "{heading} stands below {group} and was read without it.",
                heading = quoted(heading),
                group = quoted(group)
            ),
            words!(
                "Write the whole heading into one cell, or accept the finding if the upper word changes nothing."
            ),
        ),
        TableProblem::HeadingOneOf { heading, columns } => (
            HEADING_AMBIGUOUS,
            words!(
                "The heading {heading} may mean {columns}; the column is not read.",
                heading = quoted(heading),
                columns = one_of(columns)
            ),
            words!(
                "Add to season.toml, below [headings], the one that is meant: {lines}",
                lines = line_for_each(heading, columns)
            ),
        ),
        TableProblem::NoHeading { column, cells } => (
            COLUMN_WITHOUT_HEADING,
            words!(
                "Column {column} has no heading and holds {cells} {cells:cell|cells}.",
                column,
                cells = *cells
            ),
            words!("Head the column if it is part of the table; otherwise nothing."),
        ),
        TableProblem::KindFromHeading { heading, kind } => (
            KIND_FROM_HEADING,
            words!(
                "The column {heading} was read as containers of the kind {kind}.",
                heading = quoted(heading),
                kind
            ),
            words!(
                "Nothing, if that is right; a column headed container with the kind in each row says it too."
            ),
        ),
        TableProblem::HeadingsAgain => (
            HEADINGS_AGAIN,
            words!("The row holds headings, not data; the rows below it were read under them."),
            Words::fixed(NOTHING_IF_SO),
        ),
        _ => return None,
    })
}
