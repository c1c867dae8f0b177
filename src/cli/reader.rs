//! Reads photos for the stages: record and look in one go while the file's bytes are at hand, with progress. What the cache knows is not
//! read or not drawn, as the cache allows.

use std::collections::BTreeMap;
use std::sync::{Mutex, PoisonError};

use super::cache::Cache;
use super::progress::Progress;
use crate::hash::Hash;
use crate::photo::likeness::Look;
use crate::photo::{self, Photo};
use crate::season::{FileEntry, Looker, PhotoReader};

/// Reads photos; afterwards it is a [`Looker`] that opens no file a second time.
pub struct Reader<'a> {
    cache: Option<&'a Cache>,
    progress: Progress,
    /// By the hash of the photo's bytes.
    looks: Mutex<BTreeMap<Hash, Look>>,
    compares: bool,
}

impl<'a> Reader<'a> {
    /// `compares`: whether pictures are looked at as well.
    pub fn new(cache: Option<&'a Cache>, compares: bool) -> Self {
        Self {
            cache,
            progress: Progress::bytes("reading", 0),
            looks: Mutex::default(),
            compares,
        }
    }

    fn known(&self, file: &FileEntry) -> Option<(&Photo, Option<&Look>)> {
        self.cache.and_then(|cache| cache.photo(file))
    }

    fn keep(&self, photo: &Photo, look: Option<Look>) {
        if let Some(look) = look {
            self.looks().insert(photo.sha256, look);
        }
    }

    fn looks(&self) -> std::sync::MutexGuard<'_, BTreeMap<Hash, Look>> {
        // A map is whole whatever happened to whoever held it.
        self.looks.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl PhotoReader for Reader<'_> {
    fn expect(&self, files: &[&FileEntry]) {
        let unknown = files.iter().filter(|file| self.known(file).is_none());
        self.progress.of(unknown.map(|file| file.bytes).sum());
    }

    fn read(&self, file: &FileEntry) -> std::io::Result<Photo> {
        if let Some((photo, look)) = self.known(file) {
            self.keep(photo, look.cloned());
            return Ok(photo.clone());
        }
        let photo = if self.compares {
            let known = |photo: &Photo| self.cache?.look(photo).cloned();
            let (photo, look) = photo::read_and_look(&file.on_disk, &file.path, known)?;
            self.keep(&photo, look);
            photo
        } else {
            photo::read(&file.on_disk, &file.path)?
        };
        self.progress.add(file.bytes);
        Ok(photo)
    }
}

impl Looker for Reader<'_> {
    fn look(&self, _: &FileEntry, photo: &Photo) -> Option<Look> {
        self.looks().get(&photo.sha256).cloned()
    }
}
