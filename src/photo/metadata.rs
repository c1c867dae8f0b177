//! Tags of one photo as typed values: orientation, camera, and the way to every other tag.
//!
//! Takes a [`Source`] over an EXIF block. Gives values, and a [`Trouble`] for each tag that is there but can't be read.
//! Must not judge what a value means for the season.
//!
//! Source of every tag's number, type and meaning: CIPA DC-008-2019 (EXIF 2.32), tables 4 (primary), 7 (Exif) and 15
//! (GPS); numbering of tables from memory.

use std::io::{self, Read, Seek};

use super::ifd::{Directory, Header, NoValue, Value};
use super::record::{Photo, Trouble, TroubleKind};
use super::source::Source;
use super::{position, time};

/// The directory in which a tag belongs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Place {
    Primary,
    Exif,
    Gps,
}

/// A tag of the standard.
#[derive(Debug, Clone, Copy)]
pub(super) struct Tag {
    place: Place,
    code: u16,
    /// The name that the standard gives it.
    pub(super) name: &'static str,
}

impl Tag {
    pub(super) const fn primary(code: u16, name: &'static str) -> Self {
        Self {
            place: Place::Primary,
            code,
            name,
        }
    }

    pub(super) const fn exif(code: u16, name: &'static str) -> Self {
        Self {
            place: Place::Exif,
            code,
            name,
        }
    }

    pub(super) const fn gps(code: u16, name: &'static str) -> Self {
        Self {
            place: Place::Gps,
            code,
            name,
        }
    }
}

const EXIF_DIRECTORY: Tag = Tag::primary(0x8769, "Exif IFD Pointer");
const GPS_DIRECTORY: Tag = Tag::primary(0x8825, "GPS Info IFD Pointer");
const MAKE: Tag = Tag::primary(0x010f, "Make");
const MODEL: Tag = Tag::primary(0x0110, "Model");
const ORIENTATION: Tag = Tag::primary(0x0112, "Orientation");
const BODY_SERIAL_NUMBER: Tag = Tag::exif(0xa431, "BodySerialNumber");

/// Reads everything that we want from an EXIF block into `photo`.
pub(super) fn fill<R: Read + Seek>(source: &mut Source<R>, photo: &mut Photo) -> io::Result<()> {
    let Some(mut tags) = Tags::open(source, &mut photo.troubles)? else {
        return Ok(());
    };
    photo.orientation = orientation(&mut tags)?;
    photo.captured = time::captured(&mut tags)?;
    photo.gps_time = time::gps_time(&mut tags)?;
    photo.position = position::position(&mut tags)?;
    photo.bearing = position::bearing(&mut tags)?;
    photo.camera = camera(&mut tags)?;
    photo.serial = tags
        .text(BODY_SERIAL_NUMBER)?
        .map(|text| tidy(&text))
        .filter(|serial| serial.chars().any(|character| character != '0'));
    Ok(())
}

/// The directories that we read.
struct Directories {
    primary: Directory,
    exif: Option<Directory>,
    gps: Option<Directory>,
}

impl Directories {
    fn at(&self, place: Place) -> Option<&Directory> {
        match place {
            Place::Primary => Some(&self.primary),
            Place::Exif => self.exif.as_ref(),
            Place::Gps => self.gps.as_ref(),
        }
    }
}

/// The way to the tags of one block, and the list that troubles go to.
pub(super) struct Tags<'a, R> {
    source: &'a mut Source<R>,
    directories: Directories,
    troubles: &'a mut Vec<Trouble>,
}

impl<'a, R: Read + Seek> Tags<'a, R> {
    /// `None` if the block has no directory at all; a trouble says so.
    fn open(source: &'a mut Source<R>, troubles: &'a mut Vec<Trouble>) -> io::Result<Option<Self>> {
        let header = Header::parse(&source.piece(0, 8)?);
        let primary = match header {
            Some(header) => Directory::read(source, header.order, header.first.into())?,
            None => None,
        };
        let (Some(header), Some(primary)) = (header, primary) else {
            troubles.push(Trouble::new(
                TroubleKind::Damaged,
                "EXIF",
                "the block is broken, so that no tag can be read",
            ));
            return Ok(None);
        };
        let mut tags = Self {
            source,
            directories: Directories {
                primary,
                exif: None,
                gps: None,
            },
            troubles,
        };
        tags.directories.exif = tags.child(EXIF_DIRECTORY, header)?;
        tags.directories.gps = tags.child(GPS_DIRECTORY, header)?;
        for place in [Place::Primary, Place::Exif, Place::Gps] {
            let directory = tags.directories.at(place);
            if directory.is_some_and(|directory| directory.cut) {
                tags.troubles.push(Trouble::new(
                    TroubleKind::Damaged,
                    "EXIF",
                    "a table of tags is cut, so that some may be missing",
                ));
            }
        }
        Ok(Some(tags))
    }

    fn child(&mut self, pointer: Tag, header: Header) -> io::Result<Option<Directory>> {
        let Some(start) = self.number(pointer)? else {
            return Ok(None);
        };
        let directory = Directory::read(self.source, header.order, start.into())?;
        if directory.is_none() {
            self.unreadable(
                pointer,
                format!("points to byte {start}, outside the block"),
            );
        }
        Ok(directory)
    }

    /// Whether the tag is there, readable or not.
    pub(super) fn has(&self, tag: Tag) -> bool {
        self.directories
            .at(tag.place)
            .is_some_and(|directory| directory.has(tag.code))
    }

    pub(super) fn trouble(&mut self, kind: TroubleKind, tag: Tag, found: impl AsRef<str>) {
        self.troubles.push(Trouble::new(kind, tag.name, found));
    }

