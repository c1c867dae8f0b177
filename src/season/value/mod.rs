//! Cells as people fill them: numbers, dates, times, yes and no. Pure functions on text.

mod date;
mod number;
mod time;

use unicode_normalization::UnicodeNormalization;

pub use date::{DateFault, DateHabits, DateOrder, DateRead, Points, date, shown_order};
pub use number::{Marks, Number, Plain, number, plain, without_letters};
pub use time::{duration, time};

/// Is the cell one of the ways of saying *not recorded*?
pub fn is_blank(text: &str) -> bool {
    let text = text.trim();
    text.is_empty()
        || [
            "-",
            "–",
            "—",
            "−",
            "--",
            "n/a",
            "na",
            "n.a.",
            "n.d.",
            "nr",
            "?",
            "??",
            "none recorded",
            "not recorded",
        ]
        .iter()
        .any(|blank| text.eq_ignore_ascii_case(blank))
}

/// Reads yes or no, also in the languages of the field sheet.
pub fn yes_or_no(text: &str) -> Option<bool> {
    match text.trim().to_lowercase().as_str() {
        "yes" | "y" | "true" | "1" | "x" | "si" | "sí" | "oui" => Some(true),
        "no" | "n" | "non" | "false" | "0" => Some(false),
        _ => None,
    }
}

/// Folds case, blanks, punctuation and accents away, so that `Staff hours` and `staff_hours` are one, and so are the two ways
/// in which systems store `é`.
pub fn fold(text: &str) -> String {
    if text.is_ascii() {
        ascii_letters(text).collect()
    } else {
        letters(text).collect()
    }
}

/// Does the text fold to this? Most that are asked differ in their first letter, so that nothing is folded for them.
pub fn folds_to(text: &str, folded: &str) -> bool {
    if text.is_ascii() {
        ascii_letters(text).eq(folded.chars())
    } else {
        letters(text).eq(folded.chars())
    }
}

fn is_kept(letter: &char) -> bool {
    letter.is_alphanumeric() || *letter == '²'
}

fn ascii_letters(text: &str) -> impl Iterator<Item = char> {
    let letters = text.chars().filter(is_kept);
    letters.map(|letter| letter.to_ascii_lowercase())
}

fn letters(text: &str) -> impl Iterator<Item = char> {
    text.nfd().filter(is_kept).flat_map(char::to_lowercase)
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
pub const NEAR_ENOUGH: f64 = 0.6;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn proposals_are_near_or_absent() {
        let known = ["staff_hours", "volunteer_hours", "container"];
        assert_eq!(nearest("Staf hours", known), Some("staff_hours"));
        assert_eq!(nearest("weather", known), None);
    }

    #[test]
    fn a_tick_is_read_in_each_language_of_the_field_sheet() {
        for (yes, no) in [("yes", "no"), ("Sí", "no"), ("oui", "Non")] {
            assert_eq!(yes_or_no(yes), Some(true));
            assert_eq!(yes_or_no(no), Some(false));
        }
        assert_eq!(yes_or_no("perhaps"), None);
    }

    #[test]
    fn accents_and_their_two_forms_fold_away() {
        assert_eq!(fold("Étang  du-Nord"), "etangdunord");
        assert_eq!(fold("E\u{301}tang du Nord"), "etangdunord");
        assert_eq!(fold("m²"), "m²");
        for text in [
            "Étang  du-Nord",
            "E\u{301}tang du Nord",
            "m²",
            "North-Cove 2",
            "",
        ] {
            assert!(folds_to(text, &fold(text)), "{text}");
        }
        assert!(!folds_to("north", "nort") && !folds_to("nort", "north"));
        assert!(!folds_to("étang", "etan") && !folds_to("étan", "etang"));
    }
}
