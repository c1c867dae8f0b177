//! What has to be gone when somebody stops the program: temporary files and folders of this run.
//!
//! Takes paths when they are made; [`clear`] removes those that are still there. Knows nothing of signals and ends nothing.
//! Without a stop, whoever made a temporary file removes it or gives it its final name; it then is no longer under this one.

use std::collections::BTreeSet;
use std::fs;
use std::io;
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

/// Makes a temporary file or folder, under a name that nothing else will ever bear. Where the program is being stopped nothing is made any
/// more, and whoever asks waits for its end.
///
/// # Errors
/// What `make` says.
pub fn temporary<T>(
    make: impl FnOnce() -> io::Result<T>,
    path: impl FnOnce(&T) -> &Path,
) -> io::Result<T> {
    let mut known = lock();
    let made = make()?;
    known.insert(path(&made).to_owned());
    Ok(made)
}

/// Removes all temporary files and folders, for the end of the program: nothing can be made behind it.
pub fn clear() {
    let known = lock();
    for path in known.iter() {
        // The kind of the entry itself, so that no link is followed.
        let is_folder = path.symlink_metadata().is_ok_and(|kind| kind.is_dir());
        let _ = if is_folder {
            fs::remove_dir_all(path)
        } else {
            fs::remove_file(path)
        };
    }
    // What another thread made from now on would stay; so it never gets the lock.
    std::mem::forget(known);
}

fn lock() -> MutexGuard<'static, BTreeSet<PathBuf>> {
    // A set of paths is whole whatever happened to whoever held it.
    TEMPORARY.lock().unwrap_or_else(PoisonError::into_inner)
}
