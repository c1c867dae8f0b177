//! The season's files as leaves of the evidence and then as items of an archive: the same files, unchanged, that figures and findings
//! rest on.
//!
//! Takes a season; gives leaves in the order of their paths, and items when it comes to packing. A photo was hashed when its metadata
//! were read and isn't read again; what else there is, is hashed now, on all processors. A file that isn't as it was when the folder
//! was listed stops it.

use std::collections::BTreeMap;

use rayon::prelude::*;

use super::progress::Progress;
use crate::archive::tree::Leaf;
use crate::archive::{ArchiveError, Evidence, Item, profile};
use crate::photo::Photo;
use crate::season::{FileEntry, Season};
use crate::stamp::Stamp;

/// All files of the season folder.
///
/// # Errors
/// [`ArchiveError::Changed`] and [`ArchiveError::Read`] of the first such file in the order of paths.
pub fn leaves(season: &Season) -> Result<Vec<Leaf>, ArchiveError> {
    let photos: BTreeMap<&str, &Photo> = season
        .photos
        .iter()
        .map(|photo| (photo.path.as_str(), photo))
        .collect();
    let known = |file: &FileEntry| photos.get(file.path.as_str()).copied();
    let unread = season.files.iter().filter(|file| known(file).is_none());
    let progress = Progress::bytes("hashing", unread.map(|file| file.bytes).sum());
    let leaves: Vec<Result<Leaf, ArchiveError>> = season
        .files
        .par_iter()
        .map(|file| {
            let photo = known(file);
            let leaf = leaf(file, photo);
            if photo.is_none() {
                progress.add(file.bytes);
            }
            leaf
        })
        .collect();
    leaves.into_iter().collect()
}

/// The files, to be packed: what each is comes from the evidence. They are taken, since there may be tens of thousands.
///
/// # Errors
/// [`ArchiveError::RootDiffers`] if the evidence is not over them.
pub fn of_season(files: Vec<FileEntry>, evidence: &Evidence) -> Result<Vec<Item>, ArchiveError> {
    files
        .into_iter()
        .map(|file| {
            let leaf = evidence.leaf(&path_in_bag(&file));
            let leaf = leaf.ok_or(ArchiveError::RootDiffers)?;
            let path = path(&file);
            Ok(Item::hashed(path, file.on_disk(), leaf.size, leaf.sha256))
        })
        .collect()
}

/// Path below `data/`.
fn path(file: &FileEntry) -> String {
    ["season/", file.path.as_str()].concat()
}

fn path_in_bag(file: &FileEntry) -> String {
    // Exactly as long as it is: tens of thousands are kept.
    [profile::SEASON, file.path.as_str()].concat()
}

fn leaf(file: &FileEntry, photo: Option<&Photo>) -> Result<Leaf, ArchiveError> {
    let path = path(file);
    let changed = || ArchiveError::Changed {
        path: path.clone(),
        file: file.on_disk(),
    };
    let metadata = file.on_disk().symlink_metadata();
    let stamp = Stamp::of(&metadata.map_err(|source| ArchiveError::Read {
        file: file.on_disk(),
        source,
    })?);
    // What was read from it before may be another content than what would be hashed now.
    if stamp.content_differs(&file.stamp) {
        return Err(changed());
    }
    if let Some(photo) = photo
        && stamp == file.stamp
        && stamp.bytes == photo.bytes
    {
        let (size, sha256) = (photo.bytes, photo.sha256);
        let path = path_in_bag(file);
        return Ok(Leaf { path, size, sha256 });
    }
    let item = Item::from_file(path.clone(), file.on_disk())?;
    if photo.is_some_and(|photo| photo.sha256 != item.sha256) {
        return Err(changed());
    }
    Ok(item.leaf())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::photo::is_photo_name;
    use crate::season;
    use std::fs;
    use std::path::Path;
    use std::time::Duration;

    fn folder() -> tempfile::TempDir {
        let folder = tempfile::tempdir().unwrap();
        let settings = "programme = \"Invented Pond Trust\"\nyear = 2026\ntime_zone = \"UTC\"\n";
        fs::write(folder.path().join("season.toml"), settings).unwrap();
        fs::create_dir(folder.path().join("photos")).unwrap();
        fs::write(folder.path().join("photos/a.jpg"), "no picture").unwrap();
        folder
    }

    fn load(folder: &Path) -> Season {
        season::load(folder, &|_| ()).unwrap()
    }

    #[test]
    fn photos_keep_the_hash_of_their_first_reading_and_all_is_in_order() {
        let folder = folder();
        let season = load(folder.path());
        let evidence = Evidence::over(leaves(&season).unwrap());
        let items = of_season(std::sync::Arc::unwrap_or_clone(season.files), &evidence).unwrap();
        let paths: Vec<&str> = items.iter().map(|item| item.path.as_str()).collect();
        assert_eq!(paths, ["season/photos/a.jpg", "season/season.toml"]);
        for (item, path) in items.iter().zip(["photos/a.jpg", "season.toml"]) {
            let again = Item::from_file(item.path.clone(), folder.path().join(path)).unwrap();
            assert_eq!(item, &again);
        }
    }

    #[test]
    fn what_changed_since_the_folder_was_read_is_found() {
        for path in ["photos/a.jpg", "season.toml"] {
            let folder = folder();
            let season = load(folder.path());
            let file = folder.path().join(path);
            let bytes = fs::read(&file).unwrap();
            // The same length, a later time.
            fs::write(&file, bytes.to_ascii_uppercase()).unwrap();
            let opened = fs::File::options().write(true).open(&file).unwrap();
            let later = opened.metadata().unwrap().modified().unwrap() + Duration::from_secs(2);
            opened.set_modified(later).unwrap();
            let failed = leaves(&season).unwrap_err();
            assert!(
                matches!(&failed, ArchiveError::Changed { path: changed, .. } if *changed == format!("season/{path}"))
            );
            fs::remove_file(&file).unwrap();
            assert!(matches!(leaves(&season), Err(ArchiveError::Read { .. })));
        }
    }

    /// Whoever sets the time back can't hide a changed photo from the hash, where the system tells more than the time.
    #[cfg(unix)]
    #[test]
    fn a_changed_photo_with_its_former_time_is_found() {
        let folder = folder();
        let season = load(folder.path());
        let file = folder.path().join("photos/a.jpg");
        let time = fs::metadata(&file).unwrap().modified().unwrap();
        fs::write(&file, "NO PICTURE").unwrap();
        let opened = fs::File::options().write(true).open(&file).unwrap();
        opened.set_modified(time).unwrap();
        assert!(matches!(leaves(&season), Err(ArchiveError::Changed { .. })));
    }

    /// The archive's room knows photos by a list of its own, since it is what others verify by.
    #[test]
    fn photos_are_those_that_the_archive_takes_for_photos() {
        for ending in profile::PICTURE_ENDINGS {
            assert!(is_photo_name(&format!("photos/one.{ending}")));
        }
        for path in [
            "photos/a.jpg",
            "photos/b/A.JPEG",
            "photos/._a.jpg",
            "photos/.jpg",
            "photos/a.jpg.txt",
            "photos/a.mov",
            "photos/a.gif",
            "photos/a.hif",
            "photos/jpg",
            "photos/a.",
            "photos/x.d/a",
        ] {
            let known = profile::is_photo(&format!("season/{path}"));
            assert_eq!(known, is_photo_name(path), "{path}");
        }
        assert!(!profile::is_photo("season/papers/a.jpg"));
        assert!(!profile::is_photo("report/photos/a.jpg"));
    }
}
