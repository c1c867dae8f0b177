//! What kamadak-exif does not tell of a block of tags: whether it is safe to hand over, and which tags it will drop.
//!
//! Takes a block that begins with a TIFF header. Gives an [`Outline`]. Reads the rows of the tables of tags alone; the
//! values are the library's work, and must not be decoded here.
//!
//! The library leaves three things open (version 0.6.2):
//! - A tag whose value lies outside the block, and a pointer to a table outside it, are dropped with an error that
//!   names no tag. A coordinator must hear which tag was lost: a position is not missed like a lens.
//! - Of a tag that stands twice it takes the last row. A table whose count is broken runs on into bytes that are no
//!   rows, so that the first is the sound one.
//! - Its work can grow with the square of the block's length, because each pointer may lead into the middle of the
//!   same rows. A JPEG's block of 64 KiB made for the purpose took it 3.5 s and 746 MB. So the tables that it would
//!   visit are walked first, in its order, and no more than [`MOST_ROWS`] are let through.
//!
//! Source: TIFF 6.0 (Adobe, 1992), section 2; CIPA DC-008 (EXIF) section 4.6.2; the value type 129 (UTF-8) is from
//! CIPA DC-008-2023 (EXIF 3.0).

use std::collections::BTreeSet;
use std::collections::btree_map::{BTreeMap, Entry};

use exif::{Context, Tag};

/// The most rows in all tables of a block: three tables whose counts are at their highest. Cameras write below 500; but
/// one broken count must not lose the tags of the other tables. The library keeps about 60 bytes for each.
const MOST_ROWS: usize = 3 << 16;

/// The most tables that the library follows from one to the next: pages of a TIFF, or the thumbnail of a photo.
const MOST_PAGES: u16 = 8;

/// Bytes of a row: tag, type, count, and the value or its place.
const ROW: usize = 12;

/// The rows of a block's first table, and of the tables of EXIF and GPS that it points to.
#[derive(Debug, Default, PartialEq)]
pub(super) struct Outline {
    rows: BTreeMap<Tag, Row>,
    /// How many of these tables run past the end of the block.
    pub(super) cut: usize,
    /// Pointers to a table that lies outside the block, with the place that they name.
    pub(super) stray: Vec<(Tag, usize)>,
    /// Tags of which the library may take another row than the first.
    repeated: BTreeSet<Tag>,
}

/// Where the value of a tag stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Row {
    /// Where the row begins.
    pub(super) place: usize,
    pub(super) kind: u16,
    /// Where the value begins: in the row itself if it fits into four bytes.
    pub(super) start: usize,
    /// Bytes of the value; 0 for types that the standards don't know.
    pub(super) length: usize,
}

/// Why a block has no outline.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum NoOutline {
    /// There is no header, or no table where the header says.
    NoTable,
    /// There are more rows than [`MOST_ROWS`].
    TooManyRows,
}

impl Outline {
    pub(super) fn of(block: &[u8]) -> Result<Self, NoOutline> {
        let order = match block {
            [b'M', b'M', 0, 42, ..] => Order::Big,
            [b'I', b'I', 42, 0, ..] => Order::Little,
            _ => return Err(NoOutline::NoTable),
        };
        let mut walk = Walk {
            block,
            order,
            outline: Self::default(),
            seen: BTreeSet::new(),
            left: MOST_ROWS,
        };
        // A place of zero means none, for the first table too.
        let first = walk.long(4).filter(|&start| start > 0);
        let mut start = first.ok_or(NoOutline::NoTable)?;
        for page in 0..MOST_PAGES {
            let sight = if page == 0 { Sight::Ours } else { Sight::Other };
            match walk.table(start, Context::Tiff, sight) {
                Ok(0) => break,
                Ok(next) => start = next,
                Err(Stop::Outside) if sight == Sight::Ours => return Err(NoOutline::NoTable),
                Err(Stop::Outside | Stop::Over) => break,
                Err(Stop::TooManyRows) => return Err(NoOutline::TooManyRows),
            }
        }
        Ok(walk.outline)
    }

    /// The tag's row, if it has one: the first.
    pub(super) fn row(&self, tag: Tag) -> Option<Row> {
        self.rows.get(&tag).copied()
    }

    /// Whether the tag stands more than once.
    pub(super) fn is_repeated(&self, tag: Tag) -> bool {
        self.repeated.contains(&tag)
    }

