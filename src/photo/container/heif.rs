//! HEIC: the boxes of a HEIF file.
//!
//! Source: ISO/IEC 14496-12 (ISO base media file format), sections 4.2, 4.3 and 8.11; ISO/IEC 23008-12 (HEIF),
//! section 6.5.3 and annex A. Box layouts are from memory of these standards and checked against files.
//!
//! The size is that of the primary item as coded. HEIF has boxes of its own for turning a picture; they are not read
//! here but by the decoder that draws it.

use std::io::{self, Read, Seek};

use super::super::found::Found;
use super::super::source::{LONGEST_PIECE, Source};
use super::{Survey, big};

/// Brands of still pictures coded as HEVC, and the general ones under which phones file them.
const BRANDS: [&[u8]; 8] = [
    b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1",
];

/// Brands of pictures in the same boxes but coded otherwise: not ours.
const OTHER_CODINGS: [&[u8]; 2] = [b"avif", b"avis"];

/// How much of the file's beginning is enough to know its brands; cameras list fewer than twenty, at four bytes.
pub(super) const LONGEST_BRAND_LIST: usize = 256;

/// The most boxes that we follow at the file's top level; files have three to ten.
const MOST_BOXES: usize = 1000;

/// Whether a file's first bytes are those of a HEIC.
pub(super) fn is_heif(head: &[u8]) -> bool {
    let (Some(size), Some(b"ftyp"), Some(major)) = (head.get(..4), head.get(4..8), head.get(8..12))
    else {
        return false;
    };
    let end = (big(size) as usize).min(head.len());
    let listed = head.get(16..end).unwrap_or_default();
    !OTHER_CODINGS.contains(&major)
        && (BRANDS.contains(&major) || listed.chunks_exact(4).any(|brand| BRANDS.contains(&brand)))
}

pub(super) fn survey<R: Read + Seek>(
    source: &mut Source<R>,
    survey: &mut Survey,
) -> io::Result<()> {
    let mut offset = 0;
    let mut seen = false;
    for _ in 0..MOST_BOXES {
        if offset >= source.length() {
            if !seen {
                survey.damaged(Found::NoItems);
            }
            return Ok(());
        }
        let head = source.piece(offset, 16)?;
        let (Some(short), Some(name)) = (head.get(..4), head.get(4..8)) else {
            survey.cut(Found::EndWithinBox);
            return Ok(());
        };
        let (header, size) = match (big(short), head.get(8..16)) {
            // The last box may leave its size open.
            (0, _) => (8, source.length() - offset),
            (1, Some(long)) => (16, big(long)),
            (size, _) => (8, size),
        };
        let Some(inside) = size.checked_sub(header) else {
            survey.damaged(Found::EmptyBox { offset });
            return Ok(());
        };
        if name == b"meta" && !seen {
            seen = true;
            if inside > LONGEST_PIECE as u64 {
                survey.damaged(Found::TooManyItems);
            } else {
                let body = source.piece(offset + header, inside as usize)?;
                meta(source, survey, &body)?;
            }
        }
        offset = match offset.checked_add(size) {
            Some(next) if next <= source.length() => next,
            _ => {
                survey.cut(Found::EndWithinPicture);
                return Ok(());
            }
        };
    }
    survey.damaged(Found::TooManyBoxes);
    Ok(())
}

/// Reads the table of items: size of the primary one, and the EXIF item.
fn meta<R: Read + Seek>(
    source: &mut Source<R>,
    survey: &mut Survey,
    body: &[u8],
) -> io::Result<()> {
    // Version and flags come first.
    let body = body.get(4..).unwrap_or_default();
    let child = |wanted: &[u8]| boxes(body).find(|&(name, _)| name == wanted);
    let primary = child(b"pitm").and_then(|(_, pitm)| primary_item(pitm));
    if let (Some(primary), Some((_, iprp))) = (primary, child(b"iprp"))
        && let Some((width, height)) = extent(iprp, primary)
    {
        survey.keep_dimensions(width, height);
    }
    let Some(item) = child(b"iinf").and_then(|(_, iinf)| exif_item(iinf)) else {
        return Ok(());
    };
    let Some(place) = child(b"iloc").and_then(|(_, iloc)| location(iloc, item)) else {
        survey.damaged(Found::ExifWithoutPlace);
        return Ok(());
    };
    let mut block = Vec::new();
    for (start, length) in place.extents {
        let room = LONGEST_PIECE - block.len().min(LONGEST_PIECE);
        let length = match usize::try_from(length) {
            // A length of zero means all that is left.
            Ok(0) | Err(_) => room,
            Ok(length) => length.min(room),
        };
        if place.in_table {
            let inside = child(b"idat").map(|(_, idat)| idat).unwrap_or_default();
            let start = usize::try_from(start).unwrap_or(usize::MAX);
            let rest = inside.get(start..).unwrap_or_default();
            block.extend(rest.iter().take(length));
        } else {
            block.extend(source.piece(start, length)?);
        }
    }
    // Four bytes state how far behind them the TIFF header lies.
    let skipped = block.get(..4).map(|bytes| big(bytes) as usize + 4);
    match skipped.and_then(|skipped| block.get(skipped..)) {
        Some(block) if !block.is_empty() => survey.keep_exif(block.to_vec()),
        _ => survey.damaged(Found::ExifOutsideFile),
    }
    Ok(())
}

