//! The report's colours. One table serves templates, charts and maps.
//!
//! Takes nothing, gives hexadecimal colours. The tests hold every colour that carries text to a contrast of 4.5 : 1 and keep
//! the fills apart for eyes that lack one kind of cone.

/// A named colour, `#rrggbb`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Colour {
    pub name: &'static str,
    pub hex: &'static str,
}

const fn colour(name: &'static str, hex: &'static str) -> Colour {
    Colour { name, hex }
}

/// Text and the strongest lines: the black of wet peat.
pub const INK: Colour = colour("ink", "#17242b");
/// Second text: captions, units, running heads.
pub const MUTED: Colour = colour("muted", "#54646b");
/// The one accent: deep water. Headings' numerals, staff, the value of a figure.
pub const POND: Colour = colour("pond", "#083d4a");
/// Light fill beside the accent: volunteers, the state before.
pub const REED: Colour = colour("reed", "#bd8225");
/// Text in the reed's hue, dark enough to be read.
pub const BARK: Colour = colour("bark", "#7d4a06");
/// A target missed, a caution.
pub const RUST: Colour = colour("rust", "#9a2f1f");
/// A target met.
pub const LEAF: Colour = colour("leaf", "#2f6b3c");
/// Water on the map.
pub const WATER: Colour = colour("water", "#dfecee");
/// A site on the water.
pub const BAY: Colour = colour("bay", "#bfdade");
/// Ground of boxes and of table heads.
pub const MIST: Colour = colour("mist", "#f1f5f4");
/// Hair lines.
pub const RULE: Colour = colour("rule", "#c3cccd");
/// Ground of the seed-ripening window.
pub const HUSK: Colour = colour("husk", "#f7ecd7");
/// Paper.
pub const PAPER: Colour = colour("paper", "#ffffff");

/// Every colour, for the templates.
pub const ALL: &[Colour] = &[
    INK, MUTED, POND, REED, BARK, RUST, LEAF, WATER, BAY, MIST, RULE, HUSK, PAPER,
];

/// Colours in which text is set.
pub const TEXT: &[Colour] = &[INK, MUTED, POND, BARK, RUST, LEAF];

/// What lies under text.
pub const GROUNDS: &[Colour] = &[PAPER, MIST, WATER, HUSK];

/// Least contrast of text with its ground (Web Content Accessibility Guidelines 2.1, W3C, 2018, success criterion 1.4.3).
pub const READABLE: f64 = 4.5;

type Linear = [f64; 3];

/// Is it written as `#17242b`?
pub fn is_hex(text: &str) -> bool {
    text.strip_prefix('#')
        .is_some_and(|digits| digits.len() == 6 && digits.bytes().all(|b| b.is_ascii_hexdigit()))
}

/// sRGB to linear light (IEC 61966-2-1). What is no colour counts as black.
fn linear(hex: &str) -> Linear {
    let channel = |at: usize| {
        let value = hex
            .get(at..at + 2)
            .and_then(|digits| u8::from_str_radix(digits, 16).ok())
            .unwrap_or(0);
        let value = f64::from(value) / 255.0;
        if value <= 0.04045 {
            value / 12.92
        } else {
            ((value + 0.055) / 1.055).powf(2.4)
        }
    };
    [channel(1), channel(3), channel(5)]
}

fn luminance([red, green, blue]: Linear) -> f64 {
    0.2126 * red + 0.7152 * green + 0.0722 * blue
}

/// Contrast ratio as the guidelines define it.
fn ratio(a: Linear, b: Linear) -> f64 {
    let (a, b) = (luminance(a) + 0.05, luminance(b) + 0.05);
    a.max(b) / a.min(b)
}

/// Contrast of two colours, each `#rrggbb`.
pub fn contrast(a: &str, b: &str) -> f64 {
    ratio(linear(a), linear(b))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn linear(colour: Colour) -> Linear {
        super::linear(colour.hex)
    }

    fn contrast(a: Linear, b: Linear) -> f64 {
        super::ratio(a, b)
    }

    /// Vision without long, middle and short cones, on linear light.
    ///
    /// Source: G. M. Machado, M. M. Oliveira and L. A. F. Fernandes, 'A physiologically-based model for simulation of color
    /// vision deficiency', IEEE Transactions on Visualization and Computer Graphics 15(6), 2009, 1291–1298, severity 1.0. The
    /// figures stand here from memory; each row sums to 1, so that greys stay grey, and the test holds them to that.
    const WITHOUT: [[[f64; 3]; 3]; 3] = [
        [
            [0.152286, 1.052583, -0.204868],
            [0.114503, 0.786281, 0.099216],
            [-0.003882, -0.048116, 1.051998],
        ],
        [
            [0.367322, 0.860646, -0.227968],
            [0.280085, 0.672501, 0.047413],
            [-0.011820, 0.042940, 0.968881],
        ],
        [
            [1.255528, -0.076749, -0.178779],
            [-0.078411, 0.930809, 0.147602],
            [0.004733, 0.691367, 0.303900],
        ],
    ];

    fn seen(colour: Linear, matrix: &[[f64; 3]; 3]) -> Linear {
        matrix.map(|row| {
            row.iter()
                .zip(colour)
                .map(|(weight, channel)| weight * channel)
                .sum::<f64>()
                .clamp(0.0, 1.0)
        })
    }

    /// As seen by everybody: usual vision and the three that lack a kind of cone.
    fn visions(colour: Colour) -> Vec<Linear> {
        let usual = linear(colour);
        let mut all = vec![usual];
        all.extend(WITHOUT.iter().map(|matrix| seen(usual, matrix)));
        all
    }

    #[test]
    fn the_simulation_leaves_greys_alone() {
        for matrix in &WITHOUT {
            for row in matrix {
                assert!((row.iter().sum::<f64>() - 1.0).abs() < 1e-5);
            }
        }
    }

    #[test]
    fn text_is_readable_on_every_ground_for_everybody() {
        for text in TEXT {
            for ground in GROUNDS {
                for (text_seen, ground_seen) in visions(*text).into_iter().zip(visions(*ground)) {
                    let ratio = contrast(text_seen, ground_seen);
                    assert!(
                        ratio >= READABLE,
                        "{} on {}: {ratio:.2}",
                        text.name,
                        ground.name
                    );
                }
            }
        }
    }

    #[test]
    fn white_text_is_readable_on_the_accent() {
        assert!(contrast(linear(PAPER), linear(POND)) >= 4.5);
    }

    #[test]
    fn the_two_fills_of_a_chart_differ_in_grey_for_everybody() {
        for (dark, light) in visions(POND).into_iter().zip(visions(REED)) {
            // 3 : 1 is what the same guidelines ask of parts of a graphic (success criterion 1.4.11).
            assert!(contrast(dark, light) >= 3.0);
        }
        for (fill, paper) in visions(REED).into_iter().zip(visions(PAPER)) {
            assert!(contrast(fill, paper) >= 3.0);
        }
    }

    #[test]
    fn every_colour_is_named_once() {
        let mut names: Vec<_> = ALL.iter().map(|colour| colour.name).collect();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), ALL.len());
    }
}
