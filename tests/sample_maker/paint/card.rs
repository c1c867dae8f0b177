//! The white card in a picture: station or pull, day, and what it says besides.
//!
//! Takes lines of text; draws a board on a stake or leaning at a heap.

use super::canvas::{Canvas, Colour, Spot, rgb, scale};
use super::text;
use super::view::Light;

/// Draws a board with its upper left corner at `at`, `wide` pixels across, turned by `tilt` (down per right).
pub fn paint(
    canvas: &mut Canvas,
    at: Spot,
    wide: f32,
    tilt: f32,
    lines: &[String],
    light: &Light,
    stake: bool,
) {
    let longest = lines
        .iter()
        .map(|line| text::width(line, 1.0))
        .fold(1.0, f32::max);
    let letter = (wide * 0.86 / longest).min(wide * 0.13);
    let high = letter * (lines.len() as f32 * 1.75 + 0.9);
    let place = |x: f32, y: f32| (at.0 + x - y * tilt, at.1 + y + x * tilt);
    let board = [
        place(0.0, 0.0),
        place(wide, 0.0),
        place(wide, high),
        place(0.0, high),
    ];
    if stake {
        let wood = light.lit(rgb(0x8a6f4e));
        let middle = place(wide * 0.5, high * 0.4);
        let foot = (middle.0 + 4.0, canvas.high as f32 + 20.0);
        canvas.stroke(
            middle,
            foot,
            (wide * 0.055, wide * 0.06),
            scale(wood, 0.75),
            1.0,
        );
        canvas.stroke(
            (middle.0 - wide * 0.012, middle.1),
            (foot.0 - wide * 0.012, foot.1),
            (wide * 0.03, wide * 0.03),
            wood,
            1.0,
        );
    }
    let shadow: Vec<Spot> = board
        .iter()
        .map(|(x, y)| (x + wide * 0.02, y + wide * 0.025))
        .collect();
    canvas.fill(&shadow, rgb(0x10181a), 0.35);
    let paper: Colour = light.lit(rgb(0xf7f4e9));
    canvas.fill_with(&board, 1.0, |_, y| {
        scale(paper, 1.0 - 0.05 * ((y - at.1) / high))
    });
    let rim = [board[0], board[1], board[2], board[3], board[0]];
    canvas.trail(&rim, (wide * 0.008).max(1.0), rgb(0xb9b4a2), 0.9);
    let ink = rgb(0x23303c);
    for (index, line) in lines.iter().enumerate() {
        let top = letter * (0.95 + 1.75 * index as f32);
        let left = (wide - text::width(line, letter)) / 2.0;
        text::write(canvas, line, letter, letter * 0.17, ink, |x, y| {
            place(left + x, top + y)
        });
    }
}
