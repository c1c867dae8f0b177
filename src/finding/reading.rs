//! Words for what reading the folder stumbled over: each problem of the season room becomes one finding.

use super::core::{Finding, Grade};
use super::rule::{Rule, rule};
use super::{tables, unsettled};
use crate::season::value::DateOrder;
use crate::season::{Problem, ProblemKind, Season, is_ton};
use crate::units::{Dimension, Unit};
use crate::words;
use crate::words::{Words, quoted};

const FILE_UNREADABLE: Rule = rule(
    "file-unreadable",
    Grade::Error,
    "A file is there and can't be read as what it should be.",
    "Everything in it is missing from the figures.",
);
const FILE_MISSING: Rule = rule(
    "file-missing",
    Grade::Error,
    "A file that figures rest on is not there.",
    "The figures that need it can't be given.",
);
const TABLE_IN_TWO_FORMATS: Rule = rule(
    "table-in-two-formats",
    Grade::Error,
    "The same table is there in two formats.",
    "Only one is read; if the other is the newer one, the figures are old.",
);
const LINK_IN_FOLDER: Rule = rule(
    "link-in-folder",
    Grade::Doubt,
    "The folder holds a link.",
    "Links are not followed, so what it points to is neither read nor archived.",
);
const FOLDER_EMPTY: Rule = rule(
    "folder-empty",
    Grade::Remark,
    "A folder has nothing in it.",
    "An archive carries files only, so the empty folder will not be in it.",
);
const HEADING_MISSING: Rule = rule(
    "heading-missing",
    Grade::Error,
    "A table lacks a heading that it must have.",
    "Without the column its rows can't be counted to a pull, a day or a site.",
);
const HEADING_UNKNOWN: Rule = rule(
    "heading-unknown",
    Grade::Remark,
    "A column has a heading that windrow does not know.",
    "The column is archived and read by nothing.",
);
const HEADING_TWICE: Rule = rule(
    "heading-twice",
    Grade::Error,
    "Two columns of a table mean the same.",
    "Only the first is read.",
);
const UNIT_MISSING: Rule = rule(
    "unit-missing",
    Grade::Error,
    "A column holds a quantity and nothing says in which unit.",
    "Its numbers are left out: a figure would rest on a guess.",
);
const UNIT_UNKNOWN: Rule = rule(
    "unit-unknown",
    Grade::Error,
    "A unit is not one that windrow can convert.",
    "The number is left out.",
);
const UNITS_MIXED: Rule = rule(
    "units-mixed",
    Grade::Doubt,
    "A cell carries another unit than its column.",
    "If the unit in the cell is a slip, the number is off by the ratio of the two.",
);
const VALUE_MISSING: Rule = rule(
    "value-missing",
    Grade::Error,
    "A cell that must be filled is empty.",
    "The row can't be counted where it belongs.",
);
const NUMBER_UNREADABLE: Rule = rule(
    "number-unreadable",
    Grade::Error,
    "A cell should hold a number and does not.",
    "The value is left out of every sum.",
);
const NUMBER_DOUBTFUL: Rule = rule(
    "number-doubtful",
    Grade::Doubt,
    "A number is marked as rough.",
    "It is counted as if it were exact.",
);
const NUMBER_NEGATIVE: Rule = rule(
    "number-negative",
    Grade::Error,
    "A count or a quantity is below zero.",
    "The value is left out of every sum.",
);
const DATE_UNREADABLE: Rule = rule(
    "date-unreadable",
    Grade::Error,
    "A cell should hold a date and does not.",
    "The row can't be placed in the season, nor its photos found.",
);
const DATE_AMBIGUOUS: Rule = rule(
    "date-ambiguous",
    Grade::Doubt,
    "A date may be read in two ways.",
    "The row is left without a date until the order of day and month is settled.",
);
const TIME_UNREADABLE: Rule = rule(
    "time-unreadable",
    Grade::Error,
    "A cell should hold a time of day and does not.",
    "Hours that should follow from start and end are missing.",
);
const ANSWER_UNREADABLE: Rule = rule(
    "answer-unreadable",
    Grade::Doubt,
    "A cell should say yes or no and does not.",
    "The answer counts as not recorded.",
);
const WORD_UNKNOWN: Rule = rule(
    "word-unknown",
    Grade::Error,
    "A cell should hold one of a few words and holds another.",
    "The cell counts as not recorded.",
);
const ROW_TOO_WIDE: Rule = rule(
    "row-too-wide",
    Grade::Error,
    "A row has more cells than the table has headings.",
    "Most often a comma within a text has shifted the cells behind it.",
);
const TEXT_NOT_UTF8: Rule = rule(
    "text-not-utf8",
    Grade::Remark,
    "A table is not UTF-8 text; it was read as Windows-1252 or UTF-16.",
    "Letters with accents may be wrong in names and notes.",
);
const SETTING_UNKNOWN: Rule = rule(
    "setting-unknown",
    Grade::Doubt,
    "season.toml has a key that windrow does not know.",
    "What it says has no effect.",
);
const SETTING_MISSING: Rule = rule(
    "setting-missing",
    Grade::Error,
    "season.toml lacks a key that it must have.",
    "Dates, times or the report's title rest on it.",
);
const SETTING_WRONG: Rule = rule(
    "setting-wrong",
    Grade::Error,
    "A key of season.toml has a value that can't be used.",
    "The default is used in its place.",
);
const OUTLINE_WRONG: Rule = rule(
    "outline-wrong",
    Grade::Error,
    "A feature of sites.geojson is no usable site or station.",
    "The site or station is missing from maps, matching and figures.",
);

