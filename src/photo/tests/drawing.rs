//! Small upright copies: turned, scaled, coloured and cleaned as they should be, and broken files.

use std::io::Cursor;

use image::codecs::png::PngEncoder;
use image::{DynamicImage, ExtendedColorType, ImageEncoder, ImageFormat, Rgb, RgbImage};
use moxcms::ColorProfile;

use super::support::*;
use crate::photo::thumbnail::{ThumbnailError, upright};

/// Saves a picture as a file and draws it.
fn drawn(picture: &DynamicImage, coded: ImageFormat, orientation: u8, edge: u32) -> RgbImage {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("picture");
    picture.save_with_format(&path, coded).unwrap();
    let thumbnail = upright(&path, orientation, edge).unwrap();
    let picture = image::load_from_memory_with_format(&thumbnail.jpeg, ImageFormat::Jpeg)
        .unwrap()
        .into_rgb8();
    assert_eq!(picture.dimensions(), (thumbnail.width, thumbnail.height));
    picture
}

fn near(found: Rgb<u8>, expected: [u8; 3]) -> bool {
    // A JPEG may be a few steps off in flat colour.
    found
        .0
        .iter()
        .zip(expected)
        .all(|(&found, expected)| found.abs_diff(expected) <= 8)
}

const RED: [u8; 3] = [200, 30, 30];
const GREEN: [u8; 3] = [30, 160, 40];
const BLUE: [u8; 3] = [30, 40, 190];
const SAND: [u8; 3] = [210, 200, 150];

/// A picture whose upright corners are red, green, blue and sand: upper left, upper right, lower left, lower right.
fn corners(width: u32, height: u32, colours: [[u8; 3]; 4]) -> DynamicImage {
    DynamicImage::ImageRgb8(RgbImage::from_fn(width, height, |x, y| {
        let place = usize::from(x >= width / 2) + 2 * usize::from(y >= height / 2);
        Rgb(colours[place])
    }))
}

#[test]
fn all_orientations_come_out_upright() {
    // How each orientation is stored, by the standard's rule of which side the 0th row and the 0th column are
    // (CIPA DC-008-2019, Orientation): the four corners of the stored picture, by rows.
    let stored = [
        (1, [RED, GREEN, BLUE, SAND]), // row is the top, column the left side
        (2, [GREEN, RED, SAND, BLUE]), // top, right
        (3, [SAND, BLUE, GREEN, RED]), // bottom, right
        (4, [BLUE, SAND, RED, GREEN]), // bottom, left
        (5, [RED, BLUE, GREEN, SAND]), // left, top
        (6, [GREEN, SAND, RED, BLUE]), // right, top
        (7, [SAND, GREEN, BLUE, RED]), // right, bottom
        (8, [BLUE, RED, SAND, GREEN]), // left, bottom
    ];
    for (orientation, colours) in stored {
        let lying = orientation >= 5;
        let (width, height) = if lying { (160, 240) } else { (240, 160) };
        let picture = corners(width, height, colours);
        let upright = drawn(&picture, ImageFormat::Png, orientation, 120);
        assert_eq!(upright.dimensions(), (120, 80), "{orientation}");
        for (x, y, expected) in [
            (10, 10, RED),
            (110, 10, GREEN),
            (10, 70, BLUE),
            (110, 70, SAND),
        ] {
            let found = *upright.get_pixel(x, y);
            assert!(near(found, expected), "{orientation} {x} {y} {found:?}");
        }
    }
}

#[test]
fn every_format_is_drawn() {
    let picture = corners(64, 64, [RED, GREEN, BLUE, SAND]);
    for coded in [
        ImageFormat::Jpeg,
        ImageFormat::Png,
        ImageFormat::Tiff,
        ImageFormat::WebP,
    ] {
        let small = drawn(&picture, coded, 1, 32);
        assert!(near(*small.get_pixel(4, 4), RED), "{coded:?}");
    }
}

/// Drawn for the purpose, 64 by 48 pixels: red grows by 3 from each column to the next, green by 5 from each row to the
/// next, blue is 90. Coded by libheif 1.15 (`heif-enc -q 40`); its EXIF says orientation 6, its boxes say no turn.
const HEIC: &[u8] = include_bytes!("drawn.heic");

/// Writes bytes as a file and draws it.
fn drawn_from(bytes: &[u8], orientation: u8, edge: u32) -> Result<RgbImage, ThumbnailError> {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("picture");
    std::fs::write(&path, bytes).unwrap();
    let thumbnail = upright(&path, orientation, edge)?;
    Ok(image::load_from_memory(&thumbnail.jpeg)
        .unwrap()
        .into_rgb8())
}

#[test]
fn a_heic_of_another_encoder_is_drawn_and_turned_by_its_boxes_alone() {
    let picture = drawn_from(HEIC, 6, 64).unwrap();
    assert_eq!(picture.dimensions(), (64, 48));
    for (x, y) in [(5, 5), (58, 5), (5, 42), (58, 42), (32, 24)] {
        let found = picture.get_pixel(x, y).0;
        let expected = [x as u8 * 3, y as u8 * 5, 90];
        let furthest = found
            .iter()
            .zip(expected)
            .map(|(&part, expected)| part.abs_diff(expected));
        // Twice lossy, and colour is stored at half the resolution.
        assert!(furthest.max() <= Some(20), "{found:?} {expected:?}");
    }
    let read = read_as("a.heic", HEIC);
    assert_eq!((read.troubles.as_slice(), read.orientation), (&[][..], 6));
    assert_eq!(read.dimensions, Some((64, 48)));
}

