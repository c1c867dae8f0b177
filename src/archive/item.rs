//! What goes into the archive: a file or bytes, its path below `data/`, its size and hash.
//!
//! Hashes files as they are found; must not decide which files those are.

use std::fs::File;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use sha2::{Digest, Sha256};

use super::ArchiveError;
use super::tree::Leaf;
use crate::deflated::Deflated;
use crate::hash::{self, Hash, Hashing};

/// Where an item's bytes are.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Content {
    /// In a file, read while packing.
    File(PathBuf),
    /// Here.
    Bytes(Vec<u8>),
    /// Here, deflated until it is packed: the index of a hundred thousand photos is 33 MB and waits while the report is set.
    Deflated(Deflated),
}

/// Bytes on their way into [`Content::Deflated`].
struct HashedAndDeflated<'a> {
    hashing: &'a mut Hashing,
    deflated: &'a mut dyn Write,
}

impl Write for HashedAndDeflated<'_> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.deflated.write_all(bytes)?;
        self.hashing.write_all(bytes)?;
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

/// One file of the payload.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Item {
    /// Path below `data/`, with `/`: `season/pulls.csv`.
    pub path: String,
    pub content: Content,
    /// Bytes.
    pub size: u64,
    /// SHA-256 as it was when the item was made. Packing hashes anew and stops if it differs.
    pub sha256: Hash,
}

impl Item {
    /// An item of bytes in memory.
    pub fn from_bytes(path: impl Into<String>, bytes: Vec<u8>) -> Self {
        Self {
            path: path.into(),
            size: bytes.len() as u64,
            sha256: Sha256::digest(&bytes).into(),
            content: Content::Bytes(bytes),
        }
    }

    /// An item of what is written now, held small.
    ///
    /// # Errors
    /// What `write` says; this side has none, as it writes to memory.
    pub fn deflated(
        path: impl Into<String>,
        write: impl FnOnce(&mut dyn Write) -> io::Result<()>,
    ) -> io::Result<Self> {
        let mut hashing = Hashing::default();
        let deflated = Deflated::of(|deflated| {
            write(&mut HashedAndDeflated {
                hashing: &mut hashing,
                deflated,
            })
        })?;
        let (size, sha256) = hashing.finish();
        Ok(Self {
            path: path.into(),
            size,
            sha256,
            content: Content::Deflated(deflated),
        })
    }

    /// An item of a file, hashed now.
    ///
    /// # Errors
    /// [`ArchiveError::Read`] if it isn't a plain file or can't be read.
    pub fn from_file(path: impl Into<String>, file: PathBuf) -> Result<Self, ArchiveError> {
        let read = open_plain(&file).and_then(hash::of_reader);
        let (size, sha256) = read.map_err(|source| ArchiveError::Read {
            file: file.clone(),
            source,
        })?;
        Ok(Self::hashed(path, file, size, sha256))
    }

    /// An item of a file that somebody read and hashed before. Packing reads it again, and finds out if that isn't so.
    pub fn hashed(path: impl Into<String>, file: PathBuf, size: u64, sha256: Hash) -> Self {
        Self {
            path: path.into(),
            content: Content::File(file),
            size,
            sha256,
        }
    }

    /// The item as a leaf of the tree.
    pub fn leaf(&self) -> Leaf {
        Leaf {
            path: self.path_in_bag(),
            size: self.size,
            sha256: self.sha256,
        }
    }

    /// Whether it is one of those that come first in the ZIP.
    pub(super) fn is_photo(&self) -> bool {
        super::profile::is_photo(&self.path)
    }

    /// Path below the base directory: `data/season/pulls.csv`.
    pub fn path_in_bag(&self) -> String {
        [super::profile::PAYLOAD, self.path.as_str()].concat()
    }
}

/// Opens a plain file; a link, a folder or a pipe is refused, so that nothing outside the season can slip in.
pub(super) fn open_plain(file: &Path) -> io::Result<File> {
    let not_plain = || io::Error::new(io::ErrorKind::InvalidInput, "it is not a plain file");
    let before = file.symlink_metadata()?;
    if !before.is_file() {
        return Err(not_plain());
    }
    let opened = File::open(file)?;
    // A link may have taken its place in between.
    #[cfg(unix)]
    {
        use std::os::unix::fs::MetadataExt;
        let after = opened.metadata()?;
        if (before.dev(), before.ino()) != (after.dev(), after.ino()) {
            return Err(not_plain());
        }
    }
    Ok(opened)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_and_its_bytes_give_the_same_item_but_for_the_place() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("pulls.csv");
        let bytes = vec![7; hash::PIECE * 2 + 1];
        std::fs::write(&file, &bytes).unwrap();
        let from_file = Item::from_file("season/pulls.csv", file).unwrap();
        let from_bytes = Item::from_bytes("season/pulls.csv", bytes);
        assert_eq!(from_file.leaf(), from_bytes.leaf());
        assert_eq!(from_file.path_in_bag(), "data/season/pulls.csv");
    }

    #[cfg(unix)]
    #[test]
    fn a_link_is_not_packed() {
        let folder = tempfile::tempdir().unwrap();
        let target = folder.path().join("secret");
        std::fs::write(&target, "x").unwrap();
        let link = folder.path().join("link");
        std::os::unix::fs::symlink(&target, &link).unwrap();
        assert!(Item::from_file("season/link", link).is_err());
    }
}
