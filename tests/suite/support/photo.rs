//! Photos for test folders: a small picture with the tags that a phone writes. Tag numbers come from an independent library.

use std::io::Cursor;

use exif::experimental::Writer;
use exif::{Field, In, Rational, Tag, Value};

/// What a photo says of itself. All invented.
#[derive(Debug, Clone)]
pub struct Phone {
    pub model: &'static str,
    /// `2025:06-14 09:00:00` on the camera's clock.
    pub taken: Option<&'static str>,
    pub offset: Option<&'static str>,
    /// Latitude and longitude in degrees.
    pub position: Option<(f64, f64)>,
    pub error_m: u32,
    pub bearing: Option<u32>,
    /// Hour, minute, second of the satellites' time.
    pub gps_time: Option<(u32, u32, u32)>,
    /// Shade of the picture, so that two photos differ in their bytes.
    pub shade: u8,
}

impl Phone {
    pub fn at(taken: &'static str, position: (f64, f64)) -> Self {
        // A shade from the time, so that no two photos of a folder are equal.
        let shade = taken
            .bytes()
            .fold(0u8, |sum, byte| sum.wrapping_mul(31).wrapping_add(byte));
        Self {
            model: "Invented Phone T",
            taken: Some(taken),
            offset: Some("-04:00"),
            position: Some(position),
            error_m: 5,
            bearing: None,
            gps_time: None,
            shade,
        }
    }

    pub fn jpeg(&self) -> Vec<u8> {
        let mut fields = vec![text(Tag::Make, "Invented"), text(Tag::Model, self.model)];
        if let Some(taken) = self.taken {
            fields.push(text(Tag::DateTimeOriginal, taken));
        }
        if let Some(offset) = self.offset {
            fields.push(text(Tag::OffsetTimeOriginal, offset));
        }
        if let Some((latitude, longitude)) = self.position {
            fields.push(text(
                Tag::GPSLatitudeRef,
                if latitude < 0.0 { "S" } else { "N" },
            ));
            fields.push(degrees(Tag::GPSLatitude, latitude));
            fields.push(text(
                Tag::GPSLongitudeRef,
                if longitude < 0.0 { "W" } else { "E" },
            ));
            fields.push(degrees(Tag::GPSLongitude, longitude));
            fields.push(fractions(Tag::GPSHPositioningError, &[(self.error_m, 1)]));
        }
        if let Some(bearing) = self.bearing {
            fields.push(text(Tag::GPSImgDirectionRef, "T"));
            fields.push(fractions(Tag::GPSImgDirection, &[(bearing, 1)]));
        }
        if let Some((hour, minute, second)) = self.gps_time {
            let day = self.taken.map_or("2025:06:14", |taken| &taken[..10]);
            fields.push(text(Tag::GPSDateStamp, day));
            fields.push(fractions(
                Tag::GPSTimeStamp,
                &[(hour, 1), (minute, 1), (second, 1)],
            ));
        }
        around(&block(&fields), &picture(self.shade))
    }
}

fn text(tag: Tag, text: &str) -> Field {
    Field {
        tag,
        ifd_num: In::PRIMARY,
        value: Value::Ascii(vec![text.as_bytes().to_vec()]),
    }
}

fn fractions(tag: Tag, fractions: &[(u32, u32)]) -> Field {
    Field {
        tag,
        ifd_num: In::PRIMARY,
        value: Value::Rational(fractions.iter().copied().map(Rational::from).collect()),
    }
}

/// Degrees as one fraction of a ten-millionth: a centimetre on the ground.
fn degrees(tag: Tag, degrees: f64) -> Field {
    let scaled = (degrees.abs() * 1e7).round() as u32;
    fractions(tag, &[(scaled, 10_000_000), (0, 1), (0, 1)])
}

fn block(fields: &[Field]) -> Vec<u8> {
    let mut writer = Writer::new();
    for field in fields {
        writer.push_field(field);
    }
    let mut bytes = Cursor::new(Vec::new());
    writer.write(&mut bytes, false).unwrap();
    bytes.into_inner()
}

/// A picture of coarse patches that follow from the shade, so that two shades don't look alike.
pub fn picture(shade: u8) -> Vec<u8> {
    let mut state = u32::from(shade).wrapping_mul(2_654_435_761) | 1;
    let mut patch = || {
        // A linear congruential generator (Numerical Recipes, from memory): any patches serve.
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        (state >> 24) as u8
    };
    let patches: Vec<u8> = (0..54).map(|_| patch()).collect();
    let small = image::GrayImage::from_raw(9, 6, patches).unwrap();
    let smooth = image::imageops::resize(&small, 48, 32, image::imageops::FilterType::Triangle);
    let pixels = image::DynamicImage::ImageLuma8(smooth).into_rgb8();
    let mut bytes = Vec::new();
    image::codecs::jpeg::JpegEncoder::new_with_quality(&mut bytes, 90)
        .encode_image(&pixels)
        .unwrap();
    bytes
}

/// The picture with the block of tags behind its first marker.
fn around(block: &[u8], jpeg: &[u8]) -> Vec<u8> {
    let length = u16::try_from(block.len() + 8).unwrap().to_be_bytes();
    [
        b"\xff\xd8\xff\xe1",
        &length[..],
        b"Exif\0\0",
        block,
        &jpeg[2..],
    ]
    .concat()
}
