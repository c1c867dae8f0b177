//! Cells as people fill them: numbers, dates, times, yes and no. Pure functions on text.

use chrono::{NaiveDate, NaiveTime};
use serde::Deserialize;

use crate::units::Unit;

/// The order of day, month and year in dates that are written with numbers only and don't begin with the year.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum DateOrder {
    #[default]
    Ymd,
    Mdy,
    Dmy,
}

/// Is the cell one of the ways of saying *not recorded*?
pub fn is_blank(text: &str) -> bool {
    let text = text.trim();
    text.is_empty()
        || [
            "-",
            "–",
            "—",
            "n/a",
            "na",
            "n.a.",
            "?",
            "none recorded",
            "not recorded",
        ]
        .iter()
        .any(|blank| text.eq_ignore_ascii_case(blank))
}

/// A number as read, and whether it was marked as doubtful.
#[derive(Debug, Clone, PartialEq)]
pub struct Number {
    pub value: f64,
    /// The unit behind the number, if the cell had one: `12 lb`.
    pub unit: Option<Unit>,
    /// `~30`, `30+`, `about 30`.
    pub doubtful: bool,
}

/// Reads a number: `12`, `12.5`, `1,200`, `1 200`, `12,5`, `12 1/2`, `½`, `~30`, `30+`, `12 lb`.
///
/// A comma followed by exactly three digits separates thousands; another comma is a decimal comma.
pub fn number(text: &str) -> Option<Number> {
    let mut rest = text.trim();
    let mut doubtful = false;
    for mark in [
        "~", "≈", "about ", "approx ", "approx. ", "ca. ", "ca ", "c. ",
    ] {
        if let Some(prefix) = rest.get(..mark.len())
            && prefix.eq_ignore_ascii_case(mark)
        {
            doubtful = true;
            rest = rest.get(mark.len()..)?.trim_start();
        }
    }
    let split = rest
        .char_indices()
        .find(|(_, c)| c.is_alphabetic() || *c == '+' && !rest.starts_with('+'))
        .map_or(rest.len(), |(at, _)| at);
    let (digits, tail) = rest.split_at(split);
    let mut tail = tail.trim();
    if let Some(after) = tail.strip_prefix('+') {
        doubtful = true;
        tail = after.trim();
    }
    let unit = if tail.is_empty() {
        None
    } else {
        Some(Unit::named(tail)?)
    };
    let value = plain_number(digits.trim())?;
    Some(Number {
        value,
        unit,
        doubtful,
    })
}

fn plain_number(text: &str) -> Option<f64> {
    let (text, negative) = match text.strip_prefix(['-', '−']) {
        Some(rest) => (rest.trim_start(), true),
        None => (text.strip_prefix('+').unwrap_or(text), false),
    };
    let magnitude = with_fraction(text).or_else(|| decimal(text))?;
    magnitude
        .is_finite()
        .then_some(if negative { -magnitude } else { magnitude })
}

/// `12 1/2`, `1/2`, `12½`.
fn with_fraction(text: &str) -> Option<f64> {
    for (sign, value) in [('½', 0.5), ('¼', 0.25), ('¾', 0.75)] {
        if let Some(whole) = text.strip_suffix(sign) {
            let whole = whole.trim();
            return Some(
                value
                    + if whole.is_empty() {
                        0.0
                    } else {
                        decimal(whole)?
                    },
            );
        }
    }
    let (before, below) = text.split_once('/')?;
    let below: u32 = below.trim().parse().ok().filter(|below| *below > 0)?;
    let before = before.trim();
    let (whole, above) = before.rsplit_once(' ').unwrap_or(("", before));
    let above: u32 = above.parse().ok()?;
    let whole = whole.trim();
    let whole = if whole.is_empty() {
        0.0
    } else {
        decimal(whole)?
    };
    Some(whole + f64::from(above) / f64::from(below))
}

