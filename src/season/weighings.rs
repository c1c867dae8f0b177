//! weighings.csv: the containers that were weighed or counted, one row each.

use chrono::NaiveDate;

use super::kinds::singular;
use super::problem::Problem;
use super::table::{Column, Row, Sums, each, must, quantity, text};
use super::value::DateHabits;
use crate::units::Dimension;

pub const COLUMNS: &[Column] = &[
    text(
        "pull",
        &[
            "pull id",
            "pull no",
            "pull number",
            "outing",
            "outing id",
            "trip",
            "trip id",
            "trip no",
        ],
    ),
    text(
        "date",
        &["day", "pull date", "date weighed", "weighing date"],
    ),
    text(
        "site",
        &["location", "site name", "site id", "place", "reach", "cove"],
    ),
    must(
        "container",
        &[
            "container kind",
            "container type",
            "kind of container",
            "type of container",
            "bag type",
        ],
    ),
    quantity(
        "mass",
        Dimension::Mass,
        &[
            "wet mass",
            "weight",
            "wet weight",
            "wt",
            "drained weight",
            "net weight",
        ],
    ),
    text(
        "plants",
        &[
            "rosettes",
            "plant count",
            "rosette count",
            "no of plants",
            "number of plants",
            "number of rosettes",
        ],
    )
    .summing(Sums::PerRow),
    text("stage", &["growth stage", "plant stage", "life stage"]),
    text(
        "notes",
        &["note", "remark", "remarks", "comment", "comments"],
    ),
];

/// One container put on the scale or counted out. Mass in kilograms.
#[derive(Debug, Clone, PartialEq)]
pub struct Weighing {
    pub row: Row,
    pub pull: Option<String>,
    pub date: Option<NaiveDate>,
    pub site: Option<String>,
    pub container: Option<String>,
    pub mass: Option<f64>,
    pub plants: Option<f64>,
    /// As the row says; where it is silent the pull's row decides.
    pub stage: Option<String>,
}

/// Reads the rows.
pub fn read(rows: &[Row], dates: DateHabits, problems: &mut Vec<Problem>) -> Vec<Weighing> {
    each(rows, dates, problems, |take| Weighing {
        pull: take.text("pull"),
        date: take.date("date"),
        site: take.text("site"),
        container: take.needed("container").map(|kind| singular(&kind)),
        mass: take.quantity("mass"),
        plants: take.number("plants"),
        stage: take.text("stage").map(|stage| stage.to_lowercase()),
        row: take.row.clone(),
    })
}
