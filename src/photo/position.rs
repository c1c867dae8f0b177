//! Where the camera stood and which way it looked.
//!
//! Takes tags. Gives degrees and metres, with troubles for values that can't be true. Must not compare with any site.
//!
//! Source: CIPA DC-008-2019 (EXIF 2.32), section 4.6.6 (GPS tags; numbering from memory); the two ellipsoidal references of altitude
//! are from CIPA DC-008-2023 (EXIF 3.0).

use exif::Tag;

use super::found::{Foreign, Found};
use super::record::{Bearing, BearingReference, Position, TroubleKind};
use super::tags::{Tags, quotient};

/// One of the two angles of a position.
struct Axis {
    reference: Tag,
    angle: Tag,
    positive: char,
    negative: char,
    most: f64,
}

const LATITUDE: Axis = Axis {
    reference: Tag::GPSLatitudeRef,
    angle: Tag::GPSLatitude,
    positive: 'N',
    negative: 'S',
    most: 90.0,
};

const LONGITUDE: Axis = Axis {
    reference: Tag::GPSLongitudeRef,
    angle: Tag::GPSLongitude,
    positive: 'E',
    negative: 'W',
    most: 180.0,
};

/// Altitudes that are believed, in metres: from below the lowest dry shore (about -430) to above every airliner.
const ALTITUDES: std::ops::RangeInclusive<f64> = -500.0..=15_000.0;

/// The camera's position, only if both angles are there and can be true.
pub(super) fn position(tags: &mut Tags<'_>) -> Option<Position> {
    if !tags.has(LATITUDE.angle) && !tags.has(LONGITUDE.angle) {
        return None;
    }
    let (Some(latitude), Some(longitude)) = (
        signed_angle(tags, &LATITUDE),
        signed_angle(tags, &LONGITUDE),
    ) else {
        return None;
    };
    if latitude == 0.0 && longitude == 0.0 {
        tags.trouble(TroubleKind::NullIsland, LATITUDE.angle, Found::NullIsland);
        return None;
    }
    warn_of_weak_fix(tags);
    Some(Position {
        latitude,
        longitude,
        altitude_m: altitude(tags),
        error_m: error(tags),
    })
}

/// The direction in which the picture was taken.
pub(super) fn bearing(tags: &mut Tags<'_>) -> Option<Bearing> {
    let degrees = tags.fraction(Tag::GPSImgDirection)?;
    if !(0.0..=360.0).contains(&degrees) {
        let found = Found::ImpossibleBearing { degrees };
        tags.trouble(TroubleKind::OutOfRange, Tag::GPSImgDirection, found);
        return None;
    }
    let reference = match tags.text(Tag::GPSImgDirectionRef).as_deref() {
        Some("T") => BearingReference::True,
        Some("M") => BearingReference::Magnetic,
        None | Some("") => BearingReference::Unknown,
        Some(other) => {
            let found = Found::Neither {
                text: Foreign::new(other),
                one: 'T',
                other: 'M',
            };
            tags.unreadable(Tag::GPSImgDirectionRef, found);
            BearingReference::Unknown
        }
    };
    Some(Bearing {
        degrees: degrees % 360.0,
        reference,
    })
}

/// One angle in degrees with its sign. Without its letter an angle may lie on the wrong half of the earth: no value.
fn signed_angle(tags: &mut Tags<'_>, axis: &Axis) -> Option<f64> {
    if !tags.has(axis.angle) {
        tags.unreadable(axis.angle, Found::NoOtherAngle);
        return None;
    }
    let parts = tags.fractions(axis.angle)?;
    let letter = tags.text(axis.reference);
    let sign = match letter.as_deref() {
        Some(text) if text.eq_ignore_ascii_case(axis.positive.encode_utf8(&mut [0; 4])) => 1.0,
        Some(text) if text.eq_ignore_ascii_case(axis.negative.encode_utf8(&mut [0; 4])) => -1.0,
        other => {
            let found = match other {
                Some(text) => Found::Neither {
                    text: Foreign::new(text),
                    one: axis.positive,
                    other: axis.negative,
                },
                None => Found::NoSign,
            };
            tags.unreadable(axis.reference, found);
            return None;
        }
    };
    let degrees = degrees(&parts).filter(|degrees| *degrees <= axis.most);
    if degrees.is_none() {
        let found = parts
            .iter()
            .take(3)
            .map(|&part| quotient(part).to_string())
            .collect::<Vec<_>>()
            .join(" ");
        let found = Found::Value(Foreign::new(&found));
        tags.trouble(TroubleKind::OutOfRange, axis.angle, found);
    }
    // Adding zero turns minus zero, which would print as such, into zero.
    degrees.map(|degrees| sign * degrees + 0.0)
}

