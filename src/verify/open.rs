//! An archive opened for reading, for those who go on working with one that was found whole.
//!
//! Takes the path of an archive that [`super::verify`] judged; gives its leaves and its files' bytes. Judges nothing by
//! itself, but a leaf's bytes are handed out only if they are those of its leaf: the archive may change meanwhile.

use std::fs::{self, File};
use std::path::Path;

use sha2::{Digest, Sha256};

use super::VerifyError;
use super::evidence;
use super::files::{Content, Files};
use super::zip::{self, Stop};
use super::{folder, layout};
use crate::archive::tree::{Hash, Leaf};

/// An evidence archive, ZIP or folder.
#[derive(Debug)]
pub struct Opened {
    files: Files,
    leaves: Vec<Leaf>,
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
    pub fn leaves(&self) -> &[Leaf] {
        &self.leaves
    }

    /// The leaves' hashes in the tree's order.
    pub fn leaf_hashes(&self) -> Vec<Hash> {
        self.leaves.iter().map(Leaf::hash).collect()
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

    /// The leaf of a path.
    pub fn leaf(&self, path: &str) -> Option<&Leaf> {
        self.leaves.iter().find(|leaf| leaf.path == path)
    }
}
