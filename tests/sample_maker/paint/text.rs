//! Lettering: a font of strokes of our own, drawn with a pen of any width.
//!
//! Takes text; draws it. Letters stand on a grid four wide and six high; small letters are four high.

use super::canvas::{Canvas, Colour, Spot};

/// Strokes of a letter: polylines of grid points `xy`, parted by blanks; y 0 is the top, 6 the foot, 8 below it.
fn strokes(letter: char) -> &'static str {
    match letter {
        'A' => "06204426 1434",
        'B' => "0006 003041320333 33445506",
        'C' => "4130100105163645",
        'D' => "0006 00304244453606",
        'E' => "40000646 0333",
        'F' => "400006 0333",
        'G' => "41301001051636454323",
        'H' => "0006 4046 0343",
        'I' => "1030 2026 1636",
        'J' => "404445361605",
        'K' => "0006 4004 1346",
        'L' => "000646",
        'M' => "0600244046",
        'N' => "06004640",
        'O' => "103041453616050110",
        'P' => "060030414233 3303",
        'Q' => "103041453616050110 2446",
        'R' => "06003041423303 2346",
        'S' => "413010010213334445361605",
        'T' => "0040 2026",
        'U' => "000516364540",
        'V' => "002640",
        'W' => "0016233640",
        'X' => "0046 4006",
        'Y' => "002340 2326",
        'Z' => "00400646",
        '0' => "103041453616050110 4105",
        '1' => "112026 1636",
        '2' => "01103041420646",
        '3' => "011030414233 13334445361605",
        '4' => "36300444",
        '5' => "400002324345361605",
        '6' => "4130100105163645443313 1304",
        '7' => "004016",
        '8' => "103041423313020110 1304051636454433",
        '9' => "051636454130100102133342",
        'a' => "12324346 441405163645",
        'b' => "0006 0312324345361605",
        'c' => "4332120305163645",
        'd' => "4046 4332120305163645",
        'e' => "044443321203051636",
        'f' => "41302126 1232",
        'g' => "4332120305163645 4247381807",
        'h' => "0006 03123243 4346",
        'i' => "2226 2020",
        'j' => "222718 2020",
        'k' => "0006 4205 1446",
        'l' => "202536",
        'm' => "0602 0312232326 2332434346",
        'n' => "0602 0312324346",
        'o' => "123243453616050312",
        'p' => "0208 0312324345361605",
        'q' => "4248 4332120305163645",
        'r' => "0602 041232",
        's' => "4212031434453606",
        't' => "20252636 1232",
        'u' => "0205163645 4246",
        'v' => "022642",
        'w' => "0216243642",
        'x' => "0246 4206",
        'y' => "0226 4218",
        'z' => "02420646",
        '-' => "1333",
        ',' => "2517",
        '.' => "2526",
        '/' => "4006",
        ':' => "2222 2525",
        _ => "",
    }
}

fn lines(letter: char) -> impl Iterator<Item = Vec<Spot>> {
    strokes(letter).split(' ').map(|line| {
        let digits: Vec<f32> = line
            .chars()
            .filter_map(|c| c.to_digit(10))
            .map(|d| d as f32)
            .collect();
        digits
            .chunks_exact(2)
            .map(|pair| (pair[0], pair[1]))
            .collect()
    })
}

/// Width of a text for letters of a height, in the same unit.
pub fn width(text: &str, height: f32) -> f32 {
    text.chars().count() as f32 * height * ADVANCE - height * (ADVANCE - 4.0 / 6.0)
}

/// From letter to letter, for a height of 1.
const ADVANCE: f32 = 0.98;

/// Draws with the upper left corner at the origin of `place`, which turns (right, down) in pixels of the
/// text's own plane into a spot of the picture.
pub fn write(
    canvas: &mut Canvas,
    text: &str,
    height: f32,
    pen: f32,
    colour: Colour,
    place: impl Fn(f32, f32) -> Spot,
) {
    let unit = height / 6.0;
    for (index, letter) in text.chars().enumerate() {
        let left = index as f32 * height * ADVANCE;
        for line in lines(letter) {
            let mut points: Vec<Spot> = line
                .iter()
                .map(|(x, y)| place(left + x * unit, y * unit))
                .collect();
            // A dot is a line without length.
            if let [only] | [only, _] = points.as_slice()
                && line.first() == line.last()
            {
                let only = *only;
                canvas.ellipse(only, pen * 0.6, pen * 0.6, colour, 1.0);
                points.clear();
            }
            canvas.trail(&points, pen, colour, 1.0);
        }
    }
}

/// The words that every picture carries.
pub const MARK: &str = "drawn, not photographed";

/// Writes the mark into the lower right corner, light on a soft dark edge.
pub fn mark(canvas: &mut Canvas) {
    let height = canvas.wide.min(canvas.high) as f32 * 0.0135;
    let left = canvas.wide as f32 - width(MARK, height) - height * 1.4;
    let top = canvas.high as f32 - height * 2.6;
    for (pen, colour) in [
        (height * 0.34, [18.0, 24.0, 26.0]),
        (height * 0.15, [250.0, 250.0, 244.0]),
    ] {
        write(canvas, MARK, height, pen, colour, |x, y| {
            (left + x, top + y)
        });
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_letter_of_the_mark_and_the_cards_has_strokes() {
        let needed = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-,."
            .chars()
            .chain(MARK.chars());
        for letter in needed.filter(|letter| *letter != ' ') {
            assert!(!strokes(letter).is_empty(), "{letter}");
        }
    }
}
