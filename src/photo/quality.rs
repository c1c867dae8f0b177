//! How sharp and how well exposed a picture is, as numbers to choose by.
//!
//! Takes a picture file; gives the variance of its Laplacian and the share of its pixels that are black or white altogether. Must not
//! say what is good enough: two pictures of one view can be compared, a close-up and a far shore only roughly.

use std::path::Path;

use image::{GrayImage, imageops};

use super::thumbnail::{ThumbnailError, small};

/// Longest edge of the picture that is measured, so that pictures of different cameras are held against each other at one size.
const EDGE: u32 = 512;

/// As dark or as bright as this, of 255, a pixel shows nothing any more; a little is left to the noise of JPEG.
const BLACK: u8 = 2;
const WHITE: u8 = 253;

/// Measures of one picture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Quality {
    /// Variance of the Laplacian of brightness (Pech-Pacheco, Cristóbal, Chamorro-Martínez and Fernández-Valdivia 2000, Diatom
    /// autofocusing in brightfield microscopy, 15th International Conference on Pattern Recognition, vol. 3, 314-317; from memory),
    /// with brightness from 0 to 255.
    pub sharpness: f64,
    /// Share of pixels that are clipped, 0 to 1.
    pub clipped: f64,
}

/// Measures a photo. The picture is decoded for it.
///
/// # Errors
/// If the photo can't be drawn: see [`ThumbnailError`].
pub fn quality(file: &Path, orientation: u8) -> Result<Quality, ThumbnailError> {
    Ok(of(&imageops::grayscale(&small(file, orientation, EDGE)?)))
}

fn of(picture: &GrayImage) -> Quality {
    let (width, height) = picture.dimensions();
    let at = |x: u32, y: u32| f64::from(picture.get_pixel(x, y).0[0]);
    let (mut count, mut sum, mut squares) = (0.0, 0.0, 0.0);
    // The rim has no neighbours on one side.
    for y in 1..height.saturating_sub(1) {
        for x in 1..width.saturating_sub(1) {
            let value = at(x - 1, y) + at(x + 1, y) + at(x, y - 1) + at(x, y + 1) - 4.0 * at(x, y);
            count += 1.0;
            sum += value;
            squares += value * value;
        }
    }
    let sharpness = if count > 0.0 {
        (squares / count - (sum / count).powi(2)).max(0.0)
    } else {
        0.0
    };
    let clipped = picture
        .as_raw()
        .iter()
        .filter(|&&value| value <= BLACK || value >= WHITE)
        .count();
    Quality {
        sharpness,
        clipped: clipped as f64 / picture.as_raw().len().max(1) as f64,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use image::Luma;

    fn checks(size: u32) -> GrayImage {
        GrayImage::from_fn(64, 64, |x, y| {
            Luma([if (x / size + y / size).is_multiple_of(2) {
                60
            } else {
                190
            }])
        })
    }

    #[test]
    fn blur_lowers_sharpness_and_light_is_clipped() {
        let sharp = checks(8);
        let blurred = imageops::blur(&sharp, 2.0);
        assert!(of(&sharp).sharpness > 5.0 * of(&blurred).sharpness);
        assert_eq!(of(&sharp).clipped, 0.0);
        let bright = GrayImage::from_fn(64, 64, |x, _| Luma([if x < 16 { 255 } else { 128 }]));
        assert_eq!(of(&bright).clipped, 0.25);
    }

    #[test]
    fn the_laplacian_of_one_bright_pixel_is_that_of_the_book() {
        // One pixel of 1 on 0 in a 5 by 5 picture: of nine inner values one is -4 and four are 1, so that the variance is 20/9.
        let mut picture = GrayImage::new(5, 5);
        picture.put_pixel(2, 2, Luma([1]));
        assert!((of(&picture).sharpness - 20.0 / 9.0).abs() < 1e-12);
    }

    #[test]
    fn tiny_pictures_are_no_trouble() {
        for (width, height) in [(1, 1), (2, 2), (1, 50)] {
            assert_eq!(of(&GrayImage::new(width, height)).sharpness, 0.0);
        }
        assert_eq!(of(&GrayImage::new(0, 0)).clipped, 0.0);
    }
}
