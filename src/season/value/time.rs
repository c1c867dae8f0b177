//! Times of day and durations as people write them.

use chrono::NaiveTime;

/// Reads a time of day: `9`, `9:30`, `9.30 am`, `0930`, `9h30`, `9:30:15`, with `am` or `pm`; `noon`. What the point of a bare `9.25` parts
/// is for the reader of the table to settle.
pub fn time(text: &str) -> Option<NaiveTime> {
    let text = text.trim();
    // A workbook may put the day before the time.
    let text = match text.split_once(' ') {
        Some((day, time)) if day.len() == 10 && day.matches('-').count() == 2 => time,
        _ => text,
    };
    let mut folded: String = text
        .chars()
        .filter(|c| !c.is_whitespace())
        .flat_map(char::to_lowercase)
        .collect();
    for noise in ["o'clock", "o’clock", "hours", "hrs", "uhr"] {
        if let Some(before) = folded.strip_suffix(noise) {
            folded = before.to_owned();
        }
    }
    let exact = |hour| NaiveTime::from_hms_opt(hour, 0, 0);
    match folded.as_str() {
        "noon" | "12noon" | "midday" => return exact(12),
        "midnight" | "12midnight" => return exact(0),
        _ => {}
    }
    let (clock, half) = ["a.m.", "am", "p.m.", "pm", "a", "p"]
        .iter()
        .find_map(|mark| {
            folded
                .strip_suffix(mark)
                .map(|clock| (clock, Some(mark.starts_with('p'))))
        })
        .unwrap_or((folded.as_str(), None));
    let clock = clock.strip_suffix('h').unwrap_or(clock);
    let parts: Vec<&str> = clock.split([':', '.', 'h']).collect();
    let read = |part: &str| -> Option<u32> {
        (!part.is_empty() && part.len() <= 2 && part.bytes().all(|b| b.is_ascii_digit()))
            .then(|| part.parse().ok())
            .flatten()
    };
    let (hour, minute, second) = match parts.as_slice() {
        [all] if all.len() == 3 || all.len() == 4 => {
            let cut = all.len() - 2;
            (read(all.get(..cut)?)?, read(all.get(cut..)?)?, 0)
        }
        [hour] => (read(hour)?, 0, 0),
        [_, minute] if minute.len() != 2 => return None,
        [hour, minute] => (read(hour)?, read(minute)?, 0),
        [hour, minute, second] => (read(hour)?, read(minute)?, read(second)?),
        _ => return None,
    };
    let hour = match half {
        None => hour,
        Some(_) if hour == 0 || hour > 12 => return None,
        Some(false) => hour % 12,
        Some(true) => hour % 12 + 12,
    };
    NaiveTime::from_hms_opt(hour, minute, second)
}

