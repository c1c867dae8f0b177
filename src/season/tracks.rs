//! tracks/*.gpx: where boats went, by GPX 1.1.

use std::io::Cursor;

use chrono::{DateTime, Utc};
use geo::Point;

use super::problem::{Problem, ProblemKind};
use crate::place::Place;
use crate::shared::Shared;
use crate::words;

/// Points of one track segment in their order; times where the track has them.
#[derive(Debug, Clone, PartialEq)]
pub struct Track {
    pub file: Shared,
    pub points: Vec<TrackPoint>,
}

/// A point of a track.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TrackPoint {
    pub point: Point<f64>,
    pub time: Option<DateTime<Utc>>,
}

/// Reads one file.
pub fn read(file: &str, bytes: &[u8], problems: &mut Vec<Problem>) -> Vec<Track> {
    let gpx = match gpx::read(Cursor::new(bytes)) {
        Ok(gpx) => gpx,
        Err(error) => {
            problems.push(Problem {
                place: Place::whole(file),
                kind: ProblemKind::FileUnreadable {
                    reason: words!("it is no GPX: {error}", error = error.to_string()),
                },
                row: None,
            });
            return Vec::new();
        }
    };
    gpx.tracks
        .into_iter()
        .flat_map(|track| track.segments)
        .map(|segment| Track {
            file: file.into(),
            points: segment
                .points
                .iter()
                .map(|waypoint| TrackPoint {
                    point: waypoint.point(),
                    time: waypoint.time.and_then(moment),
                })
                .collect(),
        })
        .filter(|track| !track.points.is_empty())
        .collect()
}

/// The reader's time by way of its text, since it uses another time library.
fn moment(time: gpx::Time) -> Option<DateTime<Utc>> {
    let text = time.format().ok()?;
    DateTime::parse_from_rfc3339(&text)
        .ok()
        .map(|moment| moment.with_timezone(&Utc))
}
