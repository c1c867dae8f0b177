//! The title page's ornament, drawn from the season: a stroke for each pull in the order of days, as high as its person-hours. Where
//! there are more pulls than can be told apart, several share a stroke.

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

/// More strokes than these are no finer: three to a point of the page.
const MOST: usize = 1200;

/// How many of so many pulls share a stroke.
pub fn to_a_stroke(pulls: usize) -> usize {
    pulls.div_ceil(MOST).max(1)
}

/// Hours of one pull, or the mean of several: of paid people and of volunteers. Nothing where no pull has both.
fn hours(pulls: &[&Pull]) -> Option<(f64, f64)> {
    let known = pulls.iter().filter_map(|pull| {
        let (staff, volunteers) = pull.effort();
        Some((staff.hours()?, volunteers.hours()?))
    });
    let (sums, count) = known.fold(
        ((0.0, 0.0), 0_u32),
        |((a, b), count), (staff, volunteers)| ((a + staff, b + volunteers), count + 1),
    );
    let mean = |sum: f64| sum / f64::from(count);
    (count > 0).then(|| (mean(sums.0), mean(sums.1)))
}

/// The drawing; `None` where no pull has hours.
pub fn draw(pulls: &[&Pull], style: &Style) -> Option<Drawing> {
    let mut pulls = pulls.to_vec();
    // Pulls without a day come last; equal days keep the order of the log.
    pulls.sort_by_key(|pull| (pull.date().is_none(), pull.date()));
    let each = to_a_stroke(pulls.len());
    let strokes: Vec<Option<(f64, f64)>> = pulls.chunks(each).map(hours).collect();
    let most = strokes
        .iter()
        .flatten()
        .map(|(staff, volunteers)| staff + volunteers)
        .filter(|hours| hours.is_finite())
        .fold(0.0, f64::max);
    if most <= 0.0 {
        return None;
    }
    // More strokes than a page has points still fit: they then touch.
    let slot = (WIDTH / strokes.len() as f64).min(FARTHEST);
    let width = (slot * 0.6).min(WIDEST);
    let base = HEIGHT - 5.0;
    let up = Scale::new((0.0, most), (base, 0.0));
    let mut svg = Svg::new(WIDTH, HEIGHT);
    for (index, stroke_hours) in strokes.iter().enumerate() {
        let x = index as f64 * slot;
        match stroke_hours {
            Some((staff, volunteers)) => {
                let middle = up.at(*staff);
                svg.rect(x, middle, width, base - middle, POND);
                let top = up.at(staff + volunteers);
                svg.rect(x, top, width, middle - top, REED);
            }
            None => svg.circle(
                x + width / 2.0,
                base - 2.0,
                (width / 2.0).min(1.6),
                PAPER,
                Some(stroke(INK, 0.6)),
            ),
        }
    }
    svg.line(0.0, base, WIDTH, base, stroke(INK, 0.8));
    let pulls = so_many_pulls(pulls.len());
    let alternative = if each == 1 {
        words!(
            "{pulls} as strokes in the order of the season, each as high as its person-hours.",
            pulls
        )
    } else {
        words!(
            "{pulls} as strokes in the order of the season, {each} to a stroke, which is as high as their mean person-hours.",
            pulls,
            each
        )
    };
    Some(svg.finish(style.say(alternative)))
}
