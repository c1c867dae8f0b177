//! The title page's ornament, drawn from the season: a stroke for each pull in the order of days, as high as its person-hours.

use super::{Drawing, Scale, Svg, WIDTH, stroke};
use crate::report::number::Style;
use crate::report::palette::{INK, PAPER, POND, REED};
use crate::report::words::pulls as so_many_pulls;
use crate::season::Pull;
use crate::words;

const HEIGHT: f64 = 84.0;
/// Strokes are no wider than this: three pulls must not look like a bar chart.
const WIDEST: f64 = 5.0;
/// Nor farther apart.
const FARTHEST: f64 = 27.0;

/// The drawing; `None` where no pull has hours.
pub fn draw(pulls: &[&Pull], style: &Style) -> Option<Drawing> {
    let mut pulls = pulls.to_vec();
    // Pulls without a day come last; equal days keep the order of the log.
    pulls.sort_by_key(|pull| (pull.date().is_none(), pull.date()));
    let most = pulls
        .iter()
        .filter_map(|pull| pull.person_hours())
        .filter(|hours| hours.is_finite())
        .fold(0.0, f64::max);
    if most <= 0.0 {
        return None;
    }
    // More pulls than a page has points still fit: strokes then touch.
    let slot = (WIDTH / pulls.len() as f64).min(FARTHEST);
    let width = (slot * 0.6).min(WIDEST);
    let base = HEIGHT - 5.0;
    let up = Scale::new((0.0, most), (base, 0.0));
    let mut svg = Svg::new(WIDTH, HEIGHT);
    for (index, pull) in pulls.iter().enumerate() {
        let x = index as f64 * slot;
        let (staff, volunteers) = pull.effort();
        match (staff.hours(), volunteers.hours()) {
            (Some(staff), Some(volunteers)) => {
                let middle = up.at(staff);
                svg.rect(x, middle, width, base - middle, POND);
                let top = up.at(staff + volunteers);
                svg.rect(x, top, width, middle - top, REED);
            }
            _ => svg.circle(
                x + width / 2.0,
                base - 2.0,
                (width / 2.0).min(1.6),
                PAPER,
                Some(stroke(INK, 0.6)),
            ),
        }
    }
    svg.line(0.0, base, WIDTH, base, stroke(INK, 0.8));
    Some(svg.finish(style.say(words!(
        "{pulls} as strokes in the order of the season, each as high as its person-hours.",
        pulls = so_many_pulls(pulls.len())
    ))))
}
