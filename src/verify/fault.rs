//! What can be wrong with an archive, in words that say which file and what.
//!
//! A fault's name is permanent: programs may rely on it.

use std::fmt;

use serde::Serialize;
use serde::ser::SerializeStruct;

use crate::archive::profile::NameFault;
use crate::archive::tree::{Hash, hex};

/// One reason why an archive is not whole. Paths are those below the base directory.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fault {
    /// A file's bytes are not those that the list `by` states.
    Changed { path: String, by: String },
    /// A file that the list `by` states isn't there.
    Missing { path: String, by: String },
    /// A file is there that no list states.
    Added { path: String },
    /// A file that should be `from` is there as `to`, with the same bytes.
    Renamed { from: String, to: String },
    /// A file's bytes don't fit the check sum or the size that the ZIP states.
    Damaged { path: String, what: String },
    /// The ZIP, or the bag as a whole, isn't built as it must be. `place` says where.
    Structure { place: String, what: String },
    /// Something made to mislead or harm a reader; it was not looked into further.
    Refused { place: String, what: String },
    /// A tag file doesn't say what it must, or not in the way it must.
    TagFile { path: String, what: String },
    /// A name that the profile forbids.
    BadName { path: String, fault: NameFault },
    /// evidence.json disagrees with the files, the manifest or itself.
    Tree { path: String, what: String },
    /// A signature or a time stamp doesn't hold.
    Seal { path: String, what: String },
    /// A proof for one file doesn't hold.
    Proof { what: String },
    /// The root over the files isn't the one that was handed in.
    WrongRoot { expected: Hash, found: Option<Hash> },
    /// The fingerprint isn't the one that was handed in.
    WrongFingerprint { expected: Hash, found: Option<Hash> },
    /// The tree has another number of leaves than was handed in.
    WrongLeaves { expected: usize, found: usize },
}

impl Fault {
    /// The permanent name.
    pub fn name(&self) -> &'static str {
        match self {
            Self::Changed { .. } => "changed",
            Self::Missing { .. } => "missing",
            Self::Added { .. } => "added",
            Self::Renamed { .. } => "renamed",
            Self::Damaged { .. } => "damaged",
            Self::Structure { .. } => "structure",
            Self::Refused { .. } => "refused",
            Self::TagFile { .. } => "tag-file",
            Self::BadName { .. } => "bad-name",
            Self::Tree { .. } => "tree",
            Self::Seal { .. } => "seal",
            Self::Proof { .. } => "proof",
            Self::WrongRoot { .. } => "wrong-root",
            Self::WrongFingerprint { .. } => "wrong-fingerprint",
            Self::WrongLeaves { .. } => "wrong-leaves",
        }
    }

    /// The file, or the part of the archive, that the fault is about.
    pub fn place(&self) -> &str {
        match self {
            Self::Changed { path, .. }
            | Self::Missing { path, .. }
            | Self::Added { path }
            | Self::Renamed { from: path, .. }
            | Self::Damaged { path, .. }
            | Self::TagFile { path, .. }
            | Self::BadName { path, .. }
            | Self::Seal { path, .. }
            | Self::Tree { path, .. } => path,
            Self::Structure { place, .. } | Self::Refused { place, .. } => place,
            Self::Proof { .. } => "the proof",
            Self::WrongRoot { .. } | Self::WrongLeaves { .. } => "the archive",
            Self::WrongFingerprint { .. } => crate::archive::profile::TAG_MANIFEST,
        }
    }

    pub(super) fn structure(place: impl Into<String>, what: impl Into<String>) -> Self {
        Self::Structure {
            place: place.into(),
            what: what.into(),
        }
    }

    pub(super) fn refused(place: impl Into<String>, what: impl Into<String>) -> Self {
        Self::Refused {
            place: place.into(),
            what: what.into(),
        }
    }

    pub(super) fn tag_file(path: impl Into<String>, what: impl Into<String>) -> Self {
        Self::TagFile {
            path: path.into(),
            what: what.into(),
        }
    }
}

/// A name from an archive, safe to show: control characters and the like are written out.
fn shown(name: &str) -> impl fmt::Display + '_ {
    name.escape_debug()
}

