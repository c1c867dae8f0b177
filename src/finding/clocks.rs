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
            let message = format!(
                "{camera} is {} {} its satellite time in {} of {all} photos{}{}: {}.",
                clock_text(median.abs()),
                if median > 0.0 { "ahead of" } else { "behind" },
                run.photos.len(),
                interval_text(&run.drift),
                span_text(run.first, run.last),
                cause_text(season, run, before, after),
            );
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
                None => "Leave the camera's time, and accept the finding.".to_owned(),
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
) -> String {
    match run.drift.cause {
        Cause::Zone { minutes } => zone_text(season, run, minutes, before, after),
        Cause::Days => "a date set wrong".to_owned(),
        Cause::WeekRollOver => {
            "the satellite receiver has the wrong date, by 1024 weeks; the camera's own time may be right"
                .to_owned()
        }
        Cause::Unsteady => "a clock that runs away, so that one correction serves only roughly".to_owned(),
        Cause::Minutes | Cause::Right => "a clock set wrong".to_owned(),
    }
}

/// Whole or half hours: summer time that the camera missed, or another zone.
fn zone_text(
    season: &Season,
    run: &ClockRun,
    minutes: i64,
    before: Option<&ClockRun>,
    after: Option<&ClockRun>,
) -> String {
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
        return format!(
            "the clocks were put {} on {day} and this one was not",
            if change > 0 { "forward" } else { "back" }
        );
    }
    if let Some(right) = after.filter(|run| run.is_right())
        && let Some((day, change)) = clock_change(run.last_utc, right.first_utc, offset)
        && change == minutes
    {
        return format!(
            "this clock was put {} before {day}, when the others were",
            if change > 0 { "forward" } else { "back" }
        );
    }
    let shown = offset(run.first_utc) + minutes;
    let place = format!(
        "it shows the time of UTC{} where the season's zone has UTC{}",
        offset_text(shown),
        offset_text(offset(run.first_utc))
    );
    match (before, after) {
        (None, None) if minutes.abs() == 60 => {
            format!("left on a neighbouring time zone, or without summer time ({place})")
        }
        (None, None) => format!("left on another time zone ({place})"),
        (Some(_), None) if minutes.abs() == 60 => format!(
            "an hour off from {} on, by summer time or a zone set by hand ({place})",
            run.first.date()
        ),
        (Some(_), None) => format!(
            "on another time zone from {} on ({place})",
            run.first.date()
        ),
        _ if minutes.abs() == 60 => {
            format!("a time zone or summer time set wrong in between ({place})")
        }
        _ => format!("on another time zone in between ({place})"),
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
        let side = if ahead > 0.0 { "ahead" } else { "behind" };
        let ends = if low.abs() < high.abs() {
            (low, high)
        } else {
            (high, low)
        };
        let message = format!(
            "{} of {} photos of {} lie outside the hours of their pulls and other cameras' photos. With its clock {} to {} {side}, {} would \
             fit{}: {}.",
            one.photos.len() - one.fitting_now,
            one.photos.len(),
            one.camera,
            clock_text(ends.0.abs()),
            clock_text(ends.1.abs()),
            one.fitting_then,
            median_text(&one),
            if (ahead / 1800.0).fract() == 0.0 {
                "perhaps another time zone, or summer time"
            } else if ahead.abs() >= 86_400.0 {
                "perhaps a date set wrong"
            } else {
                "perhaps a clock set wrong"
            }
        );
        findings.push(
            CLOCK_AGAINST_OTHERS
                .at(
                    Place::tag(&first.path, "DateTimeOriginal"),
                    message,
                    format!(
                        "Hold the camera's clock against another; if it is off: {}",
                        mend(
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

fn median_text(one: &ByOthers) -> String {
    let sign = |seconds: f64| if seconds < 0.0 { "−" } else { "+" };
    match one.interval_s {
        Some((low, high)) => format!(
            " (median difference from the middle of those hours {}{}, 95 % interval {}{} to {}{})",
            sign(one.median_s),
            clock_text(one.median_s.abs()),
            sign(low),
            clock_text(low.abs()),
            sign(high),
            clock_text(high.abs())
        ),
        None => String::new(),
    }
}

fn clock_setting_stray(season: &Season, findings: &mut Vec<Finding>) {
    for (number, clock) in season.settings.clocks.iter().enumerate() {
        let mut cameras: BTreeMap<String, usize> = BTreeMap::new();
        let mut met = false;
        for photo in &season.photos {
            if let (Some(camera), Some(captured)) = (photo.device(), photo.captured) {
                met |= clock.holds_for(&camera, captured.local);
                *cameras.entry(camera).or_default() += 1;
            }
        }
        if !met {
            let cameras: Vec<&str> = cameras.keys().map(String::as_str).collect();
            findings.push(CLOCK_SETTING_STRAY.at(
                Place::key(SETTINGS_FILE, format!("clocks.{}", number + 1)),
                format!(
                    "No photo was taken by {} {}.",
                    clock.camera,
                    if clock.from.is_some() || clock.until.is_some() {
                        "between these moments of its clock"
                    } else {
                        "at all"
                    }
                ),
                format!(
                    "Write the camera as its photos name it. There are: {}.",
                    cameras.join("; ")
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
) -> String {
    let correction = signed_clock(seconds);
    if photos.len() <= FEW {
        let rows: Vec<String> = photos
            .iter()
            .filter_map(|index| season.photos.get(*index))
            .map(|photo| format!("file {}, clock_correction {correction}", photo.path))
            .collect();
        return format!("Give the correction in photos.csv: {}.", rows.join("; "));
    }
    // The camera's name comes from a file: the writer of TOML quotes whatever is in it.
    let quoted = |text: String| toml::Value::String(text).to_string();
    let moment = |moment: NaiveDateTime| quoted(moment.format("%Y-%m-%d %H:%M:%S").to_string());
    let mut lines = vec![
        "Paste into season.toml, with your reason:".to_owned(),
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
    lines.join("\n")
}

fn span_text(first: NaiveDateTime, last: NaiveDateTime) -> String {
    let whole = "%Y-%m-%d %H:%M";
    if first == last {
        return format!(", on {} by its own clock", first.format(whole));
    }
    let end = if first.date() == last.date() {
        last.format("%H:%M").to_string()
    } else {
        last.format(whole).to_string()
    };
    format!(", from {} to {end} by its own clock", first.format(whole))
}

fn interval_text(drift: &Drift) -> String {
    match drift.interval_seconds {
        Some((low, high)) => {
            let (low, high) = (low.abs().min(high.abs()), low.abs().max(high.abs()));
            format!(
                " (median; 95 % interval {} to {})",
                exact_text(low),
                exact_text(high)
            )
        }
        None => " (median; too few for an interval)".to_owned(),
    }
}

/// A time to the second where it is short enough for seconds to tell something.
fn exact_text(seconds: f64) -> String {
    let whole = seconds.round() as i64;
    if whole >= 36_000 {
        return clock_text(seconds);
    }
    let (minutes, seconds) = (whole / 60, whole % 60);
    if minutes == 0 {
        format!("{seconds} s")
    } else {
        format!("{minutes} min {seconds} s")
    }
}

fn clock_text(seconds: f64) -> String {
    let seconds = seconds.round() as i64;
    if seconds < 120 {
        return format!("{seconds} s");
    }
    let minutes = (seconds + 30) / 60;
    if minutes < 120 {
        return format!("{minutes} min");
    }
    if minutes < 48 * 60 {
        return format!("{} h {} min", minutes / 60, minutes % 60);
    }
    format!("{} days {} h", minutes / 1440, minutes / 60 % 24)
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