/// Goes through the boxes inside a box: name and content of each, as far as they are whole.
fn boxes(mut bytes: &[u8]) -> impl Iterator<Item = (&[u8], &[u8])> {
    std::iter::from_fn(move || {
        let name = bytes.get(4..8)?;
        let size = match big(bytes.get(..4)?) {
            0 => bytes.len(),
            size => usize::try_from(size).ok()?,
        };
        let content = bytes.get(8..size)?;
        bytes = bytes.get(size..)?;
        Some((name, content))
    })
}

/// Takes numbers off the front of a box.
struct Numbers<'a>(&'a [u8]);

impl Numbers<'_> {
    /// The next number of `width` bytes, up to eight.
    fn next(&mut self, width: usize) -> Option<u64> {
        let (number, rest) = self.0.split_at_checked(width)?;
        self.0 = rest;
        Some(big(number))
    }
}

fn primary_item(pitm: &[u8]) -> Option<u64> {
    let mut numbers = Numbers(pitm);
    let version = numbers.next(1)?;
    numbers.next(3)?;
    numbers.next(if version == 0 { 2 } else { 4 })
}

/// The number of the first item of type `Exif`.
fn exif_item(iinf: &[u8]) -> Option<u64> {
    let counted = if *iinf.first()? == 0 { 2 } else { 4 };
    let entries = iinf.get(4 + counted..)?;
    boxes(entries)
        .filter(|(name, _)| name == b"infe")
        .find_map(|(_, infe)| {
            let mut numbers = Numbers(infe);
            let version = numbers.next(1)?;
            numbers.next(3)?;
            let item = match version {
                2 => numbers.next(2)?,
                3 => numbers.next(4)?,
                _ => return None,
            };
            numbers.next(2)?;
            (numbers.0.get(..4)? == b"Exif").then_some(item)
        })
}

/// Where an item's bytes lie.
struct Location {
    /// Inside the table of items (`idat`) rather than in the file.
    in_table: bool,
    /// Start and length of each piece.
    extents: Vec<(u64, u64)>,
}

fn location(iloc: &[u8], wanted: u64) -> Option<Location> {
    /// More pieces than this for one EXIF block are not believed.
    const MOST_EXTENTS: u64 = 64;
    let mut numbers = Numbers(iloc);
    let version = numbers.next(1)?;
    numbers.next(3)?;
    let widths = numbers.next(2)? as usize;
    let (offset, length, base) = (widths >> 12 & 15, widths >> 8 & 15, widths >> 4 & 15);
    let index = if version == 0 { 0 } else { widths & 15 };
    if [offset, length, base, index].iter().any(|&width| width > 8) {
        return None;
    }
    let item_width = if version < 2 { 2 } else { 4 };
    let items = numbers.next(item_width)?;
    for _ in 0..items {
        let item = numbers.next(item_width)?;
        let method = if version == 0 {
            0
        } else {
            numbers.next(2)? & 15
        };
        numbers.next(2)?;
        let start = numbers.next(base)?;
        let count = numbers.next(2)?;
        if item != wanted {
            // Passed over in one step: widths may all be zero, and then a few bytes could ask for endless rounds.
            let passed = (index + offset + length).checked_mul(usize::try_from(count).ok()?)?;
            numbers.0 = numbers.0.get(passed..)?;
            continue;
        }
        if method > 1 || count > MOST_EXTENTS {
            return None;
        }
        let mut extents = Vec::new();
        for _ in 0..count {
            numbers.next(index)?;
            let begin = start.checked_add(numbers.next(offset)?)?;
            extents.push((begin, numbers.next(length)?));
        }
        return Some(Location {
            in_table: method == 1,
            extents,
        });
    }
    None
}

