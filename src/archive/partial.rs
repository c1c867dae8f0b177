//! An archive in the making: a temporary file beside the final name, locked while its maker lives.
//!
//! A killed run leaves such a file behind. The next run in the same folder removes it, but only if nobody holds its
//! lock, so a second run at work at the same time is safe.

use std::fs::{self, File};
use std::io;
use std::path::Path;

use tempfile::NamedTempFile;

use crate::output::PARTIAL_PREFIX;

/// Follows [`PARTIAL_PREFIX`] in the names of unfinished archives; other unfinished outputs are not ours to remove.
const ARCHIVE_MARK: &str = "archive-";

/// How often to start anew when another run's clean-up takes the file between its making and its locking.
const ATTEMPTS: usize = 16;

/// Makes the temporary file in `folder`, locked.
pub(super) fn create(folder: &Path) -> io::Result<NamedTempFile> {
    for _ in 0..ATTEMPTS {
        let prefix = format!("{PARTIAL_PREFIX}{ARCHIVE_MARK}");
        let mut builder = tempfile::Builder::new();
        builder.prefix(&prefix);
        // As an ordinary new file: the owner's mask decides who may read the archive.
        #[cfg(unix)]
        builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
        let file = builder.tempfile_in(folder)?;
        match file.as_file().lock() {
            Ok(()) if file.path().exists() => return Ok(file),
            Ok(()) => {}
            // Some network file systems know no locks: then there is only no clean-up.
            Err(error) if error.kind() == io::ErrorKind::Unsupported => return Ok(file),
            Err(error) => return Err(error),
        }
    }
    Err(io::Error::other(
        "its temporary file was removed again and again",
    ))
}

/// Removes what former, killed runs left in `folder`. What can't be removed stays; that is no reason not to pack.
pub(super) fn remove_leftovers(folder: &Path) {
    let prefix = format!("{PARTIAL_PREFIX}{ARCHIVE_MARK}");
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        let ours = entry
            .file_name()
            .to_str()
            .is_some_and(|name| name.starts_with(&prefix));
        // The type is that of the entry itself, so no link is followed.
        if ours && entry.file_type().is_ok_and(|kind| kind.is_file()) {
            let path = entry.path();
            let free = File::options()
                .write(true)
                .open(&path)
                .ok()
                .filter(|file| file.try_lock().is_ok());
            if free.is_some() {
                let _ = fs::remove_file(&path);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn leftovers_go_but_living_and_foreign_files_stay() {
        let folder = tempfile::tempdir().unwrap();
        let dead = folder
            .path()
            .join(format!("{PARTIAL_PREFIX}{ARCHIVE_MARK}dead"));
        fs::write(&dead, "half an archive").unwrap();
        let other = folder.path().join(format!("{PARTIAL_PREFIX}report"));
        fs::write(&other, "half a report").unwrap();
        let living = create(folder.path()).unwrap();
        remove_leftovers(folder.path());
        assert!(!dead.exists());
        assert!(other.exists());
        assert!(living.path().exists());
    }

    #[cfg(unix)]
    #[test]
    fn a_link_that_looks_like_a_leftover_is_left_alone() {
        let folder = tempfile::tempdir().unwrap();
        let target = folder.path().join("precious");
        fs::write(&target, "x").unwrap();
        let link = folder
            .path()
            .join(format!("{PARTIAL_PREFIX}{ARCHIVE_MARK}link"));
        std::os::unix::fs::symlink(&target, &link).unwrap();
        remove_leftovers(folder.path());
        assert!(target.exists() && link.symlink_metadata().is_ok());
    }
}
