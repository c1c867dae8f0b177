//! The map as shapes, and each site with its figures.

use std::fmt::Write;

use serde_json::{Value, json};

use crate::report::chart::WIDTH;
use crate::report::data::{charts, figures, plates};
use crate::report::input::{Input, PullMark};
use crate::report::map::{self, places};
use crate::report::number::Style;
use crate::season::{Ground, Station};
use crate::words;
use crate::words::day;

/// Radius of a site's mark, in the map's points: as wide as a finger needs where the map is shown half as large again.
const MARK: f64 = 9.5;
/// The map is shown larger by these factors, as far as there is something to see.
const CLOSER: [u32; 7] = [1, 2, 4, 8, 16, 32, 64];
/// Nothing is known so exactly that fewer metres across are worth a look.
const LEAST_ACROSS: f64 = 60.0;
/// A site too small to be seen is a ring of this radius.
const RING: f64 = 3.4;
/// Figures told for each site, in this order.
const TOLD: [&str; 8] = [
    "removal.wet-mass",
    "removal.plants",
    "effort.person-hours",
    "effort.pulls",
    "rate.mass-per-hour",
    "area.treated",
    "area.searched",
    "cover.change",
];

/// Maps, the first of all sites, and the sites; `maps` is empty where nothing has a position.
pub fn all(input: &Input<'_>, style: &Style) -> Value {
    let ground = &input.season.ground;
    let tracks = charts::tracks(input.season);
    let mut off = 0;
    let mut maps = Vec::new();
    if let Some(found) = places::find(ground, input.pull_marks, &tracks) {
        off = found.off_the_map;
        maps.push(one(input, ground, input.pull_marks, &found, None, style));
        for (names, group, pulls) in map::groups(ground, input.pull_marks, style) {
            if let Some(found) = places::find(&group, &pulls, &tracks) {
                maps.push(one(input, &group, &pulls, &found, Some(names), style));
            }
        }
    }
    json!({
        "maps": maps,
        "off": charts::off(off, style),
        "sites": sites(input, style),
        "sensitive": ground.sites.iter().any(|site| site.sensitive),
        "tracked": maps.iter().any(|map| map["tracked"] == true),
    })
}

fn one(
    input: &Input<'_>,
    ground: &Ground,
    pulls: &[PullMark],
    places: &places::Places,
    name: Option<String>,
    style: &Style,
) -> Value {
    let number_of = |id: &str| {
        let mut all = input.season.ground.sites.iter();
        all.position(|site| site.id == id).map(|at| at + 1)
    };
    let marks = places.marks(MARK);
    let sites: Vec<Value> = ground
        .sites
        .iter()
        .zip(&places.sites)
        .zip(marks)
        .filter_map(|((site, place), mark)| {
            let mark = mark?;
            let ring = place.rings.first().and_then(|ring| ring.first());
            Some(json!({
                "number": number_of(&site.id)?.to_string(),
                "name": site.name,
                "path": (!place.small).then(|| path(&place.rings, true)),
                "ring": ring.filter(|_| place.small).map(|(x, y)| json!({"x": at(*x), "y": at(*y), "r": at(RING)})),
                "x": at(mark.x),
                "y": at(mark.y),
                "led": mark.led_from.map(|(x, y)| json!({"x": at(x), "y": at(y)})),
            }))
        })
        .collect();
    let stations: Vec<Value> = places
        .stations
        .iter()
        .filter_map(|place| {
            let station = ground.stations.get(place.index)?;
            Some(json!({
                "x": at(place.x),
                "y": at(place.y),
                // About the station itself, so that it can keep its size where the map is shown larger.
                "wedge": place.wedge.as_ref().map(|wedge| {
                    let about: places::Line = wedge.iter().map(|(x, y)| (x - place.x, y - place.y)).collect();
                    path(&[about], true)
                }),
                "name": style.say(told(station)),
            }))
        })
        .collect();
    let shown: Vec<Value> = places
        .pulls
        .iter()
        .filter_map(|place| {
            let mark = pulls.get(place.index)?;
            let pull = input.season.pulls.iter().find(|pull| pull.id == mark.pull);
            Some(json!({
                "x": at(place.x),
                "y": at(place.y),
                "day": pull.and_then(|pull| pull.date()).map(|date| day(date, style.language)),
            }))
        })
        .collect();
    let closer: Vec<Value> = CLOSER
        .into_iter()
        .take_while(|closer| {
            *closer == 1 || WIDTH / (places.view.scale * f64::from(*closer)) >= LEAST_ACROSS
        })
        .map(|closer| {
            let scale = places.view.scale * f64::from(closer);
            let (metres, text) = map::bar(scale, style);
            json!({"closer": closer, "length": at(metres * scale), "text": text})
        })
        .collect();
    json!({
        "name": name,
        "width": at(WIDTH),
        "height": at(places.height),
        "water": path(&places.water, true),
        "shores": path(&places.shores, false),
        "tracks": path(&places.tracks, false),
        "tracked": places.tracked,
        "sites": sites,
        "stations": stations,
        "pulls": shown,
        "bars": closer,
        "alt": style.say(map::alternative(ground, places.pulls.len())),
    })
}

/// A coordinate on the page: a tenth of a point can't be seen, and tells no position.
fn at(value: f64) -> String {
    // What is no number, or off every page, is put at the edge.
    if value.is_finite() && value.abs() < 1e5 {
        format!("{value:.1}")
    } else {
        "0".to_owned()
    }
}

/// Lines as the `d` of an SVG path.
fn path(lines: &[places::Line], closed: bool) -> String {
    let mut data = String::new();
    for line in lines {
        for (index, (x, y)) in line.iter().enumerate() {
            let letter = if index == 0 { 'M' } else { 'L' };
            // Writing to a string can't fail.
            let _ = write!(data, "{letter}{} {}", at(*x), at(*y));
        }
        if closed && !line.is_empty() {
            data.push('Z');
        }
    }
    data
}

/// A station and where it looks.
fn told(station: &Station) -> words::Words {
    match station.bearing.map(plates::degrees) {
        Some(bearing) => words!(
            "station {station} looks towards {bearing}",
            station = &station.id,
            bearing
        ),
        None => words!("station {station}", station = &station.id),
    }
}

/// Every site with its number on the map, its figures and its stations.
fn sites(input: &Input<'_>, style: &Style) -> Value {
    input
        .season
        .ground
        .sites
        .iter()
        .enumerate()
        .map(|(index, site)| {
            let rows: Vec<Value> = TOLD
                .iter()
                .filter_map(|stem| {
                    let name = format!("{stem}/{}", site.id);
                    let mut row = figures::named(input.ledger, &name, style)?;
                    row["label"] = figures::kind_label(input.ledger, stem, style.language).into();
                    Some(row)
                })
                .collect();
            let stations: Vec<String> = input
                .season
                .ground
                .stations
                .iter()
                .filter(|station| station.site.as_deref() == Some(site.id.as_str()))
                .map(|station| style.say(told(station)))
                .collect();
            json!({
                "number": (index + 1).to_string(),
                "name": site.name,
                "waterbody": site.waterbody,
                "sensitive": site.sensitive,
                "rows": rows,
                "stations": stations.join("; "),
            })
        })
        .collect()
}
