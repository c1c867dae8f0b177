//! The editions: they come out whatever the season's size, hold no number that the ledger doesn't, and are tagged; the public one
//! shows nothing that must not be seen.

use std::collections::BTreeSet;

use super::pages::keep;
use super::sample::{Recipe, Sample};
use crate::figure::Measure;
use crate::report::number::{Style, money, percent, print, quantity, unit_of};
use crate::report::readback::{self, tags};
use crate::report::{Input, ReportError, privacy, render};
use crate::season::{Edition, PrintUnits, Season};
use crate::words::Language;

pub(super) fn set(sample: &Sample, edition: Edition) -> Vec<u8> {
    let input = Input {
        edition,
        ..sample.input()
    };
    match render(&input, None, &|_| ()) {
        Ok(pdf) => pdf,
        Err(error) => panic!("{}: {error}", edition.word()),
    }
}

fn pages(pdf: &[u8]) -> usize {
    readback::read(pdf).unwrap().pages
}

#[test]
fn the_board_edition_has_two_pages_whatever_the_season() {
    for (name, sites, pulls, paper) in [
        ("empty", 0, 0, "a4"),
        ("tiny", 1, 3, "letter"),
        ("usual", 4, 18, "letter"),
        ("large", 40, 600, "a4"),
        ("large", 40, 600, "letter"),
    ] {
        let mut recipe = Recipe::new(sites, pulls);
        recipe.paper = paper;
        let mut sample = recipe.build();
        let pdf = set(&sample, Edition::Board);
        keep(&format!("board-{name}-{paper}.pdf"), &pdf);
        assert_eq!(pages(&pdf), 2, "{name} on {paper}");
        // Long names must not push anything over.
        sample.season.settings.programme = "The Trust for the Long Chain of Ponds ".repeat(4);
        sample.season.settings.title =
            Some("Hand-pulling on all of the ponds of the chain ".repeat(4));
        for site in sample.season.ground.sites.iter_mut() {
            site.name = "The northern arm of the pond behind the ice house ".repeat(3);
        }
        let pdf = set(&sample, Edition::Board);
        keep(&format!("board-{name}-{paper}-long.pdf"), &pdf);
        assert_eq!(pages(&pdf), 2, "{name} on {paper} with long names");
    }
}

#[test]
fn auditor_and_public_editions_come_out_whatever_the_season() {
    for (name, sites, pulls) in [("empty", 0, 0), ("tiny", 1, 3), ("large", 40, 600)] {
        let sample = Recipe::new(sites, pulls).build();
        for edition in [Edition::Auditor, Edition::Public] {
            let pdf = set(&sample, edition);
            keep(&format!("{}-{name}.pdf", edition.word()), &pdf);
            assert!(pages(&pdf) > 4);
        }
    }
}

#[test]
fn an_edition_gives_the_same_bytes_each_time_and_no_two_are_alike() {
    let sample = Recipe::new(2, 6).build();
    let all: Vec<Vec<u8>> = Edition::ALL
        .into_iter()
        .map(|edition| set(&sample, edition))
        .collect();
    for (edition, first) in Edition::ALL.into_iter().zip(&all) {
        assert!(*first == set(&sample, edition), "{}", edition.word());
    }
    let different: BTreeSet<&[u8]> = all.iter().map(Vec::as_slice).collect();
    assert_eq!(different.len(), Edition::ALL.len());
}

/// Headings step down by one, pictures have words, tables have heads.
#[test]
fn every_edition_is_tagged_for_those_who_cannot_see_it() {
    let sample = Recipe::new(4, 18).build();
    for edition in Edition::ALL {
        let pdf = set(&sample, edition);
        let (catalogue, root) = tags::tree(&pdf).expect("there is no tag tree");
        let word = edition.word();
        assert!(catalogue.marked && catalogue.shows_title, "{word}");
        assert_eq!(catalogue.language.as_deref(), Some("en-GB"), "{word}");
        let all = root.all();
        let mut last = 0;
        let mut headings = 0;
        for tag in &all {
            let level = match tag.kind.strip_prefix('H').map(str::parse::<usize>) {
                Some(Ok(level)) => level,
                _ => continue,
            };
            assert!(
                level <= last + 1,
                "{word}: a heading of level {level} after {last}"
            );
            last = level;
            headings += 1;
        }
        assert!(headings >= 4, "{word}: {headings} headings");
        let figures: Vec<_> = all.iter().filter(|tag| tag.kind == "Figure").collect();
        assert!(!figures.is_empty(), "{word}");
        for figure in figures {
            let alt = figure.alt.as_deref().unwrap_or_default();
            assert!(alt.len() > 8, "{word}: a picture without words: {alt:?}");
        }
        let tables: Vec<_> = all.iter().filter(|tag| tag.kind == "Table").collect();
        assert!(!tables.is_empty(), "{word}");
        for table in tables {
            let cells = table.all();
            assert!(
                cells.iter().any(|cell| cell.kind == "TH"),
                "{word}: a table without heads"
            );
            assert!(cells.iter().any(|cell| cell.kind == "TD"), "{word}");
        }
    }
}

