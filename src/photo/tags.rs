//! Tags of one block as typed values, and the way from a damaged one to a [`Trouble`].
//!
//! Takes a block that begins with a TIFF header. Gives values, decoded by kamadak-exif, and a trouble for each tag that
//! is there but can't be read. Must not know what a tag means.

use exif::{Context, Exif, In, Reader, Tag, Value};

use super::found::Found;
use super::outline::{NoOutline, Outline, Row};
use super::record::{Trouble, TroubleKind};

/// The longest value that is read, in bytes; texts and numbers that we want are far shorter.
const LONGEST_VALUE: usize = 4096;

/// Text in UTF-8 (CIPA DC-008-2023, EXIF 3.0): a type that kamadak-exif 0.6.2 hands out undecoded.
const UTF8: u16 = 129;

/// The tags of one block.
pub(super) struct Block {
    exif: Exif,
    outline: Outline,
}

impl Block {
    /// The sound part of a block.
    ///
    /// # Errors
    /// If there is none, or if reading it would take more work than any camera's tags are worth.
    pub(super) fn open(bytes: Vec<u8>) -> Result<Self, NoOutline> {
        let outline = Outline::of(&bytes)?;
        let exif = Reader::new()
            .continue_on_error(true)
            .read_raw(bytes)
            // The errors name no tag; the outline does.
            .or_else(|error| error.distill_partial_result(|_| ()))
            .map_err(|_| NoOutline::NoTable)?;
        Ok(Self { exif, outline })
    }

    /// The tag's value: `None` if the tag is absent, what is wrong if it is there without one.
    fn value(&self, tag: Tag) -> Option<Result<Value, Found>> {
        let row = self.outline.row(tag)?;
        if let Some(fault) = self.fault(row) {
            return Some(Err(fault));
        }
        if row.kind == UTF8 {
            return Some(Ok(self.utf8(row)));
        }
        let value = self.decoded(tag);
        Some(value.ok_or(Found::NotReadable))
    }

    /// Why a row has no value that we read.
    fn fault(&self, row: Row) -> Option<Found> {
        // No tag of ours has a signed whole number or a float (CIPA DC-008-2019, the tables of tags).
        if !matches!(row.kind, 1..=5 | 7 | 10 | UTF8) {
            return Some(Found::OtherType(row.kind));
        }
        if row.length > LONGEST_VALUE {
            return Some(Found::TooLong { bytes: row.length });
        }
        let outside = row.end() > self.exif.buf().len();
        outside.then_some(Found::PointsOutside)
    }

    fn decoded(&self, tag: Tag) -> Option<Value> {
        if self.outline.is_repeated(tag) {
            return self.alone(tag);
        }
        let field = self.exif.get_field(tag, In::PRIMARY)?;
        Some(field.value.clone())
    }

    /// The value of a tag's first row: it is put into a block of its own, since of several the library gives the last.
    fn alone(&self, tag: Tag) -> Option<Value> {
        let bytes = self.exif.buf();
        let row = self.outline.row(tag)?;
        let number_kind_count = bytes.get(row.place..row.place + 8)?;
        let value = bytes.get(row.start..row.end())?;
        let little = self.exif.little_endian();
        let (head, place) = if little {
            (b"II\x2a\0\x08\0\0\0\x01\0", b"\x1a\0\0\0")
        } else {
            (b"MM\0\x2a\0\0\0\x08\0\x01", b"\0\0\0\x1a")
        };
        // A short value stands where else its place does; then come the four bytes that name no further table.
        let parts = match value.len() {
            ..4 => [head, number_kind_count, value, &[0; 8]],
            4 => [head, number_kind_count, value, &[0; 4]],
            _ => [head, number_kind_count, place, &[0; 4]],
        };
        let mut block = parts.concat();
        // Row and value of the head's table end at byte 26.
        block.truncate(26);
        block.extend(value);
        let alone = Reader::new().read_raw(block).ok()?;
        let field = alone.get_field(Tag(Context::Tiff, tag.number()), In::PRIMARY)?;
        Some(field.value.clone())
    }

    /// Text of EXIF 3.0: bytes up to the first NUL, like those of the older type.
    fn utf8(&self, row: Row) -> Value {
        let bytes = self.exif.buf().get(row.start..row.end());
        let text = bytes.and_then(|bytes| bytes.split(|&byte| byte == 0).next());
        Value::Ascii(text.into_iter().map(<[u8]>::to_vec).collect())
    }

    /// The last of a tag's whole numbers, however many there are; `None` if absent or not a number.
    pub(super) fn last_number(&self, tag: Tag) -> Option<u32> {
        self.decoded(tag)?.iter_uint()?.last()
    }

