//! The plates' pictures: which may be shown, and small upright copies of those.
//!
//! Takes the plates and what photos.csv says of each photo; gives bytes without metadata, by photo. A photo that is withheld, or
//! whose people did not consent, is never opened.

use std::collections::BTreeMap;
use std::sync::atomic::{AtomicUsize, Ordering};

use rayon::prelude::*;

use super::input::{Plates, Step};
use crate::photo::thumbnail;
use crate::season::{Season, Showing, showing};

/// Longest edge in pixels: a plate is 232 points wide, and 250 pixels an inch are as fine as print shows.
const LONGEST_EDGE: u32 = 810;

/// A picture for print, or why there is none.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Picture {
    Shown {
        jpeg: Vec<u8>,
        width: u32,
        height: u32,
    },
    /// A sentence for the reader.
    Absent(String),
}

/// All pictures of the plates by the path of their photo.
pub fn gather(
    season: &Season,
    plates: &Plates,
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
    let total = wanted.len();
    let done = AtomicUsize::new(0);
    wanted
        .par_iter()
        .map(|path| {
            let picture = picture(season, path);
            let done = done.fetch_add(1, Ordering::Relaxed) + 1;
            progress(Step::Pictures { done, total });
            ((*path).to_owned(), picture)
        })
        .collect()
}

/// Why a photo must not be shown, if it must not.
pub fn kept_back(season: &Season, path: &str) -> Option<String> {
    match showing(season, path, None) {
        Showing::Never(reason) => Some(reason),
        _ => None,
    }
}

fn picture(season: &Season, path: &str) -> Picture {
    if let Some(reason) = kept_back(season, path) {
        return Picture::Absent(reason);
    }
    // By way of the list of files, so that no path leads out of the folder.
    let file = season
        .files
        .binary_search_by(|entry| entry.path.as_str().cmp(path))
        .ok()
        .and_then(|at| season.files.get(at));
    let Some(file) = file else {
        return Picture::Absent("This picture is not in the season folder.".to_owned());
    };
    let orientation = season
        .photos
        .iter()
        .find(|photo| photo.path == path)
        .map_or(1, |photo| photo.orientation);
    match thumbnail::upright(&file.on_disk, orientation, LONGEST_EDGE) {
        Ok(small) => Picture::Shown {
            jpeg: small.jpeg,
            width: small.width,
            height: small.height,
        },
        Err(reason) => Picture::Absent(format!("This picture {reason}.")),
    }
}
