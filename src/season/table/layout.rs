//! Where in a sheet the headings stand, and what stands above and below them.

use super::grid::{Cell, Grid, Line};
use super::headings::{Fit, Meaning, Recogniser};
use crate::season::value::fold;
use crate::units::Unit;

/// Lines that are looked at for headings: no title block is longer.
const LINES_LOOKED_AT: usize = 60;

/// The line of headings, by its number in the grid's list, and how well it fits.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Layout {
    pub heading: usize,
    pub fit: Fit,
}

impl Layout {
    /// Has the sheet all headings that the table must have? Two known ones are the least: one word may stand anywhere.
    pub fn fits(&self) -> bool {
        self.fit.missing.is_empty() && self.fit.known >= 2
    }
}

fn fit(line: &Line, recogniser: &Recogniser<'_>) -> Fit {
    let texts: Vec<&str> = line.cells.iter().map(|cell| cell.text.as_str()).collect();
    recogniser.fit(&texts)
}

/// The first line that has all headings it must have, else the one that has most, else the first line.
pub(super) fn of(grid: &Grid, recogniser: &Recogniser<'_>) -> Option<Layout> {
    let mut best: Option<Layout> = None;
    for (heading, line) in grid.lines.iter().take(LINES_LOOKED_AT).enumerate() {
        // A line with nothing but far cells is no line of headings.
        if line.filled().next().is_none() {
            continue;
        }
        let layout = Layout {
            heading,
            fit: fit(line, recogniser),
        };
        if layout.fits() {
            return Some(layout);
        }
        let better = best
            .as_ref()
            .is_none_or(|best| layout.fit.known >= 2 && layout.fit.known > best.fit.known);
        if better {
            best = Some(layout);
        }
    }
    best
}

/// The headings of a line that mean nothing.
pub(super) fn unknown(grid: &Grid, heading: usize, recogniser: &Recogniser<'_>) -> Vec<String> {
    grid.lines
        .get(heading)
        .into_iter()
        .flat_map(Line::filled)
        .map(|(_, cell)| cell.text.trim())
        .filter(|text| recogniser.meaning(text) == Meaning::Nothing)
        .map(str::to_owned)
        .collect()
}

/// Is the line a line of headings by itself, further down in a table?
pub(super) fn is_heading(line: &Line, recogniser: &Recogniser<'_>) -> bool {
    // Cheap first: a line of headings has no numbers and no dates.
    if line.filled().count() < 2
        || line
            .filled()
            .any(|(_, cell)| cell.text.trim().starts_with(|c: char| c.is_ascii_digit()))
    {
        return false;
    }
    let fit = fit(line, recogniser);
    fit.missing.is_empty() && fit.known >= 2 && 2 * fit.known > fit.filled
}

/// Do two lines say the same, cell by cell?
pub(super) fn same_words(a: &[Cell], b: &[Cell]) -> bool {
    let width = a.len().max(b.len());
    (0..width).all(|at| {
        let text = |cells: &[Cell]| {
            cells
                .get(at)
                .map_or_else(String::new, |cell| fold(&cell.text))
        };
        text(a) == text(b)
    })
}

/// Units in a line of their own below the headings, by column; nothing where the line is none.
pub(super) fn units_below(
    headings: &Line,
    below: &Line,
    recogniser: &Recogniser<'_>,
) -> Option<Vec<Option<String>>> {
    let mut units: Vec<Option<String>> = vec![None; headings.cells.len()];
    let mut any = false;
    for (at, cell) in below.filled() {
        let unit = cell.text.trim().trim_matches(['(', ')', '[', ']']).trim();
        let dimension = Unit::named(unit)?.dimension();
        let heading = headings.cell(at)?;
        let Meaning::Column(name, _) = recogniser.meaning(&heading.text) else {
            return None;
        };
        if recogniser.column(name)?.quantity? != dimension {
            return None;
        }
        *units.get_mut(at)? = Some(unit.to_owned());
        any = true;
    }
    any.then_some(units)
}

/// The word of a merged cell above a heading, where the line above holds groups and no title.
pub(super) fn group_above(grid: &Grid, heading: usize, column: usize) -> Option<&str> {
    let above = grid.lines.get(heading.checked_sub(1)?)?;
    let own = grid.lines.get(heading)?;
    // A group stands right above its headings.
    if above.number.checked_add(1) != Some(own.number) {
        return None;
    }
    let column = u32::try_from(column).ok()?;
    let region = grid.merged.iter().find(|region| {
        (region.rows.0..=region.rows.1).contains(&above.number)
            && region.rows.1 < own.number
            && (region.columns.0..=region.columns.1).contains(&column)
    })?;
    let wide = region.columns.1.saturating_sub(region.columns.0) as usize + 1;
    if wide < 2 || wide >= own.filled().count() {
        return None;
    }
    let text = above.cell(region.columns.0 as usize)?.text.trim();
    Some(text)
}
