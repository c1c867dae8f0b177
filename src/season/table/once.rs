//! Problems that hold for a whole column, told once.
//!
//! Takes the problems of a table's cells; gives them with those joined that say the same of one column. Words for them are the finding
//! room's.

use std::collections::BTreeMap;

use super::trouble::TableProblem;
use super::{Row, cell_place};
use crate::place::{Place, Spot};
use crate::season::problem::{Problem, ProblemKind};
use crate::season::value::{self, DateOrder};

/// Joins problems that hold for a whole column, so that one slip is told once.
pub(super) fn gathered(found: Vec<Problem>, rows: &[Row]) -> Vec<Problem> {
    let mut kept: Vec<Problem> = Vec::new();
    let mut first_of: BTreeMap<(OnceAColumn, Place), usize> = BTreeMap::new();
    for problem in found {
        let Some(which) = OnceAColumn::of(&problem.kind) else {
            kept.push(problem);
            continue;
        };
        let key = (which, column_of(&problem.place));
        match first_of.get(&key).and_then(|at| kept.get_mut(*at)) {
            Some(first) => {
                if let Some(more) = more_of(&mut first.kind) {
                    more.push(problem.place);
                }
            }
            None => {
                first_of.insert(key, kept.len());
                kept.push(problem);
            }
        }
    }
    let mut shown_in: BTreeMap<Place, Option<(DateOrder, String)>> = BTreeMap::new();
    for problem in &mut kept {
        if let ProblemKind::DateAmbiguous { shown, .. } = &mut problem.kind {
            *shown = shown_in
                .entry(column_of(&problem.place))
                .or_insert_with(|| shown_by(rows, &problem.place))
                .clone();
        }
    }
    kept
}

/// The kinds of problem that are told once a column.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum OnceAColumn {
    AsText,
    Serial,
    SerialTime,
    YearMissing,
    TimePoint,
    TimesDecimal,
    HoursPoint,
    DateOrder,
}

impl OnceAColumn {
    fn of(kind: &ProblemKind) -> Option<Self> {
        match kind {
            ProblemKind::DateAmbiguous { .. } => Some(Self::DateOrder),
            ProblemKind::Table(TableProblem::NumbersAsText { .. }) => Some(Self::AsText),
            ProblemKind::Table(TableProblem::SerialDates { .. }) => Some(Self::Serial),
            ProblemKind::Table(TableProblem::SerialTimes { .. }) => Some(Self::SerialTime),
            ProblemKind::Table(TableProblem::DatesWithoutYear { .. }) => Some(Self::YearMissing),
            ProblemKind::Table(TableProblem::TimePointUnclear { .. }) => Some(Self::TimePoint),
            ProblemKind::Table(TableProblem::TimesDecimal { .. }) => Some(Self::TimesDecimal),
            ProblemKind::Table(TableProblem::HoursPointUnclear { .. }) => Some(Self::HoursPoint),
            _ => None,
        }
    }
}

fn more_of(kind: &mut ProblemKind) -> Option<&mut Vec<Place>> {
    match kind {
        ProblemKind::Table(
            TableProblem::NumbersAsText { more, .. }
            | TableProblem::SerialDates { more, .. }
            | TableProblem::SerialTimes { more, .. }
            | TableProblem::DatesWithoutYear { more, .. }
            | TableProblem::TimePointUnclear { more, .. }
            | TableProblem::TimesDecimal { more, .. }
            | TableProblem::HoursPointUnclear { more, .. },
        )
        | ProblemKind::DateAmbiguous { more, .. } => Some(more),
        _ => None,
    }
}

/// A cell's place without its row.
fn column_of(place: &Place) -> Place {
    let mut place = place.clone();
    if let Spot::Cell(cell) = &mut place.spot {
        cell.row = 0;
    }
    place
}

/// The order that other dates of the column show, where they all show the same, with an example.
fn shown_by(rows: &[Row], place: &Place) -> Option<(DateOrder, String)> {
    let column = column_of(place);
    let mut shown: Option<(DateOrder, String)> = None;
    for row in rows {
        for (at, heading) in row.head.headings.iter().enumerate() {
            if heading.column.is_none() || column_of(&cell_place(&row.head, 0, at)) != column {
                continue;
            }
            let Some(text) = row.cells.get(at) else {
                continue;
            };
            let Some(order) = value::shown_order(text) else {
                continue;
            };
            match &shown {
                Some((other, _)) if *other != order => return None,
                Some(_) => {}
                None => shown = Some((order, text.trim().to_owned())),
            }
        }
    }
    shown
}