fn decimal(text: &str) -> Option<f64> {
    // Figures stand in groups of three where blanks, apostrophes or commas part thousands.
    let spaced: Vec<&str> = text
        .split([' ', '\u{a0}', '\u{202f}', '\'', '’', '_'])
        .collect();
    let joined = if spaced.len() > 1 {
        let (first, groups) = spaced.split_first()?;
        let whole_groups = groups.iter().all(|group| {
            let figures: &str = group.split(['.', ',']).next().unwrap_or(group);
            figures.len() == 3 && figures.bytes().all(|b| b.is_ascii_digit())
        });
        if first.is_empty() || !whole_groups {
            return None;
        }
        spaced.concat()
    } else {
        text.to_owned()
    };
    let plain = if joined.contains(',') {
        let points = joined.contains('.');
        let groups: Vec<&str> = joined.split('.').next()?.split(',').collect();
        let thousands = groups.len() > 1
            && groups.iter().skip(1).all(|group| group.len() == 3)
            && groups
                .first()
                .is_some_and(|first| (1..=3).contains(&first.len()) && *first != "0");
        if thousands {
            joined.replace(',', "")
        } else if !points && groups.len() == 2 {
            joined.replace(',', ".")
        } else {
            return None;
        }
    } else {
        joined
    };
    let figures_only = !plain.is_empty()
        && plain.bytes().all(|b| b.is_ascii_digit() || b == b'.')
        && plain.bytes().any(|b| b.is_ascii_digit());
    figures_only.then(|| plain.parse().ok()).flatten()
}

/// Why a text is no date.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DateFault {
    NotADate,
    /// Day and month can't be told apart without the season's order.
    Ambiguous,
}

/// Reads a date. `order` settles `7/4/2025`; with [`DateOrder::Ymd`] such a date is ambiguous unless one part is above 12.
///
/// # Errors
/// Where the text is no date, or may be two.
pub fn date(text: &str, order: DateOrder) -> Result<NaiveDate, DateFault> {
    let text = text.trim();
    let day = text.split([' ', 'T']).next().unwrap_or(text);
    if let Ok(date) = NaiveDate::parse_from_str(day, "%Y-%m-%d") {
        return Ok(date);
    }
    for form in ["%d %B %Y", "%d %b %Y", "%B %d, %Y", "%b %d, %Y", "%d-%b-%Y"] {
        if let Ok(date) = NaiveDate::parse_from_str(text, form) {
            return Ok(date);
        }
    }
    let parts: Vec<&str> = day.split(['/', '.', '-']).collect();
    let &[a, b, c] = parts.as_slice() else {
        return Err(DateFault::NotADate);
    };
    let read = |part: &str| part.parse::<u32>().map_err(|_| DateFault::NotADate);
    let (first, second, third) = (read(a)?, read(b)?, read(c)?);
    let make = |year: u32, month: u32, day: u32| {
        i32::try_from(year)
            .ok()
            .and_then(|year| NaiveDate::from_ymd_opt(year, month, day))
            .ok_or(DateFault::NotADate)
    };
    if a.len() == 4 {
        return make(first, second, third);
    }
    let year = match c.len() {
        4 => third,
        2 => 2000 + third,
        _ => return Err(DateFault::NotADate),
    };
    match order {
        DateOrder::Mdy => make(year, first, second),
        DateOrder::Dmy => make(year, second, first),
        DateOrder::Ymd if first > 12 => make(year, second, first),
        DateOrder::Ymd if second > 12 || first == second => make(year, first, second),
        DateOrder::Ymd => Err(DateFault::Ambiguous),
    }
}

