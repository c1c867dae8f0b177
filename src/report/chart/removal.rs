//! Removal by site: a bar for the value and a line for its interval, the largest first.

use super::rows::{frame, label, middle, share};
use super::{Drawing, Svg, ticks};
use crate::figure::{Figure, Measure};
use crate::report::number::{Style, print, unit_of};
use crate::report::palette::{INK, POND, WATER};
use crate::words;

/// A site's figure under the site's name.
pub struct Row<'a> {
    pub name: &'a str,
    pub figure: &'a Figure,
}

/// As many drawings as the sites need; none where no site has a value.
pub fn draw(rows: &[Row<'_>], what: &str, style: &Style) -> Vec<Drawing> {
    let mut rows: Vec<&Row<'_>> = rows.iter().collect();
    // Sites without a value come last, in their given order: the sort is stable.
    rows.sort_by(|a, b| {
        let value = |row: &Row<'_>| row.figure.value().unwrap_or(f64::NEG_INFINITY);
        value(b).total_cmp(&value(a))
    });
    if !rows.iter().any(|row| row.figure.value().is_some()) {
        return Vec::new();
    }
    let measure = rows.first().map_or(Measure::Mass, |row| row.figure.measure);
    let (factor, unit) = unit_of(measure, style);
    let most = rows
        .iter()
        .map(|row| highest(row.figure) * factor)
        .fold(0.0, f64::max);
    let lines = ticks(most, 4.0, style.language);
    rows.chunks(share(rows.len()))
        .map(|chunk| {
            let (mut svg, across) = frame(chunk.len(), &lines, unit);
            let mut told = Vec::new();
            for (index, row) in chunk.iter().enumerate() {
                let printed = print(row.figure, style);
                let y = middle(index);
                if let Some(value) = row.figure.value() {
                    // The axis stays whole.
                    let zero = across.at(0.0) + 0.4;
                    svg.rect(
                        zero,
                        y - 4.0,
                        across.within(value * factor) - zero,
                        8.0,
                        WATER,
                    );
                    if let Some(interval) = row.figure.interval() {
                        let bounds = (
                            across.within(interval.lower * factor),
                            across.within(interval.upper * factor),
                        );
                        whisker(&mut svg, bounds, y, interval.upper.is_infinite());
                    }
                    svg.circle(across.within(value * factor), y, 2.6, POND, None);
                }
                let (value, interval) = if printed.refusal.is_some() {
                    (style.say(words!("not known")), String::new())
                } else {
                    (
                        printed.value.clone(),
                        printed.brief.clone().unwrap_or_default(),
                    )
                };
                label(&mut svg, index, row.name, &value, &interval, false);
                told.push(format!("{}: {}", row.name, printed.text));
            }
            svg.finish(style.say(words!(
                "{what} by site. {sites}.",
                what,
                sites = told.join("; ")
            )))
        })
        .collect()
}

/// The end that the axis has to reach: the upper bound, unless it has no limit or is so far off that it would crush the rest.
fn highest(figure: &Figure) -> f64 {
    let value = figure.value().unwrap_or(0.0).max(0.0);
    match figure.interval() {
        // Ten times the value says 'hardly known' as plainly as any longer line.
        Some(interval) if interval.upper.is_finite() => interval.upper.min(value * 10.0).max(value),
        _ => value,
    }
}

/// An interval as a line with feet; an arrow head where it has no upper end.
pub fn whisker(svg: &mut Svg, (from, to): (f64, f64), y: f64, open: bool) {
    let line = super::stroke(INK, 0.9);
    svg.line(from, y, to, y, line);
    svg.line(from, y - 2.6, from, y + 2.6, line);
    if open {
        svg.line(to - 3.0, y - 2.6, to, y, line);
        svg.line(to - 3.0, y + 2.6, to, y, line);
    } else {
        svg.line(to, y - 2.6, to, y + 2.6, line);
    }
}
