//! Passes over one bed: a column for what each pass took, a dot for what the fitted fall expects of it.

use super::{
    Anchor, Drawing, HAIR, Lettering, NAME, SMALL, Scale, Svg, WIDTH, held, stroke, ticks,
};
use crate::figure::Figure;
use crate::report::number::{Style, print};
use crate::report::palette::{BARK, INK, PAPER, POND, WATER};
use crate::{phrase, words};

const HEIGHT: f64 = 128.0;
const LEFT: f64 = 36.0;
const TOP: f64 = 22.0;
const BOTTOM: f64 = 16.0;
/// Widest distance of two columns: two passes don't fill a page's width.
const WIDEST: f64 = 96.0;
/// More passes than this over one bed on days that follow each other are no passes.
const MOST: usize = 12;

/// One pass.
pub struct Pass<'a> {
    pub number: &'a str,
    pub caught: &'a Figure,
    /// `None` where no fall could be fitted.
    pub expected: Option<&'a Figure>,
}

/// The drawing; `None` with fewer than two passes that have a value. `of` says what was counted.
pub fn draw(passes: &[Pass<'_>], of: &str, style: &Style) -> Option<Drawing> {
    let known: Vec<(&Pass<'_>, f64)> = passes
        .iter()
        .take(MOST)
        .filter_map(|pass| Some((pass, pass.caught.value().filter(|value| value.is_finite())?)))
        .collect();
    if known.len() < 2 {
        return None;
    }
    let expected = |pass: &Pass<'_>| pass.expected.and_then(Figure::value);
    let most = known
        .iter()
        .flat_map(|(pass, caught)| [Some(*caught), expected(pass)])
        .flatten()
        .fold(0.0, f64::max);
    let lines = ticks(most, 3.0, style.language);
    let high = lines.last().map_or(1.0, |(value, _)| *value);
    let base = HEIGHT - BOTTOM;
    let up = Scale::new((0.0, high), (base, TOP));
    let step = ((WIDTH - LEFT) / known.len() as f64).min(WIDEST);
    let right = LEFT + step * known.len() as f64;
    let mut svg = Svg::new(WIDTH, HEIGHT);
    svg.text(0.0, 8.0, of, SMALL);
    for (value, text) in &lines {
        let y = up.at(*value);
        svg.line(LEFT, y, right, y, HAIR);
        svg.text(LEFT - 5.0, y + 2.6, text, held(SMALL, Anchor::End));
    }
    let mut fall = Vec::new();
    let mut told = Vec::new();
    for (index, (pass, caught)) in known.iter().enumerate() {
        let x = LEFT + step * (index as f64 + 0.5);
        let y = up.within(*caught);
        let wide = step * 0.42;
        svg.rect(x - wide / 2.0, y, wide, base - y, WATER);
        svg.line(x - wide / 2.0, y, x + wide / 2.0, y, stroke(POND, 1.4));
        let printed = print(pass.caught, style);
        svg.on_paper(
            x - wide / 2.0 - 3.0,
            y + 2.6,
            &printed.value,
            held(NAME, Anchor::End),
        );
        svg.text(
            x,
            base + 12.0,
            &style.say(words!("pass {number}", number = pass.number)),
            held(NAME, Anchor::Middle),
        );
        let (number, catch) = (pass.number, printed.with_unit());
        told.push(style.say(match (expected(pass), pass.expected) {
            (Some(value), Some(figure)) => {
                fall.push((x, up.within(value)));
                words!(
                    "pass {number} took {catch}, expected {expected}",
                    number,
                    catch,
                    expected = print(figure, style).text
                )
            }
            _ => words!("pass {number} took {catch}", number, catch),
        }));
    }
    svg.line(LEFT, base, right, base, stroke(INK, 0.8));
    svg.path(
        &[fall.clone()],
        None,
        super::Stroke {
            dashed: true,
            ..stroke(BARK, 1.0)
        },
    );
    for (x, y) in &fall {
        svg.circle(*x, *y, 2.4, PAPER, Some(stroke(BARK, 1.2)));
    }
    if let Some((x, y)) = fall.first() {
        svg.on_paper(
            x + 7.0,
            y - 5.0,
            style.language.of(phrase!("the fitted fall")),
            Lettering::new(BARK, Anchor::Start),
        );
    }
    Some(svg.finish(style.say(words!(
        "What each pass took, {of}: {passes}.",
        of,
        passes = told.join("; ")
    ))))
}
