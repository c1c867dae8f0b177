//! TIFF: the file is its own block of tags.
//!
//! Source: TIFF 6.0 (Adobe, 1992), sections 2, 3 and 15. BigTIFF, for files above 4 GB, is recognised and not read.

use std::io::{self, Read, Seek};

use super::super::ifd::{Directory, Header, Value};
use super::super::source::Source;
use super::{Exif, Survey};

const IMAGE_WIDTH: u16 = 0x0100;
const IMAGE_LENGTH: u16 = 0x0101;

/// Where pixels lie and how many bytes they take: in strips, or in tiles.
const PIXELS: [(u16, u16); 2] = [(0x0111, 0x0117), (0x0144, 0x0145)];

pub(super) fn survey<R: Read + Seek>(
    source: &mut Source<R>,
    survey: &mut Survey,
) -> io::Result<()> {
    let head = source.piece(0, 8)?;
    if head.len() < 8 {
        survey.cut("ends within its header");
        return Ok(());
    }
    let Some(header) = Header::parse(&head) else {
        survey.damaged("is a BigTIFF, whose tags are not read");
        return Ok(());
    };
    let Some(directory) = Directory::read(source, header.order, header.first.into())? else {
        survey.cut("ends before its table of tags");
        return Ok(());
    };
    survey.exif = Exif::WholeFile;
    if let (Some(width), Some(height)) = (
        number(source, &directory, IMAGE_WIDTH)?,
        number(source, &directory, IMAGE_LENGTH)?,
    ) {
        survey.keep_dimensions(width, height);
    }
    for (offsets, counts) in PIXELS {
        if let (Some(start), Some(count)) = (
            directory.last_number(source, offsets)?,
            directory.last_number(source, counts)?,
        ) && u64::from(start) + u64::from(count) > source.length()
        {
            survey.cut("ends before the picture does");
            break;
        }
    }
    Ok(())
}

fn number<R: Read + Seek>(
    source: &mut Source<R>,
    directory: &Directory,
    tag: u16,
) -> io::Result<Option<u32>> {
    Ok(match directory.value(source, tag)? {
        Some(Ok(Value::Unsigned(numbers))) => numbers.first().copied(),
        _ => None,
    })
}

#[cfg(test)]
mod tests {
    use super::super::{Exif, survey};
    use crate::photo::record::TroubleKind;
    use crate::photo::source::Source;

    /// A grey picture of 3 by 2 pixels in one strip behind the tags.
    fn tiny() -> Vec<u8> {
        let mut bytes = b"II\x2a\0\x08\0\0\0\x04\0".to_vec();
        for (tag, value) in [(0x0100u16, 3u32), (0x0101, 2), (0x0111, 62), (0x0117, 6)] {
            bytes.extend(tag.to_le_bytes());
            bytes.extend(4u16.to_le_bytes());
            bytes.extend(1u32.to_le_bytes());
            bytes.extend(value.to_le_bytes());
        }
        bytes.extend([0; 4]);
        bytes.extend([9; 6]);
        bytes
    }

    #[test]
    fn size_is_found_and_cuts_noticed() {
        let whole = tiny();
        let found = survey(&mut Source::over(whole.clone())).unwrap();
        assert_eq!(found.dimensions, Some((3, 2)));
        assert_eq!(found.exif, Exif::WholeFile);
        assert!(found.troubles.is_empty());
        for length in [4, 8, whole.len() - 1] {
            let cut = survey(&mut Source::over(whole[..length].to_vec())).unwrap();
            assert_eq!(cut.troubles[0].kind, TroubleKind::Truncated, "{length}");
        }
    }

    #[test]
    fn bigtiff_says_so() {
        let found = survey(&mut Source::over(b"II\x2b\0\x08\0\0\0\x10\0\0\0".to_vec())).unwrap();
        assert_eq!(found.troubles[0].kind, TroubleKind::Damaged);
    }
}
