//! JPEGs decoded at a half, a quarter or an eighth of their sides.
//!
//! Takes a whole JPEG in memory and the longest edge that is wanted in the end. Gives pixels of a size between, or nothing where this
//! way is not for the picture: the caller then decodes it whole, and what is wrong with it is told there. Must not allocate what a
//! header merely claims, beyond what its caller allows for a whole picture.
//!
//! A JPEG holds spatial frequencies of blocks of 8 × 8 pixels (ITU-T T.81, annex A). A block's lowest 4 × 4, 2 × 2 or 1 × 1 of them are the
//! block at a half, a quarter or an eighth, so that most of the arithmetic and of the memory never happens. What is lost is fine
//! detail, which the filter that follows would take away as well. It is averaged by the curve's values, and not in linear light; so no
//! more is done in this way than leaves [`ROOM`] for the rest, which is.

use std::panic::{AssertUnwindSafe, catch_unwind};

use image::RgbImage;
use jpeg_decoder::{CodingProcess, Decoder, PixelFormat};

/// The decoded edge is longer than the one wanted by a fifth at least, so that the filter that follows has something to do: a phone's 12
/// megapixels come at a quarter for a plate. Half as much again would ask for a half, and take half as much time again.
const ROOM: (u32, u32) = (6, 5);

/// Encoders write a progressive picture in about ten scans. Each is a walk over all its blocks, whatever the file's length, so that more
/// of them are left to a decoder that counts them.
const MOST_SCANS: usize = 64;

/// A picture of fewer bits than were stored.
pub(super) struct Reduced {
    pub(super) picture: RgbImage,
    /// The colour profile, if the file has one.
    pub(super) profile: Option<Vec<u8>>,
}

/// Decodes a JPEG of at most `most_bytes` in full at the least size that leaves room for scaling down to `longest_edge`.
///
/// `None` where nothing would be saved, where the picture is not of the ordinary kinds (grey or three colours, eight bits, Huffman
/// coded), and where anything is wrong with it, a missing end included.
pub(super) fn decode(jpeg: &[u8], longest_edge: u32, most_bytes: u64) -> Option<Reduced> {
    if scans(jpeg) > MOST_SCANS {
        return None;
    }
    // No made or changed file made it panic (docs/photos.md); if one does, the other decoder has its turn.
    catch_unwind(AssertUnwindSafe(|| {
        unguarded(jpeg, longest_edge, most_bytes)
    }))
    .ok()
    .flatten()
}

/// Width and height that a JPEG states.
pub(super) fn dimensions(jpeg: &[u8]) -> Option<(u32, u32)> {
    let mut decoder = Decoder::new(jpeg);
    decoder.read_info().ok()?;
    let info = decoder.info()?;
    Some((info.width.into(), info.height.into()))
}

/// As [`decode`], without a net.
pub(super) fn unguarded(jpeg: &[u8], longest_edge: u32, most_bytes: u64) -> Option<Reduced> {
    let mut decoder = Decoder::new(jpeg);
    decoder.read_info().ok()?;
    let info = decoder.info()?;
    let is_ordinary = matches!(info.pixel_format, PixelFormat::L8 | PixelFormat::RGB24)
        && info.coding_process != CodingProcess::Lossless;
    let bytes = u64::from(info.width) * u64::from(info.height) * 3;
    if !is_ordinary || bytes == 0 || bytes > most_bytes {
        return None;
    }
    let eighths = eighths(info.width.max(info.height), longest_edge)?;
    let side = |side: u16| (u32::from(side) * eighths).div_ceil(8);
    // At most half of 16 bits.
    let wanted = (side(info.width) as u16, side(info.height) as u16);
    let (width, height) = decoder.scale(wanted.0, wanted.1).ok()?;
    let pixels = decoder.decode().ok()?;
    let (width, height) = (u32::from(width), u32::from(height));
    let picture = match info.pixel_format {
        PixelFormat::L8 => {
            let grey = image::GrayImage::from_raw(width, height, pixels)?;
            image::DynamicImage::ImageLuma8(grey).into_rgb8()
        }
        _ => RgbImage::from_raw(width, height, pixels)?,
    };
    Some(Reduced {
        picture,
        profile: decoder.icc_profile(),
    })
}

/// The least number of eighths that leaves room; `None` for all eight.
fn eighths(longest: u16, longest_edge: u32) -> Option<u32> {
    [1, 2, 4].into_iter().find(|eighths| {
        let decoded = (u32::from(longest) * eighths).div_ceil(8);
        decoded * ROOM.1 >= longest_edge.saturating_mul(ROOM.0)
    })
}

/// How many scans there are at most: inside coded pixels no marker stands, but in a small copy or in what follows one may.
fn scans(jpeg: &[u8]) -> usize {
    const START_OF_SCAN: [u8; 2] = [0xff, 0xda];
    let pairs = jpeg.windows(2);
    pairs.filter(|pair| *pair == START_OF_SCAN).count()
}