impl fmt::Display for Fault {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let place = shown(self.place());
        match self {
            Self::Changed { by, .. } => write!(
                out,
                "{place}: its content was changed; it is not what {} states",
                shown(by)
            ),
            Self::Missing { by, .. } => {
                write!(out, "{place}: it is missing; {} states it", shown(by))
            }
            Self::Added { .. } => write!(out, "{place}: it was added; no list states it"),
            Self::Renamed { to, .. } => write!(out, "{place}: it was renamed to {}", shown(to)),
            Self::Damaged { what, .. }
            | Self::Structure { what, .. }
            | Self::TagFile { what, .. }
            | Self::Seal { what, .. }
            | Self::Proof { what }
            | Self::Tree { what, .. } => write!(out, "{place}: {what}"),
            Self::Refused { what, .. } => write!(out, "{place}: refused: {what}"),
            Self::BadName { fault, .. } => write!(out, "{place}: {fault}"),
            Self::WrongRoot { expected, found } => write!(
                out,
                "the root is {}, not {} as you gave it: the archive is another one, or was made anew after a change",
                stated(found.as_ref()),
                hex(expected)
            ),
            Self::WrongFingerprint { expected, found } => write!(
                out,
                "the fingerprint is {}, not {} as you gave it: the archive is another one, or was made anew after a change",
                stated(found.as_ref()),
                hex(expected)
            ),
            Self::WrongLeaves { expected, found } => write!(
                out,
                "the tree has {found} leaves, not {expected} as you gave it: it is of other files, or one item without a name stands for \
                 several"
            ),
        }
    }
}

fn stated(hash: Option<&Hash>) -> String {
    hash.map_or_else(|| "not to be had".to_owned(), |hash| hex(hash))
}

impl Serialize for Fault {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut fields = serializer.serialize_struct("Fault", 4)?;
        fields.serialize_field("name", self.name())?;
        fields.serialize_field("place", self.place())?;
        if let Self::Renamed { to, .. } = self {
            fields.serialize_field("to", to)?;
        } else {
            fields.skip_field("to")?;
        }
        fields.serialize_field("message", &self.to_string())?;
        fields.end()
    }
}

/// Something to know that doesn't make an archive less whole.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Warning {
    /// The bag is of another maker: there is no root to compare.
    OtherMaker,
    /// The bag's version is older than RFC 8493 and is judged by its older rules.
    OldVersion { version: String },
    /// fetch.txt lists files to be fetched from elsewhere; nothing was fetched.
    FetchList { files: usize },
    /// No tag manifest: the tag files, bag-info.txt among them, can be changed unnoticed.
    NoTagManifest,
    /// A tag file that no tag manifest covers.
    Uncovered { path: String },
    /// The only check sums are of a kind that somebody skilled can outwit.
    WeakSums,
    /// Written in a way that the standard discourages or leaves open.
    Style { path: String, what: String },
    /// The files stand at the top of the ZIP instead of in one folder (RFC 8493, section 4).
    NoBaseFolder,
    /// Two names that are the same where capitals don't count.
    SameButCase { path: String, with: String },
    /// The ZIP carries a comment, which nothing protects.
    Comment,
}

impl Warning {
    /// The permanent name.
    pub fn name(&self) -> &'static str {
        match self {
            Self::OtherMaker => "other-maker",
            Self::OldVersion { .. } => "old-version",
            Self::FetchList { .. } => "fetch-list",
            Self::NoTagManifest => "no-tag-manifest",
            Self::Uncovered { .. } => "uncovered",
            Self::WeakSums => "weak-sums",
            Self::Style { .. } => "style",
            Self::NoBaseFolder => "no-base-folder",
            Self::SameButCase { .. } => "same-but-case",
            Self::Comment => "comment",
        }
    }

    pub(super) fn style(path: impl Into<String>, what: impl Into<String>) -> Self {
        Self::Style {
            path: path.into(),
            what: what.into(),
        }
    }
}

impl fmt::Display for Warning {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::OtherMaker => write!(
                out,
                "this is a bag of another maker, judged by RFC 8493 alone; it has no root to compare with a report"
            ),
            Self::OldVersion { version } => write!(
                out,
                "the bag says version {version} of BagIt and is judged by the rules before 1.0"
            ),
            Self::FetchList { files } => write!(
                out,
                "fetch.txt lists {files} files kept elsewhere; windrow fetches nothing and judges what is here"
            ),
            Self::NoTagManifest => write!(
                out,
                "there is no tag manifest, so bag-info.txt and the manifests themselves are protected by nothing"
            ),
            Self::Uncovered { path } => {
                write!(out, "{}: no tag manifest covers it", shown(path))
            }
            Self::WeakSums => write!(
                out,
                "only MD5 or SHA-1 sums are there: they show accidents, but not a change made on purpose"
            ),
            Self::Style { path, what } => write!(out, "{}: {what}", shown(path)),
            Self::NoBaseFolder => write!(
                out,
                "the bag stands at the top of the ZIP instead of in one folder (RFC 8493, section 4)"
            ),
            Self::SameButCase { path, with } => write!(
                out,
                "{}: the same name as {} where capitals don't count",
                shown(path),
                shown(with)
            ),
            Self::Comment => write!(out, "the ZIP carries a comment, which nothing protects"),
        }
    }
}

impl Serialize for Warning {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut fields = serializer.serialize_struct("Warning", 2)?;
        fields.serialize_field("name", self.name())?;
        fields.serialize_field("message", &self.to_string())?;
        fields.end()
    }
}