/// Width and height of an item, from the properties that belong to it.
fn extent(iprp: &[u8], wanted: u64) -> Option<(u32, u32)> {
    let (_, properties) = boxes(iprp).find(|(name, _)| name == b"ipco")?;
    let properties: Vec<_> = boxes(properties).collect();
    let (_, ipma) = boxes(iprp).find(|(name, _)| name == b"ipma")?;
    let mut numbers = Numbers(ipma);
    let version = numbers.next(1)?;
    let wide = numbers.next(3)? & 1 == 1;
    for _ in 0..numbers.next(4)? {
        let item = numbers.next(if version == 0 { 2 } else { 4 })?;
        for _ in 0..numbers.next(1)? {
            // The top bit says whether a reader must know the property.
            let place = if wide {
                numbers.next(2)? & 0x7fff
            } else {
                numbers.next(1)? & 0x7f
            };
            let place = usize::try_from(place).ok()?.checked_sub(1);
            if item == wanted
                && let Some((b"ispe", sides)) = place.and_then(|place| properties.get(place))
                && let (Some(width), Some(height)) = (sides.get(4..8), sides.get(8..12))
            {
                return Some((big(width) as u32, big(height) as u32));
            }
        }
    }
    None
}

#[cfg(test)]
pub(in crate::photo) mod tests {
    use super::super::{Exif, Survey, survey};
    use crate::photo::record::{Format, TroubleKind};
    use crate::photo::source::Source;

    fn boxed(name: &[u8], content: &[u8]) -> Vec<u8> {
        let size = content.len() as u32 + 8;
        [&size.to_be_bytes()[..], name, content].concat()
    }

    /// A file with a thumbnail (item 1), a primary picture (item 2) and EXIF (item 3) at `exif_at`.
    fn heic(exif_at: u32, exif_length: u32) -> Vec<u8> {
        let infe = |item: u8, kind: &[u8]| {
            boxed(
                b"infe",
                &[&[2, 0, 0, 0, 0, item, 0, 0][..], kind, b"\0"].concat(),
            )
        };
        let ispe = |width: u32, height: u32| {
            boxed(
                b"ispe",
                &[[0; 4], width.to_be_bytes(), height.to_be_bytes()].concat(),
            )
        };
        let iinf = [
            b"\0\0\0\0\0\x03".to_vec(),
            infe(1, b"hvc1"),
            infe(2, b"grid"),
            infe(3, b"Exif"),
        ]
        .concat();
        let iloc = [
            // Offsets and lengths of four bytes, no base; one item.
            b"\0\0\0\0\x44\0\0\x01\0\x03\0\0\0\x01".to_vec(),
            exif_at.to_be_bytes().to_vec(),
            exif_length.to_be_bytes().to_vec(),
        ]
        .concat();
        let iprp = [
            boxed(b"ipco", &[ispe(320, 240), ispe(4032, 3024)].concat()),
            boxed(b"ipma", b"\0\0\0\0\0\0\0\x02\0\x01\x01\x01\0\x02\x01\x82"),
        ]
        .concat();
        let meta = [
            b"\0\0\0\0".to_vec(),
            boxed(b"pitm", b"\0\0\0\0\0\x02"),
            boxed(b"iinf", &iinf),
            boxed(b"iloc", &iloc),
            boxed(b"iprp", &iprp),
        ]
        .concat();
        [
            boxed(b"ftyp", b"heic\0\0\0\0mif1heic"),
            boxed(b"meta", &meta),
        ]
        .concat()
    }

    /// A whole file with an empty EXIF block.
    pub(in crate::photo) fn with_exif() -> Vec<u8> {
        let block = b"\0\0\0\x06Exif\0\0MM\0\x2a\0\0\0\x08";
        let before = heic(0, 0).len() as u32 + 8;
        [
            heic(before, block.len() as u32),
            boxed(b"mdat", &[&block[..], &[1; 50]].concat()),
        ]
        .concat()
    }

    fn surveyed(bytes: Vec<u8>) -> Survey {
        survey(&mut Source::over(bytes)).unwrap()
    }

    #[test]
    fn the_primary_items_size_and_the_exif_block_are_found() {
        let found = surveyed(with_exif());
        assert_eq!(found.format, Some(Format::Heic));
        assert_eq!(found.dimensions, Some((4032, 3024)));
        assert_eq!(found.exif, Exif::Block(b"MM\0\x2a\0\0\0\x08".to_vec()));
        assert!(found.troubles.is_empty(), "{:?}", found.troubles);
    }

    #[test]
    fn a_cut_file_is_called_cut() {
        let mut bytes = with_exif();
        bytes.truncate(bytes.len() - 10);
        assert_eq!(surveyed(bytes).troubles[0].kind, TroubleKind::Truncated);
    }

    #[test]
    fn a_block_outside_the_file_is_damage() {
        let found = surveyed(heic(1 << 30, 100));
        assert_eq!(found.troubles[0].kind, TroubleKind::Damaged);
        assert_eq!(found.exif, Exif::Absent);
    }

    #[test]
    fn other_codings_in_the_same_boxes_are_not_heic() {
        assert!(super::is_heif(b"\0\0\0\x14ftypmif1\0\0\0\0heic"));
        assert!(!super::is_heif(b"\0\0\0\x18ftypavif\0\0\0\0mif1avif"));
        assert!(!super::is_heif(b"\0\0\0\x18ftyp"));
    }
}
