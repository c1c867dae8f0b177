//! The paths of an archive among each other.
//!
//! Takes path after path, gives the clash of one with another that came before. What a path may be by itself is the
//! [`profile`](super::profile)'s; shared with the verifier.

use std::collections::HashMap;
use std::hash::{Hash, Hasher};

use unicode_normalization::UnicodeNormalization;

use super::profile::NameFault;

/// What two names have in common if a file system that ignores case takes them for one: each character in upper case,
/// then in lower case (both by Unicode's full mappings), then the whole in form C.
pub fn fold(path: &str) -> String {
    path.chars()
        .flat_map(char::to_uppercase)
        .flat_map(char::to_lowercase)
        .nfc()
        .collect()
}

/// A path, or its beginning, that equals whatever a file system that ignores case takes for the same. There may be a hundred thousand:
/// the folded text is made to be compared, and not held.
#[derive(Debug, Clone, Copy)]
struct Spelling<'a>(&'a str);

impl PartialEq for Spelling<'_> {
    fn eq(&self, other: &Self) -> bool {
        self.0 == other.0 || fold(self.0) == fold(other.0)
    }
}

impl Eq for Spelling<'_> {}

impl Hash for Spelling<'_> {
    fn hash<H: Hasher>(&self, state: &mut H) {
        fold(self.0).hash(state);
    }
}

/// Judges paths among each other: no two the same after folding, no folder spelt in two ways, no file that is also a
/// folder.
#[derive(Debug, Default)]
pub struct Names<'a> {
    /// Each file and folder as it was first spelt, and whether it is a folder. Only looked up, never walked through.
    known: HashMap<Spelling<'a>, bool>,
}

impl<'a> Names<'a> {
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds a file.
    ///
    /// # Errors
    /// The clash with a path added before.
    pub fn add(&mut self, path: &'a str) -> Result<(), NameFault> {
        for (slash, _) in path.match_indices('/') {
            // A slash is one byte, so the path splits there.
            self.meet(path.get(..slash).unwrap_or_default(), true)?;
        }
        self.meet(path, false)
    }

    fn meet(&mut self, path: &'a str, folder: bool) -> Result<(), NameFault> {
        let Some((Spelling(spelling), was_folder)) = self.known.get_key_value(&Spelling(path))
        else {
            self.known.insert(Spelling(path), folder);
            return Ok(());
        };
        // Most are folders that many files lie in, spelt alike.
        if *was_folder && folder && *spelling == path {
            return Ok(());
        }
        let with = (*spelling).to_owned();
        Err(if *was_folder == folder {
            NameFault::Collides { with }
        } else {
            NameFault::FileAndFolder { with }
        })
    }
}

impl NameFault {
    /// The same of paths that were added without their beginning.
    #[must_use]
    pub fn below(self, beginning: &str) -> Self {
        let with = |with: String| [beginning, with.as_str()].concat();
        match self {
            Self::Collides { with: path } => Self::Collides { with: with(path) },
            Self::FileAndFolder { with: path } => Self::FileAndFolder { with: with(path) },
            other => other,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_clash_when_only_case_differs_at_any_depth() {
        let mut names = Names::new();
        assert_eq!(names.add("data/season/Photos/a.jpg"), Ok(()));
        assert_eq!(names.add("data/season/Photos/b.jpg"), Ok(()));
        assert_eq!(
            names.add("data/season/Photos/A.JPG"),
            Err(NameFault::Collides {
                with: "data/season/Photos/a.jpg".into()
            })
        );
        assert_eq!(
            names.add("data/season/photos/c.jpg"),
            Err(NameFault::Collides {
                with: "data/season/Photos".into()
            })
        );
        assert_eq!(
            names.add("data/season/Photos"),
            Err(NameFault::FileAndFolder {
                with: "data/season/Photos".into()
            })
        );
        assert_eq!(
            names.add("data/season/Photos/a.jpg/x"),
            Err(NameFault::FileAndFolder {
                with: "data/season/Photos/a.jpg".into()
            })
        );
        // An exact repeat is a clash as well.
        assert!(names.add("data/season/Photos/b.jpg").is_err());
    }

    #[test]
    fn folding_goes_beyond_ascii() {
        assert_eq!(fold("STRASSE"), fold("straße"));
        assert_eq!(fold("ΣΊΣΥΦΟΣ"), fold("σίσυφος"));
        assert_ne!(fold("a"), fold("ä"));
    }
}
