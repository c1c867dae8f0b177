//! The rows of one outing gathered to a pull, and what it says as a whole: its day, its people, its hours.
//!
//! Takes rows, gives pulls. What a row does not give is taken from the next that does; hours follow from heads and clock where the log
//! has none. Must not reckon what came out: that is the strata's and the figures'.

use std::collections::BTreeMap;

use chrono::{NaiveDate, NaiveTime};

use super::PullRow;
use crate::place::Place;
use crate::season::value::fold;
use crate::shared::Shared;

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
    pub id: Shared,
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

/// Pulls by their ids in the form in which ids are compared; of two with one id the first.
pub fn by_id(pulls: &[Pull]) -> BTreeMap<String, &Pull> {
    let mut found = BTreeMap::new();
    for pull in pulls {
        found.entry(fold(&pull.id)).or_insert(pull);
    }
    found
}

/// Gathers rows to pulls in the order in which their ids first come. A row without id is a pull of its own.
pub fn gather(rows: Vec<PullRow>) -> Vec<Pull> {
    let mut pulls: Vec<Pull> = Vec::new();
    let mut index: BTreeMap<String, usize> = BTreeMap::new();
    for row in rows {
        let Some(id) = row.pull.clone() else {
            pulls.push(Pull {
                id: format!("row {}", row.row.number).into(),
                rows: vec![row],
            });
            continue;
        };
        match index.get(&fold(&id)).and_then(|at| pulls.get_mut(*at)) {
            Some(pull) => pull.rows.push(row),
            None => {
                index.insert(fold(&id), pulls.len());
                pulls.push(Pull {
                    id: id.into(),
                    rows: vec![row],
                });
            }
        }
    }
    pulls
}
