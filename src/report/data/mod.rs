//! What the templates read: one JSON value of texts and drawings.
//!
//! Takes the input, gives a value in which every number is already text. Templates look up and set; they work nothing out.

mod board;
mod care;
mod charts;
pub mod contact;
mod figures;
mod findings;
pub mod generated;
mod grants;
mod limits;
pub mod page;
pub mod plates;
mod rows;
mod schedules;
mod shown;

use std::collections::BTreeMap;

use serde_json::{Map, Value, json};

use super::chart;
use super::counted;
use super::edition;
use super::fonts::settable;
use super::input::Input;
use super::narrative;
use super::number::{Style, percent};
use super::own::{self, Own};
use super::palette;
use super::pictures::Picture;
use super::wording;
use crate::archive::{qr, words};
use crate::hash::hex;
use crate::phrase;
use crate::season::{Edition, Paper, PrintUnits};
use crate::words::{day, period};

/// The whole value; every text in it can be set in our faces.
pub fn build(
    input: &Input<'_>,
    style: &Style,
    pictures: &BTreeMap<String, Picture>,
    contact: &BTreeMap<String, Picture>,
    own: &Own,
) -> Value {
    let season = input.season;
    let settings = &season.settings;
    let public = input.edition == Edition::Public;
    let shown_sites = shown::sites(season, input.ledger);
    let all_sites = season.ground.sites.len();
    let sites_note = (shown_sites.len() < all_sites).then(|| {
        style.say(crate::words!(
            "Tables, charts and map show the {count} sites with the most person-hours, of {all_sites}. The attached ledger has all.",
            count = shown_sites.len(),
            all_sites
        ))
    });
    let sites: Vec<Value> = shown_sites
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
            "colours": colours(own),
            "width": chart::WIDTH,
            "text-face": own.text_face,
            "figure-face": own.figure_face,
            "logo": logo(own),
            "replaced": own.replaced,
        },
        "contract": own::CONTRACT,
        "edition": {"name": input.edition.word(), "title": style.language.of(edition::title(input.edition))},
        "printed": {"year": input.date.format("%Y").to_string().parse::<i32>().unwrap_or(0),
                    "month": chrono::Datelike::month(&input.date),
                    "day": chrono::Datelike::day(&input.date)},
        "cover-classes": settings.method.cover_classes,
        "season-folder": season.name,
        "figures": figures::all(input.ledger, season, &own.sources, style),
        "key": figures::key(input.ledger),
        "methods": figures::methods(input.ledger, season, style),
        "sources": if public { json!([]) } else { figures::sources(input.ledger, season, style) },
        "sites": sites,
        "sites-note": sites_note,
        "no-pulls": season.pulls.is_empty(),
        "map": charts::the_map(input, style),
        "windrow": charts::windrow(input, style),
        "effort": charts::effort(input, style),
        "seed-ripens": settings.seed_ripens.map(|date| day(date, style.language)),
        "removal": charts::removal(input, style),
        "seasons": charts::seasons(input, style),
        "passes": charts::passes(input, style),
        "cover": charts::cover(input, style),
        "outlook": charts::outlook(input, style),
        "absence": absence(input),
        "containers": containers(input),
    });
    // A second step, since the macro nests only so deep.
    let more = json!({
        "plates": plates::all(input, pictures, style),
        "care": care::all(season, &counted::pulls(season, input.ledger), public, style),
        "grants": grants::all(input, style),
        "rates": grants::rates(input, style),
        "limits": limits::all(input, style),
        "findings": findings::all(input.findings, public, style),
        "narrative": narrative,
        "generated": generated::all(input, style),
        "grid": public.then(|| grid(input, style)),
        "board": if input.edition == Edition::Board { board::all(input, style) } else { Value::Null },
        "schedules": if input.edition == Edition::Auditor { schedules::all(input, style) } else { Value::Null },
        "contact": contact::all(input, contact, style),
    });
    if let (Value::Object(value), Value::Object(more)) = (&mut value, more) {
        value.extend(more);
        value.extend(opening(input, style));
    }
    wording::add(&mut value, style.language);
    recolour(&mut value, &own.colours);
    make_settable(&mut value);
    value
}

