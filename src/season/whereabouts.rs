//! Where a photo was taken, when it does not say so itself: by the boats' tracks at its moment.
//!
//! Takes tracks and a moment; gives a position with an estimate of its error, or none. Between two fixes the boat is put on the
//! geodesic from one to the other, in proportion to the time. A gap longer than [`LONGEST_GAP`] is not bridged, and where two boats
//! were in different places at the moment nothing is told. Must not know of sites or pulls.

use chrono::{DateTime, TimeDelta, Utc};
use geo::Point;
use geographiclib_rs::{DirectGeodesic, Geodesic, InverseGeodesic};
use serde::Serialize;

use super::tracks::Track;
use crate::shared::Shared;

/// Between fixes farther apart in time a boat may have been anywhere in a cove (common practice, no source).
pub const LONGEST_GAP: TimeDelta = TimeDelta::minutes(5);

/// Error of one fix of a handheld receiver in metres (common practice, no source: open sky).
const FIX_ERROR_M: f64 = 10.0;

/// A boat is taken to be able to do at least this, in metres a second: a canoe in a hurry (common practice, no source).
const LEAST_SPEED: f64 = 1.5;

/// Where a position comes from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum PositionSource {
    /// The photo says so itself.
    Measured,
    /// A track was there at the photo's moment.
    Track { file: Shared },
}

/// A position with its error.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Placed {
    /// Degrees, north positive.
    pub latitude: f64,
    /// Degrees, east positive.
    pub longitude: f64,
    /// How far it may be off, in metres: stated by the photo, assumed where it states nothing, or estimated from the track.
    pub error_m: f64,
    pub source: PositionSource,
}

impl Placed {
    pub fn point(&self) -> Point<f64> {
        Point::new(self.longitude, self.latitude)
    }

    pub fn is_measured(&self) -> bool {
        self.source == PositionSource::Measured
    }
}

/// The way between two fixes.
struct Leg<'a> {
    file: &'a str,
    from: (DateTime<Utc>, Point<f64>),
    to: (DateTime<Utc>, Point<f64>),
    metres: f64,
    /// Degrees from north at its beginning.
    azimuth: f64,
    /// What the boat can do, in metres a second.
    speed: f64,
}

/// All tracks, ready to be asked where a boat was.
pub struct Trails<'a> {
    earth: Geodesic,
    /// In the order of their beginnings.
    legs: Vec<Leg<'a>>,
}

impl<'a> Trails<'a> {
    pub fn of(tracks: &'a [Track]) -> Self {
        let earth = Geodesic::wgs84();
        let mut legs: Vec<Leg<'a>> = tracks
            .iter()
            .flat_map(|track| legs(&earth, track))
            .collect();
        legs.sort_by(|a, b| (a.from.0, a.file).cmp(&(b.from.0, b.file)));
        Self { earth, legs }
    }

    /// Where the boats were at a moment that may be `clock_s` seconds off; `None` where no track tells, or two disagree.
    pub fn at(&self, moment: DateTime<Utc>, clock_s: f64) -> Option<Placed> {
        let mut best: Option<Placed> = None;
        let mut all = Vec::new();
        for leg in self.around(moment) {
            let placed = self.on(leg, moment, clock_s);
            if best
                .as_ref()
                .is_none_or(|other| placed.error_m < other.error_m)
            {
                best = Some(placed.clone());
            }
            all.push(placed);
        }
        let best = best?;
        let agree = all.iter().all(|other| {
            let apart: f64 = self.earth.inverse(
                best.latitude,
                best.longitude,
                other.latitude,
                other.longitude,
            );
            apart <= best.error_m + other.error_m
        });
        agree.then_some(best)
    }

