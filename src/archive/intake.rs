//! Takes photos into an archive while they are read for what they say of themselves, so that nobody has to read them a second time.
//!
//! Takes the list of what will come, then each photo's pieces from whichever thread reads it; gives a [`Draft`] in which they all stand,
//! in the order of the list. Holds a few megabytes, whatever the photos hold: a thread that is far ahead of the writer waits. The bytes
//! never depend on the threads. Reads nothing itself.

use std::collections::BTreeMap;
use std::fs::File;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, SyncSender, sync_channel};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread::{self, JoinHandle};

use super::ahead::Broken;
use super::draft::Draft;
use super::tree::{Hash, Leaf, TreeBuilder};
use super::writer::{Stop, Taken, check_count, check_names};
use super::zip_records::Entry;
use super::zip_writer::{Target, Written, ZipWriter, buffered};
use super::{ArchiveError, flushing, profile};
use crate::hash::PIECE;

/// Pieces that wait to be written, all threads together: 12 MB.
const WAITING: usize = 48;

/// What will come: a photo's path below `data/` and its bytes as the folder's listing has them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Expected {
    pub path: String,
    pub bytes: u64,
}

/// An archive that is being filled by another thread. Dropped, it is gone.
pub struct Intake {
    shared: Arc<Shared>,
    output: PathBuf,
    writer: Option<JoinHandle<Result<Draft, Stop>>>,
}

/// What the reading threads and the writing one have in common.
struct Shared {
    expected: Vec<Expected>,
    state: Mutex<State>,
    changed: Condvar,
    /// How many photos may be begun before the first of them is written, and how many pieces of each may wait.
    ahead: usize,
    pieces: usize,
    /// Buffers to be filled again.
    used: Mutex<Vec<Vec<u8>>>,
}

#[derive(Default)]
struct State {
    /// Lanes that were begun, by the photo's number.
    lanes: BTreeMap<usize, Receiver<Part>>,
    /// So many photos are written.
    written: usize,
    /// Nothing more will be begun.
    complete: bool,
    /// Nothing is taken any more.
    stopped: bool,
}

/// The next of a photo's bytes.
enum Part {
    Piece(Vec<u8>),
    /// The photo is whole, and this is its SHA-256.
    End(Hash),
    Broken(Broken),
}

/// Where one photo's pieces go. Dropped before its end, it stops the whole archive.
pub struct Lane<'a> {
    shared: &'a Shared,
    file: &'a Path,
    /// Its path below `data/`.
    path: &'a str,
    /// Bytes still to come, by the folder's listing.
    left: u64,
    /// None when nobody listens any more.
    parts: Option<SyncSender<Part>>,
}

impl Lane<'_> {
    /// Takes a piece, and gives an empty buffer for the next one.
    pub fn take(&mut self, piece: Vec<u8>) -> Vec<u8> {
        let Some(left) = self.left.checked_sub(piece.len() as u64) else {
            self.changed();
            return piece;
        };
        self.left = left;
        let Some(parts) = &self.parts else {
            return piece;
        };
        if parts.send(Part::Piece(piece)).is_err() {
            self.parts = None;
        }
        held(&self.shared.used)
            .pop()
            .unwrap_or_else(|| Vec::with_capacity(PIECE))
    }

    /// The photo is whole.
    pub fn end(&mut self, sha256: Hash) {
        if self.left > 0 {
            self.changed();
        }
        self.close(Part::End(sha256));
    }

    /// The photo could not be read to its end.
    pub fn fail(&mut self, error: &io::Error) {
        // Whoever read the file tells it too, and an error can't be had twice.
        let error = io::Error::new(error.kind(), error.to_string());
        self.close(Part::Broken(Broken::Read(self.file.to_path_buf(), error)));
    }

    /// It is not as long as it was when the folder was listed.
    fn changed(&mut self) {
        let (path, file) = (self.path.to_owned(), self.file.to_path_buf());
        self.close(Part::Broken(Broken::Changed(path, file)));
    }

    fn close(&mut self, part: Part) {
        if let Some(parts) = self.parts.take() {
            // Where nobody listens, the archive has failed already, and its end tells.
            let _ = parts.send(part);
        }
    }
}

impl Intake {
    /// Begins the archive that will be `output`; `base` is its folder inside. `expected` is in the order of paths.
    ///
    /// # Errors
    /// Names that the profile forbids, more than it allows, and trouble with the disk.
    pub fn begin(output: &Path, base: &str, expected: Vec<Expected>) -> Result<Self, ArchiveError> {
        Self::begin_through(output, base, expected, buffered)
    }

    /// As [`Intake::begin`], through a writer of the caller's own: tests put a failing disk in between.
    pub(super) fn begin_through(
        output: &Path,
        base: &str,
        expected: Vec<Expected>,
        through: impl Fn(&mut File) -> Box<dyn Target + '_> + Send + 'static,
    ) -> Result<Self, ArchiveError> {
        let paths = expected.iter().map(|photo| photo.path.as_str());
        check_names(paths, base)?;
        check_count(expected.len())?;
        let draft = Draft::at(output)?;
        let threads = rayon::current_num_threads().max(1);
        let shared = Arc::new(Shared {
            expected,
            state: Mutex::default(),
            changed: Condvar::new(),
            ahead: threads * 2,
            pieces: (WAITING / threads / 2).clamp(2, WAITING / 4),
            // Made here and not by the threads that read, each of which would keep its share of memory to itself.
            used: Mutex::new((0..WAITING).map(|_| Vec::with_capacity(PIECE)).collect()),
        });
        let (theirs, base) = (Arc::clone(&shared), base.to_owned());
        let writer = thread::spawn(move || {
            let written = fill(draft, &theirs, &base, &through);
            theirs.stop();
            written
        });
        Ok(Self {
            shared,
            output: output.to_path_buf(),
            writer: Some(writer),
        })
    }

