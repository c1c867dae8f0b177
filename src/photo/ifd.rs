//! Image file directories (IFD): the tables of tags in which TIFF and EXIF keep everything.
//!
//! Takes a [`Source`] that begins with a TIFF header. Gives directories, and the values of single tags on demand.
//! Follows no chain of directories, so that none can loop. Must not know what a tag means.
//!
//! Source: TIFF 6.0 (Adobe, 1992), section 2; CIPA DC-008 (EXIF) section 4.6.2; the value type 129 (UTF-8) is from
//! CIPA DC-008-2023 (EXIF 3.0).

use std::collections::BTreeMap;
use std::io::{self, Read, Seek};

use super::source::Source;

/// The most tags that we look at in one directory. Directories of cameras have well below 200.
const MOST_TAGS: usize = 1024;

/// The most bytes read for one value; texts and numbers that we want are far shorter.
const LONGEST_VALUE: u64 = 4096;

/// The byte order that the header states.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Order {
    Big,
    Little,
}

impl Order {
    /// A 16-bit number at `offset` of `bytes`.
    pub(super) fn short(self, bytes: &[u8], offset: usize) -> Option<u16> {
        let bytes = bytes.get(offset..offset.checked_add(2)?)?.try_into().ok()?;
        Some(match self {
            Self::Big => u16::from_be_bytes(bytes),
            Self::Little => u16::from_le_bytes(bytes),
        })
    }

    /// A 32-bit number at `offset` of `bytes`.
    pub(super) fn long(self, bytes: &[u8], offset: usize) -> Option<u32> {
        let bytes = bytes.get(offset..offset.checked_add(4)?)?.try_into().ok()?;
        Some(match self {
            Self::Big => u32::from_be_bytes(bytes),
            Self::Little => u32::from_le_bytes(bytes),
        })
    }
}

/// The header: byte order, and where the first directory begins.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Header {
    pub(super) order: Order,
    pub(super) first: u32,
}

impl Header {
    /// Reads eight bytes of header; `None` if they are none. The 43 of BigTIFF is not read.
    pub(super) fn parse(bytes: &[u8]) -> Option<Self> {
        let order = match bytes.get(..2)? {
            b"MM" => Order::Big,
            b"II" => Order::Little,
            _ => return None,
        };
        (order.short(bytes, 2)? == 42).then_some(())?;
        let first = order.long(bytes, 4)?;
        Some(Self { order, first })
    }
}

/// One directory: tags, and where their values lie.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Directory {
    order: Order,
    entries: BTreeMap<u16, Entry>,
    /// Whether the directory ran past the end, or stated more tags than we look at.
    pub(super) cut: bool,
}

#[derive(Debug, Clone, Copy, PartialEq)]
struct Entry {
    kind: u16,
    count: u32,
    /// Where the value begins: inside the directory if it fits into four bytes.
    start: u64,
}

/// The value of a tag.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Value {
    /// Text up to the first NUL.
    Text(Vec<u8>),
    /// Bytes, shorts and longs.
    Unsigned(Vec<u32>),
    /// Numerators over denominators, either of which may be zero.
    Rational(Vec<(i64, i64)>),
    /// Bytes without a type of their own.
    Undefined(Vec<u8>),
}

/// Why a tag that is there has no value.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum NoValue {
    /// It points beyond the end.
    Outside,
    /// It has a type that no tag of ours can have.
    Kind(u16),
    /// It is longer than any value that we read.
    Long(u64),
}

impl Directory {
    /// Reads the directory at `start`; `None` if not even its count is there.
    pub(super) fn read<R: Read + Seek>(
        source: &mut Source<R>,
        order: Order,
        start: u64,
    ) -> io::Result<Option<Self>> {
        let Some(count) = order.short(&source.piece(start, 2)?, 0) else {
            return Ok(None);
        };
        let stated = usize::from(count);
        let table = source.piece(start.saturating_add(2), stated.min(MOST_TAGS) * 12)?;
        let mut entries = BTreeMap::new();
        let mut read = 0;
        for (index, row) in table.chunks_exact(12).enumerate() {
            let (Some(tag), Some(kind), Some(count), Some(value)) = (
                order.short(row, 0),
                order.short(row, 2),
                order.long(row, 4),
                order.long(row, 8),
            ) else {
                break;
            };
            let inside = u64::from(count) * width(kind).unwrap_or(1) <= 4;
            let start = if inside {
                start.saturating_add(2 + 12 * index as u64 + 8)
            } else {
                u64::from(value)
            };
            // A tag may stand only once; where it stands twice, the first is the one that readers agree on.
            entries.entry(tag).or_insert(Entry { kind, count, start });
            read += 1;
        }
        Ok(Some(Self {
            order,
            entries,
            cut: read < stated,
        }))
    }

    /// Whether the tag is there, with or without a readable value.
    pub(super) fn has(&self, tag: u16) -> bool {
        self.entries.contains_key(&tag)
    }

    /// The tag's value: `None` if the tag is absent.
    pub(super) fn value<R: Read + Seek>(
        &self,
        source: &mut Source<R>,
        tag: u16,
    ) -> io::Result<Option<Result<Value, NoValue>>> {
        let Some(entry) = self.entries.get(&tag) else {
            return Ok(None);
        };
        let Some(width) = width(entry.kind) else {
            return Ok(Some(Err(NoValue::Kind(entry.kind))));
        };
        let length = u64::from(entry.count) * width;
        if length > LONGEST_VALUE {
            return Ok(Some(Err(NoValue::Long(length))));
        }
        let bytes = source.piece(entry.start, length as usize)?;
        if (bytes.len() as u64) < length {
            return Ok(Some(Err(NoValue::Outside)));
        }
        Ok(Some(self.decode(entry.kind, &bytes)))
    }

