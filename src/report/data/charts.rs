//! Charts and map as the templates take them.

use std::borrow::Cow;
use std::collections::BTreeSet;

use serde_json::{Value, json};

use super::figures::kind_label;
use super::shown;
use crate::figure::Figure;

use crate::report::chart::{self, Drawing};
use crate::report::counted;
use crate::report::input::Input;
use crate::report::map;
use crate::report::number::{Style, print};
use crate::report::words::pulls;
use crate::season::{Ground, Season};
use crate::words::Words;
use crate::words::day;
use crate::{phrase, words};

/// A drawing for a template.
pub fn drawing(drawing: &Drawing) -> Value {
    json!({"svg": drawing.svg, "alt": drawing.alt, "width": drawing.width, "height": drawing.height})
}

fn drawings(all: &[Drawing]) -> Value {
    all.iter().map(drawing).collect()
}

/// The boats' ways as longitudes and latitudes.
pub fn tracks(season: &Season) -> Vec<Vec<(f64, f64)>> {
    season
        .tracks
        .iter()
        .map(|track| {
            let points = track.points.iter();
            points.map(|one| (one.point.x(), one.point.y())).collect()
        })
        .collect()
}

/// The map with its key; null where nothing has a position.
pub fn the_map(input: &Input<'_>, style: &Style) -> Value {
    let tracks = tracks(input.season);
    let Some(map) = map::draw(&shown_ground(input), input.pull_marks, &tracks, style) else {
        return Value::Null;
    };
    let key: Vec<Value> = map
        .key
        .iter()
        .map(|(number, name)| json!({"number": number.to_string(), "name": name}))
        .collect();
    json!({
        "drawing": drawing(&map.drawing),
        "details": map.details.iter().map(|(name, it)| json!({"name": name, "drawing": drawing(it)})).collect::<Vec<_>>(),
        "key": key,
        "off": off(map.off_the_map, style),
        "sensitive": input.season.ground.sites.iter().any(|site| site.sensitive),
    })
}

/// The ground with the sites that are shown.
fn shown_ground<'a>(input: &Input<'a>) -> Cow<'a, Ground> {
    let ground = &input.season.ground;
    let sites = shown::sites(input.season, input.ledger);
    if sites.len() == ground.sites.len() {
        return Cow::Borrowed(ground);
    }
    Cow::Owned(Ground {
        sites: sites.into_iter().cloned().collect(),
        stations: ground.stations.clone(),
        shorelines: ground.shorelines.clone(),
    })
}

/// That pulls are not drawn, if so.
pub fn off(count: usize, style: &Style) -> Option<String> {
    (count > 0).then(|| {
        style.say(words!(
            "{pulls} {count:lies|lie} so far from every site that the position is doubtful; not drawn.",
            pulls = pulls(count),
            count
        ))
    })
}

/// The title's ornament, with how many pulls share a stroke; null where no pull has hours.
pub fn windrow(input: &Input<'_>, style: &Style) -> Value {
    let pulls = counted::pulls(input.season, input.ledger);
    let Some(chart) = chart::windrow::draw(&pulls, style) else {
        return Value::Null;
    };
    let mut value = drawing(&chart);
    value["pulls-to-a-stroke"] = chart::windrow::to_a_stroke(pulls.len()).into();
    value
}

/// Effort by week; null where no pull has a date.
pub fn effort(input: &Input<'_>, style: &Style) -> Value {
    chart::effort::draw(
        input.season,
        &counted::pulls(input.season, input.ledger),
        totals(input, style),
        style,
    )
    .map_or(Value::Null, |chart| drawing(&chart))
}

/// The season's hours in a sentence; none where the ledger has none.
pub fn totals(input: &Input<'_>, style: &Style) -> Option<Words> {
    let text = |name: &str| {
        input
            .ledger
            .get(name)
            .map(|figure| print(figure, style).text)
    };
    let totals: Vec<Words> = [
        text("effort.person-hours").map(|hours| words!("in all {hours}", hours)),
        text("effort.staff-hours").map(|hours| words!("paid people {hours}", hours)),
        text("effort.volunteer-hours").map(|hours| words!("volunteers {hours}", hours)),
    ]
    .into_iter()
    .flatten()
    .collect();
    (!totals.is_empty()).then(|| {
        words!(
            "The season: {totals}.",
            totals = Words::joined(totals, "; ")
        )
    })
}

/// Wet mass by site, or plants by site where no mass is known.
pub fn removal(input: &Input<'_>, style: &Style) -> Value {
    for (stem, what) in [
        ("removal.wet-mass", phrase!("Wet mass removed")),
        ("removal.plants", phrase!("Plants removed")),
    ] {
        let rows: Vec<_> = shown::sites(input.season, input.ledger)
            .into_iter()
            .filter_map(|site| {
                Some(chart::removal::Row {
                    name: &site.name,
                    figure: input.ledger.get(&format!("{stem}/{}", site.id))?,
                })
            })
            .collect();
        let what = style.language.of(what);
        let charts = chart::removal::draw(&rows, what, style);
        if !charts.is_empty() {
            return json!({"what": what, "drawings": drawings(&charts)});
        }
    }
    Value::Null
}

