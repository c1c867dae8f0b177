//! Dates as people write them.

use chrono::{Datelike, NaiveDate, Weekday};
use serde::Deserialize;

/// The order of day, month and year in dates that are written with numbers only and don't begin with the year.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum DateOrder {
    #[default]
    Ymd,
    Mdy,
    Dmy,
}

/// Why a text is no date.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DateFault {
    NotADate,
    /// Day and month can't be told apart without the season's order.
    Ambiguous,
    /// A date in the other order than the season's.
    AgainstOrder,
}

/// A date as read, with what was filled in or does not agree.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DateRead {
    pub date: NaiveDate,
    /// The cell names no year; the season's was taken.
    pub year_filled_in: bool,
    /// The cell names a day of the week that the date does not have.
    pub weekday: Option<Weekday>,
}

/// What a point parts in `9.25`: hours and minutes, or an hour and its hundredths.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Points {
    Clock,
    Decimal,
}

/// What settles dates and times that don't say all.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct DateHabits {
    pub order: DateOrder,
    /// The season's year.
    pub year: Option<i32>,
    /// How times of day with a point are meant, where season.toml says so.
    pub times: Option<Points>,
    /// How hours with a point are meant, where season.toml says so.
    pub hours: Option<Points>,
}

const MONTHS: [&str; 12] = [
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
];

const WEEKDAYS: [(&str, Weekday); 7] = [
    ("monday", Weekday::Mon),
    ("tuesday", Weekday::Tue),
    ("wednesday", Weekday::Wed),
    ("thursday", Weekday::Thu),
    ("friday", Weekday::Fri),
    ("saturday", Weekday::Sat),
    ("sunday", Weekday::Sun),
];

/// Is the word the start of the name, by three letters or more?
fn starts(name: &str, word: &str) -> bool {
    word.len() >= 3 && (name.starts_with(word) || name == "september" && word == "sept")
}

/// Reads a date. With [`DateOrder::Ymd`] `7/4/2025` is ambiguous unless one part is above 12 or both are equal.
///
/// # Errors
/// Where the text is no date, or may be two, or goes against the season's order.
pub fn date(text: &str, habits: DateHabits) -> Result<DateRead, DateFault> {
    let folded = text.trim().to_lowercase();
    let folded = match folded.split_once('t') {
        // 2025-07-04T09:30
        Some((day, time))
            if day.ends_with(|c: char| c.is_ascii_digit())
                && time.starts_with(|c: char| c.is_ascii_digit()) =>
        {
            day.to_owned()
        }
        _ => folded,
    };
    let mut weekday = None;
    let mut month = None;
    let mut numbers: Vec<&str> = Vec::new();
    // A time behind the date is not looked at.
    let day_part = match folded.split_once(' ') {
        _ if !folded.contains(':') => folded.as_str(),
        _ => folded
            .find(':')
            .and_then(|colon| folded.get(..colon))
            .and_then(|before| before.rsplit_once(' '))
            .map_or("", |(day, _)| day),
    };
    let closed = day_part.ends_with('.');
    for word in day_part
        .split([' ', ',', '/', '.', '-', '–', '\u{a0}'])
        .filter(|word| !word.is_empty())
    {
        if let Some(index) = MONTHS.iter().position(|name| starts(name, word)) {
            if month.is_some() {
                return Err(DateFault::NotADate);
            }
            month = u32::try_from(index + 1).ok();
        } else if let Some((_, day)) = WEEKDAYS.iter().find(|(name, _)| starts(name, word)) {
            weekday = Some(*day);
        } else {
            let figures = ["st", "nd", "rd", "th"]
                .iter()
                .find_map(|ending| word.strip_suffix(ending))
                .unwrap_or(word);
            if figures.is_empty() || !figures.bytes().all(|b| b.is_ascii_digit()) {
                return Err(DateFault::NotADate);
            }
            numbers.push(figures);
        }
    }
    let (date, year_filled_in) = match month {
        Some(month) => with_month(month, &numbers, habits)?,
        None => of_numbers(&numbers, day_part, closed, habits)?,
    };
    Ok(DateRead {
        date,
        year_filled_in,
        weekday: weekday.filter(|day| *day != date.weekday()),
    })
}

fn read(figures: &str) -> Result<u32, DateFault> {
    figures.parse().map_err(|_| DateFault::NotADate)
}

fn make(year: i32, month: u32, day: u32) -> Result<NaiveDate, DateFault> {
    NaiveDate::from_ymd_opt(year, month, day).ok_or(DateFault::NotADate)
}

/// A year of four figures, or of two in this century.
fn year(figures: &str) -> Result<i32, DateFault> {
    let number = i32::try_from(read(figures)?).map_err(|_| DateFault::NotADate)?;
    match figures.len() {
        4 => Ok(number),
        2 => Ok(2000 + number),
        _ => Err(DateFault::NotADate),
    }
}

/// `4 July 2025`, `July 4, 2025`, `4-Jul-25`, `2025 July 4`, and without year.
fn with_month(
    month: u32,
    numbers: &[&str],
    habits: DateHabits,
) -> Result<(NaiveDate, bool), DateFault> {
    match *numbers {
        [first, day] if first.len() == 4 => Ok((make(year(first)?, month, read(day)?)?, false)),
        [day, last] => Ok((make(year(last)?, month, read(day)?)?, false)),
        [day] if day.len() <= 2 => {
            let year = habits.year.ok_or(DateFault::NotADate)?;
            Ok((make(year, month, read(day)?)?, true))
        }
        _ => Err(DateFault::NotADate),
    }
}