    /// Files of the tracks that were within `reach_m` of a point at the moment, give or take their own errors.
    pub fn passing(
        &self,
        point: Point<f64>,
        moment: DateTime<Utc>,
        clock_s: f64,
        reach_m: f64,
    ) -> Vec<&'a str> {
        let mut files: Vec<&str> = self
            .around(moment)
            .filter(|leg| {
                let placed = self.on(leg, moment, clock_s);
                let apart: f64 =
                    self.earth
                        .inverse(placed.latitude, placed.longitude, point.y(), point.x());
                apart <= reach_m + placed.error_m
            })
            .map(|leg| leg.file)
            .collect();
        files.sort_unstable();
        files.dedup();
        files
    }

    /// Legs that hold the moment.
    fn around(&self, moment: DateTime<Utc>) -> impl Iterator<Item = &Leg<'a>> {
        let earliest = moment.checked_sub_signed(LONGEST_GAP).unwrap_or(moment);
        let first = self.legs.partition_point(|leg| leg.from.0 < earliest);
        self.legs
            .iter()
            .skip(first)
            .take_while(move |leg| leg.from.0 <= moment)
            .filter(move |leg| leg.to.0 >= moment)
    }

    fn on(&self, leg: &Leg<'_>, moment: DateTime<Utc>, clock_s: f64) -> Placed {
        let (gone, left) = (seconds(moment - leg.from.0), seconds(leg.to.0 - moment));
        let part = gone / (gone + left).max(f64::MIN_POSITIVE);
        let (latitude, longitude): (f64, f64) = self.earth.direct(
            leg.from.1.y(),
            leg.from.1.x(),
            leg.azimuth,
            part * leg.metres,
        );
        // From one fix to the next the boat can't have left an ellipse around both; nor gone farther than it can from the nearer one.
        let most = leg.speed * (gone + left);
        let aside = 0.5 * (most * most - leg.metres * leg.metres).max(0.0).sqrt();
        let detour = aside.min(leg.speed * gone.min(left));
        Placed {
            latitude,
            longitude,
            error_m: FIX_ERROR_M + leg.speed * clock_s + detour,
            source: PositionSource::Track {
                file: leg.file.into(),
            },
        }
    }
}

fn seconds(time: TimeDelta) -> f64 {
    // A gap is minutes long, so that nothing is lost.
    time.num_milliseconds() as f64 / 1000.0
}

fn legs<'a>(earth: &Geodesic, track: &'a Track) -> Vec<Leg<'a>> {
    let fixes: Vec<(DateTime<Utc>, Point<f64>)> = track
        .points
        .iter()
        .filter_map(|point| Some((point.time?, point.point)))
        .collect();
    let mut legs: Vec<Leg<'a>> = fixes
        .windows(2)
        .filter_map(|pair| {
            let &[from, to] = pair else { return None };
            let gap = to.0 - from.0;
            if gap <= TimeDelta::zero() || gap > LONGEST_GAP {
                return None;
            }
            let (metres, azimuth, _, _): (f64, f64, f64, f64) =
                earth.inverse(from.1.y(), from.1.x(), to.1.y(), to.1.x());
            Some(Leg {
                file: &track.file,
                from,
                to,
                metres,
                azimuth,
                speed: metres / seconds(gap),
            })
        })
        .collect();
    // What the boat does on all but its fastest legs; these are as often a bad fix as a sprint.
    let mut speeds: Vec<f64> = legs.iter().map(|leg| leg.speed).collect();
    speeds.sort_by(f64::total_cmp);
    let usual = speeds
        .get(speeds.len() * 19 / 20)
        .or(speeds.last())
        .copied()
        .unwrap_or(0.0);
    for leg in &mut legs {
        leg.speed = leg.speed.max(usual).max(LEAST_SPEED);
    }
    legs
}

#[cfg(test)]
mod tests {
    use super::super::tracks::TrackPoint;
    use super::*;

    fn track(file: &str, fixes: &[(&str, f64, f64)]) -> Track {
        Track {
            file: file.into(),
            points: fixes
                .iter()
                .map(|&(time, latitude, longitude)| TrackPoint {
                    point: Point::new(longitude, latitude),
                    time: time.parse().ok(),
                })
                .collect(),
        }
    }

