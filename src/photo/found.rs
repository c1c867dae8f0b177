//! What may be found amiss in a photo: a value for each, which a cache can keep, with the sentence that says it.
//!
//! Takes what the readers of files and tags met. Gives its words. Text from the file comes in as [`Foreign`] alone, so that it can't do
//! harm where it is shown. Must not read a file, nor judge what was found.

use serde::{Deserialize, Serialize};

use super::record::Format;
use crate::words;
use crate::words::{Fill, Words};

/// What was found, in the file or at one of its tags. Places are in bytes from the beginning of the file, or of its block of tags.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub enum Found {
    // The file.
    NoBytes,
    Beginning(Foreign),
    OtherFormat {
        promised: Format,
        format: Format,
    },
    NoSides,
    EndWithinPicture,
    EndBeforePicture,
    EndWithinBox,
    EndWithinSegment,
    EndWithinHeader,
    EndBeforeTags,
    FewerBytes {
        bytes: u64,
        stated: u64,
    },
    NoItems,
    EmptyBox {
        offset: u64,
    },
    TooManyItems,
    TooManyBoxes,
    ExifWithoutPlace,
    ExifOutsideFile,
    EndMarkBeforePicture,
    NoMarker {
        offset: u64,
    },
    EmptySegment {
        offset: u64,
    },
    TooManySegments,
    TooManyChunks,
    BigTiff,
    TooManyTags,
    TagsTooFar,
    // Its tags.
    BrokenBlock,
    TooManyTagsInBlock,
    CutTable,
    PointsTo {
        start: usize,
    },
    PointsOutside,
    OtherType(u16),
    TooLong {
        bytes: usize,
    },
    NotReadable,
    NoText,
    NoNumber,
    NoFraction,
    OverZero(i64),
    NoOtherAngle,
    NoSign,
    NoTimeToDate,
    NoDateToTime,
    NullIsland,
    InterruptedFix,
    ImpossibleOrientation(u32),
    ImpossibleBearing {
        degrees: f64,
    },
    UnknownAltitudeReference(u32),
    ImpossibleAltitude {
        metres: f64,
    },
    NegativeError {
        metres: f64,
    },
    Neither {
        text: Foreign,
        one: char,
        other: char,
    },
    OtherDatum(Foreign),
    /// What stands there, which tells enough.
    Value(Foreign),
}

impl Found {
    /// A text that tells enough as it stands there.
    pub(super) fn text(text: &str) -> Self {
        Self::Value(Foreign::new(&format!("“{text}”")))
    }

