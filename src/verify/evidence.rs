//! What the profile asks of an evidence archive beyond RFC 8493: names and places, tag files, and the hash tree.
//!
//! Takes the files and what reading them gave; gives faults, and the root over the files as they are.

use serde::Deserialize;

use super::VerifyError;
use super::bag::{Bag, Findings, Readings};
use super::digest::Algorithm;
use super::fault::Fault;
use super::files::{Content, Files};
use crate::archive::profile::{self, Names};
use crate::archive::tree::{self, Hash, Leaf, TreeBuilder};

/// evidence.json. Unknown fields are refused: they could say something that nobody checks.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Document {
    format: String,
    tree: String,
    root: String,
    leaves: Vec<DocumentLeaf>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct DocumentLeaf {
    path: String,
    size: u64,
    sha256: String,
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
        if !profile::TAG_FILES.contains(&path) {
            findings.faults.push(Fault::Added { path: path.into() });
        } else if path == profile::HOW_TO_VERIFY && stored.size > profile::MAX_TEXT_BYTES {
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
                format!("it can't be read: {error}"),
            ));
            return Ok(());
        }
    };
    drop(bytes);
    let faults = &mut findings.faults;
    let mut fault = |what: &str| faults.push(tree_fault(profile::EVIDENCE, what));
    if document.format != profile::EVIDENCE_FORMAT || document.tree != profile::TREE_NAME {
        fault("it is in another format, or of another tree, than the profile's");
    }
    if !document
        .leaves
        .is_sorted_by(|one, other| one.path < other.path)
    {
        fault("its leaves are not in order, or one is there twice");
    }
    let root = judge_leaves(files, bag, &document.leaves, faults);
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
    Ok(())
}

/// A hash in small letters, which is the one way that the profile writes it.
fn parse_lower(text: &str) -> Option<Hash> {
    tree::parse_hash(text).filter(|hash| tree::hex(hash) == text)
}

/// Compares each leaf with the manifest's line and the file's size, and gives the root over the leaves.
fn judge_leaves(
    files: &Files,
    bag: &Bag,
    leaves: &[DocumentLeaf],
    faults: &mut Vec<Fault>,
) -> Hash {
    let manifest = bag
        .manifests
        .iter()
        .find(|manifest| manifest.path == profile::MANIFEST);
    let stated = |path: &str| manifest.and_then(|manifest| manifest.lines.get(path));
    let mut builder = TreeBuilder::new();
    for leaf in leaves {
        let Some(sha256) = parse_lower(&leaf.sha256) else {
            faults.push(tree_fault(
                &leaf.path,
                "evidence.json states no SHA-256 for it",
            ));
            continue;
        };
        if !profile::is_leaf(&leaf.path) {
            faults.push(tree_fault(
                &leaf.path,
                "evidence.json lists it, but it is not of the season or the ledger",
            ));
        }
        match stated(&leaf.path) {
            None => faults.push(tree_fault(
                &leaf.path,
                "evidence.json lists it, but the manifest doesn't",
            )),
            Some(sum) if **sum != sha256 => faults.push(tree_fault(
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
        let leaf = Leaf {
            path: leaf.path.clone(),
            size: leaf.size,
            sha256,
        };
        builder.push(leaf.hash());
    }
    if let Some(manifest) = manifest {
        // Both are sorted, but evidence.json only says so.
        let mut known: Vec<&str> = leaves.iter().map(|leaf| leaf.path.as_str()).collect();
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

/// The leaves as evidence.json lists them; None if it isn't there or can't be read.
///
/// # Errors
/// The machine's failure.
pub(super) fn read_leaves(files: &Files) -> Result<Option<Vec<Leaf>>, VerifyError> {
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
        leaves
            .map(|leaf| {
                Some(Leaf {
                    sha256: parse_lower(&leaf.sha256)?,
                    path: leaf.path,
                    size: leaf.size,
                })
            })
            .collect()
    }))
}

/// The root over the season's and the ledger's files as they are.
pub(super) fn root_of_files(files: &Files, readings: &Readings) -> Option<Hash> {
    let mut builder = TreeBuilder::new();
    for (path, stored) in files.payload().filter(|(path, _)| profile::is_leaf(path)) {
        let Some(Content::Good(reading)) = readings.get(path) else {
            return None;
        };
        let leaf = Leaf {
            path: path.into(),
            size: stored.size,
            sha256: reading.sum(Algorithm::Sha256)?.try_into().ok()?,
        };
        builder.push(leaf.hash());
    }
    Some(builder.root())
}