    fn at(text: &str) -> DateTime<Utc> {
        text.parse().unwrap()
    }

    #[test]
    fn halfway_in_time_is_halfway_on_the_ground() {
        let tracks = [track(
            "a",
            &[
                ("2025-06-14T14:00:00Z", 38.5, -45.0),
                ("2025-06-14T14:01:00Z", 38.501, -45.0),
            ],
        )];
        let trails = Trails::of(&tracks);
        let placed = trails.at(at("2025-06-14T14:00:30Z"), 0.0).unwrap();
        assert!((placed.latitude - 38.5005).abs() < 1e-8);
        // 111 m in a minute is faster than the least speed, so that there is no way for a detour.
        assert!((placed.error_m - FIX_ERROR_M).abs() < 1e-6);
        // A clock five seconds off is 9.25 m at 1.85 m a second.
        let late = trails.at(at("2025-06-14T14:00:30Z"), 5.0).unwrap();
        assert!((late.error_m - 19.25).abs() < 0.01, "{}", late.error_m);
        assert!(!placed.is_measured());
    }

    #[test]
    fn a_boat_that_lay_still_may_have_made_a_round() {
        let tracks = [track(
            "a",
            &[
                ("2025-06-14T14:00:00Z", 38.5, -45.0),
                ("2025-06-14T14:04:00Z", 38.5, -45.0),
            ],
        )];
        let trails = Trails::of(&tracks);
        // Two minutes out and two back at 1.5 m a second.
        let middle = trails.at(at("2025-06-14T14:02:00Z"), 0.0).unwrap();
        assert!((middle.error_m - 190.0).abs() < 1e-6);
        let early = trails.at(at("2025-06-14T14:00:10Z"), 0.0).unwrap();
        assert!((early.error_m - 25.0).abs() < 1e-6);
    }

    #[test]
    fn long_gaps_the_time_outside_and_boats_apart_tell_nothing() {
        let tracks = [
            track(
                "a",
                &[
                    ("2025-06-14T14:00:00Z", 38.5, -45.0),
                    ("2025-06-14T14:05:01Z", 38.501, -45.0),
                    ("2025-06-14T14:06:00Z", 38.501, -45.0),
                ],
            ),
            track(
                "b",
                &[
                    ("2025-06-14T14:05:30Z", 38.51, -45.0),
                    ("2025-06-14T14:06:00Z", 38.51, -45.0),
                ],
            ),
        ];
        let trails = Trails::of(&tracks);
        assert!(trails.at(at("2025-06-14T14:02:00Z"), 0.0).is_none());
        assert!(trails.at(at("2025-06-14T13:59:59Z"), 0.0).is_none());
        assert!(trails.at(at("2025-06-14T14:06:01Z"), 0.0).is_none());
        assert!(trails.at(at("2025-06-14T14:05:10Z"), 0.0).is_some());
        // A kilometre lies between the two boats.
        assert!(trails.at(at("2025-06-14T14:05:45Z"), 0.0).is_none());
        let near = Point::new(-45.0, 38.5101);
        assert_eq!(
            trails.passing(near, at("2025-06-14T14:05:45Z"), 0.0, 50.0),
            ["b"]
        );
    }

    #[test]
    fn a_track_across_the_antimeridian_goes_the_short_way() {
        let tracks = [track(
            "a",
            &[
                ("2025-06-14T14:00:00Z", 10.0, 179.999),
                ("2025-06-14T14:01:00Z", 10.0, -179.999),
            ],
        )];
        let placed = Trails::of(&tracks)
            .at(at("2025-06-14T14:00:15Z"), 0.0)
            .unwrap();
        assert!(
            (placed.longitude - 179.9995).abs() < 1e-6,
            "{}",
            placed.longitude
        );
    }
}