/// Reads a time of day: `9`, `9:30`, `9.30`, `0930`, `9:30:15`, with `am` or `pm`.
pub fn time(text: &str) -> Option<NaiveTime> {
    let folded: String = text
        .chars()
        .filter(|c| !c.is_whitespace())
        .flat_map(char::to_lowercase)
        .collect();
    let (clock, half) = ["a.m.", "am", "p.m.", "pm"]
        .iter()
        .find_map(|mark| {
            folded
                .strip_suffix(mark)
                .map(|clock| (clock, Some(mark.starts_with('p'))))
        })
        .unwrap_or((folded.as_str(), None));
    let parts: Vec<&str> = clock.split([':', '.', 'h']).collect();
    let read = |part: &str| -> Option<u32> {
        (!part.is_empty() && part.len() <= 2)
            .then(|| part.parse().ok())
            .flatten()
    };
    let (hour, minute, second) = match parts.as_slice() {
        [all] if all.len() == 3 || all.len() == 4 => {
            let cut = all.len() - 2;
            (read(all.get(..cut)?)?, read(all.get(cut..)?)?, 0)
        }
        [hour] => (read(hour)?, 0, 0),
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

/// Reads yes or no.
pub fn yes_or_no(text: &str) -> Option<bool> {
    match text.trim().to_lowercase().as_str() {
        "yes" | "y" | "true" | "1" | "x" => Some(true),
        "no" | "n" | "false" | "0" => Some(false),
        _ => None,
    }
}

/// Folds case, blanks and punctuation away, so that `Staff hours` and `staff_hours` are one.
pub fn fold(text: &str) -> String {
    text.chars()
        .filter(|c| c.is_alphanumeric() || *c == '²')
        .flat_map(char::to_lowercase)
        .collect()
}

/// The known word nearest to `word`, if one is near enough to be meant.
pub fn nearest<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let folded = fold(word);
    known
        .into_iter()
        .map(|candidate| {
            let likeness = strsim::normalized_damerau_levenshtein(&folded, &fold(candidate));
            (candidate, likeness)
        })
        .filter(|(_, likeness)| *likeness >= NEAR_ENOUGH)
        .max_by(|a, b| a.1.total_cmp(&b.1))
        .map(|(candidate, _)| candidate)
}

/// Share of letters that must agree for a proposal: below it, proposals puzzle more than they help (tried on headings by hand).
const NEAR_ENOUGH: f64 = 0.6;

#[cfg(test)]
mod tests {
    use super::*;

    fn value(text: &str) -> Option<f64> {
        number(text).map(|number| number.value)
    }

    #[test]
    fn numbers_as_people_write_them() {
        for (text, expected) in [
            ("12", 12.0),
            ("12.5", 12.5),
            ("12,5", 12.5),
            ("1,200", 1200.0),
            ("1,234,567.5", 1_234_567.5),
            ("1 200", 1200.0),
            ("1'200", 1200.0),
            ("12 1/2", 12.5),
            ("1/2", 0.5),
            ("12½", 12.5),
            ("-3", -3.0),
            ("~30", 30.0),
            ("30+", 30.0),
            ("0,125", 0.125),
            (".5", 0.5),
        ] {
            assert_eq!(value(text), Some(expected), "{text}");
        }
        for text in [
            "", "twelve", "12 13", "1/0", "1,23,4", "nan", "inf", "1e5", "12 stone", ".",
        ] {
            assert_eq!(value(text), None, "{text}");
        }
        assert!(number("~30").is_some_and(|n| n.doubtful));
        assert_eq!(number("12 lb").and_then(|n| n.unit), Some(Unit::Pound));
    }

    #[test]
    fn dates_and_their_order() {
        let fourth = NaiveDate::from_ymd_opt(2025, 7, 4).unwrap();
        assert_eq!(date("2025-07-04", DateOrder::Ymd), Ok(fourth));
        assert_eq!(date("7/4/2025", DateOrder::Mdy), Ok(fourth));
        assert_eq!(date("4.7.25", DateOrder::Dmy), Ok(fourth));
        assert_eq!(date("4 July 2025", DateOrder::Ymd), Ok(fourth));
        assert_eq!(date("7/4/2025", DateOrder::Ymd), Err(DateFault::Ambiguous));
        assert!(date("7/24/2025", DateOrder::Ymd).is_ok());
        assert_eq!(date("2025-02-30", DateOrder::Ymd), Err(DateFault::NotADate));
        assert_eq!(date("soon", DateOrder::Mdy), Err(DateFault::NotADate));
    }

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
        ] {
            assert_eq!(time(text), half_past_nine, "{text}");
        }
        assert_eq!(time("9"), NaiveTime::from_hms_opt(9, 0, 0));
        assert_eq!(time("12 am"), NaiveTime::from_hms_opt(0, 0, 0));
        assert_eq!(time("12:15 pm"), NaiveTime::from_hms_opt(12, 15, 0));
        for text in ["", "25:00", "9:75", "13 pm", "noon", "::"] {
            assert_eq!(time(text), None, "{text}");
        }
    }

    #[test]
    fn proposals_are_near_or_absent() {
        let known = ["staff_hours", "volunteer_hours", "container"];
        assert_eq!(nearest("Staf hours", known), Some("staff_hours"));
        assert_eq!(nearest("weather", known), None);
    }
}