    /// Takes a row in. Gives what a table is that it points to.
    fn note(&mut self, tag: Tag, row: Row, sight: Sight) -> Sight {
        if sight == Sight::Other {
            return sight;
        }
        match self.rows.entry(tag) {
            Entry::Vacant(vacant) if sight == Sight::Ours => {
                vacant.insert(row);
                Sight::Ours
            }
            Entry::Vacant(_) => Sight::Doubled,
            Entry::Occupied(_) => {
                self.repeated.insert(tag);
                Sight::Doubled
            }
        }
    }

    /// Whether every table and value of the outline lies inside a block of this length.
    pub(super) fn is_inside(&self, length: usize) -> bool {
        let inside = |row: &Row| row.end() <= length;
        self.cut == 0 && self.stray.is_empty() && self.rows.values().all(inside)
    }
}

impl Row {
    /// Just behind the value.
    pub(super) fn end(self) -> usize {
        self.start.saturating_add(self.length)
    }

    /// Whether the library follows the row, if its tag is a pointer, in a block of this length.
    pub(super) fn is_pointer(self, length: usize) -> bool {
        matches!(self.kind, 1 | 3 | 4) && self.length > 0 && self.end() <= length
    }
}

#[derive(Clone, Copy)]
enum Order {
    Big,
    Little,
}

/// Why the walk does not go on from a table.
enum Stop {
    /// Not even its count lies inside the block.
    Outside,
    /// It ends with the block, or was seen before.
    Over,
    TooManyRows,
}

/// What the rows of a table are to the outline.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Sight {
    /// Its rows.
    Ours,
    /// Reached by a second pointer of the same tag: the library mixes them with ours.
    Doubled,
    /// Another page, or the table of interoperability, which the library keeps apart.
    Other,
}

struct Walk<'a> {
    block: &'a [u8],
    order: Order,
    outline: Outline,
    seen: BTreeSet<usize>,
    /// Rows that may still be visited.
    left: usize,
}

impl Walk<'_> {
    /// Visits the table at `start` and those that it points to. Gives the place of the next one, zero for none.
    fn table(&mut self, start: usize, context: Context, sight: Sight) -> Result<usize, Stop> {
        let count = self.short(start).ok_or(Stop::Outside)?;
        if !self.seen.insert(start) {
            return Err(Stop::Over);
        }
        // No overflow: `start` has 32 bits and lies inside the block.
        let rows = start + 2;
        for place in (rows..).step_by(ROW).take(count) {
            self.left = self.left.checked_sub(1).ok_or(Stop::TooManyRows)?;
            let Some((tag, row)) = self.row(place, context) else {
                self.outline.cut += usize::from(sight == Sight::Ours);
                return Err(Stop::Over);
            };
            let sight = self.outline.note(tag, row, sight);
            let (child, sight) = match tag {
                Tag::ExifIFDPointer => (Context::Exif, sight),
                Tag::GPSInfoIFDPointer => (Context::Gps, sight),
                Tag::InteropIFDPointer => (Context::Interop, Sight::Other),
                _ => continue,
            };
            let Some(pointed) = self.pointed(row) else {
                continue;
            };
            // No endless descent: no table of a child's context points to its parent's.
            match self.table(pointed, child, sight) {
                Err(Stop::TooManyRows) => return Err(Stop::TooManyRows),
                Err(Stop::Outside) if sight == Sight::Ours => {
                    self.outline.stray.push((tag, pointed));
                }
                Ok(_) | Err(Stop::Outside | Stop::Over) => {}
            }
        }
        Ok(self.long(rows + count * ROW).unwrap_or(0))
    }

    fn row(&self, place: usize, context: Context) -> Option<(Tag, Row)> {
        self.block.get(place..place.checked_add(ROW)?)?;
        let kind = self.short(place + 2)?;
        let length = self.long(place + 4)?.saturating_mul(width(kind as u16));
        let start = match length {
            ..=4 => place + 8,
            _ => self.long(place + 8)?,
        };
        let tag = Tag(context, self.short(place)? as u16);
        let kind = kind as u16;
        Some((
            tag,
            Row {
                place,
                kind,
                start,
                length,
            },
        ))
    }

    /// The number that a pointer holds, if the library follows it.
    fn pointed(&self, row: Row) -> Option<usize> {
        match row.kind {
            _ if !row.is_pointer(self.block.len()) => None,
            1 => self.block.get(row.start).copied().map(usize::from),
            3 => self.short(row.start),
            _ => self.long(row.start),
        }
    }

    fn short(&self, place: usize) -> Option<usize> {
        let bytes = self.block.get(place..)?.first_chunk().copied()?;
        Some(usize::from(match self.order {
            Order::Big => u16::from_be_bytes(bytes),
            Order::Little => u16::from_le_bytes(bytes),
        }))
    }

    fn long(&self, place: usize) -> Option<usize> {
        let bytes = self.block.get(place..)?.first_chunk().copied()?;
        let number = match self.order {
            Order::Big => u32::from_be_bytes(bytes),
            Order::Little => u32::from_le_bytes(bytes),
        };
        usize::try_from(number).ok()
    }
}

