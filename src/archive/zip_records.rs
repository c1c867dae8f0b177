//! The records of a ZIP as the profile fixes them (docs/archive.md, section 5; PKWARE APPNOTE 6.3.10, section 4.3).
//!
//! Takes what is known of entries; gives bytes. Pure: writes nothing and remembers nothing.

use super::profile::zip as fixed;

const LOCAL: u32 = 0x0403_4b50;
const LISTED: u32 = 0x0201_4b50;
const END: u32 = 0x0605_4b50;
const END_ZIP64: u32 = 0x0606_4b50;
const LOCATOR_ZIP64: u32 = 0x0706_4b50;
/// Tag of the Zip64 field (4.5.3).
const ZIP64_FIELD: u16 = 1;
/// What a 32-bit field holds whose value stands in the Zip64 field.
const ELSEWHERE: u32 = u32::MAX;

/// Bytes of a local record without its name and its Zip64 field.
const LOCAL_BYTES: u64 = 30;
/// Bytes of the Zip64 field of a local record: tag, length, and two sizes.
const LOCAL_ZIP64_BYTES: u64 = 4 + 16;
/// Bytes of the Zip64 end record behind its own length (4.3.14.1).
const END_ZIP64_REST: u64 = 44;

/// Where in a local record the CRC-32 stands, which is known when all content is written.
pub(super) const CHECKSUM_AT: u64 = 14;

/// An entry as far as it is known before its content is read.
#[derive(Debug, Clone, Copy)]
pub(super) struct Entry<'a> {
    /// Base directory included. No longer than the profile allows.
    pub name: &'a str,
    /// Bytes.
    pub size: u64,
}

impl Entry<'_> {
    fn is_large(&self) -> bool {
        self.size >= fixed::ZIP64_FROM
    }

    /// Version that a reader needs.
    pub fn version(&self) -> u16 {
        if self.is_large() {
            fixed::VERSION_ZIP64
        } else {
            fixed::VERSION
        }
    }

    /// Bytes of the local record and the content behind it.
    pub fn bytes(&self) -> u64 {
        let zip64 = if self.is_large() {
            LOCAL_ZIP64_BYTES
        } else {
            0
        };
        LOCAL_BYTES + self.name.len() as u64 + zip64 + self.size
    }

    /// The record before the content (4.3.7).
    pub fn local(&self, checksum: u32) -> Vec<u8> {
        let zip64 = self.zip64(None);
        let mut bytes = LOCAL.to_le_bytes().to_vec();
        self.common(checksum, zip64.len(), &mut bytes);
        bytes.extend(self.name.as_bytes());
        bytes.extend(zip64);
        bytes
    }

    /// The record in the directory (4.3.12) of an entry that begins at `offset`.
    pub fn listed(&self, checksum: u32, offset: u64) -> Vec<u8> {
        let far = (offset >= fixed::ZIP64_FROM).then_some(offset);
        let zip64 = self.zip64(far);
        let mut bytes = LISTED.to_le_bytes().to_vec();
        bytes.extend((fixed::HOST_UNIX | self.version()).to_le_bytes());
        self.common(checksum, zip64.len(), &mut bytes);
        // Comment, disk and internal attributes.
        bytes.extend([0; 6]);
        bytes.extend(fixed::ATTRIBUTES.to_le_bytes());
        bytes.extend(narrow(offset).to_le_bytes());
        bytes.extend(self.name.as_bytes());
        bytes.extend(zip64);
        bytes
    }

    /// From the version needed to the length of the extra field, which both records have.
    fn common(&self, checksum: u32, zip64_bytes: usize, bytes: &mut Vec<u8>) {
        let flags = if self.name.is_ascii() {
            fixed::FLAGS_ASCII
        } else {
            fixed::FLAGS_UTF8
        };
        for field in [
            self.version(),
            flags,
            fixed::STORED,
            fixed::TIME,
            fixed::DATE,
        ] {
            bytes.extend(field.to_le_bytes());
        }
        let size = narrow(self.size);
        for field in [checksum, size, size] {
            bytes.extend(field.to_le_bytes());
        }
        for length in [self.name.len(), zip64_bytes] {
            // The profile's names are a few hundred bytes long, and the field's are 28 at most.
            bytes.extend(u16::try_from(length).unwrap_or(u16::MAX).to_le_bytes());
        }
    }

    /// The Zip64 field of what the 32-bit fields can't hold, or nothing.
    fn zip64(&self, offset: Option<u64>) -> Vec<u8> {
        // Its size, and its size as it is stored.
        let sizes = [self.size; 2].into_iter().filter(|_| self.is_large());
        let values: Vec<u8> = sizes.chain(offset).flat_map(u64::to_le_bytes).collect();
        if values.is_empty() {
            return values;
        }
        let length = u16::try_from(values.len()).unwrap_or(u16::MAX);
        let head = [ZIP64_FIELD.to_le_bytes(), length.to_le_bytes()].concat();
        [head, values].concat()
    }
}

/// The directory as the end records state it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Directory {
    /// Entries.
    pub count: u64,
    /// Where it begins.
    pub start: u64,
    pub bytes: u64,
    /// The largest that any entry needs.
    pub version: u16,
}

impl Directory {
    /// All that stands behind it (4.3.14 to 4.3.16).
    pub fn end(&self) -> Vec<u8> {
        let wide = self.count > fixed::ENTRIES_WITHOUT_ZIP64
            || self.start.max(self.bytes) > fixed::ZIP64_FROM;
        let mut all = Vec::new();
        if wide {
            all.extend(END_ZIP64.to_le_bytes());
            all.extend(END_ZIP64_REST.to_le_bytes());
            all.extend(self.version.to_le_bytes());
            all.extend(self.version.to_le_bytes());
            // Both numbers of disks.
            all.extend([0; 8]);
            for value in [self.count, self.count, self.bytes, self.start] {
                all.extend(value.to_le_bytes());
            }
            all.extend(LOCATOR_ZIP64.to_le_bytes());
            all.extend(0_u32.to_le_bytes());
            all.extend((self.start + self.bytes).to_le_bytes());
            all.extend(1_u32.to_le_bytes());
        }
        let count = u16::try_from(self.count).unwrap_or(u16::MAX);
        let bytes = if wide { ELSEWHERE } else { narrow(self.bytes) };
        all.extend(END.to_le_bytes());
        all.extend([0; 4]);
        all.extend(count.to_le_bytes());
        all.extend(count.to_le_bytes());
        all.extend(bytes.to_le_bytes());
        all.extend(narrow(self.start).to_le_bytes());
        all.extend([0; 2]);
        all
    }
}

/// A value in 32 bits, or what says that it stands elsewhere.
fn narrow(value: u64) -> u32 {
    u32::try_from(value).unwrap_or(ELSEWHERE)
}
