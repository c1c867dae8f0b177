//! A point against an outline on the ellipsoid: inside or not, and how far from the edge.
//!
//! Takes outlines and points in degrees (WGS 84), gives metres. The edges of an outline are geodesics, as they are for its area;
//! at the size of a site they differ from straight lines on a map by millimetres. Holes, several polygons, and outlines that cross
//! the antimeridian or are cut along it count as RFC 7946 means them. Must not know of photos or tracks.
//!
//! A plane around the point sorts out the edges that may be nearest. Those are then seen in the gnomonic projection of the ellipsoid
//! with the point in the middle, in which geodesics are straight for all that matters here (Karney 2013, Algorithms for geodesics,
//! Journal of Geodesy 87, section 8).

mod outlines;

use std::sync::LazyLock;

use geo::{Coord, LineString, MultiPolygon, Point, Polygon};
use geographiclib_rs::{DirectGeodesic, Geodesic, InverseGeodesic};
use serde::Serialize;

pub use outlines::Outlines;

static EARTH: LazyLock<Geodesic> = LazyLock::new(Geodesic::wgs84);

/// A mean radius of the earth in metres: for bounds and first guesses only.
const RADIUS_M: f64 = 6_371_000.0;

/// Nearer than this to an edge, a point counts as inside: corners that two outlines share belong to both.
const ON_THE_EDGE_M: f64 = 1e-4;

/// Where a point lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Nearness {
    pub inside: bool,
    /// Metres to the nearest edge, from within or without; infinite where there is no edge.
    pub edge_m: f64,
}

/// A point's standing to an outline when it may be off by so much.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Standing {
    /// Inside, farther from the edge than its error.
    Inside,
    /// The edge is within its error: it may lie on either side.
    AtTheEdge,
    /// Outside by more than its error.
    Outside,
}

impl Nearness {
    /// Metres from the outline; 0 within.
    pub fn outside_m(self) -> f64 {
        if self.inside { 0.0 } else { self.edge_m }
    }

    pub fn standing(self, error_m: f64) -> Standing {
        if self.edge_m <= error_m {
            Standing::AtTheEdge
        } else if self.inside {
            Standing::Inside
        } else {
            Standing::Outside
        }
    }
}

/// Metres from a point to an outline; 0 within.
pub fn distance_to(outline: &MultiPolygon<f64>, point: Point<f64>) -> f64 {
    nearness(outline, point).outside_m()
}

/// An edge of an outline: in the plane around the point, in metres, and in degrees.
struct Edge {
    plane: [Coord<f64>; 2],
    degrees: [Coord<f64>; 2],
    polygon: usize,
    /// Is it a cut along the antimeridian, with the rest of the site on its other side?
    is_cut: bool,
}

/// Where the point lies.
pub fn nearness(outline: &MultiPolygon<f64>, point: Point<f64>) -> Nearness {
    let edges = edges(outline, point);
    let nearest = edges
        .iter()
        .filter(|edge| !edge.is_cut)
        .map(|edge| from_origin(edge.plane))
        .fold(f64::INFINITY, f64::min);
    if nearest.is_infinite() {
        return Nearness {
            inside: false,
            edge_m: nearest,
        };
    }
    let slant = point.y().to_radians().tan().abs();
    // How far a geodesic swings out from a straight line of the map: a circle's height over its chord.
    let swing = edges
        .iter()
        .map(|edge| slant * length(edge.plane).powi(2) / (8.0 * RADIUS_M))
        .fold(0.01, f64::max);
    // The plane stretches with distance: a hundred kilometres by a few per cent, except near the poles.
    let reach = nearest * (1.05 + 10.0 * nearest * (1.0 + slant) / RADIUS_M) + swing;
    let edge_m = edges
        .iter()
        .filter(|edge| !edge.is_cut && from_origin(edge.plane) <= reach)
        .map(|edge| on_the_ellipsoid(point, edge.degrees))
        .fold(f64::INFINITY, f64::min);
    let inside = if edge_m <= ON_THE_EDGE_M {
        true
    } else if nearest <= swing {
        // So near to an edge the side is told by the geodesics themselves.
        let straight: Option<Vec<(usize, [Coord<f64>; 2])>> = edges
            .iter()
            .map(|edge| {
                let [a, b] = edge.degrees;
                Some((edge.polygon, [gnomonic(point, a)?, gnomonic(point, b)?]))
            })
            .collect();
        match straight {
            Some(straight) => holds_origin(straight.into_iter()),
            None => holds_origin(edges.iter().map(|edge| (edge.polygon, edge.plane))),
        }
    } else {
        holds_origin(edges.iter().map(|edge| (edge.polygon, edge.plane)))
    };
    Nearness { inside, edge_m }
}

