//! What stands below every map: a scale bar, the meaning of its signs, and north.

use crate::phrase;
use crate::report::chart::{self, Anchor, Lettering, SIZE, Stroke, Svg, WIDTH, stroke};
use crate::report::fonts;
use crate::report::number::Style;
use crate::report::palette::{BARK, BAY, INK, MUTED, PAPER, POND, REED, RUST};
use crate::season::PrintUnits;

/// Metres in a foot and in a mile, exact by definition.
const FOOT: f64 = 0.304_8;
const MILE: f64 = 1_609.344;
/// The bar is at most so long, in points.
const LONGEST: f64 = 90.0;

/// A bar of a round length, halved. `scale` is page points a metre.
pub fn scale_bar(svg: &mut Svg, scale: f64, bottom: f64, style: &Style) {
    let (length, text) = bar(scale, style);
    let width = length * scale;
    let y = bottom - 6.0;
    let line: Stroke = stroke(INK, 0.8);
    svg.rect(0.4, y - 3.0, width / 2.0, 3.0, INK);
    svg.path(
        &[vec![
            (0.4, y - 3.0),
            (width, y - 3.0),
            (width, y),
            (0.4, y),
            (0.4, y - 3.0),
        ]],
        None,
        line,
    );
    svg.text(0.0, y - 7.0, "0", Lettering::new(MUTED, Anchor::Start));
    svg.text(width, y - 7.0, &text, Lettering::new(MUTED, Anchor::Middle));
}

/// The longest round length that fits, in metres, and its words. `scale` is page points a metre.
pub fn bar(scale: f64, style: &Style) -> (f64, String) {
    let room = LONGEST / scale;
    let (unit, name) = match style.units {
        PrintUnits::Metric if room < 1_000.0 => (1.0, "m"),
        PrintUnits::Metric => (1_000.0, "km"),
        PrintUnits::Us if room < MILE / 2.0 => (FOOT, "ft"),
        PrintUnits::Us => (MILE, "mi"),
    };
    let room = room / unit;
    let magnitude = 10f64.powf(room.log10().floor());
    let round = [5.0, 2.0, 1.0]
        .into_iter()
        .map(|factor| factor * magnitude)
        .find(|length| *length <= room)
        .unwrap_or(magnitude);
    (
        round * unit,
        format!("{}\u{a0}{name}", style.trimmed(round, 3)),
    )
}

/// What the signs mean.
pub fn legend(
    svg: &mut Svg,
    bottom: f64,
    (stations, pulls, tracks): (bool, bool, bool),
    style: &Style,
) {
    let said = |word| style.language.of(word);
    // Places for English, farther apart where words are longer.
    let beyond = |least: f64, word: &str| least.max(fonts::width(word, SIZE, false) + 12.0);
    let y = bottom - 7.5;
    let words = Lettering::new(INK, Anchor::Start);
    // Where the main column of the page begins.
    let mut x = 132.0;
    svg.path(
        &[vec![
            (x, y - 4.0),
            (x + 12.0, y - 4.0),
            (x + 12.0, y + 4.0),
            (x, y + 4.0),
        ]],
        Some(BAY),
        stroke(POND, 0.9),
    );
    let site = said(phrase!("site"));
    svg.text(x + 17.0, y + 2.6, site, words);
    x += 17.0 + beyond(35.0, site);
    if pulls {
        svg.circle(x, y, 1.8, RUST, None);
        let pull = said(phrase!("pull"));
        svg.text(x + 6.0, y + 2.6, pull, words);
        x += 6.0 + beyond(36.0, pull);
    }
    if tracks {
        svg.path(
            &[vec![
                (x, y + 2.0),
                (x + 5.0, y - 2.0),
                (x + 9.0, y + 1.0),
                (x + 14.0, y - 1.0),
            ]],
            None,
            stroke(MUTED, 0.6),
        );
        let boat = said(phrase!("boat"));
        svg.text(x + 18.0, y + 2.6, boat, words);
        x += 18.0 + beyond(30.0, boat);
    }
    if stations {
        svg.path(
            &[vec![
                (x, y),
                (x + 13.0, y - 6.0),
                (x + 14.5, y),
                (x + 13.0, y + 6.0),
            ]],
            Some(REED),
            stroke(BARK, 0.6),
        );
        svg.circle(x, y, 2.2, PAPER, Some(stroke(BARK, 1.0)));
        svg.text(
            x + 19.0,
            y + 2.6,
            &chart::cut(
                said(phrase!("photo station, and the way it looks")),
                WIDTH - 24.0 - x - 19.0,
                SIZE,
            ),
            words,
        );
    }
}

/// An arrow to true north, which is up at the middle of the map.
pub fn north(svg: &mut Svg, bottom: f64, style: &Style) {
    let x = WIDTH - 8.0;
    let top = bottom - 22.0;
    svg.path(
        &[vec![
            (x, top),
            (x + 4.5, top + 13.0),
            (x, top + 10.0),
            (x - 4.5, top + 13.0),
        ]],
        Some(INK),
        stroke(INK, 0.4),
    );
    svg.text(
        x,
        bottom - 0.8,
        style.language.of(phrase!("N##north")),
        Lettering::new(INK, Anchor::Middle).bold(),
    );
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::words::Language;

    #[test]
    fn the_bar_is_round_and_fits() {
        for (scale, units, text) in [
            (0.5, PrintUnits::Metric, "100\u{a0}m"),
            (0.05, PrintUnits::Metric, "1\u{a0}km"),
            (0.5, PrintUnits::Us, "500\u{a0}ft"),
            (0.05, PrintUnits::Us, "1\u{a0}mi"),
        ] {
            let style = Style {
                units,
                currency: String::new(),
                language: Language::English,
            };
            let (length, words) = bar(scale, &style);
            assert_eq!(words, text);
            assert!(length * scale <= LONGEST);
        }
    }
}
