//! Words that several parts of the report share: dates, lists, plurals.

use chrono::{Datelike, NaiveDate};

use super::digits;

const MONTHS: [&str; 12] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];

/// A month's name, counted from 1.
pub fn month(number: u32) -> &'static str {
    number
        .checked_sub(1)
        .and_then(|at| MONTHS.get(at as usize))
        .copied()
        .unwrap_or("")
}

/// `5 August`.
pub fn day_and_month(date: NaiveDate) -> String {
    format!("{}\u{a0}{}", date.day(), month(date.month()))
}

/// `5 August 2025`.
pub fn day(date: NaiveDate) -> String {
    format!("{} {}", day_and_month(date), date.year())
}

/// `1 May to 30 September 2025`.
pub fn period(starts: NaiveDate, ends: NaiveDate) -> String {
    if starts.year() == ends.year() {
        format!("{} to {}", day_and_month(starts), day(ends))
    } else {
        format!("{} to {}", day(starts), day(ends))
    }
}

/// `1 pull`, `1,200 pulls`.
pub fn plural(count: usize, word: &str) -> String {
    let ending = if count == 1 { "" } else { "s" };
    format!("{}\u{a0}{word}{ending}", digits::count(count))
}

/// `a`, `a and b`, `a, b and c`.
pub fn list(items: &[String]) -> String {
    match items {
        [] => String::new(),
        [one] => one.clone(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}

/// The sentence with a full stop.
pub fn sentence(text: &str) -> String {
    let text = text.trim();
    if text.is_empty() || text.ends_with(['.', '!', '?', '…']) {
        text.to_owned()
    } else {
        format!("{text}.")
    }
}

/// The reason without what stands before it: `pull P01: a grant paid` and `2 containers left out: no bag was weighed` are told
/// beside the row and the number, which must not keep equal reasons apart.
pub fn bare_reason(reason: &str) -> &str {
    let reason = match reason.split_once(": ") {
        Some((before, reason)) if before.starts_with("pull ") || before.ends_with("left out") => {
            reason
        }
        _ => reason,
    };
    reason.trim_end_matches('.')
}

/// The text with a capital first.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dates_lists_and_plurals() {
        let date = NaiveDate::from_ymd_opt(2025, 8, 5).unwrap();
        assert_eq!(day(date), "5\u{a0}August 2025");
        let end = NaiveDate::from_ymd_opt(2025, 9, 30).unwrap();
        assert_eq!(period(date, end), "5\u{a0}August to 30\u{a0}September 2025");
        assert_eq!(plural(1, "pull"), "1\u{a0}pull");
        assert_eq!(plural(1_200, "pull"), "1,200\u{a0}pulls");
        let items = ["a", "b", "c"].map(str::to_owned);
        assert_eq!(list(&items), "a, b and c");
        assert_eq!(list(&items[..1]), "a");
        assert_eq!(sentence(" No bag was weighed "), "No bag was weighed.");
        assert_eq!(capital("élan"), "Élan");
        assert_eq!(month(13), "");
        assert_eq!(bare_reason("pull P01: a grant paid."), "a grant paid");
        assert_eq!(bare_reason("2 bags left out: none weighed"), "none weighed");
        assert_eq!(
            bare_reason("no kind: bag or basket"),
            "no kind: bag or basket"
        );
    }
}
