//! A text that many records name and that is held once.
//!
//! The path of a photo stands in the list of files, in its record, in each finding about it and in the sentences of that finding, and
//! there may be a hundred thousand photos; a table's name stands in the place of each of its rows under each figure. A copy of such
//! a text is a pointer. Knows no other room.

use std::borrow::Borrow;
use std::fmt;
use std::ops::Deref;
use std::sync::Arc;

use serde::{Deserialize, Deserializer, Serialize, Serializer};

/// Text that is copied by pointing at it. Compares, sorts, hashes, prints and serialises as the text that it is.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Shared(Arc<str>);

impl Shared {
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl Default for Shared {
    fn default() -> Self {
        Self(Arc::from(""))
    }
}

impl Deref for Shared {
    type Target = str;

    fn deref(&self) -> &str {
        &self.0
    }
}

// Equal values hash and sort as their texts do, as the trait asks.
impl Borrow<str> for Shared {
    fn borrow(&self) -> &str {
        &self.0
    }
}

impl AsRef<str> for Shared {
    fn as_ref(&self) -> &str {
        &self.0
    }
}

impl From<&str> for Shared {
    fn from(text: &str) -> Self {
        Self(text.into())
    }
}

impl From<String> for Shared {
    fn from(text: String) -> Self {
        Self(text.into())
    }
}

impl From<&String> for Shared {
    fn from(text: &String) -> Self {
        text.as_str().into()
    }
}

impl From<&Shared> for Shared {
    fn from(text: &Shared) -> Self {
        text.clone()
    }
}

impl From<Shared> for String {
    fn from(text: Shared) -> Self {
        text.as_str().to_owned()
    }
}

impl From<&Shared> for String {
    fn from(text: &Shared) -> Self {
        text.as_str().to_owned()
    }
}

impl fmt::Debug for Shared {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Debug::fmt(self.as_str(), f)
    }
}

impl fmt::Display for Shared {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(self.as_str(), f)
    }
}

impl PartialEq<str> for Shared {
    fn eq(&self, other: &str) -> bool {
        self.as_str() == other
    }
}

impl PartialEq<&str> for Shared {
    fn eq(&self, other: &&str) -> bool {
        self.as_str() == *other
    }
}

impl PartialEq<String> for Shared {
    fn eq(&self, other: &String) -> bool {
        self.as_str() == other
    }
}

impl PartialEq<Shared> for String {
    fn eq(&self, other: &Shared) -> bool {
        self == other.as_str()
    }
}

impl PartialEq<Shared> for str {
    fn eq(&self, other: &Shared) -> bool {
        self == other.as_str()
    }
}

impl Serialize for Shared {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self)
    }
}

impl<'a> Deserialize<'a> for Shared {
    fn deserialize<D: Deserializer<'a>>(from: D) -> Result<Self, D::Error> {
        String::deserialize(from).map(Self::from)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_copy_takes_no_room_and_reads_as_the_text() {
        let text = Shared::from("photos/a.jpg");
        let copy = text.clone();
        assert!(Arc::ptr_eq(&text.0, &copy.0));
        assert_eq!(copy, "photos/a.jpg");
        assert_eq!(format!("{copy} {copy:?}"), "photos/a.jpg \"photos/a.jpg\"");
        assert_eq!(serde_json::to_string(&copy).unwrap(), "\"photos/a.jpg\"");
        let back: Shared = serde_json::from_str("\"photos/a.jpg\"").unwrap();
        assert_eq!(back, text);
    }
}