/// A language's numbers written as English writes them, to be compared: what was English before comes out as neither.
pub fn in_english(text: &str, language: Language) -> String {
    if language == Language::English {
        return text.to_owned();
    }
    let letters: Vec<char> = text.chars().collect();
    let digit = |at: Option<&char>| at.is_some_and(char::is_ascii_digit);
    let mut out = String::new();
    for (at, letter) in letters.iter().enumerate() {
        let behind = at > 0 && digit(letters.get(at - 1));
        match letter {
            '\u{a0}' if behind && digit(letters.get(at + 1)) => out.push(','),
            '\u{a0}' if behind && letters.get(at + 1) == Some(&'%') => {}
            ',' if behind && digit(letters.get(at + 1)) => out.push('.'),
            '.' if behind && digit(letters.get(at + 1)) => out.push('_'),
            other => out.push(*other),
        }
    }
    out
}

/// Digits as they stand in a text: `1,234.5`, with the sign before them.
pub fn numbers(text: &str) -> Vec<String> {
    let mut found = Vec::new();
    let mut number = String::new();
    for letter in text.chars().chain([' ']) {
        let goes_on = letter.is_ascii_digit()
            || (!number.is_empty() && matches!(letter, '.' | ',' | '_'))
            || (number.is_empty() && letter == '\u{2212}');
        if goes_on {
            number.push(letter);
        } else if !number.is_empty() {
            let whole = number.trim_end_matches(['.', ',']).to_owned();
            if whole.chars().any(|c| c.is_ascii_digit()) {
                found.push(whole);
            }
            number.clear();
        }
    }
    found
}

/// All that may stand in print as a result: the ledger's figures by the one printing function, targets, budgets, rates and records.
pub fn printed(sample: &Sample, style: &Style) -> BTreeSet<String> {
    let season: &Season = &sample.season;
    let mut texts: Vec<String> = sample
        .ledger
        .figures()
        .map(|figure| print(figure, style).text)
        .collect();
    texts.push(percent(season.settings.method.level, style.language));
    for promise in &sample.ledger.deliverables {
        let measure = sample
            .ledger
            .get(&promise.figure)
            .map_or(Measure::Count, |figure| figure.measure);
        texts.push(quantity(promise.target, measure, style));
        texts.push(promise.text.clone());
    }
    for grant in &season.settings.grants {
        texts.extend(grant.budget.iter().map(|line| money(line.amount, style)));
        texts.extend(grant.match_required.map(|amount| money(amount, style)));
    }
    texts.extend(
        season
            .settings
            .rates
            .iter()
            .map(|rate| money(rate.per_hour, style)),
    );
    for pull in &season.pulls {
        let (staff, volunteers) = pull.effort();
        for hours in [staff.hours(), volunteers.hours()].into_iter().flatten() {
            texts.push(quantity(hours, Measure::Time, style));
        }
        for row in &pull.rows {
            texts.extend(row.mass.map(|mass| quantity(mass, Measure::Mass, style)));
        }
    }
    for one in &season.weighings {
        texts.extend(one.mass.map(|mass| quantity(mass, Measure::Mass, style)));
    }
    // Words of methods and assumptions name sizes of their own.
    for figure in sample.ledger.figures() {
        texts.push(style.say(&figure.method));
        texts.extend(figure.assumptions.iter().map(|words| style.say(words)));
        if let crate::figure::Outturn::Estimated(estimate) = &figure.outturn {
            texts.push(style.say(&estimate.method));
            texts.extend(estimate.caution.iter().map(|words| style.say(words)));
        }
    }
    texts
        .iter()
        .flat_map(|text| numbers(&in_english(text, style.language)))
        .collect()
}

/// Everything that a unit stands behind.
const MEASURES: [Measure; 13] = [
    Measure::Count,
    Measure::Mass,
    Measure::Area,
    Measure::Time,
    Measure::MassPerTime,
    Measure::CountPerTime,
    Measure::CountPerArea,
    Measure::Percent,
    Measure::PercentPoints,
    Measure::PercentPerYear,
    Measure::PercentPerHour,
    Measure::Years,
    Measure::Money,
];

