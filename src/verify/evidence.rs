//! What the profile asks of an evidence archive beyond RFC 8493: names and places, tag files, and the hash tree.
//!
//! Takes the files and what reading them gave; gives faults, and the root over the files as they are.

use std::collections::BTreeSet;

use serde::Deserialize;

use super::VerifyError;
use super::bag::{Bag, Findings, Readings};
use super::digest::Algorithm;
use super::fault::Fault;
use super::files::{Content, Files};
use super::manifest::Manifest;
use super::text;
use crate::archive::names::Names;
use crate::archive::profile;
use crate::archive::tree::{self, Hash, Leaf, TreeBuilder};

/// evidence.json. Unknown fields are refused: they could say something that nobody checks.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Document {
    format: String,
    tree: String,
    root: String,
    // The field has to be there; what it holds may be null.
    #[serde(deserialize_with = "Option::deserialize")]
    previous: Option<String>,
    leaves: Vec<DocumentLeaf>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct DocumentLeaf {
    path: Option<String>,
    size: Option<u64>,
    sha256: Option<String>,
    leaf: Option<String>,
    withheld: Option<String>,
}

impl DocumentLeaf {
    /// One of the three forms that the profile knows. None for anything between.
    fn read(self) -> Option<TreeLeaf> {
        match (self.path, self.size, self.sha256, self.leaf, self.withheld) {
            (Some(path), Some(size), Some(sha256), None, withheld) => {
                let sha256 = parse_lower(&sha256)?;
                let leaf = Leaf { path, size, sha256 };
                Some(match withheld {
                    None => TreeLeaf::Present(leaf),
                    Some(reason) => TreeLeaf::Withheld { leaf, reason },
                })
            }
            (None, None, None, Some(hash), Some(reason)) => Some(TreeLeaf::Hidden {
                hash: parse_lower(&hash)?,
                reason,
            }),
            _ => None,
        }
    }
}

/// One leaf as evidence.json lists it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum TreeLeaf {
    /// Its file is in the archive.
    Present(Leaf),
    /// Its file was left out of this copy.
    Withheld { leaf: Leaf, reason: String },
    /// Its file and all about it but the leaf's hash were left out of this copy.
    Hidden { hash: Hash, reason: String },
}

impl TreeLeaf {
    /// The leaf's hash in the tree.
    pub fn hash(&self) -> Hash {
        match self {
            Self::Present(leaf) | Self::Withheld { leaf, .. } => leaf.hash(),
            Self::Hidden { hash, .. } => *hash,
        }
    }

    /// Path, size and content's hash, where they are told.
    pub fn named(&self) -> Option<&Leaf> {
        match self {
            Self::Present(leaf) | Self::Withheld { leaf, .. } => Some(leaf),
            Self::Hidden { .. } => None,
        }
    }

    fn reason(&self) -> Option<&str> {
        match self {
            Self::Present(_) => None,
            Self::Withheld { reason, .. } | Self::Hidden { reason, .. } => Some(reason),
        }
    }
}

fn tree_fault(path: &str, what: impl Into<String>) -> Fault {
    Fault::Tree {
        path: path.into(),
        what: what.into(),
    }
}

/// Names and places of all files, and the set of tag files.
pub(super) fn judge_names(files: &Files, findings: &mut Findings) {
    let mut names = Names::new();
    for (path, _) in files.payload() {
        let judged = profile::check_path(path)
            .and_then(|()| profile::check_place(path))
            .and_then(|()| names.add(path));
        if let Err(fault) = judged {
            findings.faults.push(Fault::BadName {
                path: path.into(),
                fault,
            });
        }
    }
    for path in profile::TAG_FILES {
        if !files.contains(path) {
            findings.faults.push(Fault::Missing {
                path: path.into(),
                by: "the profile".into(),
            });
        }
    }
    for (path, stored) in files.tags() {
        if profile::SEAL_FILES.contains(&path) {
            // Seals are judged by themselves.
        } else if !profile::TAG_FILES.contains(&path) {
            findings.faults.push(Fault::Added { path: path.into() });
        } else if [profile::HOW_TO_VERIFY, profile::VERIFY_PAGE].contains(&path)
            && stored.size > profile::MAX_TEXT_BYTES
        {
            findings
                .faults
                .push(Fault::tag_file(path, "it is too long"));
        }
    }
}

