//! Words for single cells whose value was read otherwise than it stands there, or could not be read.
//!
//! Takes a problem, gives its rule, message and mend where it is one of cells. Must not read the value anew. What season.toml can
//! settle in a line is worded by `unsettled`.

use super::phrases::{NOTHING_IF_SO, and_more, one_of};
use crate::finding::core::Grade;
use crate::finding::rule::{Rule, rule};
use crate::season::TableProblem;
use crate::words;
use crate::words::{Words, quoted};

pub const FORMULA_ERROR: Rule = rule(
    "formula-error",
    Grade::Error,
    "A cell holds a formula that ends in an error.",
    "The value is missing from every figure that needs it.",
);
pub const FORMULA_WITHOUT_VALUE: Rule = rule(
    "formula-without-value",
    Grade::Error,
    "A cell holds a formula whose value the file does not hold.",
    "windrow computes no formulas, so the value is missing from every figure that needs it.",
);
pub const NUMBER_AS_TEXT: Rule = rule(
    "number-as-text",
    Grade::Remark,
    "A workbook keeps numbers as texts.",
    "They are read as numbers here; the workbook's own sums leave them out.",
);
pub const LETTER_IN_NUMBER: Rule = rule(
    "letter-in-number",
    Grade::Doubt,
    "A number has a letter in the place of a figure.",
    "It is counted as the figure that looks like the letter.",
);
pub const NUMBER_MARK_AMBIGUOUS: Rule = rule(
    "number-mark-ambiguous",
    Grade::Doubt,
    "A mark in a number may part thousands or decimals.",
    "One reading is a thousand times the other.",
);
pub const NUMBER_TURNED_DATE: Rule = rule(
    "number-turned-date",
    Grade::Error,
    "A cell that should hold a number holds a date or a time.",
    "The value is left out of every sum. Spreadsheets turn 1/2 into the second of January.",
);
pub const DATE_SERIAL: Rule = rule(
    "date-serial",
    Grade::Remark,
    "Dates stand as the numbers of their days.",
    "They are read as dates; a wrong starting year would shift them by four years and a day.",
);
pub const TIME_SERIAL: Rule = rule(
    "time-serial",
    Grade::Remark,
    "Times stand as parts of a day.",
    "They are read as times of day.",
);
pub const DATE_WITHOUT_YEAR: Rule = rule(
    "date-without-year",
    Grade::Remark,
    "Dates don't say their year.",
    "They are read as days of the season's year.",
);
pub const WEEKDAY_DIFFERS: Rule = rule(
    "weekday-differs",
    Grade::Doubt,
    "A date names a day of the week that it is not.",
    "One of the two is wrong; the date counts.",
);
pub const HOURS_CONVERTED: Rule = rule(
    "hours-converted",
    Grade::Remark,
    "A cell of hours is given in minutes.",
    "It is converted to hours.",
);
pub const PATH_SPELT_OTHERWISE: Rule = rule(
    "path-spelt-otherwise",
    Grade::Remark,
    "A file is named in another spelling than its own.",
    "It is taken for the only file that fits.",
);
pub const PATH_AMBIGUOUS: Rule = rule(
    "path-ambiguous",
    Grade::Doubt,
    "A file's name fits several files.",
    "The row counts for none of them.",
);

/// Rule, message and mend of a problem of this theme.
pub fn word(kind: &TableProblem) -> Option<(Rule, Words, Words)> {
    Some(match kind {
        TableProblem::FormulaFault { found } => (
            FORMULA_ERROR,
            words!("The cell shows {found}.", found),
            words!("Put the formula right, or write the value from the field sheet in its place."),
        ),
        TableProblem::FormulaUnstored => (
            FORMULA_WITHOUT_VALUE,
            words!("The cell holds a formula and no value."),
            words!(
                "Open the workbook in a spreadsheet program and save it, so that the values are stored."
            ),
        ),
        TableProblem::NumbersAsText { heading, more } => (
            NUMBER_AS_TEXT,
            and_more(
                words!("A number under {heading} stands as text", heading),
                more.len(),
            ),
            words!(
                "Nothing for windrow; to make the workbook's sums right, turn the column into numbers."
            ),
        ),
        TableProblem::LetterInNumber { found, read_as } => (
            LETTER_IN_NUMBER,
            words!(
                "{found} was read as {read_as}.",
                found = quoted(found),
                read_as
            ),
            words!("Write {read_as}, if that is meant.", read_as),
        ),
        TableProblem::MarkAmbiguous {
            found,
            read_as,
            other,
        } => (
            NUMBER_MARK_AMBIGUOUS,
            words!(
                "{found} was read as {read_as}; it may be {other}.",
                found = quoted(found),
                read_as,
                other
            ),
            words!(
                "Write {read_as} or {other} without a mark for thousands.",
                read_as,
                other
            ),
        ),
        TableProblem::NumberTurnedDate { found } => (
            NUMBER_TURNED_DATE,
            words!("The cell holds {found}, which is no number.", found),
            words!(
                "Write the number anew in a cell that is formatted as a number or as text; 1/2 is 0.5."
            ),
        ),
        TableProblem::SerialDates {
            found,
            read_as,
            from_1904,
            more,
        } => (
            DATE_SERIAL,
            and_more(
                words!(
                    "{found} stands for {read_as}, counted from {year}",
                    found,
                    read_as,
                    year = if *from_1904 { "1904" } else { "1900" }
                ),
                more.len(),
            ),
            words!("Nothing, if the date is right; formatted as dates the cells show it."),
        ),
        TableProblem::SerialTimes {
            found,
            read_as,
            more,
        } => (
            TIME_SERIAL,
            and_more(
                words!("{found} stands for {read_as}", found, read_as),
                more.len(),
            ),
            words!("Nothing, if the time is right; formatted as times the cells show it."),
        ),
        TableProblem::DatesWithoutYear {
            found,
            read_as,
            more,
        } => (
            DATE_WITHOUT_YEAR,
            and_more(
                words!(
                    "{found} says no year and was read as {read_as}",
                    found = quoted(found),
                    read_as
                ),
                more.len(),
            ),
            Words::fixed(NOTHING_IF_SO),
        ),
        TableProblem::WeekdayDiffers { found, is } => (
            WEEKDAY_DIFFERS,
            words!(
                "{found} names another day of the week; the date is {is}.",
                found = quoted(found),
                is
            ),
            words!("Look up on the field sheet which of the two is right."),
        ),
        TableProblem::HoursConverted { found, read_as } => (
            HOURS_CONVERTED,
            words!(
                "{found} was read as {read_as}.",
                found = quoted(found),
                read_as
            ),
            Words::fixed(NOTHING_IF_SO),
        ),
        TableProblem::PathLoose { found, read_as } => (
            PATH_SPELT_OTHERWISE,
            words!(
                "{found} was taken for {read_as}.",
                found = quoted(found),
                read_as
            ),
            Words::fixed(NOTHING_IF_SO),
        ),
        TableProblem::PathAmbiguous { found, files } => (
            PATH_AMBIGUOUS,
            words!(
                "{found} may be {files}.",
                found = quoted(found),
                files = one_of(files)
            ),
            words!("Write the path as it is below the season folder."),
        ),
        _ => return None,
    })
}