/// Whose season it is, and what the file stands on: the same in print and on the page.
fn opening(input: &Input<'_>, style: &Style) -> Map<String, Value> {
    let settings = &input.season.settings;
    let language = style.language;
    [
        ("programme", json!(or_dash(&settings.programme))),
        ("title", json!(settings.title)),
        ("year", json!(settings.year.to_string())),
        (
            "period",
            json!(period(settings.starts, settings.ends, language)),
        ),
        ("species", json!(settings.species)),
        ("scientific-name", json!(settings.scientific_name)),
        ("notice", json!(settings.notice)),
        ("date", json!(day(input.date, language))),
        ("level", json!(percent(settings.method.level, language))),
        ("tool-version", json!(input.tool_version)),
        ("archive", json!(input.archive_name)),
        ("root", evidence(input)),
    ]
    .map(|(name, value)| (name.to_owned(), value))
    .into_iter()
    .collect()
}

/// The group's colours, or ours, by name.
fn colours(own: &Own) -> Map<String, Value> {
    palette::ALL
        .iter()
        .map(|colour| {
            let own = own.colours.get(colour.name);
            (
                colour.name.to_owned(),
                own.map_or(colour.hex, String::as_str).into(),
            )
        })
        .collect()
}

/// Where the group's logo lies, with its words; null where there is none.
fn logo(own: &Own) -> Value {
    own.logo
        .as_ref()
        .map(|(path, alt)| json!({"path": path, "alt": alt}))
        .into()
}

/// Sites that were searched and where nothing was found, with their names.
fn absence(input: &Input<'_>) -> Value {
    shown::sites(input.season, input.ledger)
        .into_iter()
        .filter(|site| {
            input
                .ledger
                .get(&format!("absence.search-hours/{}", site.id))
                .is_some_and(|figure| figure.refusal().is_none())
        })
        .map(|site| json!({"id": site.id, "name": site.name}))
        .collect()
}

/// The step of the grid on which sensitive sites are drawn.
fn grid(input: &Input<'_>, style: &Style) -> String {
    let metres = super::privacy::grid_m(input.season);
    match style.units {
        PrintUnits::Metric => format!("{}\u{a0}km", style.trimmed(metres / 1_000.0, 2)),
        // The international mile of 1,609.344 m.
        PrintUnits::Us => format!(
            "{}\u{a0}{}",
            style.trimmed(metres / 1_609.344, 2),
            style.language.of(phrase!("miles"))
        ),
    }
}

/// Gives drawings the group's colours in the place of ours.
fn recolour(value: &mut Value, colours: &BTreeMap<String, String>) {
    if colours.is_empty() {
        return;
    }
    match value {
        Value::Array(items) => items.iter_mut().for_each(|item| recolour(item, colours)),
        Value::Object(map) => {
            for (key, item) in map.iter_mut() {
                match item {
                    Value::String(svg) if key == "svg" => *svg = recoloured(svg, colours),
                    other => recolour(other, colours),
                }
            }
        }
        _ => {}
    }
}

/// All at once, so that a colour that becomes another of ours is not changed twice.
fn recoloured(svg: &str, colours: &BTreeMap<String, String>) -> String {
    let mut parts = svg.split("\"#");
    let mut out = parts.next().unwrap_or_default().to_owned();
    for part in parts {
        let theirs = palette::ALL
            .iter()
            .find(|colour| part.starts_with(colour.hex.trim_start_matches('#')))
            .and_then(|colour| colours.get(colour.name));
        match theirs {
            Some(hex) => {
                out.push('"');
                out.push_str(hex);
                out.push_str(part.get(6..).unwrap_or_default());
            }
            None => {
                out.push_str("\"#");
                out.push_str(part);
            }
        }
    }
    out
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
