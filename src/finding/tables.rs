//! Words for what the reading of tables took for granted, left out or could not settle: one rule for each.

use super::core::Grade;
use super::reading::key;
use super::rule::Rule;
use crate::place::Place;
use crate::season::TableProblem;

const fn rule(name: &'static str, grade: Grade, title: &'static str, why: &'static str) -> Rule {
    Rule {
        name,
        grade,
        title,
        why,
    }
}

const ROWS_ABOVE_HEADINGS: Rule = rule(
    "rows-above-headings",
    Grade::Remark,
    "Rows stand above the headings of a table.",
    "They are taken for a title and read by nothing.",
);
const UNITS_BELOW_HEADINGS: Rule = rule(
    "units-below-headings",
    Grade::Remark,
    "The units of a table stand in a row of their own below its headings.",
    "They are read with the headings; the row counts as no data.",
);
const HEADING_JOINED: Rule = rule(
    "heading-joined",
    Grade::Remark,
    "A heading was read together with the merged cell above it.",
    "By itself it would mean another column.",
);
const HEADING_GROUPED: Rule = rule(
    "heading-grouped",
    Grade::Doubt,
    "A merged cell stands above a heading and may change what it means.",
    "Hours could be read as heads, or one area as another.",
);
const HEADING_AMBIGUOUS: Rule = rule(
    "heading-ambiguous",
    Grade::Doubt,
    "A heading may mean one of several columns.",
    "The column is not read: paid hours taken for volunteers' hours would count as a gift.",
);
const HEADINGS_AGAIN: Rule = rule(
    "headings-again",
    Grade::Remark,
    "The headings come again further down in the table.",
    "The row is taken for headings and not for data.",
);
const WORD_BETWEEN_ROWS: Rule = rule(
    "word-between-rows",
    Grade::Remark,
    "A row of a table holds a single word or sentence.",
    "It is taken for a heading or a note between the rows, and left out.",
);
const TOTALS_ROW: Rule = rule(
    "totals-row",
    Grade::Remark,
    "A row of a table holds totals or other sums over its rows.",
    "It is left out; counted as data it would double every figure.",
);
const TOTAL_DIFFERS: Rule = rule(
    "total-differs",
    Grade::Doubt,
    "A total is not the sum of its rows.",
    "Either a row is missing or wrong, or the sum is; the figures follow the rows.",
);
const CELL_MERGED_DOWN: Rule = rule(
    "cell-merged-down",
    Grade::Remark,
    "A cell is merged over several rows.",
    "Its value is read for each of these rows.",
);
const AMOUNT_MERGED: Rule = rule(
    "amount-merged",
    Grade::Doubt,
    "An amount is merged over several rows.",
    "It is counted once, in the first of the rows; if each row had as much, the sums are too small.",
);
const FORMULA_ERROR: Rule = rule(
    "formula-error",
    Grade::Error,
    "A cell holds a formula that ends in an error.",
    "The value is missing from every figure that needs it.",
);
const FORMULA_WITHOUT_VALUE: Rule = rule(
    "formula-without-value",
    Grade::Error,
    "A cell holds a formula whose value the file does not hold.",
    "windrow computes no formulas, so the value is missing from every figure that needs it.",
);
const COLUMN_WITHOUT_HEADING: Rule = rule(
    "column-without-heading",
    Grade::Remark,
    "A column holds something and has no heading.",
    "The column is archived and read by nothing.",
);
const CELL_FAR_AWAY: Rule = rule(
    "cell-far-away",
    Grade::Remark,
    "A cell far to the right of the table holds something.",
    "It is archived and read by nothing.",
);
const TABLE_TOO_LARGE: Rule = rule(
    "table-too-large",
    Grade::Error,
    "A table is larger than any season's, and was not read to its end.",
    "What was not read is missing from the figures.",
);
const SHEET_NOT_READ: Rule = rule(
    "sheet-not-read",
    Grade::Remark,
    "A sheet of a workbook is no table that windrow knows.",
    "It is archived and read by nothing.",
);
const SHEET_NEARLY_FITS: Rule = rule(
    "sheet-nearly-fits",
    Grade::Doubt,
    "A sheet lacks one heading to be part of a table.",
    "It is not read; if it is a part of the log, its rows are missing from every figure.",
);
const SHEETS_JOINED: Rule = rule(
    "sheets-joined",
    Grade::Remark,
    "Several sheets make up a table.",
    "All their rows count.",
);
const SHEET_HIDDEN: Rule = rule(
    "sheet-hidden",
    Grade::Doubt,
    "A hidden sheet was read.",
    "If it is an old copy, its rows count twice.",
);
const ROWS_IN_TWO_SHEETS: Rule = rule(
    "rows-in-two-sheets",
    Grade::Doubt,
    "The same rows stand in two sheets of a table.",
    "They count twice.",
);
const TABLE_IN_WORKBOOK: Rule = rule(
    "table-in-workbook",
    Grade::Remark,
    "A table was read from a sheet of its name in a workbook of another name.",
    "If it also stands elsewhere, this is the one that counts.",
);
const TABLE_ELSEWHERE: Rule = rule(
    "table-elsewhere",
    Grade::Doubt,
    "A table is missing, and a file of another name has its headings.",
    "The file is not read, so its rows are missing from every figure.",
);
const TABLE_FORMAT_UNREADABLE: Rule = rule(
    "table-format-unreadable",
    Grade::Error,
    "A table is there in a format that can't be read.",
    "Everything in it is missing from the figures.",
);
const QUOTE_OPEN: Rule = rule(
    "quote-open",
    Grade::Error,
    "A quotation mark in a text table is never closed.",
    "All that follows it is read as one cell, so rows are missing from the figures.",
);
const NUMBER_AS_TEXT: Rule = rule(
    "number-as-text",
    Grade::Remark,
    "A workbook keeps numbers as texts.",
    "They are read as numbers here; the workbook's own sums leave them out.",
);
const LETTER_IN_NUMBER: Rule = rule(
    "letter-in-number",
    Grade::Doubt,
    "A number has a letter in the place of a figure.",
    "It is counted as the figure that looks like the letter.",
);
const NUMBER_MARK_AMBIGUOUS: Rule = rule(
    "number-mark-ambiguous",
    Grade::Doubt,
    "A mark in a number may part thousands or decimals.",
    "One reading is a thousand times the other.",
);
const NUMBER_TURNED_DATE: Rule = rule(
    "number-turned-date",
    Grade::Error,
    "A cell that should hold a number holds a date or a time.",
    "The value is left out of every sum. Spreadsheets turn 1/2 into the second of January.",
);
const DATE_SERIAL: Rule = rule(
    "date-serial",
    Grade::Remark,
    "Dates stand as the numbers of their days.",
    "They are read as dates; a wrong starting year would shift them by four years and a day.",
);
const TIME_SERIAL: Rule = rule(
    "time-serial",
    Grade::Remark,
    "Times stand as parts of a day.",
    "They are read as times of day.",
);
const DATE_WITHOUT_YEAR: Rule = rule(
    "date-without-year",
    Grade::Remark,
    "Dates don't say their year.",
    "They are read as days of the season's year.",
);
const WEEKDAY_DIFFERS: Rule = rule(
    "weekday-differs",
    Grade::Doubt,
    "A date names a day of the week that it is not.",
    "One of the two is wrong; the date counts.",
);
const HOURS_CONVERTED: Rule = rule(
    "hours-converted",
    Grade::Remark,
    "A cell of hours is given in minutes.",
    "It is converted to hours.",
);
const KIND_FROM_HEADING: Rule = rule(
    "kind-from-heading",
    Grade::Remark,
    "The kind of container was taken from a heading.",
    "Every number below it counts containers of that kind.",
);
const AMOUNT_OF_SEVERAL_KINDS: Rule = rule(
    "amount-of-several-kinds",
    Grade::Doubt,
    "A row counts containers of several kinds and gives one amount for all.",
    "The amount is counted with the first kind, and the others are converted beside it.",
);
const PATH_SPELT_OTHERWISE: Rule = rule(
    "path-spelt-otherwise",
    Grade::Remark,
    "A file is named in another spelling than its own.",
    "It is taken for the only file that fits.",
);
const PATH_AMBIGUOUS: Rule = rule(
    "path-ambiguous",
    Grade::Doubt,
    "A file's name fits several files.",
    "The row counts for none of them.",
);

