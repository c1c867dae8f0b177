//! Cameras' clocks: against the satellites' time in their own photos, and against the log and other cameras.
//!
//! A correction is proposed, with the lines to paste; none is ever applied that a person has not written down.

use std::collections::BTreeMap;

use chrono::{DateTime, NaiveDate, NaiveDateTime, Offset, TimeDelta, TimeZone, Utc};

use super::Check;
use super::core::{Finding, Grade};
use super::rule::Rule;
use crate::photo::clock::{Cause, Drift};
use crate::place::Place;
use crate::season::{
    ByOthers, ClockRun, SETTINGS_FILE, Season, clock_runs, clocks_by_others, timings,
};
use crate::words;
use crate::words::{Words, number};

const CLOCK_AGAINST_GPS: Rule = Rule {
    name: "clock-against-gps",
    grade: Grade::Doubt,
    title: "A camera's clock disagrees with the satellite time in its own photos.",
    why: "Its photos are matched to pulls by a wrong time.",
};
const CLOCK_AGAINST_OTHERS: Rule = Rule {
    name: "clock-against-others",
    grade: Grade::Doubt,
    title: "A camera's photos lie outside the hours of their pulls, all by much the same.",
    why: "If its clock is off, its photos are matched to pulls by a wrong time; if the hours are wrong, so is the effort.",
};
const CLOCK_SETTING_STRAY: Rule = Rule {
    name: "clock-setting-stray",
    grade: Grade::Doubt,
    title: "season.toml corrects the clock of a camera that took no photo then.",
    why: "The correction has no effect: the camera's name or the moments are not those of the photos.",
};

/// All rules of this theme, with their functions.
pub const RULES: &[(Rule, Check)] = &[
    (CLOCK_AGAINST_GPS, clock_against_gps),
    (CLOCK_AGAINST_OTHERS, clock_against_others),
    (CLOCK_SETTING_STRAY, clock_setting_stray),
];

/// Up to so many photos are corrected in photos.csv one by one; more are better told by their camera.
const FEW: usize = 3;

fn clock_against_gps(season: &Season, findings: &mut Vec<Finding>) {
    let timings = timings(season);
    for (camera, runs) in clock_runs(&season.photos, &timings) {
        let all: usize = runs.iter().map(|run| run.photos.len()).sum();
        for (number, run) in runs.iter().enumerate() {
            if run.is_right() {
                continue;
            }
            let before = number.checked_sub(1).and_then(|at| runs.get(at));
            let after = runs.get(number + 1);
            let mut photos = run
                .photos
                .iter()
                .filter_map(|index| season.photos.get(*index));
            let Some(first) = photos.next() else { continue };
            let median = run.drift.median_seconds;
            let message = {
                let (off, photos) = (clock_text(median.abs()), run.photos.len());
                let (spread, span) = (interval_text(&run.drift), span_text(run.first, run.last));
                let cause = cause_text(season, run, before, after);
                let camera = &camera;
                if median > 0.0 {
                    words!(
                        "{camera} is {off} ahead of its satellite time in {photos} of {all} photos {spread}, {span}: {cause}.",
                        camera,
                        off,
                        photos,
                        all,
                        spread,
                        span,
                        cause
                    )
                } else {
                    words!(
                        "{camera} is {off} behind its satellite time in {photos} of {all} photos {spread}, {span}: {cause}.",
                        camera,
                        off,
                        photos,
                        all,
                        spread,
                        span,
                        cause
                    )
                }
            };
            let correction = match run.drift.cause {
                // A clock that is whole hours off is put right by whole hours: the rest is the age of the satellite fix.
                Cause::Zone { minutes } => Some(-minutes * 60),
                Cause::WeekRollOver => None,
                Cause::Right | Cause::Minutes | Cause::Days | Cause::Unsteady => {
                    Some(-(median.round() as i64))
                }
            };
            let span = (runs.len() > 1).then_some((run.first, run.last));
            let mend = match correction {
                Some(seconds) => mend(season, &camera, &run.photos, span, seconds),
                None => words!("Leave the camera's time, and accept the finding."),
            };
            findings.push(
                CLOCK_AGAINST_GPS
                    .at(Place::tag(&first.path, "GPSTimeStamp"), message, mend)
                    .with(photos.map(|photo| Place::tag(&photo.path, "GPSTimeStamp"))),
            );
        }
    }
}

