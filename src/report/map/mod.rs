//! The map: sites, stations with the way they look, pulls, shoreline, scale and north.
//!
//! Takes the season's ground and the places of pulls, gives a drawing, the key to its numbers, and how many pulls lie off it.

mod furniture;
mod labels;
mod projection;

use geo::{BoundingRect, Centroid, LineString};

use self::labels::{Box2, Wish};
use self::projection::Projection;
use super::chart::{Anchor, Drawing, Lettering, SIZE, Svg, WIDTH, stroke};
use super::fonts;
use super::number::Style;
use super::palette::{BARK, BAY, INK, MUTED, PAPER, POND, REED, RULE, RUST, WATER};
use super::words::plural;
use super::{PullMark, chart};
use crate::season::{Ground, Station};

/// Up to so many sites are named on the map itself; more get numbers and a key.
const NAMED: usize = 16;
/// Room between the frame and the outermost thing.
const AIR: f64 = 26.0;
/// Room for scale and north below the map.
const FOOT: f64 = 30.0;
const LOWEST: f64 = 190.0;
const HIGHEST: f64 = 400.0;
/// One or two sites need no page of their own.
const HIGHEST_OF_FEW: f64 = 260.0;
/// Labels keep clear of so many pulls.
const FEW_PULLS: usize = 80;
/// Pulls farther from all sites and stations than the ground is wide are off the map: a wrong fix must not shrink it.
const FARTHEST: f64 = 1.0;

/// The map of a season.
pub struct Map {
    pub drawing: Drawing,
    /// Number on the map and name, where sites are numbered.
    pub key: Vec<(usize, String)>,
    pub off_the_map: usize,
}

/// Draws the map; `None` where nothing has a position.
pub fn draw(ground: &Ground, pulls: &[PullMark], style: &Style) -> Option<Map> {
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
    Some(paint(ground, &near, &view, style, off_the_map))
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

fn bounds(points: &[(f64, f64)]) -> Option<Box2> {
    points.iter().fold(None, |bounds, (x, y)| {
        let bounds = bounds.unwrap_or(Box2::around(*x, *y, 0.0, 0.0));
        Some(Box2 {
            left: bounds.left.min(*x),
            right: bounds.right.max(*x),
            top: bounds.top.min(*y),
            bottom: bounds.bottom.max(*y),
        })
    })
}

/// From degrees to page points.
struct View {
    projection: Projection,
    /// Page points a metre.
    scale: f64,
    /// Projected middle.
    middle: (f64, f64),
    /// Height of the framed part.
    height: f64,
}

impl View {
    fn new(extent: Box2, projection: Projection, highest: f64) -> Self {
        // A single point still gets a map of a few hundred metres.
        let width = (extent.right - extent.left).max(300.0);
        let height = (extent.bottom - extent.top).max(150.0);
        let by_width = (WIDTH - 2.0 * AIR) / width;
        let page = (height * by_width + 2.0 * AIR).clamp(LOWEST, highest);
        let scale = by_width.min((page - 2.0 * AIR) / height);
        Self {
            projection,
            scale,
            middle: extent.middle(),
            height: page,
        }
    }

    fn on_page(&self, (x, y): (f64, f64)) -> (f64, f64) {
        (
            WIDTH / 2.0 + (x - self.middle.0) * self.scale,
            self.height / 2.0 - (y - self.middle.1) * self.scale,
        )
    }

    fn place(&self, longitude: f64, latitude: f64) -> Option<(f64, f64)> {
        self.projection
            .project(longitude, latitude)
            .map(|point| self.on_page(point))
    }

    fn ring(&self, line: &LineString<f64>) -> Vec<(f64, f64)> {
        line.0
            .iter()
            .filter_map(|corner| self.place(corner.x, corner.y))
            .collect()
    }

    fn frame(&self) -> Box2 {
        Box2 {
            left: 3.0,
            top: 3.0,
            right: WIDTH - 3.0,
            bottom: self.height - 3.0,
        }
    }
}

fn paint(
    ground: &Ground,
    marks: &[(f64, f64)],
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
        svg.path(&rings, Some(BAY), stroke(POND, 0.9));
    }
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
    taken.extend(outlines(ground, view));
    for station in &ground.stations {
        if let Some((x, y)) = view.place(station.point.x(), station.point.y()) {
            taken.extend(draw_station(&mut svg, station, x, y));
        }
    }
    let key = label(&mut svg, ground, view, &taken);
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
        !ground.stations.is_empty(),
        !marks.is_empty(),
    );
    furniture::north(&mut svg, foot);
    let alt = alternative(ground, marks.len());
    Map {
        drawing: svg.finish(alt),
        key,
        off_the_map,
    }
}

