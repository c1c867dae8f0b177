//! The invented chain of ponds: shoreline, sites, stations.
//!
//! Everything lies in the open Atlantic, some thousand kilometres from any shore, so that no real place is
//! meant. Drawn in metres around an origin; `degrees` turns metres into longitude and latitude.

use crate::outlines::{self, Point};
use crate::seed::Chance;

/// Degrees east and north of the frame's origin.
const ORIGIN: (f64, f64) = (-45.0, 38.5);
/// Metres in a degree of longitude and of latitude at 38.5 N on WGS 84.
const DEGREE: (f64, f64) = (87_233.0, 110_993.0);

pub fn degrees(point: Point) -> (f64, f64) {
    (ORIGIN.0 + point.0 / DEGREE.0, ORIGIN.1 + point.1 / DEGREE.1)
}

pub struct Site {
    pub id: &'static str,
    pub name: &'static str,
    pub waterbody: &'static str,
    pub sensitive: bool,
    /// Each with an outer ring and its holes.
    pub parts: Vec<(Vec<Point>, Vec<Vec<Point>>)>,
}

pub struct Station {
    pub id: &'static str,
    pub name: &'static str,
    pub site: &'static str,
    pub at: Point,
    pub bearing: u32,
}

/// Knots of the chain's shore, counterclockwise: the south shore eastward, then the north shore back.
#[rustfmt::skip]
const SHORE: [Point; 57] = [
    (-1080.0, 420.0), (-1010.0, 300.0), (-870.0, 232.0), (-720.0, 262.0), (-580.0, 205.0), (-485.0, 128.0),
    (-410.0, 98.0), (-330.0, 56.0), (-250.0, -16.0), (-130.0, -72.0), (20.0, -98.0), (170.0, -134.0),
    (300.0, -186.0), (385.0, -236.0), (440.0, -290.0), (500.0, -352.0), (545.0, -430.0), (590.0, -540.0),
    (690.0, -618.0), (820.0, -648.0), (950.0, -604.0), (1040.0, -500.0), (1062.0, -380.0), (1020.0, -296.0),
    (1058.0, -210.0), (1034.0, -120.0), (950.0, -78.0), (868.0, -112.0), (838.0, -196.0), (812.0, -262.0),
    (730.0, -286.0), (640.0, -262.0), (572.0, -272.0), (520.0, -262.0), (478.0, -212.0), (425.0, -140.0),
    (330.0, -72.0), (200.0, -18.0), (60.0, 32.0), (-80.0, 58.0), (-205.0, 86.0), (-290.0, 120.0),
    (-360.0, 158.0), (-410.0, 226.0), (-432.0, 330.0), (-490.0, 415.0), (-560.0, 452.0), (-552.0, 540.0),
    (-600.0, 622.0), (-700.0, 662.0), (-800.0, 634.0), (-846.0, 556.0), (-838.0, 478.0), (-900.0, 462.0),
    (-960.0, 512.0), (-1030.0, 520.0), (-1078.0, 482.0),
];
/// Points of the curve for each knot.
const STEPS: usize = 6;

/// The shore as a closed, slightly ragged curve.
pub fn shore() -> Vec<Point> {
    let mut chance = Chance::named("shore");
    outlines::smooth(&SHORE, STEPS)
        .into_iter()
        .enumerate()
        .map(|(index, (east, north))| {
            // Real shores wriggle: under three metres at every second point.
            let swing = if index % 2 == 0 { 0.0 } else { 2.6 };
            (
                east + f64::from(chance.between(-1.0, 1.0)) * swing,
                north + f64::from(chance.between(-1.0, 1.0)) * swing,
            )
        })
        .collect()
}

/// The island in Mill Cove.
pub fn island() -> Vec<Point> {
    let knots: Vec<Point> = (0..9)
        .map(|index| {
            let turn = f64::from(index) / 9.0 * std::f64::consts::TAU;
            let radius = [24.0, 27.0, 22.0, 20.0, 25.0, 29.0, 24.0, 19.0, 21.0][index as usize];
            (948.0 + radius * turn.cos(), -176.0 + radius * turn.sin())
        })
        .collect();
    outlines::smooth(&knots, 3)
}

fn stretch(shore: &[Point], from: usize, to: usize) -> Vec<Point> {
    shore[from * STEPS..=to * STEPS].to_vec()
}

