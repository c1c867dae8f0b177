//! Which pull, site and station each photo belongs to, with the reason in words.
//!
//! Takes records, gives matches. Opens no file and corrects nothing: a clock that is off stays off until photos.csv or season.toml
//! says otherwise. Site, time and the boats' tracks speak for a pull in points ([`POINTS`]); the pull that leads is the photo's, and
//! where none leads all that fit are named.

use std::collections::BTreeMap;

use chrono::{DateTime, NaiveDate, NaiveDateTime, TimeDelta, Utc};
use geo::{Distance, Geodesic};
use serde::Serialize;

use super::clocks::{self, Corrected, Timing};
use super::nearness::{Nearness, Standing, nearness};
use super::value::fold;
use super::whereabouts::{Placed, PositionSource, Trails};
use super::{Ground, PhotoNote, Pull, Role, Settings, Site, Station, Track};
use crate::photo::Photo;

/// What ties a photo to a pull.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Support {
    /// Taken at the pull's site, by its own position, on the pull's day.
    PositionAndTime,
    /// Taken at the pull's site, by a boat's track at its moment, on the pull's day.
    TrackAndTime,
    /// photos.csv says so.
    Said,
    /// Taken on the pull's day; where, it does not say.
    TimeAlone,
    /// Nothing ties it to a pull.
    None,
}

impl Support {
    pub fn word(self) -> &'static str {
        match self {
            Self::PositionAndTime => "position and time",
            Self::TrackAndTime => "track and time",
            Self::Said => "said",
            Self::TimeAlone => "time alone",
            Self::None => "none",
        }
    }
}

/// Where a photo belongs.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PhotoMatch {
    /// Number of the photo in the season's list.
    pub photo: usize,
    /// Time by the season's clock, corrected where photos.csv or season.toml says by how much.
    pub local: Option<NaiveDateTime>,
    pub utc: Option<DateTime<Utc>>,
    pub corrected: Corrected,
    /// Where it was taken: as the photo says, or by a track at its moment.
    pub placed: Option<Placed>,
    /// The site's id.
    pub site: Option<String>,
    /// Metres from the site's outline, by its position; 0 within.
    pub distance_m: Option<f64>,
    /// Inside the site, outside, or so near to the edge that its position can't tell.
    pub standing: Option<Standing>,
    /// The nearest site and the metres to it, where the photo has a position and belongs to no site.
    pub nearest: Option<(String, f64)>,
    /// The pull's id.
    pub pull: Option<String>,
    /// The pulls that it may belong to, where more than one fits.
    pub candidates: Vec<String>,
    /// Points of the pull, or of the best candidate: see [`POINTS`].
    pub points: Option<f64>,
    pub support: Support,
    pub station: Option<String>,
    pub role: Option<Role>,
    pub reason: String,
}

/// A photo counts as taken at a site when its position lies within its own error of the outline; phones that don't tell
/// their error are given this many metres (common practice, no source: open sky, no assistance data).
pub const ASSUMED_POSITION_ERROR_M: f64 = 15.0;

/// Beyond this a photo is not counted to its nearest site at all.
const FARTHEST_SITE_M: f64 = 500.0;

/// A photo belongs to a station when it was taken this near to the mark, beyond its own error, …
const STATION_REACH_M: f64 = 15.0;

/// … and looked the same way within this many degrees.
pub const STATION_BEARING_DEGREES: f64 = 20.0;

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

/// Matches every photo, in the order of the photos.
pub fn match_photos(
    photos: &[Photo],
    notes: &[PhotoNote],
    pulls: &[Pull],
    ground: &Ground,
    tracks: &[Track],
    settings: &Settings,
) -> Vec<PhotoMatch> {
    let notes = Notes::of(notes);
    let timings: Vec<Timing> = photos
        .iter()
        .map(|photo| clocks::timing(photo, notes.on(&photo.path), settings))
        .collect();
    let runs = clocks::clock_runs(photos, &timings);
    let trails = Trails::of(tracks);
    let mut of_day: BTreeMap<NaiveDate, Vec<&Pull>> = BTreeMap::new();
    for pull in pulls.iter().filter(|pull| !pull.is_empty()) {
        if let Some(date) = pull.date() {
            of_day.entry(date).or_default().push(pull);
        }
    }
    photos
        .iter()
        .zip(&timings)
        .enumerate()
        .map(|(index, (photo, timing))| {
            let clock_s = clocks::clock_error(photo, timing, &runs);
            Matcher {
                photo,
                note: notes.on(&photo.path),
                timing: *timing,
                clock_s,
                placed: placed(photo, timing, clock_s, &trails),
                pulls,
                of_day: &of_day,
                ground,
                trails: &trails,
            }
            .run(index)
        })
        .collect()
}

