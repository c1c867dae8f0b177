//! SHA-256 of what is read, and how a hash is written out and read back.
//!
//! Takes a reader that somebody else opened, or text; gives a hash, or digits. Opens nothing and judges nothing, so that
//! rooms that must not share a way of reading files can still share this.

use std::io::{self, Read, Write};

use sha2::{Digest, Sha256};

/// A SHA-256 hash (FIPS 180-4).
pub type Hash = [u8; 32];

/// Pieces in which files are read: large enough for a disk, small enough for many at once.
pub const PIECE: usize = 256 << 10;

/// How many bytes there are to be read, and their SHA-256.
///
/// # Errors
/// Whatever the reader says; an interrupted read is tried again.
pub fn of_reader(mut reader: impl Read) -> io::Result<(u64, Hash)> {
    let mut hashing = Hashing::default();
    let mut piece = Vec::with_capacity(PIECE);
    while next_piece(&mut reader, &mut piece)? {
        hashing.write_all(&piece)?;
    }
    Ok(hashing.finish())
}

/// Puts the next bytes that there are to be read into `piece`, at most [`PIECE`] of them, in place of what it held. False at the end.
///
/// # Errors
/// Whatever the reader says; an interrupted read is tried again.
pub fn next_piece(reader: impl Read, piece: &mut Vec<u8>) -> io::Result<bool> {
    piece.clear();
    reader.take(PIECE as u64).read_to_end(piece)?;
    Ok(!piece.is_empty())
}

/// A writer that keeps the length and the SHA-256 of what is written, and nothing else.
#[derive(Default)]
pub struct Hashing {
    hasher: Sha256,
    size: u64,
}

impl Hashing {
    /// How many bytes were written, and their SHA-256.
    pub fn finish(self) -> (u64, Hash) {
        (self.size, self.hasher.finalize().into())
    }
}

impl Write for Hashing {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.hasher.update(bytes);
        self.size += bytes.len() as u64;
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

/// Bytes as lower-case hexadecimal digits.
pub fn hex(bytes: &[u8]) -> String {
    use std::fmt::Write;
    bytes
        .iter()
        .fold(String::with_capacity(bytes.len() * 2), |mut text, byte| {
            // Writing into a String can't fail.
            let _ = write!(text, "{byte:02x}");
            text
        })
}

/// Reads a SHA-256 from exactly 64 hexadecimal digits, in either case. None for anything else.
pub fn parse_hash(text: &str) -> Option<Hash> {
    let digits = text.as_bytes();
    if digits.len() != 64 {
        return None;
    }
    let mut hash = [0; 32];
    for (byte, pair) in hash.iter_mut().zip(digits.chunks_exact(2)) {
        let mut value = 0;
        for digit in pair {
            value = value * 16 + char::from(*digit).to_digit(16)?;
        }
        *byte = u8::try_from(value).ok()?;
    }
    Some(hash)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hexadecimal_goes_both_ways_and_nothing_else_is_read() {
        let hash: Hash = Sha256::digest("abc").into();
        assert_eq!(parse_hash(&hex(&hash)), Some(hash));
        assert_eq!(parse_hash(&hex(&hash).to_uppercase()), Some(hash));
        assert_eq!(parse_hash(&hex(&hash)[1..]), None);
        assert_eq!(parse_hash(&hex(&hash).replace(|_| true, "g")), None);
        assert_eq!(parse_hash(&"+1".repeat(32)), None);
    }

    #[test]
    fn pieces_make_the_hash_of_the_whole() {
        struct Halting(Vec<u8>, bool);
        impl Read for Halting {
            fn read(&mut self, out: &mut [u8]) -> io::Result<usize> {
                self.1 = !self.1;
                if self.1 {
                    return Err(io::ErrorKind::Interrupted.into());
                }
                let count = self.0.len().min(out.len()).min(100_000);
                out[..count].copy_from_slice(&self.0[..count]);
                self.0.drain(..count);
                Ok(count)
            }
        }
        let bytes: Vec<u8> = (0..PIECE * 2 + 1).map(|number| number as u8).collect();
        let whole: Hash = Sha256::digest(&bytes).into();
        let read = of_reader(Halting(bytes.clone(), false)).unwrap();
        assert_eq!(read, (bytes.len() as u64, whole));
        assert!(of_reader(io::empty()).is_ok_and(|(size, _)| size == 0));
    }
}
