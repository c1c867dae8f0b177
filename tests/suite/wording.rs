//! All wording stands in one catalogue per language: what the sources say is what the catalogues hold, and each translation has
//! the places of its English sentence.
//!
//! `WINDROW_WRITE=1 cargo test --release --test suite wording` writes the English catalogue anew, and brings the others in line: new
//! sentences come with an empty `said`, those that nothing says any longer go.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

use proc_macro2::{TokenStream, TokenTree};
use windrow::words::{Language, Piece, has, pieces};

/// Each English sentence with the file that says it first, in the order of files.
fn sentences() -> Vec<(String, String)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut files: Vec<PathBuf> = ["src", "templates"]
        .iter()
        .flat_map(|folder| walkdir::WalkDir::new(root.join(folder)))
        .filter_map(Result::ok)
        .map(|entry| entry.into_path())
        .filter(|path| {
            path.extension()
                .is_some_and(|ext| ext == "rs" || ext == "typ" || ext == "html")
        })
        .collect();
    files.sort();
    let mut seen = BTreeSet::new();
    let mut all = Vec::new();
    for path in files {
        let name = path
            .strip_prefix(root)
            .unwrap()
            .to_string_lossy()
            .replace('\\', "/");
        // What says how sentences are made says none, and tests are for us.
        if name.starts_with("src/words/") || name.contains("/tests") {
            continue;
        }
        let text = fs::read_to_string(&path).unwrap();
        let mut found = Vec::new();
        if name.ends_with(".rs") {
            let tokens: TokenStream = text
                .parse()
                .unwrap_or_else(|_| panic!("{name} can't be read"));
            in_code(tokens, &mut found);
        } else {
            in_template(&text, &mut found);
        }
        for sentence in found {
            if seen.insert(sentence.clone()) {
                all.push((sentence, name.clone()));
            }
        }
    }
    all
}

/// Sentences of `words!`, `phrase!`, and the titles and reasons of rules; tests are passed over.
fn in_code(tokens: TokenStream, found: &mut Vec<String>) {
    let trees: Vec<TokenTree> = tokens.into_iter().collect();
    let word = |at: usize| match trees.get(at) {
        Some(TokenTree::Ident(ident)) => ident.to_string(),
        Some(TokenTree::Punct(punct)) => punct.as_char().to_string(),
        _ => String::new(),
    };
    let mut at = 0;
    while at < trees.len() {
        if word(at) == "mod" && word(at + 1) == "tests" {
            at += 3;
            continue;
        }
        let macro_name = word(at);
        if let Some(TokenTree::Group(group)) = trees.get(at + 2)
            && word(at + 1) == "!"
            && (macro_name == "words" || macro_name == "phrase")
        {
            found.extend(literals(group.stream()).into_iter().next());
        }
        if let Some(TokenTree::Group(group)) = trees.get(at + 1)
            && macro_name == "rule"
        {
            // The first text is the rule's name.
            found.extend(literals(group.stream()).into_iter().skip(1));
        }
        if (macro_name == "title" || macro_name == "why") && word(at + 1) == ":" {
            let text: TokenStream = trees.get(at + 2).cloned().into_iter().collect();
            found.extend(literals(text));
        }
        if let Some(TokenTree::Group(group)) = trees.get(at) {
            in_code(group.stream(), found);
        }
        at += 1;
    }
}

/// The texts among some tokens.
fn literals(tokens: TokenStream) -> Vec<String> {
    tokens
        .into_iter()
        .filter_map(|tree| match tree {
            TokenTree::Literal(literal) => syn::parse_str::<syn::LitStr>(&literal.to_string()).ok(),
            _ => None,
        })
        .map(|literal| literal.value())
        .collect()
}

/// The first text of each call of `t`.
fn in_template(text: &str, found: &mut Vec<String>) {
    let mut from = 0;
    while let Some(at) = text[from..].find("t(").map(|at| at + from) {
        from = at + 2;
        // A long sentence stands on a line of its own.
        let Some(quoted) = text[from..].trim_start().strip_prefix('"') else {
            continue;
        };
        from = text.len() - quoted.len();
        let called = text[..at]
            .chars()
            .next_back()
            .is_none_or(|c| !c.is_alphanumeric() && c != '-' && c != '_' && c != '.');
        let mut sentence = String::new();
        let mut letters = text[from..].chars();
        while let Some(letter) = letters.next() {
            match letter {
                '"' => break,
                '\\' => sentence.extend(letters.next()),
                other => sentence.push(other),
            }
        }
        if called {
            found.push(sentence);
        }
    }
}

