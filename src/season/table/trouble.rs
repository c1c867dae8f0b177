//! What reading a table met that a person has to know, beyond single cells. Words for it are the finding room's.

use crate::place::Place;
use crate::words::Words;

/// A heading in the words of its file, and the regions or cells that are meant.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum TableProblem {
    /// Lines above the headings.
    AboveHeadings { lines: Vec<u32>, first: String },
    /// The units stand in a line of their own below the headings.
    UnitsBelow { row: u32 },
    /// A heading that a merged cell above it names together with others.
    Grouped {
        heading: String,
        group: String,
        /// The column that both words together mean, where they mean one.
        read_as: Option<&'static str>,
    },
    /// A heading that may mean one of several columns.
    HeadingOneOf {
        heading: String,
        columns: &'static [&'static str],
    },
    /// The headings come again further down.
    HeadingsAgain,
    /// Another table below, which is not read, to its last row.
    TableBelow {
        /// The table whose headings it has.
        table: Option<&'static str>,
        headings: Vec<String>,
        /// The one heading that it lacks to be part of the table above.
        lacks: Option<&'static str>,
        last: u32,
        /// May its rows be records of the season?
        may_count: bool,
    },
    /// A line with a single word between the rows.
    LoneCell { found: String },
    /// A row of totals. What it sums, and the first and last row that it sums.
    Totals {
        columns: Vec<String>,
        rows: Option<(u32, u32)>,
    },
    /// A total that is not the sum of its rows.
    TotalDiffers {
        heading: String,
        found: String,
        sum: String,
    },
    /// Words or dates merged over rows, read for each of them.
    MergedFilled {
        heading: String,
        regions: Vec<String>,
    },
    /// An amount merged over rows, counted once.
    MergedAmount {
        heading: String,
        found: String,
        region: String,
    },
    /// A formula that ends in an error.
    FormulaFault { found: String },
    /// A formula whose value the file does not hold.
    FormulaUnstored,
    /// A column without heading that holds something.
    NoHeading { column: String, cells: usize },
    /// Cells far to the right of every table.
    FarCell { cell: String, cells: u32 },
    /// More than any season's table holds.
    Cut { reason: Words },
    /// More kinds of container, each at each growth stage, than are read.
    KindsCut { most: usize },
    /// Sheets that are no part of the table.
    SheetsNotRead { sheets: Vec<String> },
    /// A sheet that lacks little to be part of the table.
    SheetNearly {
        missing: Vec<&'static str>,
        /// Its headings that mean nothing.
        unknown: Vec<String>,
    },
    /// Several sheets make up the table.
    SheetsJoined { sheets: Vec<String>, rows: usize },
    /// A hidden sheet was read.
    SheetHidden,
    /// Rows of one sheet stand in another one too.
    RowsInTwoSheets {
        other: String,
        rows: Vec<u32>,
        there: Vec<Place>,
    },
    /// The table stands as a sheet in a workbook with another name.
    InWorkbook { table: &'static str },
    /// A file or sheet has a table's headings and not its name.
    Elsewhere {
        table: &'static str,
        sheet: Option<String>,
    },
    /// A format of tables that can't be read.
    OtherFormat {
        table: &'static str,
        /// Has the file the table's name?
        is_named: bool,
    },
    /// A quotation mark that is never closed.
    QuoteOpen,
    /// Numbers that the workbook keeps as texts.
    NumbersAsText { heading: String, more: Vec<Place> },
    /// A number with letters in the place of figures.
    LetterInNumber { found: String, read_as: String },
    /// A mark that may part thousands or decimals.
    MarkAmbiguous {
        found: String,
        read_as: String,
        other: String,
    },
    /// A number cell that the program has turned into a date.
    NumberTurnedDate { found: String },
    /// Dates that stand there as serial numbers.
    SerialDates {
        found: String,
        read_as: String,
        from_1904: bool,
        more: Vec<Place>,
    },
    /// Times that stand there as parts of a day.
    SerialTimes {
        found: String,
        read_as: String,
        more: Vec<Place>,
    },
    /// Dates that don't say their year.
    DatesWithoutYear {
        found: String,
        read_as: String,
        more: Vec<Place>,
    },
    /// A day of the week that the date does not have.
    WeekdayDiffers { found: String, is: String },
    /// Times such as 9.25, which may be 9:25 or 9:15, where nothing settles it.
    TimePointUnclear {
        found: String,
        read_as: String,
        other: Option<String>,
        more: Vec<Place>,
    },
    /// Times in hours and decimals, because a time of the table can be nothing else.
    TimesDecimal {
        found: String,
        read_as: String,
        more: Vec<Place>,
    },
    /// Hours such as 2.45, which look like hours and minutes.
    HoursPointUnclear {
        found: String,
        read_as: String,
        other: String,
        more: Vec<Place>,
    },
    /// Covers between 0 and 1, which may be per cent or shares.
    CoverScale { found: String, more: Vec<Place> },
    /// Hours given in another way than the column's.
    HoursConverted { found: String, read_as: String },
    /// A column whose heading names a kind of container, in a table without a column for kinds.
    KindFromHeading { heading: String, kind: String },
    /// A catch of several kinds in one row, with one amount for all of them.
    AmountOfKinds { heading: String },
    /// A path that fits a file in all but its spelling.
    PathLoose { found: String, read_as: String },
    /// A path that fits several files in all but its spelling.
    PathAmbiguous { found: String, files: Vec<String> },
}