/// The tag files' one form, and what bag-info.txt must say.
pub(super) fn judge_tag_files(files: &Files, bag: &Bag, findings: &mut Findings) {
    for manifest in bag.manifests.iter().chain(&bag.tag_manifests) {
        if !manifest.canonical {
            findings.faults.push(Fault::tag_file(
                &manifest.path,
                "it is not written as the profile says: sorted, small letters, two spaces, one line feed",
            ));
        }
    }
    let tag_manifests = bag.tag_manifests.iter();
    for manifest in tag_manifests.filter(|manifest| manifest.path == profile::TAG_MANIFEST) {
        let must = profile::TAG_FILES
            .iter()
            .filter(|path| **path != profile::TAG_MANIFEST);
        for path in must.filter(|path| !manifest.lines.contains_key(**path)) {
            findings.faults.push(Fault::tag_file(
                &manifest.path,
                format!("it does not list {path}"),
            ));
        }
    }
    let labels = bag.description.iter().map(|(label, _)| label.as_str());
    if files.contains(profile::BAG_INFO) && !labels.eq(profile::LABELS) {
        findings.faults.push(Fault::tag_file(
            profile::BAG_INFO,
            "its labels are not those of the profile, each once and in order",
        ));
    }
    let names_profile = bag.description.iter().any(|(label, value)| {
        label == profile::LABEL_PROFILE && value == profile::PROFILE_IDENTIFIER
    });
    if !names_profile {
        findings.faults.push(Fault::tag_file(
            profile::BAG_INFO,
            "it does not name the profile",
        ));
    }
}

/// Compares evidence.json with the manifest, the files and bag-info.txt.
///
/// # Errors
/// The machine's failure.
pub(super) fn judge_tree(
    files: &Files,
    bag: &Bag,
    findings: &mut Findings,
) -> Result<(), VerifyError> {
    let Some(stored) = files.list.get(profile::EVIDENCE) else {
        return Ok(());
    };
    let content = files.read_whole(profile::EVIDENCE, stored, profile::MAX_LIST_BYTES)?;
    let Content::Good(content) = content else {
        return Ok(());
    };
    let Some(bytes) = content else {
        findings
            .faults
            .push(Fault::refused(profile::EVIDENCE, "it is too long"));
        return Ok(());
    };
    let document: Document = match serde_json::from_slice(&bytes) {
        Ok(document) => document,
        Err(error) => {
            findings.faults.push(tree_fault(
                profile::EVIDENCE,
                format!("it can't be read: {}", text::shown(error)),
            ));
            return Ok(());
        }
    };
    drop(bytes);
    let faults = &mut findings.faults;
    if document.format != profile::EVIDENCE_FORMAT || document.tree != profile::TREE_NAME {
        faults.push(tree_fault(
            profile::EVIDENCE,
            "it is in another format, or of another tree, than the profile's",
        ));
    }
    let number = document.leaves.len();
    let leaves: Vec<TreeLeaf> = document
        .leaves
        .into_iter()
        .filter_map(DocumentLeaf::read)
        .collect();
    if leaves.len() != number {
        faults.push(tree_fault(
            profile::EVIDENCE,
            "one of its leaves is in none of the forms that the profile knows",
        ));
    }
    let named = leaves.iter().filter_map(TreeLeaf::named);
    if !named.is_sorted_by(|one, other| one.path < other.path) {
        faults.push(tree_fault(
            profile::EVIDENCE,
            "its leaves are not in order, or one is there twice",
        ));
    }
    let root = judge_leaves(files, bag, &leaves, faults);
    judge_withheld(files, bag, &leaves, faults);
    if parse_lower(&document.root) != Some(root) {
        faults.push(tree_fault(
            profile::EVIDENCE,
            "the root that it states is not the root over its leaves",
        ));
    }
    let described = bag
        .description
        .iter()
        .find(|(label, _)| label == profile::LABEL_ROOT);
    if described.is_some_and(|(_, value)| *value != document.root) {
        faults.push(Fault::tag_file(
            profile::BAG_INFO,
            "its root is not the one in evidence.json",
        ));
    }
    judge_previous(document.previous.as_deref(), bag, faults);
    Ok(())
}

