//! cover.csv: cover classes, percentages or quadrat counts by plot, before and after.

use chrono::NaiveDate;
use serde::Serialize;

use super::problem::{Problem, ProblemKind};
use super::settings::CoverScale;
use super::table::{Column, Row, TableProblem, each, must, quantity, text};
use super::value::DateHabits;
use crate::phrase;
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

/// Reads the rows. `scale` is what a number between 0 and 1 is by season.toml.
pub fn read(
    rows: &[Row],
    dates: DateHabits,
    scale: Option<CoverScale>,
    problems: &mut Vec<Problem>,
) -> Vec<CoverRow> {
    let mut read: Vec<CoverRow> = each(rows, dates, problems, |take| CoverRow {
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
    });
    settle_scale(&mut read, scale, problems);
    read
}

/// A number that may be a share of one: no sign says that it is per cent.
fn may_be_share(row: &CoverRow) -> bool {
    row.percent.is_some()
        && row
            .row
            .text("percent")
            .is_some_and(|text| !text.contains('%'))
}

/// Shares of one are read as such where season.toml says so; where it says nothing and no number is above one, it is told.
fn settle_scale(rows: &mut [CoverRow], scale: Option<CoverScale>, problems: &mut Vec<Problem>) {
    let bare = || rows.iter().filter(|row| may_be_share(row));
    match scale {
        Some(CoverScale::Percent) => {}
        Some(CoverScale::Share) => {
            for row in rows.iter_mut().filter(|row| may_be_share(row)) {
                match row.percent.filter(|share| *share <= 1.0) {
                    // A hundred times a binary fraction carries dust behind its twelfth figure.
                    Some(share) => row.percent = Some((share * 1e11).round() / 1e9),
                    None => {
                        problems.push(problem(
                            &row.row,
                            ProblemKind::NotANumber {
                                found: row.row.text("percent").unwrap_or_default().to_owned(),
                                expected: phrase!("a share of the plot, 0 to 1"),
                            },
                        ));
                        row.percent = None;
                    }
                }
            }
        }
        None => {
            let some = |row: &&CoverRow| row.percent.is_some_and(|cover| cover > 0.0);
            if bare().any(|row| row.percent.is_some_and(|cover| cover > 1.0)) {
                return;
            }
            let mut unclear = bare().filter(some);
            if let Some(first) = unclear.next() {
                problems.push(problem(
                    &first.row,
                    ProblemKind::Table(TableProblem::CoverScale {
                        found: first.row.text("percent").unwrap_or_default().to_owned(),
                        more: unclear.map(|row| row.row.cell_place("percent")).collect(),
                    }),
                ));
            }
        }
    }
}

fn problem(row: &Row, kind: ProblemKind) -> Problem {
    Problem {
        place: row.cell_place("percent"),
        kind,
        row: Some(row.quote(Some("percent"))),
    }
}