    /// As the end of a sentence that begins with the tag or the part of the file. Numbers are as the file has them.
    pub fn words(&self) -> Words {
        match self {
            Self::NoBytes => words!("has no bytes: the copy failed, or is still under way"),
            Self::Beginning(beginning) => words!("begins with {beginning}", beginning),
            Self::OtherFormat { promised, format } => words!(
                "is named as {promised} but holds {format}",
                promised = promised.name(),
                format = format.name()
            ),
            Self::NoSides => words!("states no width and height"),
            Self::EndWithinPicture => words!("ends before the picture does"),
            Self::EndBeforePicture => words!("ends before the picture begins"),
            Self::EndWithinBox => words!("ends within a box"),
            Self::EndWithinSegment => words!("ends within a segment"),
            Self::EndWithinHeader => words!("ends within its header"),
            Self::EndBeforeTags => words!("ends before its table of tags"),
            Self::FewerBytes { bytes, stated } => words!(
                "has {bytes} bytes of the {stated} that it states",
                bytes = bytes.to_string(),
                stated = stated.to_string()
            ),
            Self::NoItems => words!("has no table of its items"),
            Self::EmptyBox { offset } => words!(
                "has a box of no size at byte {offset}",
                offset = offset.to_string()
            ),
            Self::TooManyItems => words!("has a table of items larger than any camera writes"),
            Self::TooManyBoxes => words!("has more boxes than any camera writes"),
            Self::ExifWithoutPlace => words!("names an EXIF block but not its place"),
            Self::ExifOutsideFile => words!("has an EXIF block that lies outside the file"),
            Self::EndMarkBeforePicture => words!("says that the picture ends before it begins"),
            Self::NoMarker { offset } => words!(
                "has no marker at byte {offset}, where one must be",
                offset = offset.to_string()
            ),
            Self::EmptySegment { offset } => words!(
                "has a segment of no length at byte {offset}",
                offset = offset.to_string()
            ),
            Self::TooManySegments => words!("has more segments than any camera writes"),
            Self::TooManyChunks => words!("has more chunks than any picture needs"),
            Self::BigTiff => words!("is a BigTIFF, whose tags are not read"),
            Self::TooManyTags => words!("has more tags than any camera writes"),
            Self::TagsTooFar => words!("has its tags too far from its beginning to be read"),
            Self::BrokenBlock => words!("the block is broken, so that no tag can be read"),
            Self::TooManyTagsInBlock => words!("the block has more tags than any camera writes"),
            Self::CutTable => words!("a table of tags is cut, so that some may be missing"),
            Self::PointsTo { start } => words!(
                "points to byte {start}, outside the block",
                start = start.to_string()
            ),
            Self::PointsOutside => words!("points outside the block"),
            Self::OtherType(kind) => words!(
                "has the type {kind}, which it can't have",
                kind = kind.to_string()
            ),
            Self::TooLong { bytes } => words!(
                "claims a length of {length} bytes",
                length = bytes.to_string()
            ),
            Self::NotReadable => words!("can't be read"),
            Self::NoText => words!("is no text"),
            Self::NoNumber => words!("is no number"),
            Self::NoFraction => words!("is no fraction"),
            Self::OverZero(number) => words!("is {number}/0", number = number.to_string()),
            Self::NoOtherAngle => words!("is missing, though the other angle is there"),
            Self::NoSign => words!("is missing, so that the sign is unknown"),
            Self::NoTimeToDate => words!("is missing, though GPSDateStamp is there"),
            Self::NoDateToTime => words!("is missing, though GPSTimeStamp is there"),
            Self::NullIsland => {
                words!("the position is 0° N 0° E, which a device writes when it has none")
            }
            Self::InterruptedFix => {
                words!("is V: the fix was interrupted, so that the position may be an old one")
            }
            Self::ImpossibleOrientation(number) => words!(
                "is {number}, outside 1 to 8; the picture is taken as upright",
                number = number.to_string()
            ),
            Self::ImpossibleBearing { degrees } => words!(
                "is {degrees} degrees, outside 0 to 360",
                degrees = degrees.to_string()
            ),
            Self::UnknownAltitudeReference(number) => {
                words!("is {number}, outside 0 to 3", number = number.to_string())
            }
            Self::ImpossibleAltitude { metres } => words!(
                "is {metres} m, where no one takes photos",
                metres = metres.to_string()
            ),
            Self::NegativeError { metres } => {
                words!("is {metres} m, below zero", metres = metres.to_string())
            }
            Self::Neither { text, one, other } => words!(
                "is “{text}”, neither {one} nor {other}",
                text,
                one = *one,
                other = *other
            ),
            Self::OtherDatum(datum) => words!(
                "is “{datum}”, not WGS-84, so that the position may be some metres off",
                datum
            ),
            Self::Value(text) => Words::own(text.0.as_str()),
        }
    }
}

/// Text from a file, made fit for a list by [`printable`].
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Foreign(String);

impl Foreign {
    pub(super) fn new(text: &str) -> Self {
        Self(printable(text))
    }
}

impl From<&Foreign> for Fill {
    fn from(text: &Foreign) -> Self {
        Self::Own(text.0.clone().into())
    }
}

/// Foreign text made fit for a list: characters that control a terminal or turn the direction of writing become
/// `\u{fffd}`, and what is longer than a hundred characters is cut with an ellipsis.
pub(super) fn printable(text: &str) -> String {
    /// Enough for a time or a name, too short to flood a list.
    const LONGEST: usize = 100;
    let mut kept: String = text
        .chars()
        .take(LONGEST)
        .map(|character| match character {
            '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' => char::REPLACEMENT_CHARACTER,
            character if character.is_control() => char::REPLACEMENT_CHARACTER,
            character => character,
        })
        .collect();
    if text.chars().nth(LONGEST).is_some() {
        kept.push('…');
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn foreign_text_cannot_steer_a_terminal_or_flood_a_list() {
        let found = Found::OtherDatum(Foreign::new("a\u{1b}[31m\nb\u{202e}c"));
        let said = found.words().to_string();
        assert!(said.starts_with("is “a\u{fffd}[31m\u{fffd}b\u{fffd}c”,"));
        let said = Found::text(&"é".repeat(5000)).words().to_string();
        assert_eq!(said.chars().count(), 101);
        assert!(said.ends_with('…'));
    }
}
