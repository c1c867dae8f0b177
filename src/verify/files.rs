//! The files of a bag, wherever they are: in a ZIP or in a folder.
//!
//! Gives readers by path; writes nothing, holds no content.

use std::collections::BTreeMap;
use std::fs::File;
use std::io::{self, BufReader, Read, Seek, SeekFrom, Take};
use std::path::PathBuf;

use flate2::bufread::DeflateDecoder;

use super::VerifyError;

/// Where a file's bytes are.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Place {
    Folder,
    Zip {
        data: u64,
        compressed: u64,
        crc: u32,
        deflated: bool,
    },
}

/// One file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Stored {
    /// Bytes, as the file system or the ZIP states.
    pub size: u64,
    pub place: Place,
}

impl Stored {
    /// The check sum that the ZIP states.
    pub(super) fn crc(&self) -> Option<u32> {
        match self.place {
            Place::Folder => None,
            Place::Zip { crc, .. } => Some(crc),
        }
    }
}

/// All files of a bag by their path below the base directory.
#[derive(Debug)]
pub(super) struct Files {
    /// The base directory, or the ZIP.
    pub origin: PathBuf,
    pub list: BTreeMap<String, Stored>,
}

/// What became of reading a file whose bytes may be bad.
pub(super) enum Content<T> {
    Good(T),
    /// Its packed bytes make no sense, in plain words.
    Bad(String),
}

impl Files {
    pub(super) fn contains(&self, path: &str) -> bool {
        self.list.contains_key(path)
    }

    /// The payload: everything below `data/`.
    pub(super) fn payload(&self) -> impl Iterator<Item = (&str, &Stored)> {
        self.list
            .iter()
            .filter(|(path, _)| is_payload(path))
            .map(|(path, stored)| (path.as_str(), stored))
    }

    /// Everything else: the tag files.
    pub(super) fn tags(&self) -> impl Iterator<Item = (&str, &Stored)> {
        self.list
            .iter()
            .filter(|(path, _)| !is_payload(path))
            .map(|(path, stored)| (path.as_str(), stored))
    }

    /// Runs `work` over a file's bytes.
    ///
    /// # Errors
    /// The machine's failure; bad packed bytes are [`Content::Bad`].
    pub(super) fn with<T>(
        &self,
        path: &str,
        stored: &Stored,
        work: impl FnOnce(&mut dyn Read) -> io::Result<T>,
    ) -> Result<Content<T>, VerifyError> {
        let deflated = matches!(stored.place, Place::Zip { deflated: true, .. });
        let outcome = self
            .open(path, stored)
            .and_then(|mut reader| work(&mut *reader));
        match outcome {
            Ok(value) => Ok(Content::Good(value)),
            Err(error) if deflated && is_bad_data(&error) => {
                Ok(Content::Bad("its packed bytes can't be unpacked".into()))
            }
            Err(source) => Err(VerifyError::Read {
                path: match stored.place {
                    Place::Folder => self.origin.join(path),
                    Place::Zip { .. } => self.origin.clone(),
                },
                source,
            }),
        }
    }

    /// A whole file of `most` bytes or fewer; None if it is longer.
    ///
    /// # Errors
    /// As [`Files::with`].
    pub(super) fn read_whole(
        &self,
        path: &str,
        stored: &Stored,
        most: u64,
    ) -> Result<Content<Option<Vec<u8>>>, VerifyError> {
        if stored.size > most {
            return Ok(Content::Good(None));
        }
        self.with(path, stored, |reader| {
            let mut bytes = Vec::new();
            // A file in a folder may have grown since it was listed.
            reader.take(most + 1).read_to_end(&mut bytes)?;
            Ok((bytes.len() as u64 <= most).then_some(bytes))
        })
    }

    fn open(&self, path: &str, stored: &Stored) -> io::Result<Box<dyn Read>> {
        match stored.place {
            Place::Folder => {
                let path = self.origin.join(path);
                if !path.symlink_metadata()?.is_file() {
                    return Err(io::Error::other("it was replaced while it was verified"));
                }
                Ok(Box::new(File::open(path)?))
            }
            Place::Zip {
                data,
                compressed,
                deflated,
                ..
            } => {
                let mut file = File::open(&self.origin)?;
                file.seek(SeekFrom::Start(data))?;
                let part = file.take(compressed);
                Ok(if deflated {
                    Box::new(Inflated {
                        decoder: DeflateDecoder::new(BufReader::new(part)),
                        compressed,
                        left: stored.size,
                    })
                } else {
                    Box::new(Exactly { part })
                })
            }
        }
    }
}

fn is_payload(path: &str) -> bool {
    path.starts_with("data/")
}

fn is_bad_data(error: &io::Error) -> bool {
    matches!(
        error.kind(),
        io::ErrorKind::InvalidInput | io::ErrorKind::InvalidData | io::ErrorKind::UnexpectedEof
    )
}

/// Stored bytes; a file that was cut short meanwhile is an error and not a shorter content.
struct Exactly {
    part: Take<File>,
}

impl Read for Exactly {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let count = self.part.read(buffer)?;
        if count == 0 && !buffer.is_empty() && self.part.limit() > 0 {
            return Err(io::ErrorKind::UnexpectedEof.into());
        }
        Ok(count)
    }
}

/// Inflated bytes: exactly as many as stated, from exactly the bytes stated.
struct Inflated {
    decoder: DeflateDecoder<BufReader<Take<File>>>,
    compressed: u64,
    left: u64,
}

impl Read for Inflated {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let count = self.decoder.read(buffer)?;
        let bad = || io::Error::from(io::ErrorKind::InvalidData);
        self.left = self.left.checked_sub(count as u64).ok_or_else(bad)?;
        let ended = count == 0 && !buffer.is_empty();
        if ended && (self.left > 0 || self.decoder.total_in() != self.compressed) {
            return Err(bad());
        }
        Ok(count)
    }
}
