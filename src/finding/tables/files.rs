//! Words for which files and sheets make up a table, which were left out, and which ended too soon.
//!
//! Takes a problem, gives its rule, message and mend where it is one of files or sheets. Must not look into a file.

use super::phrases::{NOTHING_IF_SO, key, listed};
use crate::finding::core::Grade;
use crate::finding::rule::{Rule, rule};
use crate::season::TableProblem;
use crate::words;
use crate::words::{Words, quoted};

pub const TABLE_TOO_LARGE: Rule = rule(
    "table-too-large",
    Grade::Error,
    "A table is larger than any season's, and was not read to its end.",
    "What was not read is missing from the figures.",
);
pub const SHEET_NOT_READ: Rule = rule(
    "sheet-not-read",
    Grade::Remark,
    "A sheet of a workbook is no table that windrow knows.",
    "It is archived and read by nothing.",
);
pub const SHEET_NEARLY_FITS: Rule = rule(
    "sheet-nearly-fits",
    Grade::Doubt,
    "A sheet lacks one heading to be part of a table.",
    "It is not read; if it is a part of the log, its rows are missing from every figure.",
);
pub const SHEETS_JOINED: Rule = rule(
    "sheets-joined",
    Grade::Remark,
    "Several sheets make up a table.",
    "All their rows count.",
);
pub const SHEET_HIDDEN: Rule = rule(
    "sheet-hidden",
    Grade::Doubt,
    "A hidden sheet was read.",
    "If it is an old copy, its rows count twice.",
);
pub const ROWS_IN_TWO_SHEETS: Rule = rule(
    "rows-in-two-sheets",
    Grade::Doubt,
    "The same rows stand in two sheets of a table.",
    "They count twice.",
);
pub const TABLE_IN_WORKBOOK: Rule = rule(
    "table-in-workbook",
    Grade::Remark,
    "A table was read from a sheet of its name in a workbook of another name.",
    "If it also stands elsewhere, this is the one that counts.",
);
pub const TABLE_ELSEWHERE: Rule = rule(
    "table-elsewhere",
    Grade::Doubt,
    "A table is missing, and a file of another name has its headings.",
    "The file is not read, so its rows are missing from every figure.",
);
pub const TABLE_FORMAT_UNREADABLE: Rule = rule(
    "table-format-unreadable",
    Grade::Error,
    "A table is there in a format that can't be read.",
    "Everything in it is missing from the figures.",
);
pub const QUOTE_OPEN: Rule = rule(
    "quote-open",
    Grade::Error,
    "A quotation mark in a text table is never closed.",
    "All that follows it is read as one cell, so rows are missing from the figures.",
);

/// Rule, message and mend of a problem of this theme.
pub fn word(kind: &TableProblem) -> Option<(Rule, Words, Words)> {
    Some(match kind {
        TableProblem::SheetsNotRead { sheets } => (
            SHEET_NOT_READ,
            words!(
                "The {number:sheet|sheets} {sheets} {number:is|are} not read: {number:it has|they have} the headings of no table.",
                number = sheets.len(),
                sheets = listed(sheets)
            ),
            words!(
                "Nothing, if they are only for yourselves; a sheet that is named for a table, such as weighings, is read as that table."
            ),
        ),
        TableProblem::SheetNearly { missing, unknown } => (
            SHEET_NEARLY_FITS,
            words!(
                "The sheet has no heading {missing} and was not read.",
                missing = listed(missing)
            ),
            match (unknown.as_slice(), missing.as_slice()) {
                ([theirs], [ours]) => words!(
                    "If it is a summary, accept the finding; if it belongs to the table and {theirs} is the {ours}, add to season.toml, below [headings]: {line}",
                    theirs = quoted(theirs),
                    ours = *ours,
                    line = format!("{} = \"{ours}\"", key(theirs))
                ),
                _ => words!(
                    "If it belongs to the table, head the column {missing}; if it is a summary, accept the finding.",
                    missing = listed(missing)
                ),
            },
        ),
        TableProblem::SheetsJoined {
            sheets,
            rows: number,
        } => (
            SHEETS_JOINED,
            words!(
                "The table was read from the sheets {sheets}: {number} {number:row|rows} in all.",
                sheets = listed(sheets),
                number = *number
            ),
            Words::fixed(NOTHING_IF_SO),
        ),
        TableProblem::SheetHidden => (
            SHEET_HIDDEN,
            words!("The sheet is hidden in the workbook, and its rows were read."),
            words!(
                "Take the sheet out of the workbook if it is an old copy; show it, or accept the finding, if it counts."
            ),
        ),
        TableProblem::RowsInTwoSheets {
            other,
            rows: numbers,
            ..
        } => (
            ROWS_IN_TWO_SHEETS,
            words!(
                "The {number:row|rows} {rows} {number:stands|stand} in the sheet {other} too.",
                number = numbers.len(),
                rows = listed(numbers),
                other
            ),
            words!("Take the copy out of the workbook; accept the finding if both happened."),
        ),
        TableProblem::InWorkbook { table } => (
            TABLE_IN_WORKBOOK,
            words!(
                "The sheet was read as the table {table}, because there is no file of that name.",
                table
            ),
            Words::fixed(NOTHING_IF_SO),
        ),
        TableProblem::Elsewhere { table, sheet } => (
            TABLE_ELSEWHERE,
            match sheet {
                Some(sheet) => words!(
                    "The sheet {sheet} has the headings of the table {table}, and there is no such table.",
                    sheet,
                    table
                ),
                None => words!(
                    "The file has the headings of the table {table}, and there is no such table.",
                    table
                ),
            },
            match sheet {
                Some(_) => words!(
                    "If it is the table, name the sheet {table}, or the file.",
                    table
                ),
                None => words!("If it is the table, name the file {table}.csv.", table),
            },
        ),
        TableProblem::OtherFormat { table, is_named } => (
            TABLE_FORMAT_UNREADABLE,
            if *is_named {
                words!(
                    "The file is named as the table {table} and is in a format that can't be read.",
                    table
                )
            } else {
                words!(
                    "There is no table {table}; this file may hold it, and is in a format that can't be read.",
                    table
                )
            },
            words!(
                "Save it as {table}.xlsx, {table}.ods or {table}.csv from the program that made it.",
                table
            ),
        ),
        TableProblem::Cut { reason } => (
            TABLE_TOO_LARGE,
            words!("The table was not read to its end: {reason}.", reason),
            words!("Take out what is no part of the season's table."),
        ),
        TableProblem::KindsCut { most } => (
            TABLE_TOO_LARGE,
            words!(
                "{most} kinds of container, counted at each growth stage, stand above, and no more are read; other containers count as without a kind.",
                most = *most
            ),
            words!(
                "Write each kind and each stage in one way; [names] in season.toml says which words mean the same."
            ),
        ),
        TableProblem::QuoteOpen => (
            QUOTE_OPEN,
            words!(
                "The file has a quotation mark that is never closed, and its last row goes on to the end of the file."
            ),
            words!(
                "Close the quotation mark, or take it out; a quotation mark within a text in quotes is written twice."
            ),
        ),
        _ => return None,
    })
}
