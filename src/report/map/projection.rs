//! From longitude and latitude to metres on a plane that keeps areas true.
//!
//! Lambert azimuthal equal-area projection of the sphere, oblique aspect. Source: J. P. Snyder, *Map Projections: A Working
//! Manual*, U.S. Geological Survey Professional Paper 1395, 1987, p. 185, equations 22-4, 22-5 and 24-2; the worked
//! example of p. 332 is in the tests, from memory.

/// Radius in metres of the sphere that has the area of the GRS 80 ellipsoid (H. Moritz, 'Geodetic Reference System 1980', *Bulletin
/// Géodésique* 54, 1980, 395–405: radius of the sphere of the same surface; from memory).
pub const RADIUS: f64 = 6_371_007.181;

/// A projection with its centre.
#[derive(Debug, Clone, Copy)]
pub struct Projection {
    longitude: f64,
    sine: f64,
    cosine: f64,
    radius: f64,
}

impl Projection {
    /// About a centre in degrees.
    pub fn about(longitude: f64, latitude: f64, radius: f64) -> Self {
        let (sine, cosine) = latitude.to_radians().sin_cos();
        Self {
            longitude: longitude.to_radians(),
            sine,
            cosine,
            radius,
        }
    }

    /// A projection about the middle of points in degrees, (longitude, latitude); the middle is taken on the sphere, so that
    /// the date line does not matter. `None` without a point, or where the points cancel out.
    pub fn amid(points: &[(f64, f64)]) -> Option<Self> {
        let sum = points
            .iter()
            .filter(|(longitude, latitude)| longitude.is_finite() && latitude.is_finite())
            .map(|(longitude, latitude)| {
                let (sine, cosine) = latitude.to_radians().sin_cos();
                let (east, north) = longitude.to_radians().sin_cos();
                [cosine * north, cosine * east, sine]
            })
            .reduce(|a, b| [a[0] + b[0], a[1] + b[1], a[2] + b[2]])?;
        let [x, y, z] = sum;
        let level = x.hypot(y);
        if level.hypot(z) < 1e-9 {
            return None;
        }
        Some(Self::about(
            y.atan2(x).to_degrees(),
            z.atan2(level).to_degrees(),
            RADIUS,
        ))
    }

    /// East and north in the unit of the radius. The point opposite the centre has no place: `None`.
    pub fn project(&self, longitude: f64, latitude: f64) -> Option<(f64, f64)> {
        let (sine, cosine) = latitude.to_radians().sin_cos();
        let (east, towards) = (longitude.to_radians() - self.longitude).sin_cos();
        let nearness = 1.0 + self.sine * sine + self.cosine * cosine * towards;
        // False also for what is no number.
        let has_place = nearness > 1e-12;
        if !has_place {
            return None;
        }
        let stretch = (2.0 / nearness).sqrt() * self.radius;
        Some((
            stretch * cosine * east,
            stretch * (self.cosine * sine - self.sine * cosine * towards),
        ))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_worked_example() {
        // Radius 3, centre 40° N 100° W, point 20° S 100° E.
        let projection = Projection::about(-100.0, 40.0, 3.0);
        let (x, y) = projection.project(100.0, -20.0).unwrap();
        assert!((x - -4.233_930_3).abs() < 1e-7, "{x}");
        assert!((y - 4.025_777_5).abs() < 1e-7, "{y}");
    }

    #[test]
    fn areas_are_kept() {
        // A zone's cell of 1° by 1° on the sphere has the area R² Δλ (sin φ₂ − sin φ₁).
        let projection = Projection::about(10.0, 50.0, RADIUS);
        let steps = 200;
        let mut ring = Vec::new();
        let edge = |from: (f64, f64), to: (f64, f64), ring: &mut Vec<(f64, f64)>| {
            for step in 0..steps {
                let part = f64::from(step) / f64::from(steps);
                ring.push(
                    projection
                        .project(
                            from.0 + (to.0 - from.0) * part,
                            from.1 + (to.1 - from.1) * part,
                        )
                        .unwrap(),
                );
            }
        };
        edge((12.0, 51.0), (13.0, 51.0), &mut ring);
        edge((13.0, 51.0), (13.0, 52.0), &mut ring);
        edge((13.0, 52.0), (12.0, 52.0), &mut ring);
        edge((12.0, 52.0), (12.0, 51.0), &mut ring);
        let area: f64 = ring
            .iter()
            .zip(ring.iter().cycle().skip(1))
            .map(|(a, b)| (a.0 * b.1 - b.0 * a.1) / 2.0)
            .sum();
        let truth = RADIUS
            * RADIUS
            * 1f64.to_radians()
            * (52f64.to_radians().sin() - 51f64.to_radians().sin());
        assert!((area / truth - 1.0).abs() < 1e-5, "{area} {truth}");
    }

    #[test]
    fn the_date_line_does_not_part_neighbours() {
        let projection = Projection::amid(&[(179.9, 10.0), (-179.9, 10.0)]).unwrap();
        let (west, _) = projection.project(179.9, 10.0).unwrap();
        let (east, _) = projection.project(-179.9, 10.0).unwrap();
        assert!((east + west).abs() < 1e-6 && east > 0.0 && east < 20_000.0);
        assert!(Projection::amid(&[]).is_none());
        assert!(Projection::amid(&[(0.0, 0.0), (180.0, 0.0)]).is_none());
    }

    #[test]
    fn broken_numbers_have_no_place() {
        let projection = Projection::about(0.0, 0.0, RADIUS);
        assert!(projection.project(f64::NAN, 0.0).is_none());
        assert!(projection.project(180.0, 0.0).is_none());
    }
}
