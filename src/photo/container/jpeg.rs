//! JPEG: segments up to the first scan, then the end of image.
//!
//! Source: ITU-T T.81 (1992), annex B; the APP1 segment of EXIF: CIPA DC-008, section 4.7.2.

use std::io::{self, Read, Seek};

use super::super::found::Found;
use super::super::source::Source;
use super::{EXIF_MARK, Survey, big};

/// The most segments and fill bytes that we follow before the first scan. A colour profile takes up to 255 segments,
/// and a panorama's or a depth picture's extra data a few hundred.
const MOST_SEGMENTS: usize = 10_000;

/// How much is read at once when the end of image is looked for.
const BLOCK: u64 = 1 << 16;

pub(super) fn survey<R: Read + Seek>(
    source: &mut Source<R>,
    survey: &mut Survey,
) -> io::Result<()> {
    let mut offset = 2;
    for _ in 0..MOST_SEGMENTS {
        let Some([mark, code]) = source.exactly(offset)? else {
            survey.cut(Found::EndBeforePicture);
            return Ok(());
        };
        match (mark, code) {
            // Fill bytes may stand before any marker.
            (0xff, 0xff) => {
                offset += 1;
                continue;
            }
            // Markers without a length.
            (0xff, 0x01 | 0xd0..=0xd8) => {
                offset += 2;
                continue;
            }
            (0xff, 0xd9) => {
                survey.damaged(Found::EndMarkBeforePicture);
                return Ok(());
            }
            (0xff, 0xda) => return end(source, survey, offset),
            (0xff, 0x02..) => {}
            _ => {
                survey.damaged(Found::NoMarker { offset });
                return Ok(());
            }
        }
        let Some(length) = source.exactly::<2>(offset + 2)?.map(u16::from_be_bytes) else {
            survey.cut(Found::EndWithinSegment);
            return Ok(());
        };
        let Some(inside) = length.checked_sub(2) else {
            survey.damaged(Found::EmptySegment { offset });
            return Ok(());
        };
        let start = offset + 4;
        match code {
            0xe1 => {
                let segment = source.piece(start, inside.into())?;
                if segment.starts_with(EXIF_MARK) {
                    survey.keep_exif(segment);
                }
            }
            // Frame headers; 0xC4, 0xC8 and 0xCC stand among them but are tables and extensions.
            0xc0..=0xcf if ![0xc4, 0xc8, 0xcc].contains(&code) => {
                if let Some([_precision, sides @ ..]) = source.exactly::<5>(start)? {
                    let (height, width) = sides.split_at(2);
                    survey.keep_dimensions(big(width) as u32, big(height) as u32);
                }
            }
            _ => {}
        }
        offset = start + u64::from(inside);
    }
    survey.damaged(Found::TooManySegments);
    Ok(())
}

/// Looks for the end of image from the file's end back to the first scan.
///
/// Within a scan the marker can't occur by chance, because a byte of 0xFF is always followed by zero there (T.81,
/// F.1.2.3). Cameras and phones put further pictures, films or padding behind it; these don't matter here.
fn end<R: Read + Seek>(source: &mut Source<R>, survey: &mut Survey, scan: u64) -> io::Result<()> {
    let mut after = source.length();
    while after > scan + 2 {
        let start = after.saturating_sub(BLOCK).max(scan);
        let block = source.piece(start, (after - start) as usize)?;
        if block.windows(2).any(|pair| pair == [0xff, 0xd9]) {
            return Ok(());
        }
        // One byte of overlap: the marker may lie across two blocks.
        after = if start == scan { scan } else { start + 1 };
    }
    survey.cut(Found::EndWithinPicture);
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::super::{Exif, Survey, survey};
    use crate::photo::record::TroubleKind;
    use crate::photo::source::Source;

    const FRAME: &[u8] = b"\xff\xc2\0\x0b\x08\x01\x02\x03\x04\x01\x01\x11\0";
    const SCAN: &[u8] = b"\xff\xda\0\x08\x01\x01\0\0\x3f\0";

    fn surveyed(parts: &[&[u8]]) -> Survey {
        survey(&mut Source::over(parts.concat())).unwrap()
    }

    #[test]
    fn size_and_exif_are_found_among_other_segments() {
        let exif = b"\xff\xe1\0\x10Exif\0\0MM\0\x2a\0\0\0\x08";
        let xmp = b"\xff\xe1\0\x08http\0\0";
        let found = surveyed(&[
            b"\xff\xd8\xff\xff",
            xmp,
            exif,
            FRAME,
            SCAN,
            b"\x12\x34\xff\xd9trailer",
        ]);
        assert_eq!(found.dimensions, Some((0x0304, 0x0102)));
        assert_eq!(found.exif, Exif::Block(b"MM\0\x2a\0\0\0\x08".to_vec()));
        assert!(found.troubles.is_empty(), "{:?}", found.troubles);
    }

    #[test]
    fn the_end_is_found_behind_a_long_trailer_and_across_blocks() {
        for padding in (1 << 16) - 4..(1 << 16) + 4 {
            let trailer = vec![0; padding];
            let whole = surveyed(&[b"\xff\xd8", FRAME, SCAN, b"\x12\xff\xd9", &trailer]);
            assert!(whole.troubles.is_empty(), "{padding}");
        }
    }

    #[test]
    fn a_file_cut_anywhere_is_called_cut() {
        // The thumbnail inside the EXIF segment has an end of image of its own, which must not count.
        let exif = b"\xff\xe1\0\x10Exif\0\0\xff\xd8\xff\xda1\xff\xd9\0";
        let whole = [b"\xff\xd8", &exif[..], FRAME, SCAN, b"\x12\x34\x56\xff\xd9"].concat();
        assert!(surveyed(&[&whole]).troubles.is_empty());
        for length in 3..whole.len() {
            let cut = surveyed(&[&whole[..length]]);
            assert_eq!(cut.troubles.len(), 1, "{length}");
            assert_eq!(cut.troubles[0].kind, TroubleKind::Truncated, "{length}");
        }
    }

    #[test]
    fn broken_structure_is_damage() {
        for tail in [
            &b"\xff\xe0\0\x01"[..],
            b"\xff\xd9",
            b"\xff\xe0\0\x02plain text",
            &vec![0xff; 20_000],
        ] {
            let found = surveyed(&[b"\xff\xd8", tail]);
            assert_eq!(found.troubles.len(), 1);
            assert_eq!(found.troubles[0].kind, TroubleKind::Damaged);
        }
    }
}
