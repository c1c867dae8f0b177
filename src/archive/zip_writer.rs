//! Writes a ZIP of stored entries, in two goes if need be.
//!
//! Takes entries in their order and their contents, piece by piece; gives the same bytes whoever writes them and whenever. Of an entry that
//! is written nothing is held but its CRC-32: whoever closes the ZIP names all entries again, and knows them from elsewhere. The zip crate
//! keeps some 400 bytes of each, which tells where a season has tens of thousands; it is what the bytes are compared with.

use std::fs::File;
use std::io::{self, BufWriter, Seek, SeekFrom, Write};

use crc32fast::Hasher;

use super::zip_records::{CHECKSUM_AT, Directory, Entry};
use crate::hash::PIECE;

/// Where the bytes go.
pub(super) trait Target: Write + Seek {}

impl<W: Write + Seek> Target for W {}

/// How a file is really written.
pub(super) fn buffered(file: &mut File) -> Box<dyn Target + '_> {
    Box::new(BufWriter::with_capacity(PIECE, file))
}

/// A ZIP without a directory so far.
pub(super) struct ZipWriter<W> {
    out: W,
    written: Written,
}

/// The entries that stand in a ZIP already.
#[derive(Debug, Default)]
pub(super) struct Written {
    /// Bytes of their records and contents, from the beginning of the file.
    bytes: u64,
    /// CRC-32 of each.
    checksums: Vec<u32>,
}

impl<W: Target> ZipWriter<W> {
    /// Behind what stands there already; nothing does at the beginning.
    ///
    /// # Errors
    /// Trouble with the disk.
    pub fn behind(written: Written, mut out: W) -> io::Result<Self> {
        out.seek(SeekFrom::Start(written.bytes))?;
        Ok(Self { out, written })
    }

    /// Begins the next entry.
    ///
    /// # Errors
    /// Trouble with the disk.
    pub fn begin(&mut self, entry: &Entry<'_>) -> io::Result<Content<'_, W>> {
        let local = self.written.bytes;
        self.put(&entry.local(0))?;
        Ok(Content {
            zip: self,
            local,
            left: entry.size,
            checksum: Hasher::new(),
        })
    }

    /// An entry whose bytes are at hand.
    ///
    /// # Errors
    /// Trouble with the disk.
    pub fn whole(&mut self, name: &str, bytes: &[u8]) -> io::Result<()> {
        let size = bytes.len() as u64;
        let mut content = self.begin(&Entry { name, size })?;
        content.write(bytes)?;
        content.end()
    }

    /// Leaves it as it is, to be gone on with.
    ///
    /// # Errors
    /// Trouble with the disk.
    pub fn pause(mut self) -> io::Result<Written> {
        self.out.flush()?;
        Ok(self.written)
    }

    /// Writes the directory. `entries` are all, also those of the first go, in their order: name and size.
    ///
    /// # Errors
    /// Trouble with the disk, and other entries than those that stand in it.
    pub fn finish<N: AsRef<str>>(
        mut self,
        entries: impl IntoIterator<Item = (N, u64)>,
    ) -> io::Result<()> {
        let others = || io::Error::other("the entries of the ZIP and its directory differ");
        let mut checksums = std::mem::take(&mut self.written.checksums).into_iter();
        let mut directory = Directory {
            count: 0,
            start: self.written.bytes,
            bytes: 0,
            version: 0,
        };
        let mut offset = 0;
        for (name, size) in entries {
            let name = name.as_ref();
            let entry = Entry { name, size };
            let checksum = checksums.next().ok_or_else(others)?;
            self.put(&entry.listed(checksum, offset))?;
            offset += entry.bytes();
            directory.count += 1;
            directory.version = directory.version.max(entry.version());
        }
        if offset != directory.start || checksums.next().is_some() {
            return Err(others());
        }
        directory.bytes = self.written.bytes - directory.start;
        self.put(&directory.end())?;
        self.out.flush()
    }

    fn put(&mut self, bytes: &[u8]) -> io::Result<()> {
        self.out.write_all(bytes)?;
        self.written.bytes += bytes.len() as u64;
        Ok(())
    }
}

/// An entry that is being filled. Dropped before its end, it leaves a ZIP that can't be finished.
pub(super) struct Content<'a, W> {
    zip: &'a mut ZipWriter<W>,
    /// Where its local record begins.
    local: u64,
    /// Bytes still to come.
    left: u64,
    checksum: Hasher,
}

