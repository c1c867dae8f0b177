//! The report in every language: it comes out in all editions, says what language it is in, holds no English sentence that its
//! catalogue has words for, and has room for sentences that run a third longer than English.

use std::collections::BTreeSet;
use std::path::Path;

use super::editions::set;
use super::pages::keep;
use super::sample::Recipe;
use crate::report::readback::{self, tags};
use crate::report::{Input, Kept, render};
use crate::season::{Edition, Season};
use crate::words::{self, Language, longer};

/// The sample season in a language, as its own settings say.
fn sample_season(language: Language) -> (tempfile::TempDir, Season) {
    let from = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-season");
    let folder = tempfile::tempdir().unwrap();
    for entry in walkdir::WalkDir::new(&from) {
        let entry = entry.unwrap();
        let to = folder
            .path()
            .join(entry.path().strip_prefix(&from).unwrap());
        if entry.file_type().is_dir() {
            std::fs::create_dir_all(to).unwrap();
        } else {
            std::fs::copy(entry.path(), to).unwrap();
        }
    }
    let path = folder.path().join("season.toml");
    let mut settings = std::fs::read_to_string(&path).unwrap();
    assert!(!settings.contains("[report]"));
    settings.push_str(&format!("\n[report]\nlanguage = \"{}\"\n", language.code()));
    std::fs::write(path, settings).unwrap();
    let season = crate::season::load(folder.path(), &|_| ()).unwrap();
    assert_eq!(season.settings.report.language, language);
    (folder, season)
}

/// All editions of a season, in their order.
fn editions(season: &Season) -> Vec<(Edition, Vec<u8>)> {
    let ledger = crate::figure::compute(season);
    let findings = crate::figure::findings(season, &ledger, Vec::new());
    let plates = crate::report::plates(season);
    let marks = crate::report::marks(season);
    let kept = Kept::default();
    Edition::ALL
        .into_iter()
        .map(|edition| {
            let input = Input {
                season,
                ledger: &ledger,
                findings: &findings,
                plates: &plates,
                pull_marks: &marks,
                evidence_root: [7; 32],
                evidence_leaves: 57,
                archive_name: "sample-season-evidence.zip",
                tool_version: "0.1.0",
                edition,
                date: chrono::NaiveDate::from_ymd_opt(2025, 12, 2).unwrap(),
            };
            match render(&input, Some(&kept), &|_| ()) {
                Ok(pdf) => (edition, pdf),
                Err(error) => panic!("{}: {error}", edition.word()),
            }
        })
        .collect()
}

/// Text without spaces, which fall where lines break; and with one apostrophe for both.
fn bare(text: &str) -> String {
    text.chars()
        .filter(|letter| !letter.is_whitespace())
        .map(|letter| if letter == '’' { '\'' } else { letter })
        .collect()
}

/// English sentences that a text of another language must not hold: longer than three words and without places, so that they can't
/// stand there by chance.
fn telling(language: Language) -> BTreeSet<String> {
    words::entries(language)
        .filter(|(english, said)| english != said && !english.contains(['{', '}']))
        .map(|(english, _)| english.split("##").next().unwrap_or(english))
        .filter(|english| english.split_whitespace().count() > 3)
        .map(bare)
        .collect()
}

#[test]
fn the_sample_season_comes_out_in_every_language_and_leaves_no_english_sentence() {
    for language in Language::ALL {
        let (_folder, season) = sample_season(language);
        let english = telling(language);
        for (edition, pdf) in editions(&season) {
            let name = format!("{}-{}", language.code(), edition.word());
            keep(&format!("sample-{name}.pdf"), &pdf);
            let (catalogue, _) = tags::tree(&pdf).expect("there is no tag tree");
            let expected = match language {
                Language::English => "en-GB",
                other => other.code(),
            };
            assert_eq!(catalogue.language.as_deref(), Some(expected), "{name}");
            let content = readback::read(&pdf).unwrap();
            if edition == Edition::Board {
                assert_eq!(content.pages, 2, "{name}");
            }
            let all = bare(&(content.texts.join(" ") + " " + &content.strings.join(" ")));
            let left: Vec<&String> = english
                .iter()
                .filter(|sentence| all.contains(sentence.as_str()))
                .collect();
            assert!(left.is_empty(), "{name}: still English: {left:#?}");
        }
    }
}

#[test]
fn sentences_that_run_a_third_longer_have_room() {
    for (name, sites, pulls, paper) in [
        ("empty", 0, 0, "a4"),
        ("tiny", 1, 3, "letter"),
        ("usual", 4, 18, "letter"),
        ("large", 40, 600, "letter"),
    ] {
        let mut recipe = Recipe::new(sites, pulls);
        recipe.paper = paper;
        let mut sample = recipe.build();
        sample.season.settings.report.language = Language::Spanish;
        let pdf = longer::speaking(|| set(&sample, Edition::Board));
        keep(&format!("longer-board-{name}.pdf"), &pdf);
        let content = readback::read(&pdf).unwrap();
        assert_eq!(content.pages, 2, "{name} on {paper}");
        let text = content.texts.join(" ");
        assert!(
            text.contains("Seasonoo"),
            "{name}: the sentences are not longer: {text}"
        );
        if name == "usual" {
            for edition in [Edition::Funder, Edition::Auditor, Edition::Public] {
                let pdf = longer::speaking(|| set(&sample, edition));
                keep(&format!("longer-{}.pdf", edition.word()), &pdf);
            }
        }
    }
}
