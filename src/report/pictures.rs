//! The plates' pictures: which may be shown, and small upright copies of those.
//!
//! Takes the plates and what photos.csv says of each photo; gives bytes without metadata, by photo. A photo that is withheld, or
//! whose people did not consent, is never opened.

use std::collections::BTreeMap;
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

use rayon::prelude::*;

use super::choose::one_in;
use super::input::{Plates, Step};
use crate::photo::thumbnail::{self, Thumbnail, ThumbnailError};
use crate::season::{Season, Showing, showing};
use crate::words;
use crate::words::Words;

/// Longest edge in pixels: a plate is 232 points wide, and 250 pixels an inch are as fine as print shows.
const LONGEST_EDGE: u32 = 810;

/// What a small copy follows from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct PictureKey {
    /// SHA-256 of the photo's bytes.
    pub sha256: [u8; 32],
    /// As EXIF has it.
    pub orientation: u8,
    /// Pixels.
    pub longest_edge: u32,
}

/// Where small copies outlive the process. Called from several threads.
pub trait Shelf: Sync + Send {
    /// A copy that was kept under this key, byte for byte.
    fn find(&self, key: &PictureKey) -> Option<Thumbnail>;
    /// Keeps a copy, or doesn't.
    fn keep(&self, key: &PictureKey, copy: &Thumbnail);
}

/// Pictures that were made already, so that an unchanged photo is drawn once.
#[derive(Default)]
pub struct Kept {
    in_this_process: Mutex<BTreeMap<PictureKey, Picture>>,
    shelf: Option<Box<dyn Shelf>>,
}

impl Kept {
    /// With what earlier processes drew.
    pub fn on(shelf: impl Shelf + 'static) -> Self {
        Self {
            shelf: Some(Box::new(shelf)),
            ..Self::default()
        }
    }

    /// The picture of this key, drawn by `draw` if nobody did before.
    fn or_drawn(
        &self,
        key: PictureKey,
        draw: impl FnOnce() -> Result<Thumbnail, ThumbnailError>,
    ) -> Picture {
        // Another thread that died leaves a map that is still whole; without it, a picture is drawn again.
        let here = self.in_this_process.lock();
        if let Some(picture) = here.ok().and_then(|map| map.get(&key).cloned()) {
            return picture;
        }
        let shelved = self.shelf.as_ref().and_then(|shelf| shelf.find(&key));
        let picture = match shelved {
            Some(copy) => Picture::from(Ok(copy)),
            None => {
                let drawn = draw();
                if let (Some(shelf), Ok(copy)) = (&self.shelf, &drawn) {
                    shelf.keep(&key, copy);
                }
                Picture::from(drawn)
            }
        };
        if let Ok(mut map) = self.in_this_process.lock() {
            map.insert(key, picture.clone());
        }
        picture
    }
}

/// Longest edge of a picture on a contact sheet: 72 points wide, as fine as a screen shows it.
const CONTACT_EDGE: u32 = 160;

/// A picture for print, or why there is none.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Picture {
    Shown {
        jpeg: Vec<u8>,
        width: u32,
        height: u32,
    },
    /// A sentence for the reader.
    Absent(Words),
}

impl From<Result<Thumbnail, ThumbnailError>> for Picture {
    fn from(drawn: Result<Thumbnail, ThumbnailError>) -> Self {
        match drawn {
            Ok(small) => Self::Shown {
                jpeg: small.jpeg,
                width: small.width,
                height: small.height,
            },
            Err(error) => Self::Absent(why(&error)),
        }
    }
}

/// All pictures of the plates by the path of their photo.
pub fn gather(
    season: &Season,
    plates: &Plates,
    kept: Option<&Kept>,
    progress: &(dyn Fn(Step) + Sync),
) -> BTreeMap<String, Picture> {
    let mut wanted: Vec<&str> = plates
        .pairs
        .iter()
        .flat_map(|pair| {
            [&pair.before, &pair.after]
                .into_iter()
                .chain(&pair.other_years)
                .map(|shot| shot.photo.as_str())
        })
        .chain(plates.singles.iter().map(|single| single.photo.as_str()))
        .collect();
    wanted.sort_unstable();
    wanted.dedup();
    all(season, &wanted, LONGEST_EDGE, kept, progress)
}

/// The contact sheets' pictures, of all photos that the schedule lists, in the order of their paths.
pub fn contact(
    season: &Season,
    kept: Option<&Kept>,
    progress: &(dyn Fn(Step) + Sync),
) -> BTreeMap<String, Picture> {
    let listed = season.photos.iter().step_by(one_in(season.photos.len()));
    let wanted: Vec<&str> = listed.map(|photo| photo.path.as_str()).collect();
    all(season, &wanted, CONTACT_EDGE, kept, progress)
}

fn all(
    season: &Season,
    wanted: &[&str],
    longest_edge: u32,
    kept: Option<&Kept>,
    progress: &(dyn Fn(Step) + Sync),
) -> BTreeMap<String, Picture> {
    let total = wanted.len();
    let done = AtomicUsize::new(0);
    wanted
        .par_iter()
        .map(|path| {
            let picture = picture(season, path, longest_edge, kept);
            let done = done.fetch_add(1, Ordering::Relaxed) + 1;
            progress(Step::Pictures { done, total });
            ((*path).to_owned(), picture)
        })
        .collect()
}

/// Why a photo must not be shown, if it must not.
pub fn kept_back(season: &Season, path: &str) -> Option<Words> {
    match showing(season, path, None) {
        Showing::Never(reason) => Some(reason),
        _ => None,
    }
}

/// Why a photo could not be made small; what the system or a decoder said stands as it is.
fn why(error: &ThumbnailError) -> Words {
    match error {
        ThumbnailError::Io(error) => words!(
            "This picture could not be read: {error}.",
            error = error.to_string()
        ),
        ThumbnailError::NotAPicture => words!("This picture is not a picture of a known format."),
        ThumbnailError::TooLong { bytes } => words!(
            "This picture has {bytes} bytes, too many to draw safely.",
            bytes = *bytes
        ),
        ThumbnailError::TooLarge { width, height } => words!(
            "This picture has {width} by {height} pixels, too many to draw safely.",
            width = *width,
            height = *height
        ),
        ThumbnailError::Broken(error) => {
            words!("This picture could not be drawn: {error}.", error)
        }
    }
}

fn picture(season: &Season, path: &str, longest_edge: u32, kept: Option<&Kept>) -> Picture {
    if let Some(reason) = kept_back(season, path) {
        return Picture::Absent(reason);
    }
    // By way of the list of files, so that no path leads out of the folder.
    let Some(file) = season.file(path) else {
        return Picture::Absent(words!("This picture is not in the season folder."));
    };
    let photo = season.photo(path);
    let orientation = photo.map_or(1, |photo| photo.orientation);
    let draw = || thumbnail::upright(&file.on_disk(), orientation, longest_edge);
    match (kept, photo) {
        (Some(kept), Some(photo)) => {
            let key = PictureKey {
                sha256: photo.sha256,
                orientation,
                longest_edge,
            };
            kept.or_drawn(key, draw)
        }
        _ => Picture::from(draw()),
    }
}
