//! The map: sites, stations with the way they look, boats' tracks, pulls, shoreline, scale and north.
//!
//! Takes the season's ground, the places of pulls and the tracks, gives a drawing, the key to its numbers, and how many pulls lie off
//! it. Where sites lie so far apart that none can be made out, each group of them gets a drawing of its own besides.

mod apart;
mod furniture;
mod labels;
mod naming;
pub mod places;
mod projection;
mod view;

pub use self::furniture::bar;

use self::labels::Box2;
use self::places::Places;
use super::PullMark;
use super::chart::{Drawing, Svg, WIDTH, stroke};
use super::number::Style;
use super::palette::{BARK, BAY, MUTED, PAPER, POND, REED, RULE, RUST, WATER};
use super::words::{pulls as so_many_pulls, sites, stations as so_many_stations};
use crate::season::Ground;
use crate::words;
use crate::words::Words;

/// Room for scale and north below the map.
const FOOT: f64 = 30.0;
/// Labels keep clear of so many pulls.
const FEW_PULLS: usize = 80;

/// The map of a season.
pub struct Map {
    pub drawing: Drawing,
    /// Number on the map and name, where sites are numbered.
    pub key: Vec<(usize, String)>,
    pub off_the_map: usize,
    /// Where sites lie far apart: each group of neighbours by itself, with their names. The map itself then shows where the groups are.
    pub details: Vec<(String, Drawing)>,
}

/// Draws the map; `None` where nothing has a position. `tracks` are lines in degrees.
pub fn draw(
    ground: &Ground,
    pulls: &[PullMark],
    tracks: &[Vec<(f64, f64)>],
    style: &Style,
) -> Option<Map> {
    let mut map = one(ground, pulls, tracks, style)?;
    map.details = groups(ground, pulls, style)
        .into_iter()
        .filter_map(|(names, group, own)| {
            let drawn = one(&group, &own, tracks, style)?;
            Some((names, drawn.drawing))
        })
        .collect();
    Some(map)
}

/// Where sites lie far apart, each group of neighbours: its names, its ground and its pulls; else empty.
pub fn groups(
    ground: &Ground,
    pulls: &[PullMark],
    style: &Style,
) -> Vec<(String, Ground, Vec<PullMark>)> {
    apart::groups(ground)
        .into_iter()
        .map(|group| {
            let own: Vec<PullMark> = pulls
                .iter()
                .filter(|pull| {
                    let of_group = |id: &String| group.sites.iter().any(|site| site.id == *id);
                    pull.site.as_ref().is_some_and(of_group)
                })
                .cloned()
                .collect();
            let names: Vec<String> = group.sites.iter().map(|site| site.name.clone()).collect();
            (words::list(&names, style.language), group, own)
        })
        .collect()
}

fn one(
    ground: &Ground,
    pulls: &[PullMark],
    tracks: &[Vec<(f64, f64)>],
    style: &Style,
) -> Option<Map> {
    let places = places::find(ground, pulls, tracks)?;
    Some(paint(ground, &places, style))
}

fn paint(ground: &Ground, places: &Places, style: &Style) -> Map {
    let height = places.height;
    let mut svg = Svg::new(WIDTH, height + FOOT);
    svg.clip(0.0, 0.0, WIDTH, height);
    svg.rect(0.0, 0.0, WIDTH, height, PAPER);
    if !places.water.is_empty() {
        svg.path(&places.water, Some(WATER), stroke(MUTED, 0.5));
    }
    for line in &places.shores {
        svg.path(std::slice::from_ref(line), None, stroke(MUTED, 0.7));
    }
    for site in &places.sites {
        if site.small {
            if let Some((x, y)) = site.rings.first().and_then(|ring| ring.first()) {
                svg.circle(*x, *y, 3.4, BAY, Some(stroke(POND, 1.2)));
            }
        } else {
            svg.path(&site.rings, Some(BAY), stroke(POND, 0.9));
        }
    }
    for track in &places.tracks {
        svg.path(std::slice::from_ref(track), None, stroke(MUTED, 0.6));
    }
    for pull in &places.pulls {
        svg.circle(pull.x, pull.y, 1.8, RUST, Some(stroke(PAPER, 0.5)));
    }
    // Few pulls are worth a label that makes way for them; many leave no room to do so.
    let mut taken: Vec<Box2> = places
        .pulls
        .iter()
        .take(FEW_PULLS)
        .map(|pull| Box2::around(pull.x, pull.y, 2.2, 2.2))
        .collect();
    taken.extend(naming::outlines(ground, &places.view));
    for station in &places.stations {
        taken.extend(station.room());
        if let Some(wedge) = &station.wedge {
            svg.path(std::slice::from_ref(wedge), Some(REED), stroke(BARK, 0.6));
        }
        svg.circle(station.x, station.y, 2.2, PAPER, Some(stroke(BARK, 1.0)));
    }
    let key = naming::label(&mut svg, ground, &places.view, &taken, places.tracked);
    svg.unclip();
    let outline = vec![
        (0.0, 0.0),
        (WIDTH, 0.0),
        (WIDTH, height),
        (0.0, height),
        (0.0, 0.0),
    ];
    svg.path(&[outline], None, stroke(RULE, 0.8));
    let foot = height + FOOT;
    furniture::scale_bar(&mut svg, places.view.scale, foot, style);
    furniture::legend(
        &mut svg,
        foot,
        (
            !ground.stations.is_empty(),
            !places.pulls.is_empty(),
            places.tracked,
        ),
        style,
    );
    furniture::north(&mut svg, foot, style);
    let alt = style.say(alternative(ground, places.pulls.len()));
    Map {
        drawing: svg.finish(alt),
        key,
        off_the_map: places.off_the_map,
        details: Vec::new(),
    }
}

/// What a map of this ground shows, in words.
pub fn alternative(ground: &Ground, pulls: usize) -> Words {
    let mut told = vec![words!(
        "Map of {sites}, {stations} and the places of {pulls}.",
        sites = sites(ground.sites.len()),
        stations = so_many_stations(ground.stations.len()),
        pulls = so_many_pulls(pulls)
    )];
    if !ground.sites.is_empty() {
        let names: Vec<String> = ground.sites.iter().map(|site| site.name.clone()).collect();
        told.push(words!("Sites: {names}.", names));
    }
    let stations: Vec<Words> = ground
        .stations
        .iter()
        .filter_map(|station| {
            let bearing = format!("{:.0}°", station.bearing?);
            Some(words!(
                "{station} looks towards {bearing}",
                station = &station.id,
                bearing
            ))
        })
        .collect();
    if !stations.is_empty() {
        told.push(words!(
            "Stations: {stations}.",
            stations = Words::joined(stations, "; ")
        ));
    }
    Words::joined(told, " ")
}
