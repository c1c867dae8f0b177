//! The pictures, drawn in code and marked as drawn.
//!
//! Takes a shot; gives upright pixels. The same shot gives the same pixels. Two pictures of one station
//! share shore, bed and foreground; day, hour and work done differ. Must not write files.

mod canoe;
mod canvas;
mod card;
mod goods;
mod ground;
mod rosettes;
mod scenes;
mod shore;
mod sky;
mod text;
mod view;
mod water;

use image::RgbImage;

use crate::shots::Shot;

pub fn picture(shot: &Shot) -> RgbImage {
    let mut canvas = scenes::draw(shot);
    text::mark(&mut canvas);
    canvas.finish(crate::seed::Chance::named(&shot.path).bits() as u32)
}
