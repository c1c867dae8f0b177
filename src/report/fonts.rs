//! The embedded type: two families under the SIL Open Font License, see templates/fonts/ and docs/look.md.
//!
//! Takes nothing, gives fonts for the compiler, widths for labels in charts, and text that these fonts can set.

use std::sync::LazyLock;

use typst::foundations::Bytes;
use typst::layout::Abs;
use typst::text::{Font, FontBook, FontInstance, FontVariations};
use typst::utils::LazyHash;
use unicode_normalization::UnicodeNormalization;

/// The face of figures, tables, labels and charts.
pub const FIGURE_FACE: &str = "Public Sans";

/// What stands for a character that no embedded face has: a hollow square, as printers know it.
const MISSING: char = '□';

macro_rules! font {
    ($name:literal) => {
        include_bytes!(concat!("../../templates/fonts/", $name)).as_slice()
    };
}

/// Upright and semibold of the figure face come first: widths are measured with them. `for_pages` names them in this order.
const FILES: &[&[u8]] = &[
    font!("PublicSans-Regular.ttf"),
    font!("PublicSans-SemiBold.ttf"),
    font!("PublicSans-Italic.ttf"),
    font!("Literata-Regular.ttf"),
    font!("Literata-Italic.ttf"),
    font!("Literata-SemiBold.ttf"),
];

/// The faces of a page in HTML: family, weight, slope and file.
pub fn for_pages() -> impl Iterator<Item = (&'static str, u16, &'static str, &'static [u8])> {
    const CUTS: [(&str, u16, &str); 6] = [
        (FIGURE_FACE, 400, "normal"),
        (FIGURE_FACE, 600, "normal"),
        (FIGURE_FACE, 400, "italic"),
        ("Literata", 400, "normal"),
        ("Literata", 400, "italic"),
        ("Literata", 600, "normal"),
    ];
    CUTS.into_iter()
        .zip(FILES)
        // Nothing on a page is set in the figures' italic.
        .filter(|((family, _, slope), _)| *family != FIGURE_FACE || *slope == "normal")
        .map(|((family, weight, slope), file)| (family, weight, slope, *file))
}

/// All faces and their index.
pub struct Faces {
    pub book: LazyHash<FontBook>,
    pub fonts: Vec<Font>,
    /// The same, ready to be measured.
    instances: Vec<FontInstance>,
}

/// Read once a process: the files are part of the binary and never change.
pub static FACES: LazyLock<Faces> = LazyLock::new(|| {
    let fonts: Vec<Font> = FILES
        .iter()
        .flat_map(|file| Font::iter(Bytes::new(*file)))
        .collect();
    let instances = fonts
        .iter()
        .map(|font| {
            // Our faces are static: size and variations change nothing.
            font.clone().instantiate(
                font.info().variant,
                Abs::pt(10.0),
                &FontVariations::default(),
            )
        })
        .collect();
    Faces {
        book: LazyHash::new(FontBook::from_fonts(&fonts)),
        fonts,
        instances,
    }
});

/// Width in points of a line of the figure face.
pub fn width(text: &str, size: f64, bold: bool) -> f64 {
    // Half an em a letter is the usual measure where a face has no word on one.
    const USUAL: f64 = 0.5;
    let face = FACES.instances.get(usize::from(bold));
    text.chars()
        .map(|letter| {
            face.and_then(|font| {
                let glyph = font.ttf().glyph_index(letter)?;
                font.x_advance(glyph.0)
            })
            .map_or(USUAL, |em| em.get())
        })
        .sum::<f64>()
        * size
}

/// The text with every character set in one of our faces: accents taken off or a hollow square put where there is none.
/// Control characters go; line ends and tabs stay.
///
/// The archive form of PDF allows no missing glyph, and a site's name may be in any script.
pub fn settable(text: &str) -> String {
    text.nfc()
        .filter(|letter| !letter.is_control() || matches!(letter, '\n' | '\t'))
        // These turn the direction of writing, and hide what a name says.
        .filter(|letter| !matches!(letter, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}'))
        .map(|letter| {
            if has(letter) {
                return letter;
            }
            std::iter::once(letter)
                .nfkd()
                .find(|part| has(*part))
                .unwrap_or(MISSING)
        })
        .collect()
}

/// Has the text face this character? It has all that the figure face has, and falls in for it.
fn has(letter: char) -> bool {
    matches!(letter, '\n' | '\t')
        || FACES
            .fonts
            .iter()
            .filter(|font| font.info().family == "Literata")
            .all(|font| font.info().coverage.contains(u32::from(letter)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_faces_are_there_in_their_weights() {
        assert_eq!(FACES.fonts.len(), FILES.len());
        for family in ["literata", "public sans"] {
            assert_eq!(FACES.book.select_family(family).count(), 3, "{family}");
        }
    }

    #[test]
    fn what_the_report_needs_can_be_set() {
        let needed = "−–—→≤≥≈±×÷²°§€£‘’“”…•·\u{a0}□ąčßøñ⁰⁹";
        assert_eq!(settable(needed), needed);
    }

    #[test]
    fn other_scripts_and_tricks_become_squares_or_go() {
        assert_eq!(settable("水 bay"), "□ bay");
        assert_eq!(settable("a\u{0}b\u{202e}c"), "abc");
        assert_eq!(settable("e\u{301}tang"), "étang");
        assert_eq!(settable("ﬃ"), "f");
    }

    #[test]
    fn a_longer_line_is_wider() {
        assert!(width("Heron Bay", 8.0, false) > width("Heron", 8.0, false));
        assert_eq!(width("", 8.0, true), 0.0);
    }
}
