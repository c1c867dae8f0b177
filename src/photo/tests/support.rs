//! Builds photos for tests.
//!
//! EXIF blocks are written by kamadak-exif, which also reads them. So that a wrong number can't hide in both, one test
//! (`formats`) writes its block by hand, with the numbers of the standard; and `tests/interop/photos.sh` compares real
//! photos with what another program reads.

use std::io::Cursor;

use exif::experimental::Writer;
use exif::{Field, In, Rational, Tag, Value};
use image::codecs::jpeg::JpegEncoder;
use image::codecs::png::PngEncoder;
use image::codecs::webp::WebPEncoder;
use image::{ExtendedColorType, ImageEncoder};

use crate::photo::{Photo, Trouble, TroubleKind, read};

/// Width and height of every picture built here.
pub const SIDES: (u32, u32) = (24, 16);

/// The tags of a camera that writes everything well. Invented, like its maker.
pub fn good() -> Vec<Field> {
    vec![
        text(Tag::Make, "Heron Optical"),
        text(Tag::Model, "Wader 3"),
        field(Tag::Orientation, Value::Short(vec![6])),
        text(Tag::DateTime, "2025:08:01 12:00:00"),
        text(Tag::DateTimeOriginal, "2025:07:12 09:30:05"),
        text(Tag::SubSecTimeOriginal, "25"),
        text(Tag::OffsetTimeOriginal, "-04:00"),
        text(Tag::BodySerialNumber, "HO-0012"),
        text(Tag::GPSLatitudeRef, "N"),
        fractions(Tag::GPSLatitude, &[(40, 1), (26, 1), (4632, 100)]),
        text(Tag::GPSLongitudeRef, "W"),
        fractions(Tag::GPSLongitude, &[(55, 1), (58, 1), (5628, 100)]),
        field(Tag::GPSAltitudeRef, Value::Byte(vec![1])),
        fractions(Tag::GPSAltitude, &[(25, 10)]),
        fractions(Tag::GPSTimeStamp, &[(13, 1), (29, 1), (595, 10)]),
        text(Tag::GPSDateStamp, "2025:07:12"),
        text(Tag::GPSImgDirectionRef, "M"),
        fractions(Tag::GPSImgDirection, &[(12_345, 100)]),
        fractions(Tag::GPSHPositioningError, &[(475, 100)]),
    ]
}

/// The good camera's tags with one replaced or added.
pub fn good_but(changed: Field) -> Vec<Field> {
    let mut fields = good_without(changed.tag);
    fields.push(changed);
    fields
}

/// The good camera's tags without one.
pub fn good_without(tag: Tag) -> Vec<Field> {
    let mut fields = good();
    fields.retain(|field| field.tag != tag);
    fields
}

pub fn field(tag: Tag, value: Value) -> Field {
    Field {
        tag,
        ifd_num: In::PRIMARY,
        value,
    }
}

pub fn text(tag: Tag, text: &str) -> Field {
    field(tag, Value::Ascii(vec![text.as_bytes().to_vec()]))
}

pub fn fractions(tag: Tag, fractions: &[(u32, u32)]) -> Field {
    let fractions = fractions.iter().copied().map(Rational::from).collect();
    field(tag, Value::Rational(fractions))
}

/// The block of tags, in either byte order.
pub fn block(fields: &[Field], little: bool) -> Vec<u8> {
    let mut writer = Writer::new();
    for field in fields {
        writer.push_field(field);
    }
    let mut bytes = Cursor::new(Vec::new());
    writer.write(&mut bytes, little).unwrap();
    bytes.into_inner()
}

/// A JPEG with these tags.
pub fn jpeg(fields: &[Field]) -> Vec<u8> {
    if fields.is_empty() {
        let mut bytes = Vec::new();
        encode(JpegEncoder::new(&mut bytes), &[]);
        return bytes;
    }
    jpeg_around(&block(fields, false))
}

/// A JPEG around a block of tags, sound or not.
pub fn jpeg_around(block: &[u8]) -> Vec<u8> {
    let plain = jpeg(&[]);
    let length = u16::try_from(block.len() + 8).unwrap().to_be_bytes();
    [
        b"\xff\xd8\xff\xe1",
        &length[..],
        b"Exif\0\0",
        block,
        &plain[2..],
    ]
    .concat()
}

/// A PNG with these tags.
pub fn png(fields: &[Field]) -> Vec<u8> {
    let mut bytes = Vec::new();
    encode(PngEncoder::new(&mut bytes), fields);
    bytes
}

/// A WebP with these tags.
pub fn webp(fields: &[Field]) -> Vec<u8> {
    let mut bytes = Vec::new();
    encode(WebPEncoder::new_lossless(&mut bytes), fields);
    bytes
}

/// A TIFF with these tags and a grey picture in one strip.
pub fn tiff(fields: &[Field]) -> Vec<u8> {
    let size = [
        field(Tag::ImageWidth, Value::Long(vec![SIDES.0])),
        field(Tag::ImageLength, Value::Long(vec![SIDES.1])),
        field(Tag::BitsPerSample, Value::Short(vec![8])),
        field(Tag::PhotometricInterpretation, Value::Short(vec![1])),
        field(Tag::SamplesPerPixel, Value::Short(vec![1])),
        field(Tag::RowsPerStrip, Value::Long(vec![SIDES.1])),
    ];
    let pixels = vec![128; (SIDES.0 * SIDES.1) as usize];
    let strips: [&[u8]; 1] = [&pixels];
    let mut writer = Writer::new();
    for field in fields.iter().chain(&size) {
        writer.push_field(field);
    }
    writer.set_strips(&strips, In::PRIMARY);
    let mut bytes = Cursor::new(Vec::new());
    writer.write(&mut bytes, true).unwrap();
    bytes.into_inner()
}

/// Encodes the picture, with a block of tags if there are any.
fn encode(mut encoder: impl ImageEncoder, fields: &[Field]) {
    if !fields.is_empty() {
        encoder.set_exif_metadata(block(fields, true)).unwrap();
    }
    let pixels = vec![128; (SIDES.0 * SIDES.1 * 3) as usize];
    encoder
        .write_image(&pixels, SIDES.0, SIDES.1, ExtendedColorType::Rgb8)
        .unwrap();
}

/// Reads bytes as a file of that name.
pub fn read_as(name: &str, bytes: &[u8]) -> Photo {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("file");
    std::fs::write(&path, bytes).unwrap();
    read(&path, name).unwrap()
}

/// Reads a JPEG with these tags.
pub fn photo(fields: &[Field]) -> Photo {
    read_as("photos/one.jpg", &jpeg(fields))
}

/// The kind and tag of each trouble.
pub fn troubles(photo: &Photo) -> Vec<(TroubleKind, &str)> {
    photo
        .troubles
        .iter()
        .map(|Trouble { kind, tag, .. }| (*kind, tag.as_str()))
        .collect()
}
