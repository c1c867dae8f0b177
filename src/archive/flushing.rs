//! Brings what is written to the disk while the rest is being written, so that the flush at the end has little left to do, and tells
//! the system that it need not hold in memory what is there: an archive may be larger than that, and would push all else out.
//!
//! Takes a second handle of the file that is being filled, and is told how far the filling is. Must not write, and must not swallow
//! a fault: the system tells each one once, to whoever asks first.

use std::fs::File;
use std::io;
use std::sync::mpsc::{SyncSender, TrySendError, sync_channel};
use std::thread;

/// How much is written between two flushes: large enough that a flush's own cost is nothing beside it, and small enough that the last
/// one is short. A season's archive of text and a few photos has none.
const EVERY: u64 = 64 << 20;

/// Told how far the writing is.
pub(super) struct Flusher {
    ask: SyncSender<()>,
    /// Where the next flush is due.
    due: u64,
}

impl Flusher {
    /// So many bytes are written in all. Never waits.
    pub(super) fn at(&mut self, written: u64) {
        if written < self.due {
            return;
        }
        match self.ask.try_send(()) {
            Ok(()) => self.due = written.saturating_add(EVERY),
            // The last flush is not done yet: the disk is slower than we are, and has enough to do.
            Err(TrySendError::Full(())) => {}
            // A flush failed; the end will tell.
            Err(TrySendError::Disconnected(())) => self.due = u64::MAX,
        }
    }
}

/// Runs `work` with a flusher of `file`.
///
/// # Errors
/// What the first flush that failed says; `work` has been done then all the same.
pub(super) fn with<T>(file: File, work: impl FnOnce(&mut Flusher) -> T) -> (T, io::Result<()>) {
    let flush = move || {
        file.sync_data()?;
        let_go_of(&file);
        Ok(())
    };
    flushing(flush, work)
}

/// Tells the system that nobody will read soon what of the file is on the disk. Advice alone: a system that knows none goes without.
#[cfg(target_os = "linux")]
fn let_go_of(file: &File) {
    use rustix::fs::{Advice, fadvise};
    let _ = fadvise(file, 0, None, Advice::DontNeed);
}

#[cfg(not(target_os = "linux"))]
fn let_go_of(_: &File) {}

fn flushing<T>(
    mut flush: impl FnMut() -> io::Result<()> + Send,
    work: impl FnOnce(&mut Flusher) -> T,
) -> (T, io::Result<()>) {
    // None waits: one that is under way covers part of what comes next, and the next is asked for soon.
    let (ask, asked) = sync_channel(0);
    thread::scope(|scope| {
        let thread = scope.spawn(move || {
            while asked.recv().is_ok() {
                flush()?;
            }
            Ok(())
        });
        let mut flusher = Flusher { ask, due: EVERY };
        let done = work(&mut flusher);
        drop(flusher);
        let flushed = thread
            .join()
            .unwrap_or_else(|_| Err(io::Error::other("the flushing thread ended early")));
        (done, flushed)
    })
}

#[cfg(test)]
mod tests {
    use std::sync::atomic::{AtomicUsize, Ordering};

    use super::*;

    #[test]
    fn nothing_is_flushed_before_there_is_much() {
        let count = AtomicUsize::new(0);
        let flush = || {
            count.fetch_add(1, Ordering::SeqCst);
            Ok(())
        };
        let (done, flushed) = flushing(flush, |flusher| {
            for written in [0, 1, EVERY - 1] {
                flusher.at(written);
            }
            7
        });
        assert_eq!((done, flushed.is_ok()), (7, true));
        assert_eq!(count.load(Ordering::SeqCst), 0);
    }

    #[test]
    fn a_long_writing_is_flushed_on_the_way_and_never_waits() {
        let count = AtomicUsize::new(0);
        let flush = || {
            count.fetch_add(1, Ordering::SeqCst);
            thread::sleep(std::time::Duration::from_millis(1));
            Ok(())
        };
        let ((), flushed) = flushing(flush, |flusher| {
            for step in 0..200 {
                flusher.at(step * EVERY / 4);
                thread::sleep(std::time::Duration::from_millis(1));
            }
        });
        assert!(flushed.is_ok());
        let count = count.load(Ordering::SeqCst);
        assert!((1..=50).contains(&count), "{count}");
    }

    #[test]
    fn a_fault_is_kept_for_the_end() {
        let flush = || Err(io::Error::other("the disk is gone"));
        let ((), flushed) = flushing(flush, |flusher| {
            for step in 0..50 {
                flusher.at(step * EVERY);
                thread::sleep(std::time::Duration::from_millis(1));
            }
        });
        assert_eq!(flushed.unwrap_err().to_string(), "the disk is gone");
    }

    #[test]
    fn a_real_file_is_flushed() {
        let file = tempfile::tempfile().unwrap();
        let ((), flushed) = with(file, |flusher| flusher.at(EVERY));
        assert!(flushed.is_ok());
    }
}
