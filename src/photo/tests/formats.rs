//! Every format gives the same answers for the same tags.

use chrono::{FixedOffset, TimeZone, Utc};

use super::support::*;
use crate::photo::{
    Bearing, BearingReference, Captured, CapturedSource, Format, Photo, Resolved, TroubleKind,
};

/// What the good camera's tags mean, worked out by hand.
fn assert_good(photo: &Photo) {
    assert_eq!(photo.troubles, []);
    assert_eq!(photo.dimensions, Some(SIDES));
    assert_eq!(photo.orientation, 6);
    assert_eq!(
        photo.captured,
        Some(Captured {
            local: "2025-07-12T09:30:05.25".parse().unwrap(),
            offset: FixedOffset::west_opt(4 * 3600),
            source: CapturedSource::DateTimeOriginal,
        })
    );
    let gps_time = Utc.with_ymd_and_hms(2025, 7, 12, 13, 29, 59).unwrap();
    assert_eq!(
        photo.gps_time,
        Some(gps_time + chrono::TimeDelta::milliseconds(500))
    );
    let position = photo.position.unwrap();
    // 26′ 46.32″ is 0.4462°, 58′ 56.28″ is 0.9823°: west is negative. A billionth of a degree is 0.1 mm.
    assert!((position.latitude - 40.446_2).abs() < 1e-9);
    assert!((position.longitude + 55.982_3).abs() < 1e-9);
    assert_eq!(position.altitude_m, Some(-2.5));
    assert_eq!(position.error_m, Some(4.75));
    assert_eq!(
        photo.bearing,
        Some(Bearing {
            degrees: 123.45,
            reference: BearingReference::Magnetic
        })
    );
    assert_eq!(photo.camera.as_deref(), Some("Heron Optical Wader 3"));
    assert_eq!(photo.serial.as_deref(), Some("HO-0012"));
}

#[test]
fn four_formats_tell_the_same() {
    let files = [
        ("a.jpg", Format::Jpeg, jpeg(&good())),
        ("a.png", Format::Png, png(&good())),
        ("a.webp", Format::WebP, webp(&good())),
        ("a.tif", Format::Tiff, tiff(&good())),
    ];
    for (name, format, bytes) in files {
        let photo = read_as(name, &bytes);
        assert_eq!(photo.format, Some(format));
        assert_eq!(photo.bytes, bytes.len() as u64);
        assert_good(&photo);
    }
}

/// A table of tags at `start` of a block, in little-endian order: number, type, count, and value as bytes.
fn table(start: u32, rows: &[(u16, u16, u32, &[u8])]) -> Vec<u8> {
    let mut behind = start + 2 + 12 * rows.len() as u32 + 4;
    let (mut table, mut values) = ((rows.len() as u16).to_le_bytes().to_vec(), Vec::new());
    for &(tag, kind, count, value) in rows {
        table.extend([tag.to_le_bytes(), kind.to_le_bytes()].concat());
        table.extend(count.to_le_bytes());
        if value.len() <= 4 {
            let mut value = value.to_vec();
            value.resize(4, 0);
            table.extend(value);
        } else {
            table.extend(behind.to_le_bytes());
            behind += value.len() as u32;
            values.extend(value);
        }
    }
    [table, vec![0; 4], values].concat()
}

#[test]
fn a_block_written_by_hand_with_the_standards_numbers_tells_the_same() {
    fn longs(numbers: &[u32]) -> Vec<u8> {
        numbers
            .iter()
            .flat_map(|number| number.to_le_bytes())
            .collect()
    }
    // Tags and types: CIPA DC-008-2019, tables 4, 7 and 15 (numbering from memory). Type 1 is a byte, 2 text,
    // 3 a 16-bit and 4 a 32-bit number, 5 a fraction.
    let exif = |start| {
        table(
            start,
            &[
                (0x9003, 2, 20, b"2025:07:12 09:30:05\0"),
                (0x9011, 2, 7, b"-04:00\0"),
                (0x9291, 2, 3, b"25\0"),
                (0xa431, 2, 8, b"HO-0012\0"),
            ],
        )
    };
    let gps = |start| {
        table(
            start,
            &[
                (0x01, 2, 2, b"N\0"),
                (0x02, 5, 3, &longs(&[40, 1, 26, 1, 4632, 100])),
                (0x03, 2, 2, b"W\0"),
                (0x04, 5, 3, &longs(&[55, 1, 58, 1, 5628, 100])),
                (0x05, 1, 1, &[1]),
                (0x06, 5, 1, &longs(&[25, 10])),
                (0x07, 5, 3, &longs(&[13, 1, 29, 1, 595, 10])),
                (0x10, 2, 2, b"M\0"),
                (0x11, 5, 1, &longs(&[12_345, 100])),
                (0x1d, 2, 11, b"2025:07:12\0"),
                (0x1f, 5, 1, &longs(&[475, 100])),
            ],
        )
    };
    let primary = |exif: u32, gps: u32| {
        table(
            8,
            &[
                (0x010f, 2, 14, b"Heron Optical\0"),
                (0x0110, 2, 8, b"Wader 3\0"),
                (0x0112, 3, 1, &[6]),
                (0x0132, 2, 20, b"2025:08:01 12:00:00\0"),
                (0x8769, 4, 1, &exif.to_le_bytes()),
                (0x8825, 4, 1, &gps.to_le_bytes()),
            ],
        )
    };
    let exif_at = 8 + primary(0, 0).len() as u32;
    let gps_at = exif_at + exif(exif_at).len() as u32;
    let block = [
        b"II\x2a\0\x08\0\0\0".to_vec(),
        primary(exif_at, gps_at),
        exif(exif_at),
        gps(gps_at),
    ]
    .concat();
    assert_good(&read_as("a.jpg", &jpeg_around(&block)));
}

