//! What a photo looks like, in so few bytes that thousands can be held against each other.
//!
//! Takes a small upright picture, or a photo's file. Gives a [`Look`]. Must not group looks: [`super::grouping`] does.
//!
//! A picture is made grey and small, and the signs of its lowest spatial frequencies are kept as 256 bits
//! (the perceptual hash of image_hasher: discrete cosine transform, then each coefficient against the median). Two
//! pictures differ by the number of unequal bits: about 128 if they have nothing in common. What was measured is in
//! docs/photos.md; the test `tests::likeness` measures it again.

use std::path::Path;
use std::sync::LazyLock;

use fast_image_resize::images::{TypedImage, TypedImageRef};
use fast_image_resize::pixels::U8;
use fast_image_resize::{FilterType, ResizeAlg, ResizeOptions, Resizer};
use image::metadata::Orientation;
use image::{DynamicImage, GrayImage, imageops};
use image_hasher::{HashAlg, Hasher, HasherConfig};
use serde::{Deserialize, Serialize};

use super::record::{Format, Photo};
use super::thumbnail::{ThumbnailError, small};
use super::{embedded, reduced};

/// Up to this many unequal bits of 256, two pictures are near-same.
pub const NEAR: u32 = 32;

/// Longest edge of the picture that is looked at: four times what the hash is made from.
const EDGE: u32 = 128;

/// Pixels of each side from which the hash is made: two for each of its bits, as the library asks.
const HASHED: u32 = 32;

/// Longest edge for which a small copy is decoded. The decoder gives a fifth more at least: 80 pixels, of a copy of 160.
const LEAST_EDGE: u32 = 53;

/// How much the lines of a plain frame may differ in brightness, of 255: saving as JPEG blurs them a little.
const FRAME_TOLERANCE: u8 = 6;

/// A picture whose brightness has a smaller standard deviation than this, of 255, shows nothing to compare: a lens cap,
/// a blank page. Otherwise all such pictures would be near-same.
const LEAST_CONTRAST: f64 = 3.0;

/// The hash in words, which compare faster than bytes.
pub(super) type Bits = [u64; 4];

/// What a picture looks like, in a few bytes.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Look {
    pub(super) whole: Bits,
    /// Without its plain frame, if it has one: screenshots and messages put pictures on black or white.
    pub(super) unframed: Option<Bits>,
}

impl Look {
    /// The look of a small upright picture; `None` if it shows too little to compare.
    pub fn of(picture: &GrayImage) -> Option<Self> {
        if contrast(picture) < LEAST_CONTRAST {
            return None;
        }
        Some(Self {
            whole: bits(picture),
            unframed: unframed(picture).map(|inner| bits(&inner)),
        })
    }

    /// The hashes of all ways to see it: as it is, and without its frame.
    pub(super) fn ways(&self) -> impl Iterator<Item = &Bits> {
        std::iter::once(&self.whole).chain(&self.unframed)
    }

    /// Unequal bits, 0 to 256: the fewest of all ways to leave frames on or off.
    pub fn distance(&self, other: &Self) -> u32 {
        self.ways()
            .flat_map(|ours| other.ways().map(|theirs| unequal(ours, theirs)))
            // There is at least the pair of the whole pictures.
            .fold(u32::MAX, u32::min)
    }
}

/// The look of a photo; `None` if it shows too little to compare. The picture is decoded for it.
///
/// # Errors
/// If the photo can't be drawn: see [`ThumbnailError`].
pub fn look(file: &Path, orientation: u8) -> Result<Option<Look>, ThumbnailError> {
    let picture = small(file, orientation, EDGE)?;
    Ok(Look::of(&imageops::grayscale(&picture)))
}

