//! Cover before and after by site: an open ring before, a full dot after, one below the other a slope between them, on an axis of 0 to 100 per cent.

use super::removal::whisker;
use super::rows::{HEAD, ROW, frame, middle, share, words};
use super::{Anchor, Drawing, HAIR, Lettering, SMALL, WIDTH, held, stroke};
use crate::figure::Figure;
use crate::report::number::{Style, print};
use crate::report::palette::{BARK, INK, PAPER, POND};

/// How far before and after stand from the middle of their row.
const APART: f64 = 3.4;

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

/// As many drawings as the rows need; none where nothing is known.
pub fn draw(rows: &[Row<'_>], style: &Style) -> Vec<Drawing> {
    let rows: Vec<&Row<'_>> = rows.iter().filter(|row| row.is_known()).collect();
    let lines: Vec<(f64, String)> = [0.0, 25.0, 50.0, 75.0, 100.0]
        .into_iter()
        .map(|value| (value, format!("{value:.0}%")))
        .collect();
    rows.chunks(share(rows.len()))
        .map(|chunk| {
            let (mut svg, across) = frame(chunk.len(), &lines, "");
            legend(&mut svg);
            let mut told = Vec::new();
            for (index, row) in chunk.iter().enumerate() {
                let y = middle(index);
                let at = |figure: Option<&Figure>| {
                    figure.and_then(Figure::value).map(|v| across.within(v))
                };
                // Two lines a row, before above after, so that neither interval hides the other.
                for (figure, lift) in [(row.before, -APART), (row.after, APART)] {
                    if let Some(interval) = figure.and_then(Figure::interval) {
                        let bounds = (across.within(interval.lower), across.within(interval.upper));
                        whisker(&mut svg, bounds, y + lift, interval.upper.is_infinite());
                    }
                }
                // The slope from before to after, under the marks.
                if let (Some(from), Some(to)) = (at(row.before), at(row.after)) {
                    svg.line(from, y - APART, to, y + APART, stroke(POND, 1.2));
                }
                if let Some(x) = at(row.before) {
                    svg.circle(x, y - APART, 2.6, PAPER, Some(stroke(BARK, 1.3)));
                }
                if let Some(x) = at(row.after) {
                    svg.circle(x, y + APART, 2.8, POND, None);
                }
                if index > 0 {
                    let edge = y - ROW / 2.0;
                    svg.line(0.0, edge, WIDTH, edge, HAIR);
                }
                let (value, interval) = row.change.map(|figure| print(figure, style)).map_or_else(
                    || (String::new(), String::new()),
                    |printed| match &printed.refusal {
                        Some(_) => (printed.value.clone(), "change not known".to_owned()),
                        None => (
                            printed.value.clone(),
                            printed
                                .interval
                                .clone()
                                .map(|words| words.replace("percentage points", "points"))
                                .unwrap_or_default(),
                        ),
                    },
                );
                words(&mut svg, index, row.name, &value, &interval, row.whole);
                told.push(tell(row, style));
            }
            svg.finish(format!(
                "Cover before and after by site. {}.",
                told.join("; ")
            ))
        })
        .collect()
}

fn tell(row: &Row<'_>, style: &Style) -> String {
    let text = |figure: Option<&Figure>| {
        figure.map_or_else(
            || "not recorded".to_owned(),
            |figure| print(figure, style).text,
        )
    };
    format!(
        "{}: before {}, after {}, change {}",
        row.name,
        text(row.before),
        text(row.after),
        text(row.change)
    )
}

fn legend(svg: &mut super::Svg) {
    let y = HEAD - 9.0;
    svg.circle(3.0, y - 2.6, 2.6, PAPER, Some(stroke(BARK, 1.2)));
    svg.text(9.0, y, "before", Lettering::new(INK, Anchor::Start));
    svg.circle(42.0, y - 2.6, 2.6, POND, None);
    svg.text(48.0, y, "after", Lettering::new(INK, Anchor::Start));
    svg.text(
        WIDTH,
        y,
        "change, percentage points",
        held(SMALL, Anchor::End),
    );
}
