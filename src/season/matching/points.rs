//! The pull of a photo: what place, time and the boats' tracks say for each of its day, in points ([`POINTS`]).
//!
//! Takes a photo with its site and its place; gives the pull that leads, or all that fit where none does, with the reason in words.
//! Must not choose the site, nor look at another photo.

use chrono::{NaiveDateTime, TimeDelta};

use super::{Matcher, Support};
use crate::season::nearness::{Nearness, Standing};
use crate::season::value::fold;
use crate::season::whereabouts::PositionSource;
use crate::season::{Pull, Site};
use crate::words;
use crate::words::{Words, number};

/// How long before the start and after the end of a pull its photos are taken: launching, unloading.
const AROUND_A_PULL: TimeDelta = TimeDelta::hours(2);

/// A track this near to a photo at its moment is that of the photographer's boat, or of one beside it.
const BESIDE_A_TRACK_M: f64 = 50.0;

/// What speaks for a pull, in points. The weights are this project's own, chosen so that the pull's hours decide between pulls at one
/// site, and the place between pulls at one time; docs/photos.md lists them.
pub struct Points {
    inside: f64,
    at_the_edge: f64,
    by_track: f64,
    said: f64,
    near: f64,
    in_hours: f64,
    hours_not_logged: f64,
    /// Just before the start or after the end, …
    around: f64,
    /// … falling to this at [`AROUND_A_PULL`].
    farther: f64,
    beside_a_track: f64,
    /// A pull has to lead by so much.
    lead: f64,
    /// Fewer than this tie a photo to nothing.
    least: f64,
}

pub const POINTS: Points = Points {
    inside: 4.0,
    at_the_edge: 3.0,
    by_track: 3.0,
    said: 3.0,
    near: 1.0,
    in_hours: 4.0,
    hours_not_logged: 2.0,
    around: 3.0,
    farther: 1.0,
    beside_a_track: 1.0,
    lead: 1.0,
    least: 1.0,
};

/// The outcome of looking for the pull.
pub(super) struct Found<'a> {
    pub(super) pull: Option<&'a Pull>,
    pub(super) candidates: Vec<&'a Pull>,
    pub(super) points: Option<f64>,
    pub(super) support: Support,
    pub(super) reason: Words,
}

impl Found<'_> {
    fn nothing(reason: Words) -> Self {
        Self {
            pull: None,
            candidates: Vec::new(),
            points: None,
            support: Support::None,
            reason,
        }
    }
}

/// Points with the words for them.
struct Speaks {
    points: f64,
    words: Vec<Words>,
}

impl<'a> Matcher<'a> {
    /// The pull, the pulls that fit where several do, what ties the photo to it, and why.
    pub(super) fn pull(&self, site: Option<&Site>, near: Option<Nearness>) -> Found<'a> {
        if let Some(said) = self.note.and_then(|note| note.pull.as_deref()) {
            return match self.log.by_id.get(&fold(said)) {
                Some(pull) => Found {
                    pull: Some(*pull),
                    support: Support::Said,
                    ..Found::nothing(words!("photos.csv names the pull"))
                },
                None => {
                    Found::nothing(words!("photos.csv names a pull that the log does not have"))
                }
            };
        }
        let Some(local) = self.timing.local else {
            return Found::nothing(words!("it has no time"));
        };
        let of_day = self
            .log
            .of_day
            .get(&local.date())
            .map_or(&[][..], Vec::as_slice);
        if of_day.is_empty() {
            return Found::nothing(words!("no pull was logged on that day"));
        }
        let (support, place) = self.place(site, near);
        let mut ranked: Vec<(&'a Pull, Speaks)> = of_day
            .iter()
            .filter(|(_, at)| site.is_none_or(|site| at.is_some_and(|other| other.id == site.id)))
            .map(|(pull, _)| (*pull, self.speaks_for(pull, local, &place)))
            .collect();
        // The log's order stands among equals.
        ranked.sort_by(|a, b| b.1.points.total_cmp(&a.1.points));
        let Some((best, speaks)) = ranked.first() else {
            return Found::nothing(words!("no pull was logged at that site on that day"));
        };
        let points = Some(speaks.points);
        if speaks.points < POINTS.least {
            return Found::nothing(words!(
                "taken on the day of a pull, hours from it, and it does not say where"
            ));
        }
        let rivals: Vec<&'a Pull> = ranked
            .iter()
            .filter(|(_, other)| speaks.points - other.points < POINTS.lead)
            .map(|(pull, _)| *pull)
            .collect();
        if rivals.len() > 1 {
            return Found {
                candidates: rivals,
                points,
                ..Found::nothing(words!(
                    "several pulls fit: {reasons}",
                    reasons = Words::joined(speaks.words.iter().cloned(), "; ")
                ))
            };
        }
        Found {
            pull: Some(best),
            candidates: Vec::new(),
            points,
            support,
            reason: Words::joined(speaks.words.iter().cloned(), "; "),
        }
    }