/// Cover before and after; empty where nothing is known.
pub fn cover(input: &Input<'_>, style: &Style) -> Value {
    let row = |name, part: &str, whole| {
        let get = |stem: &str| input.ledger.get(&format!("{stem}{part}"));
        chart::cover::Row {
            name,
            before: get("cover.before"),
            after: get("cover.after"),
            change: get("cover.change"),
            whole,
        }
    };
    let sites = shown::sites(input.season, input.ledger);
    let parts: Vec<String> = sites.iter().map(|site| format!("/{}", site.id)).collect();
    let mut rows: Vec<_> = sites
        .iter()
        .zip(&parts)
        .map(|(site, part)| row(site.name.as_str(), part, false))
        .collect();
    rows.push(row(style.language.of(phrase!("All plots")), "", true));
    drawings(&chart::cover::draw(&rows, style))
}

/// Figures of earlier seasons, each kind drawn over the years; empty where the ledger has none.
pub fn seasons(input: &Input<'_>, style: &Style) -> Value {
    let apart: Vec<i32> = input
        .season
        .history
        .iter()
        .filter(|row| !row.comparable)
        .filter_map(|row| row.year)
        .collect();
    let stems: BTreeSet<&str> = input
        .ledger
        .figures()
        .map(Figure::stem)
        .filter(|stem| stem.starts_with("history."))
        .collect();
    let mut all = Vec::new();
    for stem in stems {
        // A site's own years have a part of two: they are not drawn.
        let years: Vec<_> = input
            .ledger
            .parts(stem)
            .filter_map(|figure| {
                let year = figure.part().and_then(year)?;
                Some(chart::seasons::Year {
                    year,
                    figure,
                    comparable: !apart.contains(&year),
                })
            })
            .collect();
        let what = kind_label(input.ledger, stem, style.language);
        // The trend is of the rate, and drawn for the season as a whole.
        let trend: Vec<(i32, &Figure)> = if stem == "history.rate" {
            input
                .ledger
                .parts("trend.line")
                .filter_map(|figure| Some((figure.part().and_then(year)?, figure)))
                .collect()
        } else {
            Vec::new()
        };
        if let Some(chart) = chart::seasons::draw(&years, &trend, &what, style) {
            let open = years
                .iter()
                .any(|year| !year.comparable && year.figure.value().is_some());
            all.push(json!({"what": what, "open": open, "trend": trend.len() > 1, "drawing": drawing(&chart)}));
        }
    }
    json!(all)
}

/// Passes over one bed, each run with its chart and what follows from it; empty where there was none.
pub fn passes(input: &Input<'_>, style: &Style) -> Value {
    // `site/day/pass` under `passes.catch`.
    let mut runs: Vec<(String, Vec<chart::passes::Pass<'_>>)> = Vec::new();
    for caught in input.ledger.parts("passes.catch") {
        let Some((run, number)) = caught.part().and_then(|part| part.rsplit_once('/')) else {
            continue;
        };
        let pass = chart::passes::Pass {
            number,
            caught,
            expected: input.ledger.get(&format!("passes.expected/{run}/{number}")),
        };
        match runs.iter_mut().find(|(name, _)| name == run) {
            Some((_, passes)) => passes.push(pass),
            None => runs.push((run.to_owned(), vec![pass])),
        }
    }
    runs.into_iter()
        .filter_map(|(run, mut passes)| {
            // By number, since names sort 10 before 2.
            passes.sort_by_key(|pass| pass.number.parse::<u32>().unwrap_or(u32::MAX));
            let of = passes
                .first()
                .and_then(|pass| pass.caught.counts.as_ref())
                .map_or_else(
                    || style.language.of(phrase!("plants")).to_owned(),
                    |of| of.say(style.language),
                );
            let drawn = chart::passes::draw(&passes, &of, style)?;
            let (site, date) = run.split_once('/')?;
            let place = input
                .season
                .ground
                .sites
                .iter()
                .find(|one| one.id == site)
                .map_or(site, |one| one.name.as_str());
            let begun = date
                .parse()
                .map_or_else(|_| date.to_owned(), |date| day(date, style.language));
            let figures: Vec<String> = [
                "initial",
                "share-removed",
                "initial-mass",
                "share-of-mass-removed",
                "share-an-hour",
            ]
            .iter()
            .map(|what| format!("passes.{what}/{run}"))
            .filter(|name| input.ledger.get(name).is_some())
            .collect();
            Some(json!({
                "site": place,
                "begun": begun,
                "drawing": drawing(&drawn),
                "figures": figures,
                "if-falling": format!("passes.initial-if-falling/{run}"),
            }))
        })
        .collect()
}

/// The outlook's fan; null where nothing was supposed or reckoned.
pub fn outlook(input: &Input<'_>, style: &Style) -> Value {
    use chart::outlook::{Course, Hue};
    let ledger = input.ledger;
    let course = |stem: &'static str, name, hue| Course {
        name,
        years: ledger
            .parts(stem)
            .filter_map(|figure| Some((figure.part().and_then(year)?, figure)))
            .collect(),
        hue,
    };
    let courses = [
        course(
            "outlook.rosettes-never",
            style.language.of(phrase!("nobody had ever pulled")),
            Hue::Pale,
        ),
        course(
            "outlook.rosettes-stop-now",
            style.language.of(phrase!("pulling stops now")),
            Hue::Warm,
        ),
        course(
            "outlook.rosettes-same-effort",
            style.language.of(phrase!("the same every year")),
            Hue::Deep,
        ),
    ];
    chart::outlook::draw(&courses, style).map_or(Value::Null, |chart| drawing(&chart))
}

/// A part of a figure's name as a year, if it looks like one.
fn year(part: &str) -> Option<i32> {
    part.parse().ok().filter(|year| (1900..2200).contains(year))
}