    pub(super) fn unreadable(&mut self, tag: Tag, found: impl AsRef<str>) {
        self.trouble(TroubleKind::Unreadable, tag, found);
    }

    /// The tag's value of whatever type. A value that lies outside the block is a trouble.
    pub(super) fn value(&mut self, tag: Tag) -> io::Result<Option<Value>> {
        let value = match self.directories.at(tag.place) {
            Some(directory) => directory.value(self.source, tag.code)?,
            None => None,
        };
        match value {
            None => Ok(None),
            Some(Ok(value)) => Ok(Some(value)),
            Some(Err(reason)) => {
                let found = match reason {
                    NoValue::Outside => "points outside the block".to_owned(),
                    NoValue::Kind(kind) => format!("has the type {kind}, which it can't have"),
                    NoValue::Long(length) => format!("claims a length of {length} bytes"),
                };
                self.unreadable(tag, found);
                Ok(None)
            }
        }
    }

    /// A text without blanks at its ends. Empty text is kept: the caller knows whether it matters.
    pub(super) fn text(&mut self, tag: Tag) -> io::Result<Option<String>> {
        let bytes = match self.value(tag)? {
            // Some writers declare text as bytes of no type.
            Some(Value::Text(bytes) | Value::Undefined(bytes)) => bytes,
            Some(_) => {
                self.unreadable(tag, "is no text");
                return Ok(None);
            }
            None => return Ok(None),
        };
        let blank = |character: char| character == '\0' || character.is_whitespace();
        let text = String::from_utf8_lossy(&bytes);
        Ok(Some(text.trim_matches(blank).to_owned()))
    }

    /// The first of a tag's whole numbers.
    pub(super) fn number(&mut self, tag: Tag) -> io::Result<Option<u32>> {
        let first = match self.value(tag)? {
            Some(Value::Unsigned(numbers)) => numbers.first().copied(),
            // A byte may be declared as having no type.
            Some(Value::Undefined(bytes)) => bytes.first().copied().map(u32::from),
            Some(_) => None,
            None => return Ok(None),
        };
        if first.is_none() {
            self.unreadable(tag, "is no number");
        }
        Ok(first)
    }

    /// Fractions as the tag has them; a denominator of zero is a trouble and no value.
    pub(super) fn fractions(&mut self, tag: Tag) -> io::Result<Option<Vec<(i64, i64)>>> {
        match self.value(tag)? {
            Some(Value::Rational(fractions)) if !fractions.is_empty() => {
                if let Some((over, _)) = fractions.iter().find(|(_, under)| *under == 0) {
                    self.unreadable(tag, format!("is {over}/0"));
                    return Ok(None);
                }
                Ok(Some(fractions))
            }
            Some(_) => {
                self.unreadable(tag, "is no fraction");
                Ok(None)
            }
            None => Ok(None),
        }
    }

    /// One fraction as a number. Never infinite, never undefined.
    pub(super) fn fraction(&mut self, tag: Tag) -> io::Result<Option<f64>> {
        let fractions = self.fractions(tag)?;
        Ok(fractions.and_then(|fractions| fractions.first().map(|&fraction| quotient(fraction))))
    }
}

/// A fraction with a denominator that isn't zero, as a number. Both parts are 32-bit, so that nothing is lost.
pub(super) fn quotient((over, under): (i64, i64)) -> f64 {
    over as f64 / under as f64
}

fn orientation<R: Read + Seek>(tags: &mut Tags<'_, R>) -> io::Result<u8> {
    Ok(match tags.number(ORIENTATION)? {
        None => 1,
        Some(number @ 1..=8) => number as u8,
        Some(number) => {
            let found = format!("is {number}, outside 1 to 8; the picture is taken as upright");
            tags.trouble(TroubleKind::OutOfRange, ORIENTATION, found);
            1
        }
    })
}

fn camera<R: Read + Seek>(tags: &mut Tags<'_, R>) -> io::Result<Option<String>> {
    let make = tags.text(MAKE)?.map(|text| tidy(&text)).unwrap_or_default();
    let model = tags
        .text(MODEL)?
        .map(|text| tidy(&text))
        .unwrap_or_default();
    Ok(joined(&make, &model))
}

/// Make and model in one name. The make is left out where the model begins with its first word.
fn joined(make: &str, model: &str) -> Option<String> {
    let first_word = |text: &str| text.split(' ').next().map(str::to_lowercase);
    match (make, model) {
        ("", "") => None,
        (make, "") => Some(make.to_owned()),
        ("", model) => Some(model.to_owned()),
        (make, model) if first_word(make) == first_word(model) => Some(model.to_owned()),
        (make, model) => Some(format!("{make} {model}")),
    }
}

/// A name fit for print: single blanks, no control characters, bounded length.
fn tidy(text: &str) -> String {
    /// Longer than any name of a camera.
    const LONGEST: usize = 100;
    let printable: String = text
        .chars()
        .map(|character| {
            if character.is_control() {
                ' '
            } else {
                character
            }
        })
        .take(LONGEST)
        .collect();
    printable.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_make_is_not_repeated() {
        for (make, model, expected) in [
            ("Heron Optical", "Wader 3", Some("Heron Optical Wader 3")),
            ("HERON OPTICAL", "Heron Wader 3", Some("Heron Wader 3")),
            ("", "Wader 3", Some("Wader 3")),
            ("Heron Optical", "", Some("Heron Optical")),
            ("", "", None),
        ] {
            assert_eq!(joined(make, model).as_deref(), expected);
        }
    }

    #[test]
    fn names_are_tidied() {
        assert_eq!(tidy("  Heron \u{7} \n Optical "), "Heron Optical");
        assert_eq!(tidy(&"x".repeat(5000)).len(), 100);
    }
}
