//! Small copies of photos that an earlier report drew, kept so that a photo of the same bytes is not drawn again.
//!
//! Takes a season folder; gives a shelf beside the cache of photos, under the same rules: outside the season folder, deleted at any time,
//! worth nothing if damaged or of another build. A copy is found by the SHA-256 of its photo's bytes, which whoever asks has read
//! anew; a recomputation never asks. Copies of photos that left the season, or must no longer be shown, are taken away.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use super::cache;
use crate::hash::{Hash, hex, parse_hash};
use crate::photo::thumbnail::Thumbnail;
use crate::report::{PictureKey, Shelf};
use crate::season::{Season, Showing, showing};

/// How each file begins; the number changes with what follows.
const HEAD: &[u8] = b"windrow picture 1\n";
/// Many times the largest copy that a report prints.
const LONGEST: u64 = 16 << 20;

/// The shelf of one season.
pub struct Pictures {
    /// Where copies lie; None where there is no place for them.
    folder: Option<PathBuf>,
    /// The build that draws: another one may draw otherwise.
    build: String,
}

impl Pictures {
    /// The shelf of a season folder.
    pub fn of(season: &Path) -> Self {
        Self::at(cache::file(season).map(|place| cache::named(&place, "pictures")))
    }

    fn at(folder: Option<PathBuf>) -> Self {
        let build = cache::build();
        Self { folder, build }
    }

    fn file(&self, key: &PictureKey) -> Option<PathBuf> {
        let name = format!(
            "{}-{}-{}",
            hex(&key.sha256),
            key.orientation,
            key.longest_edge
        );
        Some(self.folder.as_ref()?.join(name))
    }

    /// Takes away the copies of photos that are not in the season, or that nobody is to see. What can't be taken away is no trouble of
    /// the season's.
    pub fn tidy(&self, season: &Season) {
        let shown = season
            .photos
            .iter()
            .filter(|photo| !matches!(showing(season, &photo.path, None), Showing::Never(_)));
        let stays: BTreeSet<Hash> = shown.map(|photo| photo.sha256).collect();
        let Some(Ok(entries)) = self.folder.as_ref().map(fs::read_dir) else {
            return;
        };
        for entry in entries.flatten() {
            let name = entry.file_name();
            // Nothing but what has a name of ours.
            let hash = name.to_str().and_then(|name| name.split('-').next());
            if let Some(hash) = hash.and_then(parse_hash)
                && !stays.contains(&hash)
            {
                let _ = fs::remove_file(entry.path());
            }
        }
    }
}

impl Shelf for Pictures {
    fn find(&self, key: &PictureKey) -> Option<Thumbnail> {
        let body = cache::take(&self.file(key)?, HEAD, LONGEST)?;
        let mut lines = body.splitn(4, |byte| *byte == b'\n');
        if lines.next()? != self.build.as_bytes() {
            return None;
        }
        let mut number = || std::str::from_utf8(lines.next()?).ok()?.parse().ok();
        let (width, height) = (number()?, number()?);
        let jpeg = lines.next()?.to_vec();
        Some(Thumbnail {
            jpeg,
            width,
            height,
        })
    }

    fn keep(&self, key: &PictureKey, copy: &Thumbnail) {
        let Some(file) = self.file(key) else { return };
        let first = format!("{}\n{}\n{}\n", self.build, copy.width, copy.height);
        let body = [first.as_bytes(), &copy.jpeg].concat();
        // None where there is no room for it.
        let _ = cache::put(&file, HEAD, &body);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::season;

    fn key(first: u8) -> PictureKey {
        PictureKey {
            sha256: [first; 32],
            orientation: 6,
            longest_edge: 810,
        }
    }

    fn copy() -> Thumbnail {
        Thumbnail {
            jpeg: b"\xff\xd8\nnot quite\n\n\xff\xd9".to_vec(),
            width: 810,
            height: 608,
        }
    }

    #[test]
    fn a_copy_comes_back_for_its_own_photo_turn_and_size_alone() {
        let place = tempfile::tempdir().unwrap();
        let shelf = Pictures::at(Some(place.path().join("pictures")));
        assert_eq!(shelf.find(&key(1)), None);
        shelf.keep(&key(1), &copy());
        assert_eq!(shelf.find(&key(1)), Some(copy()));
        for other in [
            key(2),
            PictureKey {
                orientation: 1,
                ..key(1)
            },
            PictureKey {
                longest_edge: 160,
                ..key(1)
            },
        ] {
            assert_eq!(shelf.find(&other), None);
        }
        let other_build = Pictures {
            build: "another".to_owned(),
            ..shelf
        };
        assert_eq!(other_build.find(&key(1)), None);
        let nowhere = Pictures::at(None);
        nowhere.keep(&key(1), &copy());
        assert_eq!(nowhere.find(&key(1)), None);
    }

    #[test]
    fn a_damaged_copy_counts_as_none() {
        let place = tempfile::tempdir().unwrap();
        let shelf = Pictures::at(Some(place.path().to_owned()));
        shelf.keep(&key(1), &copy());
        let file = shelf.file(&key(1)).unwrap();
        let whole = fs::read(&file).unwrap();
        for place in 0..whole.len() {
            let mut flipped = whole.clone();
            flipped[place] ^= 1;
            fs::write(&file, flipped).unwrap();
            assert_eq!(shelf.find(&key(1)), None, "byte {place}");
            fs::write(&file, &whole[..place]).unwrap();
            assert_eq!(shelf.find(&key(1)), None, "{place} bytes");
        }
    }

    #[test]
    fn copies_of_what_left_the_season_or_must_not_be_shown_are_taken_away() {
        let mut season = season::load(Path::new("sample-season"), &|_| ()).unwrap();
        let place = tempfile::tempdir().unwrap();
        let shelf = Pictures::at(Some(place.path().to_owned()));
        let hidden =
            |season: &Season, path: &str| matches!(showing(season, path, None), Showing::Never(_));
        for photo in season.photos.iter() {
            let sha256 = photo.sha256;
            shelf.keep(&PictureKey { sha256, ..key(0) }, &copy());
        }
        fs::write(place.path().join("somebody-elses"), "x").unwrap();
        let gone = std::sync::Arc::make_mut(&mut season.photos)
            .remove(0)
            .sha256;
        shelf.tidy(&season);
        let found = |sha256| shelf.find(&PictureKey { sha256, ..key(0) }).is_some();
        assert!(!found(gone));
        assert!(place.path().join("somebody-elses").is_file());
        let mut taken_away = 0;
        for photo in season.photos.iter() {
            assert_eq!(found(photo.sha256), !hidden(&season, &photo.path));
            taken_away += usize::from(!found(photo.sha256));
        }
        assert!(taken_away > 0);
    }
}
