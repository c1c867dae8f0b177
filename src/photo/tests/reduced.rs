//! JPEGs decoded at a part of their size, held against the same decoded whole; and what this way must leave to the other.

use std::path::Path;

use image::{DynamicImage, ImageFormat, Rgb, RgbImage, imageops};

use crate::photo::reduced::{self, Reduced};
use crate::photo::thumbnail::{MOST_DECODED, shrink, upright};

/// Drawn for the purpose, 232 by 168 pixels: gentle waves and a yellow disc. Written by ImageMagick 6.9, colour at half the sides, one of
/// them progressive, one in four printing colours.
const BASELINE: &[u8] = include_bytes!("halved-colour.jpg");
const PROGRESSIVE: &[u8] = include_bytes!("progressive.jpg");
const PRINTING_COLOURS: &[u8] = include_bytes!("cmyk.jpg");

/// The edge for which a picture 232 pixels wide is decoded at a half, a quarter and an eighth.
const EDGES: [(u32, u32); 3] = [(96, 116), (48, 58), (24, 29)];

fn whole(jpeg: &[u8]) -> RgbImage {
    image::load_from_memory_with_format(jpeg, ImageFormat::Jpeg)
        .unwrap()
        .into_rgb8()
}

fn decoded(jpeg: &[u8], edge: u32) -> Option<Reduced> {
    reduced::decode(jpeg, edge, MOST_DECODED)
}

/// Small copies by both ways: the difference in brightness of the whole, and the mean of the differences, in steps of 255.
fn compared(jpeg: &[u8], edge: u32) -> (f64, f64) {
    let ours = shrink(decoded(jpeg, edge).unwrap().picture, edge).unwrap();
    let other = shrink(whole(jpeg), edge).unwrap();
    assert_eq!(ours.dimensions(), other.dimensions());
    let parts = ours.iter().zip(other.iter());
    let differences: Vec<f64> = parts
        .map(|(&ours, &other)| f64::from(ours) - f64::from(other))
        .collect();
    let count = differences.len() as f64;
    let mean = differences.iter().sum::<f64>() / count;
    let apart = differences.iter().map(|part| part.abs()).sum::<f64>() / count;
    (mean, apart)
}

#[test]
fn the_least_size_that_leaves_room_is_decoded() {
    for jpeg in [BASELINE, PROGRESSIVE] {
        for (edge, longest) in EDGES {
            let reduced = decoded(jpeg, edge).unwrap();
            assert_eq!(reduced.picture.width(), longest, "{edge}");
            assert_eq!(reduced.picture.height(), (longest * 168).div_ceil(232));
        }
        // A half is less than a fifth longer.
        assert!(decoded(jpeg, 97).is_none());
        assert!(decoded(jpeg, u32::MAX).is_none());
        assert_eq!(decoded(jpeg, 0).unwrap().picture.width(), 29);
    }
}

#[test]
fn small_copies_are_as_those_of_the_whole_picture() {
    for jpeg in [BASELINE, PROGRESSIVE] {
        // The hard edge of the disc is where the two ways differ, and in a picture of 24 pixels it is much of it.
        for ((edge, _), (darker, most)) in
            EDGES.into_iter().zip([(0.3, 1.5), (0.3, 3.5), (2.0, 6.0)])
        {
            let (mean, apart) = compared(jpeg, edge);
            println!("{edge}: {mean:.3} brighter, {apart:.3} apart");
            assert!(mean.abs() < darker, "{edge}: {mean}");
            assert!(apart < most, "{edge}: {apart}");
        }
    }
}

/// A picture with a texture of this strength, of 255 steps from one side to the other, on a slow change of light.
fn textured(strength: f64, size: u32) -> RgbImage {
    let mut state = 0x2545_f491_u32;
    RgbImage::from_fn(800, 600, |x, y| {
        // Xorshift (G. Marsaglia, 2003), one number for each square of the texture would repeat; one for each pixel does as well.
        state ^= state << 13;
        state ^= state >> 17;
        state ^= state << 5;
        let grain = f64::from(state >> 8) / f64::from(1 << 24) - 0.5;
        let checks = f64::from((x / size + y / size) % 2) - 0.5;
        let light = 130.0 + 60.0 * (f64::from(x) / 160.0).sin() + f64::from(y) / 20.0;
        let part = |shift: f64| (light + shift + strength * (grain + checks) / 2.0) as u8;
        Rgb([part(-10.0), part(10.0), part(-25.0)])
    })
}

