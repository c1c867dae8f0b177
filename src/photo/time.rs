//! When a photo was taken: the camera's wall clock, and the satellite's time.
//!
//! Takes tags. Gives times as written, with troubles for blank and impossible ones. Must not guess a time zone.
//!
//! Source: CIPA DC-008-2019 (EXIF 2.32), date and time among the Exif tags (4.6.5) and the GPS tags (4.6.6); numbering
//! of sections from memory. EXIF writes a time as `YYYY:MM:DD HH:MM:SS`, its fraction and its offset in tags apart.

use chrono::{DateTime, FixedOffset, NaiveDate, NaiveDateTime, NaiveTime, TimeDelta, Utc};
use exif::Tag;

use super::found::{Foreign, Found};
use super::record::{Captured, CapturedSource, TroubleKind};
use super::tags::{Tags, quotient};

/// A tag of time with the tags that belong to it: fraction of a second, and offset from UTC.
struct Clock {
    source: CapturedSource,
    time: Tag,
    fraction: Tag,
    offset: Tag,
}

/// Best first.
const CLOCKS: [Clock; 3] = [
    Clock {
        source: CapturedSource::DateTimeOriginal,
        time: Tag::DateTimeOriginal,
        fraction: Tag::SubSecTimeOriginal,
        offset: Tag::OffsetTimeOriginal,
    },
    Clock {
        source: CapturedSource::DateTimeDigitized,
        time: Tag::DateTimeDigitized,
        fraction: Tag::SubSecTimeDigitized,
        offset: Tag::OffsetTimeDigitized,
    },
    Clock {
        source: CapturedSource::DateTime,
        time: Tag::DateTime,
        fraction: Tag::SubSecTime,
        offset: Tag::OffsetTime,
    },
];

/// The best readable time on the camera's clock.
pub(super) fn captured(tags: &mut Tags<'_>) -> Option<Captured> {
    for clock in &CLOCKS {
        let Some(text) = tags.text(clock.time) else {
            continue;
        };
        match wall_clock(&text) {
            Ok(local) => {
                return Some(Captured {
                    local: local + fraction(tags, clock.fraction),
                    offset: offset(tags, clock.offset),
                    source: clock.source,
                });
            }
            Err(kind) => tags.trouble(kind, clock.time, Found::text(&text)),
        }
    }
    None
}

/// Time of the satellite fix. Date and time stand in two tags, and one without the other is of no use.
pub(super) fn gps_time(tags: &mut Tags<'_>) -> Option<DateTime<Utc>> {
    match (tags.has(Tag::GPSDateStamp), tags.has(Tag::GPSTimeStamp)) {
        (false, false) => return None,
        (true, false) => {
            tags.unreadable(Tag::GPSTimeStamp, Found::NoTimeToDate);
            return None;
        }
        (false, true) => {
            tags.unreadable(Tag::GPSDateStamp, Found::NoDateToTime);
            return None;
        }
        (true, true) => {}
    }
    let day = match tags.text(Tag::GPSDateStamp) {
        Some(text) => match date(text.as_bytes()) {
            _ if is_blank(&text) => {
                tags.trouble(TroubleKind::Blank, Tag::GPSDateStamp, Found::text(&text));
                None
            }
            Some(day) => Some(day),
            None => {
                tags.unreadable(Tag::GPSDateStamp, Found::text(&text));
                None
            }
        },
        None => None,
    };
    let parts = tags.fractions(Tag::GPSTimeStamp)?;
    let Some(since_midnight) = since_midnight(&parts) else {
        let found = parts
            .iter()
            .take(3)
            .map(|(over, under)| format!("{over}/{under}"))
            .collect::<Vec<_>>()
            .join(" ");
        let found = Found::Value(Foreign::new(&found));
        tags.trouble(TroubleKind::OutOfRange, Tag::GPSTimeStamp, found);
        return None;
    };
    day.map(|day| (day.and_time(NaiveTime::MIN) + since_midnight).and_utc())
}

