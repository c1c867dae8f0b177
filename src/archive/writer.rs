//! Writes the entries of the ZIP, the same bytes for the same input.
//!
//! Takes items in their order, the evidence, a description and a writer. Streams: no item is held in memory beyond a small piece. Must
//! not read a clock.

use std::collections::BTreeMap;
use std::io;
use std::path::Path;

use sha2::{Digest, Sha256};

use super::ahead::{self, Ahead, Broken};
use super::names::Names;
use super::profile;
use super::tree::{Hash, TreeBuilder};
use super::zip_records;
use super::zip_writer::{Target, Written, ZipWriter};
use super::{ArchiveError, BagDescription, Content, Evidence, Item, tags};
use crate::hash::{PIECE, next_piece};

/// Sorts by path bytes, which is the order of the manifest, the tree and the ZIP.
pub(super) fn in_order(mut items: Vec<Item>) -> Result<Vec<Item>, ArchiveError> {
    check_count(items.len())?;
    items.sort_by(|one, other| one.path.cmp(&other.path));
    Ok(items)
}

/// Whether so many files and the tag files fit into an archive.
pub(super) fn check_count(files: usize) -> Result<(), ArchiveError> {
    if files + profile::TAG_FILES.len() > profile::MAX_FILES {
        return Err(ArchiveError::TooMany { files });
    }
    Ok(())
}

/// All paths below `data/` that can't stand in an archive.
pub(super) fn check_names<'a>(
    paths: impl Iterator<Item = &'a str>,
    base: &str,
) -> Result<(), ArchiveError> {
    profile::check_base(base).map_err(|fault| ArchiveError::Base {
        name: base.into(),
        fault,
    })?;
    let mut names = Names::new();
    let mut faults = Vec::new();
    for below in paths {
        let path = format!("{}{below}", profile::PAYLOAD);
        let judged = profile::check_path(&path)
            .and_then(|()| profile::check_place(&path))
            .and_then(|()| names.add(below));
        if let Err(fault) = judged {
            let fault = fault.below(profile::PAYLOAD);
            faults.push((path, fault));
        }
    }
    if faults.is_empty() {
        Ok(())
    } else {
        Err(ArchiveError::Names(faults))
    }
}

/// All tag files by name, and the fingerprint. Everything they say is known before the first byte is copied.
pub(super) fn tag_files(
    items: &[Item],
    evidence: &Evidence,
    description: &BagDescription,
    bytes: u64,
) -> (BTreeMap<&'static str, String>, Hash) {
    let root = evidence.root();
    let paths: Vec<String> = items.iter().map(Item::path_in_bag).collect();
    let lines = paths.iter().map(String::as_str);
    let lines = lines.zip(items.iter().map(|item| &item.sha256));
    let mut tags = BTreeMap::from([
        (profile::VERIFY_PAGE, tags::VERIFY_PAGE.to_owned()),
        (profile::BAGIT, profile::BAGIT_TEXT.to_owned()),
        (
            profile::BAG_INFO,
            description.bag_info(&root, evidence.previous().as_ref(), bytes, items.len()),
        ),
        (profile::EVIDENCE, evidence.to_json()),
        (
            profile::HOW_TO_VERIFY,
            description.how_to_verify(&root, evidence.withheld()),
        ),
        (profile::MANIFEST, tags::manifest(lines)),
    ]);
    let hashes: Vec<(&str, Hash)> = tags
        .iter()
        .map(|(name, text)| (*name, Sha256::digest(text).into()))
        .collect();
    let tag_manifest = tags::manifest(hashes.iter().map(|(name, hash)| (*name, hash)));
    let fingerprint = Sha256::digest(&tag_manifest).into();
    tags.insert(profile::TAG_MANIFEST, tag_manifest);
    (tags, fingerprint)
}

