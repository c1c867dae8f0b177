//! A short text as a QR code (ISO/IEC 18004), drawn as SVG.
//!
//! Takes text, gives an SVG; the same text gives the same bytes. The code itself is made by the crate qrcodegen.

use std::fmt::Write;

use qrcodegen::{QrCode, QrCodeEcc};

/// Modules of white around the code (ISO/IEC 18004 asks for four).
const QUIET: i32 = 4;

/// The SVG, a unit a module, black on white. None if the text is longer than a code can hold.
pub fn svg(text: &str) -> Option<String> {
    // Medium: a fold or a stain over an eighth of the code does no harm.
    let code = QrCode::encode_text(text, QrCodeEcc::Medium).ok()?;
    let size = code.size();
    let whole = size + 2 * QUIET;
    let mut svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {whole} {whole}\" shape-rendering=\"crispEdges\">\
         <rect width=\"{whole}\" height=\"{whole}\" fill=\"#fff\"/><path d=\""
    );
    for y in 0..size {
        let mut x = 0;
        while x < size {
            let start = x;
            while x < size && code.get_module(x, y) {
                x += 1;
            }
            if x > start {
                let width = x - start;
                // Writing into a String can't fail.
                let _ = write!(svg, "M{} {}h{width}v1h-{width}z", start + QUIET, y + QUIET);
            }
            x += 1;
        }
    }
    svg.push_str("\" fill=\"#000\"/></svg>\n");
    Some(svg)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_drawing_is_the_code_module_by_module() {
        let text = "4C4E573F5A7C109D59412F80DE169A39A179E772EB88A76A92CC3905EEF8A2F7";
        let drawn = svg(text).unwrap();
        assert_eq!(svg(text).as_ref(), Some(&drawn));
        // Read back from the path alone.
        let path = drawn
            .split("d=\"")
            .nth(1)
            .unwrap()
            .split('"')
            .next()
            .unwrap();
        let mut dark = std::collections::BTreeSet::new();
        for run in path.split('M').skip(1) {
            let (x, rest) = run.split_once(' ').unwrap();
            let (y, rest) = rest.split_once('h').unwrap();
            let (width, _) = rest.split_once('v').unwrap();
            let [x, y, width] = [x, y, width].map(|number| number.parse::<i32>().unwrap());
            dark.extend((x..x + width).map(|x| (x - QUIET, y - QUIET)));
        }
        let code = QrCode::encode_text(text, QrCodeEcc::Medium).unwrap();
        for y in 0..code.size() {
            for x in 0..code.size() {
                assert_eq!(dark.contains(&(x, y)), code.get_module(x, y), "{x} {y}");
            }
        }
        assert!(dark.iter().all(|(x, y)| *x >= 0 && *y >= 0));
        // Three finder patterns, as the standard draws them.
        let end = code.size() - 7;
        for (left, top) in [(0, 0), (end, 0), (0, end)] {
            let row = |y: i32| {
                (0..7)
                    .map(|x| u8::from(dark.contains(&(left + x, top + y))))
                    .collect::<Vec<_>>()
            };
            assert_eq!(row(0), [1, 1, 1, 1, 1, 1, 1]);
            assert_eq!(row(1), [1, 0, 0, 0, 0, 0, 1]);
            assert_eq!(row(3), [1, 0, 1, 1, 1, 0, 1]);
        }
    }

    #[test]
    fn what_no_code_can_hold_is_refused() {
        assert_eq!(svg(&"x".repeat(3000)), None);
    }
}
