//! Days, months and spans of days as a language writes them.

use chrono::{Datelike, NaiveDate};

use super::Language;

/// Months by language, January first.
const MONTHS: [[&str; 12]; 3] = [
    [
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
    ],
    [
        "enero",
        "febrero",
        "marzo",
        "abril",
        "mayo",
        "junio",
        "julio",
        "agosto",
        "septiembre",
        "octubre",
        "noviembre",
        "diciembre",
    ],
    [
        "janvier",
        "février",
        "mars",
        "avril",
        "mai",
        "juin",
        "juillet",
        "août",
        "septembre",
        "octobre",
        "novembre",
        "décembre",
    ],
];

/// Short names of months for narrow columns: usual abbreviations, from memory of Unicode CLDR (`MMM` of en, es, fr).
const SHORT: [[&str; 12]; 3] = [
    [
        "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec",
    ],
    [
        "ene", "feb", "mar", "abr", "may", "jun", "jul", "ago", "sept", "oct", "nov", "dic",
    ],
    [
        "janv.", "févr.", "mars", "avr.", "mai", "juin", "juil.", "août", "sept.", "oct.", "nov.",
        "déc.",
    ],
];

fn name(table: &[[&'static str; 12]; 3], number: u32, language: Language) -> &'static str {
    let [english, spanish, french] = table;
    let names = match language {
        Language::English => english,
        Language::Spanish => spanish,
        Language::French => french,
    };
    number
        .checked_sub(1)
        .and_then(|at| names.get(at as usize))
        .copied()
        .unwrap_or("")
}

/// A month's name, counted from 1.
pub fn month(number: u32, language: Language) -> &'static str {
    name(&MONTHS, number, language)
}

/// `5 August`, `5 de agosto`, `1er août`.
pub fn day_and_month(date: NaiveDate, language: Language) -> String {
    let (day, month) = (date.day(), month(date.month(), language));
    match language {
        Language::English => format!("{day}\u{a0}{month}"),
        Language::Spanish => format!("{day}\u{a0}de\u{a0}{month}"),
        Language::French if day == 1 => format!("1er\u{a0}{month}"),
        Language::French => format!("{day}\u{a0}{month}"),
    }
}

/// `5 August 2025`, `5 de agosto de 2025`, `5 août 2025`.
pub fn day(date: NaiveDate, language: Language) -> String {
    let before = day_and_month(date, language);
    match language {
        Language::Spanish => format!("{before} de {}", date.year()),
        Language::English | Language::French => format!("{before} {}", date.year()),
    }
}

/// `August 2025`, `agosto de 2025`, `août 2025`.
pub fn month_of_year(date: NaiveDate, language: Language) -> String {
    let (month, year) = (month(date.month(), language), date.year());
    match language {
        Language::Spanish => format!("{month} de {year}"),
        Language::English | Language::French => format!("{month} {year}"),
    }
}

/// `5 Aug`, `5 ago`, `5 août`: for tables. A space may break there.
pub fn short_day(date: NaiveDate, language: Language) -> String {
    let month = name(&SHORT, date.month(), language);
    match (language, date.day()) {
        (Language::French, 1) => format!("1er {month}"),
        (_, day) => format!("{day} {month}"),
    }
}

/// `1 May to 30 September 2025`, `del 1 de mayo al 30 de septiembre de 2025`, `du 1er mai au 30 septembre 2025`: as it stands behind
/// a comma or a colon.
pub fn period(starts: NaiveDate, ends: NaiveDate, language: Language) -> String {
    let first = if starts.year() == ends.year() {
        day_and_month(starts, language)
    } else {
        day(starts, language)
    };
    let last = day(ends, language);
    match language {
        Language::English => format!("{first} to {last}"),
        Language::Spanish => format!("del\u{a0}{first} al\u{a0}{last}"),
        Language::French => format!("du\u{a0}{first} au\u{a0}{last}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn date(year: i32, month: u32, day: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(year, month, day).unwrap()
    }

    #[test]
    fn days_follow_their_language() {
        let first = date(2025, 8, 1);
        assert_eq!(day(first, Language::English), "1\u{a0}August 2025");
        assert_eq!(
            day(first, Language::Spanish),
            "1\u{a0}de\u{a0}agosto de 2025"
        );
        assert_eq!(day(first, Language::French), "1er\u{a0}août 2025");
        assert_eq!(short_day(first, Language::English), "1 Aug");
        assert_eq!(short_day(date(2025, 2, 5), Language::French), "5 févr.");
        assert_eq!(month(13, Language::English), "");
        assert_eq!(month_of_year(first, Language::Spanish), "agosto de 2025");
        assert_eq!(month_of_year(first, Language::French), "août 2025");
    }

    #[test]
    fn spans_name_a_year_once_where_it_is_one() {
        let (starts, ends) = (date(2025, 5, 1), date(2025, 9, 30));
        let said = |language| period(starts, ends, language).replace('\u{a0}', " ");
        assert_eq!(said(Language::English), "1 May to 30 September 2025");
        assert_eq!(
            said(Language::Spanish),
            "del 1 de mayo al 30 de septiembre de 2025"
        );
        assert_eq!(said(Language::French), "du 1er mai au 30 septembre 2025");
        assert_eq!(
            period(date(2024, 12, 5), date(2025, 1, 2), Language::English),
            "5\u{a0}December 2024 to 2\u{a0}January 2025"
        );
    }
}
