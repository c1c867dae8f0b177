//! pulls.csv: the log of what was done on the water, row by row, and gathered to pulls.

use chrono::{NaiveDate, NaiveTime};
use serde::Serialize;

use super::kinds::singular;
use super::problem::Problem;
use super::table::{Column, Row, Sums, Taker, each, must, quantity, text};
use super::value::{DateHabits, fold};
use crate::place::Place;
use crate::units::Dimension;

pub const COLUMNS: &[Column] = &[
    must(
        "pull",
        &[
            "pull id",
            "pull no",
            "pull number",
            "outing",
            "outing id",
            "outing no",
            "trip",
            "trip id",
            "trip no",
            "event id",
            "event no",
        ],
    ),
    must(
        "date",
        &[
            "day",
            "pull date",
            "date of pull",
            "event date",
            "work date",
            "outing date",
            "trip date",
        ],
    ),
    must(
        "site",
        &[
            "location",
            "site name",
            "site id",
            "location name",
            "place",
            "reach",
            "cove",
        ],
    ),
    text("pass", &["pass no", "pass number"]),
    text(
        "start",
        &[
            "start time",
            "time in",
            "began",
            "time start",
            "time started",
            "started",
            "on water",
            "begin",
        ],
    ),
    text(
        "end",
        &[
            "end time",
            "time out",
            "stop",
            "stop time",
            "time end",
            "time ended",
            "ended",
            "finish time",
            "off water",
        ],
    ),
    text(
        "staff",
        &[
            "staff heads",
            "paid staff",
            "staff count",
            "no of staff",
            "number of staff",
            "paid crew",
        ],
    ),
    text(
        "volunteers",
        &[
            "volunteer heads",
            "vols",
            "volunteer count",
            "no of volunteers",
            "number of volunteers",
            "no of vols",
        ],
    ),
    quantity(
        "staff_hours",
        Dimension::Time,
        &[
            "paid hours",
            "staff hrs",
            "paid hrs",
            "staff time",
            "paid staff hours",
        ],
    ),
    quantity(
        "volunteer_hours",
        Dimension::Time,
        &[
            "vol hours",
            "vol hrs",
            "vols hours",
            "vols hrs",
            "volunteer hrs",
            "volunteers hours",
            "volunteer time",
            "donated hours",
        ],
    ),
    quantity(
        "travel_hours",
        Dimension::Time,
        &["travel", "travel hrs", "travel time", "drive time"],
    ),
    text("paid_by", &["payer", "funded by", "paid from", "funding"]),
    text(
        "boats",
        &[
            "canoes",
            "kayaks",
            "boat count",
            "no of boats",
            "number of boats",
        ],
    ),
    text("crew", &["team", "party", "crew id", "crew no"]),
    quantity(
        "searched_area",
        Dimension::Area,
        &[
            "area searched",
            "searched",
            "search area",
            "area surveyed",
            "surveyed",
        ],
    ),
    quantity(
        "treated_area",
        Dimension::Area,
        &[
            "area treated",
            "treated",
            "area pulled",
            "area cleared",
            "treatment area",
        ],
    ),
    text(
        "container",
        &[
            "container kind",
            "container type",
            "kind of container",
            "type of container",
            "bag type",
        ],
    ),
    text(
        "containers",
        &[
            "container count",
            "containers count",
            "number of containers",
            "no of containers",
        ],
    )
    .summing(Sums::PerRow),
    quantity(
        "mass",
        Dimension::Mass,
        &[
            "wet mass",
            "weight",
            "wet weight",
            "total weight",
            "biomass",
            "wet biomass",
            "wt",
            "weight removed",
            "weight pulled",
            "removed",
        ],
    ),
    text(
        "plants",
        &[
            "rosettes",
            "plant count",
            "rosette count",
            "plants pulled",
            "plants removed",
            "no of plants",
            "number of plants",
            "no of rosettes",
            "number of rosettes",
        ],
    )
    .summing(Sums::PerRow),
    text(
        "basis",
        &["how known", "how measured", "counted or guessed"],
    ),
    text(
        "stage",
        &["growth stage", "plant stage", "life stage", "phenology"],
    ),
    text("fruit", &["fruits", "nuts", "seeds", "fruit stage"]),
    text("water_level", &["lake level", "pond level", "gauge"]),
    text(
        "finished",
        &[
            "done",
            "site done",
            "site finished",
            "complete",
            "completed",
        ],
    ),
    text(
        "return_by",
        &[
            "return",
            "return date",
            "next visit",
            "revisit by",
            "come back by",
        ],
    ),
    text(
        "disposal",
        &[
            "disposed",
            "disposed at",
            "disposal site",
            "disposal place",
            "compost site",
        ],
    ),
    text(
        "gear_cleaned",
        &[
            "gear clean",
            "boats cleaned",
            "boat cleaned",
            "clean drain dry",
        ],
    ),
    text("bloom_seen", &["bloom", "algal bloom", "algae bloom"]),
    text("other_species", &["other plants", "other invasives"]),
    text(
        "incident",
        &["incidents", "accident", "accidents", "injuries"],
    ),
    text(
        "notes",
        &[
            "note",
            "remark",
            "remarks",
            "comment",
            "comments",
            "observations",
        ],
    ),
];

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

fn fruit(take: &mut Taker<'_>) -> Option<Fruit> {
    take.choice("fruit", FRUITS)
}

/// Person-hours of a kind of people, and whether they stand in the log or follow from heads and clock.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Effort {
    Logged(f64),
    /// Heads × (end − start).
    Derived(f64),
    /// Nothing is said of this kind, while the other kind's hours are there: read as none.
    Silent,
    /// People were there, or nobody said, and the hours can't be told.
    Missing,
}

