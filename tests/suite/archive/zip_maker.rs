//! Writes ZIPs field by field after PKWARE's APPNOTE 6.3.10, honest unless told otherwise.

use std::io::{Read, Write};
use std::path::Path;

const PHOTOS: &[u8] = b"/data/season/photos/";

/// One entry. Fields in an Option take their honest value where None.
#[derive(Clone, Default)]
pub struct Entry {
    pub name: Vec<u8>,
    /// Bytes as they stand in the ZIP.
    pub data: Vec<u8>,
    pub local_name: Option<Vec<u8>>,
    pub flags: u16,
    pub method: u16,
    pub crc: Option<u32>,
    pub local_crc: Option<u32>,
    pub compressed: Option<u32>,
    pub size: Option<u32>,
    pub local_size: Option<u32>,
    pub external: Option<u32>,
    pub offset: Option<u32>,
    pub extra: Vec<u8>,
    pub local_extra: Vec<u8>,
    pub comment: Vec<u8>,
    /// Bytes between the content and the next header.
    pub after: Vec<u8>,
}

impl Entry {
    pub fn new(name: &str, data: &[u8]) -> Self {
        Self {
            name: name.into(),
            data: data.into(),
            flags: if name.is_ascii() { 0 } else { 1 << 11 },
            ..Self::default()
        }
    }

    /// An entry packed by deflate.
    pub fn deflated(name: &str, plain: &[u8]) -> Self {
        let mut encoder =
            flate2::write::DeflateEncoder::new(Vec::new(), flate2::Compression::default());
        encoder.write_all(plain).unwrap();
        Self {
            method: 8,
            crc: Some(crc32fast::hash(plain)),
            local_crc: Some(crc32fast::hash(plain)),
            size: Some(plain.len() as u32),
            local_size: Some(plain.len() as u32),
            ..Self::new(name, &encoder.finish().unwrap())
        }
    }
}

/// A whole ZIP.
#[derive(Clone, Default)]
pub struct Zip {
    pub before: Vec<u8>,
    pub entries: Vec<Entry>,
    pub comment: Vec<u8>,
    pub after: Vec<u8>,
    pub count: Option<u16>,
    /// Put between the directory and the end record.
    pub before_end: Vec<u8>,
    pub directory_bytes: Option<u32>,
    pub directory_offset: Option<u32>,
}

impl Zip {
    /// The same entries as those of an honest archive, as the profile wants them.
    pub fn like(archive: &Path) -> Self {
        Self {
            entries: contents(archive)
                .iter()
                .map(|(name, content)| Entry::new(name, content))
                .collect(),
            ..Self::default()
        }
    }

    /// The entry whose name ends so.
    pub fn entry(&mut self, end: &str) -> &mut Entry {
        self.entries
            .iter_mut()
            .find(|entry| entry.name.ends_with(end.as_bytes()))
            .unwrap()
    }

    /// Into the order of the profile: photos, then all else. Those of these tests end in .jpg.
    pub fn sort(&mut self) {
        let is_photo = |name: &[u8]| {
            let below = name.windows(PHOTOS.len()).any(|part| part == PHOTOS);
            below && name.ends_with(b".jpg")
        };
        self.entries
            .sort_by_key(|entry| (!is_photo(&entry.name), entry.name.clone()));
    }

    pub fn build(&self) -> Vec<u8> {
        let mut out = self.before.clone();
        let mut directory = Vec::new();
        for entry in &self.entries {
            let offset = entry.offset.unwrap_or(out.len() as u32);
            let crc = entry.crc.unwrap_or_else(|| crc32fast::hash(&entry.data));
            let compressed = entry.compressed.unwrap_or(entry.data.len() as u32);
            let size = entry.size.unwrap_or(entry.data.len() as u32);
            let local_name = entry.local_name.as_ref().unwrap_or(&entry.name);
            let head = |out: &mut Vec<u8>, crc: u32, size: u32, name: &[u8], extra: &[u8]| {
                for word in [10, entry.flags, entry.method, 0, 0x21] {
                    out.extend(u16::to_le_bytes(word));
                }
                for word in [crc, compressed, size] {
                    out.extend(word.to_le_bytes());
                }
                out.extend((name.len() as u16).to_le_bytes());
                out.extend((extra.len() as u16).to_le_bytes());
            };
            out.extend(b"PK\x03\x04");
            head(
                &mut out,
                entry.local_crc.unwrap_or(crc),
                entry.local_size.unwrap_or(size),
                local_name,
                &entry.local_extra,
            );
            out.extend(local_name);
            out.extend(&entry.local_extra);
            out.extend(&entry.data);
            out.extend(&entry.after);

            directory.extend(b"PK\x01\x02\x0a\x03");
            head(&mut directory, crc, size, &entry.name, &entry.extra);
            directory.extend((entry.comment.len() as u16).to_le_bytes());
            directory.extend([0; 4]);
            directory.extend(entry.external.unwrap_or(0o100_644 << 16).to_le_bytes());
            directory.extend(offset.to_le_bytes());
            directory.extend(&entry.name);
            directory.extend(&entry.extra);
            directory.extend(&entry.comment);
        }
        let start = self.directory_offset.unwrap_or(out.len() as u32);
        let bytes = self.directory_bytes.unwrap_or(directory.len() as u32);
        let count = self.count.unwrap_or(self.entries.len() as u16);
        out.extend(directory);
        out.extend(&self.before_end);
        out.extend(b"PK\x05\x06\0\0\0\0");
        out.extend(count.to_le_bytes());
        out.extend(count.to_le_bytes());
        out.extend(bytes.to_le_bytes());
        out.extend(start.to_le_bytes());
        out.extend((self.comment.len() as u16).to_le_bytes());
        out.extend(&self.comment);
        out.extend(&self.after);
        out
    }
}

/// Names and contents of an honest archive, in its order, by the zip crate and not by what is under test.
pub fn contents(archive: &Path) -> Vec<(String, Vec<u8>)> {
    let mut zip = zip::ZipArchive::new(std::fs::File::open(archive).unwrap()).unwrap();
    (0..zip.len())
        .map(|index| {
            let mut entry = zip.by_index(index).unwrap();
            let mut content = Vec::new();
            entry.read_to_end(&mut content).unwrap();
            (entry.name().unwrap().into_owned(), content)
        })
        .collect()
}

/// For each entry its name and where its content starts and ends.
pub fn places(archive: &Path) -> Vec<(String, std::ops::Range<u64>)> {
    let mut zip = zip::ZipArchive::new(std::fs::File::open(archive).unwrap()).unwrap();
    (0..zip.len())
        .map(|index| {
            let entry = zip.by_index(index).unwrap();
            let start = entry.data_start().unwrap();
            (
                entry.name().unwrap().into_owned(),
                start..start + entry.size(),
            )
        })
        .collect()
}
