//! history.csv: earlier seasons by site.

use super::problem::Problem;
use super::table::{Column, Row, Sums, each, must, quantity, text};
use super::value::DateHabits;
use crate::units::Dimension;

pub const COLUMNS: &[Column] = &[
    must("year", &["season"]),
    text("site", &["location", "site name", "site id"]),
    quantity(
        "effort",
        Dimension::Time,
        &[
            "effort hours",
            "person hours",
            "hours",
            "hrs",
            "total hours",
        ],
    )
    .summing(Sums::PerRow),
    text("removed", &["amount", "amount removed", "total removed"]).summing(Sums::PerRow),
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
pub fn read(rows: &[Row], dates: DateHabits, problems: &mut Vec<Problem>) -> Vec<HistoryRow> {
    each(rows, dates, problems, |take| HistoryRow {
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
