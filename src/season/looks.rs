//! What each photo looks like, for finding the same picture twice.
//!
//! Takes the season's photos; gives a [`Look`] a photo, from the small copy that its camera put into it where there is one, else from
//! the picture itself, on all processors. A separate step after reading: figures don't need it. Must not judge.

use rayon::prelude::*;

use super::{FileEntry, Season, inventory};
use crate::photo::likeness::Look;
use crate::photo::{self, Photo};

/// How looks are found. Called from several threads.
pub trait Looker: Sync {
    /// A photo's look; `None` where it shows too little, or can't be drawn.
    fn look(&self, file: &FileEntry, photo: &Photo) -> Option<Look>;
}

/// Looks at each photo's file.
pub struct FromFile;

impl Looker for FromFile {
    fn look(&self, file: &FileEntry, _: &Photo) -> Option<Look> {
        // A photo that can't be read has its own finding.
        photo::read_and_look(&file.on_disk(), &file.path, |_| None)
            .ok()?
            .1
    }
}

impl Season {
    /// Fills [`Season::looks`].
    pub fn look_at_photos(&mut self, looker: &dyn Looker) {
        let files = &self.files;
        self.looks = self
            .photos
            .par_iter()
            .map(|photo| {
                let file = inventory::file_at(files, &photo.path)?;
                looker.look(file, photo)
            })
            .collect();
    }
}