/// Where a photo was taken: as it says, else by a track.
fn placed(
    photo: &Photo,
    timing: &Timing,
    clock_s: Option<f64>,
    trails: &Trails<'_>,
) -> Option<Placed> {
    if let Some(position) = photo.position {
        return Some(Placed {
            latitude: position.latitude,
            longitude: position.longitude,
            error_m: position.error_m.unwrap_or(ASSUMED_POSITION_ERROR_M),
            source: PositionSource::Measured,
        });
    }
    trails.at(timing.utc?, clock_s?)
}

/// Rows of photos.csv by the file that they name.
struct Notes<'a>(BTreeMap<&'a str, (usize, &'a PhotoNote)>);

impl<'a> Notes<'a> {
    fn of(notes: &'a [PhotoNote]) -> Self {
        let mut by_file = BTreeMap::new();
        for (number, note) in notes.iter().enumerate() {
            if let Some(file) = note.file.as_deref() {
                by_file.entry(file).or_insert((number, note));
            }
        }
        Self(by_file)
    }

    /// The first row that names a photo by its path below the season folder or below photos/.
    fn on(&self, photo: &str) -> Option<&'a PhotoNote> {
        let below = photo.strip_prefix("photos/");
        std::iter::once(photo)
            .chain(below)
            .filter_map(|name| self.0.get(name))
            .min_by_key(|(number, _)| *number)
            .map(|(_, note)| *note)
    }
}

/// What photos.csv says of a photo, by its path below the season folder or below photos/.
pub(super) fn note_on<'a>(notes: &'a [PhotoNote], photo: &str) -> Option<&'a PhotoNote> {
    notes.iter().find(|note| {
        note.file
            .as_deref()
            .is_some_and(|file| file == photo || photo.strip_prefix("photos/") == Some(file))
    })
}

struct Matcher<'a> {
    photo: &'a Photo,
    note: Option<&'a PhotoNote>,
    timing: Timing,
    clock_s: Option<f64>,
    placed: Option<Placed>,
    pulls: &'a [Pull],
    of_day: &'a BTreeMap<NaiveDate, Vec<&'a Pull>>,
    ground: &'a Ground,
    trails: &'a Trails<'a>,
}

/// The outcome of looking for the pull.
struct Found<'a> {
    pull: Option<&'a Pull>,
    candidates: Vec<&'a Pull>,
    points: Option<f64>,
    support: Support,
    reason: String,
}

impl Found<'_> {
    fn nothing(reason: &str) -> Self {
        Self {
            pull: None,
            candidates: Vec::new(),
            points: None,
            support: Support::None,
            reason: reason.to_owned(),
        }
    }
}

/// Points with the words for them.
struct Speaks {
    points: f64,
    words: Vec<String>,
}

impl<'a> Matcher<'a> {
    fn run(self, index: usize) -> PhotoMatch {
        let said_site = self
            .note
            .and_then(|note| note.site.as_deref())
            .and_then(|name| self.ground.site(name));
        let station = self.station();
        let station_site = station
            .and_then(|station| station.site.as_deref())
            .and_then(|name| self.ground.site(name));
        let nearest = self.nearest_site();
        let reach = self.reach();
        let site = said_site.or(station_site).or(nearest
            .filter(|(_, near)| near.outside_m() <= reach.max(FARTHEST_SITE_M))
            .map(|(site, _)| site));
        let near = match (site, nearest) {
            (Some(site), Some((other, near))) if site.id == other.id => Some(near),
            (Some(site), _) => self
                .placed
                .as_ref()
                .map(|placed| nearness(&site.outline, placed.point())),
            _ => None,
        };
        let found = self.pull(site, near);
        let role = self
            .note
            .and_then(|note| note.role)
            .or_else(|| station.and_then(|_| self.role(self.timing.local, found.pull, site)));
        PhotoMatch {
            photo: index,
            local: self.timing.local,
            utc: self.timing.utc,
            corrected: self.timing.corrected,
            site: site.map(|site| site.id.clone()),
            distance_m: near.map(Nearness::outside_m),
            standing: near.map(|near| near.standing(reach)),
            nearest: match site {
                Some(_) => None,
                None => nearest.map(|(site, near)| (site.id.clone(), near.outside_m())),
            },
            pull: found.pull.map(|pull| pull.id.clone()),
            candidates: found
                .candidates
                .iter()
                .map(|pull| pull.id.clone())
                .collect(),
            points: found.points,
            support: found.support,
            station: station.map(|station| station.id.clone()),
            role,
            reason: found.reason,
            placed: self.placed,
        }
    }

