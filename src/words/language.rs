//! The languages that a report can be in, and what differs between them beside words.

use serde::{Deserialize, Serialize};

use super::catalogue;

/// A language of reports and findings.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize,
)]
pub enum Language {
    #[default]
    #[serde(rename = "en")]
    English,
    #[serde(rename = "es")]
    Spanish,
    #[serde(rename = "fr")]
    French,
}

impl Language {
    pub const ALL: [Language; 3] = [Language::English, Language::Spanish, Language::French];

    /// The code of ISO 639-1, as season.toml has it.
    pub fn code(self) -> &'static str {
        match self {
            Language::English => "en",
            Language::Spanish => "es",
            Language::French => "fr",
        }
    }

    /// The language of a code.
    pub fn of_code(code: &str) -> Option<Self> {
        Self::ALL
            .into_iter()
            .find(|language| language.code() == code)
    }

    /// The sentence that stands for an English one, without what follows `##`; the English one where the catalogue has none.
    pub fn of(self, english: &'static str) -> &'static str {
        let said = catalogue::find(self, english).unwrap_or(english);
        said.split("##").next().unwrap_or(said)
    }

    /// The same for a sentence of a template, which lives as long as the template.
    pub fn of_template(self, english: &str) -> &str {
        let said = catalogue::find(self, english).unwrap_or(english);
        said.split("##").next().unwrap_or(said)
    }

    /// Whether a count takes the word for one. Source: Unicode CLDR, plural rules, cardinals of en, es, fr (from memory; the
    /// category for millions is the same word as that for many here).
    pub fn is_one(self, count: u64) -> bool {
        match self {
            Language::English | Language::Spanish => count == 1,
            Language::French => count < 2,
        }
    }

    /// The mark before decimals.
    pub fn decimal_mark(self) -> char {
        match self {
            Language::English => '.',
            Language::Spanish | Language::French => ',',
        }
    }

    /// The mark between thousands. SI Brochure, 9th edition (2019), 5.4.4, asks for a thin space; U+00A0 stands in every face.
    pub fn thousands_mark(self) -> char {
        match self {
            Language::English => ',',
            Language::Spanish | Language::French => '\u{a0}',
        }
    }
}
