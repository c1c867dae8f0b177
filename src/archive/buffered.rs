//! A buffer for writing that can be read through as well: a ZIP that is added to is read first.

use std::fs::File;
use std::io::{self, BufWriter, Read, Seek, SeekFrom, Write};

use crate::hash::PIECE;

/// What the ZIP's bytes are written to, and read from where it is added to.
pub(super) trait Target: Read + Write + Seek {}

impl<W: Read + Write + Seek> Target for W {}

/// How it is really written.
pub(super) fn buffered(file: &mut File) -> Box<dyn Target + '_> {
    Box::new(Buffered::over(file))
}

/// The buffer.
pub(super) struct Buffered<F: Write>(BufWriter<F>);

impl<F: Write> Buffered<F> {
    pub(super) fn over(file: F) -> Self {
        Self(BufWriter::with_capacity(PIECE, file))
    }
}

impl<F: Write> Write for Buffered<F> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.0.write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.0.flush()
    }
}

impl<F: Write + Seek> Seek for Buffered<F> {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        self.0.seek(to)
    }
}

impl<F: Read + Write> Read for Buffered<F> {
    fn read(&mut self, bytes: &mut [u8]) -> io::Result<usize> {
        self.0.flush()?;
        self.0.get_mut().read(bytes)
    }
}