/// Reads `YYYY:MM:DD HH:MM:SS`. Other marks between the numbers are let pass: the order is never in doubt.
fn wall_clock(text: &str) -> Result<NaiveDateTime, TroubleKind> {
    if is_blank(text) {
        return Err(TroubleKind::Blank);
    }
    let bytes = text.as_bytes();
    let read = || {
        let (day, rest) = bytes.split_at_checked(10)?;
        let &[b' ' | b'T', h0, h1, b':', m0, m1, b':', s0, s1] = rest else {
            return None;
        };
        date(day)?.and_hms_opt(number(&[h0, h1])?, number(&[m0, m1])?, number(&[s0, s1])?)
    };
    read().ok_or(TroubleKind::Unreadable)
}

/// Reads `YYYY:MM:DD`.
fn date(bytes: &[u8]) -> Option<NaiveDate> {
    let &[y0, y1, y2, y3, first, m0, m1, second, d0, d1] = bytes else {
        return None;
    };
    let between = |mark| matches!(mark, b':' | b'-' | b'/' | b'.');
    (between(first) && between(second)).then_some(())?;
    let year = i32::try_from(number(&[y0, y1, y2, y3])?).ok()?;
    NaiveDate::from_ymd_opt(year, number(&[m0, m1])?, number(&[d0, d1])?).filter(|_| year > 0)
}

fn number(digits: &[u8]) -> Option<u32> {
    digits.iter().try_fold(0u32, |sum, digit| {
        let value = digit.is_ascii_digit().then(|| u32::from(digit - b'0'))?;
        sum.checked_mul(10)?.checked_add(value)
    })
}

/// Whether a time was never set: no character other than blanks, zeros and marks.
fn is_blank(text: &str) -> bool {
    text.chars()
        .all(|character| matches!(character, ' ' | '0' | ':' | '-' | '/' | '.' | 'T'))
}

/// The fraction of a second that belongs to a time; none if the tag is absent or blank.
fn fraction(tags: &mut Tags<'_>, tag: Tag) -> TimeDelta {
    let Some(text) = tags.text(tag).filter(|text| !text.is_empty()) else {
        return TimeDelta::zero();
    };
    // Digits behind the decimal point; a ninth is a nanosecond, more are cut.
    let nanoseconds = text
        .bytes()
        .chain(std::iter::repeat(b'0'))
        .take(9)
        .collect::<Vec<_>>();
    match number(&nanoseconds) {
        Some(nanoseconds) if text.bytes().all(|byte| byte.is_ascii_digit()) => {
            TimeDelta::nanoseconds(nanoseconds.into())
        }
        _ => {
            tags.unreadable(tag, Found::text(&text));
            TimeDelta::zero()
        }
    }
}

/// The offset from UTC that belongs to a time; none if the tag is absent or blank, which means unknown.
fn offset(tags: &mut Tags<'_>, tag: Tag) -> Option<FixedOffset> {
    let text = tags.text(tag)?;
    if text.chars().all(|character| matches!(character, ' ' | ':')) {
        return None;
    }
    let Some(seconds) = offset_seconds(text.as_bytes()) else {
        tags.unreadable(tag, Found::text(&text));
        return None;
    };
    // The places of the earth keep offsets from -12 to +14 hours.
    const LEAST: i32 = -12 * 3600;
    const MOST: i32 = 14 * 3600;
    let offset = FixedOffset::east_opt(seconds).filter(|_| (LEAST..=MOST).contains(&seconds));
    if offset.is_none() {
        tags.trouble(TroubleKind::OutOfRange, tag, Found::text(&text));
    }
    offset
}