    /// The first of a tag's whole numbers; `None` if absent or not a number.
    pub(super) fn first_number(&self, tag: Tag) -> Option<u32> {
        self.value(tag)?.ok()?.get_uint(0)
    }
}

/// The way to the tags of one block, and the list that troubles go to.
pub(super) struct Tags<'a> {
    block: Block,
    troubles: &'a mut Vec<Trouble>,
}

impl<'a> Tags<'a> {
    /// `None` if the block has no table at all; a trouble says so.
    pub(super) fn open(bytes: Vec<u8>, troubles: &'a mut Vec<Trouble>) -> Option<Self> {
        let damaged = |found| Trouble::new(TroubleKind::Damaged, "EXIF", found);
        let block = match Block::open(bytes) {
            Ok(block) => block,
            Err(reason) => {
                troubles.push(damaged(match reason {
                    NoOutline::NoTable => Found::BrokenBlock,
                    NoOutline::TooManyRows => Found::TooManyTagsInBlock,
                }));
                return None;
            }
        };
        let mut tags = Self { block, troubles };
        for pointer in [Tag::ExifIFDPointer, Tag::GPSInfoIFDPointer] {
            tags.check_pointer(pointer);
        }
        let cuts = std::iter::repeat_n(damaged(Found::CutTable), tags.block.outline.cut);
        tags.troubles.extend(cuts);
        Some(tags)
    }

    /// Says of a pointer to a table why it leads nowhere. The library follows pointers itself, and is silent on it.
    fn check_pointer(&mut self, pointer: Tag) {
        // A pointer is no value for the library, so that its row alone tells.
        let Some(row) = self.block.outline.row(pointer) else {
            return;
        };
        let stray = self.block.outline.stray.iter();
        let stray = stray.rev().find(|(tag, _)| *tag == pointer);
        if let Some(&(_, start)) = stray {
            self.unreadable(pointer, Found::PointsTo { start });
        } else if !row.is_pointer(self.block.exif.buf().len()) {
            let fault = self.block.fault(row);
            self.unreadable(pointer, fault.unwrap_or(Found::NoNumber));
        }
    }

    /// Whether the tag is there, readable or not.
    pub(super) fn has(&self, tag: Tag) -> bool {
        self.block.outline.row(tag).is_some()
    }

    pub(super) fn trouble(&mut self, kind: TroubleKind, tag: Tag, found: Found) {
        let name = match tag {
            Tag::ExifIFDPointer => "Exif IFD Pointer".to_owned(),
            Tag::GPSInfoIFDPointer => "GPS Info IFD Pointer".to_owned(),
            tag => tag.to_string(),
        };
        self.troubles.push(Trouble::new(kind, name, found));
    }

    pub(super) fn unreadable(&mut self, tag: Tag, found: Found) {
        self.trouble(TroubleKind::Unreadable, tag, found);
    }

    /// The tag's value of whatever type. One that can't be read is a trouble.
    fn value(&mut self, tag: Tag) -> Option<Value> {
        match self.block.value(tag)? {
            Ok(value) => Some(value),
            Err(found) => {
                self.unreadable(tag, found);
                None
            }
        }
    }

    /// A text without blanks at its ends. Empty text is kept: the caller knows whether it matters.
    pub(super) fn text(&mut self, tag: Tag) -> Option<String> {
        let bytes = match self.value(tag)? {
            // Of several texts, each ended by a NUL, the first counts.
            Value::Ascii(texts) => texts.into_iter().next().unwrap_or_default(),
            // Some writers declare text as bytes of no type.
            Value::Undefined(bytes, _) => bytes,
            _ => {
                self.unreadable(tag, Found::NoText);
                return None;
            }
        };
        let blank = |character: char| character == '\0' || character.is_whitespace();
        let text = String::from_utf8_lossy(&bytes);
        Some(text.trim_matches(blank).to_owned())
    }

    /// The first of a tag's whole numbers.
    pub(super) fn number(&mut self, tag: Tag) -> Option<u32> {
        let first = match self.value(tag)? {
            // A byte may be declared as having no type.
            Value::Undefined(bytes, _) => bytes.first().copied().map(u32::from),
            value => value.get_uint(0),
        };
        if first.is_none() {
            self.unreadable(tag, Found::NoNumber);
        }
        first
    }

    /// Fractions as the tag has them; a denominator of zero is a trouble and no value.
    pub(super) fn fractions(&mut self, tag: Tag) -> Option<Vec<(i64, i64)>> {
        let fractions: Vec<(i64, i64)> = match self.value(tag)? {
            Value::Rational(fractions) => fractions
                .iter()
                .map(|fraction| (fraction.num.into(), fraction.denom.into()))
                .collect(),
            Value::SRational(fractions) => fractions
                .iter()
                .map(|fraction| (fraction.num.into(), fraction.denom.into()))
                .collect(),
            _ => Vec::new(),
        };
        if fractions.is_empty() {
            self.unreadable(tag, Found::NoFraction);
            return None;
        }
        if let Some(&(over, _)) = fractions.iter().find(|(_, under)| *under == 0) {
            self.unreadable(tag, Found::OverZero(over));
            return None;
        }
        Some(fractions)
    }