/// All rules of this theme, for the list of rules.
pub const RULES: &[Rule] = &[
    ROWS_ABOVE_HEADINGS,
    UNITS_BELOW_HEADINGS,
    HEADING_JOINED,
    HEADING_GROUPED,
    HEADING_AMBIGUOUS,
    HEADINGS_AGAIN,
    WORD_BETWEEN_ROWS,
    TOTALS_ROW,
    TOTAL_DIFFERS,
    CELL_MERGED_DOWN,
    AMOUNT_MERGED,
    FORMULA_ERROR,
    FORMULA_WITHOUT_VALUE,
    COLUMN_WITHOUT_HEADING,
    CELL_FAR_AWAY,
    TABLE_TOO_LARGE,
    SHEET_NOT_READ,
    SHEET_NEARLY_FITS,
    SHEETS_JOINED,
    SHEET_HIDDEN,
    ROWS_IN_TWO_SHEETS,
    TABLE_IN_WORKBOOK,
    TABLE_ELSEWHERE,
    TABLE_FORMAT_UNREADABLE,
    QUOTE_OPEN,
    NUMBER_AS_TEXT,
    LETTER_IN_NUMBER,
    NUMBER_MARK_AMBIGUOUS,
    NUMBER_TURNED_DATE,
    DATE_SERIAL,
    TIME_SERIAL,
    DATE_WITHOUT_YEAR,
    WEEKDAY_DIFFERS,
    HOURS_CONVERTED,
    KIND_FROM_HEADING,
    AMOUNT_OF_SEVERAL_KINDS,
    PATH_SPELT_OTHERWISE,
    PATH_AMBIGUOUS,
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

/// `2, 3 and 5`; more than a few are counted.
pub(super) fn listed<T: ToString>(items: &[T]) -> String {
    const NAMED: usize = 8;
    let mut words: Vec<String> = items.iter().take(NAMED).map(ToString::to_string).collect();
    if items.len() > NAMED {
        words.push(format!("{} more", items.len() - NAMED));
    }
    match words.split_last() {
        Some((last, others)) if !others.is_empty() => format!("{} and {last}", others.join(", ")),
        Some((last, _)) => last.clone(),
        None => String::new(),
    }
}

pub(super) fn and_more(more: usize) -> String {
    match more {
        0 => String::new(),
        1 => ", and so does 1 more cell under the same heading".into(),
        more => format!(", and so do {more} more cells under the same heading"),
    }
}

fn rows(number: usize) -> &'static str {
    if number == 1 { "row" } else { "rows" }
}

