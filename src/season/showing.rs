//! Who may see a photo: what photos.csv says of consent, of people under age, and of what is withheld.
//!
//! Takes the notes, gives one of three answers; docs/photos.md states the rules. The strictest of several rows counts. Must not open a
//! photo: who is in it, only a person can say.

use super::{Consent, PhotoNote, Role, Season};
use crate::words;
use crate::words::Words;

/// Who may see a photo, the widest circle first.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Showing {
    /// Everyone.
    Anyone,
    /// Those who get the closed editions (funder, board, auditor), not the public; with the reason.
    Closed(Words),
    /// Nobody, in any edition; with the reason, as a sentence for the reader.
    Never(Words),
}

impl Showing {
    /// May it stand in the editions that aren't public?
    pub fn in_closed_editions(&self) -> bool {
        !matches!(self, Self::Never(_))
    }

    /// May it stand in what everyone reads?
    pub fn in_public(&self) -> bool {
        *self == Self::Anyone
    }
}

/// Who may see a photo, by its path. `role` is what it shows, where that is known.
pub fn showing(season: &Season, path: &str, role: Option<Role>) -> Showing {
    let notes = season.photo_notes.on(path);
    notes
        .iter()
        .map(|note| of_note(note, role))
        .max()
        .unwrap_or_else(|| of_silence(role))
}

fn of_note(note: &PhotoNote, role: Option<Role>) -> Showing {
    if note.withheld {
        return Showing::Never(match &note.reason {
            Some(reason) => words!("This picture is withheld: {reason}", reason),
            None => words!("This picture is withheld."),
        });
    }
    match note.consent {
        Some(Consent::No) => {
            Showing::Never(words!("People in this picture did not agree to be shown."))
        }
        Some(Consent::Yes) => Showing::Anyone,
        _ if note.minors == Some(true) => Showing::Never(words!(
            "There are people under age in this picture, and no consent is recorded."
        )),
        Some(Consent::Unknown) => Showing::Closed(words!(
            "It is not known whether the people in this picture agreed to be shown."
        )),
        None => of_silence(role.or(note.role)),
    }
}

/// Nothing is said of consent: a view or a heap needs none, a crew does, and a picture that nobody described may show anyone.
fn of_silence(role: Option<Role>) -> Showing {
    match role {
        Some(Role::Before | Role::After | Role::Catch | Role::Disposal | Role::Other) => {
            Showing::Anyone
        }
        Some(Role::Crew) => Showing::Closed(words!(
            "No consent of the people in this picture is recorded."
        )),
        None => Showing::Closed(words!("Nobody has said who is in this picture.")),
    }
}