/// All rules of this theme, for the list of rules.
pub const RULES: &[Rule] = &[
    FILE_UNREADABLE,
    FILE_MISSING,
    TABLE_IN_TWO_FORMATS,
    LINK_IN_FOLDER,
    FOLDER_EMPTY,
    HEADING_MISSING,
    HEADING_UNKNOWN,
    HEADING_TWICE,
    UNIT_MISSING,
    UNIT_UNKNOWN,
    UNITS_MIXED,
    VALUE_MISSING,
    NUMBER_UNREADABLE,
    NUMBER_DOUBTFUL,
    NUMBER_NEGATIVE,
    DATE_UNREADABLE,
    DATE_AMBIGUOUS,
    TIME_UNREADABLE,
    ANSWER_UNREADABLE,
    WORD_UNKNOWN,
    ROW_TOO_WIDE,
    TEXT_NOT_UTF8,
    SETTING_UNKNOWN,
    SETTING_MISSING,
    SETTING_WRONG,
    OUTLINE_WRONG,
];

/// A finding for each problem of reading.
pub fn check(season: &Season) -> Vec<Finding> {
    season.problems.iter().map(word).collect()
}

fn heading_with_unit(heading: &str, dimension: Dimension) -> Words {
    let example = match dimension {
        Dimension::Mass => "kg",
        Dimension::Area => "acre",
        Dimension::Time => "h",
    };
    words!(
        "Name the column {heading}_{example}, or the like ({units}); or set [units] {key} = \"{example}\" in season.toml.",
        heading,
        example,
        units = Unit::choices(dimension),
        key = dimension.word()
    )
}

fn order_key(order: DateOrder) -> &'static str {
    match order {
        DateOrder::Mdy => "mdy",
        DateOrder::Dmy => "dmy",
        DateOrder::Ymd => "ymd",
    }
}

fn order_in_words(order: DateOrder) -> Words {
    match order {
        DateOrder::Mdy => words!("month/day"),
        DateOrder::Dmy => words!("day/month"),
        DateOrder::Ymd => words!("year-month-day"),
    }
}

/// What a dimension measures, for a reader.
fn quantity(dimension: Dimension) -> Words {
    match dimension {
        Dimension::Mass => words!("mass"),
        Dimension::Area => words!("area"),
        Dimension::Time => words!("time"),
    }
}