pub fn sites() -> Vec<Site> {
    let shore = shore();
    // A bay ends where a line of buoys crosses its mouth: a gentle bow of three points outward.
    let bay = |from, to, bow: [Point; 3]| {
        let mut ring = stretch(&shore, from, to);
        ring.extend(bow);
        outlines::counterclockwise(ring)
    };
    // A reach is a strip along the bank, as wide as a crew works from it.
    let strip = |from, to, width| {
        let bank = stretch(&shore, from, to);
        let mut ring = bank.clone();
        ring.extend(
            outlines::shifted_left(&bank, width)
                .into_iter()
                .rev()
                .step_by(3),
        );
        outlines::counterclockwise(ring)
    };
    let mut narrows = stretch(&shore, 13, 15);
    narrows.extend(stretch(&shore, 32, 34));
    vec![
        Site {
            id: "heron-bay",
            name: "Heron Bay",
            waterbody: "Lantern Pond",
            sensitive: false,
            parts: vec![(
                bay(46, 52, [(-770.0, 446.0), (-700.0, 436.0), (-628.0, 438.0)]),
                vec![],
            )],
        },
        Site {
            id: "long-reach",
            name: "Long Reach",
            waterbody: "Wick Pond",
            sensitive: false,
            parts: vec![(strip(8, 11, 42.0), vec![]), (strip(37, 40, 40.0), vec![])],
        },
        Site {
            id: "mill-cove",
            name: "Mill Cove",
            waterbody: "Tallow Pond",
            sensitive: false,
            parts: vec![(
                bay(23, 29, [(868.0, -292.0), (920.0, -308.0), (975.0, -308.0)]),
                // A hole runs clockwise (RFC 7946, section 3.1.6).
                vec![island().into_iter().rev().collect()],
            )],
        },
        Site {
            id: "otter-narrows",
            name: "Otter Narrows",
            waterbody: "the channel between Wick Pond and Tallow Pond",
            sensitive: true,
            parts: vec![(outlines::counterclockwise(narrows), vec![])],
        },
    ]
}

impl Site {
    /// Metres to the outline, positive inside the water of the site.
    pub fn depth_inside(&self, point: Point) -> f64 {
        let inside = self.parts.iter().any(|(outer, holes)| {
            outlines::inside(outer, point)
                && !holes.iter().any(|hole| outlines::inside(hole, point))
        });
        let nearest = self
            .parts
            .iter()
            .flat_map(|(outer, holes)| std::iter::once(outer).chain(holes))
            .map(|ring| outlines::distance(ring, point))
            .fold(f64::INFINITY, f64::min);
        if inside { nearest } else { -nearest }
    }

    #[cfg(test)]
    pub fn square_metres(&self) -> f64 {
        self.parts
            .iter()
            .map(|(outer, holes)| {
                outlines::area(outer) + holes.iter().map(|hole| outlines::area(hole)).sum::<f64>()
            })
            .sum()
    }

    /// A point at least `margin` metres inside the first or the last part.
    pub fn somewhere(&self, chance: &mut Chance, margin: f64) -> Point {
        let part = chance.whole(0, self.parts.len() as u32 - 1) as usize;
        let ring = &self.parts[part].0;
        let edge = |pick: fn(f64, f64) -> f64, start: f64, value: fn(&Point) -> f64| {
            ring.iter().map(value).fold(start, pick)
        };
        let (west, east) = (edge(f64::min, 1e9, |p| p.0), edge(f64::max, -1e9, |p| p.0));
        let (south, north) = (edge(f64::min, 1e9, |p| p.1), edge(f64::max, -1e9, |p| p.1));
        // A narrow strip may have no point that deep: ask for less after many tries.
        let mut margin = margin;
        for attempt in 1.. {
            let point = (
                west + (east - west) * f64::from(chance.unit()),
                south + (north - south) * f64::from(chance.unit()),
            );
            if self.depth_inside(point) >= margin {
                return point;
            }
            if attempt % 400 == 0 {
                margin *= 0.8;
            }
        }
        outlines::centre(ring)
    }
}

/// Stations: (id, name, site, knot of the shore, metres out over the water, bearing).
const STATIONS: [(&str, &str, &str, usize, f64, u32); 6] = [
    ("HB1", "End of the boat dock", "heron-bay", 49, 9.0, 195),
    (
        "HB2",
        "Flat rock by the leaning birch",
        "heron-bay",
        51,
        8.0,
        110,
    ),
    ("LR1", "Third fence post", "long-reach", 10, 7.0, 20),
    ("LR2", "Blue mooring ring", "long-reach", 39, 7.0, 215),
    ("MC1", "Old sluice wall", "mill-cove", 25, 8.0, 235),
    (
        "ON1",
        "Iron stake on the west bank",
        "otter-narrows",
        14,
        7.0,
        40,
    ),
];

pub fn stations() -> Vec<Station> {
    let shore = shore();
    STATIONS
        .iter()
        .map(|&(id, name, site, knot, out, bearing)| {
            let index = knot * STEPS;
            // The shore runs counterclockwise, so the water lies to its left.
            let line = &shore[index - 2..=index + 2];
            Station {
                id,
                name,
                site,
                at: outlines::shifted_left(line, out)[2],
                bearing,
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stations_stand_in_their_sites() {
        let sites = sites();
        for station in stations() {
            let site = sites.iter().find(|site| site.id == station.site).unwrap();
            assert!(site.depth_inside(station.at) > 3.0, "{}", station.id);
        }
    }

    #[test]
    fn sites_are_as_large_as_the_log_says() {
        const ACRE: f64 = 4_046.856;
        let acres: Vec<f64> = sites()
            .iter()
            .map(|site| site.square_metres() / ACRE)
            .collect();
        for (acres, (low, high)) in
            acres
                .iter()
                .zip([(11.0, 15.0), (7.5, 11.0), (8.0, 12.0), (1.5, 3.0)])
        {
            assert!((low..high).contains(acres), "{acres}");
        }
    }

    #[test]
    fn outlines_run_as_the_standard_asks() {
        for site in sites() {
            for (outer, holes) in &site.parts {
                assert!(outlines::area(outer) > 0.0, "{}", site.id);
                assert!(
                    holes.iter().all(|hole| outlines::area(hole) < 0.0),
                    "{}",
                    site.id
                );
            }
        }
    }
}
