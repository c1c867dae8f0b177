//! An archive opened for reading, for those who go on working with one that was found whole.
//!
//! Takes the path of an archive that [`super::verify`] judged; gives its leaves and its files' bytes. Judges nothing by
//! itself, but a leaf's bytes are handed out only if they are those of its leaf: the archive may change meanwhile.

use std::fs::{self, File};
use std::io::{self, Write};
use std::path::Path;

use sha2::{Digest, Sha256};

use super::VerifyError;
use super::evidence::{self, TreeLeaf};
use super::files::{Content, Files};
use super::zip::{self, Stop};
use super::{folder, layout};
use crate::archive::tree::{Hash, Leaf};
use crate::hash::PIECE;

/// What became of copying a file out of an archive.
#[derive(Debug)]
pub enum Copied {
    /// All of it, and it is what its leaf says, if it has one.
    Whole,
    /// It isn't there, or isn't what its leaf says.
    NotAsStated,
    /// The copy can't be written.
    NotWritten(io::Error),
}

/// An evidence archive, ZIP or folder.
#[derive(Debug)]
pub struct Opened {
    files: Files,
    leaves: Vec<TreeLeaf>,
}

/// Opens an evidence archive. None if it isn't one, or can't be followed; [`super::verify`] says why.
///
/// # Errors
/// The machine's failure.
pub fn open(path: &Path) -> Result<Option<Opened>, VerifyError> {
    let Some(files) = files_of(path)? else {
        return Ok(None);
    };
    let Some(leaves) = evidence::read_leaves(&files)? else {
        return Ok(None);
    };
    Ok(Some(Opened { files, leaves }))
}

fn files_of(path: &Path) -> Result<Option<Files>, VerifyError> {
    let open = |source| VerifyError::Open {
        path: path.to_path_buf(),
        source,
    };
    let kind = fs::metadata(path).map_err(open)?;
    let mut ignored = Vec::new();
    if kind.is_dir() {
        return folder::list(&layout::base_in_folder(path), &mut ignored).map(Some);
    }
    let mut file = File::open(path).map_err(open)?;
    match zip::scan(&mut file, kind.len()) {
        Ok(scan) => Ok(Some(layout::of_zip(path, scan.entries, &mut ignored).files)),
        Err(Stop::Fault(_)) => Ok(None),
        Err(Stop::Io(source)) => Err(VerifyError::Read {
            path: path.to_path_buf(),
            source,
        }),
    }
}

impl Opened {
    /// The leaves in the tree's order.
    pub fn leaves(&self) -> &[TreeLeaf] {
        &self.leaves
    }

    /// The leaves' hashes in the tree's order.
    pub fn leaf_hashes(&self) -> Vec<Hash> {
        self.leaves.iter().map(TreeLeaf::hash).collect()
    }

    /// Paths and sizes of all payload files, leaves or not, sorted by path.
    pub fn payload(&self) -> impl Iterator<Item = (&str, u64)> {
        self.files
            .payload()
            .map(|(path, stored)| (path, stored.size))
    }

    /// A payload file's bytes. None if it isn't there, is longer than `most`, can't be unpacked, or is a leaf and not
    /// what its leaf says.
    ///
    /// # Errors
    /// The machine's failure.
    pub fn read(&self, path: &str, most: u64) -> Result<Option<Vec<u8>>, VerifyError> {
        let Some(stored) = self.files.list.get(path) else {
            return Ok(None);
        };
        let Content::Good(Some(bytes)) = self.files.read_whole(path, stored, most)? else {
            return Ok(None);
        };
        let as_stated = self
            .leaf(path)
            .is_none_or(|leaf| leaf.sha256 == <Hash>::from(Sha256::digest(&bytes)));
        Ok(as_stated.then_some(bytes))
    }

    /// The leaf of a path, whether its file is here or withheld.
    pub fn leaf(&self, path: &str) -> Option<&Leaf> {
        let mut named = self.leaves.iter().filter_map(TreeLeaf::named);
        named.find(|leaf| leaf.path == path)
    }

    /// Copies a payload file to `out`, in pieces.
    ///
    /// # Errors
    /// The machine's failure in reading.
    pub fn copy(&self, path: &str, out: &mut dyn Write) -> Result<Copied, VerifyError> {
        let Some(stored) = self.files.list.get(path) else {
            return Ok(Copied::NotAsStated);
        };
        let mut hasher = Sha256::new();
        let mut unwritten = None;
        let content = self.files.with(path, stored, |reader| {
            let mut piece = vec![0; PIECE];
            loop {
                let count = match reader.read(&mut piece) {
                    Ok(0) => return Ok(()),
                    Ok(count) => count,
                    Err(error) if error.kind() == io::ErrorKind::Interrupted => continue,
                    Err(error) => return Err(error),
                };
                // `read` never says more than the buffer holds.
                let read = piece.get(..count).unwrap_or_default();
                hasher.update(read);
                if let Err(error) = out.write_all(read) {
                    unwritten = Some(error);
                    return Ok(());
                }
            }
        })?;
        if let Some(error) = unwritten {
            return Ok(Copied::NotWritten(error));
        }
        let sha256: Hash = hasher.finalize().into();
        let as_stated = matches!(content, Content::Good(()))
            && self.leaf(path).is_none_or(|leaf| leaf.sha256 == sha256);
        Ok(if as_stated {
            Copied::Whole
        } else {
            Copied::NotAsStated
        })
    }
}
