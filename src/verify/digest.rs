//! Check sums of a file's bytes, several at once in one reading.

use std::fmt;
use std::io::{self, Read};

use md5::Md5;
use sha1::Sha1;
use sha2::{Digest, Sha224, Sha256, Sha384, Sha512};

use crate::hash::PIECE;

/// A check sum that a manifest may use, by its name in the manifest's file name (RFC 8493, 2.4).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Algorithm {
    Md5,
    Sha1,
    Sha224,
    Sha256,
    Sha384,
    Sha512,
}

impl Algorithm {
    const ALL: [Self; 6] = [
        Self::Md5,
        Self::Sha1,
        Self::Sha224,
        Self::Sha256,
        Self::Sha384,
        Self::Sha512,
    ];

    pub(super) fn from_name(name: &str) -> Option<Self> {
        Self::ALL
            .into_iter()
            .find(|algorithm| algorithm.name() == name)
    }

    pub(super) fn name(self) -> &'static str {
        match self {
            Self::Md5 => "md5",
            Self::Sha1 => "sha1",
            Self::Sha224 => "sha224",
            Self::Sha256 => "sha256",
            Self::Sha384 => "sha384",
            Self::Sha512 => "sha512",
        }
    }

    /// Bytes of a sum.
    pub(super) fn bytes(self) -> usize {
        match self {
            Self::Md5 => 16,
            Self::Sha1 => 20,
            Self::Sha224 => 28,
            Self::Sha256 => 32,
            Self::Sha384 => 48,
            Self::Sha512 => 64,
        }
    }

    /// Whether two files of one sum can be made on purpose.
    pub(super) fn is_weak(self) -> bool {
        matches!(self, Self::Md5 | Self::Sha1)
    }
}

impl fmt::Display for Algorithm {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(self.name())
    }
}

/// A sum of some algorithm.
pub(super) type Sum = Box<[u8]>;

/// A sum in the making.
enum Hasher {
    Md5(Md5),
    Sha1(Sha1),
    Sha224(Sha224),
    Sha256(Sha256),
    Sha384(Sha384),
    Sha512(Sha512),
}

impl Hasher {
    fn new(algorithm: Algorithm) -> Self {
        match algorithm {
            Algorithm::Md5 => Self::Md5(Md5::new()),
            Algorithm::Sha1 => Self::Sha1(Sha1::new()),
            Algorithm::Sha224 => Self::Sha224(Sha224::new()),
            Algorithm::Sha256 => Self::Sha256(Sha256::new()),
            Algorithm::Sha384 => Self::Sha384(Sha384::new()),
            Algorithm::Sha512 => Self::Sha512(Sha512::new()),
        }
    }

    fn update(&mut self, bytes: &[u8]) {
        match self {
            Self::Md5(hasher) => hasher.update(bytes),
            Self::Sha1(hasher) => hasher.update(bytes),
            Self::Sha224(hasher) => hasher.update(bytes),
            Self::Sha256(hasher) => hasher.update(bytes),
            Self::Sha384(hasher) => hasher.update(bytes),
            Self::Sha512(hasher) => hasher.update(bytes),
        }
    }

    fn finish(self) -> Sum {
        match self {
            Self::Md5(hasher) => hasher.finalize().as_slice().into(),
            Self::Sha1(hasher) => hasher.finalize().as_slice().into(),
            Self::Sha224(hasher) => hasher.finalize().as_slice().into(),
            Self::Sha256(hasher) => hasher.finalize().as_slice().into(),
            Self::Sha384(hasher) => hasher.finalize().as_slice().into(),
            Self::Sha512(hasher) => hasher.finalize().as_slice().into(),
        }
    }
}

/// What one reading of a file gave.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Reading {
    pub sums: Vec<(Algorithm, Sum)>,
    /// CRC-32, as ZIPs keep it.
    pub crc: u32,
}

impl Reading {
    pub(super) fn sum(&self, algorithm: Algorithm) -> Option<&[u8]> {
        self.sums
            .iter()
            .find(|(known, _)| *known == algorithm)
            .map(|(_, sum)| &**sum)
    }
}

/// Reads to the end, telling `progress` the bytes of each piece.
///
/// # Errors
/// Whatever the reader says.
pub(super) fn read(
    reader: &mut dyn Read,
    algorithms: &[Algorithm],
    progress: &dyn Fn(u64),
) -> io::Result<Reading> {
    let mut hashers: Vec<(Algorithm, Hasher)> = algorithms
        .iter()
        .map(|algorithm| (*algorithm, Hasher::new(*algorithm)))
        .collect();
    let mut crc = crc32fast::Hasher::new();
    let mut piece = vec![0; PIECE];
    loop {
        let count = match reader.read(&mut piece) {
            Ok(0) => break,
            Ok(count) => count,
            Err(error) if error.kind() == io::ErrorKind::Interrupted => continue,
            Err(error) => return Err(error),
        };
        // `read` never says more than the buffer holds.
        let bytes = piece.get(..count).unwrap_or_default();
        for (_, hasher) in &mut hashers {
            hasher.update(bytes);
        }
        crc.update(bytes);
        progress(count as u64);
    }
    Ok(Reading {
        sums: hashers
            .into_iter()
            .map(|(algorithm, hasher)| (algorithm, hasher.finish()))
            .collect(),
        crc: crc.finalize(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::archive::tree::hex;

    /// Sums of "abc": MD5 from R. Rivest, RFC 1321 (1992), A.5; the others from NIST, FIPS 180-4 (2015) by its
    /// "Examples with Intermediate Values". The CRC-32 of "123456789" is the check value of the CRC catalogue that
    /// ITU-T V.42's polynomial goes by; from memory.
    #[test]
    fn sums_are_the_published_ones() {
        let reading = read(&mut &b"abc"[..], &Algorithm::ALL, &|_| {}).unwrap();
        for (algorithm, expected) in [
            (Algorithm::Md5, "900150983cd24fb0d6963f7d28e17f72"),
            (Algorithm::Sha1, "a9993e364706816aba3e25717850c26c9cd0d89d"),
            (
                Algorithm::Sha224,
                "23097d223405d8228642a477bda255b32aadbce4bda0b3f7e36c9da7",
            ),
            (
                Algorithm::Sha256,
                "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad",
            ),
            (
                Algorithm::Sha384,
                "cb00753f45a35e8bb5a03d699ac65007272c32ab0eded1631a8b605a43ff5bed8086072ba1e7cc2358baeca134c825a7",
            ),
            (
                Algorithm::Sha512,
                "ddaf35a193617abacc417349ae20413112e6fa4e89a97ea20a9eeee64b55d39a2192992a274fc1a836ba3c23a3feebbd454d4423643ce80e2a9ac94fa54ca49f",
            ),
        ] {
            let sum = reading.sum(algorithm).unwrap();
            assert_eq!(hex(sum), expected, "{algorithm}");
            assert_eq!(sum.len(), algorithm.bytes());
        }
        let reading = read(&mut &b"123456789"[..], &[], &|_| {}).unwrap();
        assert_eq!(reading.crc, 0xcbf4_3926);
    }

    #[test]
    fn names_are_those_of_manifests() {
        assert_eq!(Algorithm::from_name("sha512"), Some(Algorithm::Sha512));
        assert_eq!(Algorithm::from_name("SHA512"), None);
        assert_eq!(Algorithm::from_name("sha-512"), None);
    }
}
