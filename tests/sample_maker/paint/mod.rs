//! The pictures. Takes a shot; gives upright pixels. Must not write files.

use image::RgbImage;

use crate::shots::Shot;

pub fn picture(shot: &Shot) -> RgbImage {
    let mut chance = crate::seed::Chance::named(&shot.path);
    let tint = chance.between(0.0, 40.0);
    RgbImage::from_fn(1200, 900, |x, y| {
        image::Rgb([(y / 6) as u8, (90.0 + tint) as u8, (x / 8) as u8])
    })
}
