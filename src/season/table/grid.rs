//! A sheet as the file has it: lines of cells with what kind of cell each is, before any heading is understood.

use crate::words;
use crate::words::Words;

/// What a cell is by its file's own word. Text files know only text.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Nature {
    #[default]
    Text,
    /// A number cell of a workbook.
    Number,
    /// A date, a time or a duration of a workbook.
    Moment,
    /// A formula that ends in an error, such as `#REF!`.
    Fault,
    /// A formula whose value the file does not hold.
    Unstored,
    /// Told already, or left out on purpose: reads as *not recorded*.
    Void,
}

/// A number that a workbook shows as a percentage, as it is shown but for its rounding: `0.57` is `57%`.
pub(super) fn percent(number: &str) -> String {
    number.parse::<f64>().map_or_else(
        |_| number.to_owned(),
        // A hundred times a binary fraction carries dust behind its twelfth figure.
        |number| format!("{}%", (number * 1e11).round() / 1e9),
    )
}

/// A cell as text, with its nature.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Cell {
    pub text: String,
    pub nature: Nature,
    /// Does a formula of the cell add up others?
    pub sums: bool,
}

impl Cell {
    pub fn text(text: impl Into<String>) -> Self {
        Self {
            text: text.into(),
            ..Self::default()
        }
    }

    pub fn is_blank(&self) -> bool {
        self.text.trim().is_empty() && self.nature != Nature::Unstored
    }
}

/// A line that holds anything.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Line {
    /// As a spreadsheet counts: the first is 1.
    pub number: u32,
    /// From column A on.
    pub cells: Vec<Cell>,
    /// Cells too far to the right to be part of any table: how many, and the column of the first, counted from 0.
    pub beyond: Option<(u32, u32)>,
}

impl Line {
    pub fn cell(&self, column: usize) -> Option<&Cell> {
        self.cells.get(column).filter(|cell| !cell.is_blank())
    }

    /// The cells that hold anything, with their columns.
    pub fn filled(&self) -> impl Iterator<Item = (usize, &Cell)> {
        self.cells
            .iter()
            .enumerate()
            .filter(|(_, cell)| !cell.is_blank())
    }

    pub fn texts(&self) -> Vec<String> {
        self.cells.iter().map(|cell| cell.text.clone()).collect()
    }
}

/// Cells that a workbook shows as one. Rows from 1 and columns from 0, both ends included.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Region {
    pub rows: (u32, u32),
    pub columns: (u32, u32),
}

impl Region {
    /// `A4:A6`.
    pub fn name(&self) -> String {
        format!(
            "{}{}:{}{}",
            letters(self.columns.0),
            self.rows.0,
            letters(self.columns.1),
            self.rows.1
        )
    }
}

/// A sheet of a workbook, or a whole text file.
#[derive(Debug, Clone, Default)]
pub struct Grid {
    /// None for a text file.
    pub sheet: Option<String>,
    pub hidden: bool,
    /// In the order of their numbers; empty ones are left out.
    pub lines: Vec<Line>,
    pub merged: Vec<Region>,
    /// Do serial dates count from 1904?
    pub from_1904: bool,
    /// Were lines or cells left out because there are more than any season's log has?
    pub cut: Option<Words>,
}

/// Columns that are read: no log comes near it, and it bounds time and memory.
pub const MOST_COLUMNS: usize = 512;

/// Lines that are read, for the same reason.
pub const MOST_LINES: usize = 50_000;

/// Bytes of text that are read from a file's cells. A workbook may hold one long text once and show it in a million cells.
pub const MOST_TEXT: usize = 16 << 20;

/// Cells that are read, empty ones between full ones included, for the same reason: enough for as many lines as are read with twenty
/// columns each.
pub const MOST_CELLS: usize = 1_000_000;

/// A column's letters as a spreadsheet names it; columns are counted from 0.
pub fn letters(column: u32) -> String {
    let mut rest = u64::from(column) + 1;
    let mut letters = Vec::new();
    while rest > 0 {
        // Below 26, so the cast is exact.
        letters.push(char::from(b'A' + ((rest - 1) % 26) as u8));
        rest = (rest - 1) / 26;
    }
    letters.iter().rev().collect()
}

/// Gathers the cells of a sheet, in any order of columns and with lines in the order of their numbers, within the bounds.
pub(super) struct Gatherer {
    pub grid: Grid,
    /// Bytes of text that may still come.
    text_left: usize,
    cells_left: usize,
}

