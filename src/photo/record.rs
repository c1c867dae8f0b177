//! The record of one photo, as typed values.
//!
//! Takes nothing. Gives the types that the rest of the program reads. Must not read files or decode tags.

use std::fmt;

use chrono::{DateTime, FixedOffset, MappedLocalTime, NaiveDateTime, TimeZone, Utc};
use serde::{Deserialize, Deserializer, Serialize, Serializer, de};

use super::found::Found;
use crate::shared::Shared;
use crate::words;
use crate::words::Words;

/// What one photo file says of itself.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Photo {
    /// Path relative to the season folder, parts separated by `/`.
    pub path: Shared,
    /// Length of the file in bytes.
    pub bytes: u64,
    /// SHA-256 of the whole file; serialised as 64 lower-case hexadecimal digits.
    #[serde(serialize_with = "hexadecimal", deserialize_with = "from_hexadecimal")]
    pub sha256: [u8; 32],
    /// Format by content, never by the file's name; `None` when the content is none of ours.
    pub format: Option<Format>,
    /// Width and height in pixels as stored, before the orientation is applied.
    pub dimensions: Option<(u32, u32)>,
    /// EXIF orientation, 1 to 8; 1 when absent or unreadable. The turns that a HEIC states beside EXIF
    /// are left to [`super::thumbnail`].
    pub orientation: u8,
    /// When the picture was taken, by the camera's own clock.
    pub captured: Option<Captured>,
    /// Time of the satellite fix, which EXIF keeps in UTC.
    pub gps_time: Option<DateTime<Utc>>,
    /// Where the camera stood, in WGS 84 unless the file says otherwise (then a trouble says so).
    pub position: Option<Position>,
    /// Which way the camera looked.
    pub bearing: Option<Bearing>,
    /// Make and model, the make not repeated.
    pub camera: Option<Shared>,
    /// Body serial number, only for telling two equal models apart.
    pub serial: Option<Shared>,
    /// What could not be read or believed.
    pub troubles: Vec<Trouble>,
}

impl Photo {
    /// The camera by which photos are told apart: its name, with its serial number where it writes one.
    pub fn device(&self) -> Option<String> {
        let camera = self.camera.as_deref()?;
        Some(match &self.serial {
            Some(serial) => format!("{camera} ({serial})"),
            None => camera.to_owned(),
        })
    }
}

/// Picture formats that a season folder may hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum Format {
    Jpeg,
    Heic,
    Png,
    Tiff,
    WebP,
}

impl Format {
    /// The format's usual name in print.
    pub fn name(self) -> &'static str {
        match self {
            Self::Jpeg => "JPEG",
            Self::Heic => "HEIC",
            Self::Png => "PNG",
            Self::Tiff => "TIFF",
            Self::WebP => "WebP",
        }
    }

    /// The format that a lower-case file extension promises, if it is one of ours.
    pub fn promised_by(extension: &str) -> Option<Self> {
        match extension {
            "jpg" | "jpeg" | "jpe" | "jfif" => Some(Self::Jpeg),
            "heic" | "heif" | "hif" => Some(Self::Heic),
            "png" => Some(Self::Png),
            "tif" | "tiff" => Some(Self::Tiff),
            "webp" => Some(Self::WebP),
            _ => None,
        }
    }
}

impl fmt::Display for Format {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(self.name())
    }
}

/// The time on the camera's clock when the picture was taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Captured {
    /// Wall-clock time, with the fraction of a second where the camera wrote one.
    pub local: NaiveDateTime,
    /// Offset from UTC; `Some` only if the offset tag that belongs to `source` was there and readable.
    /// Serialised as `+HH:MM`.
    #[serde(serialize_with = "offset_text", deserialize_with = "from_offset_text")]
    pub offset: Option<FixedOffset>,
    /// The tag that gave the time.
    pub source: CapturedSource,
}

/// The EXIF tag that gave the time of a photo, best first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum CapturedSource {
    /// When the picture was taken (0x9003).
    DateTimeOriginal,
    /// When it was stored as digital data (0x9004): the same for a digital camera.
    DateTimeDigitized,
    /// When the file was last changed (0x0132): an editor may have moved it.
    DateTime,
}

/// A camera's wall-clock time placed in UTC, or why it can't be.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub enum Resolved {
    /// The photo itself states its offset.
    Stated(DateTime<Utc>),
    /// No offset in the photo: read in the season's time zone, where this wall-clock time happened once.
    ByZone(DateTime<Utc>),
    /// No offset in the photo, and the clocks were put back: the wall-clock time happened twice.
    Ambiguous {
        earlier: DateTime<Utc>,
        later: DateTime<Utc>,
    },
    /// No offset in the photo, and the clocks were put forward past this wall-clock time: it never happened.
    Nonexistent,
}

impl Resolved {
    /// The one instant, if there is just one.
    pub fn instant(self) -> Option<DateTime<Utc>> {
        match self {
            Self::Stated(instant) | Self::ByZone(instant) => Some(instant),
            Self::Ambiguous { .. } | Self::Nonexistent => None,
        }
    }
}

