//! Where everything of a map comes to lie: shapes in page points, before anything is drawn.
//!
//! Takes the season's ground, the places of pulls and boats' tracks in degrees; gives shapes. Draws nothing and names nothing, so that the
//! printed map and the page's lie on one projection.

use super::PullMark;
use super::labels::{self, Box2, Wish};
use super::projection::Projection;
use super::view::{View, bounds};
use crate::report::chart::WIDTH;
use crate::season::Ground;

const HIGHEST: f64 = 400.0;
/// One or two sites need no page of their own.
const HIGHEST_OF_FEW: f64 = 260.0;
/// Pulls farther from all sites and stations than the ground is wide are off the map: a wrong fix must not shrink it.
const FARTHEST: f64 = 1.0;
/// A site that would be smaller on the page, in points, is a ring.
const SMALLEST: f64 = 5.0;
/// Points of a track that lie closer on the page add nothing to see.
const STEP: f64 = 0.7;
/// Points of all tracks drawn at most: a season of loggers that never slept stays a small drawing.
const MOST_POINTS: usize = 20_000;

/// A closed ring or an open line, in page points.
pub type Line = Vec<(f64, f64)>;

/// All shapes of a map, [`WIDTH`] points wide.
pub struct Places {
    pub view: View,
    pub height: f64,
    /// Closed shorelines: water, and islands in it, by the even-odd rule.
    pub water: Vec<Line>,
    pub shores: Vec<Line>,
    /// In the order of the ground's sites.
    pub sites: Vec<SitePlace>,
    pub tracks: Vec<Line>,
    /// Whether a track comes onto the map.
    pub tracked: bool,
    pub pulls: Vec<PullPlace>,
    pub stations: Vec<StationPlace>,
    /// Pulls so far away that they are not on the map.
    pub off_the_map: usize,
}

pub struct SitePlace {
    pub rings: Vec<Line>,
    /// Too small on the page to show its outline.
    pub small: bool,
}

pub struct PullPlace {
    /// Which of the pulls that were handed in.
    pub index: usize,
    pub x: f64,
    pub y: f64,
}

pub struct StationPlace {
    /// Which of the ground's stations.
    pub index: usize,
    pub x: f64,
    pub y: f64,
    /// What it looks at, where its bearing is known.
    pub wedge: Option<Line>,
}