const NOTHING_IF_SO: &str = "Nothing, if that is right.";

/// Rule, message and mend.
pub(super) fn word(kind: &TableProblem) -> (Rule, String, String) {
    match kind {
        TableProblem::AboveHeadings { .. }
        | TableProblem::UnitsBelow { .. }
        | TableProblem::Grouped { .. }
        | TableProblem::HeadingOneOf { .. }
        | TableProblem::HeadingsAgain
        | TableProblem::NoHeading { .. }
        | TableProblem::KindFromHeading { .. } => of_headings(kind),
        TableProblem::SheetsNotRead { .. }
        | TableProblem::SheetNearly { .. }
        | TableProblem::SheetsJoined { .. }
        | TableProblem::SheetHidden
        | TableProblem::RowsInTwoSheets { .. }
        | TableProblem::InWorkbook { .. }
        | TableProblem::Elsewhere { .. }
        | TableProblem::OtherFormat { .. }
        | TableProblem::Cut { .. }
        | TableProblem::QuoteOpen => of_files(kind),
        TableProblem::LoneCell { .. }
        | TableProblem::Totals { .. }
        | TableProblem::TotalDiffers { .. }
        | TableProblem::MergedFilled { .. }
        | TableProblem::MergedAmount { .. }
        | TableProblem::FarCell { .. }
        | TableProblem::AmountOfKinds { .. } => of_rows(kind),
        _ => of_cells(kind),
    }
}

