//! What was read from photos the last time, so that unchanged ones need not be read or drawn again.
//!
//! Takes a season folder; gives what is known of its photos, and keeps what is read in a file outside the season folder. That file may be
//! deleted at any time. Only `check` and drafts take a photo's stamp for its bytes ([`Trust::Stamp`]): whatever else is made rests on all
//! bytes of every photo, read anew, and the cache says no more than how the picture with these very bytes looks ([`Trust::Bytes`]). A file
//! that is damaged, or of another build, counts as none.

use std::collections::BTreeMap;
use std::fs::{self, File};
use std::io::Read;
use std::path::{Path, PathBuf};
use std::time::{Duration, SystemTime, UNIX_EPOCH};

use etcetera::BaseStrategy;
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

use super::stages::VERSION;
use crate::hash::{Hash, hex};
use crate::photo::Photo;
use crate::photo::likeness::Look;
use crate::season::{FileEntry, Season};
use crate::stamp::Stamp;

/// Names a folder for the cache, or turns it off.
pub const VARIABLE: &str = "WINDROW_CACHE";
/// What turns it off.
const OFF: &str = "off";
/// How the files begin; the numbers change with what follows.
const PHOTOS: &[u8] = b"windrow photos 3\n";
const LOOKS: &[u8] = b"windrow looks 1\n";
/// A hundred thousand photos, as many as an archive holds, with every entry filled.
const LONGEST: u64 = 256 << 20;
/// A photo that was written this shortly before it was read isn't kept: some file systems count time in steps of two seconds, so
/// that a second writing might leave the stamp as it is.
const SETTLED: Duration = Duration::from_secs(3);

/// What shows that a photo is the one that was read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Trust {
    /// Its file's length, times and number.
    Stamp,
    /// The SHA-256 of its bytes, which are read anew.
    Bytes,
}

/// How a picture looked.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
struct Seen {
    sha256: Hash,
    orientation: u8,
    /// None of a picture that shows too little to compare.
    look: Option<Look>,
}

/// Photos as they were.
pub struct Cache {
    /// Where it is kept; None where there is no place for it.
    place: Option<PathBuf>,
    trust: Trust,
    /// In the order of their paths; none where bytes count.
    known: Vec<(Stamp, Photo)>,
    /// In the order of the hashes.
    seen: Vec<Seen>,
    began: SystemTime,
}

impl Cache {
    /// The cache of a season folder.
    pub fn open(season: &Path, trust: Trust) -> Self {
        Self::at(file(season), trust, SystemTime::now())
    }

    fn at(place: Option<PathBuf>, trust: Trust, began: SystemTime) -> Self {
        let mut known: Vec<(Stamp, Photo)> = Vec::new();
        let mut seen: Vec<Seen> = Vec::new();
        if let Some(place) = &place {
            seen = read(&named(place, "looks"), LOOKS).unwrap_or_default();
            if trust == Trust::Stamp {
                known = read(&named(place, "photos"), PHOTOS).unwrap_or_default();
            }
        }
        // They were written so; a search among others would only miss some.
        known.sort_by(|(_, one), (_, other)| one.path.cmp(&other.path));
        seen.sort_by_key(|seen| seen.sha256);
        Self {
            place,
            trust,
            known,
            seen,
            began,
        }
    }

    /// The photo's record and look, if its file is as it was and that is enough.
    pub fn photo(&self, file: &FileEntry) -> Option<(&Photo, Option<&Look>)> {
        let by_path = |(_, photo): &(Stamp, Photo)| photo.path.as_str().cmp(&file.path);
        let at = self.known.binary_search_by(by_path).ok()?;
        let (stamp, photo) = self.known.get(at)?;
        let seen = self.seen(photo).filter(|_| *stamp == file.stamp)?;
        Some((photo, seen.look.as_ref()))
    }

    /// How a picture of the same bytes looked, wherever it lay.
    pub fn look(&self, photo: &Photo) -> Option<&Look> {
        self.seen(photo)?.look.as_ref()
    }

