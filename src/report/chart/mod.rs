//! Charts as drawings: one file a chart, over a small shared kit.
//!
//! Takes figures and rows of the season, gives vector drawings with alternative text. Must compute no figure; a place on an axis
//! is all that is worked out here.

pub mod cover;
pub mod effort;
pub mod outlook;
pub mod passes;
pub mod removal;
mod rows;
mod scale;
pub mod seasons;
pub mod spending;
mod svg;
pub mod target;
pub mod windrow;

pub use scale::{Scale, ticks};
pub use svg::{Anchor, Drawing, Lettering, SIZE, Stroke, Svg, stroke};

use super::fonts;
use super::palette::{INK, MUTED, RULE};

/// Width of the type area in points; the templates have the same.
pub const WIDTH: f64 = 476.0;

/// Light line of a grid or an axis.
const HAIR: Stroke = stroke(RULE, 0.5);

/// Second text at the start of a line.
const SMALL: Lettering = Lettering::new(MUTED, Anchor::Start);

/// First text at the start of a line.
const NAME: Lettering = Lettering::new(INK, Anchor::Start);

/// The lettering held at another point.
const fn held(lettering: Lettering, anchor: Anchor) -> Lettering {
    Lettering {
        anchor,
        ..lettering
    }
}

/// A text cut with an ellipsis so that it is no wider than `widest` points.
pub fn cut(text: &str, widest: f64, size: f64) -> String {
    if fonts::width(text, size, false) <= widest {
        return text.to_owned();
    }
    let mut kept: String = text.to_owned();
    while !kept.is_empty() && fonts::width(&kept, size, false) + size > widest {
        kept.pop();
    }
    format!("{}…", kept.trim_end())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_name_is_cut_and_a_short_one_is_not() {
        assert_eq!(cut("Heron Bay", 100.0, SIZE), "Heron Bay");
        let long = "The long northern cove behind the old ice house".repeat(4);
        let short = cut(&long, 80.0, SIZE);
        assert!(short.ends_with('…'));
        assert!(fonts::width(&short, SIZE, false) <= 80.0);
    }
}
