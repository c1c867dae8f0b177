//! A strict scan of a ZIP's structure, before a byte of content is believed.
//!
//! Takes the file; gives its entries, with every byte of the file accounted for: local header, name, data, the next
//! header, the directory, the end. What no ZIP should be is a fault; what only the profile forbids is a deviation, to
//! be held against an evidence archive and not against a bag of another maker. Reads no content.

mod central;
mod end;
mod local;
mod record;
mod rule;

use std::fs::File;
use std::io::{self, Read, Seek, SeekFrom};

use super::fault::Fault;

/// Deflate (APPNOTE 4.4.5): the one compression that bags of other makers may use.
const DEFLATED: u16 = 8;
/// Flag bit 3: check sum and sizes follow the data.
const HAS_DESCRIPTOR: u16 = 1 << 3;
/// Extra field with the 64-bit sizes (4.5.3).
const ZIP64_EXTRA: u16 = 1;
/// A 16-bit or 32-bit field whose value stands in a Zip64 record.
const ELSEWHERE_16: u16 = u16::MAX;
const ELSEWHERE_32: u32 = u32::MAX;
/// Unpacked content may be this many times the ZIP, and a further [`ROOM`], before it is taken for a bomb.
const MOST_SWELL: u64 = 200;
const ROOM: u64 = 1 << 30;

/// One entry, its content not looked at.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Entry {
    pub name: String,
    /// Where its content starts.
    pub data: u64,
    /// Bytes of content as they stand in the ZIP.
    pub compressed: u64,
    /// Bytes of content unpacked.
    pub size: u64,
    pub crc: u32,
    pub deflated: bool,
    pub folder: bool,
}

/// What the scan found.
#[derive(Debug, Default)]
pub(super) struct Scan {
    pub entries: Vec<Entry>,
    /// Wrong in any ZIP.
    pub faults: Vec<Fault>,
    /// Wrong in an evidence archive only.
    pub deviations: Vec<Fault>,
    pub comment: bool,
}

/// Why the scan stopped.
#[derive(Debug)]
pub(super) enum Stop {
    /// The structure can't be followed, or shouldn't be.
    Fault(Fault),
    /// The file can't be read.
    Io(io::Error),
}

impl From<io::Error> for Stop {
    fn from(error: io::Error) -> Self {
        Self::Io(error)
    }
}

fn stop<T>(place: impl Into<String>, what: impl Into<String>) -> Result<T, Stop> {
    Err(Stop::Fault(Fault::structure(place, what)))
}

fn refuse<T>(place: impl Into<String>, what: impl Into<String>) -> Result<T, Stop> {
    Err(Stop::Fault(Fault::refused(place, what)))
}

/// The directory's place, as the end records say.
struct Directory {
    count: u64,
    offset: u64,
    bytes: u64,
    /// The two versions in the Zip64 end record, if there is one.
    versions: Option<[u16; 2]>,
}

/// Scans a ZIP of `length` bytes.
///
/// # Errors
/// [`Stop`], if the structure can't be followed to its end.
pub(super) fn scan(file: &mut File, length: u64) -> Result<Scan, Stop> {
    let mut scan = Scan::default();
    let directory = end::read(file, length, &mut scan)?;
    let headers = central::read(file, &directory, &mut scan)?;
    local::read(file, &headers, &directory, &mut scan)?;
    rule::note_end_versions(&directory, &mut scan);
    let total: u128 = scan
        .entries
        .iter()
        .map(|entry| u128::from(entry.size))
        .sum();
    if total > u128::from(length) * u128::from(MOST_SWELL) + u128::from(ROOM) {
        return refuse(
            "the ZIP",
            format!("{length} bytes would unpack to {total}: a bomb"),
        );
    }
    Ok(scan)
}

fn read_at(file: &mut File, offset: u64, bytes: usize) -> io::Result<Vec<u8>> {
    let mut buffer = vec![0; bytes];
    file.seek(SeekFrom::Start(offset))?;
    file.read_exact(&mut buffer)?;
    Ok(buffer)
}
