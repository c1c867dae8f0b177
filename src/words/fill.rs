//! What goes into the places of a sentence.

use chrono::NaiveDate;

use super::dates::{day, month, month_of_year};
use super::{Language, Words};
use crate::shared::Shared;

/// What fills a place.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fill {
    /// The same in every language: names, paths, codes.
    Own(Shared),
    /// Digits as English writes them, `1,234.5`, with or without a unit's symbol behind them.
    Number(String),
    /// A count, which also chooses between one and many.
    Count(u64),
    /// `5 August 2025`.
    Date(NaiveDate),
    /// `August 2025`, of which any day is given.
    Month(NaiveDate),
    /// A month's name, counted from 1.
    MonthName(u32),
    Words(Words),
    /// `a, b and c`.
    List(Vec<Words>),
}

/// Digits written as English writes them, to be written as the reader's language does.
pub fn number(text: impl Into<String>) -> Fill {
    Fill::Number(text.into())
}

/// A cell's or a file's own text in quotation marks, with control characters written out.
pub fn quoted(text: impl AsRef<str>) -> Fill {
    Fill::Own(format!("{:?}", text.as_ref()).into())
}

impl Fill {
    pub(super) fn say(&self, language: Language, out: &mut String) {
        match self {
            Fill::Own(text) => out.push_str(text),
            Fill::Number(text) => out.push_str(&digits(text, language)),
            Fill::Count(count) => out.push_str(&digits(&grouped(*count), language)),
            Fill::Date(date) => out.push_str(&day(*date, language)),
            Fill::Month(date) => out.push_str(&month_of_year(*date, language)),
            Fill::MonthName(number) => out.push_str(month(*number, language)),
            Fill::Words(words) => out.push_str(&words.say(language)),
            Fill::List(items) => {
                let said: Vec<String> = items.iter().map(|item| item.say(language)).collect();
                out.push_str(&list(&said, language));
            }
        }
    }

    pub(super) fn count(&self) -> Option<u64> {
        match self {
            Fill::Count(count) => Some(*count),
            Fill::List(items) => Some(items.len() as u64),
            _ => None,
        }
    }
}

/// English digits in a language: marks between digits are changed, all else is kept.
pub fn digits(text: &str, language: Language) -> String {
    if language == Language::English {
        return text.to_owned();
    }
    let letters: Vec<char> = text.chars().collect();
    let is_digit = |at: Option<&char>| at.is_some_and(char::is_ascii_digit);
    let mut out = String::new();
    for (at, letter) in letters.iter().enumerate() {
        let behind = at > 0 && is_digit(letters.get(at - 1));
        let between = behind && is_digit(letters.get(at + 1));
        match letter {
            ',' if between => out.push(language.thousands_mark()),
            '.' if between => out.push(language.decimal_mark()),
            // A space stands before the sign: SI Brochure, 9th edition (2019), 5.4.7.
            '%' if behind => out.push_str("\u{a0}%"),
            other => out.push(*other),
        }
    }
    out
}

fn grouped(count: u64) -> String {
    let plain = count.to_string();
    let mut out = String::new();
    for (at, digit) in plain.chars().enumerate() {
        if at > 0 && (plain.len() - at).is_multiple_of(3) {
            out.push(',');
        }
        out.push(digit);
    }
    out
}

/// `a`, `a and b`, `a, b and c`.
pub fn list(items: &[String], language: Language) -> String {
    match items {
        [] => String::new(),
        [one] => one.clone(),
        [most @ .., last] => format!("{} {} {last}", most.join(", "), and(last, language)),
    }
}

/// The word before the last of a list. Spanish `y` becomes `e` before the sound of i (common grammar).
fn and(last: &str, language: Language) -> &'static str {
    match language {
        Language::English => "and",
        Language::French => "et",
        Language::Spanish => {
            let word = last.to_lowercase();
            let sounds_i = word.starts_with('i') || word.starts_with('í') || word.starts_with("hi");
            let glides = ["hie", "hia", "io"]
                .iter()
                .any(|start| word.starts_with(start));
            if sounds_i && !glides { "e" } else { "y" }
        }
    }
}

impl From<&str> for Fill {
    fn from(text: &str) -> Self {
        Fill::Own(text.into())
    }
}
impl From<&&str> for Fill {
    fn from(text: &&str) -> Self {
        Fill::Own((*text).into())
    }
}
impl From<String> for Fill {
    fn from(text: String) -> Self {
        Fill::Own(text.into())
    }
}
impl From<&String> for Fill {
    fn from(text: &String) -> Self {
        Fill::Own(text.into())
    }
}
impl From<Shared> for Fill {
    fn from(text: Shared) -> Self {
        Fill::Own(text)
    }
}
impl From<&Shared> for Fill {
    fn from(text: &Shared) -> Self {
        Fill::Own(text.clone())
    }
}
impl From<char> for Fill {
    fn from(letter: char) -> Self {
        Fill::Own(letter.to_string().into())
    }
}
impl From<Words> for Fill {
    fn from(words: Words) -> Self {
        Fill::Words(words)
    }
}
impl From<&Words> for Fill {
    fn from(words: &Words) -> Self {
        Fill::Words(words.clone())
    }
}
impl From<Vec<Words>> for Fill {
    fn from(items: Vec<Words>) -> Self {
        Fill::List(items)
    }
}
impl From<Vec<String>> for Fill {
    fn from(items: Vec<String>) -> Self {
        Fill::List(items.into_iter().map(Words::own).collect())
    }
}
impl From<Vec<Shared>> for Fill {
    fn from(items: Vec<Shared>) -> Self {
        Fill::List(items.into_iter().map(Words::own).collect())
    }
}
impl From<&[String]> for Fill {
    fn from(items: &[String]) -> Self {
        Fill::List(items.iter().map(|item| Words::own(item.clone())).collect())
    }
}
impl From<NaiveDate> for Fill {
    fn from(date: NaiveDate) -> Self {
        Fill::Date(date)
    }
}
impl From<usize> for Fill {
    fn from(count: usize) -> Self {
        Fill::Count(count as u64)
    }
}
impl From<u64> for Fill {
    fn from(count: u64) -> Self {
        Fill::Count(count)
    }
}
impl From<u32> for Fill {
    fn from(count: u32) -> Self {
        Fill::Count(count.into())
    }
}

impl From<&f64> for Fill {
    fn from(value: &f64) -> Self {
        Fill::from(*value)
    }
}
impl From<f64> for Fill {
    /// The shortest digits that read back as the same number.
    fn from(value: f64) -> Self {
        Fill::Number(value.to_string())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_change_between_digits_alone() {
        assert_eq!(digits("1,234.5 kg.", Language::French), "1\u{a0}234,5 kg.");
        assert_eq!(digits("1,234.5 kg", Language::English), "1,234.5 kg");
        assert_eq!(digits("3 to 4, 0.5", Language::Spanish), "3 to 4, 0,5");
        assert_eq!(digits("95%", Language::Spanish), "95\u{a0}%");
        assert_eq!(digits("95%", Language::English), "95%");
    }

    #[test]
    fn lists_follow_their_language() {
        let items = |last: &str| vec!["a".to_owned(), "b".to_owned(), last.to_owned()];
        assert_eq!(list(&items("c"), Language::English), "a, b and c");
        assert_eq!(
            list(&items("invierno"), Language::Spanish),
            "a, b e invierno"
        );
        assert_eq!(list(&items("hielo"), Language::Spanish), "a, b y hielo");
        assert_eq!(list(&items("c"), Language::French), "a, b et c");
    }
}
