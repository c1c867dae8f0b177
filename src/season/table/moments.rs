//! Dates, times and durations of workbooks as the text that people would write.

use chrono::{NaiveDate, NaiveDateTime, NaiveTime, TimeDelta};

/// Days from the start of the 1900 system to the start of the 1904 system.
const DAYS_BETWEEN_SYSTEMS: i64 = 1462;

/// The last day that spreadsheets know, 9999-12-31, in the 1900 system.
const LAST_DAY: f64 = 2_958_466.0;

/// A serial number below this many days is a duration that somebody could mean: more than a year is none.
const LONGEST_DURATION: f64 = 400.0;

/// `2025-07-04`, `2025-07-04 09:30:00`, or `09:30:00` where the number is below one day.
pub(super) fn serial(number: f64, from_1904: bool) -> Option<String> {
    if !(0.0..LAST_DAY).contains(&number) {
        return None;
    }
    // Exact: the number is within the days of a calendar.
    let mut days = number.floor() as i64;
    let mut seconds = ((number - number.floor()) * 86_400.0).round() as i64;
    if seconds == 86_400 {
        days += 1;
        seconds = 0;
    }
    let time = NaiveTime::from_num_seconds_from_midnight_opt(u32::try_from(seconds).ok()?, 0)?;
    if days == 0 {
        return Some(time.format("%H:%M:%S").to_string());
    }
    let date = day(days, from_1904)?;
    Some(if seconds == 0 {
        date.to_string()
    } else {
        NaiveDateTime::new(date, time)
            .format("%Y-%m-%d %H:%M:%S")
            .to_string()
    })
}

/// The date of a serial number. The 1900 system counts a 29 February 1900 that never was, so days before March 1900 are off by one.
pub fn day(days: i64, from_1904: bool) -> Option<NaiveDate> {
    let days = if from_1904 {
        days + DAYS_BETWEEN_SYSTEMS
    } else if days < 60 {
        days + 1
    } else {
        days
    };
    NaiveDate::from_ymd_opt(1899, 12, 30)?.checked_add_signed(TimeDelta::try_days(days)?)
}

/// `27:30:00`: hours may be more than a day has.
pub(super) fn duration(days: f64) -> Option<String> {
    if !(0.0..LONGEST_DURATION).contains(&days) {
        return None;
    }
    let seconds = (days * 86_400.0).round() as i64;
    Some(format!(
        "{}:{:02}:{:02}",
        seconds / 3600,
        seconds / 60 % 60,
        seconds % 60
    ))
}

/// An ISO 8601 date as a workbook stores it, without a midnight that nobody wrote.
pub(super) fn iso_date(text: &str) -> String {
    let text = text.trim();
    match text.split_once('T') {
        Some((date, time)) => {
            let time = time.split(['.', 'Z']).next().unwrap_or(time);
            if matches!(time, "" | "00:00" | "00:00:00") {
                date.to_owned()
            } else {
                format!("{date} {time}")
            }
        }
        None => text.to_owned(),
    }
}

/// `PT09H30M00S` → `9:30:00`. A text that is none stays as it is.
pub(super) fn iso_duration(text: &str) -> String {
    read_iso_duration(text).unwrap_or_else(|| text.to_owned())
}

fn read_iso_duration(text: &str) -> Option<String> {
    let mut rest = text.trim().strip_prefix('P')?;
    let mut seconds = 0.0;
    let mut in_time = false;
    while !rest.is_empty() {
        if let Some(time) = rest.strip_prefix('T') {
            in_time = true;
            rest = time;
            continue;
        }
        let end = rest.find(|c: char| c.is_ascii_alphabetic())?;
        let number: f64 = rest.get(..end)?.parse().ok()?;
        seconds += number
            * match rest.get(end..=end)? {
                "D" => 86_400.0,
                "H" if in_time => 3600.0,
                "M" if in_time => 60.0,
                "S" if in_time => 1.0,
                _ => return None,
            };
        rest = rest.get(end + 1..)?;
    }
    duration(seconds / 86_400.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn serial_numbers_of_both_systems() {
        // ECMA-376 part 1, 18.17.4.1: in the 1900 system day 1 is 1900-01-01 and day 2958465 is 9999-12-31; in the 1904
        // system day 0 is 1904-01-01 (from memory of the standard).
        assert_eq!(day(1, false), NaiveDate::from_ymd_opt(1900, 1, 1));
        assert_eq!(day(61, false), NaiveDate::from_ymd_opt(1900, 3, 1));
        assert_eq!(day(2_958_465, false), NaiveDate::from_ymd_opt(9999, 12, 31));
        assert_eq!(day(0, true), NaiveDate::from_ymd_opt(1904, 1, 1));
        assert_eq!(serial(45_842.0, false).as_deref(), Some("2025-07-04"));
        assert_eq!(serial(44_380.0, true).as_deref(), Some("2025-07-04"));
        assert_eq!(
            serial(45_842.395_833_333_3, false).as_deref(),
            Some("2025-07-04 09:30:00")
        );
        assert_eq!(serial(0.395_833_333_3, false).as_deref(), Some("09:30:00"));
        for none in [-1.0, f64::NAN, f64::INFINITY, 1e300] {
            assert_eq!(serial(none, false), None);
            assert_eq!(duration(none), None);
        }
    }

    #[test]
    fn durations_go_beyond_a_day() {
        assert_eq!(duration(1.145_833_333_3).as_deref(), Some("27:30:00"));
        assert_eq!(iso_duration("PT09H30M00S"), "9:30:00");
        assert_eq!(iso_duration("PT27H30M"), "27:30:00");
        assert_eq!(iso_duration("P1DT1H"), "25:00:00");
        assert_eq!(iso_duration("soon"), "soon");
        assert_eq!(iso_date("2025-07-04T00:00:00"), "2025-07-04");
        assert_eq!(iso_date("2025-07-04T09:30:00"), "2025-07-04 09:30:00");
    }
}
