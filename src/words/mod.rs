//! Sentences that a catalogue can put into another language.
//!
//! Takes an English sentence with places to fill, and what goes into them; gives a value that waits until it is shown and then
//! says itself in a [`Language`]. The English sentence is the key, so that code reads as what it says:
//!
//! ```
//! use windrow::words;
//! use windrow::words::Language;
//! let told = words!("{pulls} {pulls:pull|pulls} at {site}", pulls = 2_usize, site = "Heron Bay");
//! assert_eq!(told.to_string(), "2 pulls at Heron Bay");
//! assert_eq!(told.say(Language::English), "2 pulls at Heron Bay");
//! ```
//!
//! A place is `{name}`; `{name:one|many}` chooses by the count of that name; `{{` and `}}` are braces. What follows `##` tells two
//! equal English sentences apart and is never shown. [`phrase!`] marks a sentence without places that is kept as plain text.
//! What people wrote themselves (names, notes, paths) fills places and is never looked up. Serialised, words are English: the
//! ledger is one for all readers. Catalogues lie in `templates/words/`; a test holds them complete. Knows no other room.

mod catalogue;
mod dates;
mod fill;
mod language;
#[cfg(test)]
pub mod longer;
mod pattern;

pub use catalogue::{entries, has};
pub use dates::{day, day_and_month, month, period, short_day};
pub use fill::{Fill, digits, list, number, quoted};
pub use language::Language;
pub use pattern::{Piece, pieces};

use serde::{Deserialize, Deserializer, Serialize, Serializer};

/// A sentence, or a part of one, in any language.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Words(Vec<Part>);

/// A piece of [`Words`].
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
enum Part {
    /// Somebody's own words, or marks: the same in every language.
    Own(String),
    /// A sentence of ours.
    Ours {
        pattern: &'static str,
        fills: Vec<(&'static str, Fill)>,
    },
    /// Words that stand as a sentence of their own.
    Sentence(Words),
    /// Boxed, since it is rare and large, and words are many.
    Renamed(Box<Renamed>),
}

/// Words in which a name stands for another, in every language.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
struct Renamed {
    words: Words,
    usual: String,
    own: String,
}

impl Words {
    /// A sentence of ours; [`words!`] is the way to it, since the catalogue's test reads its patterns.
    pub fn ours(pattern: &'static str, fills: Vec<(&'static str, Fill)>) -> Self {
        Self(vec![Part::Ours { pattern, fills }])
    }

    /// Words of ours that are kept as plain text and were marked by [`phrase!`], or a rule's title and reason.
    pub fn fixed(phrase: &'static str) -> Self {
        Self::ours(phrase, Vec::new())
    }

    /// What somebody wrote, or what is no language: a path, a name.
    pub fn own(text: impl Into<String>) -> Self {
        Self(vec![Part::Own(text.into())])
    }

    /// The same as a sentence of its own: a capital first, a full stop last.
    #[must_use]
    pub fn as_sentence(self) -> Self {
        Self(vec![Part::Sentence(self)])
    }

    /// The same with other words wherever some words fill a place.
    #[must_use]
    pub fn with(mut self, usual: &Words, own: &Words) -> Self {
        for part in &mut self.0 {
            match part {
                Part::Ours { fills, .. } => {
                    for (_, fill) in fills {
                        if let Fill::Words(words) = fill {
                            if words == usual {
                                words.clone_from(own);
                            } else {
                                *words = std::mem::take(words).with(usual, own);
                            }
                        }
                    }
                }
                Part::Sentence(words) => *words = std::mem::take(words).with(usual, own),
                Part::Renamed(renamed) => {
                    renamed.words = std::mem::take(&mut renamed.words).with(usual, own);
                }
                Part::Own(_) => {}
            }
        }
        self
    }

    /// The same with a name, such as that of a file, put in the place of another.
    #[must_use]
    pub fn renaming(self, usual: &str, own: &str) -> Self {
        Self(vec![Part::Renamed(Box::new(Renamed {
            words: self,
            usual: usual.to_owned(),
            own: own.to_owned(),
        }))])
    }

    /// What fills a place, alone.
    pub fn filled(fill: impl Into<Fill>) -> Self {
        Self::ours("{it}", vec![("it", fill.into())])
    }

    /// Both, one behind the other, with what stands between them.
    #[must_use]
    pub fn then(mut self, between: &str, more: impl Into<Words>) -> Self {
        let more = more.into();
        // There may be a reason for each of tens of thousands of photos: no room for words that don't come.
        self.0.reserve_exact(more.0.len() + 1);
        if !between.is_empty() && !self.is_empty() && !more.is_empty() {
            self.0.push(Part::Own(between.to_owned()));
        }
        self.0.extend(more.0);
        self
    }

    /// All of them with the same mark between.
    pub fn joined(items: impl IntoIterator<Item = Words>, between: &str) -> Self {
        items
            .into_iter()
            .fold(Self::default(), |all, item| all.then(between, item))
    }