impl Captured {
    /// Places the time in UTC: by the photo's own offset if it has one, else by the season's time zone.
    pub fn utc(&self, zone: chrono_tz::Tz) -> Resolved {
        if let Some(offset) = self.offset {
            // An offset is below a day and EXIF years have four digits, so that the sum stays in chrono's range.
            let shift = chrono::TimeDelta::seconds(i64::from(offset.local_minus_utc()));
            return match self.local.checked_sub_signed(shift) {
                Some(utc) => Resolved::Stated(utc.and_utc()),
                None => Resolved::Nonexistent,
            };
        }
        match zone.from_local_datetime(&self.local) {
            MappedLocalTime::Single(instant) => Resolved::ByZone(instant.to_utc()),
            MappedLocalTime::Ambiguous(earlier, later) => Resolved::Ambiguous {
                earlier: earlier.to_utc(),
                later: later.to_utc(),
            },
            MappedLocalTime::None => Resolved::Nonexistent,
        }
    }
}

/// Where the camera stood.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Position {
    /// Degrees, north positive, -90 to 90.
    pub latitude: f64,
    /// Degrees, east positive, -180 to 180.
    pub longitude: f64,
    /// Metres above the reference surface (below it: negative), as the device understood that surface.
    pub altitude_m: Option<f64>,
    /// Horizontal error in metres as the device stated it (GPSHPositioningError).
    pub error_m: Option<f64>,
}

/// Which way the camera looked.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Bearing {
    /// Degrees clockwise from north, 0 to below 360.
    pub degrees: f64,
    /// Which north.
    pub reference: BearingReference,
}

/// The north that a bearing is counted from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum BearingReference {
    True,
    Magnetic,
    Unknown,
}

/// Something in a photo that could not be read or believed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Trouble {
    pub kind: TroubleKind,
    /// Name of the tag or part of the file, for example `GPSLatitude` or `file`.
    pub tag: String,
    /// What was found there; in JSON its English sentence.
    #[serde(serialize_with = "said_or_kept")]
    pub found: Found,
}

/// What sort of trouble it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum TroubleKind {
    /// The file has no bytes.
    Empty,
    /// The content is none of the formats that we know.
    NotAPicture,
    /// The content is a picture, but not of the format that the file's name promises.
    WrongExtension,
    /// The file ends before the picture does.
    Truncated,
    /// The file's structure is broken, so that size or metadata may be missing.
    Damaged,
    /// A tag is there but blank or all zeros, as when a clock was never set.
    Blank,
    /// A tag is there but can't be read as what the standard says it holds.
    Unreadable,
    /// A tag was read, but its value can't be true.
    OutOfRange,
    /// The value was read and kept, but the file itself says that it is weak.
    Doubtful,
    /// The position is exactly 0° N 0° E: a device without a fix.
    NullIsland,
}

impl Trouble {
    pub(super) fn new(kind: TroubleKind, tag: impl Into<String>, found: Found) -> Self {
        Self {
            kind,
            tag: tag.into(),
            found,
        }
    }

    /// The trouble as a sentence.
    pub fn words(&self) -> Words {
        words!(
            "{tag}: {found}.",
            tag = &self.tag,
            found = self.found.words()
        )
    }
}

/// Words in what people read, and the value itself where it is kept to be said later.
fn said_or_kept<S: Serializer>(found: &Found, serializer: S) -> Result<S::Ok, S::Error> {
    if serializer.is_human_readable() {
        found.words().serialize(serializer)
    } else {
        found.serialize(serializer)
    }
}

fn hexadecimal<S: Serializer>(bytes: &[u8; 32], serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_str(&crate::hash::hex(bytes))
}

fn offset_text<S: Serializer>(
    offset: &Option<FixedOffset>,
    serializer: S,
) -> Result<S::Ok, S::Error> {
    match offset {
        Some(offset) => serializer.serialize_some(&offset.to_string()),
        None => serializer.serialize_none(),
    }
}

fn from_hexadecimal<'a, D: Deserializer<'a>>(from: D) -> Result<[u8; 32], D::Error> {
    let text = String::deserialize(from)?;
    crate::hash::parse_hash(&text).ok_or_else(|| de::Error::custom("it is no SHA-256"))
}

fn from_offset_text<'a, D: Deserializer<'a>>(from: D) -> Result<Option<FixedOffset>, D::Error> {
    let text = Option::<String>::deserialize(from)?;
    let offset = text.map(|text| text.parse::<FixedOffset>());
    offset.transpose().map_err(de::Error::custom)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_trouble_is_said_in_json_and_kept_as_it_is_in_a_cache() {
        let found = Found::TooLong { bytes: 5000 };
        let trouble = Trouble::new(TroubleKind::Unreadable, "Make", found);
        let json = serde_json::to_value(&trouble).unwrap();
        assert_eq!(json["found"], "claims a length of 5000 bytes");
        let kept = rmp_serde::to_vec(&trouble).unwrap();
        assert_eq!(rmp_serde::from_slice::<Trouble>(&kept).unwrap(), trouble);
    }
}
