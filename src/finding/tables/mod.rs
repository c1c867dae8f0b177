//! Words for what the reading of tables took for granted, left out or could not settle: one rule for each.
//!
//! Takes a problem of a table, gives its rule, message and mend: of its `headings`, its `files` and sheets, its `rows`, its `cells`. Must not
//! judge what was read; the other themes do.

mod cells;
mod files;
mod headings;
mod phrases;
mod rows;

pub(super) use phrases::{and_more, key, listed};

use super::rule::Rule;
use crate::place::Place;
use crate::season::TableProblem;
use crate::words::Words;

/// All rules of this theme, in the order in which the list of rules has them.
pub const RULES: &[Rule] = &[
    headings::ROWS_ABOVE_HEADINGS,
    headings::UNITS_BELOW_HEADINGS,
    headings::HEADING_JOINED,
    headings::HEADING_GROUPED,
    headings::HEADING_AMBIGUOUS,
    headings::HEADINGS_AGAIN,
    rows::WORD_BETWEEN_ROWS,
    rows::TOTALS_ROW,
    rows::TOTAL_DIFFERS,
    rows::CELL_MERGED_DOWN,
    rows::AMOUNT_MERGED,
    cells::FORMULA_ERROR,
    cells::FORMULA_WITHOUT_VALUE,
    headings::COLUMN_WITHOUT_HEADING,
    rows::CELL_FAR_AWAY,
    files::TABLE_TOO_LARGE,
    files::SHEET_NOT_READ,
    files::SHEET_NEARLY_FITS,
    files::SHEETS_JOINED,
    files::SHEET_HIDDEN,
    files::ROWS_IN_TWO_SHEETS,
    files::TABLE_IN_WORKBOOK,
    files::TABLE_ELSEWHERE,
    files::TABLE_FORMAT_UNREADABLE,
    files::QUOTE_OPEN,
    cells::NUMBER_AS_TEXT,
    cells::LETTER_IN_NUMBER,
    cells::NUMBER_MARK_AMBIGUOUS,
    cells::NUMBER_TURNED_DATE,
    cells::DATE_SERIAL,
    cells::TIME_SERIAL,
    cells::DATE_WITHOUT_YEAR,
    cells::WEEKDAY_DIFFERS,
    cells::HOURS_CONVERTED,
    headings::KIND_FROM_HEADING,
    rows::AMOUNT_OF_SEVERAL_KINDS,
    cells::PATH_SPELT_OTHERWISE,
    cells::PATH_AMBIGUOUS,
];

/// The other places that belong to a problem.
pub(super) fn also(kind: &TableProblem) -> &[Place] {
    match kind {
        TableProblem::NumbersAsText { more, .. }
        | TableProblem::SerialDates { more, .. }
        | TableProblem::SerialTimes { more, .. }
        | TableProblem::DatesWithoutYear { more, .. }
        | TableProblem::RowsInTwoSheets { there: more, .. } => more,
        _ => &[],
    }
}

/// Rule, message and mend.
pub(super) fn word(kind: &TableProblem) -> (Rule, Words, Words) {
    headings::word(kind)
        .or_else(|| files::word(kind))
        .or_else(|| rows::word(kind))
        .or_else(|| cells::word(kind))
        // All others have been worded by `unsettled`.
        .unwrap_or_else(|| (rows::WORD_BETWEEN_ROWS, Words::default(), Words::default()))
}
