//! The map: sites, stations with the way they look, boats' tracks, pulls, shoreline, scale and north.
//!
//! Takes the season's ground, the places of pulls and the tracks, gives a drawing, the key to its numbers, and how many pulls lie off
//! it. Where sites lie so far apart that none can be made out, each group of them gets a drawing of its own besides.

mod apart;
mod furniture;
mod labels;
mod naming;
mod projection;
mod view;

use self::labels::Box2;
use self::projection::Projection;
use self::view::{View, bounds};
use super::PullMark;
use super::chart::{Drawing, Svg, WIDTH, stroke};
use super::number::Style;
use super::palette::{BARK, BAY, MUTED, PAPER, POND, REED, RULE, RUST, WATER};
use super::words::{pulls as so_many_pulls, sites, stations as so_many_stations};
use crate::season::{Ground, Station};
use crate::words;
use crate::words::Words;

/// Room for scale and north below the map.
const FOOT: f64 = 30.0;
const HIGHEST: f64 = 400.0;
/// One or two sites need no page of their own.
const HIGHEST_OF_FEW: f64 = 260.0;
/// Labels keep clear of so many pulls.
const FEW_PULLS: usize = 80;
/// Pulls farther from all sites and stations than the ground is wide are off the map: a wrong fix must not shrink it.
const FARTHEST: f64 = 1.0;
/// A site that would be smaller on the page, in points, is a ring.
const SMALLEST: f64 = 5.0;
/// Points of a track that lie closer on the page add nothing to see.
const STEP: f64 = 0.7;
/// Points of all tracks drawn at most: a season of loggers that never slept stays a small drawing.
const MOST_POINTS: usize = 20_000;

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
    map.details = apart::groups(ground)
        .into_iter()
        .filter_map(|group| {
            let own: Vec<PullMark> = pulls
                .iter()
                .filter(|pull| {
                    let of_group = |id: &String| group.sites.iter().any(|site| site.id == *id);
                    pull.site.as_ref().is_some_and(of_group)
                })
                .cloned()
                .collect();
            let names: Vec<String> = group.sites.iter().map(|site| site.name.clone()).collect();
            let drawn = one(&group, &own, tracks, style)?;
            Some((words::list(&names, style.language), drawn.drawing))
        })
        .collect();
    Some(map)
}

fn one(
    ground: &Ground,
    pulls: &[PullMark],
    tracks: &[Vec<(f64, f64)>],
    style: &Style,
) -> Option<Map> {
    let fixed = fixed_points(ground);
    let marks: Vec<(f64, f64)> = pulls
        .iter()
        .map(|pull| (pull.longitude, pull.latitude))
        .collect();
    let projection = Projection::amid(if fixed.is_empty() { &marks } else { &fixed })?;
    let project = |points: &[(f64, f64)]| -> Vec<(f64, f64)> {
        points
            .iter()
            .filter_map(|(longitude, latitude)| projection.project(*longitude, *latitude))
            .collect()
    };
    let marks = project(&marks);
    let fixed = project(&fixed);
    let home = bounds(if fixed.is_empty() { &marks } else { &fixed })?;
    let reach = FARTHEST
        * (home.right - home.left)
            .max(home.bottom - home.top)
            .max(200.0);
    let near: Vec<(f64, f64)> = marks
        .iter()
        .copied()
        .filter(|(x, y)| {
            (home.left - reach..=home.right + reach).contains(x)
                && (home.top - reach..=home.bottom + reach).contains(y)
        })
        .collect();
    let extent = bounds(&[fixed, near.clone()].concat())?;
    let highest = if ground.sites.len() <= 2 {
        HIGHEST_OF_FEW
    } else {
        HIGHEST
    };
    let view = View::new(extent, projection, highest);
    let off_the_map = pulls.len() - near.len();
    Some(paint(ground, &near, tracks, &view, style, off_the_map))
}

/// Corners of all sites, and all stations, in degrees.
fn fixed_points(ground: &Ground) -> Vec<(f64, f64)> {
    let corners = ground.sites.iter().flat_map(|site| {
        site.outline
            .iter()
            .flat_map(|polygon| polygon.exterior().0.iter())
            .map(|corner| (corner.x, corner.y))
    });
    let stations = ground
        .stations
        .iter()
        .map(|station| (station.point.x(), station.point.y()));
    corners.chain(stations).collect()
}

