//! Which pull, site and station each photo belongs to, with the reason in words.
//!
//! Takes records, gives matches. Opens no file and corrects nothing: a clock that is off stays off until photos.csv or season.toml
//! says otherwise. Site, time and the boats' tracks speak for a pull in points ([`points`]); the pull that leads is the photo's, and
//! where none leads all that fit are named.

mod points;

use std::collections::BTreeMap;

use chrono::{DateTime, NaiveDate, NaiveDateTime, Utc};
use geo::{Distance, Geodesic};
use rayon::prelude::*;
use serde::Serialize;

use super::clocks::{self, Corrected, Timing};
use super::nearness::{Nearness, Outlines, Standing, nearness, surely_farther};
use super::pulls::by_id;
use super::whereabouts::{Placed, PositionSource, Trails};
use super::{Ground, PhotoNote, PhotoNotes, Pull, Role, Settings, Site, Station, Track};
use crate::photo::Photo;
use crate::shared::Shared;
use crate::words::Words;
pub(super) use points::hours;

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
    pub site: Option<Shared>,
    /// Metres from the site's outline, by its position; 0 within.
    pub distance_m: Option<f64>,
    /// Inside the site, outside, or so near to the edge that its position can't tell.
    pub standing: Option<Standing>,
    /// The nearest site and the metres to it, where the photo has a position and belongs to no site.
    pub nearest: Option<(Shared, f64)>,
    /// The pull's id.
    pub pull: Option<Shared>,
    /// The pulls that it may belong to, where more than one fits.
    pub candidates: Vec<Shared>,
    /// Points of the pull, or of the best candidate: see [`points`].
    pub points: Option<f64>,
    pub support: Support,
    pub station: Option<Shared>,
    pub role: Option<Role>,
    pub reason: Words,
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

/// Matches every photo, in the order of the photos.
pub fn match_photos(
    photos: &[Photo],
    notes: &PhotoNotes,
    pulls: &[Pull],
    ground: &Ground,
    tracks: &[Track],
    settings: &Settings,
) -> Vec<PhotoMatch> {
    let first_note = |photo: &Photo| notes.on(&photo.path).first().copied();
    let timings: Vec<Timing> = photos
        .iter()
        .map(|photo| clocks::timing(photo, first_note(photo), settings))
        .collect();
    let runs = clocks::clock_runs(photos, &timings);
    let trails = Trails::of(tracks);
    let log = Log::of(pulls, ground);
    let outlines = Outlines::of(ground.sites.iter().map(|site| &site.outline));
    photos
        .par_iter()
        .zip(&timings)
        .enumerate()
        .map(|(index, (photo, timing))| {
            let clock_s = clocks::clock_error(photo, timing, &runs);
            Matcher {
                photo,
                note: first_note(photo),
                timing: *timing,
                clock_s,
                placed: placed(photo, timing, clock_s, &trails),
                log: &log,
                ground,
                outlines: &outlines,
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

/// The pulls, to be found by day, by id and by site: there may be thousands, and every photo asks.
struct Log<'a> {
    /// Each with its site; empty pulls are left out.
    of_day: BTreeMap<NaiveDate, Vec<(&'a Pull, Option<&'a Site>)>>,
    /// As [`by_id`] has them.
    by_id: BTreeMap<String, &'a Pull>,
    /// A site's first and last day, by its id.
    days_at: BTreeMap<&'a Shared, (NaiveDate, NaiveDate)>,
}

impl<'a> Log<'a> {
    fn of(pulls: &'a [Pull], ground: &'a Ground) -> Self {
        let mut log = Self {
            of_day: BTreeMap::new(),
            by_id: by_id(pulls),
            days_at: BTreeMap::new(),
        };
        for pull in pulls {
            let Some(date) = pull.date() else { continue };
            let site = pull.site_text().and_then(|name| ground.site(name));
            if let Some(site) = site {
                log.days_at
                    .entry(&site.id)
                    .and_modify(|(first, last)| {
                        *first = date.min(*first);
                        *last = date.max(*last);
                    })
                    .or_insert((date, date));
            }
            if !pull.is_empty() {
                log.of_day.entry(date).or_default().push((pull, site));
            }
        }
        log
    }
}

struct Matcher<'a> {
    photo: &'a Photo,
    note: Option<&'a PhotoNote>,
    timing: Timing,
    clock_s: Option<f64>,
    placed: Option<Placed>,
    log: &'a Log<'a>,
    ground: &'a Ground,
    /// Of the ground's sites.
    outlines: &'a Outlines<'a>,
    trails: &'a Trails<'a>,
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
        let (index, near) = self.outlines.nearest(point)?;
        Some((self.ground.sites.get(index)?, near))
    }

    fn station(&self) -> Option<&'a Station> {
        if let Some(said) = self.note.and_then(|note| note.station.as_deref()) {
            return self.ground.station(said);
        }
        // A track says where the boat was, not which mark somebody stood on.
        let placed = self.placed.as_ref().filter(|placed| placed.is_measured())?;
        let bearing = self.photo.bearing?.degrees;
        let reach = STATION_REACH_M + placed.error_m;
        self.ground
            .stations
            .iter()
            .filter(|station| {
                let faces = |to| bearing_difference(bearing, to) <= STATION_BEARING_DEGREES;
                station.bearing.is_some_and(faces)
                    && !surely_farther(placed.point(), station.point, reach)
            })
            .map(|station| (station, Geodesic.distance(placed.point(), station.point)))
            .filter(|(_, distance)| *distance <= reach)
            .min_by(|a, b| a.1.total_cmp(&b.1))
            .map(|(station, _)| station)
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
        let (first, last) = self.log.days_at.get(&site?.id)?;
        if local.date() < *first {
            Some(Role::Before)
        } else if local.date() > *last {
            Some(Role::After)
        } else {
            None
        }
    }
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
