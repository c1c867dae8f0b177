//! Which row of photos.csv speaks of a photo.
//!
//! Takes rows and paths; gives the first row that names the photo by its path below the season folder or below photos/.

use std::collections::BTreeMap;

use crate::season::PhotoNote;

/// Rows of photos.csv by the file that they name.
pub(super) struct Notes<'a>(BTreeMap<&'a str, (usize, &'a PhotoNote)>);

impl<'a> Notes<'a> {
    pub(super) fn of(notes: &'a [PhotoNote]) -> Self {
        let mut by_file = BTreeMap::new();
        for (number, note) in notes.iter().enumerate() {
            if let Some(file) = note.file.as_deref() {
                by_file.entry(file).or_insert((number, note));
            }
        }
        Self(by_file)
    }

    /// The first row that names a photo by its path below the season folder or below photos/.
    pub(super) fn on(&self, photo: &str) -> Option<&'a PhotoNote> {
        let below = photo.strip_prefix("photos/");
        std::iter::once(photo)
            .chain(below)
            .filter_map(|name| self.0.get(name))
            .min_by_key(|(number, _)| *number)
            .map(|(_, note)| *note)
    }
}

/// What photos.csv says of a photo, by its path below the season folder or below photos/.
pub fn note_on<'a>(notes: &'a [PhotoNote], photo: &str) -> Option<&'a PhotoNote> {
    notes.iter().find(|note| {
        note.file
            .as_deref()
            .is_some_and(|file| file == photo || photo.strip_prefix("photos/") == Some(file))
    })
}
