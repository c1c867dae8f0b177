//! history.csv: earlier seasons by site.

use super::problem::Problem;
use super::table::{Column, Row, each, must, quantity, text};
use super::value::DateOrder;
use crate::units::Dimension;

pub const COLUMNS: &[Column] = &[
    must("year", &["season"]),
    text("site", &["location"]),
    quantity("effort", Dimension::Time, &["effort hours", "person hours"]),
    text("removed", &["amount"]),
    text("unit", &[]),
    text("comparable", &[]),
    text("reason", &[]),
    text("notes", &["note", "remarks", "comments"]),
];

/// What an earlier season gave at a site. Effort in person-hours.
#[derive(Debug, Clone, PartialEq)]
pub struct HistoryRow {
    pub row: Row,
    pub year: Option<i32>,
    pub site: Option<String>,
    pub effort: Option<f64>,
    pub removed: Option<f64>,
    /// A unit of mass, or a kind of container.
    pub unit: Option<String>,
    /// False where the season can't be held against the others, with the reason.
    pub comparable: bool,
    pub reason: Option<String>,
}

/// Reads the rows.
pub fn read(rows: &[Row], order: DateOrder, problems: &mut Vec<Problem>) -> Vec<HistoryRow> {
    each(rows, order, problems, |take| HistoryRow {
        year: {
            take.needed("year");
            take.count("year").and_then(|year| i32::try_from(year).ok())
        },
        site: take.text("site"),
        effort: take.quantity("effort"),
        removed: take.number("removed"),
        unit: take.text("unit"),
        comparable: take.yes_or_no("comparable").unwrap_or(true),
        reason: take.text("reason"),
        row: take.row.clone(),
    })
}