/// What the difference looks like, in words.
fn cause_text(
    season: &Season,
    run: &ClockRun,
    before: Option<&ClockRun>,
    after: Option<&ClockRun>,
) -> Words {
    match run.drift.cause {
        Cause::Zone { minutes } => zone_text(season, run, minutes, before, after),
        Cause::Days => words!("a date set wrong"),
        Cause::WeekRollOver => words!(
            "the satellite receiver has the wrong date, by 1024 weeks; the camera's own time may be right"
        ),
        Cause::Unsteady => {
            words!("a clock that runs away, so that one correction serves only roughly")
        }
        Cause::Minutes | Cause::Right => words!("a clock set wrong"),
    }
}

/// Whole or half hours: summer time that the camera missed, or another zone.
fn zone_text(
    season: &Season,
    run: &ClockRun,
    minutes: i64,
    before: Option<&ClockRun>,
    after: Option<&ClockRun>,
) -> Words {
    let zone = season.settings.time_zone;
    let offset = |moment: DateTime<Utc>| -> i64 {
        i64::from(
            zone.offset_from_utc_datetime(&moment.naive_utc())
                .fix()
                .local_minus_utc(),
        ) / 60
    };
    // A clock that nobody touches gains what the zone's clocks are put back by.
    if let Some(right) = before.filter(|run| run.is_right())
        && let Some((day, change)) = clock_change(right.last_utc, run.first_utc, offset)
        && change == -minutes
    {
        let day = day.to_string();
        return if change > 0 {
            words!(
                "the clocks were put forward on {day} and this one was not",
                day
            )
        } else {
            words!(
                "the clocks were put back on {day} and this one was not",
                day
            )
        };
    }
    if let Some(right) = after.filter(|run| run.is_right())
        && let Some((day, change)) = clock_change(run.last_utc, right.first_utc, offset)
        && change == minutes
    {
        let day = day.to_string();
        return if change > 0 {
            words!(
                "this clock was put forward before {day}, when the others were",
                day
            )
        } else {
            words!(
                "this clock was put back before {day}, when the others were",
                day
            )
        };
    }
    let shown = offset(run.first_utc) + minutes;
    let place = words!(
        "it shows the time of UTC{shown} where the season's zone has UTC{right}",
        shown = offset_text(shown),
        right = offset_text(offset(run.first_utc))
    );
    match (before, after) {
        (None, None) if minutes.abs() == 60 => {
            words!(
                "left on a neighbouring time zone, or without summer time ({place})",
                place
            )
        }
        (None, None) => words!("left on another time zone ({place})", place),
        (Some(_), None) if minutes.abs() == 60 => words!(
            "an hour off from {day} on, by summer time or a zone set by hand ({place})",
            day = run.first.date().to_string(),
            place
        ),
        (Some(_), None) => words!(
            "on another time zone from {day} on ({place})",
            day = run.first.date().to_string(),
            place
        ),
        _ if minutes.abs() == 60 => {
            words!(
                "a time zone or summer time set wrong in between ({place})",
                place
            )
        }
        _ => words!("on another time zone in between ({place})", place),
    }
}

/// The first day between two moments on which the zone's clocks change, with the minutes by which they are put forward; only if it is
/// the one change between them.
fn clock_change(
    from: DateTime<Utc>,
    to: DateTime<Utc>,
    offset: impl Fn(DateTime<Utc>) -> i64,
) -> Option<(NaiveDate, i64)> {
    // No season is longer; it bounds the search.
    const LONGEST: i64 = 400;
    let mut found = None;
    let mut moment = from;
    for _ in 0..LONGEST {
        if moment >= to {
            break;
        }
        let next = moment.checked_add_signed(TimeDelta::days(1))?.min(to);
        let change = offset(next) - offset(moment);
        if change != 0 {
            if found.is_some() {
                return None;
            }
            found = Some((next.date_naive(), change));
        }
        moment = next;
    }
    found
}

