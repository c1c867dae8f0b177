//! The page in HTML: it comes out, needs nothing but itself, runs nothing but ours, shows no number of its own and no secret.

use std::collections::BTreeSet;

use chrono::Datelike;

use super::editions::{in_english, numbers, printed, results, secretive, written_each_way};
use super::pages::keep;
use super::sample::{Recipe, Sample};
use crate::figure::Measure;
use crate::report::number::{Style, quantity};
use crate::report::page::readback::{PageContent, read};
use crate::report::{Input, ReportError, leak, page, privacy};
use crate::season::Edition;

fn made(sample: &Sample, edition: Edition) -> Result<Vec<u8>, ReportError> {
    let input = Input {
        edition,
        ..sample.input()
    };
    page::render(&input, None, &|_| ())
}

fn set(sample: &Sample, edition: Edition) -> Vec<u8> {
    match made(sample, edition) {
        Ok(page) => page,
        Err(error) => panic!("{}: {error}", edition.word()),
    }
}

fn content(sample: &Sample, edition: Edition) -> PageContent {
    read(&set(sample, edition)).unwrap()
}

#[test]
fn a_page_comes_out_whatever_the_season_and_twice_the_same() {
    for (name, sites, pulls) in [
        ("empty", 0, 0),
        ("tiny", 1, 3),
        ("usual", 4, 18),
        ("large", 40, 600),
    ] {
        let mut sample = Recipe::new(sites, pulls).build();
        for edition in page::EDITIONS {
            let first = set(&sample, edition);
            keep(&format!("{}-{name}.html", edition.word()), &first);
            assert!(first == set(&sample, edition), "{name}: two runs differ");
        }
        sample.season.settings.programme = "The Trust for the Long Chain of Ponds ".repeat(4);
        for site in sample.season.ground.sites.iter_mut() {
            site.name = "Northernarmofthepondbehindtheoldicehouse ".repeat(3);
        }
        keep(
            &format!("board-{name}-long.html"),
            &set(&sample, Edition::Board),
        );
    }
}

#[test]
fn what_is_no_page_is_told() {
    let sample = Recipe::new(1, 3).build();
    for edition in [Edition::Funder, Edition::Auditor] {
        let error = made(&sample, edition).unwrap_err();
        assert_eq!(error, ReportError::NoPage(edition));
        assert!(error.to_string().contains(edition.word()));
    }
}

/// Attributes by which a browser fetches or goes somewhere.
const LEADING: [&str; 12] = [
    "src",
    "href",
    "srcset",
    "action",
    "formaction",
    "poster",
    "data",
    "background",
    "ping",
    "cite",
    "manifest",
    "xlink:href",
];

#[test]
fn a_page_needs_nothing_but_itself() {
    let (sample, _folder) = super::own::with(&[
        (
            "look.toml",
            "logo = \"logo.svg\"\n[colours]\npond = \"#102a54\"\n",
        ),
        (
            "logo.svg",
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 8 8\"><circle r=\"4\"/></svg>",
        ),
    ]);
    for edition in page::EDITIONS {
        let bytes = set(&sample, edition);
        keep(&format!("{}-own.html", edition.word()), &bytes);
        let content = read(&bytes).unwrap();
        assert_eq!(content.drawings.len(), 1, "the logo is in it");
        assert!(content.unreadable.is_empty());
        for (name, value) in &content.attributes {
            if LEADING.contains(&name.as_str()) {
                // Embedded addresses are taken out when a page is read back.
                assert!(
                    value.is_empty() || value.starts_with('#'),
                    "{name} leads to {value}"
                );
            }
            assert!(
                name == "xmlns" || !value.contains("//"),
                "{name} has {value}"
            );
            assert!(!name.starts_with("on") && name != "style", "{name}");
        }
        let style = content.styles.concat();
        assert!(style.contains("--pond:#102a54"));
        assert!(!style.contains("@import") && !style.contains("http"));
        assert_eq!(
            style.matches("url(").count(),
            style.matches("url()").count()
        );
        for element in [
            "link", "iframe", "object", "embed", "base", "form", "template",
        ] {
            assert!(!content.elements.iter().any(|name| name == element));
        }
        assert!(!content.scripts.concat().contains("fetch("));
    }
}

