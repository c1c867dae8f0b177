//! An archive in the making, from an empty file to one that bears its name.
//!
//! Takes a place, then items, the evidence whose root the report prints, and a description; the photos may stand in the file already, as
//! [`super::Intake`] leaves them. Gives a file at its final name, or an error and no file.

use std::fs::File;
use std::path::{Path, PathBuf};

use super::tree::Hash;
use super::writer::{Taken, check_lists, check_names, in_order, tag_files, write_zip};
use super::zip_writer::{Target, buffered};
use super::{ArchiveError, BagDescription, Evidence, Item, flushing};
use crate::output::Unfinished;

/// What was packed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Packed {
    /// Where the archive lies.
    pub path: PathBuf,
    /// Root of the hash tree, as printed in the report.
    pub root: Hash,
    /// SHA-256 of tagmanifest-sha256.txt: it stands for the whole bag, report and tag files included.
    pub fingerprint: Hash,
    /// Payload files.
    pub files: usize,
    /// Leaves whose files stay out of this copy.
    pub withheld: usize,
    /// Bytes of payload.
    pub bytes: u64,
}

/// An archive in the making: a file without a name yet. Dropped, it is gone, and a former archive of its name is as it was.
pub struct Draft {
    unfinished: Unfinished,
    output: PathBuf,
    /// The photos that stand in it already, if they were taken in while they were read.
    pub(super) taken: Option<Taken>,
}

impl Draft {
    /// An empty one of what will be `output`.
    ///
    /// # Errors
    /// Trouble with the disk.
    pub fn at(output: &Path) -> Result<Self, ArchiveError> {
        let unfinished = Unfinished::beside(output).map_err(|source| ArchiveError::Write {
            file: output.to_path_buf(),
            source,
        })?;
        Ok(Self {
            unfinished,
            output: output.to_path_buf(),
            taken: None,
        })
    }

    pub(super) fn file(&mut self) -> &mut File {
        self.unfinished.file()
    }

    /// Adds whatever of `items` isn't in it yet, and gives it its name, replacing a former file only when the new one is whole.
    ///
    /// `evidence` is [`Evidence::of`] the same items, made before the report was. Those that it marks as withheld stay out of
    /// the ZIP and of the manifest; hand them in all the same, as the root is over them too. `progress` is told the payload bytes
    /// done so far.
    ///
    /// # Errors
    /// See [`ArchiveError`]: names that the profile forbids, a file that changed since it was hashed, trouble with the disk.
    pub fn finish(
        self,
        items: Vec<Item>,
        evidence: &Evidence,
        description: &BagDescription,
        progress: &mut dyn FnMut(u64),
    ) -> Result<Packed, ArchiveError> {
        self.finish_through(items, evidence, description, progress, &buffered)
    }

    /// As [`Draft::finish`], through a writer of the caller's own: tests put a failing disk in between.
    pub(super) fn finish_through(
        mut self,
        items: Vec<Item>,
        evidence: &Evidence,
        description: &BagDescription,
        progress: &mut dyn FnMut(u64),
        through: &dyn Fn(&mut File) -> Box<dyn Target + '_>,
    ) -> Result<Packed, ArchiveError> {
        let items = in_order(items)?;
        check_names(
            items.iter().map(|item| item.path.as_str()),
            &description.base,
        )?;
        if !evidence.is_over(&items) {
            return Err(ArchiveError::RootDiffers);
        }
        let items: Vec<Item> = items
            .into_iter()
            .filter(|item| !evidence.is_withheld(&item.path_in_bag()))
            .collect();
        // A size is only a claim until its file is copied, so the sum must not run over.
        let bytes = items
            .iter()
            .fold(0_u64, |sum, item| sum.saturating_add(item.size));
        let (tags, fingerprint) = tag_files(&items, evidence, description, bytes);
        check_lists(&items, &tags, &description.base)?;
        let base = &description.base;
        if let Some(taken) = &self.taken
            && !taken.is_of(base, &items)
        {
            return Err(ArchiveError::RootDiffers);
        }

        let (output, taken) = (self.output, self.taken);
        let failed = |source| ArchiveError::Write {
            file: output.clone(),
            source,
        };
        let second = self.unfinished.file().try_clone().map_err(failed)?;
        let (written, flushed) = flushing::with(second, |flusher| {
            let mut told = |done| {
                flusher.at(done);
                progress(done);
            };
            let out = through(self.unfinished.file());
            write_zip(out, &items, &tags, base, taken, &mut told)
        });
        written.map_err(|stop| stop.into_error(&output))?;
        flushed.map_err(failed)?;
        self.unfinished.finish().map_err(failed)?;
        Ok(Packed {
            path: output,
            root: evidence.root(),
            fingerprint,
            files: items.len(),
            withheld: evidence.withheld(),
            bytes,
        })
    }
}

/// Packs `items` into `output`, all of them now. See [`Draft::finish`].
///
/// # Errors
/// As there.
pub fn pack(
    items: Vec<Item>,
    evidence: &Evidence,
    description: &BagDescription,
    output: &Path,
    progress: &mut dyn FnMut(u64),
) -> Result<Packed, ArchiveError> {
    Draft::at(output)?.finish(items, evidence, description, progress)
}