impl Default for Gatherer {
    fn default() -> Self {
        Self::within(MOST_TEXT)
    }
}

impl Gatherer {
    /// A gatherer that takes so many bytes of text.
    pub fn within(text_left: usize) -> Self {
        Self {
            grid: Grid::default(),
            text_left,
            cells_left: MOST_CELLS,
        }
    }

    /// Bytes of text that may still come.
    pub fn text_left(&self) -> usize {
        self.text_left
    }

    /// Line and column are counted from 0. Gives false where nothing more will be taken.
    pub fn put(&mut self, line: u32, column: u32, cell: Cell) -> bool {
        if cell.is_blank() {
            return true;
        }
        let Some(text_left) = self.text_left.checked_sub(cell.text.len()) else {
            self.grid.cut = Some(words!(
                "only the first {size} MB of text are read",
                size = words::number((MOST_TEXT >> 20).to_string())
            ));
            return false;
        };
        self.text_left = text_left;
        let number = line.saturating_add(1);
        if self
            .grid
            .lines
            .last()
            .is_none_or(|last| last.number != number)
        {
            if self.grid.lines.len() >= MOST_LINES {
                self.grid.cut = Some(words!(
                    "only the first {lines} lines that hold anything are read",
                    lines = words::number(MOST_LINES.to_string())
                ));
                return false;
            }
            self.grid.lines.push(Line {
                number,
                cells: Vec::new(),
                beyond: None,
            });
        }
        let Some(last) = self.grid.lines.last_mut() else {
            return true;
        };
        // Lossless: a u32 fits.
        let at = column as usize;
        if at >= MOST_COLUMNS {
            last.beyond = Some(match last.beyond {
                Some((count, first)) => (count.saturating_add(1), first.min(column)),
                None => (1, column),
            });
            return true;
        }
        if last.cells.len() <= at {
            let Some(cells_left) = self.cells_left.checked_sub(at + 1 - last.cells.len()) else {
                self.grid.cut = Some(words!(
                    "only the first {cells} cells are read",
                    cells = words::number(MOST_CELLS.to_string())
                ));
                return false;
            };
            self.cells_left = cells_left;
            last.cells.resize(at + 1, Cell::default());
        }
        if let Some(place) = last.cells.get_mut(at) {
            *place = cell;
        }
        true
    }

    /// Gives the last line so many cells, if it is the one that is meant: an empty heading is a heading without words.
    pub fn widen(&mut self, line: u32, width: usize) {
        let number = line.saturating_add(1);
        if let Some(last) = self.grid.lines.last_mut()
            && last.number == number
            && let Some(more) = width.min(MOST_COLUMNS).checked_sub(last.cells.len())
            && let Some(cells_left) = self.cells_left.checked_sub(more)
        {
            self.cells_left = cells_left;
            last.cells.resize(last.cells.len() + more, Cell::default());
        }
    }

    /// Lines in order, whatever order the file had.
    pub fn finish(mut self) -> Grid {
        self.grid.lines.sort_by_key(|line| line.number);
        self.grid
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_have_the_letters_of_a_spreadsheet() {
        for (column, name) in [
            (0, "A"),
            (25, "Z"),
            (26, "AA"),
            (701, "ZZ"),
            (16_383, "XFD"),
        ] {
            assert_eq!(letters(column), name);
        }
    }

    #[test]
    fn a_percentage_is_a_hundred_times_its_number() {
        for (number, shown) in [
            ("0.5", "50%"),
            ("0.57", "57%"),
            ("0.333333333333", "33.333333333%"),
            ("1", "100%"),
            ("0", "0%"),
            ("soon", "soon"),
        ] {
            assert_eq!(percent(number), shown);
        }
    }

    #[test]
    fn a_far_cell_takes_no_room() {
        let mut gatherer = Gatherer::default();
        assert!(gatherer.put(0, 0, Cell::text("pull")));
        assert!(gatherer.put(1_048_575, 16_383, Cell::text("x")));
        let grid = gatherer.finish();
        assert_eq!(grid.lines[1].number, 1_048_576);
        assert_eq!(grid.lines[1].beyond, Some((1, 16_383)));
        assert!(grid.lines[1].cells.is_empty());
    }
}