/// The same of a photo whose Exif block is at hand, from the small copy that the camera put there where that shows the whole picture: it
/// takes a hundredth of the time.
///
/// # Errors
/// As [`look`].
pub(super) fn look_quickly(
    file: &Path,
    photo: &Photo,
    exif: Option<&[u8]>,
) -> Result<Option<Look>, ThumbnailError> {
    match exif.and_then(|exif| embedded(exif, photo)) {
        Some(picture) => Ok(Look::of(&picture)),
        None => look(file, photo.orientation),
    }
}

/// Sides of the small copy may differ from the picture's by so much: it is made of whole pixels. More than that, and it has bars, or the
/// picture was cropped after it was made.
const SIDES_TOLERANCE: f64 = 0.02;

/// The most bytes that a small copy may take as decoded. It is 160 by 120 pixels by the standard, and a few times that at most.
const MOST_EMBEDDED: u64 = 12_000_000;

/// The small copy in a JPEG, upright and grey; of one of the standard's size every second pixel, which is more than twice what the
/// hash keeps.
fn embedded(exif: &[u8], photo: &Photo) -> Option<GrayImage> {
    let (width, height) = photo.dimensions?;
    if photo.format != Some(Format::Jpeg) {
        return None;
    }
    let jpeg = embedded::thumbnail(exif)?;
    let (own_width, own_height) = reduced::dimensions(jpeg)?;
    let ratio = f64::from(width) / f64::from(height);
    let own = f64::from(own_width) / f64::from(own_height);
    let is_like = (own / ratio - 1.0).abs() <= SIDES_TOLERANCE;
    if !is_like || own_width.max(own_height) < EDGE {
        return None;
    }
    let small = reduced::decode(jpeg, LEAST_EDGE, MOST_EMBEDDED)?.picture;
    let mut turned = DynamicImage::ImageLuma8(imageops::grayscale(&small));
    if let Some(orientation) = Orientation::from_exif(photo.orientation) {
        turned.apply_orientation(orientation);
    }
    Some(turned.into_luma8())
}

/// Unequal bits.
pub(super) fn unequal(ours: &Bits, theirs: &Bits) -> u32 {
    let pairs = ours.iter().zip(theirs);
    pairs
        .map(|(ours, theirs)| (ours ^ theirs).count_ones())
        .sum()
}

/// Made once: it plans a transform.
static HASHER: LazyLock<Hasher<[u8; 32]>> = LazyLock::new(|| {
    HasherConfig::with_bytes_type::<[u8; 32]>()
        .hash_size(HASHED / 2, HASHED / 2)
        .preproc_dct()
        .hash_alg(HashAlg::Median)
        .to_hasher()
});

fn bits(picture: &GrayImage) -> Bits {
    // The library would scale to the same size by the same filter, and take ten times as long.
    let hash = match hashed_size(picture) {
        Some(small) => HASHER.hash_image(&small),
        None => HASHER.hash_image(picture),
    };
    let mut bits = [0; 4];
    for (word, bytes) in bits.iter_mut().zip(hash.as_bytes().as_chunks().0) {
        *word = u64::from_le_bytes(*bytes);
    }
    bits
}

/// The picture in the size from which a hash is made, whatever its shape; `None` for one without pixels.
fn hashed_size(picture: &GrayImage) -> Option<GrayImage> {
    let (width, height) = picture.dimensions();
    // The pixel's type is named, as all types of the library would otherwise be compiled into the program, a fifth of its code.
    let source = TypedImageRef::<U8>::from_buffer(width, height, picture.as_raw()).ok()?;
    let mut small = TypedImage::<U8>::new(HASHED, HASHED);
    let options = ResizeOptions::new().resize_alg(ResizeAlg::Convolution(FilterType::Lanczos3));
    let mut resizer = Resizer::new();
    resizer.resize_typed(&source, &mut small, &options).ok()?;
    let values = small.pixels().iter().map(|pixel| pixel.0);
    GrayImage::from_raw(HASHED, HASHED, values.collect())
}

