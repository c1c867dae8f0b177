//! Cover before and after by site: a small panel a site, a slope from before to after, each end with its interval, on an axis of 0 to
//! 100 per cent.

use super::{Anchor, Drawing, HAIR, Lettering, SIZE, SMALL, Scale, Svg, WIDTH, cut, held, stroke};
use crate::figure::Figure;
use crate::report::number::{Style, print};
use crate::report::palette::{BARK, INK, PAPER, POND};
use crate::{phrase, words};

/// Panels side by side.
const ACROSS: usize = 4;
/// Room for the axis's numbers at the left.
const LEFT: f64 = 28.0;
/// Height of a panel: two lines of words, the slope, a line of words below.
const PANEL: f64 = 118.0;
const TOP: f64 = 30.0;
const BOTTOM: f64 = 22.0;
/// Between two panels, sideways.
const GAP: f64 = 14.0;
/// Most rows of panels in one drawing, so that it fits a page beside its heading and caption.
const MOST_ROWS: usize = 4;

/// A site's, or the season's, cover.
pub struct Row<'a> {
    pub name: &'a str,
    pub before: Option<&'a Figure>,
    pub after: Option<&'a Figure>,
    pub change: Option<&'a Figure>,
    /// The season as a whole stands out.
    pub whole: bool,
}

impl Row<'_> {
    fn is_known(&self) -> bool {
        [self.before, self.after, self.change]
            .into_iter()
            .flatten()
            .any(|figure| figure.value().is_some())
    }
}

/// As many drawings as the panels need; none where nothing is known.
pub fn draw(rows: &[Row<'_>], style: &Style) -> Vec<Drawing> {
    let rows: Vec<&Row<'_>> = rows.iter().filter(|row| row.is_known()).collect();
    rows.chunks(ACROSS * MOST_ROWS)
        .map(|chunk| {
            let lines = chunk.len().div_ceil(ACROSS);
            let mut svg = Svg::new(WIDTH, PANEL * lines as f64);
            let wide = (WIDTH - LEFT - GAP * (ACROSS - 1) as f64) / ACROSS as f64;
            for (line, of_line) in chunk.chunks(ACROSS).enumerate() {
                let top = PANEL * line as f64;
                let up = Scale::new((0.0, 100.0), (top + PANEL - BOTTOM, top + TOP));
                for value in [0.0, 50.0, 100.0] {
                    let y = up.at(value) + 2.6;
                    svg.text(
                        LEFT - 6.0,
                        y,
                        &style.digits(&format!("{value:.0}%")),
                        held(SMALL, Anchor::End),
                    );
                }
                for (column, row) in of_line.iter().enumerate() {
                    let left = LEFT + (wide + GAP) * column as f64;
                    panel(&mut svg, row, (left, top, wide), &up, style);
                }
            }
            let told: Vec<String> = chunk.iter().map(|row| tell(row, style)).collect();
            svg.finish(style.say(words!(
                "Cover before and after by site. {sites}.",
                sites = told.join("; ")
            )))
        })
        .collect()
}

fn panel(
    svg: &mut Svg,
    row: &Row<'_>,
    (left, top, wide): (f64, f64, f64),
    up: &Scale,
    style: &Style,
) {
    for value in [0.0, 50.0, 100.0] {
        let y = up.at(value);
        svg.line(left, y, left + wide, y, HAIR);
    }
    let (before, after) = (left + wide * 0.25, left + wide * 0.75);
    let at = |figure: Option<&Figure>| figure.and_then(Figure::value).map(|v| up.within(v));
    if let (Some(from), Some(to)) = (at(row.before), at(row.after)) {
        svg.line(before, from, after, to, stroke(POND, 1.6));
    }
    for (x, figure) in [(before, row.before), (after, row.after)] {
        if let Some(interval) = figure.and_then(Figure::interval) {
            let (low, high) = (up.within(interval.lower), up.within(interval.upper));
            let line = stroke(INK, 0.9);
            svg.line(x, low, x, high, line);
            for y in [low, high] {
                svg.line(x - 2.6, y, x + 2.6, y, line);
            }
        }
    }
    if let Some(y) = at(row.before) {
        svg.circle(before, y, 2.8, PAPER, Some(stroke(BARK, 1.3)));
    }
    if let Some(y) = at(row.after) {
        svg.circle(after, y, 2.8, POND, None);
    }
    let foot = top + PANEL - BOTTOM + 10.0;
    let word = style.language.of(phrase!("before##of a pull"));
    svg.text(before, foot, word, Lettering::new(BARK, Anchor::Middle));
    let word = style.language.of(phrase!("after##of a pull"));
    svg.text(after, foot, word, Lettering::new(POND, Anchor::Middle));
    let name = Lettering::new(if row.whole { POND } else { INK }, Anchor::Start).bold();
    svg.text(left, top + 9.0, &cut(row.name, wide, SIZE), name);
    let change =
        row.change
            .map(|figure| print(figure, style))
            .map_or_else(String::new, |printed| {
                style.say(match (&printed.refusal, &printed.range) {
                    (Some(_), _) => words!("change not known"),
                    (None, Some(interval)) => words!(
                        "{value} points ({interval})",
                        value = &printed.value,
                        interval
                    ),
                    (None, None) => words!("{value} points", value = &printed.value),
                })
            });
    svg.text(
        left,
        top + 19.0,
        &cut(&change, wide + GAP - 2.0, SIZE),
        SMALL,
    );
}

fn tell(row: &Row<'_>, style: &Style) -> String {
    let text = |figure: Option<&Figure>| {
        figure.map_or_else(
            || style.say(words!("not recorded")),
            |figure| print(figure, style).text,
        )
    };
    style.say(words!(
        "{site}: before {before}, after {after}, change {change}",
        site = row.name,
        before = text(row.before),
        after = text(row.after),
        change = text(row.change)
    ))
}