fn edges(outline: &MultiPolygon<f64>, point: Point<f64>) -> Vec<Edge> {
    let (east, north) = metres_a_degree(point.y());
    let on_meridian = |degrees: f64| {
        outline.iter().flat_map(rings).any(|ring| {
            ring.lines()
                .any(|line| line.start.x == degrees && line.end.x == degrees)
        })
    };
    let is_cut_in_two = on_meridian(180.0) && on_meridian(-180.0);
    let mut edges = Vec::new();
    for (polygon, shape) in outline.iter().enumerate() {
        for ring in rings(shape) {
            let plane = flat(ring, point, east, north);
            for (line, ends) in ring.lines().zip(plane.windows(2)) {
                let &[a, b] = ends else { continue };
                let along = |degrees: f64| line.start.x == degrees && line.end.x == degrees;
                edges.push(Edge {
                    plane: [a, b],
                    degrees: [line.start, line.end],
                    polygon,
                    is_cut: is_cut_in_two && (along(180.0) || along(-180.0)),
                });
            }
        }
    }
    edges
}

/// The outer ring of a polygon and its holes.
fn rings(polygon: &Polygon<f64>) -> impl Iterator<Item = &LineString<f64>> {
    std::iter::once(polygon.exterior()).chain(polygon.interiors())
}

/// A ring in metres east and north of the point. Each corner is taken the short way round from the one before, so that a ring
/// across the antimeridian stays in one piece.
fn flat(ring: &LineString<f64>, point: Point<f64>, east: f64, north: f64) -> Vec<Coord<f64>> {
    let mut before = point.x();
    let mut turned = 0.0;
    ring.0
        .iter()
        .map(|corner| {
            turned += short_way(corner.x - before);
            before = corner.x;
            Coord {
                x: turned * east,
                y: (corner.y - point.y()) * north,
            }
        })
        .collect()
}

/// Are two points farther apart than so many metres, as the plane around the one tells at once? `false` where it can't tell.
pub fn surely_farther(point: Point<f64>, other: Point<f64>, metres: f64) -> bool {
    // Longitudes tell nothing at a pole, and the plane is good to a few per cent only near the point.
    const FARTHEST_LATITUDE: f64 = 89.0;
    let (east, north) = metres_a_degree(point.y());
    let across = short_way(other.x() - point.x()) * east;
    let along = (other.y() - point.y()) * north;
    point.y().abs() < FARTHEST_LATITUDE && across.hypot(along) > 2.0 * metres + 100.0
}

/// A difference of longitudes, −180 to below 180 degrees.
fn short_way(degrees: f64) -> f64 {
    (degrees + 540.0).rem_euclid(360.0) - 180.0
}

/// Metres of a degree of longitude and of latitude, by the ellipsoid's two radii of curvature (Snyder 1987, Map projections: a
/// working manual, equations 4-18 to 4-21; from memory).
fn metres_a_degree(latitude: f64) -> (f64, f64) {
    let (a, f) = (EARTH.equatorial_radius(), EARTH.flattening());
    let squared = f * (2.0 - f);
    let (sine, cosine) = latitude.to_radians().sin_cos();
    let under = 1.0 - squared * sine * sine;
    let across = a / under.sqrt();
    let along = a * (1.0 - squared) / under.powf(1.5);
    // At a pole all longitudes are one; a little is left so that nothing is divided by zero.
    let cosine = cosine.max(1e-9);
    ((across * cosine).to_radians(), along.to_radians())
}

/// Is the origin in one of the polygons? An even number of edges to its right means outside a ring, so that holes are outside.
fn holds_origin(edges: impl Iterator<Item = (usize, [Coord<f64>; 2])>) -> bool {
    let mut odd = std::collections::BTreeSet::new();
    for (polygon, [a, b]) in edges {
        if (a.y > 0.0) != (b.y > 0.0) {
            let crossing = a.x - a.y * (b.x - a.x) / (b.y - a.y);
            if crossing > 0.0 && !odd.remove(&polygon) {
                odd.insert(polygon);
            }
        }
    }
    !odd.is_empty()
}

fn length([a, b]: [Coord<f64>; 2]) -> f64 {
    (b.x - a.x).hypot(b.y - a.y)
}