impl<W: Target> Content<'_, W> {
    /// Adds the next piece.
    ///
    /// # Errors
    /// Trouble with the disk, and more bytes than were stated.
    pub fn write(&mut self, piece: &[u8]) -> io::Result<()> {
        let left = self.left.checked_sub(piece.len() as u64);
        self.left = left.ok_or_else(other_size)?;
        self.checksum.update(piece);
        self.zip.put(piece)
    }

    /// All is there: its CRC-32 goes into the record before it.
    ///
    /// # Errors
    /// Trouble with the disk, and fewer bytes than were stated.
    pub fn end(self) -> io::Result<()> {
        if self.left > 0 {
            return Err(other_size());
        }
        let checksum = self.checksum.finalize();
        let ZipWriter { out, written } = self.zip;
        out.seek(SeekFrom::Start(self.local + CHECKSUM_AT))?;
        out.write_all(&checksum.to_le_bytes())?;
        out.seek(SeekFrom::Start(written.bytes))?;
        written.checksums.push(checksum);
        Ok(())
    }
}

fn other_size() -> io::Error {
    io::Error::other("an entry of the ZIP is not as long as its record says")
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use ::zip::write::SimpleFileOptions;
    use ::zip::{CompressionMethod, DateTime, System};

    use super::super::profile::zip as fixed;
    use super::*;

    const PAGE: usize = 4096;

    /// A file in memory that holds nothing of pages full of zeros, so that gigabytes of them fit.
    #[derive(Default, PartialEq)]
    struct Sparse {
        pages: BTreeMap<u64, Vec<u8>>,
        at: u64,
        end: u64,
    }

    impl Write for Sparse {
        fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
            let (page, within) = (self.at / PAGE as u64, self.at as usize % PAGE);
            let count = bytes.len().min(PAGE - within);
            // Without an early end, so that many are looked at at once.
            let any = bytes[..count].iter().fold(0, |all, byte| all | byte);
            if any != 0 || self.pages.contains_key(&page) {
                let page = self.pages.entry(page).or_insert_with(|| vec![0; PAGE]);
                page[within..within + count].copy_from_slice(&bytes[..count]);
            }
            self.at += count as u64;
            self.end = self.end.max(self.at);
            Ok(count)
        }

        fn flush(&mut self) -> io::Result<()> {
            Ok(())
        }
    }

    impl Seek for Sparse {
        fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
            self.at = match to {
                SeekFrom::Start(at) => at,
                SeekFrom::Current(by) => self.at.checked_add_signed(by).unwrap(),
                SeekFrom::End(by) => self.end.checked_add_signed(by).unwrap(),
            };
            Ok(self.at)
        }
    }

    impl Sparse {
        /// All of it, where it is short.
        fn bytes(&self) -> Vec<u8> {
            let mut bytes = vec![0; usize::try_from(self.end).unwrap()];
            for (page, held) in &self.pages {
                let at = usize::try_from(*page).unwrap() * PAGE;
                let count = PAGE.min(bytes.len() - at);
                bytes[at..at + count].copy_from_slice(&held[..count]);
            }
            bytes
        }
    }

    type Made<'a> = [(&'a str, u64, u8)];

    /// Writes so many bytes of one kind.
    fn fill(bytes: u64, kind: u8, mut write: impl FnMut(&[u8])) {
        let piece = vec![kind; bytes.min(1 << 20) as usize];
        let mut left = bytes;
        while left > 0 {
            let count = left.min(piece.len() as u64);
            write(&piece[..count as usize]);
            left -= count;
        }
    }

    /// By what is under test, put away and taken up again behind so many entries.
    fn ours(entries: &Made<'_>, first: usize) -> Sparse {
        let mut out = Sparse::default();
        let mut written = Written::default();
        for part in [&entries[..first], &entries[first..]] {
            let mut zip = ZipWriter::behind(written, &mut out).unwrap();
            for (name, size, kind) in part {
                let mut content = zip.begin(&Entry { name, size: *size }).unwrap();
                fill(*size, *kind, |piece| content.write(piece).unwrap());
                content.end().unwrap();
            }
            written = zip.pause().unwrap();
        }
        let zip = ZipWriter::behind(written, &mut out).unwrap();
        zip.finish(entries.iter().map(|(name, size, _)| (name, *size)))
            .unwrap();
        out
    }

    /// By the zip crate (`zip` 9.8, of crates.io), told the profile's fixed fields.
    fn theirs(entries: &Made<'_>) -> Sparse {
        let mut zip = ::zip::ZipWriter::new(Sparse::default());
        for (name, size, kind) in entries {
            let options = SimpleFileOptions::default()
                .compression_method(CompressionMethod::Stored)
                .last_modified_time(DateTime::default())
                .unix_permissions(0o644)
                .system(System::Unix)
                .large_file(*size >= fixed::ZIP64_FROM);
            zip.start_file(*name, options).unwrap();
            fill(*size, *kind, |piece| zip.write_all(piece).unwrap());
        }
        zip.finish().unwrap()
    }

    /// Whether ours is theirs, put away behind each so many entries.
    fn same(entries: &Made<'_>, firsts: &[usize]) {
        let theirs = theirs(entries);
        for &first in firsts {
            let ours = ours(entries, first);
            assert_eq!(ours.end, theirs.end);
            assert!(ours.pages == theirs.pages, "{first} of {}", entries.len());
        }
    }

    #[test]
    fn the_bytes_are_those_of_the_zip_crate() {
        let entries = [
            ("bag/photos/1.jpg", 3_000_000, 7),
            ("bag/Süd pond.jpg", 5, 1),
            ("bag/empty", 0, 0),
            ("bag/one", 1, 255),
        ];
        same(&entries, &[0, 1, 2, 3, 4]);
    }

    #[test]
    fn so_are_those_of_more_entries_than_the_plain_end_record_counts() {
        let names: Vec<String> = (0..65_536).map(|number| format!("bag/{number}")).collect();
        for count in [65_535, 65_536] {
            let entries: Vec<(&str, u64, u8)> = names[..count]
                .iter()
                .map(|name| (name.as_str(), 0, 0))
                .collect();
            same(&entries, &[0, 65_535]);
        }
    }

    #[test]
    fn so_are_those_of_files_and_places_beyond_32_bits() {
        // Contents of zeros take no memory, and there is a record on each side of each limit.
        let limit = fixed::ZIP64_FROM;
        let entries = [
            ("bag/below", limit - 1, 0),
            ("bag/behind", 3, 1),
            ("bag/at", limit, 0),
            ("bag/last", 3, 2),
        ];
        same(&entries, &[2]);
        // The directory begins just at the limit, and just behind it.
        for more in [0, 1] {
            let record = LOCAL_BYTES + "bag/0".len() as u64;
            same(&[("bag/0", limit + more - record, 0)], &[1]);
        }
    }

    /// APPNOTE 6.3.10, 4.3.7: the local record's fixed part.
    const LOCAL_BYTES: u64 = 30;

    #[test]
    fn the_records_are_field_by_field_those_of_the_specification() {
        // PKWARE, APPNOTE.TXT 6.3.10 (2022), sections 4.3.7, 4.3.12 and 4.3.16; CRC-32 of "123456789" from
        // Williams, A Painless Guide to CRC Error Detection Algorithms (1993), section 15: CBF43926.
        let mut out = Sparse::default();
        let mut zip = ZipWriter::behind(Written::default(), &mut out).unwrap();
        zip.whole("a/b", b"123456789").unwrap();
        zip.finish([("a/b", 9)]).unwrap();
        let local = b"PK\x03\x04\x0a\0\0\0\0\0\0\0\x21\0\x26\x39\xf4\xcb\x09\0\0\0\x09\0\0\0\x03\0\0\0a/b123456789";
        let listed = b"PK\x01\x02\x0a\x03\x0a\0\0\0\0\0\0\0\x21\0\x26\x39\xf4\xcb\x09\0\0\0\x09\0\0\0\x03\0\0\0\0\0\0\0\0\0\0\0\xa4\x81\0\0\0\0a/b";
        let end = b"PK\x05\x06\0\0\0\0\x01\0\x01\0\x31\0\0\0\x2a\0\0\0\0\0";
        assert_eq!(
            out.bytes(),
            [local.as_slice(), listed.as_slice(), end.as_slice()].concat()
        );
    }

    #[test]
    fn a_directory_of_other_entries_is_refused() {
        let written = || {
            let mut zip = ZipWriter::behind(Written::default(), Sparse::default()).unwrap();
            zip.whole("bag/1", b"one").unwrap();
            zip.whole("bag/2", b"two").unwrap();
            zip
        };
        assert!(written().finish([("bag/1", 3), ("bag/2", 3)]).is_ok());
        assert!(written().finish([("bag/1", 3)]).is_err());
        assert!(written().finish([("bag/1", 3), ("bag/2", 4)]).is_err());
        let more = [("bag/1", 3), ("bag/2", 3), ("bag/3", 0)];
        assert!(written().finish(more).is_err());
        // An entry that was left before its end.
        let mut zip = written();
        let entry = Entry {
            name: "bag/3",
            size: 2,
        };
        zip.begin(&entry).unwrap().write(b"x").unwrap();
        assert!(zip.begin(&entry).unwrap().end().is_err());
        assert!(zip.begin(&entry).unwrap().write(b"xyz").is_err());
        assert!(
            zip.finish([("bag/1", 3), ("bag/2", 3), ("bag/3", 2)])
                .is_err()
        );
    }
}
