//! A row whose headings name several kinds of container, as a row for each.

use super::column::Sums;
use super::trouble::TableProblem;
use super::{Row, cell_place};
use crate::season::problem::{Problem, ProblemKind, RowText};
use crate::season::value;

/// A row whose headings name kinds of container becomes a row for each kind that it fills.
pub(super) fn by_kind(row: Row, rows: &mut Vec<Row>, problems: &mut Vec<Problem>) {
    let kinds: Vec<usize> = row
        .head
        .headings
        .iter()
        .enumerate()
        .filter(|(at, heading)| {
            heading.kind.is_some()
                && row
                    .cells
                    .get(*at)
                    .is_some_and(|cell| !value::is_blank(cell))
        })
        .map(|(at, _)| at)
        .collect();
    let Some((first, others)) = kinds.split_first() else {
        rows.push(row);
        return;
    };
    let shared: Vec<usize> = row
        .head
        .headings
        .iter()
        .enumerate()
        .filter(|(at, heading)| {
            heading.kind.is_none()
                && heading.column.is_some()
                && row.head.sums.get(*at) == Some(&Sums::PerRow)
                && row
                    .cells
                    .get(*at)
                    .is_some_and(|cell| !cell.trim().is_empty())
        })
        .map(|(at, _)| at)
        .collect();
    for at in others {
        let mut other = row.clone();
        other.kind = Some(*at);
        // What is said of the whole row counts with its first kind.
        for column in &shared {
            if let Some(cell) = other.cells.get_mut(*column) {
                cell.clear();
            }
        }
        rows.push(other);
    }
    if !others.is_empty() {
        for column in shared {
            let heading = row
                .head
                .headings
                .get(column)
                .map(|heading| heading.text.clone())
                .unwrap_or_default();
            problems.push(Problem {
                place: cell_place(&row.head, row.number, column),
                kind: ProblemKind::Table(TableProblem::AmountOfKinds { heading }),
                row: Some(RowText {
                    cells: row.cells.clone(),
                    cell: Some(column),
                }),
            });
        }
    }
    let at = rows.len() - others.len();
    rows.insert(
        at,
        Row {
            kind: Some(*first),
            ..row
        },
    );
}
