//! A figure over the seasons: a dot a year with its interval. Years that can't be compared are drawn open.

use super::{Anchor, Drawing, HAIR, NAME, SMALL, Scale, Svg, WIDTH, held, stroke, ticks};
use crate::figure::Figure;
use crate::report::number::{Style, print, unit_of};
use crate::report::palette::{INK, MUTED, PAPER, POND};

const HEIGHT: f64 = 142.0;
const LEFT: f64 = 36.0;
const TOP: f64 = 20.0;
const BOTTOM: f64 = 16.0;

/// One season.
pub struct Year<'a> {
    pub year: i32,
    pub figure: &'a Figure,
    pub comparable: bool,
}

/// The drawing; `None` with fewer than two years that have a value.
pub fn draw(years: &[Year<'_>], what: &str, style: &Style) -> Option<Drawing> {
    let known: Vec<&Year<'_>> = years
        .iter()
        .filter(|year| year.figure.value().is_some_and(f64::is_finite))
        .collect();
    if known.len() < 2 {
        return None;
    }
    let first = known.iter().map(|year| year.year).min()?;
    let last = known.iter().map(|year| year.year).max()?;
    let measure = known.first()?.figure.measure;
    let (factor, unit) = unit_of(measure, style);
    let most = known
        .iter()
        .filter_map(|year| {
            let value = year.figure.value()?;
            let upper = year.figure.interval().map(|interval| interval.upper);
            Some(upper.filter(|upper| upper.is_finite()).unwrap_or(value) * factor)
        })
        .fold(0.0, f64::max);
    let lines = ticks(most, 4.0);
    let high = lines.last().map_or(1.0, |(value, _)| *value);
    let base = HEIGHT - BOTTOM;
    let up = Scale::new((0.0, high), (base, TOP));
    let across = Scale::new(
        (f64::from(first) - 0.5, f64::from(last) + 0.5),
        (LEFT, WIDTH),
    );
    let mut svg = Svg::new(WIDTH, HEIGHT);
    svg.text(0.0, 8.0, unit, SMALL);
    for (value, text) in &lines {
        let y = up.at(*value);
        svg.line(LEFT, y, WIDTH, y, HAIR);
        svg.text(LEFT - 5.0, y + 2.6, text, held(SMALL, Anchor::End));
    }
    svg.line(LEFT, base, WIDTH, base, stroke(INK, 0.8));
    let mut told = Vec::new();
    for year in &known {
        let x = across.at(f64::from(year.year));
        let Some(value) = year.figure.value() else {
            continue;
        };
        let colour = if year.comparable { INK } else { MUTED };
        if let Some(interval) = year.figure.interval() {
            let (from, to) = (
                up.within(interval.lower * factor),
                up.within(interval.upper * factor),
            );
            let line = stroke(colour, 0.9);
            svg.line(x, from, x, to, line);
            for y in [from, to] {
                svg.line(x - 2.6, y, x + 2.6, y, line);
            }
        }
        let y = up.within(value * factor);
        if year.comparable {
            svg.circle(x, y, 3.0, POND, None);
        } else {
            svg.circle(x, y, 3.0, PAPER, Some(stroke(MUTED, 1.2)));
        }
        svg.text(
            x,
            base + 12.0,
            &year.year.to_string(),
            held(NAME, Anchor::Middle),
        );
        let aside = if year.comparable {
            ""
        } else {
            ", not comparable"
        };
        told.push(format!(
            "{}: {}{aside}",
            year.year,
            print(year.figure, style).text
        ));
    }
    Some(svg.finish(format!("{what} by season. {}.", told.join("; "))))
}