#[test]
fn the_time_of_the_good_photo_is_placed_by_its_own_offset() {
    let captured = photo(&good()).captured.unwrap();
    let utc = Utc.with_ymd_and_hms(2025, 7, 12, 13, 30, 5).unwrap();
    assert_eq!(
        captured.utc(chrono_tz::Asia::Tokyo),
        Resolved::Stated(utc + chrono::TimeDelta::milliseconds(250))
    );
}

#[test]
fn times_without_offset_follow_the_seasons_zone() {
    // In 2025 New York put its clocks forward on 9 March at 2 h and back on 2 November at 2 h (IANA time zone
    // database, northamerica, rule US since 2007).
    let zone = chrono_tz::America::New_York;
    let resolved = |local: &str| {
        Captured {
            local: local.parse().unwrap(),
            offset: None,
            source: CapturedSource::DateTimeOriginal,
        }
        .utc(zone)
    };
    let utc = |month, day, hour| Utc.with_ymd_and_hms(2025, month, day, hour, 30, 0).unwrap();
    assert_eq!(
        resolved("2025-07-12T09:30:00"),
        Resolved::ByZone(utc(7, 12, 13))
    );
    assert_eq!(resolved("2025-03-09T02:30:00"), Resolved::Nonexistent);
    assert_eq!(
        resolved("2025-11-02T01:30:00"),
        Resolved::Ambiguous {
            earlier: utc(11, 2, 5),
            later: utc(11, 2, 6)
        }
    );
    assert_eq!(resolved("2025-11-02T01:30:00").instant(), None);
}

#[test]
fn the_hash_is_that_of_the_standard() {
    // FIPS 180-2 (2002), appendix B.1: the message “abc”.
    let photo = read_as("a.jpg", b"abc");
    let json = serde_json::to_value(&photo).unwrap();
    assert_eq!(
        json["sha256"],
        "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    );
}

#[test]
fn a_long_file_is_hashed_whole() {
    // FIPS 180-2 (2002), appendix B.3: a million times “a”, which is many blocks.
    let photo = read_as("a.jpg", &vec![b'a'; 1_000_000]);
    let json = serde_json::to_value(&photo).unwrap();
    assert_eq!(
        json["sha256"],
        "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0"
    );
}

#[test]
fn json_has_offsets_and_times_as_text() {
    let json = serde_json::to_value(photo(&good())).unwrap();
    assert_eq!(json["captured"]["local"], "2025-07-12T09:30:05.250");
    assert_eq!(json["captured"]["offset"], "-04:00");
    assert_eq!(json["captured"]["source"], "DateTimeOriginal");
    assert_eq!(json["gps_time"], "2025-07-12T13:29:59.500Z");
    assert_eq!(json["format"], "Jpeg");
}

#[test]
fn a_name_that_promises_another_format_is_a_trouble_and_no_loss() {
    let photo = read_as("photos/one.HEIC", &jpeg(&good()));
    assert_eq!(troubles(&photo), [(TroubleKind::WrongExtension, "file")]);
    assert_eq!(photo.format, Some(Format::Jpeg));
    assert_eq!(photo.serial.as_deref(), Some("HO-0012"));
}

#[test]
fn a_photo_without_tags_has_no_troubles() {
    for (name, bytes) in [("a.png", png(&[])), ("a.tif", tiff(&[]))] {
        let photo = read_as(name, &bytes);
        assert_eq!(photo.troubles, [], "{name}");
        assert_eq!((photo.captured, photo.position), (None, None));
        assert_eq!(photo.orientation, 1);
    }
}