/// What makes a number a result: a unit behind it, or the sign of money on either side.
pub fn results(text: &str, style: &Style) -> Vec<String> {
    let text = in_english(text, style.language).replace('\u{a0}', " ");
    let mut units: BTreeSet<String> = MEASURES
        .into_iter()
        .map(|measure| unit_of(measure, style).1)
        .filter(|unit| !unit.is_empty())
        .flat_map(|unit| [format!(" {unit}")])
        .collect();
    units.insert("%".to_owned());
    units.insert(format!(" {}", style.language.of("plants")));
    let before = |text: &str| -> String {
        let digits: Vec<char> = text
            .chars()
            .rev()
            .take_while(|c| c.is_ascii_digit() || matches!(c, '.' | ',' | '_'))
            .collect();
        digits.into_iter().rev().collect()
    };
    let is_number = |digits: &str| digits.chars().any(|c| c.is_ascii_digit());
    let mut found = Vec::new();
    for unit in units {
        for (at, _) in text.match_indices(&unit) {
            let behind = text[at + unit.len()..].chars().next();
            if !behind.is_some_and(char::is_alphanumeric) {
                found.push(before(&text[..at]));
            }
        }
    }
    for (at, _) in text.match_indices('$') {
        found.push(before(text[..at].trim_end_matches(' ')));
        let digits: String = text[at + 1..]
            .chars()
            .take_while(|c| c.is_ascii_digit() || matches!(c, '.' | ',' | '_'))
            .collect();
        found.push(digits.trim_end_matches(['.', ',']).to_owned());
    }
    found.retain(|digits| is_number(digits));
    found
}

/// The same season with both kinds of units, and in every language.
pub(super) fn written_each_way() -> impl Iterator<Item = Sample> {
    [
        (false, Language::English),
        (true, Language::English),
        (false, Language::Spanish),
        (true, Language::French),
    ]
    .into_iter()
    .map(|(metric, language)| {
        let mut recipe = Recipe::new(4, 18);
        recipe.metric = metric;
        let mut sample = recipe.build();
        sample.season.settings.report.language = language;
        sample
    })
}

#[test]
fn every_result_in_print_is_one_of_the_ledger() {
    for sample in written_each_way() {
        let language = sample.season.settings.report.language;
        let style = Style::of(&sample.season.settings);
        let known: BTreeSet<String> = printed(&sample, &style)
            .into_iter()
            .map(|number| number.trim_start_matches('\u{2212}').to_owned())
            .collect();
        for edition in Edition::ALL {
            let content = readback::read(&set(&sample, edition)).unwrap();
            let mut seen = 0;
            // Drawings have axes, whose ticks are no results; their values are in their alternative texts.
            let texts = content
                .texts
                .iter()
                .take(content.pages)
                .chain(&content.strings);
            for text in texts {
                for number in results(text, &style) {
                    seen += 1;
                    assert!(
                        known.contains(&number),
                        "{} {}: {number} is in no figure: {text}",
                        language.code(),
                        edition.word()
                    );
                }
            }
            assert!(seen >= 10, "{}: {seen}", edition.word());
        }
    }
}

#[test]
fn a_number_that_is_no_figure_is_noticed() {
    let style = |language| Style {
        units: PrintUnits::Us,
        currency: "USD".to_owned(),
        language,
    };
    assert_eq!(
        results(
            "about 1,235\u{a0}lb (from 7.5 h), $12.30.",
            &style(Language::English)
        ),
        ["7.5", "1,235", "12.30"]
    );
    assert!(results("P12, row 7, 2025", &style(Language::English)).is_empty());
    assert_eq!(
        results(
            "1\u{a0}235\u{a0}lb, 7,5 h, 95\u{a0}%, 12,30\u{a0}$",
            &style(Language::French)
        ),
        ["7.5", "1,235", "95", "12.30"]
    );
    // Written as English writes it.
    assert_eq!(
        results("1,235.5\u{a0}lb", &style(Language::French)),
        ["1.235_5"]
    );
}

/// A season with a sensitive site and withheld photos.
pub fn secretive() -> Sample {
    let mut sample = Recipe::new(3, 6).build();
    sample.season.ground.sites[1].sensitive = true;
    sample
}

fn leaks(sample: &Sample) -> Vec<String> {
    let input = Input {
        edition: Edition::Public,
        ..sample.input()
    };
    match render(&input, None, &|_| ()) {
        Ok(_) => Vec::new(),
        Err(ReportError::Leaks(leaks)) => leaks.iter().map(ToString::to_string).collect(),
        Err(error) => panic!("{error}"),
    }
}

