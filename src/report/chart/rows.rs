//! The frame of charts that have a row for each site: names on the left, an axis from zero, values as text on the right.

use super::{Anchor, HAIR, Lettering, NAME, SIZE, SMALL, Scale, Svg, WIDTH, cut, held, stroke};
use crate::report::palette::INK;

/// Height of a row.
pub const ROW: f64 = 16.0;
/// Room for names.
pub const NAMES: f64 = 118.0;
/// Room for values.
pub const VALUES: f64 = 136.0;
/// Where in it the interval begins, behind the value.
const GAP: f64 = 51.0;
/// Room above the first row, for the axis.
pub const HEAD: f64 = 22.0;
/// Most rows of a single drawing, so that it fits a page beside its heading and caption.
const MOST: usize = 24;

/// Most rows of each of several drawings, so that pages fill and the axis is never far away.
const EACH: usize = 10;

/// How many rows each of several drawings has, so that they are alike in height.
pub fn share(rows: usize) -> usize {
    let drawings = if rows <= MOST { 1 } else { rows.div_ceil(EACH) };
    rows.div_ceil(drawings).max(1)
}

/// An empty frame for `count` rows with its axis; `unit` stands at the end of the axis.
pub fn frame(count: usize, lines: &[(f64, String)], unit: &str) -> (Svg, Scale) {
    let height = HEAD + count as f64 * ROW + 4.0;
    let mut svg = Svg::new(WIDTH, height);
    let high = lines.last().map_or(1.0, |(value, _)| *value);
    let across = Scale::new((0.0, high), (NAMES + 8.0, WIDTH - VALUES - 14.0));
    for (value, text) in lines {
        let x = across.at(*value);
        svg.line(x, HEAD - 4.0, x, height - 2.0, HAIR);
        svg.text(x, HEAD - 9.0, text, held(SMALL, Anchor::Middle));
    }
    svg.text(NAMES, HEAD - 9.0, unit, held(SMALL, Anchor::End));
    let zero = across.at(0.0);
    svg.line(zero, HEAD - 4.0, zero, height - 2.0, stroke(INK, 0.8));
    (svg, across)
}

/// Middle of a row.
pub fn middle(index: usize) -> f64 {
    HEAD + (index as f64 + 0.5) * ROW
}

/// A row's name and its value in words.
pub fn label(svg: &mut Svg, index: usize, name: &str, value: &str, interval: &str, strong: bool) {
    let y = middle(index) + 2.6;
    let weight = |lettering: Lettering| {
        if strong { lettering.bold() } else { lettering }
    };
    svg.text(
        NAMES,
        y,
        &cut(name, NAMES - 2.0, SIZE),
        held(weight(NAME), Anchor::End),
    );
    let start = WIDTH - VALUES;
    svg.text(start + GAP - 5.0, y, value, held(weight(NAME), Anchor::End));
    svg.text(start + GAP, y, &cut(interval, VALUES - GAP, SIZE), SMALL);
}
