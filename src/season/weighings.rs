//! weighings.csv: the containers that were weighed or counted, one row each.

use chrono::NaiveDate;

use super::problem::Problem;
use super::pulls::singular;
use super::table::{Column, Row, each, must, quantity, text};
use super::value::DateOrder;
use crate::units::Dimension;

pub const COLUMNS: &[Column] = &[
    text("pull", &["pull id", "pull no", "outing"]),
    text("date", &["day"]),
    text("site", &["location"]),
    must("container", &["container kind", "container type"]),
    quantity(
        "mass",
        Dimension::Mass,
        &["wet mass", "weight", "wet weight"],
    ),
    text("plants", &["rosettes", "plant count"]),
    text("stage", &["growth stage"]),
    text("notes", &["note", "remarks", "comments"]),
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
pub fn read(rows: &[Row], order: DateOrder, problems: &mut Vec<Problem>) -> Vec<Weighing> {
    each(rows, order, problems, |take| Weighing {
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