fn clock_against_others(season: &Season, findings: &mut Vec<Finding>) {
    for one in clocks_by_others(season) {
        let mut photos = one
            .photos
            .iter()
            .filter_map(|index| season.photos.get(*index));
        let Some(first) = photos.next() else { continue };
        let ahead = one.suggested_s;
        let (low, high) = one.range_s;
        let ends = if low.abs() < high.abs() {
            (low, high)
        } else {
            (high, low)
        };
        let message = {
            let outside = one.photos.len() - one.fitting_now;
            let (photos, camera, fit) = (one.photos.len(), &one.camera, fit(&one));
            let (least, most) = (clock_text(ends.0.abs()), clock_text(ends.1.abs()));
            let cause = if (ahead / 1800.0).fract() == 0.0 {
                words!("perhaps another time zone, or summer time")
            } else if ahead.abs() >= 86_400.0 {
                words!("perhaps a date set wrong")
            } else {
                words!("perhaps a clock set wrong")
            };
            if ahead > 0.0 {
                words!(
                    "{outside} of {photos} photos of {camera} lie outside the hours of their pulls and other cameras' photos. With its clock \
                     {least} to {most} ahead, {fit}: {cause}.",
                    outside,
                    photos,
                    camera,
                    least,
                    most,
                    fit,
                    cause
                )
            } else {
                words!(
                    "{outside} of {photos} photos of {camera} lie outside the hours of their pulls and other cameras' photos. With its clock \
                     {least} to {most} behind, {fit}: {cause}.",
                    outside,
                    photos,
                    camera,
                    least,
                    most,
                    fit,
                    cause
                )
            }
        };
        findings.push(
            CLOCK_AGAINST_OTHERS
                .at(
                    Place::tag(&first.path, "DateTimeOriginal"),
                    message,
                    words!(
                        "Hold the camera's clock against another; if it is off: {mend}",
                        mend = mend(
                            season,
                            &one.camera,
                            &one.photos,
                            None,
                            -(ahead.round() as i64)
                        )
                    ),
                )
                .with(photos.map(|photo| Place::tag(&photo.path, "DateTimeOriginal"))),
        );
    }
}

/// How many photos would fit, and how sure that is.
fn fit(one: &ByOthers) -> Words {
    let signed = |seconds: f64| {
        let sign = if seconds < 0.0 { "−" } else { "+" };
        Words::own(sign).then("", clock_text(seconds.abs()))
    };
    let photos = one.fitting_then;
    match one.interval_s {
        Some((low, high)) => words!(
            "{photos} would fit (median difference from the middle of those hours {median}, 95 % interval {low} to {high})",
            photos,
            median = signed(one.median_s),
            low = signed(low),
            high = signed(high)
        ),
        None => words!("{photos} would fit", photos),
    }
}

fn clock_setting_stray(season: &Season, findings: &mut Vec<Finding>) {
    for (number, clock) in season.settings.clocks.iter().enumerate() {
        let mut cameras: BTreeMap<String, usize> = BTreeMap::new();
        let mut met = false;
        for photo in season.photos.iter() {
            if let (Some(camera), Some(captured)) = (photo.device(), photo.captured) {
                met |= clock.holds_for(&camera, captured.local);
                *cameras.entry(camera).or_default() += 1;
            }
        }
        if !met {
            let cameras: Vec<&str> = cameras.keys().map(String::as_str).collect();
            findings.push(CLOCK_SETTING_STRAY.at(
                Place::key(SETTINGS_FILE, format!("clocks.{}", number + 1)),
                if clock.from.is_some() || clock.until.is_some() {
                    words!(
                        "No photo was taken by {camera} between these moments of its clock.",
                        camera = &clock.camera
                    )
                } else {
                    words!(
                        "No photo was taken by {camera} at all.",
                        camera = &clock.camera
                    )
                },
                words!(
                    "Write the camera as its photos name it. There are: {cameras}.",
                    cameras = cameras.join("; ")
                ),
            ));
        }
    }
}

