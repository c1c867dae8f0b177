//! PNG: chunks up to the end of image.
//!
//! Source: Portable Network Graphics (PNG) Specification (Third Edition), W3C, sections 5.3, 11.2.1 and 11.3.4.5
//! (eXIf). Older habits of keeping EXIF as compressed text are not read.

use std::io::{self, Read, Seek};

use super::super::found::Found;
use super::super::source::Source;
use super::{Survey, big};

/// The most chunks that we follow. The reference encoder cuts a picture into chunks of 8 KiB, so that this is enough
/// for 1.6 GB.
const MOST_CHUNKS: usize = 200_000;

pub(super) fn survey<R: Read + Seek>(
    source: &mut Source<R>,
    survey: &mut Survey,
) -> io::Result<()> {
    // Behind the eight bytes of signature.
    let mut offset = 8;
    for _ in 0..MOST_CHUNKS {
        let Some([l0, l1, l2, l3, name @ ..]) = source.exactly::<8>(offset)? else {
            survey.cut(Found::EndWithinPicture);
            return Ok(());
        };
        let length = u32::from_be_bytes([l0, l1, l2, l3]);
        let start = offset + 8;
        match &name {
            b"IHDR" => {
                let sides = source.piece(start, 8)?;
                if let (Some(width), Some(height)) = (sides.get(..4), sides.get(4..8)) {
                    survey.keep_dimensions(big(width) as u32, big(height) as u32);
                }
            }
            b"eXIf" => {
                let block = source.piece(start, length as usize)?;
                survey.keep_exif(block);
            }
            _ => {}
        }
        // Four bytes of checksum follow the data.
        offset = start + u64::from(length) + 4;
        if offset > source.length() {
            survey.cut(Found::EndWithinPicture);
            return Ok(());
        }
        if &name == b"IEND" {
            return Ok(());
        }
    }
    survey.damaged(Found::TooManyChunks);
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::super::{Exif, survey};
    use crate::photo::record::TroubleKind;
    use crate::photo::source::Source;

    #[test]
    fn size_and_exif_are_found_and_cuts_noticed() {
        let chunk = |name: &[u8], data: &[u8]| {
            [
                &(data.len() as u32).to_be_bytes()[..],
                name,
                data,
                b"\0\0\0\0",
            ]
            .concat()
        };
        let whole = [
            b"\x89PNG\r\n\x1a\n".to_vec(),
            chunk(b"IHDR", b"\0\0\x01\0\0\0\0\x80\x08\x02\0\0\0"),
            chunk(b"IDAT", &[7; 30]),
            chunk(b"eXIf", b"II\x2a\0\x08\0\0\0"),
            chunk(b"IEND", b""),
        ]
        .concat();
        let found = survey(&mut Source::over(whole.clone())).unwrap();
        assert_eq!(found.dimensions, Some((256, 128)));
        assert_eq!(found.exif, Exif::Block(b"II\x2a\0\x08\0\0\0".to_vec()));
        assert!(found.troubles.is_empty());
        for length in 8..whole.len() {
            let cut = survey(&mut Source::over(whole[..length].to_vec())).unwrap();
            assert_eq!(cut.troubles.len(), 1, "{length}");
            assert_eq!(cut.troubles[0].kind, TroubleKind::Truncated, "{length}");
        }
    }
}
