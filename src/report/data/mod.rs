//! What the templates read: one JSON value of texts and drawings.
//!
//! Takes the input, gives a value in which every number is already text. Templates look up and set; they work nothing out.

mod care;
mod charts;
mod figures;
mod findings;
pub mod generated;
mod grants;
mod limits;
pub mod plates;
mod rows;
mod shown;

use std::collections::BTreeMap;

use serde_json::{Map, Value, json};

use super::chart;
use super::counted;
use super::fonts::settable;
use super::input::Input;
use super::narrative;
use super::number::{Style, percent};
use super::palette;
use super::pictures::Picture;
use super::words::{day, period};
use crate::archive::{qr, words};
use crate::hash::hex;
use crate::season::Paper;

/// The whole value; every text in it can be set in our faces.
pub fn build(input: &Input<'_>, style: &Style, pictures: &BTreeMap<String, Picture>) -> Value {
    let season = input.season;
    let settings = &season.settings;
    let colours: Map<String, Value> = palette::ALL
        .iter()
        .map(|colour| (colour.name.to_owned(), colour.hex.into()))
        .collect();
    let sites: Vec<Value> = season
        .ground
        .sites
        .iter()
        .map(|site| json!({"id": site.id, "name": site.name, "waterbody": site.waterbody, "sensitive": site.sensitive}))
        .collect();
    let narrative: Map<String, Value> = narrative::sections(season)
        .map(|section| {
            (
                section.section.clone(),
                narrative::path(&section.section).into(),
            )
        })
        .collect();
    let mut value = json!({
        "look": {
            "paper": match settings.paper() { Paper::A4 => "a4", Paper::Letter => "us-letter" },
            "colours": colours,
            "width": chart::WIDTH,
        },
        "programme": or_dash(&settings.programme),
        "title": settings.title,
        "year": settings.year.to_string(),
        "period": period(settings.starts, settings.ends),
        "species": settings.species,
        "scientific-name": settings.scientific_name,
        "notice": settings.notice,
        "date": day(input.date),
        "printed": {"year": input.date.format("%Y").to_string().parse::<i32>().unwrap_or(0),
                    "month": chrono::Datelike::month(&input.date),
                    "day": chrono::Datelike::day(&input.date)},
        "level": percent(settings.method.level),
        "cover-classes": settings.method.cover_classes,
        "tool-version": input.tool_version,
        "archive": input.archive_name,
        "season-folder": season.name,
        "root": evidence(input),
        "figures": figures::all(input.ledger, style),
        "key": figures::key(input.ledger),
        "methods": figures::methods(input.ledger, season),
        "sources": figures::sources(input.ledger, season, style),
        "sites": sites,
        "no-pulls": season.pulls.is_empty(),
        "map": charts::the_map(input, style),
        "windrow": chart::windrow::draw(&counted::pulls(season, input.ledger)).map(|it| charts::drawing(&it)),
        "effort": charts::effort(input, style),
        "seed-ripens": settings.seed_ripens.map(day),
        "removal": charts::removal(input, style),
        "seasons": charts::seasons(input, style),
        "passes": charts::passes(input, style),
        "cover": charts::cover(input, style),
        "outlook": charts::outlook(input, style),
        "absence": absence(input),
        "containers": containers(input),
        "plates": plates::all(input, pictures),
        "care": care::all(season, &counted::pulls(season, input.ledger)),
        "grants": grants::all(input, style),
        "rates": grants::rates(input, style),
        "limits": limits::all(input, style),
        "findings": findings::all(input.findings),
        "narrative": narrative,
        "generated": generated::all(input, style),
    });
    make_settable(&mut value);
    value
}

/// Sites that were searched and where nothing was found, with their names.
fn absence(input: &Input<'_>) -> Value {
    input
        .season
        .ground
        .sites
        .iter()
        .filter(|site| {
            input
                .ledger
                .get(&format!("absence.search-hours/{}", site.id))
                .is_some_and(|figure| figure.refusal().is_none())
        })
        .map(|site| json!({"id": site.id, "name": site.name}))
        .collect()
}

/// Names of the season's container figures.
fn containers(input: &Input<'_>) -> Vec<String> {
    input
        .ledger
        .parts("removal.containers")
        .filter(|figure| figure.part().is_some_and(|part| !part.contains('/')))
        .map(|figure| figure.name.clone())
        .collect()
}

fn or_dash(text: &str) -> &str {
    if text.trim().is_empty() { "–" } else { text }
}

/// The root, how many leaves it has, and the root of the archive on which the season builds.
fn evidence(input: &Input<'_>) -> Value {
    let mut value = root(&input.evidence_root);
    if let Some(object) = value.as_object_mut() {
        // Without marks between its digits: it is typed.
        object.insert("leaves".into(), input.evidence_leaves.to_string().into());
        let earlier = input.season.earlier_record();
        let earlier = earlier.map(|(year, earlier, record)| {
            json!({"year": year.to_string(), "archive": earlier.archive, "root": root(&record.root)})
        });
        object.insert("earlier".into(), earlier.into());
    }
    value
}

/// The root whole, in groups of eight digits, and its first two groups for a title page.
fn root(bytes: &[u8; 32]) -> Value {
    let whole = hex(bytes);
    let groups: Vec<String> = bytes.chunks(4).map(hex).collect();
    let short = groups.iter().take(2).cloned().collect::<Vec<_>>().join(" ");
    json!({
        "whole": whole,
        "groups": groups,
        "short": short,
        "words": words::to_words(bytes),
        // Capitals make the smaller code.
        "qr": qr::svg(&whole.to_uppercase()),
    })
}

/// Keys whose values are looked up and never printed, and the drawings' own markup, which has been through it already.
const UNPRINTED: &[&str] = &["svg", "qr", "id", "key", "containers", "figure"];

/// Makes every printed text settable.
fn make_settable(value: &mut Value) {
    match value {
        Value::String(text) => *text = settable(text),
        Value::Array(items) => items.iter_mut().for_each(make_settable),
        Value::Object(map) => map.iter_mut().for_each(|(key, item)| {
            if !UNPRINTED.contains(&key.as_str()) {
                make_settable(item);
            }
        }),
        _ => {}
    }
}
