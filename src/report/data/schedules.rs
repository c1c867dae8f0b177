//! The auditor's schedules: records as they were read, each with its place.

use std::collections::BTreeMap;

use serde_json::{Value, json};

use super::rows;
use crate::figure::{EvidenceGrade, Ledger, Measure, PullEvidence, pull_evidence};
use crate::place::Place;
use crate::report::choose::one_in;
use crate::report::input::Input;
use crate::report::number::{Style, money, print, quantity};
use crate::report::pictures;
use crate::report::words::{capital, photos as so_many_photos};
use crate::season::{Basis, Consent, Pull, Season, SpendingKind, Support};
use crate::words::{Language, Words, short_day};
use crate::{phrase, words};

/// All schedules.
pub fn all(input: &Input<'_>, style: &Style) -> Value {
    let season = input.season;
    let evidence: BTreeMap<String, PullEvidence> = pull_evidence(season)
        .into_iter()
        .map(|one| (one.pull.clone(), one))
        .collect();
    json!({
        "pulls": season.pulls.iter().map(|one| pull(one, season, evidence.get(one.id.as_str()), style)).collect::<Vec<_>>(),
        "grades": grades(&evidence, style),
        "weighings": weighings(season, style),
        "conversion": conversion(input.ledger, style),
        "receipts": receipts(season, style),
        "photos": photos(season, style),
        "photos-note": sampled(season.photos.len()).map(|words| style.say(words)),
        "files": {
            "pulls": file(season.pulls.first().map(Pull::place)),
            "weighings": file(season.weighings.first().map(|one| one.row.place())),
            "spending": file(season.spending.first().map(|one| one.row.place())),
        },
    })
}

/// A photo's number: its place in the index of photos, counted from 1. Row 1 of photo-index.csv holds the headings, so that photo
/// 1 is its row 2.
pub fn photo_number(index: usize) -> String {
    // A name and no quantity: without separators.
    (index + 1).to_string()
}

fn row(place: &Place, style: &Style) -> String {
    rows::numbers(std::slice::from_ref(place), style)
}

/// The file of a table, as the first row names it.
fn file(place: Option<Place>) -> Option<String> {
    place.map(|place| place.file.into())
}

fn hours(effort: crate::season::Effort, style: &Style) -> Option<String> {
    effort
        .hours()
        .map(|hours| quantity(hours, Measure::Time, style))
}

/// `4 bags`: the log's own word for the kind. Only English has the letter for many, since the word is the group's.
fn containers(count: f64, kind: Option<&str>, style: &Style) -> String {
    let number = style.trimmed(count, 2);
    match kind {
        None if count == 1.0 => style.say(words!("{number}\u{a0}container", number)),
        None => style.say(words!("{number}\u{a0}containers", number)),
        Some(kind) if count == 1.0 || style.language != Language::English => {
            format!("{number}\u{a0}{kind}")
        }
        Some(kind) => format!("{number}\u{a0}{kind}s"),
    }
}

fn pull(pull: &Pull, season: &Season, evidence: Option<&PullEvidence>, style: &Style) -> Value {
    let (staff, volunteers) = pull.effort();
    let site = season.site_of(pull).map_or_else(
        || pull.site_text().unwrap_or("–").to_owned(),
        |site| site.name.clone(),
    );
    let mut catch: Vec<String> = Vec::new();
    for row in &pull.rows {
        let mut words = Vec::new();
        if let Some(count) = row.containers {
            words.push(containers(count, row.container.as_deref(), style));
        }
        if let Some(mass) = row.mass {
            words.push(quantity(mass, Measure::Mass, style));
        }
        if let Some(plants) = row.plants {
            words.push(style.say(words!(
                "{number}\u{a0}plants",
                number = style.trimmed(plants, 0)
            )));
        }
        if !words.is_empty() {
            words.extend(row.basis.map(|basis| {
                style.say(match basis {
                    Basis::Counted => words!("counted"),
                    Basis::Weighed => words!("weighed"),
                    Basis::Guessed => words!("guessed"),
                })
            }));
            catch.push(words.join(", "));
        }
    }
    let mut backing = Vec::new();
    if let Some(evidence) = evidence {
        if !evidence.photos.is_empty() {
            backing.push(style.say(so_many_photos(evidence.photos.len())));
        }
        if evidence.weighed {
            backing.push(style.say(words!("weighed")));
        }
        if !evidence.tracks.is_empty() {
            backing.push(style.say(words!("track")));
        }
    }
    json!({
        "pull": pull.id,
        "date": pull.date().map(|date| short_day(date, style.language)),
        "site": site,
        "staff": hours(staff, style),
        "volunteers": hours(volunteers, style),
        "catch": catch.join("; "),
        "grade": evidence.map(|one| one.grade.letter()),
        "backing": backing.join(", "),
        "place": rows::numbers(&pull.places(), style),
    })
}