    fn seen(&self, photo: &Photo) -> Option<&Seen> {
        let by_hash = |seen: &Seen| seen.sha256.cmp(&photo.sha256);
        let at = self.seen.binary_search_by(by_hash).ok()?;
        self.seen
            .get(at)
            .filter(|seen| seen.orientation == photo.orientation)
    }

    /// Keeps what was read and looked at, where it isn't what is kept already. A cache that can't be written is no trouble of the
    /// season's.
    pub fn keep(self, season: &Season) {
        let Some(place) = &self.place else {
            return;
        };
        let looked_at = season.photos.iter().zip(&season.looks);
        let mut seen: Vec<Seen> = looked_at
            .map(|(photo, look)| Seen {
                sha256: photo.sha256,
                orientation: photo.orientation,
                look: look.clone(),
            })
            .collect();
        seen.sort_by_key(|seen| seen.sha256);
        seen.dedup_by_key(|seen| seen.sha256);
        if seen != self.seen {
            let _ = write(&named(place, "looks"), LOOKS, &seen);
        }
        if self.trust == Trust::Bytes {
            return;
        }
        let stamps: BTreeMap<&str, Stamp> = season
            .files
            .iter()
            .map(|file| (file.path.as_str(), file.stamp))
            .collect();
        let photos: Vec<(Stamp, &Photo)> = season
            .photos
            .iter()
            .filter_map(|photo| Some((*stamps.get(photo.path.as_str())?, photo)))
            .filter(|(stamp, _)| is_settled(self.began, stamp))
            .collect();
        let known = self.known.iter().map(|(stamp, photo)| (*stamp, photo));
        if !photos.iter().copied().eq(known) {
            let _ = write(&named(place, "photos"), PHOTOS, &photos);
        }
    }
}

/// Whether a file was written so long before the run began that a second writing would show.
pub fn is_settled(began: SystemTime, stamp: &Stamp) -> bool {
    let limit = began.checked_sub(SETTLED);
    let limit = limit.and_then(|limit| limit.duration_since(UNIX_EPOCH).ok());
    limit.is_some_and(|limit| i128::from(stamp.modified) < limit.as_nanos() as i128)
}

/// Where what is known of a season folder is kept, but for an ending that says what; nothing where there is no place for it.
pub fn file(season: &Path) -> Option<PathBuf> {
    let canonical = season.canonicalize().ok()?;
    let name: Hash = Sha256::digest(canonical.as_os_str().as_encoded_bytes()).into();
    Some(folder()?.join(hex(&name)))
}

/// With its ending.
pub fn named(place: &Path, ending: &str) -> PathBuf {
    // The name is a hash: it has no ending that could be replaced.
    place.with_extension(ending)
}

/// Where caches lie: as the variable says, else where the system wants them.
fn folder() -> Option<PathBuf> {
    match std::env::var_os(VARIABLE) {
        Some(value) if value == OFF => None,
        Some(value) if !value.is_empty() => Some(value.into()),
        _ => {
            let places = etcetera::base_strategy::choose_native_strategy().ok()?;
            Some(places.cache_dir().join("windrow"))
        }
    }
}

/// The build that wrote: another one may read photos otherwise.
pub fn build() -> String {
    let program = std::env::current_exe().and_then(fs::metadata).ok();
    let stamp = program.map(|metadata| Stamp::of(&metadata));
    format!(
        "{VERSION} {:?}",
        stamp.map(|stamp| (stamp.bytes, stamp.modified))
    )
}

fn read<T: DeserializeOwned>(path: &Path, head: &[u8]) -> Option<T> {
    let body = take(path, head, LONGEST)?;
    let (by, kept): (String, T) = rmp_serde::from_slice(&body).ok()?;
    (by == build()).then_some(kept)
}

fn write(path: &Path, head: &[u8], kept: &impl Serialize) -> Option<()> {
    put(path, head, &rmp_serde::to_vec(&(build(), kept)).ok()?)
}

