//! Plane geometry on outlines in metres: smooth closed curves, inside or not, distances, areas.
//!
//! Takes and gives points as (east, north). Must not know a place by name.

pub type Point = (f64, f64);

/// A closed Catmull-Rom curve through `knots`, with `steps` points a knot; the first point is not repeated.
pub fn smooth(knots: &[Point], steps: usize) -> Vec<Point> {
    let count = knots.len();
    let at = |index: usize| knots[index % count];
    let mut out = Vec::with_capacity(count * steps);
    for index in 0..count {
        let (a, b, c, d) = (
            at(index + count - 1),
            at(index),
            at(index + 1),
            at(index + 2),
        );
        for step in 0..steps {
            let t = step as f64 / steps as f64;
            let blend = |a: f64, b: f64, c: f64, d: f64| {
                0.5 * (2.0 * b
                    + (c - a) * t
                    + (2.0 * a - 5.0 * b + 4.0 * c - d) * t * t
                    + (3.0 * b - a - 3.0 * c + d) * t * t * t)
            };
            out.push((blend(a.0, b.0, c.0, d.0), blend(a.1, b.1, c.1, d.1)));
        }
    }
    out
}

/// Twice the signed area, positive when the outline runs counterclockwise, halved.
pub fn area(ring: &[Point]) -> f64 {
    edges(ring).map(|(a, b)| a.0 * b.1 - b.0 * a.1).sum::<f64>() / 2.0
}

pub fn counterclockwise(mut ring: Vec<Point>) -> Vec<Point> {
    if area(&ring) < 0.0 {
        ring.reverse();
    }
    ring
}

pub fn inside(ring: &[Point], point: Point) -> bool {
    edges(ring)
        .filter(|(a, b)| {
            (a.1 > point.1) != (b.1 > point.1)
                && point.0 < (b.0 - a.0) * (point.1 - a.1) / (b.1 - a.1) + a.0
        })
        .count()
        % 2
        == 1
}

/// Metres from a point to the nearest piece of the outline.
pub fn distance(ring: &[Point], point: Point) -> f64 {
    edges(ring)
        .map(|(a, b)| {
            let (along, up) = (b.0 - a.0, b.1 - a.1);
            let length = along * along + up * up;
            let t = if length > 0.0 {
                (((point.0 - a.0) * along + (point.1 - a.1) * up) / length).clamp(0.0, 1.0)
            } else {
                0.0
            };
            (point.0 - a.0 - t * along).hypot(point.1 - a.1 - t * up)
        })
        .fold(f64::INFINITY, f64::min)
}

/// A line moved to its left by `width`, point by point.
pub fn shifted_left(line: &[Point], width: f64) -> Vec<Point> {
    (0..line.len())
        .map(|index| {
            let before = line[index.saturating_sub(1)];
            let after = line[(index + 1).min(line.len() - 1)];
            let (along, up) = (after.0 - before.0, after.1 - before.1);
            let length = along.hypot(up);
            (
                line[index].0 - up / length * width,
                line[index].1 + along / length * width,
            )
        })
        .collect()
}

pub fn centre(ring: &[Point]) -> Point {
    let sum = ring
        .iter()
        .fold((0.0, 0.0), |sum, point| (sum.0 + point.0, sum.1 + point.1));
    (sum.0 / ring.len() as f64, sum.1 / ring.len() as f64)
}

fn edges(ring: &[Point]) -> impl Iterator<Item = (Point, Point)> + '_ {
    (0..ring.len()).map(|index| (ring[index], ring[(index + 1) % ring.len()]))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_square_is_what_it_should_be() {
        let square = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)];
        assert_eq!(area(&square), 100.0);
        assert!(inside(&square, (3.0, 4.0)) && !inside(&square, (11.0, 4.0)));
        assert_eq!(distance(&square, (3.0, 4.0)), 3.0);
        assert_eq!(distance(&square, (14.0, 13.0)), 5.0);
    }
}
