//! Which pull, site and station each photo belongs to, with the reason in words.
//!
//! Takes records, gives matches. Opens no file and corrects nothing: a clock that is off stays off until photos.csv says otherwise.

use chrono::{DateTime, NaiveDateTime, TimeDelta, Utc};
use geo::{Distance, Geodesic, Point};
use serde::Serialize;

use super::nearness::distance_to;
use super::value::fold;
use super::{Ground, PhotoNote, Pull, Role, Season, Settings, Site, Station};
use crate::photo::Photo;

/// What ties a photo to a pull.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Support {
    /// Taken at the pull's site, by its own position, on the pull's day.
    PositionAndTime,
    /// photos.csv says so.
    Said,
    /// Taken on the pull's day; where, it does not say.
    TimeAlone,
    /// Nothing ties it to a pull.
    None,
}

/// Where a photo belongs.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PhotoMatch {
    /// Number of the photo in the season's list.
    pub photo: usize,
    /// Time by the season's clock, corrected where photos.csv says by how much.
    pub local: Option<NaiveDateTime>,
    pub utc: Option<DateTime<Utc>>,
    /// The site's id.
    pub site: Option<String>,
    /// Metres from the site's outline, by the photo's own position; 0 within.
    pub distance_m: Option<f64>,
    /// The pull's id.
    pub pull: Option<String>,
    /// The pulls that it may belong to, where more than one fits.
    pub candidates: Vec<String>,
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

/// Matches every photo, in the order of the photos.
pub fn match_photos(
    photos: &[Photo],
    notes: &[PhotoNote],
    pulls: &[Pull],
    ground: &Ground,
    settings: &Settings,
) -> Vec<PhotoMatch> {
    photos
        .iter()
        .enumerate()
        .map(|(index, photo)| {
            let note = note_on(notes, &photo.path);
            Matcher {
                photo,
                note,
                pulls,
                ground,
                settings,
            }
            .run(index)
        })
        .collect()
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
    pulls: &'a [Pull],
    ground: &'a Ground,
    settings: &'a Settings,
}

