//! pulls.csv: the log of what was done on the water, row by row, and gathered to pulls.
//!
//! Takes the rows of the table, gives them as records ([`PullRow`]), which `pull` gathers; `columns` has the headings. Must not judge
//! what a row says: that is the finding room's.

mod columns;
mod pull;

use chrono::{NaiveDate, NaiveTime};
use serde::Serialize;

use super::kinds::singular;
use super::problem::Problem;
use super::table::{Row, Taker, each};
use super::value::DateHabits;

pub use columns::COLUMNS;
pub use pull::{Effort, Pull, by_id, gather};

/// How an amount is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Basis {
    Counted,
    Weighed,
    Guessed,
}

pub(super) const BASES: &[(&str, Basis)] = &[
    ("counted", Basis::Counted),
    ("count", Basis::Counted),
    ("weighed", Basis::Weighed),
    ("guessed", Basis::Guessed),
    ("estimated", Basis::Guessed),
    ("guess", Basis::Guessed),
];

/// What the fruit was like.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Fruit {
    None,
    Green,
    Ripe,
    Dropped,
}

pub(super) const FRUITS: &[(&str, Fruit)] = &[
    ("none", Fruit::None),
    ("no", Fruit::None),
    ("green", Fruit::Green),
    ("ripe", Fruit::Ripe),
    ("dropped", Fruit::Dropped),
];

/// A row of the log. Hours are person-hours, areas square metres, mass kilograms.
#[derive(Debug, Clone, PartialEq)]
pub struct PullRow {
    pub row: Row,
    pub pull: Option<String>,
    pub date: Option<NaiveDate>,
    pub site: Option<String>,
    pub pass: Option<u32>,
    pub start: Option<NaiveTime>,
    pub end: Option<NaiveTime>,
    pub staff: Option<u32>,
    pub volunteers: Option<u32>,
    pub staff_hours: Option<f64>,
    pub volunteer_hours: Option<f64>,
    pub travel_hours: Option<f64>,
    pub paid_by: Option<String>,
    pub boats: Option<u32>,
    /// What tells crews of one day apart: a letter or a colour, never a person.
    pub crew: Option<String>,
    pub searched_area: Option<f64>,
    pub treated_area: Option<f64>,
    /// Kind of container, in the singular and in small letters.
    pub container: Option<String>,
    pub containers: Option<f64>,
    pub mass: Option<f64>,
    pub plants: Option<f64>,
    pub basis: Option<Basis>,
    pub stage: Option<String>,
    pub fruit: Option<Fruit>,
    pub water_level: Option<String>,
    pub finished: Option<bool>,
    pub return_by: Option<NaiveDate>,
    pub disposal: Option<String>,
    pub gear_cleaned: Option<bool>,
    pub bloom_seen: Option<bool>,
    pub other_species: Option<String>,
    pub incident: Option<String>,
    pub notes: Option<String>,
}

impl PullRow {
    /// Kilograms in each container of a row that gives both, where they are more than nothing.
    pub fn mass_each(&self) -> Option<f64> {
        match (self.mass, self.containers) {
            (Some(mass), Some(containers)) if mass > 0.0 && containers > 0.0 => {
                Some(mass / containers)
            }
            _ => None,
        }
    }
}

/// Reads the rows.
pub fn read(rows: &[Row], dates: DateHabits, problems: &mut Vec<Problem>) -> Vec<PullRow> {
    each(rows, dates, problems, |take| PullRow {
        pull: take.needed("pull"),
        date: {
            take.needed("date");
            take.date("date")
        },
        site: take.needed("site"),
        pass: take.count("pass"),
        start: take.time("start"),
        end: take.time("end"),
        staff: take.count("staff"),
        volunteers: take.count("volunteers"),
        staff_hours: take.quantity("staff_hours"),
        volunteer_hours: take.quantity("volunteer_hours"),
        travel_hours: take.quantity("travel_hours"),
        paid_by: take.text("paid_by"),
        boats: take.count("boats"),
        crew: take.text("crew"),
        searched_area: take.quantity("searched_area"),
        treated_area: take.quantity("treated_area"),
        container: take.text("container").map(|kind| singular(&kind)),
        containers: take.number("containers"),
        mass: take.quantity("mass"),
        plants: take.number("plants"),
        basis: take.choice("basis", BASES),
        stage: take.text("stage").map(|stage| stage.to_lowercase()),
        fruit: fruit(take),
        water_level: take.text("water_level"),
        finished: take.yes_or_no("finished"),
        return_by: take.date("return_by"),
        disposal: take.text("disposal"),
        gear_cleaned: take.yes_or_no("gear_cleaned"),
        bloom_seen: take.yes_or_no("bloom_seen"),
        other_species: take.text("other_species"),
        incident: take.text("incident"),
        notes: take.text("notes"),
        row: take.row.clone(),
    })
}

fn fruit(take: &mut Taker<'_>) -> Option<Fruit> {
    take.choice("fruit", FRUITS)
}