/// Reads a duration in hours: `1:30`, `1:30 h`, `1:30:00`, `27:30`, `1h30`, `1 h 30 min`, `1 hr`, `90 min`.
pub fn duration(text: &str) -> Option<f64> {
    let folded: String = text
        .chars()
        .filter(|c| !c.is_whitespace() && *c != '.')
        .flat_map(char::to_lowercase)
        .collect();
    if folded.is_empty() {
        return None;
    }
    let figures = |part: &str| -> Option<f64> {
        // More hours than four figures hold are no season's.
        (!part.is_empty() && part.len() <= 4 && part.bytes().all(|b| b.is_ascii_digit()))
            .then(|| part.parse().ok())
            .flatten()
    };
    let below_sixty = |part: &str| figures(part).filter(|number| part.len() == 2 && *number < 60.0);
    // A decimal number of hours is for the reader of numbers.
    let bytes = text.as_bytes();
    let decimal = bytes.windows(3).any(|three| {
        matches!(three, [before, b'.', after] if before.is_ascii_digit() && after.is_ascii_digit())
    });
    if decimal || text.trim().starts_with('.') {
        return None;
    }
    let clock = ["hours", "hour", "hrs", "hr", "h"]
        .iter()
        .find_map(|word| folded.strip_suffix(word))
        .filter(|clock| clock.contains(':'))
        .unwrap_or(&folded);
    let colons: Vec<&str> = clock.split(':').collect();
    match colons.as_slice() {
        [hours, minutes] => return Some(figures(hours)? + below_sixty(minutes)? / 60.0),
        [hours, minutes, seconds] => {
            return Some(
                figures(hours)? + below_sixty(minutes)? / 60.0 + below_sixty(seconds)? / 3600.0,
            );
        }
        _ => {}
    }
    let (hours, rest) = match folded.split_once('h') {
        Some((hours, rest)) => {
            let rest = ["ours", "our", "rs", "r"]
                .iter()
                .find_map(|ending| rest.strip_prefix(ending))
                .unwrap_or(rest);
            let rest = rest.trim_start_matches([',', '&']);
            (figures(hours)?, rest.strip_prefix("and").unwrap_or(rest))
        }
        None => (0.0, folded.as_str()),
    };
    let minutes = if rest.is_empty() {
        0.0
    } else {
        let minutes = ["minutes", "minute", "mins", "min", "m"]
            .iter()
            .find_map(|ending| rest.strip_suffix(ending))
            // Without its word a number is minutes only behind hours: 1h30.
            .or_else(|| folded.contains('h').then_some(rest))?;
        figures(minutes)?
    };
    Some(hours + minutes / 60.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_as_people_write_them() {
        let half_past_nine = NaiveTime::from_hms_opt(9, 30, 0);
        for text in [
            "9:30",
            "09:30",
            "0930",
            "930",
            "9.30",
            "9:30 am",
            "9.30 a.m.",
            "9.30 am",
            "9h30",
            "09:30:00",
            "0930 hrs",
            "2025-06-14 09:30:00",
        ] {
            assert_eq!(time(text), half_past_nine, "{text}");
        }
        let hour = |hour| NaiveTime::from_hms_opt(hour, 0, 0);
        for (text, expected) in [
            ("9", hour(9)),
            ("9h", hour(9)),
            ("9 o'clock", hour(9)),
            ("12 am", hour(0)),
            ("noon", hour(12)),
            ("2p", hour(14)),
            ("12:15 pm", NaiveTime::from_hms_opt(12, 15, 0)),
        ] {
            assert_eq!(time(text), expected, "{text}");
        }
        for text in [
            "", "25:00", "9:75", "9.75", "9.5", "13 pm", "::", "9:3", "+9", "pm", "h", "a",
        ] {
            assert_eq!(time(text), None, "{text}");
        }
    }

    #[test]
    fn durations_as_people_write_them() {
        for (text, expected) in [
            ("1:30", 1.5),
            ("1:30:00", 1.5),
            ("27:30", 27.5),
            ("1h30", 1.5),
            ("1 h 30 min", 1.5),
            ("1 hr 30 mins", 1.5),
            ("2 hrs", 2.0),
            ("90 min", 1.5),
            ("90 min.", 1.5),
            ("2h30", 2.5),
            ("2 h 30 min", 2.5),
            ("2hrs 30mins", 2.5),
            ("2 hr. 30 min.", 2.5),
            ("2 hours and 30 minutes", 2.5),
            ("2 Hours, 30 Minutes", 2.5),
            ("2HRS", 2.0),
            ("2 h.", 2.0),
            ("1:30 h", 1.5),
            ("1:30 hrs", 1.5),
            ("45 Mins", 0.75),
        ] {
            assert_eq!(duration(text), Some(expected), "{text}");
        }
        for text in [
            "", "1:5", "1:75", "90", "1.30 h", ".5 h", "1.5 hrs", "h", "min", ":30", "1.5 h 30",
            "a while",
        ] {
            assert_eq!(duration(text), None, "{text}");
        }
    }
}