/// What the archive says of the one that it follows, in both places.
fn judge_previous(previous: Option<&str>, bag: &Bag, faults: &mut Vec<Fault>) {
    if previous.is_some_and(|text| parse_lower(text).is_none()) {
        faults.push(tree_fault(
            profile::EVIDENCE,
            "what it states as the root of the earlier archive is none",
        ));
    }
    let described = stated_previous(bag);
    if described.is_some_and(|text| text != previous.unwrap_or(profile::NO_PREVIOUS)) {
        faults.push(Fault::tag_file(
            profile::BAG_INFO,
            "its root of the earlier archive is not the one in evidence.json",
        ));
    }
}

/// What the ledger says of the archive that its figures may rest on; nothing where it says so.
#[derive(Deserialize)]
struct Ledger {
    previous: Option<String>,
}

/// Compares the ledger's word on the earlier archive with bag-info.txt's: the root vouches for the ledger, and by it for the
/// chain. A ledger that is withheld, or not to be understood, is judged by its hash alone.
///
/// # Errors
/// The machine's failure.
pub(super) fn judge_ledger(
    files: &Files,
    bag: &Bag,
    findings: &mut Findings,
) -> Result<(), VerifyError> {
    let Some(stored) = files.list.get(profile::LEDGER_JSON) else {
        return Ok(());
    };
    let content = files.read_whole(profile::LEDGER_JSON, stored, profile::MAX_LIST_BYTES)?;
    let Content::Good(Some(bytes)) = content else {
        return Ok(());
    };
    let Ok(ledger) = serde_json::from_slice::<Ledger>(&bytes) else {
        return Ok(());
    };
    let stated = ledger.previous.as_deref().unwrap_or(profile::NO_PREVIOUS);
    if stated_previous(bag).is_some_and(|text| text != stated) {
        findings.faults.push(Fault::tag_file(
            profile::BAG_INFO,
            "its root of the earlier archive is not the one in the ledger",
        ));
    }
    Ok(())
}

fn stated_previous(bag: &Bag) -> Option<&str> {
    let mut pairs = bag.description.iter();
    pairs
        .find(|(label, _)| label == profile::LABEL_PREVIOUS)
        .map(|(_, value)| value.as_str())
}

/// The root of the archive that this one says it follows.
pub(super) fn previous(bag: &Bag) -> Option<Hash> {
    stated_previous(bag).and_then(parse_lower)
}

/// A hash in small letters, which is the one way that the profile writes it.
fn parse_lower(text: &str) -> Option<Hash> {
    tree::parse_hash(text).filter(|hash| tree::hex(hash) == text)
}

/// Compares each leaf with the manifest's line and the file's size, and gives the root over the leaves.
fn judge_leaves(files: &Files, bag: &Bag, leaves: &[TreeLeaf], faults: &mut Vec<Fault>) -> Hash {
    let manifest = manifest_of(bag);
    let mut builder = TreeBuilder::new();
    for leaf in leaves {
        builder.push(leaf.hash());
        if let Some(leaf) = leaf.named()
            && !profile::is_leaf(&leaf.path)
        {
            faults.push(tree_fault(
                &leaf.path,
                "evidence.json lists it, but it is not of the season or the ledger",
            ));
        }
        let TreeLeaf::Present(leaf) = leaf else {
            continue;
        };
        match manifest.and_then(|manifest| manifest.lines.get(&leaf.path)) {
            None => faults.push(tree_fault(
                &leaf.path,
                "evidence.json lists it, but the manifest doesn't",
            )),
            Some(sum) if **sum != leaf.sha256 => faults.push(tree_fault(
                &leaf.path,
                "evidence.json and the manifest state different hashes",
            )),
            Some(_) => {}
        }
        if files
            .list
            .get(&leaf.path)
            .is_some_and(|stored| stored.size != leaf.size)
        {
            faults.push(tree_fault(
                &leaf.path,
                format!(
                    "evidence.json states {} bytes, but it has another size",
                    leaf.size
                ),
            ));
        }
    }
    if let Some(manifest) = manifest {
        // Both are sorted, but evidence.json only says so.
        let named = leaves.iter().filter_map(TreeLeaf::named);
        let mut known: Vec<&str> = named.map(|leaf| leaf.path.as_str()).collect();
        known.sort_unstable();
        for path in manifest.lines.keys().filter(|path| profile::is_leaf(path)) {
            if known.binary_search(&path.as_str()).is_err() {
                faults.push(tree_fault(
                    path,
                    "the manifest lists it, but evidence.json doesn't",
                ));
            }
        }
    }
    builder.root()
}

