//! From degrees to page points, and what lies within the frame.

use geo::LineString;

use super::labels::Box2;
use super::projection::Projection;
use crate::report::chart::WIDTH;

/// Room between the frame and the outermost thing.
const AIR: f64 = 26.0;
const LOWEST: f64 = 190.0;

/// The box about points; `None` without one.
pub fn bounds(points: &[(f64, f64)]) -> Option<Box2> {
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
pub struct View {
    projection: Projection,
    /// Page points a metre.
    pub scale: f64,
    /// Projected middle.
    middle: (f64, f64),
    /// Height of the framed part.
    pub height: f64,
}

impl View {
    pub fn new(extent: Box2, projection: Projection, highest: f64) -> Self {
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

    pub fn on_page(&self, (x, y): (f64, f64)) -> (f64, f64) {
        (
            WIDTH / 2.0 + (x - self.middle.0) * self.scale,
            self.height / 2.0 - (y - self.middle.1) * self.scale,
        )
    }

    pub fn place(&self, longitude: f64, latitude: f64) -> Option<(f64, f64)> {
        self.projection
            .project(longitude, latitude)
            .map(|point| self.on_page(point))
    }

    pub fn ring(&self, line: &LineString<f64>) -> Vec<(f64, f64)> {
        line.0
            .iter()
            .filter_map(|corner| self.place(corner.x, corner.y))
            .collect()
    }

    pub fn frame(&self) -> Box2 {
        Box2 {
            left: 3.0,
            top: 3.0,
            right: WIDTH - 3.0,
            bottom: self.height - 3.0,
        }
    }
}