/// Bytes that one value of a type takes; zero for types that the standards don't know.
fn width(kind: u16) -> usize {
    match kind {
        1 | 2 | 6 | 7 | 129 => 1,
        3 | 8 => 2,
        4 | 9 | 11 | 13 => 4,
        5 | 10 | 12 => 8,
        _ => 0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const ORIENTATION: &[u8] = b"\x01\x12\0\x03\0\0\0\x01\0\x06\0\0";

    /// A block in big-endian order: header, and one table of these rows.
    fn table(count: u16, rows: &[&[u8]]) -> Vec<u8> {
        [
            b"MM\0\x2a\0\0\0\x08",
            &count.to_be_bytes()[..],
            &rows.concat(),
        ]
        .concat()
    }

    #[test]
    fn both_byte_orders_are_walked() {
        let big = b"MM\0\x2a\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0\x06\0\0\0\0\0\0";
        let little = b"II\x2a\0\x08\0\0\0\x01\0\x12\x01\x03\0\x01\0\0\0\x06\0\0\0\0\0\0\0";
        for bytes in [big, little] {
            let outline = Outline::of(bytes).unwrap();
            let row = outline.row(Tag::Orientation).unwrap();
            assert_eq!((row.kind, row.start, row.length), (3, 18, 2));
            assert!(outline.is_inside(bytes.len()));
            assert_eq!(outline.row(Tag::Make), None);
        }
    }

    #[test]
    fn a_cut_table_gives_what_is_there() {
        let outline = Outline::of(&table(9, &[ORIENTATION, b"\x01\x0f\0\x02"])).unwrap();
        assert_eq!(outline.cut, 1);
        assert!(outline.row(Tag::Orientation).is_some());
        assert_eq!(outline.row(Tag::Make), None);
    }

    #[test]
    fn values_and_tables_outside_are_noted() {
        let outside = b"\x01\x0f\0\x02\0\0\0\x09\0\0\x0f\xff";
        let bytes = table(1, &[outside]);
        let outline = Outline::of(&bytes).unwrap();
        assert_eq!(outline.row(Tag::Make).unwrap().end(), 0xfff + 9);
        assert!(!outline.is_inside(bytes.len()));
        let stray = b"\x88\x25\0\x04\0\0\0\x01\0\0\xff\xf0";
        let outline = Outline::of(&table(1, &[stray])).unwrap();
        assert_eq!(outline.stray, [(Tag::GPSInfoIFDPointer, 0xfff0)]);
    }

    #[test]
    fn only_forty_two_is_a_header_and_a_table_must_follow() {
        for bytes in [
            &b"MM\0\x2b\0\0\0\x08"[..],
            b"IM\0\x2a\0\0\0\x08",
            b"MM\0\x2a\0\0",
            b"",
            b"II\x2a\0\xff\xff\xff\xff",
            b"II\x2a\0\0\0\0\0",
        ] {
            assert_eq!(Outline::of(bytes), Err(NoOutline::NoTable));
        }
    }

    #[test]
    fn of_two_rows_of_a_tag_the_first_is_kept() {
        let outline = Outline::of(&table(2, &[ORIENTATION, ORIENTATION])).unwrap();
        assert_eq!(outline.row(Tag::Orientation).unwrap().place, 10);
        assert!(outline.is_repeated(Tag::Orientation));
        let outline = Outline::of(&table(1, &[ORIENTATION])).unwrap();
        assert!(!outline.is_repeated(Tag::Orientation));
    }

    #[test]
    fn tables_within_tables_come_to_an_end() {
        // Each row points into the rows as if they were a table, so that each is visited for each.
        let rows = 5000u32;
        let pointer = |row| {
            [
                &b"\x87\x69\0\x04\0\0\0\x01"[..],
                &u32::to_be_bytes(10 + 12 * row),
            ]
            .concat()
        };
        let bytes = table(
            rows as u16,
            &[&(0..rows).flat_map(pointer).collect::<Vec<_>>()],
        );
        assert_eq!(Outline::of(&bytes), Err(NoOutline::TooManyRows));
    }
}
