//! Words for what the reading of tables took for granted, left out or could not settle: one rule for each.

use super::core::Grade;
use super::reading::key;
use super::rule::{Rule, rule};
use crate::phrase;
use crate::place::Place;

use crate::season::TableProblem;
use crate::words;
use crate::words::{Words, quoted};

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
pub(super) fn listed<T: ToString>(items: &[T]) -> Vec<Words> {
    const NAMED: usize = 8;
    let first = items.iter().take(NAMED);
    let more = items.len().saturating_sub(NAMED);
    let more = (more > 0).then(|| words!("{more} more", more));
    first
        .map(|item| Words::own(item.to_string()))
        .chain(more)
        .collect()
}

/// `a or b or c`.
fn one_of<T: ToString>(items: &[T]) -> Words {
    let mut items = items.iter().map(|item| Words::own(item.to_string()));
    let first = items.next().unwrap_or_default();
    items.fold(first, |one, other| words!("{one} or {other}", one, other))
}

/// The lines of season.toml of which one is to be chosen.
fn line_for_each(heading: &str, columns: &[&str]) -> Words {
    let mut lines = columns
        .iter()
        .map(|column| Words::own(format!("{} = \"{column}\"", key(heading))));
    let first = lines.next().unwrap_or_default();
    lines.fold(first, |one, other| words!("{one}, or {other}", one, other))
}

/// A sentence's end where other cells of the column are as the one that it tells of.
pub(super) fn and_more(told: Words, more: usize) -> Words {
    match more {
        0 => words!("{told}.", told),
        more => words!(
            "{told}, and so {more:does|do} {more} more {more:cell|cells} under the same heading.",
            told,
            more
        ),
    }
}

const NOTHING_IF_SO: &str = phrase!("Nothing, if that is right.");

/// Rule, message and mend.
pub(super) fn word(kind: &TableProblem) -> (Rule, Words, Words) {
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

fn of_headings(kind: &TableProblem) -> (Rule, Words, Words) {
    match kind {
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
        _ => (
            HEADINGS_AGAIN,
            words!("The row holds headings, not data; the rows below it were read under them."),
            Words::fixed(NOTHING_IF_SO),
        ),
    }
}

fn of_files(kind: &TableProblem) -> (Rule, Words, Words) {
    match kind {
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
        _ => (
            QUOTE_OPEN,
            words!(
                "The file has a quotation mark that is never closed, and its last row goes on to the end of the file."
            ),
            words!(
                "Close the quotation mark, or take it out; a quotation mark within a text in quotes is written twice."
            ),
        ),
    }
}

fn of_rows(kind: &TableProblem) -> (Rule, Words, Words) {
    match kind {
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
        _ => of_cells(kind),
    }
}

fn of_cells(kind: &TableProblem) -> (Rule, Words, Words) {
    match kind {
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
        // All others have been worded by their own theme.
        _ => (WORD_BETWEEN_ROWS, Words::default(), Words::default()),
    }
}