fn of_headings(kind: &TableProblem) -> (Rule, String, String) {
    match kind {
        TableProblem::AboveHeadings { lines, first } => (
            ROWS_ABOVE_HEADINGS,
            format!(
                "{} {} above the headings {} left out; the first says {first:?}.",
                if lines.len() == 1 { "Row" } else { "Rows" },
                listed(lines),
                if lines.len() == 1 { "is" } else { "are" },
            ),
            NOTHING_IF_SO.into(),
        ),
        TableProblem::UnitsBelow { row } => (
            UNITS_BELOW_HEADINGS,
            format!("Row {row} holds nothing but units; they were read with the headings above."),
            NOTHING_IF_SO.into(),
        ),
        TableProblem::Grouped {
            heading,
            group,
            read_as: Some(column),
        } => (
            HEADING_JOINED,
            format!("{heading:?} below {group:?} was read as {column}."),
            NOTHING_IF_SO.into(),
        ),
        TableProblem::Grouped { heading, group, .. } => (
            HEADING_GROUPED,
            format!("{heading:?} stands below {group:?} and was read without it."),
            "Write the whole heading into one cell, or accept the finding if the upper word changes nothing.".into(),
        ),
        TableProblem::HeadingOneOf { heading, columns } => (
            HEADING_AMBIGUOUS,
            format!(
                "The heading {heading:?} may mean {}; the column is not read.",
                columns.join(" or ")
            ),
            format!(
                "Add to season.toml, below [headings], the one that is meant: {}",
                columns
                    .iter()
                    .map(|column| format!("{} = \"{column}\"", key(heading)))
                    .collect::<Vec<_>>()
                    .join(", or ")
            ),
        ),
        TableProblem::NoHeading { column, cells } => (
            COLUMN_WITHOUT_HEADING,
            format!(
                "Column {column} has no heading and holds {cells} {}.",
                if *cells == 1 { "cell" } else { "cells" }
            ),
            "Head the column if it is part of the table; otherwise nothing.".into(),
        ),
        TableProblem::KindFromHeading { heading, kind } => (
            KIND_FROM_HEADING,
            format!("The column {heading:?} was read as containers of the kind {kind}."),
            "Nothing, if that is right; a column headed container with the kind in each row says it too.".into(),
        ),
        _ => (
            HEADINGS_AGAIN,
            "The row holds headings, not data; the rows below it were read under them.".into(),
            NOTHING_IF_SO.into(),
        ),
    }
}

