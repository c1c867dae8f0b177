//! A deliverable against its target: the target as a mark, the figure as a dot, its interval as a line.

use super::removal::whisker;
use super::{Anchor, Drawing, HAIR, Scale, Svg, held, stroke};
use crate::figure::{Deliverable, Figure, Standing};
use crate::report::number::{Style, print, quantity};
use crate::report::palette::{BARK, Colour, INK, LEAF, MIST, MUTED, RUST, WATER};
use crate::words;
use crate::words::Words;

/// Fits a column of the table of deliverables.
const WIDTH: f64 = 150.0;
const HEIGHT: f64 = 26.0;
/// Room at either end, so that a dot at the edge is whole.
const EDGE: f64 = 5.0;

/// The colour of a standing; its word always stands beside it.
pub fn colour(standing: Standing) -> Colour {
    match standing {
        Standing::Met => LEAF,
        Standing::Missed => RUST,
        Standing::Uncertain => BARK,
        Standing::Unknown => MUTED,
    }
}

/// The drawing; `None` where there is no value to draw.
pub fn draw(deliverable: &Deliverable, figure: &Figure, style: &Style) -> Option<Drawing> {
    let value = figure.value()?;
    let upper = figure
        .interval()
        .map(|interval| interval.upper)
        .filter(|upper| upper.is_finite())
        .unwrap_or(value);
    let lower = figure.interval().map_or(value, |interval| interval.lower);
    let low = lower.min(value).min(deliverable.target).min(0.0);
    let high = upper.max(value).max(deliverable.target).max(0.0);
    // A fifth more than the largest, so that nothing ends at the frame.
    let air = (high - low) * 0.12;
    let low = if low < 0.0 { low - air } else { 0.0 };
    let across = Scale::new((low, high + air), (EDGE, WIDTH - EDGE));
    let mut svg = Svg::new(WIDTH, HEIGHT);
    let y = 10.0;
    svg.rect(across.at(low), y - 5.0, WIDTH - 2.0 * EDGE, 10.0, MIST);
    let target = across.within(deliverable.target);
    // The side of the target on which the promise is kept.
    let (from, to) = if deliverable.at_most {
        (across.at(low), target)
    } else {
        (target, WIDTH - EDGE)
    };
    svg.rect(from, y - 5.0, to - from, 10.0, WATER);
    let zero = across.within(0.0);
    svg.line(zero, y - 6.0, zero, y + 6.0, HAIR);
    svg.line(target, y - 8.0, target, y + 8.0, stroke(INK, 1.2));
    if let Some(interval) = figure.interval() {
        let bounds = (across.within(interval.lower), across.within(interval.upper));
        whisker(&mut svg, bounds, y, interval.upper.is_infinite());
    }
    svg.circle(
        across.within(value),
        y,
        3.0,
        colour(deliverable.standing),
        None,
    );
    let target_told = quantity(deliverable.target, figure.measure, style);
    let anchor = if target < WIDTH * 0.25 {
        Anchor::Start
    } else if target > WIDTH * 0.75 {
        Anchor::End
    } else {
        Anchor::Middle
    };
    svg.text(
        target,
        HEIGHT - 0.8,
        &target_told,
        held(super::SMALL, anchor),
    );
    let reached = print(figure, style).text;
    let standing = Words::fixed(deliverable.standing.word());
    Some(svg.finish(style.say(if deliverable.at_most {
        words!(
            "Target at most {target}; reached {reached}; {standing}.",
            target = target_told,
            reached,
            standing
        )
    } else {
        words!(
            "Target at least {target}; reached {reached}; {standing}.",
            target = target_told,
            reached,
            standing
        )
    })))
}