fn manifest_of(bag: &Bag) -> Option<&Manifest> {
    let mut manifests = bag.manifests.iter();
    manifests.find(|manifest| manifest.path == profile::MANIFEST)
}

/// What is withheld must say why, and must not be there.
fn judge_withheld(files: &Files, bag: &Bag, leaves: &[TreeLeaf], faults: &mut Vec<Fault>) {
    let manifest = manifest_of(bag);
    let hidden: BTreeSet<Hash> = leaves
        .iter()
        .filter(|leaf| matches!(leaf, TreeLeaf::Hidden { .. }))
        .map(TreeLeaf::hash)
        .collect();
    for leaf in leaves {
        if leaf
            .reason()
            .is_some_and(|reason| !profile::is_reason(reason))
        {
            let place = leaf.named().map_or(profile::EVIDENCE, |leaf| &leaf.path);
            faults.push(tree_fault(
                place,
                "it is withheld, but no reason is given in a line",
            ));
        }
        match leaf {
            TreeLeaf::Withheld { leaf, .. } => {
                if let Err(fault) = profile::check_path(&leaf.path) {
                    faults.push(Fault::BadName {
                        path: leaf.path.clone(),
                        fault,
                    });
                }
                let listed = manifest.is_some_and(|list| list.lines.contains_key(&leaf.path));
                if files.contains(&leaf.path) || listed {
                    faults.push(tree_fault(
                        &leaf.path,
                        "evidence.json says that it is withheld, but it is here",
                    ));
                }
            }
            TreeLeaf::Present(leaf) if hidden.contains(&leaf.hash()) => {
                faults.push(tree_fault(
                    &leaf.path,
                    "evidence.json says that it is withheld, but it is here",
                ));
            }
            _ => {}
        }
    }
}

/// The leaves as evidence.json lists them; None if it isn't there or can't be read.
///
/// # Errors
/// The machine's failure.
pub(super) fn read_leaves(files: &Files) -> Result<Option<Vec<TreeLeaf>>, VerifyError> {
    let Some(stored) = files.list.get(profile::EVIDENCE) else {
        return Ok(None);
    };
    let content = files.read_whole(profile::EVIDENCE, stored, profile::MAX_LIST_BYTES)?;
    let Content::Good(Some(bytes)) = content else {
        return Ok(None);
    };
    let document: Option<Document> = serde_json::from_slice(&bytes).ok();
    Ok(document.and_then(|document| {
        let leaves = document.leaves.into_iter();
        leaves.map(DocumentLeaf::read).collect()
    }))
}

/// The root over the season's and the ledger's files as they are. What `leaves` call withheld, and isn't there, stands in
/// with the hash that they state; everything else in them is passed over.
pub(super) fn root_of_files(
    files: &Files,
    readings: &Readings,
    leaves: &[TreeLeaf],
) -> Option<Hash> {
    let mut builder = TreeBuilder::new();
    let there = files.payload().filter(|(path, _)| profile::is_leaf(path));
    let mut there = there.peekable();
    for stated in leaves {
        let Some(named) = stated.named() else {
            builder.push(stated.hash());
            continue;
        };
        while let Some((path, stored)) = there.next_if(|(path, _)| *path < named.path.as_str()) {
            builder.push(hash_as_read(path, stored.size, readings)?);
        }
        if matches!(stated, TreeLeaf::Withheld { .. }) && !files.contains(&named.path) {
            builder.push(stated.hash());
        }
        if let Some((path, stored)) = there.next_if(|(path, _)| *path == named.path) {
            builder.push(hash_as_read(path, stored.size, readings)?);
        }
    }
    for (path, stored) in there {
        builder.push(hash_as_read(path, stored.size, readings)?);
    }
    Some(builder.root())
}

fn hash_as_read(path: &str, size: u64, readings: &Readings) -> Option<Hash> {
    let Some(Content::Good(reading)) = readings.get(path) else {
        return None;
    };
    let leaf = Leaf {
        path: path.into(),
        size,
        sha256: reading.sum(Algorithm::Sha256)?.try_into().ok()?,
    };
    Some(leaf.hash())
}
