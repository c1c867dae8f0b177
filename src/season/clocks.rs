//! When photos were taken, and how far each camera's clock stood from the satellites' time, run by run.
//!
//! Takes photos, what photos.csv says of them, and the clocks that season.toml corrects. Gives moments, and runs of photos of one
//! camera with one steady difference: a clock is right in spring, is set by hand on a journey, and is right again. Corrects nothing
//! that a person has not written down.

use std::collections::BTreeMap;

use chrono::{DateTime, NaiveDateTime, TimeDelta, Utc};
use serde::Serialize;

use super::{PhotoNote, Season, Settings};
use crate::photo::Photo;
use crate::photo::clock::{self, Cause, Drift};

/// Differences of photos that follow each other belong to one run when they lie this near together.
const STEADY_S: f64 = 120.0;

/// How far the clock of a phone may be off that has its time from the network (common practice, no source).
const NETWORK_CLOCK_S: f64 = 5.0;

/// Who corrected a photo's time.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Corrected {
    No,
    /// photos.csv, for this photo.
    ByNote,
    /// season.toml, for the camera.
    BySetting,
}

/// The moment of a photo on the season's clock.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Timing {
    pub local: Option<NaiveDateTime>,
    pub utc: Option<DateTime<Utc>>,
    pub corrected: Corrected,
}

/// The moments of all photos, in their order.
pub fn timings(season: &Season) -> Vec<Timing> {
    season
        .matches
        .iter()
        .map(|one| Timing {
            local: one.local,
            utc: one.utc,
            corrected: one.corrected,
        })
        .collect()
}

/// When a photo was taken, with the correction that a person gave.
pub fn timing(photo: &Photo, note: Option<&PhotoNote>, settings: &Settings) -> Timing {
    let Some(captured) = photo.captured else {
        return Timing {
            local: None,
            utc: None,
            corrected: Corrected::No,
        };
    };
    let by_note = note.and_then(|note| note.clock_correction);
    let by_setting = || {
        let camera = photo.device()?;
        settings
            .clocks
            .iter()
            .find(|clock| clock.holds_for(&camera, captured.local))
            .map(|clock| clock.correction)
    };
    let (seconds, corrected) = match (by_note, by_setting()) {
        (Some(seconds), _) => (seconds, Corrected::ByNote),
        (None, Some(seconds)) => (seconds, Corrected::BySetting),
        (None, None) => (0, Corrected::No),
    };
    let correction = TimeDelta::try_seconds(seconds).unwrap_or_default();
    let utc = captured
        .utc(settings.time_zone)
        .instant()
        .and_then(|instant| instant.checked_add_signed(correction));
    let local = match utc {
        Some(utc) => Some(utc.with_timezone(&settings.time_zone).naive_local()),
        None => captured.local.checked_add_signed(correction),
    };
    Timing {
        local,
        utc,
        corrected,
    }
}

/// Photos of one camera, one after the other, whose times differ from the satellites' by much the same.
#[derive(Debug, Clone, PartialEq)]
pub struct ClockRun {
    pub camera: String,
    /// Numbers into the season's photos, in the order of the camera's clock.
    pub photos: Vec<usize>,
    pub drift: Drift,
    /// First and last moment on the camera's own clock.
    pub first: NaiveDateTime,
    pub last: NaiveDateTime,
    /// The same in true time, as far as the satellites tell it.
    pub first_utc: DateTime<Utc>,
    pub last_utc: DateTime<Utc>,
}

impl ClockRun {
    pub fn is_right(&self) -> bool {
        self.drift.cause == Cause::Right
    }
}

/// A photo with its camera's moment, its moment in UTC, and the satellites'.
struct Compared {
    photo: usize,
    own: NaiveDateTime,
    utc: DateTime<Utc>,
    satellite: DateTime<Utc>,
}

impl Compared {
    fn ahead(&self) -> f64 {
        (self.utc - self.satellite).num_milliseconds() as f64 / 1000.0
    }
}