    /// Whether there is nothing to say.
    pub fn is_empty(&self) -> bool {
        self.0.iter().all(|part| match part {
            Part::Own(text) => text.is_empty(),
            Part::Ours { pattern, .. } => pattern.is_empty(),
            Part::Sentence(words) => words.is_empty(),
            Part::Renamed(renamed) => renamed.words.is_empty(),
        })
    }

    /// In a language; what its catalogue lacks comes in English.
    pub fn say(&self, language: Language) -> String {
        let mut out = String::new();
        for part in &self.0 {
            match part {
                Part::Own(text) => out.push_str(text),
                Part::Ours { pattern, fills } => {
                    let said = language.of(pattern);
                    pattern::fill(said, fills, language, &mut out);
                }
                Part::Sentence(words) => out.push_str(&sentence(&words.say(language))),
                Part::Renamed(renamed) => {
                    let said = renamed.words.say(language);
                    out.push_str(&said.replace(renamed.usual.as_str(), &renamed.own));
                }
            }
        }
        out
    }
}

/// A capital first, and a full stop where no mark ends it.
fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    let Some(first) = letters.next() else {
        return String::new();
    };
    let stop = if text.ends_with(['.', '!', '?', '…']) {
        ""
    } else {
        "."
    };
    format!("{}{}{stop}", first.to_uppercase(), letters.as_str())
}

impl std::fmt::Display for Words {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        formatter.pad(&self.say(Language::English))
    }
}

impl From<String> for Words {
    fn from(text: String) -> Self {
        Self::own(text)
    }
}

impl From<&str> for Words {
    fn from(text: &str) -> Self {
        Self::own(text)
    }
}

impl From<&String> for Words {
    fn from(text: &String) -> Self {
        Self::own(text.as_str())
    }
}

impl From<&Words> for Words {
    fn from(words: &Words) -> Self {
        words.clone()
    }
}

impl PartialEq<str> for Words {
    fn eq(&self, other: &str) -> bool {
        self.say(Language::English) == other
    }
}

impl PartialEq<&str> for Words {
    fn eq(&self, other: &&str) -> bool {
        self == *other
    }
}

impl Serialize for Words {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.say(Language::English))
    }
}

impl<'de> Deserialize<'de> for Words {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        String::deserialize(deserializer).map(Self::own)
    }
}

/// A sentence with its places filled: `words!("{count} rows at {site}", count = rows.len(), site)`.
#[macro_export]
macro_rules! words {
    (@value $name:ident = $value:expr) => { $crate::words::Fill::from($value) };
    (@value $name:ident) => { $crate::words::Fill::from($name) };
    ($pattern:literal $(, $name:ident $(= $value:expr)?)* $(,)?) => {
        $crate::words::Words::ours(
            $pattern,
            vec![$((stringify!($name), $crate::words!(@value $name $(= $value)?))),*],
        )
    };
}

/// Marks a sentence without places for the catalogue and gives it as plain text, for constants; see [`Words::fixed`].
#[macro_export]
macro_rules! phrase {
    ($text:literal) => {
        $text
    };
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sentence_waits_for_its_language() {
        let inner = words!("{count} {count:row|rows}", count = 1_usize);
        let said = words!(
            "{site}: {inner}, {mass}",
            site = "Heron {Bay}",
            inner,
            mass = number("1,234.5")
        );
        assert_eq!(said.to_string(), "Heron {Bay}: 1 row, 1,234.5");
        assert_eq!(said, "Heron {Bay}: 1 row, 1,234.5");
        assert_eq!(
            serde_json::to_string(&said).unwrap(),
            "\"Heron {Bay}: 1 row, 1,234.5\""
        );
    }

    #[test]
    fn own_words_are_never_looked_up_and_join_with_ours() {
        let all = Words::joined([words!("One."), Words::own(""), Words::own("{two}")], " ");
        assert_eq!(all.say(Language::Spanish), "One. {two}");
        assert!(Words::default().is_empty());
    }

    #[test]
    fn a_name_stands_for_another() {
        let told = words!("Name it in photos.csv, not in {file}.", file = "sites.csv");
        let told = told.renaming("photos.csv", "photos.ods");
        assert_eq!(told, "Name it in photos.ods, not in sites.csv.");
    }

    #[test]
    fn words_in_a_place_give_way_to_others() {
        let group = words!("Group {number}", number = 1_usize);
        let told = words!("{count} of {group}", count = 3_usize, group = &group);
        let told = words!("{reason} Again.", reason = told);
        assert_eq!(told.with(&group, &Words::own("bags")), "3 of bags Again.");
    }

    #[test]
    fn a_reason_becomes_a_sentence() {
        assert_eq!(
            words!("no bag was weighed").as_sentence(),
            "No bag was weighed."
        );
        assert_eq!(words!("Élan!").as_sentence(), "Élan!");
        assert_eq!(Words::default().as_sentence(), "");
    }

    #[test]
    fn what_tells_two_apart_is_not_shown() {
        assert_eq!(words!("reached##of a target").to_string(), "reached");
    }
}