/// The lines to paste: in photos.csv for a few photos, else in season.toml for the camera.
fn mend(
    season: &Season,
    camera: &str,
    photos: &[usize],
    span: Option<(NaiveDateTime, NaiveDateTime)>,
    seconds: i64,
) -> Words {
    let correction = signed_clock(seconds);
    if photos.len() <= FEW {
        let rows: Vec<String> = photos
            .iter()
            .filter_map(|index| season.photos.get(*index))
            .map(|photo| format!("file {}, clock_correction {correction}", photo.path))
            .collect();
        return words!(
            "Give the correction in photos.csv: {rows}.",
            rows = rows.join("; ")
        );
    }
    // The camera's name comes from a file: the writer of TOML quotes whatever is in it.
    let quoted = |text: String| toml::Value::String(text).to_string();
    let moment = |moment: NaiveDateTime| quoted(moment.format("%Y-%m-%d %H:%M:%S").to_string());
    let mut lines = vec![
        "[[clocks]]".to_owned(),
        format!("camera = {}", quoted(camera.to_owned())),
    ];
    if let Some((first, last)) = span {
        lines.push(format!("from = {}", moment(first)));
        // The fraction of a second that is cut belongs to the last photo.
        lines.push(format!("until = {}", moment(last + TimeDelta::seconds(1))));
    }
    lines.push(format!("correction = {}", quoted(correction)));
    lines.push("reason = \"\"".to_owned());
    words!("Paste into season.toml, with your reason:").then("\n", lines.join("\n"))
}

fn span_text(first: NaiveDateTime, last: NaiveDateTime) -> Words {
    let whole = "%Y-%m-%d %H:%M";
    if first == last {
        return words!(
            "on {moment} by its own clock",
            moment = first.format(whole).to_string()
        );
    }
    let end = if first.date() == last.date() {
        last.format("%H:%M").to_string()
    } else {
        last.format(whole).to_string()
    };
    words!(
        "from {start} to {end} by its own clock",
        start = first.format(whole).to_string(),
        end
    )
}

fn interval_text(drift: &Drift) -> Words {
    match drift.interval_seconds {
        Some((low, high)) => {
            let (low, high) = (low.abs().min(high.abs()), low.abs().max(high.abs()));
            words!(
                "(median; 95 % interval {low} to {high})",
                low = exact_text(low),
                high = exact_text(high)
            )
        }
        None => words!("(median; too few for an interval)"),
    }
}

/// A time to the second where it is short enough for seconds to tell something.
fn exact_text(seconds: f64) -> Words {
    let whole = seconds.round() as i64;
    if whole >= 36_000 {
        return clock_text(seconds);
    }
    let (minutes, seconds) = (whole / 60, whole % 60);
    if minutes == 0 {
        Words::own(format!("{seconds} s"))
    } else {
        Words::own(format!("{minutes} min {seconds} s"))
    }
}

fn clock_text(seconds: f64) -> Words {
    let seconds = seconds.round() as i64;
    if seconds < 120 {
        return Words::own(format!("{seconds} s"));
    }
    let minutes = (seconds + 30) / 60;
    if minutes < 120 {
        return Words::own(format!("{minutes} min"));
    }
    if minutes < 48 * 60 {
        return Words::own(format!("{} h {} min", minutes / 60, minutes % 60));
    }
    words!(
        "{days} days {hours} h",
        days = number((minutes / 1440).to_string()),
        hours = number((minutes / 60 % 24).to_string())
    )
}

fn offset_text(minutes: i64) -> String {
    let sign = if minutes < 0 { '−' } else { '+' };
    let minutes = minutes.abs();
    format!("{sign}{:02}:{:02}", minutes / 60, minutes % 60)
}

fn signed_clock(seconds: i64) -> String {
    let sign = if seconds < 0 { '-' } else { '+' };
    let seconds = seconds.abs();
    format!(
        "{sign}{}:{:02}:{:02}",
        seconds / 3600,
        seconds / 60 % 60,
        seconds % 60
    )
}