/// The lines of all sites as small boxes, for labels to keep off.
fn outlines(ground: &Ground, view: &View) -> Vec<Box2> {
    // Closer than the height of a label, so that none slips between.
    const STEP: f64 = 6.0;
    // A hostile outline may be endless; labels then stand where they can.
    const MOST: usize = 4_000;
    let mut boxes = Vec::new();
    for site in &ground.sites {
        for polygon in &site.outline {
            let ring = view.ring(polygon.exterior());
            for (from, to) in ring.iter().zip(ring.iter().skip(1)) {
                let long = (to.0 - from.0).hypot(to.1 - from.1);
                let steps = (long / STEP).ceil().clamp(1.0, 100.0) as usize;
                for step in 0..steps {
                    if boxes.len() >= MOST {
                        return boxes;
                    }
                    let part = step as f64 / steps as f64;
                    boxes.push(Box2::around(
                        from.0 + (to.0 - from.0) * part,
                        from.1 + (to.1 - from.1) * part,
                        0.8,
                        0.8,
                    ));
                }
            }
        }
    }
    boxes
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

/// Names or numbers of sites, then the ids of stations. Gives the key where sites are numbered.
fn label(svg: &mut Svg, ground: &Ground, view: &View, taken: &[Box2]) -> Vec<(usize, String)> {
    let numbered = ground.sites.len() > NAMED;
    let mut texts: Vec<(String, bool)> = Vec::new();
    let mut wishes: Vec<Wish> = Vec::new();
    let mut key = Vec::new();
    for (index, site) in ground.sites.iter().enumerate() {
        let Some(rect) = site.outline.bounding_rect() else {
            continue;
        };
        let corners: Vec<_> = site
            .outline
            .iter()
            .flat_map(|polygon| view.ring(polygon.exterior()))
            .collect();
        let middle = site
            .outline
            .centroid()
            .map_or((rect.center().x, rect.center().y), |point| {
                (point.x(), point.y())
            });
        let (Some(thing), Some((x, y))) = (bounds(&corners), view.place(middle.0, middle.1)) else {
            continue;
        };
        let text = if numbered {
            key.push((index + 1, site.name.clone()));
            (index + 1).to_string()
        } else {
            chart::cut(&site.name, 140.0, SIZE)
        };
        wishes.push(wish(&text, shift(thing, x, y), true));
        texts.push((text, true));
    }
    for station in &ground.stations {
        if let Some((x, y)) = view.place(station.point.x(), station.point.y()) {
            let text = chart::cut(&station.id, 60.0, SIZE);
            wishes.push(wish(&text, Box2::around(x, y, 3.5, 3.5), false));
            texts.push((text, false));
        }
    }
    let places = labels::place(&wishes, taken, view.frame());
    for ((placed, wish), (text, site)) in places.iter().zip(&wishes).zip(&texts) {
        let (x, y) = placed.place.middle();
        if placed.led {
            let (from_x, from_y) = wish.thing.middle();
            svg.line(from_x, from_y, x, y, stroke(MUTED, 0.5));
        }
        let lettering = if *site {
            Lettering::new(INK, Anchor::Middle).bold()
        } else {
            Lettering::new(BARK, Anchor::Middle)
        };
        // On the site's own fill no ground is needed.
        let inside = *site && wish.thing.holds(&placed.place);
        if inside {
            svg.text(x, y + 2.6, text, lettering);
        } else {
            svg.on_paper(x, y + 2.6, text, lettering);
        }
    }
    key
}

fn wish(text: &str, thing: Box2, inside: bool) -> Wish {
    Wish {
        thing,
        // Two points of air, so that neighbours don't touch.
        width: fonts::width(text, SIZE, inside) + 3.0,
        height: SIZE + 2.0,
        inside,
    }
}

/// The same box about another middle: a site's label stands at its centre of mass.
fn shift(thing: Box2, x: f64, y: f64) -> Box2 {
    Box2::around(
        x,
        y,
        (thing.right - thing.left) / 2.0,
        (thing.bottom - thing.top) / 2.0,
    )
}

fn alternative(ground: &Ground, pulls: usize) -> String {
    let mut words = format!(
        "Map of {}, {} and the places of {}.",
        plural(ground.sites.len(), "site"),
        plural(ground.stations.len(), "photo station"),
        plural(pulls, "pull")
    );
    if !ground.sites.is_empty() {
        let names: Vec<String> = ground.sites.iter().map(|site| site.name.clone()).collect();
        words.push_str(&format!(" Sites: {}.", super::words::list(&names)));
    }
    let stations: Vec<String> = ground
        .stations
        .iter()
        .filter_map(|station| {
            let bearing = station.bearing?;
            Some(format!("{} looks towards {bearing:.0}°", station.id))
        })
        .collect();
    if !stations.is_empty() {
        words.push_str(&format!(" Stations: {}.", stations.join("; ")));
    }
    words
}