/// Reads `+HH:MM`, and `Z`, which some writers put for UTC.
fn offset_seconds(bytes: &[u8]) -> Option<i32> {
    let (sign, h, m) = match *bytes {
        [b'Z'] => return Some(0),
        [sign, h0, h1, b':', m0, m1] | [sign, h0, h1, m0, m1] => (sign, [h0, h1], [m0, m1]),
        _ => return None,
    };
    let minutes = number(&m).filter(|&minutes| minutes < 60)?;
    let seconds = i32::try_from(number(&h)? * 3600 + minutes * 60).ok()?;
    match sign {
        b'+' => Some(seconds),
        b'-' => Some(-seconds),
        _ => None,
    }
}

/// Hours, minutes and seconds as fractions with denominators other than zero: the time since midnight, if it is one.
fn since_midnight(parts: &[(i64, i64)]) -> Option<TimeDelta> {
    let &[hours, minutes, seconds] = parts else {
        return None;
    };
    /// Nanoseconds of a day.
    const DAY: i128 = 86_400 * 1_000_000_000;
    let nanoseconds = [(hours, 3600), (minutes, 60), (seconds, 1)]
        .into_iter()
        .try_fold(0i128, |sum, ((over, under), unit)| {
            let part = i128::from(over) * unit * 1_000_000_000 / i128::from(under);
            (part >= 0).then_some(sum + part)
        })?;
    let within = nanoseconds < DAY && quotient(minutes) < 60.0;
    let nanoseconds = i64::try_from(nanoseconds).ok()?;
    within.then(|| TimeDelta::nanoseconds(nanoseconds))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(text: &str) -> NaiveDateTime {
        text.parse().unwrap()
    }

    #[test]
    fn times_are_read_as_written() {
        assert_eq!(
            wall_clock("2025:07:12 09:30:05"),
            Ok(at("2025-07-12T09:30:05"))
        );
        assert_eq!(
            wall_clock("2025-07-12T09:30:05"),
            Ok(at("2025-07-12T09:30:05"))
        );
    }

    #[test]
    fn blank_and_impossible_times_are_told_apart() {
        for blank in [
            "",
            "0000:00:00 00:00:00",
            "    :  :     :  :  ",
            "0000-00-00 00:00:00",
        ] {
            assert_eq!(wall_clock(blank), Err(TroubleKind::Blank), "{blank:?}");
        }
        for wrong in [
            "2025:02:29 10:00:00",
            "2025:07:12 24:00:00",
            "2025:07:12 10:60:00",
            "2025:07:12 10:00:60",
            "0000:07:12 10:00:00",
            "2025:07:12",
            "2025:07:12 1é:00:00",
            "12.07.2025 10:00:00",
            "2025:07:12 10:00:00 and more",
            "+025:07:12 10:00:00",
        ] {
            assert_eq!(wall_clock(wrong), Err(TroubleKind::Unreadable), "{wrong:?}");
        }
    }

    #[test]
    fn offsets_are_read_in_seconds_east() {
        for (text, expected) in [
            ("+00:00", Some(0)),
            ("-04:00", Some(-4 * 3600)),
            ("+05:45", Some(5 * 3600 + 45 * 60)),
            ("+0530", Some(5 * 3600 + 30 * 60)),
            ("Z", Some(0)),
            ("04:00", None),
            ("+04:60", None),
            ("+4:00", None),
            ("", None),
        ] {
            assert_eq!(offset_seconds(text.as_bytes()), expected, "{text}");
        }
    }

    #[test]
    fn satellite_times_stay_within_a_day() {
        let parts = |h, m, s| since_midnight(&[h, m, s]).map(|time| time.num_milliseconds());
        assert_eq!(parts((23, 1), (59, 1), (59_500, 1000)), Some(86_399_500));
        assert_eq!(parts((0, 1), (0, 1), (0, 1)), Some(0));
        assert_eq!(parts((24, 1), (0, 1), (0, 1)), None);
        assert_eq!(parts((1, 1), (60, 1), (0, 1)), None);
        assert_eq!(parts((-1, 1), (0, 1), (0, 1)), None);
        assert_eq!(parts((i64::from(u32::MAX), 1), (0, 1), (0, 1)), None);
        assert_eq!(since_midnight(&[(1, 1)]), None);
    }
}