    /// One fraction as a number. Never infinite, never undefined.
    pub(super) fn fraction(&mut self, tag: Tag) -> Option<f64> {
        let fractions = self.fractions(tag)?;
        fractions.first().map(|&fraction| quotient(fraction))
    }
}

/// A fraction with a denominator that isn't zero, as a number. Both parts are 32-bit, so that nothing is lost.
pub(super) fn quotient((over, under): (i64, i64)) -> f64 {
    over as f64 / under as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Opens a block in big-endian order with one table of these rows, and then asks.
    fn with<T>(rows: &[&[u8]], ask: impl FnOnce(&mut Tags) -> T) -> (T, Vec<String>) {
        let count = (rows.len() as u16).to_be_bytes();
        let parts = [
            b"MM\0\x2a\0\0\0\x08",
            &count[..],
            &rows.concat(),
            b"\0\0\0\0",
        ];
        let mut troubles = Vec::new();
        let mut tags = Tags::open(parts.concat(), &mut troubles).unwrap();
        let answer = ask(&mut tags);
        let said = troubles.iter().map(|trouble| trouble.words().to_string());
        (answer, said.collect())
    }

    #[test]
    fn values_outside_unknown_and_endless_are_told_apart() {
        let rows: [&[u8]; 3] = [
            b"\x01\x0f\0\x02\0\0\0\x09\0\0\x0f\xff",
            b"\x01\x10\0\x63\0\0\0\x01\0\0\0\0",
            b"\x01\x31\0\x02\xff\xff\xff\xff\0\0\0\0",
        ];
        let (found, troubles) = with(&rows, |tags| {
            [Tag::Make, Tag::Model, Tag::Software, Tag::Artist].map(|tag| tags.text(tag))
        });
        assert_eq!(found, [None, None, None, None]);
        let expected = [
            "Make: points outside the block.",
            "Model: has the type 99, which it can't have.",
            "Software: claims a length of 4294967295 bytes.",
        ];
        assert_eq!(troubles, expected);
    }

    #[test]
    fn text_of_exif_3_is_read() {
        // Type 129, four bytes with the NUL, inside the row.
        let rows: [&[u8]; 1] = [b"\x01\x0f\0\x81\0\0\0\x04\xc3\xa9A\0"];
        let (text, troubles) = with(&rows, |tags| tags.text(Tag::Make));
        assert_eq!(text.as_deref(), Some("éA"));
        assert!(troubles.is_empty());
    }

    #[test]
    fn one_bad_tag_does_not_hide_the_others() {
        let rows: [&[u8]; 3] = [
            b"\x01\x0f\0\x02\0\0\0\x09\0\0\x0f\xff",
            b"\x87\x69\0\x02\0\0\0\x01\0\0\0\0",
            b"\x01\x12\0\x03\0\0\0\x01\0\x06\0\0",
        ];
        let (orientation, troubles) = with(&rows, |tags| tags.number(Tag::Orientation));
        assert_eq!(orientation, Some(6));
        assert_eq!(troubles, ["Exif IFD Pointer: is no number."]);
    }

    #[test]
    fn the_first_row_of_a_tag_counts() {
        let rows: [&[u8]; 4] = [
            b"\x01\x12\0\x03\0\0\0\x01\0\x06\0\0",
            b"\x88\x25\0\x04\0\0\0\x01\0\0\0\x08",
            b"\x01\x12\0\x03\0\0\0\x01\0\x09\0\0",
            b"\x88\x25\0\x04\0\0\0\x01\0\0\xff\xff",
        ];
        let (orientation, troubles) = with(&rows, |tags| tags.number(Tag::Orientation));
        assert_eq!(orientation, Some(6));
        assert!(troubles.is_empty(), "{troubles:?}");
    }

    #[test]
    fn a_block_that_would_take_endless_work_is_not_read() {
        let rows: Vec<Vec<u8>> = (0..5000u32)
            .map(|row| {
                let place = (10 + 12 * row).to_be_bytes();
                [&b"\x87\x69\0\x04\0\0\0\x01"[..], &place].concat()
            })
            .collect();
        let parts = [&b"MM\0\x2a\0\0\0\x08\x13\x88"[..], &rows.concat()];
        let mut troubles = Vec::new();
        assert!(Tags::open(parts.concat(), &mut troubles).is_none());
        assert_eq!(troubles[0].kind, TroubleKind::Damaged);
    }
}