fn paint(
    ground: &Ground,
    marks: &[(f64, f64)],
    tracks: &[Vec<(f64, f64)>],
    view: &View,
    style: &Style,
    off_the_map: usize,
) -> Map {
    let mut svg = Svg::new(WIDTH, view.height + FOOT);
    svg.clip(0.0, 0.0, WIDTH, view.height);
    svg.rect(0.0, 0.0, WIDTH, view.height, PAPER);
    shorelines(&mut svg, ground, view);
    for site in &ground.sites {
        let rings: Vec<_> = site
            .outline
            .iter()
            .flat_map(|polygon| std::iter::once(polygon.exterior()).chain(polygon.interiors()))
            .map(|ring| view.ring(ring))
            .collect();
        let size = view::bounds(&rings.concat()).map_or(0.0, |site| {
            (site.right - site.left).max(site.bottom - site.top)
        });
        if size < SMALLEST {
            if let Some((x, y)) = rings.concat().first() {
                svg.circle(*x, *y, 3.4, BAY, Some(stroke(POND, 1.2)));
            }
        } else {
            svg.path(&rings, Some(BAY), stroke(POND, 0.9));
        }
    }
    let tracked = draw_tracks(&mut svg, tracks, view);
    for mark in marks {
        let (x, y) = view.on_page(*mark);
        svg.circle(x, y, 1.8, RUST, Some(stroke(PAPER, 0.5)));
    }
    // Few pulls are worth a label that makes way for them; many leave no room to do so.
    let mut taken: Vec<Box2> = marks
        .iter()
        .take(FEW_PULLS)
        .map(|mark| {
            let (x, y) = view.on_page(*mark);
            Box2::around(x, y, 2.2, 2.2)
        })
        .collect();
    taken.extend(naming::outlines(ground, view));
    for station in &ground.stations {
        if let Some((x, y)) = view.place(station.point.x(), station.point.y()) {
            taken.extend(draw_station(&mut svg, station, x, y));
        }
    }
    let key = naming::label(&mut svg, ground, view, &taken, tracked);
    svg.unclip();
    let outline = vec![
        (0.0, 0.0),
        (WIDTH, 0.0),
        (WIDTH, view.height),
        (0.0, view.height),
        (0.0, 0.0),
    ];
    svg.path(&[outline], None, stroke(RULE, 0.8));
    let foot = view.height + FOOT;
    furniture::scale_bar(&mut svg, view.scale, foot, style);
    furniture::legend(
        &mut svg,
        foot,
        (!ground.stations.is_empty(), !marks.is_empty(), tracked),
        style,
    );
    furniture::north(&mut svg, foot, style);
    let alt = style.say(alternative(ground, marks.len()));
    Map {
        drawing: svg.finish(alt),
        key,
        off_the_map,
        details: Vec::new(),
    }
}

/// Where boats went; false where no track comes onto the map.
fn draw_tracks(svg: &mut Svg, tracks: &[Vec<(f64, f64)>], view: &View) -> bool {
    let mut room = MOST_POINTS;
    let mut drawn = false;
    for track in tracks {
        let mut line: Vec<(f64, f64)> = Vec::new();
        for (x, y) in track
            .iter()
            .filter_map(|(longitude, latitude)| view.place(*longitude, *latitude))
        {
            let far = line
                .last()
                .is_none_or(|(at_x, at_y): &(f64, f64)| (x - at_x).hypot(y - at_y) >= STEP);
            if far && room > 0 {
                room -= 1;
                drawn |= (0.0..=WIDTH).contains(&x) && (0.0..=view.height).contains(&y);
                line.push((x, y));
            }
        }
        svg.path(&[line], None, stroke(MUTED, 0.6));
    }
    drawn
}

fn shorelines(svg: &mut Svg, ground: &Ground, view: &View) {
    let mut water = Vec::new();
    let mut open = Vec::new();
    for line in ground.shorelines.iter().flat_map(|lines| lines.iter()) {
        let ring = view.ring(line);
        // A closed line bounds water, or an island in it: the even-odd rule tells them apart.
        if line.is_closed() && line.0.len() > 3 {
            water.push(ring);
        } else {
            open.push(ring);
        }
    }
    if !water.is_empty() {
        svg.path(&water, Some(WATER), stroke(MUTED, 0.5));
    }
    for line in open {
        svg.path(&[line], None, stroke(MUTED, 0.7));
    }
}

/// A station: a dot, and a wedge the way it looks. Gives the boxes that labels have to leave free.
fn draw_station(svg: &mut Svg, station: &Station, x: f64, y: f64) -> Vec<Box2> {
    let mut taken = vec![Box2::around(x, y, 3.5, 3.5)];
    if let Some(bearing) = station.bearing {
        // Half of the view of a phone's main camera held upright, about 50 degrees: common practice, no source.
        const HALF: f64 = 25.0;
        const LONG: f64 = 15.0;
        let tip = |degrees: f64| {
            let (east, north) = degrees.to_radians().sin_cos();
            (x + LONG * east, y - LONG * north)
        };
        let (a, middle, b) = (tip(bearing - HALF), tip(bearing), tip(bearing + HALF));
        svg.path(&[vec![(x, y), a, middle, b]], Some(REED), stroke(BARK, 0.6));
        let centre = (f64::midpoint(x, middle.0), f64::midpoint(y, middle.1));
        taken.push(Box2::around(centre.0, centre.1, 5.5, 5.5));
    }
    svg.circle(x, y, 2.2, PAPER, Some(stroke(BARK, 1.0)));
    taken
}

fn alternative(ground: &Ground, pulls: usize) -> Words {
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
