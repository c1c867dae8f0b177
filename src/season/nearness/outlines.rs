//! The nearest of many outlines, of which only those are measured that may be it.

use geo::{MultiPolygon, Point};

use super::{Nearness, RADIUS_M, flat, metres_a_degree, nearness, rings, short_way};

/// Outlines in degrees, each with its bounds.
pub struct Outlines<'a>(Vec<(&'a MultiPolygon<f64>, Bounds)>);

impl<'a> Outlines<'a> {
    pub fn of(outlines: impl Iterator<Item = &'a MultiPolygon<f64>>) -> Self {
        Self(
            outlines
                .map(|outline| (outline, Bounds::of(outline)))
                .collect(),
        )
    }

    /// The number of the nearest outline and where the point lies to it; of two that are as near, the first.
    pub fn nearest(&self, point: Point<f64>) -> Option<(usize, Nearness)> {
        let mut at_least: Vec<(f64, usize)> = self
            .0
            .iter()
            .enumerate()
            .map(|(index, (_, bounds))| (bounds.at_least_m(point), index))
            .collect();
        at_least.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut best: Option<(usize, Nearness)> = None;
        for (bound, index) in at_least {
            let so_far = best.map_or(f64::INFINITY, |(_, near)| near.outside_m());
            if bound > so_far {
                break;
            }
            let Some((outline, _)) = self.0.get(index) else {
                continue;
            };
            let near = nearness(outline, point);
            let metres = near.outside_m();
            if best.is_none_or(|(other, _)| metres < so_far || metres == so_far && index < other) {
                best = Some((index, near));
            }
        }
        best
    }
}

/// Which latitudes and longitudes an outline takes up: enough to tell that a point is far from it, without a look at its edges.
#[derive(Debug, Clone, Copy)]
struct Bounds {
    south: f64,
    north: f64,
    /// The longitude in the middle, and how far the outline reaches to either side of it, in degrees.
    middle: f64,
    aside: f64,
    /// How far edges may swing out of these latitudes, in metres; infinite where that is not known.
    swing_m: f64,
}

/// Edges longer than this are not bounded: the height of their arc is known for short ones.
const LONGEST_BOUNDED_M: f64 = 100_000.0;

/// The smallest of the ellipsoid's radii of curvature is half a per cent below its mean radius, and the largest half a per cent above.
const SURELY: f64 = 0.98;

impl Bounds {
    /// Of an outline in degrees.
    fn of(outline: &MultiPolygon<f64>) -> Self {
        let mut bounds = Self {
            south: f64::INFINITY,
            north: f64::NEG_INFINITY,
            middle: 0.0,
            aside: 180.0,
            swing_m: 0.0,
        };
        let all = || outline.iter().flat_map(rings);
        let Some(first) = all().find_map(|ring| ring.0.first().copied()) else {
            return bounds;
        };
        let (mut west, mut east) = (0.0_f64, 0.0_f64);
        let mut longest = 0.0_f64;
        for ring in all() {
            for corner in &ring.0 {
                bounds.south = bounds.south.min(corner.y);
                bounds.north = bounds.north.max(corner.y);
            }
            let (across, along) = metres_a_degree(0.0);
            for ends in flat(ring, Point::from(first), 1.0, 1.0).windows(2) {
                let &[a, b] = ends else { continue };
                west = west.min(a.x).min(b.x);
                east = east.max(a.x).max(b.x);
                longest = longest.max(((b.x - a.x) * across).hypot((b.y - a.y) * along * 1.02));
            }
        }
        bounds.middle = first.x + (west + east) / 2.0;
        bounds.aside = (east - west) / 2.0;
        let slant = bounds
            .south
            .abs()
            .max(bounds.north.abs())
            .to_radians()
            .tan();
        bounds.swing_m = if longest <= LONGEST_BOUNDED_M && slant < 50.0 {
            0.01 + 1.1 * slant * longest.powi(2) / (8.0 * RADIUS_M)
        } else {
            f64::INFINITY
        };
        bounds
    }