#[test]
fn broken_heic_files_are_errors_or_drawn_in_part_but_never_a_panic() {
    let brands_alone = b"\0\0\0\x18ftypheic\0\0\0\0mif1heic";
    assert!(matches!(
        drawn_from(brands_alone, 1, 32),
        Err(ThumbnailError::Broken(_))
    ));
    for length in (12..HEIC.len()).step_by(7) {
        let _ = drawn_from(&HEIC[..length], 1, 32);
    }
    for place in 12..HEIC.len() {
        let mut bytes = HEIC.to_vec();
        bytes[place] ^= 0xa5;
        let _ = drawn_from(&bytes, 1, 32);
    }
}

#[test]
fn black_and_white_stripes_become_half_the_light() {
    // Half the light is sRGB 188, not 128: 255 × (1.055 × 0.5^(1/2.4) − 0.055).
    let stripes = RgbImage::from_fn(800, 600, |x, _| Rgb([if x % 2 == 0 { 0 } else { 255 }; 3]));
    let grey = drawn(&DynamicImage::ImageRgb8(stripes), ImageFormat::Png, 1, 100);
    assert!(
        near(*grey.get_pixel(50, 40), [188; 3]),
        "{:?}",
        grey.get_pixel(50, 40)
    );
}

#[test]
fn sizes_keep_their_shape_and_never_grow() {
    for ((width, height), edge, expected) in [
        ((4000, 3000), 1200, (1200, 900)),
        ((3000, 4001), 1200, (900, 1200)),
        ((50, 40), 1200, (50, 40)),
        ((1200, 5), 1200, (1200, 5)),
        ((5000, 1), 10, (10, 1)),
        ((7, 7), 0, (1, 1)),
    ] {
        let picture = DynamicImage::new_luma8(width, height);
        let small = drawn(&picture, ImageFormat::Png, 1, edge);
        assert_eq!(small.dimensions(), expected);
    }
}

#[test]
fn transparent_becomes_white() {
    let clear = DynamicImage::new_rgba8(40, 40);
    let small = drawn(&clear, ImageFormat::Png, 1, 20);
    assert!(near(*small.get_pixel(10, 10), [255; 3]));
}

#[test]
fn nothing_but_pixels_is_written_and_always_the_same() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("picture.jpg");
    std::fs::write(&path, jpeg(&good())).unwrap();
    let first = upright(&path, 6, 20).unwrap();
    assert_eq!((first.width, first.height), (13, 20));
    assert_eq!(first, upright(&path, 6, 20).unwrap());
    let read = read_as("small.jpg", &first.jpeg);
    assert_eq!(read.troubles, []);
    assert_eq!(
        (read.position, read.captured, read.camera),
        (None, None, None)
    );
    // Of the application segments only the first may be there, which states the density of print.
    for code in 0xe1..=0xef {
        assert!(!first.jpeg.windows(2).any(|pair| pair == [0xff, code]));
    }
}

#[test]
fn the_profiles_colours_are_brought_into_srgb() {
    let mut picture = Vec::new();
    let mut encoder = PngEncoder::new(&mut picture);
    let profile = ColorProfile::new_display_p3().encode().unwrap();
    encoder.set_icc_profile(profile).unwrap();
    let pixels = [120, 180, 90].repeat(32 * 32);
    encoder
        .write_image(&pixels, 32, 32, ExtendedColorType::Rgb8)
        .unwrap();
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("wide.png");
    std::fs::write(&path, picture).unwrap();
    let small = upright(&path, 1, 16).unwrap();
    let small = image::load_from_memory(&small.jpeg).unwrap().into_rgb8();
    // Worked out by hand: to linear light, through the matrix between the two sets of primaries (red
    // 1.2249 −0.2247 0, green −0.0420 1.0419 0, blue −0.0197 −0.0786 1.0979; from memory), and back.
    let found = *small.get_pixel(8, 8);
    let distance = |(found, expected): (u8, u8)| found.abs_diff(expected);
    let furthest = found.0.into_iter().zip([100, 182, 76]).map(distance).max();
    assert!(furthest <= Some(3), "{found:?}");
}

#[test]
fn a_gigapixel_header_is_refused_before_memory_is_taken() {
    let mut bytes = Vec::new();
    DynamicImage::new_rgb8(8, 8)
        .write_to(&mut Cursor::new(&mut bytes), ImageFormat::Tiff)
        .unwrap();
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("huge.tif");
    // Width and height are the first two tags, whose values stand eight bytes behind the tag's number.
    let table = u32::from_le_bytes(bytes[4..8].try_into().unwrap()) as usize + 2;
    for tag in 0..2 {
        let place = table + 12 * tag;
        assert_eq!(bytes[place..place + 2], [tag as u8, 1]);
        bytes[place + 2..place + 12].copy_from_slice(b"\x04\0\x01\0\0\0\0\0\x01\0");
    }
    std::fs::write(&path, &bytes).unwrap();
    let error = upright(&path, 1, 100).unwrap_err();
    assert!(
        matches!(
            error,
            ThumbnailError::TooLarge { .. } | ThumbnailError::Broken(_)
        ),
        "{error:?}"
    );
}

#[test]
fn broken_pictures_are_errors_or_drawn_in_part_but_never_a_panic() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("broken");
    for whole in [jpeg(&good()), png(&good()), webp(&good()), tiff(&good())] {
        for length in (0..whole.len()).step_by(7) {
            std::fs::write(&path, &whole[..length]).unwrap();
            let _ = upright(&path, 1, 10);
        }
        for place in (0..whole.len()).step_by(3) {
            let mut bytes = whole.clone();
            bytes[place] ^= 0xa5;
            std::fs::write(&path, &bytes).unwrap();
            let _ = upright(&path, 1, 10);
        }
    }
}