#[derive(serde::Deserialize)]
struct Catalogue {
    #[serde(default)]
    sentence: Vec<Sentence>,
}

#[derive(serde::Deserialize)]
struct Sentence {
    en: String,
    said: String,
}

fn catalogue_path(language: Language) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("templates/words/{}.toml", language.code()))
}

fn quoted(text: &str) -> String {
    toml::Value::String(text.to_owned()).to_string()
}

fn english(all: &[(String, String)]) -> String {
    let mut out = String::from(
        "# What windrow says, by the file that says it first. Written by the test `wording`; change the sources, not this.\n",
    );
    let mut last = "";
    for (sentence, file) in all {
        if file != last {
            write!(out, "\n# {file}\n").unwrap();
            last = file;
        }
        write!(out, "[[sentence]]\nen = {}\n", quoted(sentence)).unwrap();
    }
    out
}

fn in_line(
    all: &[(String, String)],
    language: Language,
    said: &BTreeMap<String, String>,
) -> String {
    let mut out = format!(
        "# What windrow says, `{}`: `en` is the English sentence as the sources have it, `said` what stands for it.\n\
         # src/words/mod.rs tells of places in braces. The test `wording` brings new sentences here, with an empty `said`.\n",
        language.code()
    );
    let mut last = "";
    for (sentence, file) in all {
        if file != last {
            write!(out, "\n# {file}\n").unwrap();
            last = file;
        }
        let said = said.get(sentence).map_or("", String::as_str);
        write!(
            out,
            "[[sentence]]\nen = {}\nsaid = {}\n",
            quoted(sentence),
            quoted(said)
        )
        .unwrap();
    }
    out
}

#[test]
fn catalogues_hold_what_the_sources_say() {
    let all = sentences();
    let mut expected = vec![(catalogue_path(Language::English), english(&all))];
    for language in [Language::Spanish, Language::French] {
        let path = catalogue_path(language);
        let there: Catalogue = toml::from_str(&fs::read_to_string(&path).unwrap()).unwrap();
        let said = there
            .sentence
            .into_iter()
            .map(|sentence| (sentence.en, sentence.said))
            .collect();
        expected.push((path, in_line(&all, language, &said)));
    }
    for (path, text) in expected {
        if std::env::var_os("WINDROW_WRITE").is_some() {
            fs::write(&path, text).unwrap();
        } else {
            let there = fs::read_to_string(&path).unwrap_or_default();
            assert!(
                there == text,
                "{} is not what the sources say: write it anew as tests/suite/wording.rs tells",
                path.display()
            );
        }
    }
}

#[test]
fn every_sentence_is_said_in_every_language_with_the_same_places() {
    let places = |sentence: &str| -> BTreeSet<String> {
        pieces(sentence)
            .into_iter()
            .filter_map(|piece| match piece {
                Piece::Place(name) => Some(name.to_owned()),
                _ => None,
            })
            .collect()
    };
    let names = |sentence: &str| -> BTreeSet<String> {
        pieces(sentence)
            .into_iter()
            .filter_map(|piece| match piece {
                Piece::Place(name) | Piece::Choice { name, .. } => Some(name.to_owned()),
                Piece::Text(_) => None,
            })
            .collect()
    };
    let mut wrong = Vec::new();
    for (sentence, file) in sentences() {
        for language in [Language::Spanish, Language::French] {
            if !has(language, &sentence) {
                wrong.push(format!(
                    "{}: {file}: nothing said for \"{sentence}\"",
                    language.code()
                ));
            }
        }
    }
    for language in [Language::Spanish, Language::French] {
        for (english, said) in windrow::words::entries(language) {
            if places(english) != places(said) || !names(said).is_subset(&names(english)) {
                wrong.push(format!(
                    "{}: other places: \"{english}\" / \"{said}\"",
                    language.code()
                ));
            }
        }
    }
    assert!(
        wrong.is_empty(),
        "{} sentences:\n{}",
        wrong.len(),
        wrong.join("\n")
    );
}