    /// The last of a tag's whole numbers, however many there are; `None` if absent or not a number.
    pub(super) fn last_number<R: Read + Seek>(
        &self,
        source: &mut Source<R>,
        tag: u16,
    ) -> io::Result<Option<u32>> {
        let Some(entry) = self.entries.get(&tag).filter(|entry| entry.count > 0) else {
            return Ok(None);
        };
        let Some(width) = width(entry.kind) else {
            return Ok(None);
        };
        let last = entry
            .start
            .saturating_add(u64::from(entry.count - 1) * width);
        let bytes = source.piece(last, width as usize)?;
        Ok(match self.decode(entry.kind, &bytes) {
            Ok(Value::Unsigned(numbers)) => numbers.last().copied(),
            _ => None,
        })
    }

    fn decode(&self, kind: u16, bytes: &[u8]) -> Result<Value, NoValue> {
        let order = self.order;
        let shorts = || {
            bytes
                .chunks_exact(2)
                .filter_map(|pair| order.short(pair, 0))
        };
        let longs = || bytes.chunks_exact(4).filter_map(|four| order.long(four, 0));
        let ratios = || {
            bytes
                .chunks_exact(8)
                .filter_map(|eight| Some((order.long(eight, 0)?, order.long(eight, 4)?)))
        };
        Ok(match kind {
            1 => Value::Unsigned(bytes.iter().copied().map(u32::from).collect()),
            2 | 129 => Value::Text(
                bytes
                    .split(|&byte| byte == 0)
                    .next()
                    .unwrap_or_default()
                    .to_vec(),
            ),
            3 => Value::Unsigned(shorts().map(u32::from).collect()),
            4 => Value::Unsigned(longs().collect()),
            5 => Value::Rational(
                ratios()
                    .map(|(over, under)| (i64::from(over), i64::from(under)))
                    .collect(),
            ),
            7 => Value::Undefined(bytes.to_vec()),
            10 => Value::Rational(
                ratios()
                    .map(|(over, under)| (i64::from(over as i32), i64::from(under as i32)))
                    .collect(),
            ),
            other => return Err(NoValue::Kind(other)),
        })
    }
}

/// Bytes that one value of a type takes; `None` for types that the standards don't know.
fn width(kind: u16) -> Option<u64> {
    match kind {
        1 | 2 | 6 | 7 | 129 => Some(1),
        3 | 8 => Some(2),
        4 | 9 | 11 | 13 => Some(4),
        5 | 10 | 12 => Some(8),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn first(bytes: &[u8]) -> (Source<io::Cursor<Vec<u8>>>, Option<Directory>) {
        let header = Header::parse(bytes).unwrap();
        let mut source = Source::over(bytes.to_vec());
        let directory = Directory::read(&mut source, header.order, header.first.into()).unwrap();
        (source, directory)
    }

    #[test]
    fn both_byte_orders_are_read() {
        let big = b"MM\0\x2a\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0\x06\0\0\0\0\0\0";
        let little = b"II\x2a\0\x08\0\0\0\x01\0\x12\x01\x03\0\x01\0\0\0\x06\0\0\0\0\0\0\0";
        for bytes in [big, little] {
            let (mut source, directory) = first(bytes);
            let directory = directory.unwrap();
            assert!(!directory.cut);
            assert_eq!(
                directory.value(&mut source, 0x0112).unwrap(),
                Some(Ok(Value::Unsigned(vec![6])))
            );
            assert_eq!(directory.value(&mut source, 0x0113).unwrap(), None);
        }
    }

    #[test]
    fn a_cut_directory_gives_what_is_there() {
        let bytes = b"MM\0\x2a\0\0\0\x08\0\x09\x01\x12\0\x03\0\0\0\x01\0\x06\0\0\x01\x0f\0\x02";
        let (_, directory) = first(bytes);
        let directory = directory.unwrap();
        assert!(directory.cut);
        assert!(directory.has(0x0112));
        assert!(!directory.has(0x010f));
    }

    #[test]
    fn values_outside_unknown_and_endless_are_told_apart() {
        let bytes = b"MM\0\x2a\0\0\0\x08\0\x03\
            \x01\x0f\0\x02\0\0\0\x09\0\0\x0f\xff\
            \x01\x10\0\x63\0\0\0\x01\0\0\0\0\
            \x01\x31\0\x02\xff\xff\xff\xff\0\0\0\0\0\0\0\0";
        let (mut source, directory) = first(bytes);
        let directory = directory.unwrap();
        let mut value = |tag| directory.value(&mut source, tag).unwrap();
        assert_eq!(value(0x010f), Some(Err(NoValue::Outside)));
        assert_eq!(value(0x0110), Some(Err(NoValue::Kind(99))));
        assert_eq!(value(0x0131), Some(Err(NoValue::Long(u32::MAX.into()))));
    }

    #[test]
    fn a_first_directory_beyond_the_end_is_none() {
        assert!(first(b"II\x2a\0\xff\xff\xff\xff").1.is_none());
    }

    #[test]
    fn only_forty_two_is_a_header() {
        for bytes in [
            &b"MM\0\x2b\0\0\0\x08"[..],
            b"IM\0\x2a\0\0\0\x08",
            b"MM\0\x2a\0\0",
            b"",
        ] {
            assert_eq!(Header::parse(bytes), None);
        }
    }
}