    /// Where the pieces of the photo of this path below `data/` go, which are those of `file`. Waits while the writer is far behind. Photos
    /// have to be begun in about the order in which they are expected, by no more threads than rayon has, each of which ends one before it
    /// begins another.
    pub fn lane<'a>(&'a self, path: &'a str, file: &'a Path) -> Lane<'a> {
        let shared = &*self.shared;
        let by_path = |photo: &Expected| photo.path.as_str().cmp(path);
        let number = shared.expected.binary_search_by(by_path).ok();
        let photo = number.and_then(|number| shared.expected.get(number));
        Lane {
            shared,
            file,
            path,
            left: photo.map_or(0, |photo| photo.bytes),
            parts: number.and_then(|number| shared.begun(number)),
        }
    }

    /// Whether nothing is taken any more, as something went wrong: reading on is in vain.
    pub fn is_stopped(&self) -> bool {
        self.shared.state().stopped
    }

    /// Waits until all that was expected is written.
    ///
    /// # Errors
    /// What went wrong first, also a photo that never came.
    pub fn finish(mut self) -> Result<Draft, ArchiveError> {
        self.shared.complete();
        let ended = || Stop::from(io::Error::other("the writing thread ended early"));
        let written = match self.writer.take() {
            Some(writer) => writer.join().unwrap_or_else(|_| Err(ended())),
            None => Err(ended()),
        };
        written.map_err(|stop| stop.into_error(&self.output))
    }
}

impl Drop for Intake {
    fn drop(&mut self) {
        if let Some(writer) = self.writer.take() {
            self.shared.stop();
            // It takes its file away; how it ended is of no interest.
            let _ = writer.join();
        }
    }
}

impl Shared {
    fn state(&self) -> MutexGuard<'_, State> {
        held(&self.state)
    }

    fn stop(&self) {
        let mut state = self.state();
        state.stopped = true;
        state.lanes.clear();
        self.changed.notify_all();
    }

    fn complete(&self) {
        self.state().complete = true;
        self.changed.notify_all();
    }

    fn begun(&self, number: usize) -> Option<SyncSender<Part>> {
        let far = |state: &mut State| !state.stopped && number >= state.written + self.ahead;
        let state = self.changed.wait_while(self.state(), far);
        let mut state = state.unwrap_or_else(PoisonError::into_inner);
        if state.stopped {
            return None;
        }
        let (parts, received) = sync_channel(self.pieces);
        state.lanes.insert(number, received);
        self.changed.notify_all();
        Some(parts)
    }

    /// The lane of this number, as soon as somebody begins it.
    fn awaited(&self, number: usize) -> Option<Receiver<Part>> {
        let none = |state: &mut State| {
            !state.stopped && !state.complete && !state.lanes.contains_key(&number)
        };
        let state = self.changed.wait_while(self.state(), none);
        let mut state = state.unwrap_or_else(PoisonError::into_inner);
        state.lanes.remove(&number)
    }

    fn written(&self, count: usize) {
        self.state().written = count;
        self.changed.notify_all();
    }
}

/// What is behind a lock: all of it is whole whatever happened to whoever held it.
fn held<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

/// The writing thread's work: the photos' entries.
fn fill(
    mut draft: Draft,
    shared: &Shared,
    base: &str,
    through: &dyn Fn(&mut File) -> Box<dyn Target + '_>,
) -> Result<Draft, Stop> {
    let second = draft.file().try_clone()?;
    let (taken, flushed) = flushing::with(second, |flusher| {
        write(through(draft.file()), shared, base, &mut |bytes| {
            flusher.at(bytes)
        })
    });
    draft.taken = Some(taken?);
    flushed?;
    Ok(draft)
}

fn write(
    out: impl Target,
    shared: &Shared,
    base: &str,
    told: &mut dyn FnMut(u64),
) -> Result<Taken, Stop> {
    let mut zip = ZipWriter::behind(Written::default(), out)?;
    let mut leaves = TreeBuilder::new();
    let mut done = 0;
    for (number, photo) in shared.expected.iter().enumerate() {
        let path = format!("{}{}", profile::PAYLOAD, photo.path);
        let name = format!("{base}/{path}");
        let (name, size) = (name.as_str(), photo.bytes);
        let mut content = zip.begin(&Entry { name, size })?;
        let never = || io::Error::other(format!("{path} was not read to its end"));
        let lane = shared.awaited(number).ok_or_else(never)?;
        loop {
            match lane.recv() {
                Ok(Part::Piece(piece)) => {
                    content.write(&piece)?;
                    done += piece.len() as u64;
                    told(done);
                    let mut used = held(&shared.used);
                    if used.len() < WAITING {
                        let mut piece = piece;
                        piece.clear();
                        used.push(piece);
                    }
                }
                Ok(Part::End(sha256)) => {
                    content.end()?;
                    leaves.push(Leaf { path, size, sha256 }.hash());
                    break;
                }
                Ok(Part::Broken(broken)) => return Err(broken.into()),
                Err(_) => return Err(never().into()),
            }
        }
        shared.written(number + 1);
    }
    Ok(Taken {
        base: base.to_owned(),
        root: leaves.root(),
        written: zip.pause()?,
        bytes: done,
    })
}

#[cfg(test)]
mod tests;
