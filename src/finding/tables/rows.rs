//! Words for rows that are no data, or stand for several: titles between the rows, totals, merged cells, cells far away.
//!
//! Takes a problem, gives its rule, message and mend where it is one of rows. Must not sum anything again.

use super::phrases::{NOTHING_IF_SO, listed};
use crate::finding::core::Grade;
use crate::finding::rule::{Rule, rule};
use crate::season::TableProblem;
use crate::words;
use crate::words::{Words, quoted};

pub const WORD_BETWEEN_ROWS: Rule = rule(
    "word-between-rows",
    Grade::Remark,
    "A row of a table holds a single word or sentence.",
    "It is taken for a heading or a note between the rows, and left out.",
);
pub const TOTALS_ROW: Rule = rule(
    "totals-row",
    Grade::Remark,
    "A row of a table holds totals or other sums over its rows.",
    "It is left out; counted as data it would double every figure.",
);
pub const TOTAL_DIFFERS: Rule = rule(
    "total-differs",
    Grade::Doubt,
    "A total is not the sum of its rows.",
    "Either a row is missing or wrong, or the sum is; the figures follow the rows.",
);
pub const CELL_MERGED_DOWN: Rule = rule(
    "cell-merged-down",
    Grade::Remark,
    "A cell is merged over several rows.",
    "Its value is read for each of these rows.",
);
pub const AMOUNT_MERGED: Rule = rule(
    "amount-merged",
    Grade::Doubt,
    "An amount is merged over several rows.",
    "It is counted once, in the first of the rows; if each row had as much, the sums are too small.",
);
pub const CELL_FAR_AWAY: Rule = rule(
    "cell-far-away",
    Grade::Remark,
    "A cell far to the right of the table holds something.",
    "It is archived and read by nothing.",
);
pub const AMOUNT_OF_SEVERAL_KINDS: Rule = rule(
    "amount-of-several-kinds",
    Grade::Doubt,
    "A row counts containers of several kinds and gives one amount for all.",
    "The amount is counted with the first kind, and the others are converted beside it.",
);

/// Rule, message and mend of a problem of this theme.
pub fn word(kind: &TableProblem) -> Option<(Rule, Words, Words)> {
    Some(match kind {
        TableProblem::LoneCell { found } => (
            WORD_BETWEEN_ROWS,
            words!(
                "The row holds nothing but {found} and is left out.",
                found = quoted(found)
            ),
            words!(
                "Nothing, if it is a heading or a note; fill in the row if it is one of the table."
            ),
        ),
        TableProblem::Totals {
            columns,
            rows: summed,
        } => (
            TOTALS_ROW,
            match (columns.is_empty(), summed) {
                (false, Some((first, last))) => words!(
                    "The row holds the totals of rows {first} to {last} ({columns}) and is left out.",
                    first = first.to_string(),
                    last = last.to_string(),
                    columns = listed(columns)
                ),
                (false, None) => words!(
                    "The row holds totals ({columns}) and is left out.",
                    columns = listed(columns)
                ),
                _ => words!("The row holds no data of its own and is left out."),
            },
            Words::fixed(NOTHING_IF_SO),
        ),
        TableProblem::TotalDiffers {
            heading,
            found,
            sum,
        } => (
            TOTAL_DIFFERS,
            words!(
                "The total under {heading} is {found}; the rows above it sum to {sum}.",
                heading,
                found,
                sum
            ),
            words!(
                "Look for a row that was left out or mistyped; if the total is wrong, take it out or sum anew."
            ),
        ),
        TableProblem::MergedFilled { heading, regions } => (
            CELL_MERGED_DOWN,
            words!(
                "Under {heading} {regions} {number:is|are} merged; the value was read for each of the rows.",
                heading,
                regions = listed(regions),
                number = regions.len()
            ),
            Words::fixed(NOTHING_IF_SO),
        ),
        TableProblem::MergedAmount {
            heading,
            found,
            region,
        } => (
            AMOUNT_MERGED,
            words!(
                "{found} under {heading} is merged over {region}; it was counted once.",
                found = quoted(found),
                heading,
                region
            ),
            words!(
                "Split the cell and write into each row what belongs to it; accept the finding if it is the sum of the rows."
            ),
        ),
        TableProblem::FarCell { cell, cells } => (
            CELL_FAR_AWAY,
            match cells {
                1 => words!(
                    "A cell stands in this row from {cell} on; no table reaches so far.",
                    cell
                ),
                cells => words!(
                    "{cells} cells stand in this row from {cell} on; no table reaches so far.",
                    cells = *cells,
                    cell
                ),
            },
            words!("Empty it, if nothing is meant by it."),
        ),
        TableProblem::AmountOfKinds { heading } => (
            AMOUNT_OF_SEVERAL_KINDS,
            words!(
                "The row counts several kinds of container; what stands under {heading} was counted with the first kind alone.",
                heading
            ),
            words!("Write a row for each kind, with its own amount."),
        ),
        _ => return None,
    })
}
