//! Puts a seal into a packed archive: a signature or a time stamp beside what they are made over.
//!
//! Takes an archive that was found whole, and a seal's bytes; writes the archive anew with the seal in its place, or, in an
//! unpacked one, the seal's file. Nothing else changes, and neither do root and fingerprint. Judges neither archive nor seal.

use std::fs::File;
use std::io::{self, BufReader};
use std::path::Path;

use zip::ZipArchive;

use super::zip_records::Entry;
use super::zip_writer::{Target, Written, ZipWriter, buffered};
use super::{ArchiveError, flushing, profile};
use crate::hash::{PIECE, next_piece};
use crate::output::{self, Unfinished};

/// Adds a seal, in the place of a former one of that name. `path` is one of [`profile::SEAL_FILES`].
///
/// # Errors
/// [`ArchiveError`] where the archive can't be read or written; it is then as it was.
pub fn add_seal(archive: &Path, path: &str, seal: &[u8]) -> Result<(), ArchiveError> {
    let failed = |source| ArchiveError::Write {
        file: archive.to_path_buf(),
        source,
    };
    if archive.is_dir() {
        let file = base_in(archive).join(path);
        if let Some(folder) = file.parent() {
            std::fs::create_dir_all(folder).map_err(failed)?;
        }
        return output::write_whole(&file, seal).map_err(failed);
    }
    let read = |source| ArchiveError::Read {
        file: archive.to_path_buf(),
        source,
    };
    let file = File::open(archive).map_err(read)?;
    let mut former = ZipArchive::new(BufReader::with_capacity(PIECE, file))
        .map_err(|error| read(error.into()))?;
    if former.len() >= profile::MAX_FILES {
        return Err(ArchiveError::TooMany {
            files: former.len() + 1,
        });
    }
    let mut unfinished = Unfinished::beside(archive).map_err(failed)?;
    let second = unfinished.file().try_clone().map_err(failed)?;
    let (copied, flushed) = flushing::with(second, |flusher| {
        let out = buffered(unfinished.file());
        copy(&mut former, out, path, seal, &mut |bytes| flusher.at(bytes))
    });
    copied.and(flushed).map_err(failed)?;
    unfinished.finish().map_err(failed)
}

/// All entries in the order of their names, the seal among them.
fn copy(
    former: &mut ZipArchive<BufReader<File>>,
    out: impl Target,
    path: &str,
    seal: &[u8],
    progress: &mut dyn FnMut(u64),
) -> io::Result<()> {
    let base = match former.len() {
        0 => None,
        _ => {
            let first = former.by_index_raw(0)?;
            let name = first.name()?;
            name.split_once('/').map(|(base, _)| base.to_owned())
        }
    };
    let base = base.ok_or_else(|| io::Error::other("it holds no folder"))?;
    let name = format!("{base}/{path}");
    let mut zip = ZipWriter::behind(Written::default(), out)?;
    let mut entries = Vec::new();
    let mut to_write = Some(seal);
    let mut piece = Vec::with_capacity(PIECE);
    let mut done = 0;
    for number in 0..former.len() {
        let mut entry = former.by_index(number)?;
        let own = entry.name()?.into_owned();
        if own == name {
            continue;
        }
        if own > name
            && let Some(seal) = to_write.take()
        {
            zip.whole(&name, seal)?;
            entries.push((name.clone(), seal.len() as u64));
        }
        let size = entry.size();
        let mut content = zip.begin(&Entry { name: &own, size })?;
        while next_piece(&mut entry, &mut piece)? {
            content.write(&piece)?;
            done += piece.len() as u64;
            progress(done);
        }
        content.end()?;
        entries.push((own, size));
    }
    if let Some(seal) = to_write {
        zip.whole(&name, seal)?;
        entries.push((name, seal.len() as u64));
    }
    zip.finish(entries)
}

/// The base directory in an unpacked archive: itself, or its one subfolder.
fn base_in(folder: &Path) -> std::path::PathBuf {
    if folder.join(profile::BAGIT).exists() {
        return folder.to_path_buf();
    }
    let inside = std::fs::read_dir(folder).into_iter().flatten().flatten();
    inside
        .map(|entry| entry.path())
        .find(|path| path.join(profile::BAGIT).exists())
        .unwrap_or_else(|| folder.to_path_buf())
}

#[cfg(test)]
mod tests {
    use super::super::faults::description;
    use super::super::{Evidence, Item, Packed, pack};
    use super::*;

    fn packed(folder: &Path) -> Packed {
        let items = vec![
            Item::from_bytes("season/pulls.csv", b"pull,date\n".to_vec()),
            Item::from_bytes("season/süß.csv", vec![7; 3]),
            Item::from_bytes("report/funder.pdf", b"%PDF-".to_vec()),
        ];
        let evidence = Evidence::of(&items);
        let output = folder.join("out.zip");
        pack(items, &evidence, &description(), &output, &mut |_| {}).unwrap()
    }

    #[test]
    fn the_seal_is_there_and_all_else_is_as_it_was() {
        let folder = tempfile::tempdir().unwrap();
        let archive = packed(folder.path()).path;
        let former = std::fs::read(&archive).unwrap();
        add_seal(&archive, profile::SEAL_SIGNATURE, b"first").unwrap();
        let first = std::fs::read(&archive).unwrap();
        add_seal(&archive, profile::SEAL_SIGNATURE, b"second, longer").unwrap();
        add_seal(&archive, profile::SEAL_SIGNATURE, b"first").unwrap();
        assert_eq!(
            std::fs::read(&archive).unwrap(),
            first,
            "the same bytes again"
        );
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
        // All that stands before the seal is as it was, byte for byte.
        let at = first.windows(5).position(|part| part == b"seal/").unwrap();
        let header = at - "invented-2026-evidence/".len() - 30;
        assert_eq!(former[..header], first[..header]);
        let mut zip = ZipArchive::new(io::Cursor::new(first)).unwrap();
        let names: Vec<String> = (0..zip.len())
            .map(|number| zip.by_index(number).unwrap().name().unwrap().into_owned())
            .collect();
        assert!(names.is_sorted());
        assert!(
            names
                .iter()
                .any(|name| name.ends_with("/seal/fingerprint.sig"))
        );
    }

    #[test]
    fn what_is_no_archive_stays_as_it_was() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("x.zip");
        std::fs::write(&file, "no ZIP").unwrap();
        assert!(matches!(
            add_seal(&file, profile::SEAL_SIGNATURE, b"x"),
            Err(ArchiveError::Read { .. })
        ));
        assert_eq!(std::fs::read_to_string(&file).unwrap(), "no ZIP");
    }
}
