//! A disk that fails on purpose, for tests: between the program and a real file.

use std::cell::Cell;
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::rc::Rc;

/// How often a disk was written to and sought on.
pub type Counts = Rc<Cell<(usize, usize)>>;

/// What goes wrong, and when.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fault {
    None,
    /// The write of this number, counted from 0, fails with an error of the device.
    WriteNumber(usize),
    /// The disk has room for a file of so many bytes; the write that meets the end is a short one first, as on a real disk.
    FullAfter(u64),
    /// The seek of this number fails.
    SeekNumber(usize),
    /// The last flush fails.
    Flush,
}

/// The disk.
pub struct Disk<F> {
    inner: F,
    fault: Fault,
    /// Bytes that one write takes at most.
    short: usize,
    counts: Counts,
    /// Where the next byte goes.
    at: u64,
    interrupted: bool,
}

impl<F> Disk<F> {
    pub fn over(inner: F, fault: Fault, short: usize) -> Self {
        Self {
            inner,
            fault,
            short,
            counts: Counts::default(),
            at: 0,
            interrupted: false,
        }
    }

    /// Counts for somebody who looks at them later.
    pub fn counted(mut self, counts: &Counts) -> Self {
        self.counts = counts.clone();
        self
    }
}

impl<F: Write> Write for Disk<F> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        // Every other call is interrupted, as by a signal, and has to be made again.
        self.interrupted = !self.interrupted;
        if self.interrupted {
            return Err(io::ErrorKind::Interrupted.into());
        }
        let (writes, seeks) = self.counts.get();
        if self.fault == Fault::WriteNumber(writes) {
            return Err(io::Error::other("injected fault of the device"));
        }
        self.counts.set((writes + 1, seeks));
        let mut count = bytes.len().min(self.short);
        if let Fault::FullAfter(most) = self.fault {
            let left = usize::try_from(most.saturating_sub(self.at)).unwrap();
            if left == 0 && count > 0 {
                return Err(io::ErrorKind::StorageFull.into());
            }
            count = count.min(left);
        }
        let count = self.inner.write(&bytes[..count])?;
        self.at += count as u64;
        Ok(count)
    }

    fn flush(&mut self) -> io::Result<()> {
        if self.fault == Fault::Flush {
            return Err(io::Error::other("injected fault of the device"));
        }
        self.inner.flush()
    }
}

impl<F: Seek> Seek for Disk<F> {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        let (writes, seeks) = self.counts.get();
        if self.fault == Fault::SeekNumber(seeks) {
            return Err(io::Error::other("injected fault of the device"));
        }
        self.counts.set((writes, seeks + 1));
        self.at = self.inner.seek(to)?;
        Ok(self.at)
    }
}

/// A source whose reading fails after some bytes.
pub struct Source<R> {
    inner: R,
    left: usize,
}

impl<R> Source<R> {
    pub fn over(inner: R, bytes: usize) -> Self {
        Self { inner, left: bytes }
    }
}

impl<R: Read> Read for Source<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        if self.left == 0 {
            return Err(io::Error::other("injected fault of the device"));
        }
        let most = buffer.len().min(self.left);
        let count = self.inner.read(&mut buffer[..most])?;
        self.left -= count;
        Ok(count)
    }
}