/// Makes sure that no list is longer than a verifier accepts.
pub(super) fn check_lists(
    items: &[Item],
    tags: &BTreeMap<&'static str, String>,
    base: &str,
) -> Result<(), ArchiveError> {
    let names = items.iter().map(|item| item.path.len() + base.len());
    let directory = names.map(|bytes| bytes as u64 + ZIP_ENTRY_BYTES).sum();
    let lists = tags
        .iter()
        .map(|(name, text)| (*name, text.len() as u64))
        .chain([("the directory of the ZIP", directory)]);
    for (list, bytes) in lists {
        if bytes > profile::MAX_LIST_BYTES {
            return Err(ArchiveError::ListTooLong {
                list: list.into(),
                bytes,
            });
        }
    }
    Ok(())
}

/// Bytes of an entry in the directory beside its path below `data/` and its base: the record, the longest Zip64
/// field, the slash and `data/`; the few tag files are made up for by the Zip64 fields that hardly any entry has.
const ZIP_ENTRY_BYTES: u64 = 46 + 28 + 6;

/// Why the writing stopped.
pub(super) enum Stop {
    Broken(Broken),
    Write(io::Error),
}

impl Stop {
    pub(super) fn into_error(self, output: &Path) -> ArchiveError {
        match self {
            Self::Broken(Broken::Read(file, source)) => ArchiveError::Read { file, source },
            Self::Broken(Broken::Changed(path, file)) => ArchiveError::Changed { path, file },
            Self::Write(source) => ArchiveError::Write {
                file: output.to_path_buf(),
                source,
            },
        }
    }
}

impl From<Broken> for Stop {
    fn from(broken: Broken) -> Self {
        Self::Broken(broken)
    }
}

impl From<io::Error> for Stop {
    fn from(error: io::Error) -> Self {
        Self::Write(error)
    }
}

/// One entry of the ZIP.
enum Entry<'a> {
    /// Name below the base, and text.
    Tag(&'a str, &'a str),
    Payload(&'a Item),
}

impl<'a> Entry<'a> {
    fn item(&self) -> Option<&'a Item> {
        match self {
            Self::Payload(item) => Some(item),
            Self::Tag(..) => None,
        }
    }

    fn is_photo(&self) -> bool {
        self.item().is_some_and(Item::is_photo)
    }

    /// Its name in the ZIP and its bytes.
    fn listed(&self, base: &str) -> (String, u64) {
        match self {
            Self::Tag(name, text) => (format!("{base}/{name}"), text.len() as u64),
            Self::Payload(item) => (format!("{base}/{}", item.path_in_bag()), item.size),
        }
    }
}

/// All entries in their order: the photos, then all others by the bytes of their names. Items stand in it already, and all have one
/// beginning in common; so the names of tens of thousands need not be written out to be compared.
fn entries<'a>(
    items: &'a [Item],
    tags: &'a BTreeMap<&'static str, String>,
) -> impl Iterator<Item = Entry<'a>> {
    let tag = |(name, text): (&&'a str, &'a String)| Entry::Tag(name, text);
    let photos = items.iter().filter(|item| item.is_photo());
    let before = tags.range(..profile::PAYLOAD).map(tag);
    let others = items.iter().filter(|item| !item.is_photo());
    let behind = tags.range(profile::PAYLOAD..).map(tag);
    let photos = photos.map(Entry::Payload);
    let others = others.map(Entry::Payload);
    photos.chain(before).chain(others).chain(behind)
}

/// Photos that stand in an archive already. Their names are not held: of tens of thousands they would take memory while the report is set.
pub(super) struct Taken {
    pub base: String,
    /// Over their leaves, in their order.
    pub root: Hash,
    pub written: Written,
    /// Bytes of payload.
    pub bytes: u64,
}

impl Taken {
    /// Whether they are those of these items, in this base directory.
    pub fn is_of(&self, base: &str, items: &[Item]) -> bool {
        let mut leaves = TreeBuilder::new();
        for photo in items.iter().filter(|item| item.is_photo()) {
            leaves.push(photo.leaf().hash());
        }
        self.base == base && self.root == leaves.root()
    }
}

