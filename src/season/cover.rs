//! cover.csv: cover classes, percentages or quadrat counts by plot, before and after.

use chrono::NaiveDate;
use serde::Serialize;

use super::problem::Problem;
use super::table::{Column, Row, each, must, quantity, text};
use super::value::DateHabits;
use crate::units::Dimension;

pub const COLUMNS: &[Column] = &[
    must("date", &["day"]),
    must("site", &["location", "site name", "site id"]),
    text("plot", &["quadrat"]),
    text("station", &["photo station"]),
    text(
        "when",
        &["before after", "before or after", "visit", "timing"],
    ),
    text("class", &["cover class"]),
    text(
        "percent",
        &[
            "cover",
            "cover percent",
            "percent cover",
            "cover pct",
            "pct cover",
        ],
    ),
    text("plants", &["rosettes", "plant count"]),
    quantity("plot_area", Dimension::Area, &["quadrat area"]),
    text("notes", &["note", "remarks", "comments"]),
];

/// Before or after the pull.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum When {
    Before,
    After,
}

pub(super) const WHENS: &[(&str, When)] = &[("before", When::Before), ("after", When::After)];

/// A look at one plot. Plot area in square metres.
#[derive(Debug, Clone, PartialEq)]
pub struct CoverRow {
    pub row: Row,
    pub date: Option<NaiveDate>,
    pub site: Option<String>,
    pub plot: Option<String>,
    pub station: Option<String>,
    pub when: Option<When>,
    pub class: Option<String>,
    pub percent: Option<f64>,
    pub plants: Option<f64>,
    pub plot_area: Option<f64>,
}

/// Reads the rows.
pub fn read(rows: &[Row], dates: DateHabits, problems: &mut Vec<Problem>) -> Vec<CoverRow> {
    each(rows, dates, problems, |take| CoverRow {
        date: {
            take.needed("date");
            take.date("date")
        },
        site: take.needed("site"),
        plot: take.text("plot"),
        station: take.text("station"),
        when: take.choice("when", WHENS),
        class: take.text("class"),
        percent: take.percent("percent"),
        plants: take.number("plants"),
        plot_area: take.quantity("plot_area"),
        row: take.row.clone(),
    })
}