#[test]
fn a_browser_runs_only_what_the_policy_names() {
    use base64::Engine;
    use sha2::Digest;
    let page = String::from_utf8(set(&Recipe::new(2, 6).build(), Edition::Board)).unwrap();
    let content = read(page.as_bytes()).unwrap();
    let policy = &content
        .attributes
        .iter()
        .find(|(_, value)| value.starts_with("default-src"))
        .unwrap()
        .1;
    assert!(policy.starts_with("default-src 'none';") && !policy.contains("unsafe"));
    for tag in ["style", "script"] {
        let (open, close) = (format!("<{tag}>"), format!("</{tag}>"));
        assert_eq!(page.matches(&format!("<{tag}")).count(), 1, "{tag}");
        let (_, rest) = page.split_once(&open).unwrap();
        let (text, _) = rest.split_once(&close).unwrap();
        let hash = base64::prelude::BASE64_STANDARD.encode(sha2::Sha256::digest(text));
        assert!(
            policy.contains(&format!("{tag}-src 'sha256-{hash}'")),
            "{tag}"
        );
    }
}

#[test]
fn what_people_wrote_stays_words() {
    let hostile = [
        "\"><script>alert(1)</script><img src=x onerror=alert(2)>",
        "' onload='alert(3)",
        "</title></style></script><base href=//evil.example>",
        "{{ data.root }}{% raw %}&lt;b&gt;",
        "a\u{202e}gpj.b\u{2066}c\u{200f}",
        "]]><!--",
    ];
    let plain = content(&Recipe::new(4, 18).build(), Edition::Board);
    for words in hostile {
        let mut sample = Recipe::new(4, 18).build();
        let settings = &mut sample.season.settings;
        for text in [
            &mut settings.title,
            &mut settings.species,
            &mut settings.scientific_name,
            &mut settings.notice,
        ] {
            *text = Some(words.to_owned());
        }
        settings.programme = words.to_owned();
        for grant in &mut settings.grants {
            grant.title = Some(words.to_owned());
            grant.funder = Some(words.to_owned());
        }
        for site in sample.season.ground.sites.iter_mut() {
            site.name = words.to_owned();
            site.waterbody = Some(words.to_owned());
        }
        for promise in &mut sample.ledger.deliverables {
            promise.text = words.to_owned();
        }
        for pair in &mut sample.plates.pairs {
            pair.caption = Some(words.to_owned());
            pair.before.taken = words.to_owned();
        }
        let found = content(&sample, Edition::Board);
        assert_eq!(found.elements, plain.elements, "{words}");
        assert_eq!(found.scripts, plain.scripts, "{words}");
        assert!(found.styles == plain.styles, "{words}");
        assert_eq!(found.comments, plain.comments, "{words}");
        let names = |content: &PageContent| -> Vec<String> {
            let all = content.attributes.iter();
            all.map(|(name, _)| name.clone()).collect()
        };
        assert_eq!(names(&found), names(&plain), "{words}");
        for mark in ['\u{202e}', '\u{2066}', '\u{200f}'] {
            let everything = found.attributes.iter().map(|(_, value)| value);
            assert!(!found.text.contains(mark));
            assert!(everything.clone().all(|value| !value.contains(mark)));
        }
        // It is told all the same: as a heading, and as a mark's name.
        let shown: String = crate::report::fonts::settable(words);
        assert!(found.text.contains(shown.trim()), "{words}");
        let named = ("data-name".to_owned(), shown);
        assert!(found.attributes.contains(&named), "{words}");
    }
}

/// Texts as they are read, those for readers who can't see the drawings among them.
fn told(content: &PageContent) -> Vec<String> {
    let spoken = ["alt", "aria-label", "title"];
    let attributes = content.attributes.iter();
    attributes
        .filter(|(name, _)| spoken.contains(&name.as_str()))
        .map(|(_, value)| value.clone())
        .chain(content.text.lines().map(str::to_owned))
        .collect()
}

#[test]
fn every_result_on_the_page_is_one_of_the_ledger() {
    for sample in written_each_way() {
        let language = sample.season.settings.report.language;
        let style = Style::of(&sample.season.settings);
        let mut known = printed(&sample, &style);
        // The table of weeks sums the log: summed here a second time, by the weeks of ISO 8601.
        let pulls = crate::report::counted::pulls(&sample.season, &sample.ledger);
        let weeks: BTreeSet<u32> = pulls
            .iter()
            .filter_map(|pull| pull.date())
            .map(|date| date.iso_week().week())
            .collect();
        for week in weeks {
            let mut sums = [0.0; 2];
            for pull in &pulls {
                if pull
                    .date()
                    .is_some_and(|date| date.iso_week().week() == week)
                {
                    let (staff, volunteers) = pull.effort();
                    sums[0] += staff.hours().unwrap_or(0.0);
                    sums[1] += volunteers.hours().unwrap_or(0.0);
                }
            }
            for hours in [sums[0], sums[1], sums[0] + sums[1], 0.0] {
                let text = quantity(hours, Measure::Time, &style);
                known.extend(numbers(&in_english(&text, language)));
            }
        }
        let known: BTreeSet<String> = known
            .into_iter()
            .map(|number| number.trim_start_matches('\u{2212}').to_owned())
            .collect();
        for edition in page::EDITIONS {
            let content = content(&sample, edition);
            let spoken = ("lang".to_owned(), language.code().to_owned());
            assert!(content.attributes.contains(&spoken));
            let mut seen = 0;
            for text in told(&content) {
                for number in results(&text, &style) {
                    seen += 1;
                    assert!(
                        known.contains(&number),
                        "{}: {number} is in no figure: {text}",
                        edition.word()
                    );
                }
            }
            assert!(seen >= 60, "{}: {seen}", edition.word());
        }
    }
}

