//! Bounded reads from any place of a file.
//!
//! Takes something that reads and seeks, and its length. Gives bytes at an offset, never more than asked for, fewer
//! at the end. Must not keep a whole file in memory.

use std::io::{self, Read, Seek, SeekFrom};

/// The longest piece handed out at once, but for [`Source::beginning`]. It holds every Exif block that a JPEG can carry (64 KiB) and every one met
/// in the other formats, so that a header can't make us allocate what the file doesn't hold.
pub(super) const LONGEST_PIECE: usize = 1 << 20;

/// A file, or a block cut out of one, read piece by piece.
pub(super) struct Source<R> {
    reader: R,
    length: u64,
    head: Vec<u8>,
}

impl<R: Read + Seek> Source<R> {
    /// `head` is the file's beginning as far as the caller has it already: reads inside it cost no system call.
    pub(super) fn new(reader: R, length: u64, head: Vec<u8>) -> Self {
        Self {
            reader,
            length,
            head,
        }
    }

    /// Length in bytes.
    pub(super) fn length(&self) -> u64 {
        self.length
    }

    /// Up to `count` bytes from `offset`: fewer where the file ends, none beyond its end.
    pub(super) fn piece(&mut self, offset: u64, count: usize) -> io::Result<Vec<u8>> {
        self.read(offset, count.min(LONGEST_PIECE))
    }

    /// The file's first `count` bytes, or all if there are fewer: for a caller with a reason to hold more than a
    /// piece, and a limit of its own.
    pub(super) fn beginning(&mut self, count: u64) -> io::Result<Vec<u8>> {
        self.read(0, usize::try_from(count).unwrap_or(usize::MAX))
    }

    fn read(&mut self, offset: u64, count: usize) -> io::Result<Vec<u8>> {
        let left = usize::try_from(self.length.saturating_sub(offset)).unwrap_or(usize::MAX);
        let count = count.min(left);
        if let Some(bytes) = usize::try_from(offset)
            .ok()
            .and_then(|start| self.head.get(start..start.checked_add(count)?))
        {
            return Ok(bytes.to_vec());
        }
        self.reader.seek(SeekFrom::Start(offset))?;
        let mut bytes = Vec::with_capacity(count);
        self.reader
            .by_ref()
            .take(count as u64)
            .read_to_end(&mut bytes)?;
        Ok(bytes)
    }

    /// Exactly `N` bytes from `offset`, or `None` where the file ends before.
    pub(super) fn exactly<const N: usize>(&mut self, offset: u64) -> io::Result<Option<[u8; N]>> {
        Ok(self.piece(offset, N)?.try_into().ok())
    }
}

#[cfg(test)]
impl Source<io::Cursor<Vec<u8>>> {
    /// A source over bytes in memory.
    pub(super) fn over(bytes: Vec<u8>) -> Self {
        Self::new(io::Cursor::new(Vec::new()), bytes.len() as u64, bytes)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pieces_stop_at_the_end() {
        let bytes: Vec<u8> = (0..100).collect();
        let mut source = Source::new(io::Cursor::new(bytes.clone()), 100, bytes[..10].to_vec());
        assert_eq!(source.piece(2, 3).unwrap(), [2, 3, 4]);
        assert_eq!(source.piece(8, 4).unwrap(), [8, 9, 10, 11]);
        assert_eq!(source.piece(98, 40).unwrap(), [98, 99]);
        assert!(source.piece(100, 1).unwrap().is_empty());
        assert!(source.piece(u64::MAX, usize::MAX).unwrap().is_empty());
        assert_eq!(source.exactly(97).unwrap(), Some([97, 98, 99]));
        assert_eq!(source.exactly::<4>(97).unwrap(), None);
    }
}