impl Effort {
    /// Person-hours, where they are known.
    pub fn hours(self) -> Option<f64> {
        match self {
            Effort::Logged(hours) | Effort::Derived(hours) => Some(hours),
            Effort::Silent => Some(0.0),
            Effort::Missing => None,
        }
    }
}

/// One crew at one site on one outing: the rows of the log that share an id.
#[derive(Debug, Clone, PartialEq)]
pub struct Pull {
    pub id: String,
    /// Never empty.
    pub rows: Vec<PullRow>,
}

impl Pull {
    /// The first value that a row gives.
    fn first<T>(&self, value: impl Fn(&PullRow) -> Option<T>) -> Option<T> {
        self.rows.iter().find_map(value)
    }

    pub fn date(&self) -> Option<NaiveDate> {
        self.first(|row| row.date)
    }

    /// The site as the log names it.
    pub fn site_text(&self) -> Option<&str> {
        self.rows.iter().find_map(|row| row.site.as_deref())
    }

    pub fn start(&self) -> Option<NaiveTime> {
        self.first(|row| row.start)
    }

    pub fn end(&self) -> Option<NaiveTime> {
        self.first(|row| row.end)
    }

    pub fn pass(&self) -> Option<u32> {
        self.first(|row| row.pass)
    }

    pub fn boats(&self) -> Option<u32> {
        self.first(|row| row.boats)
    }

    pub fn crew(&self) -> Option<&str> {
        self.rows.iter().find_map(|row| row.crew.as_deref())
    }

    pub fn staff(&self) -> Option<u32> {
        self.first(|row| row.staff)
    }

    pub fn volunteers(&self) -> Option<u32> {
        self.first(|row| row.volunteers)
    }

    pub fn paid_by(&self) -> Option<&str> {
        self.rows.iter().find_map(|row| row.paid_by.as_deref())
    }

    pub fn travel_hours(&self) -> Option<f64> {
        self.first(|row| row.travel_hours)
    }

    pub fn searched_area(&self) -> Option<f64> {
        self.first(|row| row.searched_area)
    }

    pub fn treated_area(&self) -> Option<f64> {
        self.first(|row| row.treated_area)
    }

    /// Hours between start and end, where both are there and in order.
    pub fn duration(&self) -> Option<f64> {
        let (start, end) = (self.start()?, self.end()?);
        let seconds = (end - start).num_seconds();
        // Exact: a day has far fewer seconds than a double has integers.
        (seconds > 0).then_some(seconds as f64 / 3600.0)
    }

    fn effort_of(&self, logged: Option<f64>, heads: Option<u32>) -> Option<Effort> {
        match (logged, heads) {
            (Some(hours), _) => Some(Effort::Logged(hours)),
            (None, Some(0)) => Some(Effort::Derived(0.0)),
            (None, Some(heads)) => Some(self.duration().map_or(Effort::Missing, |hours| {
                Effort::Derived(hours * f64::from(heads))
            })),
            (None, None) => None,
        }
    }

    /// Person-hours on the water of paid people and of volunteers.
    pub fn effort(&self) -> (Effort, Effort) {
        let staff = self.effort_of(self.first(|row| row.staff_hours), self.staff());
        let volunteers = self.effort_of(self.first(|row| row.volunteer_hours), self.volunteers());
        let silent = |other: Option<Effort>| match other {
            Some(_) => Effort::Silent,
            None => Effort::Missing,
        };
        (
            staff.unwrap_or_else(|| silent(volunteers)),
            volunteers.unwrap_or_else(|| silent(staff)),
        )
    }

    /// Does the log say neither who was there nor for how long nor what came out? Then it points to an outing and is none.
    pub fn is_empty(&self) -> bool {
        self.rows.iter().all(|row| {
            row.staff.is_none()
                && row.volunteers.is_none()
                && row.staff_hours.is_none()
                && row.volunteer_hours.is_none()
                && row.containers.is_none()
                && row.mass.is_none()
                && row.plants.is_none()
        })
    }

    /// All person-hours on the water, where both kinds are known.
    pub fn person_hours(&self) -> Option<f64> {
        let (staff, volunteers) = self.effort();
        Some(staff.hours()? + volunteers.hours()?)
    }

    /// Boats × (end − start).
    pub fn boat_hours(&self) -> Option<f64> {
        let boats = self.boats()?;
        if boats == 0 {
            return Some(0.0);
        }
        Some(self.duration()? * f64::from(boats))
    }

    pub fn places(&self) -> Vec<Place> {
        self.rows.iter().map(|row| row.row.place()).collect()
    }

    /// The first row's place, for messages about the pull as a whole.
    pub fn place(&self) -> Place {
        self.rows
            .first()
            .map_or_else(|| Place::whole("pulls"), |row| row.row.place())
    }
}

/// Gathers rows to pulls in the order in which their ids first come. A row without id is a pull of its own.
pub fn gather(rows: Vec<PullRow>) -> Vec<Pull> {
    let mut pulls: Vec<Pull> = Vec::new();
    let mut index: std::collections::BTreeMap<String, usize> = std::collections::BTreeMap::new();
    for row in rows {
        let Some(id) = row.pull.clone() else {
            pulls.push(Pull {
                id: format!("row {}", row.row.number),
                rows: vec![row],
            });
            continue;
        };
        match index.get(&fold(&id)).and_then(|at| pulls.get_mut(*at)) {
            Some(pull) => pull.rows.push(row),
            None => {
                index.insert(fold(&id), pulls.len());
                pulls.push(Pull {
                    id,
                    rows: vec![row],
                });
            }
        }
    }
    pulls
}