/// The point of a straight line that is nearest to the origin.
fn foot([a, b]: [Coord<f64>; 2]) -> Coord<f64> {
    let (x, y) = (b.x - a.x, b.y - a.y);
    let squared = x * x + y * y;
    let part = if squared > 0.0 {
        (-(a.x * x + a.y * y) / squared).clamp(0.0, 1.0)
    } else {
        0.0
    };
    Coord {
        x: a.x + part * x,
        y: a.y + part * y,
    }
}

fn from_origin(line: [Coord<f64>; 2]) -> f64 {
    let foot = foot(line);
    foot.x.hypot(foot.y)
}

/// Metres from a point to a geodesic between two others.
fn on_the_ellipsoid(point: Point<f64>, [a, b]: [Coord<f64>; 2]) -> f64 {
    let ends = || {
        let to = |end: Coord<f64>| -> f64 { EARTH.inverse(point.y(), point.x(), end.y, end.x) };
        to(a).min(to(b))
    };
    match (gnomonic(point, a), gnomonic(point, b)) {
        (Some(a), Some(b)) => {
            let foot = foot([a, b]);
            metres_of(point, foot.x.atan2(foot.y), foot.x.hypot(foot.y))
        }
        // A quarter of the earth away.
        _ => ends(),
    }
}

/// A place in the gnomonic projection around a point; `None` from a quarter of the earth on.
fn gnomonic(point: Point<f64>, place: Coord<f64>) -> Option<Coord<f64>> {
    let (_metres, azimuth, _, reduced, scale, _, _): (f64, f64, f64, f64, f64, f64, f64) =
        EARTH.inverse(point.y(), point.x(), place.y, place.x);
    (scale > 0.0).then(|| {
        let (sine, cosine) = azimuth.to_radians().sin_cos();
        let away = reduced / scale;
        Coord {
            x: away * sine,
            y: away * cosine,
        }
    })
}