/// Degrees, minutes and seconds as one number. Some writers leave out what is zero at the end.
fn degrees(parts: &[(i64, i64)]) -> Option<f64> {
    if parts.len() > 3 {
        return None;
    }
    let mut sum = 0.0;
    for ((part, unit), most) in parts
        .iter()
        .zip([1.0, 60.0, 3600.0])
        // Rounding gives 60 minutes or seconds here and there; that is still the right place.
        .zip([f64::INFINITY, 60.0, 60.0])
    {
        let value = quotient(*part);
        if !(0.0..=most).contains(&value) {
            return None;
        }
        sum += value / unit;
    }
    Some(sum)
}

/// Metres above sea level, or above the ellipsoid where the file says so; below is negative.
fn altitude(tags: &mut Tags<'_>) -> Option<f64> {
    let metres = tags.fraction(Tag::GPSAltitude)?;
    let metres = match tags.number(Tag::GPSAltitudeRef) {
        // Above is the default.
        None | Some(0 | 2) => metres,
        Some(1 | 3) => -metres,
        Some(other) => {
            let found = Found::UnknownAltitudeReference(other);
            tags.unreadable(Tag::GPSAltitudeRef, found);
            return None;
        }
    };
    if !ALTITUDES.contains(&metres) {
        let found = Found::ImpossibleAltitude { metres };
        tags.trouble(TroubleKind::OutOfRange, Tag::GPSAltitude, found);
        return None;
    }
    // Minus zero would print as such.
    Some(metres + 0.0)
}

/// Horizontal error in metres, as the device states it.
fn error(tags: &mut Tags<'_>) -> Option<f64> {
    let metres = tags.fraction(Tag::GPSHPositioningError)?;
    if metres < 0.0 {
        let found = Found::NegativeError { metres };
        tags.trouble(TroubleKind::OutOfRange, Tag::GPSHPositioningError, found);
        return None;
    }
    Some(metres)
}

/// Says where the file itself doubts its position, or counts it from another figure of the earth.
fn warn_of_weak_fix(tags: &mut Tags<'_>) {
    if tags
        .text(Tag::GPSStatus)
        .is_some_and(|status| status == "V")
    {
        tags.trouble(TroubleKind::Doubtful, Tag::GPSStatus, Found::InterruptedFix);
    }
    if let Some(datum) = tags.text(Tag::GPSMapDatum) {
        let folded: String = datum
            .chars()
            .filter(char::is_ascii_alphanumeric)
            .map(|character| character.to_ascii_uppercase())
            .collect();
        if !matches!(folded.as_str(), "" | "WGS84") {
            let found = Found::OtherDatum(Foreign::new(&datum));
            tags.trouble(TroubleKind::Doubtful, Tag::GPSMapDatum, found);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::degrees;

    #[test]
    fn degrees_minutes_and_seconds_are_summed() {
        let near = |parts: &[(i64, i64)], expected: f64| {
            let found = degrees(parts).unwrap();
            // A hundredth of a second of arc is 0.3 m; sums of three quotients are far closer.
            assert!((found - expected).abs() < 1e-12, "{found} {expected}");
        };
        near(&[(40, 1), (26, 1), (4632, 100)], 40.446_2);
        near(&[(40, 1), (26_772, 1000)], 40.446_2);
        near(&[(404_462, 10_000)], 40.446_2);
        near(&[(39, 1), (59, 1), (60, 1)], 40.0);
    }

    #[test]
    fn impossible_parts_are_no_angle() {
        assert_eq!(degrees(&[(40, 1), (61, 1), (0, 1)]), None);
        assert_eq!(degrees(&[(40, 1), (0, 1), (-1, 1)]), None);
        assert_eq!(degrees(&[(40, 1), (0, 1), (0, 1), (0, 1)]), None);
    }
}