    /// How far the position may be off.
    fn reach(&self) -> f64 {
        self.placed
            .as_ref()
            .map_or(ASSUMED_POSITION_ERROR_M, |placed| placed.error_m)
    }

    fn nearest_site(&self) -> Option<(&'a Site, Nearness)> {
        let point = self.placed.as_ref()?.point();
        self.ground
            .sites
            .iter()
            .map(|site| (site, nearness(&site.outline, point)))
            .min_by(|a, b| a.1.outside_m().total_cmp(&b.1.outside_m()))
    }

    fn station(&self) -> Option<&'a Station> {
        if let Some(said) = self.note.and_then(|note| note.station.as_deref()) {
            return self.ground.station(said);
        }
        // A track says where the boat was, not which mark somebody stood on.
        let placed = self.placed.as_ref().filter(|placed| placed.is_measured())?;
        let bearing = self.photo.bearing?.degrees;
        self.ground
            .stations
            .iter()
            .map(|station| (station, Geodesic.distance(placed.point(), station.point)))
            .filter(|(station, distance)| {
                *distance <= STATION_REACH_M + placed.error_m
                    && station.bearing.is_some_and(|to| {
                        bearing_difference(bearing, to) <= STATION_BEARING_DEGREES
                    })
            })
            .min_by(|a, b| a.1.total_cmp(&b.1))
            .map(|(station, _)| station)
    }

    /// The pull, the pulls that fit where several do, what ties the photo to it, and why.
    fn pull(&self, site: Option<&Site>, near: Option<Nearness>) -> Found<'a> {
        if let Some(said) = self.note.and_then(|note| note.pull.as_deref()) {
            return match self.pulls.iter().find(|pull| fold(&pull.id) == fold(said)) {
                Some(pull) => Found {
                    pull: Some(pull),
                    support: Support::Said,
                    ..Found::nothing("photos.csv names the pull")
                },
                None => Found::nothing("photos.csv names a pull that the log does not have"),
            };
        }
        let Some(local) = self.timing.local else {
            return Found::nothing("it has no time");
        };
        let of_day = self
            .of_day
            .get(&local.date())
            .map_or(&[][..], Vec::as_slice);
        if of_day.is_empty() {
            return Found::nothing("no pull was logged on that day");
        }
        let (support, place) = self.place(site, near);
        let mut ranked: Vec<(&'a Pull, Speaks)> = of_day
            .iter()
            .copied()
            .filter(|pull| {
                site.is_none_or(|site| {
                    pull.site_text()
                        .and_then(|name| self.ground.site(name))
                        .is_some_and(|other| other.id == site.id)
                })
            })
            .map(|pull| (pull, self.speaks_for(pull, local, &place)))
            .collect();
        // The log's order stands among equals.
        ranked.sort_by(|a, b| b.1.points.total_cmp(&a.1.points));
        let Some((best, speaks)) = ranked.first() else {
            return Found::nothing("no pull was logged at that site on that day");
        };
        let points = Some(speaks.points);
        if speaks.points < POINTS.least {
            return Found::nothing(
                "taken on the day of a pull, hours from it, and it does not say where",
            );
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
                ..Found::nothing(&format!("several pulls fit: {}", speaks.words.join("; ")))
            };
        }
        Found {
            pull: Some(best),
            candidates: Vec::new(),
            points,
            support,
            reason: speaks.words.join("; "),
        }
    }

    /// What the place says: how it supports the photo, with points for every pull at the site.
    fn place(&self, site: Option<&Site>, near: Option<Nearness>) -> (Support, Speaks) {
        let speaks = |points: f64, words: String| Speaks {
            points,
            words: vec![words],
        };
        let Some(site) = site else {
            let words = match &self.placed {
                Some(_) => "far from every site",
                None => "it does not say where it was taken",
            };
            return (Support::TimeAlone, speaks(0.0, words.to_owned()));
        };
        let Some((placed, near)) = self.placed.as_ref().zip(near) else {
            let words = format!("photos.csv puts it to {}", site.id);
            return (Support::Said, speaks(POINTS.said, words));
        };
        let standing = near.standing(placed.error_m);
        if standing == Standing::Outside && !near.inside {
            let words = format!(
                "{:.0} m outside {}, its position good to {:.0} m",
                near.edge_m, site.id, placed.error_m
            );
            return (Support::TimeAlone, speaks(POINTS.near, words));
        }
        let where_to = match standing {
            Standing::AtTheEdge => format!(
                "within {:.0} m of the edge of {}",
                near.edge_m.ceil(),
                site.id
            ),
            _ => format!("inside {}", site.id),
        };
        match &placed.source {
            PositionSource::Measured if standing == Standing::AtTheEdge => (
                Support::PositionAndTime,
                speaks(POINTS.at_the_edge, where_to),
            ),
            PositionSource::Measured => (Support::PositionAndTime, speaks(POINTS.inside, where_to)),
            PositionSource::Track { file } => (
                Support::TrackAndTime,
                speaks(POINTS.by_track, format!("{where_to} by {file}")),
            ),
        }
    }

    fn speaks_for(&self, pull: &Pull, local: NaiveDateTime, place: &Speaks) -> Speaks {
        let mut speaks = Speaks {
            points: place.points,
            words: place.words.clone(),
        };
        let mut say = |points: f64, words: String| {
            speaks.points += points;
            speaks.words.push(words);
        };
        match hours(pull) {
            None => say(
                POINTS.hours_not_logged,
                "on the pull's day, whose hours are not logged".to_owned(),
            ),
            Some((start, end)) => {
                let (early, late) = (start - local, local - end);
                let apart = early.max(late);
                if apart <= TimeDelta::zero() {
                    say(
                        POINTS.in_hours,
                        "between the pull's start and end".to_owned(),
                    );
                } else {
                    let part = apart.num_seconds() as f64 / AROUND_A_PULL.num_seconds() as f64;
                    let words = format!(
                        "{} min {}",
                        apart.num_minutes(),
                        if early > late {
                            "before its start"
                        } else {
                            "after its end"
                        }
                    );
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
            say(POINTS.beside_a_track, format!("{file} passed there then"));
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

    /// Before or after, where photos.csv is silent: by the clock of the pull, or of the season at the site.
    fn role(
        &self,
        local: Option<NaiveDateTime>,
        pull: Option<&Pull>,
        site: Option<&Site>,
    ) -> Option<Role> {
        let local = local?;
        if let Some(pull) = pull
            && let (Some(start), Some(end), Some(date)) = (pull.start(), pull.end(), pull.date())
        {
            let half = (end - start) / 2;
            return Some(if local < date.and_time(start) + half {
                Role::Before
            } else {
                Role::After
            });
        }
        let site = site?;
        let days: Vec<chrono::NaiveDate> = self
            .pulls
            .iter()
            .filter(|pull| {
                pull.site_text()
                    .and_then(|name| self.ground.site(name))
                    .is_some_and(|other| other.id == site.id)
            })
            .filter_map(Pull::date)
            .collect();
        let (first, last) = (days.iter().min()?, days.iter().max()?);
        if local.date() < *first {
            Some(Role::Before)
        } else if local.date() > *last {
            Some(Role::After)
        } else {
            None
        }
    }
}

/// A pull's first and last moment, where both are logged.
pub(super) fn hours(pull: &Pull) -> Option<(NaiveDateTime, NaiveDateTime)> {
    let date = pull.date()?;
    Some((date.and_time(pull.start()?), date.and_time(pull.end()?)))
}

/// Degrees between two bearings, 0 to 180.
pub fn bearing_difference(a: f64, b: f64) -> f64 {
    let apart = (a - b).rem_euclid(360.0);
    apart.min(360.0 - apart)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bearings_wrap() {
        assert_eq!(bearing_difference(350.0, 10.0), 20.0);
        assert_eq!(bearing_difference(10.0, 350.0), 20.0);
        assert_eq!(bearing_difference(0.0, 180.0), 180.0);
    }
}