impl Matcher<'_> {
    fn run(&self, index: usize) -> PhotoMatch {
        let (local, utc) = self.time();
        let nearest = self.nearest_site();
        let said_site = self
            .note
            .and_then(|note| note.site.as_deref())
            .and_then(|name| self.ground.site(name));
        let station = self.station();
        let station_site = station
            .and_then(|station| station.site.as_deref())
            .and_then(|name| self.ground.site(name));
        let reach = self.reach();
        let site = said_site.or(station_site).or(nearest
            .filter(|(_, distance)| *distance <= reach.max(FARTHEST_SITE_M))
            .map(|(site, _)| site));
        let distance_m = match (site, self.photo.position) {
            (Some(site), Some(position)) => Some(distance_to(
                &site.outline,
                Point::new(position.longitude, position.latitude),
            )),
            _ => None,
        };
        let (pull, candidates, support, reason) = self.pull(local, site, distance_m);
        let role = self
            .note
            .and_then(|note| note.role)
            .or_else(|| station.and_then(|_| self.role(local, pull, site)));
        PhotoMatch {
            photo: index,
            local,
            utc,
            site: site.map(|site| site.id.clone()),
            distance_m,
            pull: pull.map(|pull| pull.id.clone()),
            candidates: candidates.iter().map(|pull| pull.id.clone()).collect(),
            support,
            station: station.map(|station| station.id.clone()),
            role,
            reason,
        }
    }

    /// The moment of capture on the season's clock.
    fn time(&self) -> (Option<NaiveDateTime>, Option<DateTime<Utc>>) {
        let Some(captured) = self.photo.captured else {
            return (None, None);
        };
        let correction = self
            .note
            .and_then(|note| note.clock_correction)
            .and_then(TimeDelta::try_seconds)
            .unwrap_or_default();
        let utc = captured
            .utc(self.settings.time_zone)
            .instant()
            .and_then(|instant| instant.checked_add_signed(correction));
        let local = match utc {
            Some(utc) => Some(utc.with_timezone(&self.settings.time_zone).naive_local()),
            None => captured.local.checked_add_signed(correction),
        };
        (local, utc)
    }

    /// How far a position may be off.
    fn reach(&self) -> f64 {
        self.photo
            .position
            .and_then(|position| position.error_m)
            .unwrap_or(ASSUMED_POSITION_ERROR_M)
    }

    fn nearest_site(&self) -> Option<(&Site, f64)> {
        let position = self.photo.position?;
        let point = Point::new(position.longitude, position.latitude);
        self.ground
            .sites
            .iter()
            .map(|site| (site, distance_to(&site.outline, point)))
            .min_by(|a, b| a.1.total_cmp(&b.1))
    }

    fn station(&self) -> Option<&Station> {
        if let Some(said) = self.note.and_then(|note| note.station.as_deref()) {
            return self.ground.station(said);
        }
        let position = self.photo.position?;
        let bearing = self.photo.bearing?.degrees;
        let point = Point::new(position.longitude, position.latitude);
        self.ground
            .stations
            .iter()
            .map(|station| (station, Geodesic.distance(point, station.point)))
            .filter(|(station, distance)| {
                *distance <= STATION_REACH_M + self.reach()
                    && station.bearing.is_some_and(|to| {
                        bearing_difference(bearing, to) <= STATION_BEARING_DEGREES
                    })
            })
            .min_by(|a, b| a.1.total_cmp(&b.1))
            .map(|(station, _)| station)
    }

    /// The pull, the pulls that fit where several do, what ties the photo to it, and why.
    fn pull(
        &self,
        local: Option<NaiveDateTime>,
        site: Option<&Site>,
        distance_m: Option<f64>,
    ) -> (Option<&Pull>, Vec<&Pull>, Support, String) {
        let none = |reason: &str| (None, Vec::new(), Support::None, reason.to_owned());
        if let Some(said) = self.note.and_then(|note| note.pull.as_deref()) {
            return match self.pulls.iter().find(|pull| fold(&pull.id) == fold(said)) {
                Some(pull) => (
                    Some(pull),
                    Vec::new(),
                    Support::Said,
                    "photos.csv names the pull".to_owned(),
                ),
                None => none("photos.csv names a pull that the log does not have"),
            };
        }
        let Some(local) = local else {
            return none("it has no time");
        };
        let of_day: Vec<&Pull> = self
            .pulls
            .iter()
            .filter(|pull| pull.date() == Some(local.date()) && !pull.is_empty())
            .collect();
        if of_day.is_empty() {
            return none("no pull was logged on that day");
        }
        let at_site: Vec<&Pull> = match site {
            Some(site) => of_day
                .iter()
                .copied()
                .filter(|pull| {
                    pull.site_text()
                        .and_then(|name| self.ground.site(name))
                        .is_some_and(|other| other.id == site.id)
                })
                .collect(),
            None => of_day.clone(),
        };
        let in_place = distance_m.is_some_and(|distance| distance <= self.reach());
        let (support, how) = if site.is_none() {
            (
                Support::TimeAlone,
                "taken on that day; it does not say where",
            )
        } else if in_place {
            (Support::PositionAndTime, "taken at the site on that day")
        } else if self.photo.position.is_some() {
            (Support::TimeAlone, "taken near the site on that day")
        } else {
            (
                Support::Said,
                "photos.csv names the site; taken on that day",
            )
        };
        match at_site.as_slice() {
            [] => none("no pull was logged at that site on that day"),
            [only] => (Some(*only), Vec::new(), support, how.to_owned()),
            several => {
                let fitting: Vec<&Pull> = several
                    .iter()
                    .copied()
                    .filter(|pull| around(pull, local))
                    .collect();
                match fitting.as_slice() {
                    [only] => (
                        Some(*only),
                        Vec::new(),
                        support,
                        format!("{how}, in that pull's hours"),
                    ),
                    _ => match innermost(&fitting, local) {
                        Some(pull) => (
                            Some(pull),
                            Vec::new(),
                            support,
                            format!("{how}, between that pull's start and end"),
                        ),
                        None => (
                            None,
                            if fitting.is_empty() {
                                several.to_vec()
                            } else {
                                fitting
                            },
                            Support::None,
                            "several pulls fit".to_owned(),
                        ),
                    },
                }
            }
        }
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

/// Is the moment in the pull's hours, launching and unloading included?
fn around(pull: &Pull, local: NaiveDateTime) -> bool {
    match (pull.date(), pull.start(), pull.end()) {
        (Some(date), Some(start), Some(end)) => {
            local >= date.and_time(start) - AROUND_A_PULL
                && local <= date.and_time(end) + AROUND_A_PULL
        }
        _ => true,
    }
}

/// The one pull whose hours hold the moment.
fn innermost<'a>(pulls: &[&'a Pull], local: NaiveDateTime) -> Option<&'a Pull> {
    let mut within = pulls.iter().filter(|pull| {
        matches!((pull.start(), pull.end()), (Some(start), Some(end)) if local.time() >= start && local.time() <= end)
    });
    match (within.next(), within.next()) {
        (Some(only), None) => Some(only),
        _ => None,
    }
}

/// Degrees between two bearings, 0 to 180.
pub fn bearing_difference(a: f64, b: f64) -> f64 {
    let apart = (a - b).rem_euclid(360.0);
    apart.min(360.0 - apart)
}

/// The photos of one station that tell before from after.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StationPair {
    /// The station's id.
    pub station: String,
    /// Numbers into the season's matches: the earliest *before*, the latest *after*.
    pub before: Option<usize>,
    pub after: Option<usize>,
}

/// The pairs of all stations that have any photo, in the order of sites.geojson.
pub fn station_pairs(season: &Season) -> Vec<StationPair> {
    season
        .ground
        .stations
        .iter()
        .filter_map(|station| {
            let of_role = |role: Role| {
                season
                    .matches
                    .iter()
                    .filter(move |one| {
                        one.station.as_deref() == Some(station.id.as_str())
                            && one.role == Some(role)
                    })
                    .filter_map(|one| one.local.map(|local| (local, one.photo)))
            };
            let before = of_role(Role::Before).min().map(|(_, photo)| photo);
            let after = of_role(Role::After).max().map(|(_, photo)| photo);
            (before.is_some() || after.is_some()).then(|| StationPair {
                station: station.id.clone(),
                before,
                after,
            })
        })
        .collect()
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
