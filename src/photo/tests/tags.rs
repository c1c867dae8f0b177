//! Single tags: well written, blank, impossible.

use exif::{Field, SRational, Tag, Value};

use super::support::*;
use crate::photo::{BearingReference, CapturedSource, TroubleKind};

#[test]
fn all_orientations_are_read_and_others_are_not() {
    for orientation in 1..=8 {
        let value = Value::Short(vec![u16::from(orientation)]);
        let photo = photo(&good_but(field(Tag::Orientation, value)));
        assert_eq!(photo.orientation, orientation);
        assert_eq!(photo.troubles, []);
    }
    for orientation in [0, 9, 256, u16::MAX] {
        let photo = photo(&good_but(field(
            Tag::Orientation,
            Value::Short(vec![orientation]),
        )));
        assert_eq!(photo.orientation, 1);
        assert_eq!(troubles(&photo), [(TroubleKind::OutOfRange, "Orientation")]);
    }
    assert_eq!(photo(&good_without(Tag::Orientation)).orientation, 1);
}

#[test]
fn the_next_clock_serves_where_the_best_is_blank() {
    let mut fields = good_but(text(Tag::DateTimeOriginal, "0000:00:00 00:00:00"));
    let read = photo(&fields);
    let captured = read.captured.unwrap();
    assert_eq!(captured.source, CapturedSource::DateTime);
    // The offset of one clock says nothing of another.
    assert_eq!(captured.offset, None);
    assert_eq!(troubles(&read), [(TroubleKind::Blank, "DateTimeOriginal")]);
    fields.push(text(Tag::DateTimeDigitized, "2025:07:12 09:30:06"));
    fields.push(text(Tag::OffsetTimeDigitized, "+05:45"));
    let captured = photo(&fields).captured.unwrap();
    assert_eq!(captured.source, CapturedSource::DateTimeDigitized);
    assert_eq!(captured.offset.unwrap().local_minus_utc(), 20_700);
}

#[test]
fn fractions_of_a_second_are_decimals_not_counts() {
    for (digits, nanoseconds) in [
        ("5", 500_000_000),
        ("05", 50_000_000),
        ("123456789", 123_456_789),
        ("1234567891", 123_456_789),
        ("25   ", 250_000_000),
        ("", 0),
    ] {
        let photo = photo(&good_but(text(Tag::SubSecTimeOriginal, digits)));
        let local = photo.captured.unwrap().local;
        assert_eq!(local.and_utc().timestamp_subsec_nanos(), nanoseconds);
        assert_eq!(photo.troubles, []);
    }
    let photo = photo(&good_but(text(Tag::SubSecTimeOriginal, "2x")));
    assert!(photo.captured.is_some());
    assert_eq!(
        troubles(&photo),
        [(TroubleKind::Unreadable, "SubSecTimeOriginal")]
    );
}

#[test]
fn offsets_may_be_unknown_but_not_impossible() {
    let with = |offset| photo(&good_but(text(Tag::OffsetTimeOriginal, offset)));
    for blank in ["   :  ", ""] {
        let photo = with(blank);
        assert_eq!(photo.captured.unwrap().offset, None);
        assert_eq!(photo.troubles, []);
    }
    assert_eq!(
        troubles(&with("+15:00")),
        [(TroubleKind::OutOfRange, "OffsetTimeOriginal")]
    );
    assert_eq!(
        troubles(&with("local")),
        [(TroubleKind::Unreadable, "OffsetTimeOriginal")]
    );
}

#[test]
fn the_four_quarters_of_the_earth() {
    for (north, east, signs) in [
        ("N", "E", (1.0, 1.0)),
        ("N", "W", (1.0, -1.0)),
        ("S", "E", (-1.0, 1.0)),
        ("s", "w", (-1.0, -1.0)),
    ] {
        let mut fields = good_but(text(Tag::GPSLatitudeRef, north));
        fields.retain(|field| field.tag != Tag::GPSLongitudeRef);
        fields.push(text(Tag::GPSLongitudeRef, east));
        let position = photo(&fields).position.unwrap();
        assert_eq!(position.latitude.signum(), signs.0);
        assert_eq!(position.longitude.signum(), signs.1);
    }
}

#[test]
fn a_position_that_cannot_be_true_is_kept_out() {
    let signed = |over| {
        let value = SRational::from((over, 1));
        field(Tag::GPSLatitude, Value::SRational(vec![value]))
    };
    let cases: [(Field, TroubleKind, &str); 8] = [
        (
            fractions(Tag::GPSLatitude, &[(40, 0), (0, 1), (0, 1)]),
            TroubleKind::Unreadable,
            "GPSLatitude",
        ),
        (
            fractions(Tag::GPSLatitude, &[(40, 1), (26, 1), (0, 0)]),
            TroubleKind::Unreadable,
            "GPSLatitude",
        ),
        (
            fractions(Tag::GPSLatitude, &[(91, 1), (0, 1), (0, 1)]),
            TroubleKind::OutOfRange,
            "GPSLatitude",
        ),
        (
            fractions(Tag::GPSLongitude, &[(180, 1), (0, 1), (1, 1)]),
            TroubleKind::OutOfRange,
            "GPSLongitude",
        ),
        (signed(-40), TroubleKind::OutOfRange, "GPSLatitude"),
        (
            text(Tag::GPSLatitudeRef, "X"),
            TroubleKind::Unreadable,
            "GPSLatitudeRef",
        ),
        (
            text(Tag::GPSLongitudeRef, ""),
            TroubleKind::Unreadable,
            "GPSLongitudeRef",
        ),
        (
            text(Tag::GPSLatitude, "40.4462"),
            TroubleKind::Unreadable,
            "GPSLatitude",
        ),
    ];
    for (changed, kind, tag) in cases {
        let photo = photo(&good_but(changed));
        assert_eq!(photo.position, None, "{tag}");
        assert_eq!(troubles(&photo), [(kind, tag)]);
        assert!(photo.captured.is_some(), "other tags are still read");
    }
    for missing in [Tag::GPSLatitudeRef, Tag::GPSLongitude] {
        let photo = photo(&good_without(missing));
        assert_eq!(photo.position, None);
        assert_eq!(photo.troubles.len(), 1);
    }
}

