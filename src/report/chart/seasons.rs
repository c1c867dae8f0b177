//! A figure over the seasons: a dot a year with its interval, before the trend's line and its band. Years that can't be compared are
//! drawn open.

use super::{
    Anchor, Drawing, HAIR, Lettering, NAME, SMALL, Scale, Svg, WIDTH, held, stroke, ticks,
};
use crate::figure::Figure;
use crate::report::number::{Style, print, unit_of};
use crate::report::palette::{BARK, HUSK, INK, MUTED, PAPER, POND};
use crate::words::Words;
use crate::{phrase, words};

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

/// The drawing; `None` with fewer than two years that have a value. `trend` holds the fitted line by year, in order; it may be empty.
pub fn draw(
    years: &[Year<'_>],
    trend: &[(i32, &Figure)],
    what: &str,
    style: &Style,
) -> Option<Drawing> {
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
    // The band is shown whole where that does not press the dots to the floor.
    let widest = trend
        .iter()
        .filter_map(|(_, figure)| figure.interval().map(|interval| interval.upper * factor))
        .fold(0.0, f64::max);
    let most = most.max(widest.min(2.0 * most));
    let lines = ticks(most, 4.0, style.language);
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
    let band = band(&mut svg, trend, factor, (&across, &up), style);
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
        let value = print(year.figure, style).text;
        let season = year.year.to_string();
        told.push(style.say(if year.comparable {
            words!("{season}: {value}", season, value)
        } else {
            words!("{season}: {value}, not comparable", season, value)
        }));
    }
    let fitted = if band {
        let texts: Vec<String> = trend
            .iter()
            .map(|(year, figure)| format!("{year} {}", print(figure, style).text))
            .collect();
        words!("The trend's line: {years}.", years = texts.join("; "))
    } else {
        Words::default()
    };
    let told = words!(
        "{what} by season. {seasons}.",
        what,
        seasons = told.join("; ")
    );
    Some(svg.finish(style.say(told.then(" ", fitted))))
}

/// The trend's line in its band, and its name at the line's end; false where there is none.
fn band(
    svg: &mut Svg,
    trend: &[(i32, &Figure)],
    factor: f64,
    (across, up): (&Scale, &Scale),
    style: &Style,
) -> bool {
    let points: Vec<(f64, f64, f64, f64)> = trend
        .iter()
        .filter_map(|(year, figure)| {
            let interval = figure.interval()?;
            Some((
                across.at(f64::from(*year)),
                up.within(figure.value()? * factor),
                up.within(interval.lower * factor),
                up.within(interval.upper * factor),
            ))
        })
        .collect();
    let (Some(first), true) = (points.first(), points.len() > 1) else {
        return false;
    };
    let mut ring: Vec<(f64, f64)> = points.iter().map(|(x, _, _, upper)| (*x, *upper)).collect();
    ring.extend(points.iter().rev().map(|(x, _, lower, _)| (*x, *lower)));
    svg.path(&[ring], Some(HUSK), stroke(HUSK, 0.2));
    svg.path(
        &[points.iter().map(|(x, y, _, _)| (*x, *y)).collect()],
        None,
        stroke(BARK, 1.1),
    );
    // Over the band at its beginning, where no later year's dot can be.
    svg.text(
        first.0 + 6.0,
        (first.3 - 5.0).max(TOP),
        style.language.of(phrase!("trend, with its interval")),
        Lettering::new(BARK, Anchor::Start),
    );
    true
}