    /// What the place says: how it supports the photo, with points for every pull at the site.
    fn place(&self, site: Option<&Site>, near: Option<Nearness>) -> (Support, Speaks) {
        let speaks = |points: f64, words: Words| Speaks {
            points,
            words: vec![words],
        };
        let Some(site) = site else {
            let words = match &self.placed {
                Some(_) => words!("far from every site"),
                None => words!("it does not say where it was taken"),
            };
            return (Support::TimeAlone, speaks(0.0, words));
        };
        let Some((placed, near)) = self.placed.as_ref().zip(near) else {
            let words = words!("photos.csv puts it to {site}", site = &site.id);
            return (Support::Said, speaks(POINTS.said, words));
        };
        let standing = near.standing(placed.error_m);
        if standing == Standing::Outside && !near.inside {
            let words = words!(
                "{distance} m outside {site}, its position good to {error} m",
                distance = number(format!("{:.0}", near.edge_m)),
                site = &site.id,
                error = number(format!("{:.0}", placed.error_m))
            );
            return (Support::TimeAlone, speaks(POINTS.near, words));
        }
        let where_to = match standing {
            Standing::AtTheEdge => words!(
                "within {distance} m of the edge of {site}",
                distance = number(format!("{:.0}", near.edge_m.ceil())),
                site = &site.id
            ),
            _ => words!("inside {site}", site = &site.id),
        };
        match &placed.source {
            PositionSource::Measured if standing == Standing::AtTheEdge => (
                Support::PositionAndTime,
                speaks(POINTS.at_the_edge, where_to),
            ),
            PositionSource::Measured => (Support::PositionAndTime, speaks(POINTS.inside, where_to)),
            PositionSource::Track { file } => (
                Support::TrackAndTime,
                speaks(
                    POINTS.by_track,
                    words!("{where_to} by {file}", where_to, file),
                ),
            ),
        }
    }

    fn speaks_for(&self, pull: &Pull, local: NaiveDateTime, place: &Speaks) -> Speaks {
        let mut speaks = Speaks {
            points: place.points,
            words: place.words.clone(),
        };
        let mut say = |points: f64, words: Words| {
            speaks.points += points;
            speaks.words.push(words);
        };
        match hours(pull) {
            None => say(
                POINTS.hours_not_logged,
                words!("on the pull's day, whose hours are not logged"),
            ),
            Some((start, end)) => {
                let (early, late) = (start - local, local - end);
                let apart = early.max(late);
                if apart <= TimeDelta::zero() {
                    say(POINTS.in_hours, words!("between the pull's start and end"));
                } else {
                    let part = apart.num_seconds() as f64 / AROUND_A_PULL.num_seconds() as f64;
                    let words = {
                        let minutes = number(apart.num_minutes().to_string());
                        if early > late {
                            words!("{minutes} min before its start", minutes)
                        } else {
                            words!("{minutes} min after its end", minutes)
                        }
                    };
                    let points = if part <= 1.0 {
                        POINTS.around + part * (POINTS.farther - POINTS.around)
                    } else {
                        0.0
                    };
                    say(points, words);
                }
            }
        }
        if let Some(file) = self.crew_track(pull) {
            say(
                POINTS.beside_a_track,
                words!("{file} passed there then", file),
            );
        }
        speaks
    }

    /// A track that passed by the photo's own place at its moment, within the pull's hours.
    fn crew_track(&self, pull: &Pull) -> Option<&'a str> {
        let placed = self.placed.as_ref().filter(|placed| placed.is_measured())?;
        let (moment, clock_s) = (self.timing.utc?, self.clock_s?);
        let local = self.timing.local?;
        let (start, end) = hours(pull)?;
        (local >= start - AROUND_A_PULL && local <= end + AROUND_A_PULL).then_some(())?;
        self.trails
            .passing(
                placed.point(),
                moment,
                clock_s,
                BESIDE_A_TRACK_M + placed.error_m,
            )
            .first()
            .copied()
    }
}

/// A pull's first and last moment, where both are logged.
pub fn hours(pull: &Pull) -> Option<(NaiveDateTime, NaiveDateTime)> {
    let date = pull.date()?;
    Some((date.and_time(pull.start()?), date.and_time(pull.end()?)))
}