/// Standard deviation of brightness.
fn contrast(picture: &GrayImage) -> f64 {
    let values = picture.as_raw();
    let sum: u64 = values.iter().map(|&value| u64::from(value)).sum();
    let squares: u64 = values.iter().map(|&value| u64::from(value).pow(2)).sum();
    let count = values.len().max(1) as f64;
    let mean = sum as f64 / count;
    (squares as f64 / count - mean * mean).max(0.0).sqrt()
}

/// The picture without plain lines at its edges; `None` if there are none. At most a third is taken from each side.
fn unframed(picture: &GrayImage) -> Option<GrayImage> {
    let (width, height) = picture.dimensions();
    let plain = |x: u32, y: u32, wide: u32, high: u32| {
        let line = imageops::crop_imm(picture, x, y, wide, high).to_image();
        let (least, most) = (line.iter().min(), line.iter().max());
        least
            .zip(most)
            .is_some_and(|(least, most)| most - least <= FRAME_TOLERANCE)
    };
    let rows = |from_below: bool| {
        let row = |&step: &u32| {
            plain(
                0,
                if from_below { height - 1 - step } else { step },
                width,
                1,
            )
        };
        (0..height / 3).take_while(row).count() as u32
    };
    let columns = |from_right: bool| {
        let column = |&step: &u32| {
            plain(
                if from_right { width - 1 - step } else { step },
                0,
                1,
                height,
            )
        };
        (0..width / 3).take_while(column).count() as u32
    };
    let (above, below, left, right) = (rows(false), rows(true), columns(false), columns(true));
    // What is left is at least a third of each side.
    let (wide, high) = (width - left - right, height - above - below);
    let framed = above + below + left + right > 0;
    framed.then(|| imageops::crop_imm(picture, left, above, wide, high).to_image())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A picture of gentle hills; each number gives others.
    fn hills(number: u32) -> GrayImage {
        GrayImage::from_fn(96, 72, |x, y| {
            let wave = |step: f64, turn: f64| (step * f64::from(number) + turn).sin();
            let (x, y) = (f64::from(x) / 9.0, f64::from(y) / 9.0);
            let height = wave(1.3, x) + wave(2.7, y) + wave(0.7, x * 0.4 + y * 1.1);
            luma((127.0 + 40.0 * height) as u8)
        })
    }

    fn luma(value: u8) -> image::Luma<u8> {
        image::Luma([value])
    }

    #[test]
    fn a_look_is_equal_to_itself_and_far_from_others() {
        let looks: Vec<Look> = (1..6)
            .filter_map(|number| Look::of(&hills(number)))
            .collect();
        for (index, look) in looks.iter().enumerate() {
            assert_eq!(look.distance(look), 0);
            for other in looks.iter().skip(index + 1) {
                assert!(look.distance(other) > NEAR);
                assert_eq!(look.distance(other), other.distance(look));
            }
        }
    }

    #[test]
    fn a_plain_frame_is_left_out() {
        let inner = hills(3);
        let mut framed = GrayImage::from_pixel(96, 110, luma(0));
        imageops::replace(&mut framed, &inner, 0, 20);
        let (inner, framed) = (Look::of(&inner).unwrap(), Look::of(&framed).unwrap());
        assert!(unequal(&inner.whole, &framed.whole) > NEAR);
        assert_eq!(inner.distance(&framed), 0);
    }

    #[test]
    fn pictures_of_nothing_and_tiny_ones_are_no_trouble() {
        assert_eq!(Look::of(&GrayImage::from_pixel(96, 72, luma(7))), None);
        assert_eq!(Look::of(&GrayImage::new(1, 1)), None);
        assert_eq!(Look::of(&GrayImage::new(0, 0)), None);
        for (width, height) in [(1, 9), (9, 1), (2, 2), (3, 500)] {
            let steps = GrayImage::from_fn(width, height, |x, y| luma((x * 90 + y * 70) as u8));
            assert!(Look::of(&steps).is_some());
        }
    }
}
