//! Reads files ahead of the writer, on several threads, and hands their bytes out in order.
//!
//! Takes items; gives their pieces to one taker, item after item, each made sure to be what was hashed before. Holds a few
//! megabytes a thread, whatever the files hold. The order never depends on the threads.

use std::io::{self, Read};
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, SyncSender, sync_channel};
use std::thread;

use sha2::{Digest, Sha256};

use super::item::open_plain;
use super::{Content, Item};
use crate::hash::{Hash, PIECE, next_piece};

/// Pieces that a thread may be ahead: a photo of four megabytes is read whole while the one before it is written.
const AHEAD: usize = 16;

/// Why an item can't be handed on.
pub(super) enum Broken {
    Read(PathBuf, io::Error),
    /// It is not what was hashed before: its path below `data/`, and its file.
    Changed(String, PathBuf),
}

/// The next of a thread's items, piece by piece.
enum Part {
    Piece(Vec<u8>),
    /// The item is whole, and what it was.
    End,
    Broken(Broken),
}

/// The pieces of items, in the items' order.
pub(super) struct Ahead {
    /// One for each thread; item `n` comes from thread `n` modulo their number.
    lanes: Vec<Lane>,
    next: usize,
}

struct Lane {
    parts: Receiver<Part>,
    /// Buffers go back to be filled again.
    used: SyncSender<Vec<u8>>,
}

impl Ahead {
    /// The next item's pieces, each given to `take`. Items in memory are no business of ours and have no turn here.
    ///
    /// # Errors
    /// What the item's thread or `take` met.
    pub(super) fn next<E: From<Broken>>(
        &mut self,
        mut take: impl FnMut(&[u8]) -> Result<(), E>,
    ) -> Result<(), E> {
        let lane = self.next.checked_rem(self.lanes.len());
        self.next += 1;
        let Some(lane) = lane.and_then(|lane| self.lanes.get(lane)) else {
            return Err(ended().into());
        };
        loop {
            match lane.parts.recv() {
                Ok(Part::Piece(piece)) => {
                    take(&piece)?;
                    // A thread that is done wants no buffers.
                    let _ = lane.used.try_send(piece);
                }
                Ok(Part::End) => return Ok(()),
                Ok(Part::Broken(broken)) => return Err(broken.into()),
                Err(_) => return Err(ended().into()),
            }
        }
    }
}

/// A thread gave up; its panic is told when the scope ends.
fn ended() -> Broken {
    let error = io::Error::other("the reading thread ended early");
    Broken::Read(PathBuf::new(), error)
}

/// Runs `work` with the items' pieces. Only items of files are read ahead.
pub(super) fn with<'a, T>(
    items: impl Iterator<Item = &'a Item>,
    work: impl FnOnce(&mut Ahead) -> T,
) -> T {
    let files: Vec<(&Item, &PathBuf)> = items
        .filter_map(|item| match &item.content {
            Content::File(file) => Some((item, file)),
            Content::Bytes(_) | Content::Deflated(_) => None,
        })
        .collect();
    // As many as rayon would use, so that one setting limits all; but not rayon's own threads, which must not wait.
    let threads = rayon::current_num_threads().clamp(1, files.len().max(1));
    thread::scope(|scope| {
        let lanes = (0..threads).map(|lane| {
            let (parts, received) = sync_channel(AHEAD);
            let (used, free) = sync_channel(AHEAD + 2);
            let own: Vec<(&Item, &PathBuf)> =
                files.iter().copied().skip(lane).step_by(threads).collect();
            scope.spawn(move || {
                for (item, file) in own {
                    let part = match read(item, file, &parts, &free) {
                        Ok(true) => Part::End,
                        // Nobody listens any more.
                        Ok(false) => return,
                        Err(broken) => Part::Broken(broken),
                    };
                    let stop = matches!(part, Part::Broken(_));
                    if parts.send(part).is_err() || stop {
                        return;
                    }
                }
            });
            Lane {
                parts: received,
                used,
            }
        });
        let mut ahead = Ahead {
            lanes: lanes.collect(),
            next: 0,
        };
        work(&mut ahead)
    })
}