#[test]
fn null_island_is_a_trouble_and_no_position() {
    let mut fields = good_but(fractions(Tag::GPSLatitude, &[(0, 1), (0, 1), (0, 1)]));
    let equator = photo(&fields);
    assert_eq!(equator.position.unwrap().latitude, 0.0);
    fields.retain(|field| field.tag != Tag::GPSLongitude);
    fields.push(fractions(Tag::GPSLongitude, &[(0, 1), (0, 1), (0, 1)]));
    let photo = photo(&fields);
    assert_eq!(photo.position, None);
    assert_eq!(troubles(&photo), [(TroubleKind::NullIsland, "GPSLatitude")]);
}

#[test]
fn altitude_and_error_may_fail_without_the_position() {
    let above = photo(&good_without(Tag::GPSAltitudeRef));
    assert_eq!(above.position.unwrap().altitude_m, Some(2.5));
    for (changed, kind) in [
        (
            fractions(Tag::GPSAltitude, &[(1, 0)]),
            TroubleKind::Unreadable,
        ),
        (
            fractions(Tag::GPSAltitude, &[(u32::MAX, 1)]),
            TroubleKind::OutOfRange,
        ),
        (
            field(Tag::GPSAltitudeRef, Value::Byte(vec![7])),
            TroubleKind::Unreadable,
        ),
    ] {
        let photo = photo(&good_but(changed));
        let position = photo.position.unwrap();
        assert_eq!((position.altitude_m, position.error_m), (None, Some(4.75)));
        assert_eq!(photo.troubles[0].kind, kind);
    }
    let photo = photo(&good_but(fractions(Tag::GPSHPositioningError, &[(0, 0)])));
    assert_eq!(photo.position.unwrap().error_m, None);
    assert_eq!(
        troubles(&photo),
        [(TroubleKind::Unreadable, "GPSHPositioningError")]
    );
}

#[test]
fn bearings_keep_their_north() {
    for (reference, expected) in [
        ("T", BearingReference::True),
        ("M", BearingReference::Magnetic),
        ("", BearingReference::Unknown),
    ] {
        let photo = photo(&good_but(text(Tag::GPSImgDirectionRef, reference)));
        assert_eq!(photo.bearing.unwrap().reference, expected);
        assert_eq!(photo.troubles, []);
    }
    let turned = photo(&good_but(fractions(Tag::GPSImgDirection, &[(360, 1)])));
    assert_eq!(turned.bearing.unwrap().degrees, 0.0);
    for (direction, kind) in [
        ((361, 1), TroubleKind::OutOfRange),
        ((12, 0), TroubleKind::Unreadable),
    ] {
        let photo = photo(&good_but(fractions(Tag::GPSImgDirection, &[direction])));
        assert_eq!(photo.bearing, None);
        assert_eq!(troubles(&photo), [(kind, "GPSImgDirection")]);
    }
}

#[test]
fn the_satellites_time_needs_both_its_tags() {
    for (fields, kind, tag) in [
        (
            good_without(Tag::GPSDateStamp),
            TroubleKind::Unreadable,
            "GPSDateStamp",
        ),
        (
            good_without(Tag::GPSTimeStamp),
            TroubleKind::Unreadable,
            "GPSTimeStamp",
        ),
        (
            good_but(text(Tag::GPSDateStamp, "0000:00:00")),
            TroubleKind::Blank,
            "GPSDateStamp",
        ),
        (
            good_but(fractions(Tag::GPSTimeStamp, &[(25, 1), (0, 1), (0, 1)])),
            TroubleKind::OutOfRange,
            "GPSTimeStamp",
        ),
        (
            good_but(fractions(Tag::GPSTimeStamp, &[(12, 1), (0, 0), (0, 1)])),
            TroubleKind::Unreadable,
            "GPSTimeStamp",
        ),
    ] {
        let photo = photo(&fields);
        assert_eq!(photo.gps_time, None);
        assert_eq!(troubles(&photo), [(kind, tag)]);
        assert!(photo.position.is_some());
    }
}

#[test]
fn a_file_that_doubts_its_own_position_keeps_it_with_a_trouble() {
    for (changed, tag) in [
        (text(Tag::GPSStatus, "V"), "GPSStatus"),
        (text(Tag::GPSMapDatum, "TOKYO"), "GPSMapDatum"),
    ] {
        let photo = photo(&good_but(changed));
        assert!(photo.position.is_some());
        assert_eq!(troubles(&photo), [(TroubleKind::Doubtful, tag)]);
    }
    for sound in [
        text(Tag::GPSStatus, "A"),
        text(Tag::GPSMapDatum, "WGS-84"),
        text(Tag::GPSMapDatum, "WGS 84"),
    ] {
        assert_eq!(photo(&good_but(sound)).troubles, []);
    }
}

#[test]
fn a_blank_serial_number_is_none() {
    for blank in ["", "0000000000", "    "] {
        let photo = photo(&good_but(text(Tag::BodySerialNumber, blank)));
        assert_eq!(photo.serial, None);
    }
}