#[test]
fn the_public_edition_is_written_and_shows_no_secret() {
    let sample = secretive();
    let pdf = set(&sample, Edition::Public);
    keep("public.pdf", &pdf);
    let content = readback::read(&pdf).unwrap();
    let all: String = content.texts.join(" ") + &content.strings.join(" ");
    assert!(all.contains("the square of") || all.contains("square"));
    assert!(!all.contains("private garden") && !all.contains("s5.jpg"));
    // The funder edition of the same season would not pass.
    let funder = set(&sample, Edition::Funder);
    // The ledger that is attached has every figure, and records, which name photos and receipts, in the funder edition alone.
    let records = |pdf: &[u8]| {
        let content = readback::read(pdf).unwrap();
        let ledgers = content.streams.iter();
        let mut ledgers = ledgers.filter_map(|bytes| {
            let value: serde_json::Value = serde_json::from_slice(bytes).ok()?;
            let figures = value.get("figures")?.as_object()?.clone();
            let listed = |key: &str| {
                let lists = figures.values().filter_map(|figure| figure[key].as_array());
                lists.map(Vec::len).sum::<usize>()
            };
            Some((figures.len(), listed("records") + listed("left_out")))
        });
        ledgers.next().unwrap()
    };
    assert_eq!(records(&pdf).0, records(&funder).0);
    assert_eq!(records(&pdf).1, 0);
    assert!(records(&funder).1 > 0);
    let secrets = privacy::secrets(&sample.season);
    let looks = crate::report::leak::looks(&sample.season, &secrets);
    assert!(!crate::report::leak::in_pdf(&funder, &secrets, &looks).is_empty());
}

#[test]
fn where_a_sensitive_site_lies_in_its_square_changes_nothing() {
    let mut sample = secretive();
    // A fine grid against this small ground: the square is chosen by the middle alone.
    let first = set(&sample, Edition::Public);
    let outline = &sample.season.ground.sites[1].outline;
    let turned = geo::MapCoords::map_coords(outline, |corner| geo::Coord {
        x: corner.x + 1e-7,
        y: corner.y - 1e-7,
    });
    sample.season.ground.sites[1].outline = turned;
    let second = set(&sample, Edition::Public);
    assert!(first == second, "the map follows the exact outline");
}

#[test]
fn planted_leaks_are_caught() {
    // A name, a caption and a position in the coordinator's prose.
    let plain = secretive();
    let corner = plain.season.ground.sites[1].outline.0[0].exterior().0[0];
    let narratives = [
        (
            "See photos/s5.jpg for more.".to_owned(),
            "the path of a withheld photo",
        ),
        (
            "It shows a private\n garden.".to_owned(),
            "why a photo is withheld",
        ),
        (
            format!("We met at {:.5} north.", corner.y),
            "a position of a sensitive site",
        ),
    ];
    for (text, what) in narratives {
        let mut sample = secretive();
        sample.season.narrative[0].text = text.clone();
        let found = leaks(&sample);
        assert!(
            found.iter().any(|leak| leak.starts_with(what)),
            "{text}: {found:?}"
        );
    }
    // A withheld photo, saved anew and smaller, as the group's logo.
    let mut sample = secretive();
    let secret = sample
        .season
        .files
        .iter()
        .find(|file| file.path == "photos/s5.jpg")
        .unwrap()
        .on_disk();
    let small = image::open(secret).unwrap().thumbnail(120, 120);
    for (name, keeps_metadata) in [("logo.png", false), ("logo.jpg", true)] {
        let folder = tempfile::tempdir().unwrap();
        std::fs::create_dir(folder.path().join("template")).unwrap();
        let path = folder.path().join("template").join(name);
        small.save(&path).unwrap();
        if keeps_metadata {
            // An Exif block behind the start of the picture.
            let mut bytes = std::fs::read(&path).unwrap();
            let block = b"\xff\xe1\x00\x10Exif\0\0MM\0*\0\0\0\x08";
            bytes.splice(2..2, block.iter().copied());
            std::fs::write(&path, bytes).unwrap();
        }
        let look = folder.path().join("template/look.toml");
        std::fs::write(&look, format!("logo = \"{name}\"\n")).unwrap();
        std::sync::Arc::make_mut(&mut sample.season.files)
            .retain(|file| !file.path.starts_with("template/"));
        for (path, on_disk) in [("look.toml", look), (name, path)] {
            let metadata = std::fs::metadata(&on_disk).unwrap();
            std::sync::Arc::make_mut(&mut sample.season.files).push(crate::season::FileEntry {
                path: format!("template/{path}").into(),
                bytes: metadata.len(),
                stamp: crate::stamp::Stamp::of(&metadata),
                below: folder.path().into(),
            });
        }
        let found = leaks(&sample);
        assert!(
            found
                .iter()
                .any(|leak| leak.starts_with("a withheld photo") && leak.contains("s5.jpg")),
            "{name}: {found:?}"
        );
        assert_eq!(
            found
                .iter()
                .any(|leak| leak.starts_with("metadata of a camera")),
            keeps_metadata,
            "{name}: {found:?}"
        );
    }
}