fn of_files(kind: &TableProblem) -> (Rule, String, String) {
    match kind {
        TableProblem::SheetsNotRead { sheets } => (
            SHEET_NOT_READ,
            format!(
                "{} {} not read: {} the headings of no table.",
                if sheets.len() == 1 { "The sheet" } else { "The sheets" },
                format_args!("{} {}", listed(sheets), if sheets.len() == 1 { "is" } else { "are" }),
                if sheets.len() == 1 { "it has" } else { "they have" },
            ),
            "Nothing, if they are only for yourselves; a sheet that is named for a table, such as weighings, is read as that table.".into(),
        ),
        TableProblem::SheetNearly { missing, unknown } => (
            SHEET_NEARLY_FITS,
            format!("The sheet has no heading {} and was not read.", listed(missing)),
            match (unknown.as_slice(), missing.as_slice()) {
                ([theirs], [ours]) => format!(
                    "If it is a summary, accept the finding; if it belongs to the table and {theirs:?} is the {ours}, add to season.toml, below [headings]: {} = \"{ours}\"",
                    key(theirs)
                ),
                _ => format!(
                    "If it belongs to the table, head the column {}; if it is a summary, accept the finding.",
                    listed(missing)
                ),
            },
        ),
        TableProblem::SheetsJoined { sheets, rows: number } => (
            SHEETS_JOINED,
            format!(
                "The table was read from the sheets {}: {number} {} in all.",
                listed(sheets),
                rows(*number)
            ),
            NOTHING_IF_SO.into(),
        ),
        TableProblem::SheetHidden => (
            SHEET_HIDDEN,
            "The sheet is hidden in the workbook, and its rows were read.".into(),
            "Take the sheet out of the workbook if it is an old copy; show it, or accept the finding, if it counts.".into(),
        ),
        TableProblem::RowsInTwoSheets { other, rows: numbers, .. } => (
            ROWS_IN_TWO_SHEETS,
            format!(
                "The {} {} {} in the sheet {other} too.",
                rows(numbers.len()),
                listed(numbers),
                if numbers.len() == 1 { "stands" } else { "stand" }
            ),
            "Take the copy out of the workbook; accept the finding if both happened.".into(),
        ),
        TableProblem::InWorkbook { table } => (
            TABLE_IN_WORKBOOK,
            format!("The sheet was read as the table {table}, because there is no file of that name."),
            NOTHING_IF_SO.into(),
        ),
        TableProblem::Elsewhere { table, sheet } => (
            TABLE_ELSEWHERE,
            match sheet {
                Some(sheet) => format!("The sheet {sheet} has the headings of the table {table}, and there is no such table."),
                None => format!("The file has the headings of the table {table}, and there is no such table."),
            },
            match sheet {
                Some(_) => format!("If it is the table, name the sheet {table}, or the file."),
                None => format!("If it is the table, name the file {table}.csv."),
            },
        ),
        TableProblem::OtherFormat { table, is_named } => (
            TABLE_FORMAT_UNREADABLE,
            if *is_named {
                format!("The file is named as the table {table} and is in a format that can't be read.")
            } else {
                format!("There is no table {table}; this file may hold it, and is in a format that can't be read.")
            },
            format!("Save it as {table}.xlsx, {table}.ods or {table}.csv from the program that made it."),
        ),
        TableProblem::Cut { reason } => (
            TABLE_TOO_LARGE,
            format!("The table was not read to its end: {reason}."),
            "Take out what is no part of the season's table.".into(),
        ),
        _ => (
            QUOTE_OPEN,
            "The file has a quotation mark that is never closed, and its last row goes on to the end of the file.".into(),
            "Close the quotation mark, or take it out; a quotation mark within a text in quotes is written twice.".into(),
        ),
    }
}

fn of_rows(kind: &TableProblem) -> (Rule, String, String) {
    match kind {
        TableProblem::LoneCell { found } => (
            WORD_BETWEEN_ROWS,
            format!("The row holds nothing but {found:?} and is left out."),
            "Nothing, if it is a heading or a note; fill in the row if it is one of the table.".into(),
        ),
        TableProblem::Totals { columns, rows: summed } => (
            TOTALS_ROW,
            match (columns.is_empty(), summed) {
                (false, Some((first, last))) => format!(
                    "The row holds the totals of rows {first} to {last} ({}) and is left out.",
                    listed(columns)
                ),
                (false, None) => format!("The row holds totals ({}) and is left out.", listed(columns)),
                _ => "The row holds no data of its own and is left out.".into(),
            },
            NOTHING_IF_SO.into(),
        ),
        TableProblem::TotalDiffers { heading, found, sum } => (
            TOTAL_DIFFERS,
            format!("The total under {heading} is {found}; the rows above it sum to {sum}."),
            "Look for a row that was left out or mistyped; if the total is wrong, take it out or sum anew.".into(),
        ),
        TableProblem::MergedFilled { heading, regions } => (
            CELL_MERGED_DOWN,
            format!(
                "Under {heading} {} merged; the value was read for each of the rows.",
                format_args!("{} {}", listed(regions), if regions.len() == 1 { "is" } else { "are" })
            ),
            NOTHING_IF_SO.into(),
        ),
        TableProblem::MergedAmount { heading, found, region } => (
            AMOUNT_MERGED,
            format!("{found:?} under {heading} is merged over {region}; it was counted once."),
            "Split the cell and write into each row what belongs to it; accept the finding if it is the sum of the rows.".into(),
        ),
        TableProblem::FarCell { cell, cells } => (
            CELL_FAR_AWAY,
            format!(
                "{} in this row from {cell} on; no table reaches so far.",
                if *cells == 1 { "A cell stands".to_owned() } else { format!("{cells} cells stand") }
            ),
            "Empty it, if nothing is meant by it.".into(),
        ),
        TableProblem::AmountOfKinds { heading } => (
            AMOUNT_OF_SEVERAL_KINDS,
            format!("The row counts several kinds of container; what stands under {heading} was counted with the first kind alone."),
            "Write a row for each kind, with its own amount.".into(),
        ),
        _ => of_cells(kind),
    }
}