/// Each grade with its meaning and how many pulls have it.
fn grades(evidence: &BTreeMap<String, PullEvidence>, style: &Style) -> Value {
    EvidenceGrade::ALL
        .into_iter()
        .map(|grade| {
            let pulls = evidence.values().filter(|one| one.grade == grade).count();
            json!({"letter": grade.letter(), "meaning": style.language.of(grade.meaning()), "pulls": style.count(pulls)})
        })
        .collect()
}

fn weighings(season: &Season, style: &Style) -> Value {
    season
        .weighings
        .iter()
        .map(|one| {
            json!({
                "pull": one.pull,
                "date": one.date.or_else(|| season.pull(one.pull.as_deref()?)?.date()).map(|date| short_day(date, style.language)),
                "site": one.site,
                "container": one.container.as_deref().map(capital),
                "stage": one.stage,
                "mass": one.mass.map(|mass| quantity(mass, Measure::Mass, style)),
                "plants": one.plants.map(|plants| style.trimmed(plants, 0)),
                "place": row(&one.row.place(), style),
            })
        })
        .collect()
}

/// Strata: what the weighed containers of a kind and stage gave, and what was counted. By the figures of the ledger.
fn conversion(ledger: &Ledger, style: &Style) -> Value {
    let mut strata: BTreeMap<&str, Vec<Value>> = BTreeMap::new();
    for figure in ledger.figures() {
        if let Some(part) = figure.part()
            && figure.stem().starts_with("stratum.")
        {
            let printed = print(figure, style);
            strata.entry(part).or_default().push(json!({
                "label": capital(&style.say(&figure.kind)),
                "value": printed.with_unit(),
                "interval": printed.interval,
                "refusal": printed.refusal,
                "places": rows::compressed(&figure.places, style),
            }));
        }
    }
    strata
        .into_iter()
        .map(|(part, figures)| {
            let name = part
                .split('/')
                .map(|word| word.replace('-', " "))
                .collect::<Vec<_>>();
            json!({"name": capital(&name.join(", ")), "figures": figures})
        })
        .collect()
}

fn receipts(season: &Season, style: &Style) -> Value {
    season
        .spending
        .iter()
        .map(|one| {
            let there = one.receipt.as_deref().map(|receipt| {
                [receipt.to_owned(), format!("papers/{receipt}")]
                    .iter()
                    .any(|path| season.files.iter().any(|file| file.path == *path))
            });
            json!({
                "date": one.date.map(|date| format!("{} {}", short_day(date, style.language), date.format("%Y"))),
                "grant": one.grant,
                "line": one.line.as_deref().map(capital),
                "amount": one.amount.map(|amount| money(amount, style)),
                "kind": match one.kind { SpendingKind::Cash => style.language.of(phrase!("cash")), SpendingKind::InKind => style.language.of(phrase!("in kind")) },
                "receipt": one.receipt,
                "there": there,
                "place": row(&one.row.place(), style),
            })
        })
        .collect()
}

/// What is said where not every photo is listed.
fn sampled(photos: usize) -> Option<Words> {
    let one_in = one_in(photos);
    (one_in > 1).then(|| {
        words!(
            "Of {photos} photos one in {one_in} is listed and shown, counted from the first in the order of their paths. ledger/photo-index.csv in the archive lists all, and the archive holds each.",
            photos,
            one_in
        )
    })
}

fn photos(season: &Season, style: &Style) -> Value {
    let said = |word| style.language.of(word);
    let all = season.photos.iter().zip(season.matches.iter()).enumerate();
    let listed = all.step_by(one_in(season.photos.len()));
    listed.map(|(index, (photo, one))| {
        let consent = season.note_on(&photo.path).and_then(|note| note.consent);
        json!({
            "number": photo_number(index),
            "path": photo.path.strip_prefix("photos/").unwrap_or(&photo.path),
            "taken": one.local.map(|local| style.moment(local)),
            "site": one.site.as_deref().and_then(|id| season.ground.site(id)).map(|site| site.name.clone()),
            "pull": one.pull,
            "support": match one.support {
                Support::PositionAndTime => said(phrase!("place and time")),
                Support::TrackAndTime => said(phrase!("track and time")),
                Support::Said => said(phrase!("said")),
                Support::TimeAlone => said(phrase!("time alone")),
                Support::None => "–",
            },
            "consent": match consent {
                Some(Consent::Yes) => said(phrase!("yes")),
                Some(Consent::No) => said(phrase!("no")),
                Some(Consent::Unknown) => said(phrase!("unknown")),
                None => "–",
            },
            "withheld": pictures::kept_back(season, &photo.path).is_some(),
            // Enough digits to tell photos apart; all 64 stand in photo-index.csv.
            "sha": photo.sha256.iter().take(5).map(|byte| format!("{byte:02x}")).collect::<String>(),
        })
    })
    .collect()
}