/// Finds all places; `None` where nothing has a position.
pub fn find(ground: &Ground, pulls: &[PullMark], tracks: &[Vec<(f64, f64)>]) -> Option<Places> {
    let fixed = fixed_points(ground);
    let marks: Vec<(f64, f64)> = pulls
        .iter()
        .map(|pull| (pull.longitude, pull.latitude))
        .collect();
    let projection = Projection::amid(if fixed.is_empty() { &marks } else { &fixed })?;
    let project = |point: &(f64, f64)| projection.project(point.0, point.1);
    let marks: Vec<(usize, (f64, f64))> = marks
        .iter()
        .enumerate()
        .filter_map(|(index, mark)| Some((index, project(mark)?)))
        .collect();
    let positions =
        |marks: &[(usize, (f64, f64))]| marks.iter().map(|(_, at)| *at).collect::<Vec<_>>();
    let fixed: Vec<(f64, f64)> = fixed.iter().filter_map(project).collect();
    let home = if fixed.is_empty() {
        bounds(&positions(&marks))?
    } else {
        bounds(&fixed)?
    };
    let reach = FARTHEST
        * (home.right - home.left)
            .max(home.bottom - home.top)
            .max(200.0);
    let near: Vec<(usize, (f64, f64))> = marks
        .into_iter()
        .filter(|(_, (x, y))| {
            (home.left - reach..=home.right + reach).contains(x)
                && (home.top - reach..=home.bottom + reach).contains(y)
        })
        .collect();
    let extent = bounds(&[fixed, positions(&near)].concat())?;
    let highest = if ground.sites.len() <= 2 {
        HIGHEST_OF_FEW
    } else {
        HIGHEST
    };
    let view = View::new(extent, projection, highest);
    let (water, shores) = shorelines(ground, &view);
    let (tracks, tracked) = thinned(tracks, &view);
    Some(Places {
        height: view.height,
        water,
        shores,
        sites: sites(ground, &view),
        tracks,
        tracked,
        off_the_map: pulls.len() - near.len(),
        pulls: near
            .into_iter()
            .map(|(index, mark)| {
                let (x, y) = view.on_page(mark);
                PullPlace { index, x, y }
            })
            .collect(),
        stations: stations(ground, &view),
        view,
    })
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

fn sites(ground: &Ground, view: &View) -> Vec<SitePlace> {
    ground
        .sites
        .iter()
        .map(|site| {
            let rings: Vec<Line> = site
                .outline
                .iter()
                .flat_map(|polygon| std::iter::once(polygon.exterior()).chain(polygon.interiors()))
                .map(|ring| view.ring(ring))
                .collect();
            let size = bounds(&rings.concat()).map_or(0.0, |site| {
                (site.right - site.left).max(site.bottom - site.top)
            });
            SitePlace {
                rings,
                small: size < SMALLEST,
            }
        })
        .collect()
}

/// Where boats went, and whether any of it comes onto the map.
fn thinned(tracks: &[Vec<(f64, f64)>], view: &View) -> (Vec<Line>, bool) {
    let mut room = MOST_POINTS;
    let mut seen = false;
    let mut lines = Vec::new();
    for track in tracks {
        let mut line: Line = Vec::new();
        for (x, y) in track
            .iter()
            .filter_map(|(longitude, latitude)| view.place(*longitude, *latitude))
        {
            let far = line
                .last()
                .is_none_or(|(at_x, at_y): &(f64, f64)| (x - at_x).hypot(y - at_y) >= STEP);
            if far && room > 0 {
                room -= 1;
                seen |= (0.0..=WIDTH).contains(&x) && (0.0..=view.height).contains(&y);
                line.push((x, y));
            }
        }
        lines.push(line);
    }
    (lines, seen)
}

/// Closed shorelines and open ones.
fn shorelines(ground: &Ground, view: &View) -> (Vec<Line>, Vec<Line>) {
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
    (water, open)
}

fn stations(ground: &Ground, view: &View) -> Vec<StationPlace> {
    ground
        .stations
        .iter()
        .enumerate()
        .filter_map(|(index, station)| {
            let (x, y) = view.place(station.point.x(), station.point.y())?;
            let wedge = station.bearing.map(|bearing| wedge(x, y, bearing));
            Some(StationPlace { index, x, y, wedge })
        })
        .collect()
}

/// The way a station looks: a wedge from its place.
fn wedge(x: f64, y: f64, bearing: f64) -> Line {
    // Half of the view of a phone's main camera held upright, about 50 degrees: common practice, no source.
    const HALF: f64 = 25.0;
    const LONG: f64 = 15.0;
    let tip = |degrees: f64| {
        let (east, north) = degrees.to_radians().sin_cos();
        (x + LONG * east, y - LONG * north)
    };
    vec![
        (x, y),
        tip(bearing - HALF),
        tip(bearing),
        tip(bearing + HALF),
    ]
}

impl StationPlace {
    /// The boxes that labels have to leave free.
    pub fn room(&self) -> Vec<Box2> {
        let mut room = vec![Box2::around(self.x, self.y, 3.5, 3.5)];
        if let Some((x, y)) = self.wedge.as_ref().and_then(|wedge| wedge.get(2)) {
            room.push(Box2::around(
                f64::midpoint(self.x, *x),
                f64::midpoint(self.y, *y),
                5.5,
                5.5,
            ));
        }
        room
    }
}

/// A round mark of a site: where it stands, and where its line leads from if it had to make way.
pub struct Mark {
    pub x: f64,
    pub y: f64,
    pub led_from: Option<(f64, f64)>,
}

impl Places {
    /// A place for a mark of a radius in points at each site, clear of stations and of each other; `None` for a site without an outline.
    pub fn marks(&self, radius: f64) -> Vec<Option<Mark>> {
        let taken: Vec<Box2> = self
            .stations
            .iter()
            .flat_map(StationPlace::room)
            .chain(
                self.pulls
                    .iter()
                    .map(|pull| Box2::around(pull.x, pull.y, 2.2, 2.2)),
            )
            .collect();
        let things: Vec<Option<Box2>> = self
            .sites
            .iter()
            .map(|site| bounds(&site.rings.concat()))
            .collect();
        let wishes: Vec<Wish> = things
            .iter()
            .flatten()
            .map(|thing| Wish {
                thing: *thing,
                width: 2.0 * radius + 1.0,
                height: 2.0 * radius + 1.0,
                inside: true,
            })
            .collect();
        let mut placed = labels::place(&wishes, &taken, self.view.frame()).into_iter();
        things
            .into_iter()
            .map(|thing| {
                let thing = thing?;
                let placed = placed.next()?;
                let (x, y) = placed.place.middle();
                Some(Mark {
                    x,
                    y,
                    led_from: placed.led.then(|| thing.middle()),
                })
            })
            .collect()
    }
}