#[test]
fn key_figures_stand_with_their_intervals() {
    let sample = Recipe::new(4, 18).build();
    let style = Style::of(&sample.season.settings);
    let text = content(&sample, Edition::Board).text;
    for name in ["removal.wet-mass", "cover.change", "removal.wet-mass/s1"] {
        let Some(figure) = sample.ledger.get(name) else {
            continue;
        };
        let interval = crate::report::number::print(figure, &style)
            .interval
            .unwrap();
        assert!(text.contains(&interval), "{name}: {interval}");
    }
}

#[test]
fn the_public_page_shows_no_secret() {
    let sample = secretive();
    let page = set(&sample, Edition::Public);
    keep("public-secretive.html", &page);
    let text = read(&page).unwrap().text;
    assert!(text.contains("square of"));
    assert!(!text.contains("private garden") && !text.contains("s5.jpg"));
    // The board's page of the same season would not pass: it shows the site.
    let board = set(&sample, Edition::Board);
    let positions = |page: &[u8]| {
        let all = read(page).unwrap().attributes.into_iter();
        all.filter(|(name, _)| name == "d").collect::<Vec<_>>()
    };
    assert_ne!(positions(&board), positions(&page));
}

#[test]
fn where_a_sensitive_site_lies_in_its_square_changes_nothing_on_the_page() {
    let mut sample = secretive();
    let first = set(&sample, Edition::Public);
    let outline = &sample.season.ground.sites[1].outline;
    let turned = geo::MapCoords::map_coords(outline, |corner| geo::Coord {
        x: corner.x + 1e-7,
        y: corner.y - 1e-7,
    });
    sample.season.ground.sites[1].outline = turned;
    assert!(first == set(&sample, Edition::Public));
}

#[test]
fn leaks_planted_in_a_page_are_caught() {
    // In words of the settings, of which a page shows many.
    let corner = secretive().season.ground.sites[1].outline.0[0].exterior().0[0];
    for (words, what) in [
        (
            "See photos/s5.jpg".to_owned(),
            "the path of a withheld photo",
        ),
        (
            "It shows a private\u{ad} garden".to_owned(),
            "why a photo is withheld",
        ),
        (
            format!("We met at {:.5} north", corner.y),
            "a position of a sensitive site",
        ),
    ] {
        let mut sample = secretive();
        sample.season.ground.sites[0].name = words.clone();
        let Err(ReportError::Leaks(leaks)) = made(&sample, Edition::Public) else {
            panic!("{words}: it was written");
        };
        assert!(leaks.iter().any(|leak| leak.what == what), "{words}");
        // In the text and in what is only heard.
        assert!(
            leaks
                .iter()
                .any(|leak| leak.place == "the text of the page")
        );
        assert!(
            leaks
                .iter()
                .any(|leak| leak.place.starts_with("the attribute"))
        );
    }
    // A withheld photo among what is embedded, saved anew and smaller.
    let sample = secretive();
    let secrets = privacy::secrets(&sample.season);
    let looks = leak::looks(&sample.season, &secrets);
    let files = &sample.season.files;
    let secret = files
        .iter()
        .find(|file| file.path == "photos/s5.jpg")
        .unwrap();
    let small = image::open(secret.on_disk()).unwrap().thumbnail(120, 120);
    let mut bytes = std::io::Cursor::new(Vec::new());
    small.write_to(&mut bytes, image::ImageFormat::Png).unwrap();
    let address = page::data_address("image/png", bytes.get_ref());
    let drawing = format!("<svg><image href=\"{address}\"/></svg>");
    for planted in [
        address.clone(),
        page::data_address("image/svg+xml", drawing.as_bytes()),
    ] {
        let page = format!("<p>All is well.</p><img alt=\"\" src=\"{planted}\">");
        let leaks = page::in_page(page.as_bytes(), &secrets, &looks);
        assert!(
            leaks
                .iter()
                .any(|leak| leak.what.starts_with("a withheld photo")
                    && leak.found.contains("s5.jpg")),
            "{leaks:?}"
        );
    }
    assert!(page::in_page(b"<p>All is well.</p>", &secrets, &looks).is_empty());
}
