//! Picture files as containers: which format, how large a picture, where the EXIF block lies, whether the file is whole.
//!
//! Takes a [`Source`] over a file. Gives a [`Survey`]. Reads headers only, each walk with a limit, so that no file can
//! keep us busy. Must not decode pixels or know what a tag means.
//!
//! kamadak-exif finds EXIF blocks as well, but tells neither a picture's size nor where a file ends too soon, and
//! reads a TIFF whole, however long. Since these walks pass the block on their way, they cut it out for it.

mod heif;
mod jpeg;
mod png;
mod tiff;
mod webp;

use std::io::{self, Read, Seek};

use super::found::Found;
use super::record::{Format, Trouble, TroubleKind};
use super::source::Source;

pub(super) use tiff::{block as tiff_block, is_long as is_long_tiff};

#[cfg(test)]
pub(super) use heif::tests::with_exif as heic;

/// The identifier before the TIFF header: the rule in a JPEG, a habit elsewhere.
const EXIF_MARK: &[u8] = b"Exif\0\0";

/// What a file's structure tells.
#[derive(Debug, Default, PartialEq)]
pub(super) struct Survey {
    pub(super) format: Option<Format>,
    /// Width and height as stored.
    pub(super) dimensions: Option<(u32, u32)>,
    pub(super) exif: Exif,
    pub(super) troubles: Vec<Trouble>,
}

/// Where the tags are.
#[derive(Debug, Default, PartialEq)]
pub(super) enum Exif {
    #[default]
    Absent,
    /// A block cut out of the file; it begins with a TIFF header if it is sound.
    Block(Vec<u8>),
    /// The file itself is the block: [`tiff_block`] gives it.
    WholeFile,
}

impl Survey {
    fn trouble(&mut self, kind: TroubleKind, found: Found) {
        self.troubles.push(Trouble::new(kind, "file", found));
    }

    fn cut(&mut self, found: Found) {
        self.trouble(TroubleKind::Truncated, found);
    }

    fn damaged(&mut self, found: Found) {
        self.trouble(TroubleKind::Damaged, found);
    }

    /// Keeps the first block that was found, without the identifier.
    fn keep_exif(&mut self, block: Vec<u8>) {
        if self.exif == Exif::Absent {
            let block = block
                .strip_prefix(EXIF_MARK)
                .map(<[u8]>::to_vec)
                .unwrap_or(block);
            self.exif = Exif::Block(block);
        }
    }

    /// Keeps the first size that was found. A side of zero is no size.
    fn keep_dimensions(&mut self, width: u32, height: u32) {
        if width > 0 && height > 0 {
            self.dimensions.get_or_insert((width, height));
        }
    }
}

/// Surveys a file.
pub(super) fn survey<R: Read + Seek>(source: &mut Source<R>) -> io::Result<Survey> {
    let mut survey = Survey {
        format: format(&source.piece(0, heif::LONGEST_BRAND_LIST)?),
        ..Survey::default()
    };
    match survey.format {
        Some(Format::Jpeg) => jpeg::survey(source, &mut survey)?,
        Some(Format::Heic) => heif::survey(source, &mut survey)?,
        Some(Format::Png) => png::survey(source, &mut survey)?,
        Some(Format::Tiff) => tiff::survey(source, &mut survey)?,
        Some(Format::WebP) => webp::survey(source, &mut survey)?,
        None => {}
    }
    if survey.format.is_some() && survey.dimensions.is_none() && survey.troubles.is_empty() {
        survey.damaged(Found::NoSides);
    }
    Ok(survey)
}

/// The format that a file's first bytes show.
pub(in crate::photo) fn format(head: &[u8]) -> Option<Format> {
    match head {
        [0xff, 0xd8, 0xff, ..] => Some(Format::Jpeg),
        [0x89, b'P', b'N', b'G', b'\r', b'\n', 0x1a, b'\n', ..] => Some(Format::Png),
        // 42 is TIFF, 43 is BigTIFF.
        [b'M', b'M', 0, 42 | 43, ..] | [b'I', b'I', 42 | 43, 0, ..] => Some(Format::Tiff),
        [
            b'R',
            b'I',
            b'F',
            b'F',
            _,
            _,
            _,
            _,
            b'W',
            b'E',
            b'B',
            b'P',
            ..,
        ] => Some(Format::WebP),
        _ => heif::is_heif(head).then_some(Format::Heic),
    }
}

/// A big-endian number of up to eight bytes.
fn big(bytes: &[u8]) -> u64 {
    bytes.iter().take(8).fold(0, |number, &byte| {
        // Eight bytes fill a u64 exactly, so that nothing is shifted out.
        (number << 8) | u64::from(byte)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn formats_are_known_by_their_first_bytes() {
        let cases: [(&[u8], Option<Format>); 9] = [
            (b"\xff\xd8\xff\xe0", Some(Format::Jpeg)),
            (b"\x89PNG\r\n\x1a\n", Some(Format::Png)),
            (b"II\x2a\0\x08\0\0\0", Some(Format::Tiff)),
            (b"MM\0\x2b\0\x08\0\0", Some(Format::Tiff)),
            (b"RIFF\0\0\0\0WEBP", Some(Format::WebP)),
            (b"\0\0\0\x18ftypheic\0\0\0\0mif1heic", Some(Format::Heic)),
            (b"\0\0\0\x18ftypisom\0\0\0\0isommp42", None),
            (b"\xff\xd8", None),
            (b"", None),
        ];
        for (head, expected) in cases {
            assert_eq!(format(head), expected, "{head:?}");
        }
    }
}
