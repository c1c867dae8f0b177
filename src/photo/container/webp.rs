//! WebP: the chunks of a RIFF file.
//!
//! Source: RFC 9649 (2024), sections 2.3 to 2.7 and 3.4; the key frame header of VP8: RFC 6386 (2011), section 9.1.

use std::io::{self, Read, Seek};

use super::super::found::Found;
use super::super::source::Source;
use super::Survey;

/// The most chunks that we follow: a still has a handful, an animation two a frame.
const MOST_CHUNKS: usize = 20_000;

pub(super) fn survey<R: Read + Seek>(
    source: &mut Source<R>,
    survey: &mut Survey,
) -> io::Result<()> {
    let Some(stated) = source.exactly(4)?.map(u32::from_le_bytes) else {
        return Ok(());
    };
    let end = u64::from(stated) + 8;
    if end > source.length() {
        survey.cut(Found::FewerBytes {
            bytes: source.length(),
            stated: end,
        });
    }
    let mut offset = 12;
    for _ in 0..MOST_CHUNKS {
        if offset >= end.min(source.length()) {
            return Ok(());
        }
        let Some([n0, n1, n2, n3, size @ ..]) = source.exactly::<8>(offset)? else {
            return Ok(());
        };
        let size = u32::from_le_bytes(size);
        let start = offset + 8;
        match &[n0, n1, n2, n3] {
            b"VP8X" | b"VP8 " | b"VP8L" => {
                let header = source.piece(start, 10)?;
                if let Some((width, height)) = sides(&[n0, n1, n2, n3], &header) {
                    survey.keep_dimensions(width, height);
                }
            }
            b"EXIF" => {
                let block = source.piece(start, size as usize)?;
                survey.keep_exif(block);
            }
            _ => {}
        }
        // Chunks begin at even places.
        offset = start + u64::from(size) + u64::from(size % 2);
    }
    survey.damaged(Found::TooManyChunks);
    Ok(())
}

/// Width and height from the first bytes of a picture chunk.
fn sides(name: &[u8; 4], header: &[u8]) -> Option<(u32, u32)> {
    match (name, header) {
        // Four bytes of flags, then each side less one in 24 bits.
        (b"VP8X", &[_, _, _, _, w0, w1, w2, h0, h1, h2]) => Some((
            u32::from_le_bytes([w0, w1, w2, 0]) + 1,
            u32::from_le_bytes([h0, h1, h2, 0]) + 1,
        )),
        // Three bytes of frame tag, a start code, then each side in 14 bits below two bits of scale.
        (b"VP8 ", &[_, _, _, 0x9d, 0x01, 0x2a, w0, w1, h0, h1]) => Some((
            u32::from(u16::from_le_bytes([w0, w1]) & 0x3fff),
            u32::from(u16::from_le_bytes([h0, h1]) & 0x3fff),
        )),
        // A signature byte, then each side less one in 14 bits.
        (b"VP8L", &[0x2f, b0, b1, b2, b3, ..]) => {
            let bits = u32::from_le_bytes([b0, b1, b2, b3]);
            Some(((bits & 0x3fff) + 1, ((bits >> 14) & 0x3fff) + 1))
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Exif, survey};
    use super::sides;
    use crate::photo::record::TroubleKind;
    use crate::photo::source::Source;

    #[test]
    fn the_three_kinds_of_picture_chunk_state_their_sides() {
        assert_eq!(
            sides(b"VP8X", &[0, 0, 0, 0, 0xff, 0x0f, 0, 0xb7, 0x0b, 0]),
            Some((4096, 3000))
        );
        assert_eq!(
            sides(b"VP8 ", &[0, 0, 0, 0x9d, 1, 0x2a, 0x80, 0x42, 0xe0, 0x01]),
            Some((640, 480))
        );
        let bits: u32 = 639 | (479 << 14);
        let [b0, b1, b2, b3] = bits.to_le_bytes();
        assert_eq!(sides(b"VP8L", &[0x2f, b0, b1, b2, b3]), Some((640, 480)));
        assert_eq!(sides(b"VP8L", &[0x2f, 0]), None);
    }

    #[test]
    fn exif_is_found_with_or_without_the_mark_of_jpeg_and_cuts_noticed() {
        for mark in [&b""[..], b"Exif\0\0"] {
            let block = [mark, b"II\x2a\0\x08\0\0\0"].concat();
            let chunks = [
                b"WEBPVP8X\x0a\0\0\0\x08\0\0\0\x0f\0\0\x07\0\0".to_vec(),
                b"ALPH\x03\0\0\0abc\0".to_vec(),
                b"EXIF".to_vec(),
                (block.len() as u32).to_le_bytes().to_vec(),
                block,
            ]
            .concat();
            let whole = [b"RIFF", &(chunks.len() as u32).to_le_bytes()[..], &chunks].concat();
            let found = survey(&mut Source::over(whole.clone())).unwrap();
            assert_eq!(found.dimensions, Some((16, 8)));
            assert_eq!(found.exif, Exif::Block(b"II\x2a\0\x08\0\0\0".to_vec()));
            assert!(found.troubles.is_empty());
            let cut = survey(&mut Source::over(whole[..whole.len() - 1].to_vec())).unwrap();
            assert_eq!(cut.troubles[0].kind, TroubleKind::Truncated);
        }
    }
}
