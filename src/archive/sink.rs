//! Where a ZIP's bytes go: a writer that fails once.
//!
//! The zip crate finishes an archive when it is dropped, even after a fault, and prints to standard error what comes of it. So
//! that a fault is told once, by whoever asked for the archive, nothing more reaches the file after the first one: the rest is
//! taken and thrown away. Whether all went well is asked at the end, by [`Sink::end`].

use std::io::{self, Read, Seek, SeekFrom, Write};

/// A writer over another, which is left alone after the first fault.
pub(super) struct Sink<W> {
    inner: W,
    failed: bool,
    /// Where the next byte goes, or would go.
    at: u64,
    /// The furthest that it got.
    end: u64,
}

impl<W: Write> Sink<W> {
    /// Over a writer that stands at its beginning.
    pub(super) fn new(inner: W) -> Self {
        Self {
            inner,
            failed: false,
            at: 0,
            end: 0,
        }
    }

    /// Brings all to the writer below.
    ///
    /// # Errors
    /// What that says; and if anything went wrong before, even where nobody heard of it.
    pub(super) fn end(mut self) -> io::Result<()> {
        if self.failed {
            return Err(io::Error::other("a part of it was not written"));
        }
        self.inner.flush()
    }

    fn heed<T>(&mut self, outcome: io::Result<T>) -> io::Result<T> {
        if let Err(error) = &outcome
            && error.kind() != io::ErrorKind::Interrupted
        {
            self.failed = true;
            // Whoever goes on after a fault measures from the end of what there is.
            self.at = self.end;
        }
        outcome
    }
}

impl<W: Write> Write for Sink<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let count = if self.failed {
            bytes.len()
        } else {
            let outcome = self.inner.write(bytes);
            self.heed(outcome)?
        };
        self.at += count as u64;
        self.end = self.end.max(self.at);
        Ok(count)
    }

    fn flush(&mut self) -> io::Result<()> {
        if self.failed {
            return Ok(());
        }
        let outcome = self.inner.flush();
        self.heed(outcome)
    }
}

impl<W: Write + Seek> Seek for Sink<W> {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        if !self.failed {
            let outcome = self.inner.seek(to);
            self.at = self.heed(outcome)?;
            // A file that is added to has an end before anything is written.
            self.end = self.end.max(self.at);
        } else {
            self.at = match to {
                SeekFrom::Start(at) => at,
                SeekFrom::Current(by) => self.at.saturating_add_signed(by),
                SeekFrom::End(by) => self.end.saturating_add_signed(by),
            };
        }
        Ok(self.at)
    }
}

impl<W: Read> Read for Sink<W> {
    fn read(&mut self, bytes: &mut [u8]) -> io::Result<usize> {
        let count = self.inner.read(bytes)?;
        self.at += count as u64;
        Ok(count)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::output::failing::{Disk, Fault};

    #[test]
    fn the_first_fault_is_told_and_nothing_is_written_after_it() {
        let mut bytes = io::Cursor::new(Vec::new());
        let mut sink = Sink::new(Disk::over(&mut bytes, Fault::FullAfter(5), usize::MAX));
        sink.write_all(b"abc").unwrap();
        assert!(sink.write_all(b"defgh").is_err());
        sink.write_all(b"ijk").unwrap();
        assert_eq!(sink.stream_position().unwrap(), 8);
        sink.seek(SeekFrom::Start(2)).unwrap();
        sink.write_all(b"xyz").unwrap();
        sink.flush().unwrap();
        assert!(sink.end().is_err());
        assert_eq!(bytes.into_inner(), b"abcde");
    }
}
