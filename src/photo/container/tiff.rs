//! TIFF: the file is its own block of tags.
//!
//! Source: TIFF 6.0 (Adobe, 1992), sections 2, 3 and 15. BigTIFF, for files above 4 GB, is recognised and not read.

use std::io::{self, Read, Seek};

use exif::Tag;

use super::super::found::Found;
use super::super::outline::{NoOutline, Outline};
use super::super::record::Format;
use super::super::source::Source;
use super::super::tags::Block;
use super::{Exif, Survey, format};

/// How much of the beginning is tried first: enough where the tags come before the pixels.
const WINDOW: u64 = 1 << 20;

/// How much of the beginning is held where that is not enough: as long as the longest file that is drawn.
const MOST_HELD: u64 = 400_000_000;

/// Where pixels lie and how many bytes they take: in strips, or in tiles.
const PIXELS: [(Tag, Tag); 2] = [
    (Tag::StripOffsets, Tag::StripByteCounts),
    (Tag::TileOffsets, Tag::TileByteCounts),
];

pub(super) fn survey<R: Read + Seek>(
    source: &mut Source<R>,
    survey: &mut Survey,
) -> io::Result<()> {
    let Some(head) = source.exactly::<8>(0)? else {
        survey.cut(Found::EndWithinHeader);
        return Ok(());
    };
    if head[2..4].contains(&43) {
        survey.damaged(Found::BigTiff);
        return Ok(());
    }
    let tags = match Block::open(block(source)?) {
        Ok(tags) => tags,
        Err(NoOutline::TooManyRows) => {
            survey.damaged(Found::TooManyTags);
            return Ok(());
        }
        Err(NoOutline::NoTable) if source.length() > MOST_HELD => {
            survey.damaged(Found::TagsTooFar);
            return Ok(());
        }
        Err(NoOutline::NoTable) => {
            survey.cut(Found::EndBeforeTags);
            return Ok(());
        }
    };
    survey.exif = Exif::WholeFile;
    if let (Some(width), Some(height)) = (
        tags.first_number(Tag::ImageWidth),
        tags.first_number(Tag::ImageLength),
    ) {
        survey.keep_dimensions(width, height);
    }
    for (offsets, counts) in PIXELS {
        if let (Some(start), Some(count)) = (tags.last_number(offsets), tags.last_number(counts))
            && u64::from(start) + u64::from(count) > source.length()
        {
            survey.cut(Found::EndWithinPicture);
            break;
        }
    }
    Ok(())
}

/// As much of the file's beginning as holds its tags: [`WINDOW`] where that is enough, else up to [`MOST_HELD`] bytes.
///
/// kamadak-exif wants a block in one piece, and the writers of long TIFFs often put the tags behind the pixels.
pub(in crate::photo) fn block<R: Read + Seek>(source: &mut Source<R>) -> io::Result<Vec<u8>> {
    let window = source.beginning(WINDOW)?;
    let whole = Outline::of(&window).is_ok_and(|outline| outline.is_inside(window.len()));
    if whole || source.length() <= WINDOW {
        return Ok(window);
    }
    drop(window);
    source.beginning(MOST_HELD)
}

/// Whether [`block`] may hold more than a window of a file that begins so.
pub(in crate::photo) fn is_long(head: &[u8], bytes: u64) -> bool {
    bytes > WINDOW && format(head) == Some(Format::Tiff)
}

#[cfg(test)]
mod tests {
    use std::io::{Seek, SeekFrom, Write};

    use super::super::{Exif, Survey, survey};
    use super::{MOST_HELD, WINDOW, block};
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

    /// The tiny picture with its table of tags moved to `place`; what lies between is a hole in the file.
    fn far(place: u32) -> std::fs::File {
        let tiny = tiny();
        let mut file = tempfile::tempfile().unwrap();
        file.write_all(&tiny[..4]).unwrap();
        file.write_all(&place.to_le_bytes()).unwrap();
        file.seek(SeekFrom::Start(place.into())).unwrap();
        file.write_all(&tiny[8..]).unwrap();
        file
    }

    fn surveyed(file: std::fs::File) -> Survey {
        let length = file.metadata().unwrap().len();
        survey(&mut Source::new(file, length, Vec::new())).unwrap()
    }

    #[test]
    fn tags_behind_long_pixels_are_found_up_to_a_limit() {
        for place in [WINDOW as u32 - 30, 50_000_000] {
            let found = surveyed(far(place));
            assert_eq!((found.dimensions, found.troubles), (Some((3, 2)), vec![]));
        }
        let found = surveyed(far(MOST_HELD as u32));
        assert_eq!(found.dimensions, None);
        assert_eq!(found.troubles[0].kind, TroubleKind::Damaged);
    }

    #[test]
    fn no_more_is_held_than_the_tags_need() {
        let near = tiny();
        let mut file = far(5_000_000);
        let length = file.metadata().unwrap().len();
        let far = block(&mut Source::new(&mut file, length, Vec::new())).unwrap();
        assert_eq!(far.len() as u64, length);
        file.seek(SeekFrom::Start(0)).unwrap();
        file.write_all(&near).unwrap();
        let window = block(&mut Source::new(&mut file, length, Vec::new())).unwrap();
        assert_eq!(window.len() as u64, WINDOW);
    }

    #[test]
    fn bigtiff_says_so() {
        let found = survey(&mut Source::over(b"II\x2b\0\x08\0\0\0\x10\0\0\0".to_vec())).unwrap();
        assert_eq!(found.troubles[0].kind, TroubleKind::Damaged);
    }
}
