//! Reads photos for the stages: record and look in one go while the file's bytes are at hand, with progress. What the cache knows is not
//! read or not drawn, as the cache allows. Where an archive is to be packed, the bytes go into it in the same reading.

use std::collections::BTreeMap;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, OnceLock, PoisonError};

use super::cache::Cache;
use super::outputs;
use super::progress::Progress;
use crate::archive::{ArchiveError, Draft, Expected, Intake, Lane};
use crate::hash::Hash;
use crate::photo::likeness::Look;
use crate::photo::{self, Photo};
use crate::season::{FileEntry, Looker, PhotoReader};

/// Where photos go while they are read.
pub struct Copying {
    /// The archive.
    pub path: PathBuf,
    /// Its folder inside.
    pub base: String,
    /// A folder to be made for it, once there is something to put there.
    pub folder: Option<PathBuf>,
}

impl Copying {
    fn begin(&self, expected: Vec<Expected>) -> Result<Intake, ArchiveError> {
        self.make_folder()?;
        Intake::begin(&self.path, &self.base, expected)
    }

    fn empty(&self) -> Result<Draft, ArchiveError> {
        self.make_folder()?;
        Draft::at(&self.path)
    }

    fn make_folder(&self) -> Result<(), ArchiveError> {
        if let Some(folder) = &self.folder {
            outputs::make(folder).map_err(|source| ArchiveError::Write {
                file: folder.clone(),
                source,
            })?;
        }
        Ok(())
    }
}

/// A photo's way into the archive, if it has one.
struct Way<'a>(Option<Lane<'a>>);

impl photo::Taker for Way<'_> {
    fn take(&mut self, piece: Vec<u8>) -> Vec<u8> {
        match &mut self.0 {
            Some(lane) => lane.take(piece),
            None => piece,
        }
    }

    fn end(&mut self, sha256: Hash) {
        if let Some(lane) = &mut self.0 {
            lane.end(sha256);
        }
    }
}

/// Reads photos; afterwards it is a [`Looker`] that opens no file a second time.
pub struct Reader<'a> {
    cache: Option<&'a Cache>,
    progress: Progress,
    /// By the hash of the photo's bytes.
    looks: Mutex<BTreeMap<Hash, Look>>,
    compares: bool,
    copying: Option<Copying>,
    intake: OnceLock<Result<Intake, ArchiveError>>,
}

impl<'a> Reader<'a> {
    /// `compares`: whether pictures are looked at as well.
    pub fn new(cache: Option<&'a Cache>, compares: bool) -> Self {
        Self {
            cache,
            progress: Progress::bytes("reading", 0),
            looks: Mutex::default(),
            compares,
            copying: None,
            intake: OnceLock::new(),
        }
    }

    /// The same, putting every photo into an archive; then each is read, whatever is known of it.
    pub fn copying(mut self, copying: Copying) -> Self {
        self.copying = Some(copying);
        self
    }

    /// The archive with the photos in it, after they were read; an empty one where they can't go into it, for a reason that the packing
    /// tells together with all others. None where nothing is to be packed.
    pub fn draft(&mut self) -> Result<Option<Draft>, ArchiveError> {
        match (self.intake.take(), &self.copying) {
            (Some(intake), _) => intake?.finish().map(Some),
            (None, Some(copying)) => copying.empty().map(Some),
            (None, None) => Ok(None),
        }
    }

    fn known(&self, file: &FileEntry) -> Option<(&Photo, Option<&Look>)> {
        let cache = self.cache.filter(|_| self.copying.is_none())?;
        cache.photo(file)
    }

    /// The photo's way into the archive.
    fn way<'w>(&'w self, path: &'w str, on_disk: &'w Path) -> io::Result<Way<'w>> {
        match self.intake.get() {
            None => Ok(Way(None)),
            Some(Ok(intake)) if !intake.is_stopped() => Ok(Way(Some(intake.lane(path, on_disk)))),
            _ => Err(io::Error::other(
                "not read, as the archive can't be written",
            )),
        }
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

/// The path below `data/`.
fn in_archive(file: &FileEntry) -> String {
    format!("season/{}", file.path)
}

impl PhotoReader for Reader<'_> {
    fn expect(&self, files: &[&FileEntry]) {
        let unknown = files.iter().filter(|file| self.known(file).is_none());
        self.progress.of(unknown.map(|file| file.bytes).sum());
        if let Some(copying) = &self.copying {
            let expected = files.iter().map(|file| Expected {
                path: in_archive(file),
                bytes: file.bytes,
            });
            self.intake
                .get_or_init(|| copying.begin(expected.collect()));
        }
    }

    fn read(&self, file: &FileEntry) -> io::Result<Photo> {
        if let Some((photo, look)) = self.known(file) {
            self.keep(photo, look.cloned());
            return Ok(photo.clone());
        }
        let photo = if self.compares {
            let known = |photo: &Photo| self.cache?.look(photo).cloned();
            let path = in_archive(file);
            let on_disk = file.on_disk();
            let mut way = self.way(&path, &on_disk)?;
            let read = photo::read_and_hand_on(&on_disk, &file.path, known, &mut way);
            if let (Err(error), Way(Some(lane))) = (&read, &mut way) {
                lane.fail(error);
            }
            let (photo, look) = read?;
            self.keep(&photo, look);
            photo
        } else {
            photo::read(&file.on_disk(), &file.path)?
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
