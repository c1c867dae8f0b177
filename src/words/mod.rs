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
//! ledger is one for all readers. Catalogues lie in `templates/words/`; a test holds them complete. Knows no other room
//! but the texts that several records share.

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

use std::borrow::Cow;
use std::cmp::Ordering;

use serde::{Deserialize, Deserializer, Serialize, Serializer};

use crate::shared::Shared;

/// A sentence, or a part of one, in any language.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Words(Kind);

/// How words are held.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Kind {
    /// A sentence of ours without places. Most are, there may be several for each of tens of thousands of photos, and this one takes no
    /// memory of its own. Such a sentence is never held otherwise where it stands alone.
    Fixed(&'static str),
    Parts(Vec<Part>),
}

/// A piece of [`Words`].
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
enum Part {
    /// Somebody's own words, or marks: the same in every language.
    Own(Shared),
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
        if fills.is_empty() {
            return Self(Kind::Fixed(pattern));
        }
        Self::one(Part::Ours { pattern, fills })
    }

    fn one(part: Part) -> Self {
        Self(Kind::Parts(vec![part]))
    }

    fn into_parts(self) -> Vec<Part> {
        match self.0 {
            Kind::Fixed(pattern) => vec![Part::fixed(pattern)],
            Kind::Parts(parts) => parts,
        }
    }

    fn parts(&self) -> Cow<'_, [Part]> {
        match &self.0 {
            Kind::Fixed(pattern) => Cow::Owned(vec![Part::fixed(pattern)]),
            Kind::Parts(parts) => Cow::Borrowed(parts),
        }
    }

    /// Words of ours that are kept as plain text and were marked by [`phrase!`], or a rule's title and reason.
    pub fn fixed(phrase: &'static str) -> Self {
        Self::ours(phrase, Vec::new())
    }

    /// What somebody wrote, or what is no language: a path, a name.
    pub fn own(text: impl Into<Shared>) -> Self {
        Self::one(Part::Own(text.into()))
    }

    /// The same as a sentence of its own: a capital first, a full stop last.
    #[must_use]
    pub fn as_sentence(self) -> Self {
        Self::one(Part::Sentence(self))
    }

    /// The same with other words wherever some words fill a place.
    #[must_use]
    pub fn with(mut self, usual: &Words, own: &Words) -> Self {
        let Kind::Parts(parts) = &mut self.0 else {
            return self;
        };
        for part in parts {
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
        Self::one(Part::Renamed(Box::new(Renamed {
            words: self,
            usual: usual.to_owned(),
            own: own.to_owned(),
        })))
    }

    /// What fills a place, alone.
    pub fn filled(fill: impl Into<Fill>) -> Self {
        Self::ours("{it}", vec![("it", fill.into())])
    }

    /// Both, one behind the other, with what stands between them.
    #[must_use]
    pub fn then(self, between: &str, more: impl Into<Words>) -> Self {
        let more = more.into();
        match (&self.0, &more.0) {
            (_, Kind::Parts(parts)) if parts.is_empty() => return self,
            (Kind::Parts(parts), _) if parts.is_empty() => return more,
            _ => {}
        }
        let stands_between = !between.is_empty() && !self.is_empty() && !more.is_empty();
        let mut parts = self.into_parts();
        let more = more.into_parts();
        // There may be a reason for each of tens of thousands of photos: no room for words that don't come.
        parts.reserve_exact(more.len() + 1);
        if stands_between {
            parts.push(Part::Own(between.into()));
        }
        parts.extend(more);
        Self(Kind::Parts(parts))
    }

    /// All of them with the same mark between.
    pub fn joined(items: impl IntoIterator<Item = Words>, between: &str) -> Self {
        items
            .into_iter()
            .fold(Self::default(), |all, item| all.then(between, item))
    }

    /// Whether there is nothing to say.
    pub fn is_empty(&self) -> bool {
        match &self.0 {
            Kind::Fixed(pattern) => pattern.is_empty(),
            Kind::Parts(parts) => parts.iter().all(Part::is_empty),
        }
    }

    /// In a language; what its catalogue lacks comes in English.
    pub fn say(&self, language: Language) -> String {
        let mut out = String::new();
        match &self.0 {
            Kind::Fixed(pattern) => pattern::fill(language.of(pattern), &[], language, &mut out),
            Kind::Parts(parts) => parts.iter().for_each(|part| part.say(language, &mut out)),
        }
        out
    }
}

impl Default for Words {
    fn default() -> Self {
        Self(Kind::Parts(Vec::new()))
    }
}

impl PartialOrd for Words {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

/// By their parts, however they are held.
impl Ord for Words {
    fn cmp(&self, other: &Self) -> Ordering {
        match (&self.0, &other.0) {
            (Kind::Fixed(one), Kind::Fixed(two)) => one.cmp(two),
            _ => self.parts().cmp(&other.parts()),
        }
    }
}

impl Part {
    fn fixed(pattern: &'static str) -> Self {
        let fills = Vec::new();
        Self::Ours { pattern, fills }
    }

    fn is_empty(&self) -> bool {
        match self {
            Self::Own(text) => text.is_empty(),
            Self::Ours { pattern, .. } => pattern.is_empty(),
            Self::Sentence(words) => words.is_empty(),
            Self::Renamed(renamed) => renamed.words.is_empty(),
        }
    }

    fn say(&self, language: Language, out: &mut String) {
        match self {
            Self::Own(text) => out.push_str(text),
            Self::Ours { pattern, fills } => {
                pattern::fill(language.of(pattern), fills, language, out);
            }
            Self::Sentence(words) => out.push_str(&sentence(&words.say(language))),
            Self::Renamed(renamed) => {
                let said = renamed.words.say(language);
                out.push_str(&said.replace(renamed.usual.as_str(), &renamed.own));
            }
        }
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

impl From<&Shared> for Words {
    fn from(text: &Shared) -> Self {
        Self::own(text)
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
        let alone = Words::joined([words!("One.")], " ");
        assert_eq!(alone, words!("One."));
        assert!(Words::own("Two.") < alone && alone < words!("Two."));
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