/// Writes all entries that aren't there yet, and the directory.
pub(super) fn write_zip(
    out: impl Target,
    items: &[Item],
    tags: &BTreeMap<&'static str, String>,
    base: &str,
    taken: Option<Taken>,
    progress: &mut dyn FnMut(u64),
) -> Result<(), Stop> {
    let missing: Vec<Entry<'_>> = entries(items, tags)
        .filter(|entry| taken.is_none() || !entry.is_photo())
        .collect();
    let (written, done) = taken
        .map(|taken| (taken.written, taken.bytes))
        .unwrap_or_default();
    let mut zip = ZipWriter::behind(written, out)?;
    let read = missing.iter().filter_map(Entry::item);
    ahead::with(read, |ahead| {
        write_entries(&mut zip, &missing, base, ahead, done, progress)
    })?;
    let all = entries(items, tags).map(|entry| entry.listed(base));
    Ok(zip.finish(all)?)
}

fn write_entries(
    zip: &mut ZipWriter<impl Target>,
    entries: &[Entry<'_>],
    base: &str,
    ahead: &mut Ahead,
    mut done: u64,
    progress: &mut dyn FnMut(u64),
) -> Result<(), Stop> {
    for entry in entries {
        let (name, size) = entry.listed(base);
        match entry {
            Entry::Tag(_, text) => zip.whole(&name, text.as_bytes())?,
            Entry::Payload(item) => {
                let name = name.as_str();
                let mut content = zip.begin(&zip_records::Entry { name, size })?;
                let mut write = |piece: &[u8]| -> Result<(), Stop> {
                    content.write(piece)?;
                    done += piece.len() as u64;
                    progress(done);
                    Ok(())
                };
                match &item.content {
                    Content::Bytes(bytes) => write(bytes)?,
                    Content::Deflated(deflated) => {
                        let mut plain = deflated.plain();
                        let mut piece = Vec::with_capacity(PIECE);
                        while next_piece(&mut plain, &mut piece)? {
                            write(&piece)?;
                        }
                    }
                    Content::File(_) => ahead.next(write)?,
                }
                content.end()?;
            }
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::super::{Packed, pack};
    use super::*;
    use crate::archive::faults::description;

    fn items() -> Vec<Item> {
        vec![
            Item::from_bytes("season/pulls.csv", b"pull,date\n".to_vec()),
            Item::from_bytes("report/funder.pdf", b"%PDF-".to_vec()),
            Item::from_bytes("season/empty", Vec::new()),
            Item::from_bytes("ledger/figures.json", b"{}".to_vec()),
        ]
    }

    fn pack_into(folder: &Path, items: Vec<Item>) -> Result<Packed, ArchiveError> {
        let evidence = Evidence::of(&items);
        let output = folder.join("out.zip");
        pack(items, &evidence, &description(), &output, &mut |_| {})
    }

    #[test]
    fn the_order_of_the_items_changes_nothing() {
        let folder = tempfile::tempdir().unwrap();
        let packed = pack_into(folder.path(), items()).unwrap();
        let first = std::fs::read(&packed.path).unwrap();
        let mut turned = items();
        turned.reverse();
        let again = pack_into(folder.path(), turned).unwrap();
        assert_eq!(packed, again);
        assert_eq!(first, std::fs::read(&again.path).unwrap());
        assert_eq!((packed.files, packed.bytes), (4, 17));
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
    }

    #[test]
    fn an_item_that_is_held_small_is_packed_as_it_is() {
        let folder = tempfile::tempdir().unwrap();
        // Longer than a piece, and what deflates poorly between what deflates well.
        let mut bytes = vec![b'a'; 2 * PIECE];
        bytes.extend((0..PIECE as u32).flat_map(|n| n.wrapping_mul(2_654_435_761).to_be_bytes()));
        let small = Item::deflated("ledger/figures.csv", |out| out.write_all(&bytes)).unwrap();
        let whole = Item::from_bytes("ledger/figures.csv", bytes);
        assert_eq!(small.leaf(), whole.leaf());
        let [small, whole] = [small, whole].map(|item| {
            let mut items = items();
            items.push(item);
            let packed = pack_into(folder.path(), items).unwrap();
            (std::fs::read(&packed.path).unwrap(), packed)
        });
        assert!(small == whole);
    }

    #[test]
    fn the_first_record_is_as_the_profile_says() {
        let folder = tempfile::tempdir().unwrap();
        let packed = pack_into(folder.path(), items()).unwrap();
        let bytes = std::fs::read(packed.path).unwrap();
        let word = |at: usize| u16::from_le_bytes([bytes[at], bytes[at + 1]]);
        assert_eq!(&bytes[..4], b"PK\x03\x04");
        assert_eq!(word(4), profile::zip::VERSION);
        assert_eq!(word(6), profile::zip::FLAGS_ASCII);
        assert_eq!(word(8), profile::zip::STORED);
        assert_eq!(word(10), profile::zip::TIME);
        assert_eq!(word(12), profile::zip::DATE);
        assert_eq!(word(28), 0, "no extra field");
        assert!(bytes[30..].starts_with(b"invented-2026-evidence/HOW-TO-VERIFY.txt"));
    }

    #[test]
    fn a_file_that_changed_since_it_was_hashed_stops_the_packing() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("photo.jpg");
        for (before, after) in [("one", "two"), ("one", "longer"), ("one", "x"), ("one", "")] {
            std::fs::write(&file, before).unwrap();
            let item = Item::from_file("season/photo.jpg", file.clone()).unwrap();
            std::fs::write(&file, after).unwrap();
            let out = folder.path().join("out");
            std::fs::create_dir_all(&out).unwrap();
            std::fs::write(out.join("out.zip"), "the former archive").unwrap();
            let failed = pack_into(&out, vec![item]).unwrap_err();
            assert!(
                matches!(&failed, ArchiveError::Changed { path, .. } if path == "season/photo.jpg")
            );
            assert!(failed.to_string().contains("season/photo.jpg"));
            assert_eq!(
                std::fs::read_to_string(out.join("out.zip")).unwrap(),
                "the former archive"
            );
            assert_eq!(std::fs::read_dir(&out).unwrap().count(), 1);
        }
    }

    #[test]
    fn a_root_made_for_other_files_is_refused() {
        let folder = tempfile::tempdir().unwrap();
        let evidence = Evidence::of(&items()[1..]);
        let output = folder.path().join("out.zip");
        assert!(matches!(
            pack(items(), &evidence, &description(), &output, &mut |_| {}),
            Err(ArchiveError::RootDiffers)
        ));
    }

    #[test]
    fn all_bad_names_are_told_at_once() {
        let folder = tempfile::tempdir().unwrap();
        let mut items = items();
        for path in [
            "season/50%",
            "season/PULLS.csv",
            "season/../x",
            "elsewhere/x",
        ] {
            items.push(Item::from_bytes(path, Vec::new()));
        }
        let Err(ArchiveError::Names(faults)) = pack_into(folder.path(), items) else {
            panic!("bad names were packed");
        };
        assert_eq!(faults.len(), 4);
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 0);
    }

    #[test]
    fn lists_that_no_verifier_would_read_are_not_written() {
        let text = "x".repeat(usize::try_from(profile::MAX_LIST_BYTES).unwrap());
        let list = |text: String| check_lists(&[], &BTreeMap::from([("list", text)]), "base");
        assert!(list(text.clone()).is_ok());
        assert!(matches!(
            list(text + "x"),
            Err(ArchiveError::ListTooLong { .. })
        ));
        let folder = tempfile::tempdir().unwrap();
        let more = (0..profile::MAX_FILES)
            .map(|number| Item::from_bytes(format!("season/{number}"), Vec::new()))
            .collect();
        assert!(matches!(
            pack_into(folder.path(), more),
            Err(ArchiveError::TooMany { .. })
        ));
    }

    #[test]
    fn progress_ends_at_the_payload() {
        let folder = tempfile::tempdir().unwrap();
        let items = items();
        let mut last = 0;
        pack(
            items.clone(),
            &Evidence::of(&items),
            &description(),
            &folder.path().join("out.zip"),
            &mut |done| last = done,
        )
        .unwrap();
        assert_eq!(last, 17);
    }
}
