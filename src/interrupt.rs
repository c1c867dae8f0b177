//! What has to be gone when somebody stops the program: temporary files and folders of this run.
//!
//! Takes paths when they are made; [`clear`] removes those that are still there. Knows nothing of signals and ends nothing.
//! Without a stop, whoever made a temporary file removes it or gives it its final name; it then is no longer under this one.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Mutex, MutexGuard, PoisonError};

static TEMPORARY: Mutex<BTreeSet<PathBuf>> = Mutex::new(BTreeSet::new());

static MINDED: AtomicBool = AtomicBool::new(false);

/// From now on the work at hand looks for stops by itself, and ends where nothing is half done.
pub fn mind_by_myself() {
    MINDED.store(true, Ordering::Relaxed);
}

/// Whether the work at hand looks for stops by itself.
pub fn is_minded() -> bool {
    MINDED.load(Ordering::Relaxed)
}

/// A temporary file or folder was made, under a name that nothing else will ever bear.
pub fn temporary(path: &Path) {
    lock().insert(path.to_owned());
}

/// Removes all temporary files and folders.
pub fn clear() {
    for path in lock().iter() {
        // The kind of the entry itself, so that no link is followed.
        let is_folder = path.symlink_metadata().is_ok_and(|kind| kind.is_dir());
        let _ = if is_folder {
            fs::remove_dir_all(path)
        } else {
            fs::remove_file(path)
        };
    }
}

fn lock() -> MutexGuard<'static, BTreeSet<PathBuf>> {
    // A set of paths is whole whatever happened to whoever held it.
    TEMPORARY.lock().unwrap_or_else(PoisonError::into_inner)
}
