//! Hostile and broken files: a record with troubles in bounded time, never a panic.

use std::time::{Duration, Instant};

use super::support::*;
use crate::photo::container::heic;
use crate::photo::{TroubleKind, read};

#[test]
fn an_empty_file_is_called_empty() {
    let photo = read_as("a.jpg", b"");
    assert_eq!(troubles(&photo), [(TroubleKind::Empty, "file")]);
    assert_eq!((photo.bytes, photo.format), (0, None));
}

#[test]
fn a_folder_and_a_missing_file_are_errors() {
    let folder = tempfile::tempdir().unwrap();
    assert!(read(folder.path(), "a.jpg").is_err());
    assert!(read(&folder.path().join("none.jpg"), "none.jpg").is_err());
}

#[test]
fn a_hundred_megabytes_of_garbage_are_hashed_and_left() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("garbage.jpg");
    let file = std::fs::File::create(&path).unwrap();
    // A file with a hole: zeros that take no room on the disk.
    file.set_len(100_000_000).unwrap();
    let photo = read(&path, "garbage.jpg").unwrap();
    assert_eq!(troubles(&photo), [(TroubleKind::NotAPicture, "file")]);
    assert_eq!(photo.bytes, 100_000_000);
}

#[test]
fn a_header_that_claims_gigapixels_is_only_noted() {
    let mut bytes = png(&[]);
    bytes[16..24].copy_from_slice(b"\x7f\xff\xff\xff\x7f\xff\xff\xff");
    assert_eq!(
        read_as("a.png", &bytes).dimensions,
        Some((0x7fff_ffff, 0x7fff_ffff))
    );
}

#[test]
fn directories_that_point_at_each_other_come_to_an_end() {
    // The Exif and the GPS directory are the primary one, and the next directory is it as well.
    let looping = b"MM\0\x2a\0\0\0\x08\0\x03\
        \x01\x12\0\x03\0\0\0\x01\0\x06\0\0\
        \x87\x69\0\x04\0\0\0\x01\0\0\0\x08\
        \x88\x25\0\x04\0\0\0\x01\0\0\0\x08\
        \0\0\0\x08";
    let photo = read_as("a.jpg", &jpeg_around(looping));
    assert_eq!(photo.orientation, 6);
    assert_eq!(photo.troubles, []);
}

#[test]
fn pointers_outside_the_block_are_named() {
    let stray = b"MM\0\x2a\0\0\0\x08\0\x01\x88\x25\0\x04\0\0\0\x01\xff\xff\xff\xf0\0\0\0\0";
    let photo = read_as("a.jpg", &jpeg_around(stray));
    assert_eq!(
        troubles(&photo),
        [(TroubleKind::Unreadable, "GPS Info IFD Pointer")]
    );
    let broken = read_as("a.jpg", &jpeg_around(b"no header here"));
    assert_eq!(troubles(&broken), [(TroubleKind::Damaged, "EXIF")]);
    assert_eq!(broken.dimensions, Some(SIDES));
}

#[test]
fn a_photo_cut_at_any_byte_still_gives_a_record() {
    for (name, whole) in [
        ("a.jpg", jpeg(&good())),
        ("a.png", png(&good())),
        ("a.webp", webp(&good())),
        ("a.tif", tiff(&good())),
    ] {
        for length in 0..whole.len() {
            let photo = read_as(name, &whole[..length]);
            assert!(!photo.troubles.is_empty(), "{name} cut at {length}");
        }
    }
}

#[test]
fn a_photo_with_trailers_is_whole() {
    // Second pictures, films and padding are put behind the end of image.
    let second = jpeg(&[]);
    let whole = [jpeg(&good()), second, vec![0; 5000]].concat();
    assert_eq!(read_as("a.jpg", &whole).troubles, []);
}

/// A small generator of numbers that look random (Marsaglia, ‘Xorshift RNGs’, Journal of Statistical Software 8(14),
/// 2003, page 4, from memory: shifts 13, 7, 17), so that a failure can be repeated from its round.
struct Dice(u64);

impl Dice {
    fn next(&mut self) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0
    }

    fn below(&mut self, limit: usize) -> usize {
        (self.next() % limit as u64) as usize
    }
}

#[test]
fn random_bytes_behind_every_signature_never_panic() {
    let signatures: [&[u8]; 7] = [
        b"",
        b"\xff\xd8\xff",
        b"\x89PNG\r\n\x1a\n",
        b"II\x2a\0\x08\0\0\0",
        b"MM\0\x2a\0\0\0\x08",
        b"RIFF\xff\xff\0\0WEBP",
        b"\0\0\0\x14ftypheic\0\0\0\0mif1",
    ];
    let begun = Instant::now();
    let mut dice = Dice(0x5eed);
    for round in 0..2000 {
        let mut bytes = signatures[round % signatures.len()].to_vec();
        bytes.extend((0..dice.below(600)).map(|_| dice.next() as u8));
        read_as("a.jpg", &bytes);
    }
    // Generous: the bound is against runaway loops, not a measure of speed.
    assert!(begun.elapsed() < Duration::from_secs(60));
}

#[test]
fn changed_bytes_never_panic_and_never_give_impossible_values() {
    let files = [
        jpeg(&good()),
        png(&good()),
        webp(&good()),
        tiff(&good()),
        heic(),
    ];
    let mut dice = Dice(0xbad5eed);
    for round in 0..4000 {
        let mut bytes = files[round % files.len()].clone();
        for _ in 0..=dice.below(4) {
            let place = dice.below(bytes.len());
            bytes[place] = dice.next() as u8;
        }
        let photo = read_as("a.jpg", &bytes);
        assert!((1..=8).contains(&photo.orientation), "round {round}");
        if let Some(position) = photo.position {
            assert!(position.latitude.abs() <= 90.0, "round {round}");
            assert!(position.longitude.abs() <= 180.0, "round {round}");
            let metres = [position.altitude_m, position.error_m];
            assert!(metres.into_iter().flatten().all(f64::is_finite));
        }
        if let Some(bearing) = photo.bearing {
            assert!((0.0..360.0).contains(&bearing.degrees), "round {round}");
        }
    }
}