/// Metres along a geodesic to where the projection puts it so far away, by Newton's method: the projection stretches by one over
/// the square of the geodesic's scale.
fn metres_of(point: Point<f64>, azimuth: f64, away: f64) -> f64 {
    let mut metres = RADIUS_M * (away / RADIUS_M).atan();
    // Three steps from a guess that is good to a per cent leave nothing; a fourth is for long ways.
    for _ in 0..4 {
        let (_, _, _, reduced, scale, _, _, _): (f64, f64, f64, f64, f64, f64, f64, f64) =
            EARTH.direct(point.y(), point.x(), azimuth.to_degrees(), metres);
        let step = (reduced / scale - away) * scale * scale;
        if !step.is_finite() {
            break;
        }
        metres -= step;
    }
    metres
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::polygon;

    pub(super) fn outline(ring: &[(f64, f64)]) -> MultiPolygon<f64> {
        MultiPolygon::new(vec![geo::Polygon::new(
            LineString::from(ring.to_vec()),
            Vec::new(),
        )])
    }

    #[test]
    fn distance_is_zero_within_and_holes_are_without() {
        let ring = MultiPolygon::new(vec![polygon!(
            exterior: [(x: -45.01, y: 38.5), (x: -45.0, y: 38.5), (x: -45.0, y: 38.51), (x: -45.01, y: 38.51)],
            interiors: [[(x: -45.006, y: 38.504), (x: -45.004, y: 38.504), (x: -45.004, y: 38.506), (x: -45.006, y: 38.506)]],
        )]);
        assert_eq!(distance_to(&ring, Point::new(-45.009, 38.501)), 0.0);
        // The hole is 0.002 degrees of longitude wide: 174.5 m (WGS 84 series, from memory).
        let hole = distance_to(&ring, Point::new(-45.005, 38.505));
        assert!((hole - 87.2).abs() < 0.2, "{hole}");
        // 0.001 degree of latitude at 38.5 degrees north is 111.0 m (WGS 84 series, from memory).
        let north = distance_to(&ring, Point::new(-45.005, 38.511));
        assert!((north - 111.0).abs() < 0.1, "{north}");
    }

    #[test]
    fn the_edge_is_told_from_within_too() {
        let ring = outline(&[
            (-45.01, 38.5),
            (-45.0, 38.5),
            (-45.0, 38.51),
            (-45.01, 38.51),
        ]);
        let within = nearness(&ring, Point::new(-45.005, 38.509));
        assert!(within.inside && (within.edge_m - 111.0).abs() < 0.1);
        assert_eq!(within.standing(100.0), Standing::Inside);
        assert_eq!(within.standing(112.0), Standing::AtTheEdge);
        let without = nearness(&ring, Point::new(-45.005, 38.511));
        assert_eq!(without.standing(100.0), Standing::Outside);
        assert_eq!(without.standing(112.0), Standing::AtTheEdge);
    }

    #[test]
    fn an_outline_across_the_antimeridian_is_one_piece() {
        let one = outline(&[
            (179.99, 10.0),
            (-179.99, 10.0),
            (-179.99, 10.01),
            (179.99, 10.01),
        ]);
        let half = |west: f64, east: f64| {
            geo::Polygon::new(
                LineString::from(vec![
                    (west, 10.0),
                    (east, 10.0),
                    (east, 10.01),
                    (west, 10.01),
                ]),
                Vec::new(),
            )
        };
        // RFC 7946, section 3.1.9, asks for it to be cut there.
        let cut = MultiPolygon::new(vec![half(179.99, 180.0), half(-180.0, -179.99)]);
        for ring in [&one, &cut] {
            for longitude in [180.0, -180.0, 179.999, -179.999] {
                let middle = nearness(ring, Point::new(longitude, 10.005));
                assert!(middle.inside, "{longitude}");
                // Five thousandths of a degree of latitude to the north or south: no cut is nearer.
                assert!((middle.edge_m - 553.0).abs() < 0.5, "{}", middle.edge_m);
            }
            let beside = distance_to(ring, Point::new(-179.98, 10.005));
            assert!((beside - 1096.5).abs() < 1.0, "{beside}");
        }
    }

    #[test]
    fn a_geodesic_swings_out_from_the_maps_line() {
        // An edge of a degree along 60 degrees north: the geodesic runs 105 m farther north in its middle (a chord's height,
        // L² tan φ ÷ 8 R with L = 55.8 km).
        let ring = outline(&[(10.0, 59.0), (11.0, 59.0), (11.0, 60.0), (10.0, 60.0)]);
        let within = nearness(&ring, Point::new(10.5, 60.0005));
        assert!(within.inside, "{}", within.edge_m);
        assert!((within.edge_m - 50.0).abs() < 3.0, "{}", within.edge_m);
        assert!(!nearness(&ring, Point::new(10.5, 60.0012)).inside);
    }

    #[test]
    fn shapes_of_nothing_are_infinitely_far() {
        let none = MultiPolygon::new(Vec::new());
        assert_eq!(distance_to(&none, Point::new(0.0, 0.0)), f64::INFINITY);
        let spot = outline(&[(5.0, 5.0), (5.0, 5.0), (5.0, 5.0)]);
        let far = distance_to(&spot, Point::new(5.0, 6.0));
        assert!((far - 110_600.0).abs() < 100.0, "{far}");
        // The other side of the earth, and a pole.
        assert!(distance_to(&spot, Point::new(-175.0, -5.0)) > 2.0e7);
        assert!(distance_to(&spot, Point::new(0.0, 90.0)).is_finite());
    }

    proptest::proptest! {
        #[test]
        fn what_is_surely_farther_is_farther(
            (x, y) in (-180.0..180.0_f64, -90.0..90.0_f64),
            (aside, up) in (-1.0..1.0_f64, -1.0..1.0_f64),
            reach in proptest::sample::select(vec![0.0005, 0.01, 1.0, 180.0]),
            metres in 1.0..5_000.0_f64,
        ) {
            use geo::Distance;
            let here = Point::new(x, y);
            let there = Point::new(short_way(x + aside * reach), (y + up * reach).clamp(-90.0, 90.0));
            let apart = geo::Geodesic.distance(here, there);
            if surely_farther(here, there, metres) {
                proptest::prop_assert!(apart > metres, "{apart}");
            } else if y.abs() < 80.0 && apart > 1.1 * (2.0 * metres + 100.0) {
                proptest::prop_assert!(apart > 20_000.0, "{apart} could have been told from {metres}");
            }
        }
    }

    #[test]
    fn corners_belong_to_the_outline() {
        let ring = outline(&[(0.0, 0.0), (0.01, 0.0), (0.01, 0.01), (0.0, 0.01)]);
        for corner in [
            (0.0, 0.0),
            (0.01, 0.0),
            (0.01, 0.01),
            (0.0, 0.01),
            (0.005, 0.0),
        ] {
            assert!(nearness(&ring, Point::from(corner)).inside, "{corner:?}");
        }
    }
}