/// Reads one file into pieces; false if nobody takes them.
fn read(
    item: &Item,
    file: &Path,
    parts: &SyncSender<Part>,
    free: &Receiver<Vec<u8>>,
) -> Result<bool, Broken> {
    match open_plain(file) {
        Ok(opened) => read_from(opened, item, file, parts, free),
        Err(error) => Err(Broken::Read(file.to_path_buf(), error)),
    }
}

fn read_from(
    mut reader: impl Read,
    item: &Item,
    file: &Path,
    parts: &SyncSender<Part>,
    free: &Receiver<Vec<u8>>,
) -> Result<bool, Broken> {
    let unread = |error| Broken::Read(file.to_path_buf(), error);
    let changed = || Broken::Changed(item.path.clone(), file.to_path_buf());
    let mut hasher = Sha256::new();
    let mut left = item.size;
    loop {
        let mut piece = free
            .try_recv()
            .unwrap_or_else(|_| Vec::with_capacity(PIECE));
        if !next_piece(&mut reader, &mut piece).map_err(unread)? {
            break;
        }
        // A file that grows is stopped here, before it fills the disk.
        left = left.checked_sub(piece.len() as u64).ok_or_else(changed)?;
        hasher.update(&piece);
        if parts.send(Part::Piece(piece)).is_err() {
            return Ok(false);
        }
    }
    let sha256: Hash = hasher.finalize().into();
    if left == 0 && sha256 == item.sha256 {
        Ok(true)
    } else {
        Err(changed())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn items(folder: &std::path::Path) -> Vec<Item> {
        (0..23_usize)
            .map(|number| {
                let path = format!("season/{number:02}");
                if number % 5 == 4 {
                    return Item::from_bytes(path, vec![1]);
                }
                let file = folder.join(number.to_string());
                // From nothing to more than may be ahead.
                let bytes = number % 4 * AHEAD * PIECE / 2 + number % 3;
                let byte = u8::try_from(number).unwrap();
                std::fs::write(&file, vec![byte; bytes]).unwrap();
                Item::from_file(path, file).unwrap()
            })
            .collect()
    }

    #[test]
    fn pieces_come_in_order_and_whole_with_any_number_of_threads() {
        let folder = tempfile::tempdir().unwrap();
        let items = items(folder.path());
        for threads in [1, 2, 7] {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads);
            pool.build().unwrap().install(|| {
                with(items.iter(), |ahead| {
                    for item in &items {
                        let Content::File(file) = &item.content else {
                            continue;
                        };
                        let mut bytes = Vec::new();
                        let taken = ahead.next(|piece| {
                            bytes.extend_from_slice(piece);
                            Ok::<(), Broken>(())
                        });
                        assert!(taken.is_ok(), "{}", item.path);
                        assert!(bytes == std::fs::read(file).unwrap(), "{}", item.path);
                    }
                    assert!(ahead.next(|_| Ok::<(), Broken>(())).is_err());
                });
            });
        }
    }

    #[test]
    fn a_taker_that_stops_early_holds_nobody_up() {
        let folder = tempfile::tempdir().unwrap();
        let items = items(folder.path());
        with(items.iter(), |ahead| {
            assert!(ahead.next(|_| Ok::<(), Broken>(())).is_ok());
        });
    }

    #[test]
    fn a_read_error_in_the_middle_is_told_as_one() {
        use crate::output::failing::Source;
        let bytes = vec![7; PIECE * 2 + 100];
        let item = Item::from_bytes("season/film.tiff", bytes.clone());
        let around = [0, 1, PIECE - 1, PIECE, PIECE + 1, PIECE * 2 + 99];
        for good in around {
            let source = Source::over(bytes.as_slice(), good);
            let (parts, _taken) = sync_channel(AHEAD);
            let (_used, free) = sync_channel(AHEAD);
            let outcome = read_from(source, &item, Path::new("film.tiff"), &parts, &free);
            assert!(
                matches!(outcome, Err(Broken::Read(file, _)) if file.ends_with("film.tiff")),
                "after {good} bytes"
            );
        }
    }
}