/// The runs of every camera that can be compared, in the order of cameras and times. Corrections that a person gave are in.
pub fn clock_runs(photos: &[Photo], timings: &[Timing]) -> BTreeMap<String, Vec<ClockRun>> {
    let mut cameras: BTreeMap<String, Vec<Compared>> = BTreeMap::new();
    for (index, (photo, timing)) in photos.iter().zip(timings).enumerate() {
        let (Some(captured), Some(utc), Some(satellite)) =
            (photo.captured, timing.utc, photo.gps_time)
        else {
            continue;
        };
        let camera = photo
            .device()
            .unwrap_or_else(|| "a camera without a name".to_owned());
        cameras.entry(camera).or_default().push(Compared {
            photo: index,
            own: captured.local,
            utc,
            satellite,
        });
    }
    cameras
        .into_iter()
        .map(|(camera, mut compared)| {
            compared.sort_by_key(|one| (one.own, one.photo));
            let runs = runs(&compared)
                .into_iter()
                .filter_map(|run| run_of(&camera, &run))
                .collect();
            (camera, runs)
        })
        .collect()
}

fn runs(compared: &[Compared]) -> Vec<Vec<&Compared>> {
    let mut runs: Vec<Vec<&Compared>> = Vec::new();
    for (place, one) in compared.iter().enumerate() {
        let near = |other: &Compared| (one.ahead() - other.ahead()).abs() <= STEADY_S;
        let last = runs.last().and_then(|run| run.last()).copied();
        // A single old fix among steady ones is no change of the clock: the next photo is as those before it.
        let is_stray = last.is_some_and(|last| {
            !near(last)
                && compared
                    .get(place + 1)
                    .is_some_and(|next| (next.ahead() - last.ahead()).abs() <= STEADY_S)
                && one.ahead() > last.ahead()
        });
        match runs.last_mut() {
            _ if is_stray => {}
            Some(run) if last.is_some_and(near) => run.push(one),
            _ => runs.push(vec![one]),
        }
    }
    runs
}

fn run_of(camera: &str, run: &[&Compared]) -> Option<ClockRun> {
    let pairs: Vec<(DateTime<Utc>, DateTime<Utc>)> =
        run.iter().map(|one| (one.utc, one.satellite)).collect();
    let (first, last) = (run.first()?, run.last()?);
    Some(ClockRun {
        camera: camera.to_owned(),
        photos: run.iter().map(|one| one.photo).collect(),
        drift: clock::drift(&pairs)?,
        first: first.own,
        last: last.own,
        first_utc: first.satellite,
        last_utc: last.satellite,
    })
}

/// Seconds by which a photo's moment may be off, where its clock can be relied on: a person corrected it, or the camera agrees with
/// the satellites wherever it can be compared, or it states its offset from UTC, as phones with the network's time do.
pub fn clock_error(
    photo: &Photo,
    timing: &Timing,
    runs: &BTreeMap<String, Vec<ClockRun>>,
) -> Option<f64> {
    if timing.corrected != Corrected::No {
        return Some(NETWORK_CLOCK_S);
    }
    let own = photo
        .device()
        .and_then(|camera| runs.get(&camera))
        .map_or(&[][..], Vec::as_slice);
    if own.iter().any(|run| !run.is_right()) {
        return None;
    }
    let worst = own
        .iter()
        .map(|run| run.drift.median_seconds.abs())
        .fold(NETWORK_CLOCK_S, f64::max);
    let states_offset = photo
        .captured
        .is_some_and(|captured| captured.offset.is_some());
    (states_offset || !own.is_empty()).then_some(worst)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn compared(ahead: &[i64]) -> Vec<Compared> {
        let satellite: DateTime<Utc> = "2025-07-12T13:30:00Z".parse().unwrap();
        ahead
            .iter()
            .zip(0..)
            .map(|(&ahead, photo)| {
                let satellite = satellite + TimeDelta::hours(photo);
                let utc = satellite + TimeDelta::seconds(ahead);
                Compared {
                    photo: photo as usize,
                    own: utc.naive_utc(),
                    utc,
                    satellite,
                }
            })
            .collect()
    }

    fn lengths(ahead: &[i64]) -> Vec<usize> {
        runs(&compared(ahead)).iter().map(Vec::len).collect()
    }

    #[test]
    fn a_clock_that_is_set_ends_a_run_and_an_old_fix_does_not() {
        assert_eq!(lengths(&[3, 5, 2, 3604, 3601, 4, 2]), [3, 2, 2]);
        // An old fix makes the camera look ahead for one photo.
        assert_eq!(lengths(&[3, 5, 900, 2, 4]), [4]);
        assert_eq!(lengths(&[3605]), [1]);
        // A clock that loses a minute an hour is one run.
        assert_eq!(lengths(&[0, -60, -120, -180, -240]), [5]);
        assert!(runs(&[]).is_empty());
    }
}
