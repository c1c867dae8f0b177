//! The catalogues: a TOML file a language, English sentences with what stands for them.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use serde::Deserialize;

use super::Language;

const SPANISH: &str = include_str!("../../templates/words/es.toml");
const FRENCH: &str = include_str!("../../templates/words/fr.toml");

#[derive(Deserialize)]
struct File {
    #[serde(default)]
    sentence: Vec<Sentence>,
}

#[derive(Deserialize)]
struct Sentence {
    en: String,
    said: String,
}

type Catalogue = BTreeMap<String, String>;

static CATALOGUES: LazyLock<[Catalogue; 2]> = LazyLock::new(|| [SPANISH, FRENCH].map(read));

/// A catalogue that can't be read is empty here, and stops the test that reads it.
fn read(text: &str) -> Catalogue {
    let file: File = toml::from_str(text).unwrap_or(File {
        sentence: Vec::new(),
    });
    file.sentence
        .into_iter()
        .filter(|sentence| !sentence.said.is_empty())
        .map(|sentence| (sentence.en, sentence.said))
        .collect()
}

fn of(language: Language) -> Option<&'static Catalogue> {
    match language {
        Language::English => None,
        Language::Spanish => Some(&CATALOGUES[0]),
        Language::French => Some(&CATALOGUES[1]),
    }
}

pub(super) fn find(language: Language, english: &str) -> Option<&'static str> {
    #[cfg(test)]
    if language != Language::English && super::longer::is_on() {
        return Some(super::longer::said(english));
    }
    of(language)?.get(english).map(String::as_str)
}

/// Whether a language has words for an English sentence.
pub fn has(language: Language, english: &str) -> bool {
    language == Language::English || find(language, english).is_some()
}

/// All sentences of a language with the English ones that they stand for; none for English.
pub fn entries(language: Language) -> impl Iterator<Item = (&'static str, &'static str)> {
    of(language)
        .into_iter()
        .flatten()
        .map(|(english, said)| (english.as_str(), said.as_str()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_catalogues_can_be_read() {
        for text in [SPANISH, FRENCH] {
            let file: Result<File, _> = toml::from_str(text);
            assert!(file.is_ok(), "{:?}", file.err());
        }
    }
}