    /// Metres that the outline is away from a point at the least; 0 where that is not known, infinite where it has no corner.
    fn at_least_m(&self, point: Point<f64>) -> f64 {
        if self.south > self.north {
            return f64::INFINITY;
        }
        let latitude = (self.south - point.y())
            .max(point.y() - self.north)
            .max(0.0);
        let beside = (short_way(point.x() - self.middle).abs() - self.aside).clamp(0.0, 90.0);
        // A meridian is nearest where a great circle meets it squarely.
        let longitude = (point.y().to_radians().cos() * beside.to_radians().sin()).asin();
        let metres = RADIUS_M * SURELY * longitude.max(latitude.to_radians());
        (metres - self.swing_m).max(0.0)
    }
}

#[cfg(test)]
mod tests {
    use super::super::distance_to;
    use super::super::tests::outline;
    use super::*;

    /// A ring of these corners beside a place, west and south of it.
    fn beside((west, south): (f64, f64), corners: &[(f64, f64)]) -> MultiPolygon<f64> {
        let corner = |(east, north): &(f64, f64)| (short_way(west + east), south + north);
        outline(&corners.iter().map(corner).collect::<Vec<_>>())
    }

    proptest::proptest! {
        /// What is not measured must be farther than what bounds it.
        #[test]
        fn bounds_are_never_farther_than_the_outline(
            (west, south) in (-180.0..180.0_f64, -85.0..85.0_f64),
            corners in proptest::collection::vec((0.0..0.3_f64, 0.0..0.3_f64), 3..8),
            (aside, up) in (-1.0..1.0_f64, -1.0..1.0_f64),
            reach in proptest::sample::select(vec![0.01, 0.5, 20.0, 180.0]),
        ) {
            let outline = beside((west, south), &corners);
            let latitude = (south + up * reach).clamp(-90.0, 90.0);
            let point = Point::new(short_way(west + aside * reach), latitude);
            let (bound, metres) = (Bounds::of(&outline).at_least_m(point), distance_to(&outline, point));
            proptest::prop_assert!(bound <= metres, "{bound} > {metres}");
        }

        /// The same one is found as when all are measured, the first of those that are as near.
        #[test]
        fn the_nearest_is_the_nearest_of_all(
            (west, south) in (-180.0..180.0_f64, -80.0..80.0_f64),
            shapes in proptest::collection::vec(
                ((0_u8..6, 0_u8..6), proptest::collection::vec((0.0..0.2_f64, 0.0..0.2_f64), 3..6)),
                1..12,
            ),
            (aside, up) in (-0.2..1.5_f64, -0.2..1.5_f64),
        ) {
            let mut outlines: Vec<MultiPolygon<f64>> = shapes
                .iter()
                .map(|((east, north), corners)| {
                    let place = (west + f64::from(*east) / 5.0, south + f64::from(*north) / 5.0);
                    beside(place, corners)
                })
                .collect();
            outlines.extend(outlines.first().cloned());
            let point = Point::new(short_way(west + aside), south + up);
            let all = outlines.iter().map(|outline| nearness(outline, point)).enumerate();
            let wanted = all.min_by(|a, b| a.1.outside_m().total_cmp(&b.1.outside_m()));
            proptest::prop_assert_eq!(Outlines::of(outlines.iter()).nearest(point), wanted);
        }
    }

    #[test]
    fn bounds_are_near_what_they_bound() {
        let ring = outline(&[
            (-45.01, 38.5),
            (-45.0, 38.5),
            (-45.0, 38.51),
            (-45.01, 38.51),
        ]);
        for (longitude, latitude) in [
            (-45.005, 38.6),
            (-45.005, 38.4),
            (-44.9, 38.505),
            (-45.2, 38.505),
        ] {
            let point = Point::new(longitude, latitude);
            let (bound, metres) = (
                Bounds::of(&ring).at_least_m(point),
                distance_to(&ring, point),
            );
            assert!(bound > 0.95 * metres, "{bound} of {metres}");
        }
        let none = MultiPolygon::new(Vec::new());
        assert_eq!(
            Bounds::of(&none).at_least_m(Point::new(0.0, 0.0)),
            f64::INFINITY
        );
    }
}