fn of_numbers(
    numbers: &[&str],
    text: &str,
    closed: bool,
    habits: DateHabits,
) -> Result<(NaiveDate, bool), DateFault> {
    match *numbers {
        // 20250704
        [all] if all.len() == 8 && text.len() == 8 => {
            let part = |from: usize, to: usize| all.get(from..to).ok_or(DateFault::NotADate);
            Ok((
                make(year(part(0, 4)?)?, read(part(4, 6)?)?, read(part(6, 8)?)?)?,
                false,
            ))
        }
        [first, second, third] if first.len() == 4 => {
            Ok((make(year(first)?, read(second)?, read(third)?)?, false))
        }
        [first, second, third] if first.len() <= 2 && second.len() <= 2 => {
            let date = in_order(year(third)?, read(first)?, read(second)?, habits.order)?;
            Ok((date, false))
        }
        // 7/12 is a day; 7.12 may be a number.
        [first, second]
            if first.len() <= 2 && second.len() <= 2 && (text.contains('/') || closed) =>
        {
            let year = habits.year.ok_or(DateFault::NotADate)?;
            let date = in_order(year, read(first)?, read(second)?, habits.order)?;
            Ok((date, true))
        }
        _ => Err(DateFault::NotADate),
    }
}

fn in_order(year: i32, first: u32, second: u32, order: DateOrder) -> Result<NaiveDate, DateFault> {
    let mdy = make(year, first, second);
    let dmy = make(year, second, first);
    match (order, mdy, dmy) {
        (_, Err(fault), Err(_)) => Err(fault),
        (DateOrder::Mdy, Ok(date), _) | (DateOrder::Dmy, _, Ok(date)) => Ok(date),
        (DateOrder::Mdy, Err(_), Ok(_)) | (DateOrder::Dmy, Ok(_), Err(_)) => {
            Err(DateFault::AgainstOrder)
        }
        (DateOrder::Ymd, Ok(a), Ok(b)) if a == b => Ok(a),
        (DateOrder::Ymd, Ok(_), Ok(_)) => Err(DateFault::Ambiguous),
        (DateOrder::Ymd, Ok(date), Err(_)) | (DateOrder::Ymd, Err(_), Ok(date)) => Ok(date),
    }
}

/// Which order a date shows by itself, where only one is possible: `7/25/25` can only be month first.
pub fn shown_order(text: &str) -> Option<DateOrder> {
    let at = |order| {
        date(
            text,
            DateHabits {
                order,
                // A leap year, so that 2/29 shows its order too.
                year: Some(2024),
                ..DateHabits::default()
            },
        )
    };
    match (at(DateOrder::Mdy), at(DateOrder::Dmy)) {
        (Ok(_), Err(DateFault::AgainstOrder)) => Some(DateOrder::Mdy),
        (Err(DateFault::AgainstOrder), Ok(_)) => Some(DateOrder::Dmy),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(text: &str, order: DateOrder) -> Result<NaiveDate, DateFault> {
        date(
            text,
            DateHabits {
                order,
                year: Some(2025),
                ..DateHabits::default()
            },
        )
        .map(|read| read.date)
    }

    #[test]
    fn dates_and_their_order() {
        let fourth = NaiveDate::from_ymd_opt(2025, 7, 4).unwrap();
        assert_eq!(at("7/4/2025", DateOrder::Mdy), Ok(fourth));
        assert_eq!(at("7/4/25", DateOrder::Mdy), Ok(fourth));
        assert_eq!(at("4.7.25", DateOrder::Dmy), Ok(fourth));
        for text in [
            "2025-07-04",
            "2025-07-04 09:30:00",
            "2025-07-04T09:30",
            "2025/7/4",
            "20250704",
            "4 July 2025",
            "July 4, 2025",
            "July 4th, 2025",
            "4-Jul-25",
            "4-Jul-2025",
            "04 Jul 2025",
            "Fri 4 July 2025",
            "Friday, July 4, 2025",
            "4-Jul",
            "Jul 4",
        ] {
            assert_eq!(at(text, DateOrder::Ymd), Ok(fourth), "{text}");
        }
        assert_eq!(at("7/4/2025", DateOrder::Ymd), Err(DateFault::Ambiguous));
        assert_eq!(at("4.7.25", DateOrder::Ymd), Err(DateFault::Ambiguous));
        assert_eq!(at("7/4", DateOrder::Ymd), Err(DateFault::Ambiguous));
        assert!(at("7/24/2025", DateOrder::Ymd).is_ok());
        assert_eq!(
            at("24/7/2025", DateOrder::Mdy),
            Err(DateFault::AgainstOrder)
        );
        for text in [
            "2025-02-30",
            "soon",
            "",
            "July",
            "7.5",
            "45842",
            "2025",
            "99/99/99",
            "mar mar 3",
            "1 2",
        ] {
            assert_eq!(at(text, DateOrder::Mdy), Err(DateFault::NotADate), "{text}");
        }
    }

    #[test]
    fn what_was_filled_in_or_does_not_agree_is_said() {
        let habits = DateHabits {
            order: DateOrder::Ymd,
            year: Some(2025),
            ..DateHabits::default()
        };
        assert!(date("4-Jul", habits).unwrap().year_filled_in);
        assert_eq!(
            date("Sat 4 July 2025", habits).unwrap().weekday,
            Some(Weekday::Sat)
        );
        assert_eq!(date("Fri 4 July 2025", habits).unwrap().weekday, None);
        assert_eq!(
            date("4-Jul", DateHabits::default()),
            Err(DateFault::NotADate)
        );
    }

    #[test]
    fn a_date_may_show_its_order() {
        assert_eq!(shown_order("7/25/25"), Some(DateOrder::Mdy));
        assert_eq!(shown_order("25.7.2025"), Some(DateOrder::Dmy));
        assert_eq!(shown_order("7/4/25"), None);
        assert_eq!(shown_order("2025-07-25"), None);
    }
}