#[test]
fn a_made_texture_is_neither_brighter_nor_darker_than_by_a_step() {
    // Leaves, ripples and sand differ from pixel to pixel by some tens of steps. At a half, as plates are drawn, and at an eighth.
    for (strength, size) in [(20.0, 2), (40.0, 3), (40.0, 7)] {
        let mut jpeg = Vec::new();
        let picture = textured(strength, size);
        image::codecs::jpeg::JpegEncoder::new_with_quality(&mut jpeg, 88)
            .encode_image(&picture)
            .unwrap();
        for (edge, most) in [(330, 0.4), (160, 0.8), (80, 1.3)] {
            let (mean, apart) = compared(&jpeg, edge);
            println!("{strength} {size} {edge}: {mean:.3} brighter, {apart:.3} apart");
            assert!(mean.abs() < most, "{strength} {edge}: {mean}");
            assert!(apart < most + 0.5, "{strength} {edge}: {apart}");
        }
    }
}

#[test]
fn all_threads_give_the_same_bytes() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("one.jpg");
    // Wide enough for the decoder's own threads.
    let picture = imageops::resize(&whole(BASELINE), 1160, 840, imageops::FilterType::Triangle);
    picture.save_with_format(&path, ImageFormat::Jpeg).unwrap();
    let first = upright(&path, 1, 300).unwrap();
    for _ in 0..5 {
        assert!(upright(&path, 1, 300).unwrap() == first);
    }
}

#[test]
fn grey_is_drawn_and_four_colours_are_left_to_the_other_decoder() {
    let mut grey = Vec::new();
    DynamicImage::ImageRgb8(whole(BASELINE))
        .into_luma8()
        .write_to(&mut std::io::Cursor::new(&mut grey), ImageFormat::Jpeg)
        .unwrap();
    let (mean, apart) = compared(&grey, 77);
    assert!(mean.abs() < 0.3 && apart < 1.0, "{mean} {apart}");
    assert!(decoded(PRINTING_COLOURS, 77).is_none());
    assert_eq!(drawn(PRINTING_COLOURS, 77).unwrap(), (77, 56));
}

/// Sides of the small copy of these bytes.
fn drawn(jpeg: &[u8], edge: u32) -> Option<(u32, u32)> {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("one.jpg");
    std::fs::write(&path, jpeg).unwrap();
    let small = upright(Path::new(&path), 1, edge).ok()?;
    Some((small.width, small.height))
}

#[test]
fn a_truncated_picture_is_drawn_as_far_as_it_goes_as_before() {
    for jpeg in [BASELINE, PROGRESSIVE] {
        for cut in [jpeg.len() * 2 / 3, jpeg.len() - 2] {
            let cut = &jpeg[..cut];
            // Whether by one way or by the other, it is drawn.
            assert_eq!(drawn(cut, 77), Some((77, 56)));
        }
    }
}

#[test]
fn kinds_that_no_phone_writes_are_refused() {
    let frame = BASELINE
        .windows(2)
        .position(|pair| pair == [0xff, 0xc0])
        .unwrap();
    // Twelve bits a part; sixteen; lossless; arithmetic coding.
    for (offset, value) in [(4, 12), (4, 16), (1, 0xc3), (1, 0xc9)] {
        let mut jpeg = BASELINE.to_vec();
        jpeg[frame + offset] = value;
        assert!(decoded(&jpeg, 77).is_none(), "{offset} {value}");
    }
    assert!(reduced::decode(BASELINE, 77, 232 * 168 * 3 - 1).is_none());
    assert!(reduced::decode(BASELINE, 77, 232 * 168 * 3).is_some());
}

#[test]
fn a_header_that_claims_gigapixels_takes_no_memory() {
    let frame = BASELINE.windows(2).position(|pair| pair == [0xff, 0xc0]);
    let mut jpeg = BASELINE.to_vec();
    jpeg[frame.unwrap() + 5..][..4].copy_from_slice(&[0xff; 4]);
    assert!(decoded(&jpeg, 77).is_none());
}

#[test]
fn scans_without_end_are_left_to_a_decoder_that_counts_them() {
    let scan = PROGRESSIVE
        .windows(2)
        .rposition(|pair| pair == [0xff, 0xda])
        .unwrap();
    let mut jpeg = PROGRESSIVE[..PROGRESSIVE.len() - 2].to_vec();
    for _ in 0..100 {
        jpeg.extend(&PROGRESSIVE[scan..PROGRESSIVE.len() - 2]);
    }
    jpeg.extend([0xff, 0xd9]);
    assert!(decoded(&jpeg, 77).is_none());
}

#[test]
fn broken_files_are_left_alone_and_never_a_panic() {
    for jpeg in [BASELINE, PROGRESSIVE] {
        for length in 0..jpeg.len() {
            let _ = reduced::unguarded(&jpeg[..length], 19, MOST_DECODED);
        }
        for place in 0..jpeg.len() {
            for flip in [0x01, 0x80, 0xa5, 0xff] {
                let mut bytes = jpeg.to_vec();
                bytes[place] ^= flip;
                // Sides are left out that would be drawn, and take their time.
                let _ = reduced::unguarded(&bytes, 19, 4 << 20);
            }
        }
    }
}
