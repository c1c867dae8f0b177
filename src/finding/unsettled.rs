//! Words for what a table leaves open: cells that season.toml can settle in one line, and another table below the first.

use super::core::Grade;
use super::rule::{Rule, rule};
use super::tables::listed;
use crate::place::Place;
use crate::season::TableProblem;
use crate::words;
use crate::words::{Words, number, quoted};

// The name is older than the rule's reach: it was for single figures alone.
const TIME_ROUGH: Rule = rule(
    "time-rough",
    Grade::Doubt,
    "A time with a point may be hours and minutes or an hour and its hundredths.",
    "The hours that follow from start and end would be others.",
);
const TIMES_DECIMAL: Rule = rule(
    "times-decimal",
    Grade::Remark,
    "Times of day are written in hours and decimals.",
    "They are read as such, because another time of the table can be nothing else.",
);
const HOURS_ROUGH: Rule = rule(
    "hours-rough",
    Grade::Doubt,
    "Hours with a point look like hours and minutes.",
    "They are counted as decimal hours; 2.45 for 2 h 45 min is 18 minutes too few for each person.",
);
const COVER_SCALE_UNCLEAR: Rule = rule(
    "cover-scale-unclear",
    Grade::Doubt,
    "Covers are all between 0 and 1, and nothing says whether they are per cent or shares.",
    "They are read as per cent; a share of 0.5 would be a hundred times as much.",
);

const TABLE_BELOW: Rule = rule(
    "table-below",
    Grade::Doubt,
    "A second table stands below the first one in a sheet and may hold records.",
    "It is not read, because its headings are not those of the table; its rows are missing from every figure.",
);
const ROWS_BELOW_TABLE: Rule = rule(
    "rows-below-table",
    Grade::Remark,
    "Rows with headings of their own stand below a table.",
    "They are taken for a summary or a key, and read by nothing.",
);

/// All rules of this theme, for the list of rules.
pub const RULES: &[Rule] = &[
    TIME_ROUGH,
    TIMES_DECIMAL,
    HOURS_ROUGH,
    COVER_SCALE_UNCLEAR,
    TABLE_BELOW,
    ROWS_BELOW_TABLE,
];

/// The other cells that a problem is about.
pub(super) fn also(kind: &TableProblem) -> Option<&[Place]> {
    match kind {
        TableProblem::TimePointUnclear { more, .. }
        | TableProblem::TimesDecimal { more, .. }
        | TableProblem::HoursPointUnclear { more, .. }
        | TableProblem::CoverScale { more, .. } => Some(more),
        _ => None,
    }
}

/// What a problem that stands in several cells says of the others.
fn with_others(message: Words, more: &[Place]) -> Words {
    if more.is_empty() {
        return message;
    }
    let others = words!(
        "So {count:does|do} {count} more {count:cell|cells} under the same heading.",
        count = more.len()
    );
    message.then(" ", others)
}

/// Rule, message and mend, for a problem of this theme.
pub(super) fn word(kind: &TableProblem) -> Option<(Rule, Words, Words)> {
    Some(match kind {
        TableProblem::TimePointUnclear {
            found,
            read_as,
            other,
            more,
        } => (
            TIME_ROUGH,
            with_others(
                match other {
                    Some(other) => words!(
                        "{found} was read as {read_as}; it may be {other}.",
                        found = quoted(found),
                        read_as,
                        other
                    ),
                    None => words!(
                        "{found} was read as {read_as}.",
                        found = quoted(found),
                        read_as
                    ),
                },
                more,
            ),
            words!(
                "Say how times with a point are meant in season.toml, below [dates]: times = \"clock\" (9.25 is 9:25), or times = \"decimal\" (9.25 is 9:15)"
            ),
        ),
        TableProblem::TimesDecimal {
            found,
            read_as,
            more,
        } => (
            TIMES_DECIMAL,
            with_others(
                words!(
                    "{found} was read as {read_as}.",
                    found = quoted(found),
                    read_as
                ),
                more,
            ),
            words!(
                "Nothing, if that is right; season.toml can say otherwise, below [dates]: times = \"clock\""
            ),
        ),
        TableProblem::HoursPointUnclear {
            found,
            read_as,
            other,
            more,
        } => (
            HOURS_ROUGH,
            with_others(
                words!(
                    "{found} was read as {read_as} hours; it may be {other}.",
                    found = quoted(found),
                    read_as = number(read_as),
                    other
                ),
                more,
            ),
            words!(
                "Say how hours with a point are meant in season.toml, below [dates]: hours = \"clock\" (2.30 is 2 h 30 min), or hours = \"decimal\""
            ),
        ),
        TableProblem::CoverScale { found, more } => (
            COVER_SCALE_UNCLEAR,
            with_others(
                words!(
                    "{found} was read as per cent; it may be a share of 1.",
                    found = quoted(found)
                ),
                more,
            ),
            words!(
                "Say which in season.toml, below [units]: cover = \"share\" (0.3 is 30 %), or cover = \"percent\""
            ),
        ),
        TableProblem::TableBelow {
            table,
            headings,
            lacks,
            last,
            may_count,
        } => {
            let last = last.to_string();
            let message = match table {
                Some(table) => words!(
                    "From this row to row {last} stands another table, with the headings of {table}; it is not read.",
                    last,
                    table
                ),
                None => words!(
                    "From this row to row {last} stand rows under other headings ({headings}); they are not read.",
                    last,
                    headings = listed(headings)
                ),
            };
            let mend = match (table, lacks) {
                (Some(table), _) => words!(
                    "If it is the season's, put it into a sheet named {table}, or a file of its own.",
                    table
                ),
                (None, Some(lacks)) => words!(
                    "If they belong to the table above, give them a column headed {lacks}; if they are a summary, nothing.",
                    lacks
                ),
                (None, None) if *may_count => words!(
                    "If they are records, give them the table's headings, or map theirs in season.toml, below [headings]; if they are a summary, nothing."
                ),
                (None, None) => words!("Nothing, if they are only for yourselves."),
            };
            let rule = if *may_count {
                TABLE_BELOW
            } else {
                ROWS_BELOW_TABLE
            };
            (rule, message, mend)
        }
        _ => return None,
    })
}
