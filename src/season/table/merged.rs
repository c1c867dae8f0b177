//! Cells that a workbook shows as one over several rows.
//!
//! Words and dates hold for each of the rows, and it is said. Amounts are counted once, in the first row; whether they were
//! meant for all rows together or for each, a person has to say.

use std::collections::BTreeMap;

use super::column::Sums;
use super::grid::{Grid, Region};
use super::trouble::TableProblem;
use super::{Head, cell_place};
use crate::season::problem::{Problem, ProblemKind, RowText};
use crate::season::value::fold;

/// Steps after which a workbook of nothing but merged cells is let be.
const MOST_STEPS: usize = 4_000_000;

/// Fills the cells below a merged one, in the lines after `from`.
pub(super) fn fill(grid: &mut Grid, from: usize, head: &Head, problems: &mut Vec<Problem>) {
    let mut steps = 0;
    let mut told: BTreeMap<usize, (u32, Vec<String>)> = BTreeMap::new();
    let regions = grid.merged.clone();
    let mut amounts: Vec<(usize, Region)> = Vec::new();
    for region in &regions {
        let column = region.columns.0 as usize;
        let Some(heading) = head.headings.get(column) else {
            continue;
        };
        if region.rows.1 <= region.rows.0 || heading.column.is_none() {
            continue;
        }
        let range = range(grid, from, region);
        steps += range.len();
        if steps > MOST_STEPS {
            break;
        }
        let Some(first) = grid
            .lines
            .get(range.start)
            .filter(|line| line.number == region.rows.0)
            .and_then(|line| line.cell(column))
            .cloned()
        else {
            continue;
        };
        if head.sums.get(column) != Some(&Sums::No) {
            amounts.push((column, *region));
            continue;
        }
        let mut filled = false;
        for line in grid
            .lines
            .get_mut(range)
            .unwrap_or_default()
            .iter_mut()
            .skip(1)
        {
            // A line of which nothing else is known is no row.
            if line.filled().next().is_none() {
                continue;
            }
            if line.cells.len() <= column {
                line.cells.resize(column + 1, super::grid::Cell::default());
            }
            if let Some(cell) = line.cells.get_mut(column)
                && cell.is_blank()
            {
                *cell = first.clone();
                filled = true;
            }
        }
        if filled {
            told.entry(column)
                .or_insert_with(|| (region.rows.0, Vec::new()))
                .1
                .push(region.name());
        }
    }
    for (column, (row, regions)) in told {
        let heading = head
            .headings
            .get(column)
            .map(|heading| heading.text.clone())
            .unwrap_or_default();
        problems.push(Problem {
            place: cell_place(head, row, column),
            kind: ProblemKind::Table(TableProblem::MergedFilled { heading, regions }),
            row: None,
        });
    }
    for (column, region) in amounts {
        if !counted_once_anyway(grid, from, head, column, &region) {
            tell_amount(grid, from, head, column, &region, problems);
        }
    }
}

/// The lines of a region, as a range of the grid's list.
fn range(grid: &Grid, from: usize, region: &Region) -> std::ops::Range<usize> {
    let start = grid
        .lines
        .partition_point(|line| line.number < region.rows.0)
        .max(from);
    let end = grid
        .lines
        .partition_point(|line| line.number <= region.rows.1)
        .max(start);
    start..end
}

/// Hours and areas of one pull count once, from its first row, so a merged cell over its rows says no more than that.
fn counted_once_anyway(
    grid: &Grid,
    from: usize,
    head: &Head,
    column: usize,
    region: &Region,
) -> bool {
    if head.sums.get(column) != Some(&Sums::PerPull) {
        return false;
    }
    let Some(pull) = head
        .headings
        .iter()
        .position(|heading| heading.column == Some("pull"))
    else {
        return false;
    };
    let mut ids = grid
        .lines
        .get(range(grid, from, region))
        .unwrap_or_default()
        .iter()
        .filter(|line| line.filled().next().is_some())
        .map(|line| line.cell(pull).map(|cell| fold(&cell.text)));
    let first = ids.next().flatten();
    first.is_some() && ids.all(|id| id == first)
}

fn tell_amount(
    grid: &Grid,
    from: usize,
    head: &Head,
    column: usize,
    region: &Region,
    problems: &mut Vec<Problem>,
) {
    let lines = grid
        .lines
        .get(range(grid, from, region))
        .unwrap_or_default();
    // Merged over rows of which only the first holds anything, it is an ordinary cell.
    if lines
        .iter()
        .skip(1)
        .all(|line| line.filled().next().is_none())
    {
        return;
    }
    let Some(line) = lines.first() else { return };
    let found = line
        .cell(column)
        .map(|cell| cell.text.trim().to_owned())
        .unwrap_or_default();
    problems.push(Problem {
        place: cell_place(head, line.number, column),
        kind: ProblemKind::Table(TableProblem::MergedAmount {
            heading: head
                .headings
                .get(column)
                .map(|heading| heading.text.clone())
                .unwrap_or_default(),
            found,
            region: region.name(),
        }),
        row: Some(RowText {
            cells: line.texts(),
            cell: Some(column),
        }),
    });
}