fn word(problem: &Problem) -> Finding {
    if let ProblemKind::Table(kind) = &problem.kind
        && let Some((rule, message, mend)) = unsettled::word(kind)
    {
        let also = unsettled::also(kind).unwrap_or_default();
        let finding = rule
            .at(problem.place.clone(), message, mend)
            .with(also.iter().cloned());
        return match &problem.row {
            Some(row) => finding.quoting(row),
            None => finding,
        };
    }
    let (rule, message, mend): (Rule, Words, Words) = match &problem.kind {
        ProblemKind::FileMissing { needed_for } => (
            FILE_MISSING,
            words!(
                "The file is not there; it is needed for {needed_for}.",
                needed_for = Words::fixed(needed_for)
            ),
            words!("Put it into the season folder; docs/season-folder.md shows its columns."),
        ),
        ProblemKind::FileUnreadable { reason } => (
            FILE_UNREADABLE,
            words!("The file can't be read: {reason}.", reason),
            words!(
                "Open it in the program that made it, save it again, or replace it by a whole copy."
            ),
        ),
        ProblemKind::TableTwice { other } => (
            TABLE_IN_TWO_FORMATS,
            words!("{other} is there too; this file is not read.", other),
            words!(
                "Keep the one that holds the latest, as .xlsx, .ods or .csv, and move the other out of the season folder."
            ),
        ),
        ProblemKind::Link => (
            LINK_IN_FOLDER,
            words!("This is a link, not a file."),
            words!("Copy the file itself into the season folder."),
        ),
        ProblemKind::EmptyFolder => (
            FOLDER_EMPTY,
            words!("The folder is empty."),
            words!("Nothing, if that is as it should be."),
        ),
        ProblemKind::HeadingMissing { heading } => (
            HEADING_MISSING,
            words!("No column is headed {heading}.", heading),
            words!(
                "Head the column {heading}, or map your own heading in season.toml, below [headings]: \"your heading\" = \"{heading}\".",
                heading
            ),
        ),
        ProblemKind::HeadingUnknown { heading, nearest } => (
            HEADING_UNKNOWN,
            words!(
                "The heading {heading} is not known, so the column is archived and ignored.",
                heading = quoted(heading)
            ),
            match nearest {
                Some(nearest) => words!(
                    "If {nearest} is meant, add to season.toml, below [headings]: {heading} = \"{nearest}\"",
                    nearest,
                    heading = tables::key(heading)
                ),
                None => words!("Nothing, if the column is only for yourselves."),
            },
        ),
        ProblemKind::HeadingTwice {
            heading,
            first,
            column,
        } => (
            HEADING_TWICE,
            words!(
                "The columns {first} and {heading} both mean {column}; the second is not read.",
                first = quoted(first),
                heading = quoted(heading),
                column
            ),
            words!("Join the two columns, or rename the one that means something else."),
        ),
        ProblemKind::UnitMissing { heading, dimension } => (
            UNIT_MISSING,
            words!(
                "The column {heading} holds a {quantity} without a unit.",
                heading = quoted(heading),
                quantity = quantity(*dimension)
            ),
            heading_with_unit(heading, *dimension),
        ),
        ProblemKind::UnitUnknown { unit, dimension } => (
            UNIT_UNKNOWN,
            words!(
                "{unit} is no unit of {quantity} that can be read.",
                unit = quoted(unit),
                quantity = quantity(*dimension)
            ),
            if is_ton(unit) {
                words!("Say which ton: t is 1000 kg, short_ton is 2000 lb.")
            } else {
                words!("Use one of {choices}.", choices = Unit::choices(*dimension))
            },
        ),
        ProblemKind::UnitsMixed { found, column } => (
            UNITS_MIXED,
            words!(
                "The cell says {found}, its column {column}; it was read as {found}.",
                found,
                column
            ),
            words!(
                "Convert the cell to {column}, or accept the finding if the cell is right.",
                column
            ),
        ),
        ProblemKind::ValueMissing { heading } => (
            VALUE_MISSING,
            words!("The cell under {heading} is empty.", heading),
            words!("Fill in {heading} from the field sheet.", heading),
        ),
        ProblemKind::NotANumber { found, expected } => (
            NUMBER_UNREADABLE,
            words!(
                "{found} is not {expected}.",
                found = quoted(found),
                expected = Words::fixed(expected)
            ),
            words!("Write the number in figures; leave the cell empty if it was not recorded."),
        ),
        ProblemKind::NumberDoubtful { found, read_as } => (
            NUMBER_DOUBTFUL,
            words!(
                "{found} was read as {read_as}.",
                found = quoted(found),
                read_as
            ),
            words!("Look it up on the field sheet; if it was a guess, set basis to guessed."),
        ),
        ProblemKind::Negative { found } => (
            NUMBER_NEGATIVE,
            words!("{found} is below zero.", found = quoted(found)),
            words!("Put it right from the field sheet."),
        ),
        ProblemKind::NotADate { found } => (
            DATE_UNREADABLE,
            words!("{found} is no date.", found = quoted(found)),
            words!("Write it as year-month-day: 2025-07-04."),
        ),
        ProblemKind::DateAmbiguous { found, shown, more } => (
            DATE_AMBIGUOUS,
            tables::and_more(
                words!(
                    "{found} may be month/day or day/month",
                    found = quoted(found)
                ),
                more.len(),
            ),
            match shown {
                Some((order, example)) => words!(
                    "{example} under the same heading can only be {order}, so add to season.toml, below [dates]: order = \"{key}\"",
                    example = quoted(example),
                    order = order_in_words(*order),
                    key = order_key(*order)
                ),
                None => words!(
                    "Say which in season.toml, below [dates]: order = \"mdy\" or order = \"dmy\"; or write year-month-day."
                ),
            },
        ),
        ProblemKind::DateAgainstOrder { found } => (
            DATE_UNREADABLE,
            words!(
                "{found} is no date in the order that season.toml names; it is one in the other order.",
                found = quoted(found)
            ),
            words!("Write it as year-month-day: 2025-07-04."),
        ),
        ProblemKind::NotATime { found } => (
            TIME_UNREADABLE,
            words!("{found} is no time of day.", found = quoted(found)),
            words!("Write it as 9:30, 14:05 or 2:05 pm; half past nine is 9:30, not 9.5."),
        ),
        ProblemKind::NotYesOrNo { found } => (
            ANSWER_UNREADABLE,
            words!("{found} is neither yes nor no.", found = quoted(found)),
            words!("Write yes or no, or leave the cell empty."),
        ),
        ProblemKind::NotAChoice {
            found,
            choices,
            nearest,
        } => (
            WORD_UNKNOWN,
            match nearest {
                Some(nearest) => words!(
                    "{found} is not known here; {nearest} is near it.",
                    found = quoted(found),
                    nearest
                ),
                None => words!("{found} is not known here.", found = quoted(found)),
            },
            words!("Use one of {choices}.", choices),
        ),
        ProblemKind::RowWidth { cells, headings } => (
            ROW_TOO_WIDE,
            words!(
                "The row has {cells} cells under {headings} headings.",
                cells = *cells,
                headings = *headings
            ),
            words!(
                "Put texts that hold a comma into double quotes, and check each cell of the row."
            ),
        ),
        ProblemKind::NotUtf8 { read_as } => (
            TEXT_NOT_UTF8,
            words!(
                "The table is not UTF-8; it was read as {read_as}.",
                read_as = *read_as
            ),
            words!("Save it as CSV UTF-8."),
        ),
        ProblemKind::KeyUnknown { key, nearest } => (
            SETTING_UNKNOWN,
            match nearest {
                Some(nearest) => words!(
                    "The key {key} is not known; {nearest} is near it.",
                    key,
                    nearest
                ),
                None => words!("The key {key} is not known.", key),
            },
            words!("Correct its spelling, or take it out; docs/season-folder.md lists all keys."),
        ),
        ProblemKind::KeyMissing { key } => (
            SETTING_MISSING,
            words!("The key {key} is missing.", key = *key),
            match *key {
                "time_zone" => words!(
                    "Add time_zone = \"America/New_York\", or the IANA zone that the phones were on."
                ),
                "year" => words!("Add year = 2025, or the season's year."),
                key => words!("Add {key} = \"…\".", key),
            },
        ),
        ProblemKind::KeyWrong { key, reason } => (
            SETTING_WRONG,
            words!("{key} can't be used: {reason}.", key, reason),
            words!("Correct it; docs/season-folder.md shows what it may hold."),
        ),
        ProblemKind::FeatureWrong { reason } => (
            OUTLINE_WRONG,
            words!("The feature can't be used: {reason}.", reason),
            words!(
                "Mend it in the program that drew it, and export it as GeoJSON (longitude first, WGS 84)."
            ),
        ),
        ProblemKind::Table(kind) => tables::word(kind),
    };
    let also = match &problem.kind {
        ProblemKind::Table(kind) => tables::also(kind),
        ProblemKind::DateAmbiguous { more, .. } => more,
        _ => &[],
    };
    let finding = rule
        .at(problem.place.clone(), message, mend)
        .with(also.iter().cloned());
    match &problem.row {
        Some(row) => finding.quoting(row),
        None => finding,
    }
}