fn of_cells(kind: &TableProblem) -> (Rule, String, String) {
    match kind {
        TableProblem::FormulaFault { found } => (
            FORMULA_ERROR,
            format!("The cell shows {found}."),
            "Put the formula right, or write the value from the field sheet in its place.".into(),
        ),
        TableProblem::FormulaUnstored => (
            FORMULA_WITHOUT_VALUE,
            "The cell holds a formula and no value.".into(),
            "Open the workbook in a spreadsheet program and save it, so that the values are stored.".into(),
        ),
        TableProblem::NumbersAsText { heading, more } => (
            NUMBER_AS_TEXT,
            format!("A number under {heading} stands as text{}.", and_more(more.len())),
            "Nothing for windrow; to make the workbook's sums right, turn the column into numbers.".into(),
        ),
        TableProblem::LetterInNumber { found, read_as } => (
            LETTER_IN_NUMBER,
            format!("{found:?} was read as {read_as}."),
            format!("Write {read_as}, if that is meant."),
        ),
        TableProblem::MarkAmbiguous {
            found,
            read_as,
            other,
        } => (
            NUMBER_MARK_AMBIGUOUS,
            format!("{found:?} was read as {read_as}; it may be {other}."),
            format!("Write {read_as} or {other} without a mark for thousands."),
        ),
        TableProblem::NumberTurnedDate { found } => (
            NUMBER_TURNED_DATE,
            format!("The cell holds {found}, which is no number."),
            "Write the number anew in a cell that is formatted as a number or as text; 1/2 is 0.5.".into(),
        ),
        TableProblem::SerialDates {
            found,
            read_as,
            from_1904,
            more,
        } => (
            DATE_SERIAL,
            format!(
                "{found} stands for {read_as}, counted from {}{}.",
                if *from_1904 { 1904 } else { 1900 },
                and_more(more.len())
            ),
            "Nothing, if the date is right; formatted as dates the cells show it.".into(),
        ),
        TableProblem::SerialTimes {
            found,
            read_as,
            more,
        } => (
            TIME_SERIAL,
            format!("{found} stands for {read_as}{}.", and_more(more.len())),
            "Nothing, if the time is right; formatted as times the cells show it.".into(),
        ),
        TableProblem::DatesWithoutYear {
            found,
            read_as,
            more,
        } => (
            DATE_WITHOUT_YEAR,
            format!(
                "{found:?} says no year and was read as {read_as}{}.",
                and_more(more.len())
            ),
            NOTHING_IF_SO.into(),
        ),
        TableProblem::WeekdayDiffers { found, is } => (
            WEEKDAY_DIFFERS,
            format!("{found:?} names another day of the week; the date is {is}."),
            "Look up on the field sheet which of the two is right.".into(),
        ),
        TableProblem::HoursConverted { found, read_as } => (
            HOURS_CONVERTED,
            format!("{found:?} was read as {read_as}."),
            NOTHING_IF_SO.into(),
        ),
        TableProblem::PathLoose { found, read_as } => (
            PATH_SPELT_OTHERWISE,
            format!("{found:?} was taken for {read_as}."),
            NOTHING_IF_SO.into(),
        ),
        TableProblem::PathAmbiguous { found, files } => (
            PATH_AMBIGUOUS,
            format!("{found:?} may be {}.", files.join(" or ")),
            "Write the path as it is below the season folder.".into(),
        ),
        // All others have been worded by their own theme.
        _ => (WORD_BETWEEN_ROWS, String::new(), String::new()),
    }
}
