//! Reads one photo file: hash and metadata, and what the picture looks like.
//!
//! Takes a file and its path within the season folder. Gives a [`Photo`], and a [`Look`] where that is asked for. The bytes go through the hash once, in
//! blocks; tags are read from the blocks kept of the file's beginning, or by seeking where they lie elsewhere. Memory
//! stays below a few megabytes a file, whatever the file holds or claims, but for a TIFF whose tags lie far from its
//! beginning: that is held as far as [`container::tiff_block`] says, one such file at a time.

use std::fs::{self, File};
use std::io;
use std::path::Path;
use std::sync::{Mutex, PoisonError};

use sha2::{Digest, Sha256};

use super::container::{self, Exif};
use super::found::{Foreign, Found};
use super::likeness::{self, Look};
use super::metadata;
use super::name::extension;
use super::record::{Format, Photo, Trouble, TroubleKind};
use super::source::Source;
use crate::hash::{PIECE, next_piece};

/// How much of the beginning is kept: the EXIF segment of a JPEG is at most 64 KiB and stands first or second.
const HEAD: usize = 1 << 17;

/// The turn of the long TIFFs, one at a time.
static LONG_TIFF: Mutex<()> = Mutex::new(());

/// Reads one photo.
///
/// # Errors
/// Only if the file can't be opened or read, or is no regular file. Whatever its bytes are, they are a [`Photo`],
/// with troubles.
pub fn read(file: &Path, relative: &str) -> io::Result<Photo> {
    read_with_exif(file, relative, &mut ()).map(|(photo, _)| photo)
}

/// Reads one photo, and looks at it: at its camera's small copy, which is read anyway, or at the whole picture where there is none. `None`
/// in the place of a look is for a photo that shows too little or can't be drawn, which has its own finding. A picture whose look is
/// `known` already is not drawn again.
///
/// # Errors
/// As [`read`].
pub fn read_and_look(
    file: &Path,
    relative: &str,
    known: impl Fn(&Photo) -> Option<Look>,
) -> io::Result<(Photo, Option<Look>)> {
    read_and_hand_on(file, relative, known, &mut ())
}

/// As [`read_and_look`], for somebody who wants the photo's bytes as well.
///
/// # Errors
/// As [`read`].
pub fn read_and_hand_on(
    file: &Path,
    relative: &str,
    known: impl Fn(&Photo) -> Option<Look>,
    taker: &mut dyn Taker,
) -> io::Result<(Photo, Option<Look>)> {
    let (photo, exif) = read_with_exif(file, relative, taker)?;
    let look = known(&photo).map_or_else(
        || likeness::look_quickly(file, &photo, exif.as_deref()),
        |look| Ok(Some(look)),
    );
    Ok((photo, look.ok().flatten()))
}

/// Somebody who wants a photo's bytes as they are read.
pub trait Taker {
    /// Takes the next piece, and gives a buffer for the one after it.
    fn take(&mut self, piece: Vec<u8>) -> Vec<u8>;

    /// All pieces were handed over, and this is their SHA-256. Told before anything else is done with the photo.
    fn end(&mut self, sha256: [u8; 32]);
}

/// Nobody.
impl Taker for () {
    fn take(&mut self, piece: Vec<u8>) -> Vec<u8> {
        piece
    }

    fn end(&mut self, _: [u8; 32]) {}
}

/// Reads one photo, with its Exif block where that stands by itself.
fn read_with_exif(
    file: &Path,
    relative: &str,
    taker: &mut dyn Taker,
) -> io::Result<(Photo, Option<Vec<u8>>)> {
    // Asked before opening: opening a pipe would wait for a writer.
    if !fs::metadata(file)?.is_file() {
        return Err(io::Error::new(
            io::ErrorKind::InvalidInput,
            "is not a regular file",
        ));
    }
    let mut file = File::open(file)?;
    let (sha256, bytes, head) = hash(&mut file, taker)?;
    // Held to the end: a TIFF's tags may ask for the whole file in memory, so that such files take turns.
    let _turn = container::is_long_tiff(&head, bytes)
        .then(|| LONG_TIFF.lock().unwrap_or_else(PoisonError::into_inner));
    let mut source = Source::new(file, bytes, head);
    let survey = container::survey(&mut source)?;
    let mut photo = Photo {
        path: relative.into(),
        bytes,
        sha256,
        format: survey.format,
        dimensions: survey.dimensions,
        orientation: 1,
        captured: None,
        gps_time: None,
        position: None,
        bearing: None,
        camera: None,
        serial: None,
        troubles: Vec::new(),
    };
    let head = source.piece(0, 12)?;
    photo.troubles.extend(wrong_kind(&photo, &head));
    photo.troubles.extend(survey.troubles);
    let exif = match survey.exif {
        Exif::Absent => None,
        Exif::Block(block) => {
            metadata::fill(block.clone(), &mut photo);
            Some(block)
        }
        Exif::WholeFile => {
            metadata::fill(container::tiff_block(&mut source)?, &mut photo);
            None
        }
    };
    Ok((photo, exif))
}

/// Hash and length of the whole file, and its beginning.
fn hash(file: &mut File, taker: &mut dyn Taker) -> io::Result<([u8; 32], u64, Vec<u8>)> {
    let mut hash = Sha256::new();
    let mut bytes = 0;
    let mut head = Vec::new();
    let mut piece = Vec::with_capacity(PIECE);
    while next_piece(&mut *file, &mut piece)? {
        hash.update(&piece);
        bytes += piece.len() as u64;
        head.extend(piece.iter().take(HEAD - head.len().min(HEAD)));
        piece = taker.take(piece);
    }
    let sha256 = hash.finalize().into();
    taker.end(sha256);
    Ok((sha256, bytes, head))
}

/// The trouble of a file that isn't what its name promises.
fn wrong_kind(photo: &Photo, head: &[u8]) -> Option<Trouble> {
    if photo.bytes == 0 {
        return Some(Trouble::new(TroubleKind::Empty, "file", Found::NoBytes));
    }
    let Some(format) = photo.format else {
        let found = Found::Beginning(shown(head));
        return Some(Trouble::new(TroubleKind::NotAPicture, "file", found));
    };
    let promised = Format::promised_by(&extension(&photo.path)?)?;
    (promised != format).then(|| {
        let found = Found::OtherFormat { promised, format };
        Trouble::new(TroubleKind::WrongExtension, "file", found)
    })
}

/// Bytes as text where they are printable, else as a dot.
fn shown(bytes: &[u8]) -> Foreign {
    let text: String = bytes
        .iter()
        .map(|&byte| match byte {
            b' '..=b'~' => char::from(byte),
            _ => '.',
        })
        .collect();
    Foreign::new(&format!("“{text}”"))
}