/// What [`put`] left there; nothing if it is damaged, longer than it may be, or begins otherwise.
pub fn take(path: &Path, head: &[u8], longest: u64) -> Option<Vec<u8>> {
    let mut bytes = Vec::new();
    let file = File::open(path).ok()?;
    file.take(longest).read_to_end(&mut bytes).ok()?;
    let rest = bytes.strip_prefix(head)?;
    let (sum, body) = rest.split_first_chunk::<32>()?;
    (<Hash>::from(Sha256::digest(body)) == *sum).then(|| body.to_vec())
}

/// Keeps bytes under a head that says what they are, and with their hash; whole or not at all.
pub fn put(path: &Path, head: &[u8], body: &[u8]) -> Option<()> {
    let sum: Hash = Sha256::digest(body).into();
    let folder = path.parent()?;
    fs::create_dir_all(folder).ok()?;
    // Its owner's alone, as temporary files are: it holds positions.
    let mut file = tempfile::NamedTempFile::new_in(folder).ok()?;
    use std::io::Write;
    for part in [head, &sum, body] {
        file.write_all(part).ok()?;
    }
    file.persist(path).ok()?;
    Some(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::season;
    use crate::words::Language;

    fn folder() -> tempfile::TempDir {
        let folder = tempfile::tempdir().unwrap();
        let settings = "programme = \"Invented Pond Trust\"\nyear = 2026\ntime_zone = \"UTC\"\n";
        fs::create_dir_all(folder.path().join("season/photos")).unwrap();
        fs::write(folder.path().join("season/season.toml"), settings).unwrap();
        for name in ["a", "b"] {
            fs::write(photo(&folder, name), "no picture").unwrap();
        }
        folder
    }

    fn photo(folder: &tempfile::TempDir, name: &str) -> PathBuf {
        folder.path().join(format!("season/photos/{name}.jpg"))
    }

    fn load(folder: &tempfile::TempDir) -> Season {
        let mut season = season::load(&folder.path().join("season"), &|_| ()).unwrap();
        season.look_at_photos(&season::LookAtFile);
        season
    }

    /// A cache that was opened so long after now.
    fn cache(folder: &tempfile::TempDir, later: Duration) -> Cache {
        opened(folder, Trust::Stamp, later)
    }

    fn opened(folder: &tempfile::TempDir, trust: Trust, later: Duration) -> Cache {
        let place = folder.path().join("cache/season");
        Cache::at(Some(place), trust, SystemTime::now() + later)
    }

    const LATER: Duration = Duration::from_secs(60);

    fn known(folder: &tempfile::TempDir) -> Vec<bool> {
        let cache = cache(folder, LATER);
        let season = load(folder);
        let files = season
            .files
            .iter()
            .filter(|file| file.path != "season.toml");
        files.map(|file| cache.photo(file).is_some()).collect()
    }

    #[test]
    fn unchanged_photos_are_known_and_changed_ones_are_not() {
        let folder = folder();
        let season = load(&folder);
        cache(&folder, LATER).keep(&season);
        assert_eq!(known(&folder), [true, true]);
        let kept = cache(&folder, LATER);
        for (file, photo) in season.files.iter().zip(season.photos.iter()) {
            assert_eq!(kept.photo(file), Some((photo, None)));
        }
        let time = fs::metadata(photo(&folder, "b"))
            .unwrap()
            .modified()
            .unwrap();
        fs::write(photo(&folder, "b"), "NO PICTURE").unwrap();
        let file = File::options()
            .write(true)
            .open(photo(&folder, "b"))
            .unwrap();
        file.set_modified(time + Duration::from_secs(1)).unwrap();
        assert_eq!(known(&folder), [true, false]);
        fs::remove_file(folder.path().join("cache/season.looks")).unwrap();
        assert_eq!(known(&folder), [false, false]);
    }

    /// What was found is kept as a value, so that a later run can say it in its own language.
    #[test]
    fn troubles_come_back_for_any_language() {
        let folder = folder();
        let season = load(&folder);
        cache(&folder, LATER).keep(&season);
        let kept = cache(&folder, LATER);
        let photos = season.files.iter().filter_map(|file| kept.photo(file));
        let said: Vec<String> = photos
            .flat_map(|(photo, _)| &photo.troubles)
            .map(|trouble| trouble.words().say(Language::Spanish))
            .collect();
        assert_eq!(said, ["file: empieza con “no picture”."; 2]);
    }

    #[test]
    fn a_photo_that_was_just_written_is_not_kept() {
        let folder = folder();
        cache(&folder, Duration::ZERO).keep(&load(&folder));
        assert_eq!(known(&folder), [false, false]);
    }

    #[test]
    fn a_damaged_cache_counts_as_none() {
        let folder = folder();
        cache(&folder, LATER).keep(&load(&folder));
        for ending in ["photos", "looks"] {
            let file = folder.path().join("cache/season").with_extension(ending);
            let whole = fs::read(&file).unwrap();
            assert_eq!(known(&folder), [true, true]);
            for place in 0..whole.len() {
                let mut flipped = whole.clone();
                flipped[place] ^= 1;
                fs::write(&file, flipped).unwrap();
                assert_eq!(known(&folder), [false, false], "byte {place} of {ending}");
            }
            for length in 0..whole.len() {
                fs::write(&file, &whole[..length]).unwrap();
                assert_eq!(known(&folder), [false, false], "{length} of {ending}");
            }
            // The next run writes it anew.
            cache(&folder, LATER).keep(&load(&folder));
            assert_eq!(fs::read(&file).unwrap(), whole);
        }
    }

    #[test]
    fn no_place_for_a_cache_is_no_trouble() {
        let folder = folder();
        let season = load(&folder);
        Cache::at(None, Trust::Stamp, SystemTime::now()).keep(&season);
        let under_a_file = folder.path().join("season/season.toml/photos");
        let later = SystemTime::now() + LATER;
        Cache::at(Some(under_a_file), Trust::Stamp, later).keep(&season);
    }

    fn sample() -> Season {
        let mut season = season::load(Path::new("sample-season"), &|_| ()).unwrap();
        season.look_at_photos(&season::LookAtFile);
        assert!(season.photos.iter().any(|photo| photo.bearing.is_some()));
        assert!(season.looks.iter().flatten().count() > 50);
        season
    }

    /// Where bytes count, a stamp that is as it was answers for nothing; equal bytes do, under any name.
    #[test]
    fn bytes_are_known_by_their_hash_alone() {
        let folder = tempfile::tempdir().unwrap();
        let season = sample();
        opened(&folder, Trust::Stamp, LATER).keep(&season);
        let cache = opened(&folder, Trust::Bytes, LATER);
        assert!(season.files.iter().all(|file| cache.photo(file).is_none()));
        for (photo, look) in season.photos.iter().zip(&season.looks) {
            assert_eq!(cache.look(photo), look.as_ref(), "{}", photo.path);
            let elsewhere = Photo {
                path: "photos/elsewhere.jpg".into(),
                ..photo.clone()
            };
            assert_eq!(cache.look(&elsewhere), look.as_ref());
            let mut other = photo.clone();
            other.sha256[0] ^= 1;
            assert_eq!(cache.look(&other), None);
        }
    }

    /// Every field that a record can have comes back as it was.
    #[test]
    fn whole_records_come_back() {
        let folder = tempfile::tempdir().unwrap();
        let season = sample();
        cache(&folder, LATER).keep(&season);
        let cache = cache(&folder, LATER);
        for (photo, look) in season.photos.iter().zip(&season.looks) {
            let of = |file: &&FileEntry| file.path == photo.path;
            let file = season.files.iter().find(of).unwrap();
            assert_eq!(cache.photo(file), Some((photo, look.as_ref())));
        }
    }
}
