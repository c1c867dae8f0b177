//! What verify says of an archive.

use serde::{Serialize, Serializer};

use super::evidence::TreeLeaf;
use super::fault::{Fault, Warning};
use super::seal::Seal;
use crate::archive::tree::{Hash, hex};

/// How many faults and how many warnings a verdict lists: a flood of them tells nobody more, and costs memory.
const MOST_LISTED: usize = 1000;

/// What is known of the archive from elsewhere: a printed report, a message, the minutes of a meeting.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Expected {
    /// The root, as the report prints it.
    pub root: Option<Hash>,
    /// SHA-256 of tagmanifest-sha256.txt.
    pub fingerprint: Option<Hash>,
    /// Leaves under the root, as the report prints it.
    pub leaves: Option<usize>,
}

/// What was judged.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// An evidence archive as windrow packs it.
    Archive,
    /// An evidence archive, unpacked.
    Folder,
    /// A bag of another maker in a ZIP.
    OtherBagZip,
    /// A bag of another maker in a folder.
    OtherBagFolder,
    /// No bag could be made out.
    Unknown,
}

/// A file that was left out of a handed-over copy, with its leaf still in the tree.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct WithheldItem {
    /// Path in the archive; None where that is private as well.
    pub path: Option<String>,
    pub reason: String,
}

impl WithheldItem {
    pub(super) fn of(leaf: &TreeLeaf) -> Option<Self> {
        match leaf {
            TreeLeaf::Present(_) => None,
            TreeLeaf::Withheld { leaf, reason } => Some(Self {
                path: Some(leaf.path.clone()),
                reason: reason.clone(),
            }),
            TreeLeaf::Hidden { reason, .. } => Some(Self {
                path: None,
                reason: reason.clone(),
            }),
        }
    }
}

/// The judgement. Whole if there is no fault.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Verdict {
    pub kind: Kind,
    /// Sorted: the same archive gives the same list.
    pub faults: Vec<Fault>,
    /// Faults beyond the listed ones.
    pub faults_left_out: usize,
    pub warnings: Vec<Warning>,
    /// Warnings beyond the listed ones.
    pub warnings_left_out: usize,
    /// The root over the season's and the ledger's files as they are now; None for a bag of another maker.
    #[serde(serialize_with = "as_hex")]
    pub root: Option<Hash>,
    /// SHA-256 of tagmanifest-sha256.txt as it is now.
    #[serde(serialize_with = "as_hex")]
    pub fingerprint: Option<Hash>,
    /// Whether `root` was compared with one from elsewhere.
    pub root_compared: bool,
    /// Whether `fingerprint` was compared with one from elsewhere.
    pub fingerprint_compared: bool,
    /// Whether `leaves` was compared with a number from elsewhere.
    pub leaves_compared: bool,
    /// Leaves in the tree, as evidence.json lists them.
    pub leaves: usize,
    /// The root of the archive of an earlier season that this one says it follows.
    #[serde(serialize_with = "as_hex")]
    pub previous: Option<Hash>,
    /// Files that were left out of this copy, in the tree's order.
    pub withheld: Vec<WithheldItem>,
    /// Signature and time stamp that hold, with what each says.
    pub seals: Vec<Seal>,
    /// Payload files found.
    pub files: usize,
    /// Bytes in them.
    pub bytes: u64,
    /// What bag-info.txt says, in its order.
    pub description: Vec<(String, String)>,
}

impl Verdict {
    /// A verdict before anything was found.
    pub(super) fn new(kind: Kind, expected: &Expected) -> Self {
        Self {
            kind,
            faults: Vec::new(),
            faults_left_out: 0,
            warnings: Vec::new(),
            warnings_left_out: 0,
            root: None,
            fingerprint: None,
            root_compared: expected.root.is_some(),
            fingerprint_compared: expected.fingerprint.is_some(),
            leaves_compared: expected.leaves.is_some(),
            leaves: 0,
            previous: None,
            withheld: Vec::new(),
            seals: Vec::new(),
            files: 0,
            bytes: 0,
            description: Vec::new(),
        }
    }

    /// Whether nothing is wrong.
    pub fn whole(&self) -> bool {
        self.faults.is_empty()
    }

    /// Compares with what is known from elsewhere, then sorts and bounds the lists.
    pub(super) fn close(mut self, expected: &Expected) -> Self {
        if let Some(root) = expected.root
            && self.root != Some(root)
        {
            self.faults.push(Fault::WrongRoot {
                expected: root,
                found: self.root,
            });
        }
        if let Some(fingerprint) = expected.fingerprint
            && self.fingerprint != Some(fingerprint)
        {
            self.faults.push(Fault::WrongFingerprint {
                expected: fingerprint,
                found: self.fingerprint,
            });
        }
        if let Some(leaves) = expected.leaves
            && self.leaves != leaves
        {
            self.faults.push(Fault::WrongLeaves {
                expected: leaves,
                found: self.leaves,
            });
        }
        self.faults_left_out = bound(&mut self.faults);
        self.warnings_left_out = bound(&mut self.warnings);
        self
    }
}

fn bound<T: Ord>(list: &mut Vec<T>) -> usize {
    list.sort();
    list.dedup();
    let left_out = list.len().saturating_sub(MOST_LISTED);
    list.truncate(MOST_LISTED);
    left_out
}

pub(super) fn as_hex<S: Serializer>(hash: &Option<Hash>, serializer: S) -> Result<S::Ok, S::Error> {
    match hash {
        Some(hash) => serializer.serialize_some(&hex(hash)),
        None => serializer.serialize_none(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_flood_of_faults_is_bounded_and_still_counted() {
        let mut verdict = Verdict::new(Kind::Unknown, &Expected::default());
        for number in 0..MOST_LISTED + 7 {
            let path = format!("{number:05}");
            verdict.faults.push(Fault::Added { path });
        }
        let verdict = verdict.close(&Expected::default());
        assert_eq!(verdict.faults.len(), MOST_LISTED);
        assert_eq!(verdict.faults_left_out, 7);
        assert!(!verdict.whole());
    }

    #[test]
    fn the_json_names_each_fault() {
        let mut verdict = Verdict::new(Kind::Archive, &Expected::default());
        verdict.faults.push(Fault::Renamed {
            from: "data/season/a".into(),
            to: "data/season/b".into(),
        });
        let json = serde_json::to_value(verdict.close(&Expected::default())).unwrap();
        assert_eq!(json["kind"], "archive");
        assert_eq!(json["root"], serde_json::Value::Null);
        assert_eq!(json["faults"][0]["name"], "renamed");
        assert_eq!(json["faults"][0]["place"], "data/season/a");
        assert_eq!(json["faults"][0]["to"], "data/season/b");
        assert!(json["faults"][0]["message"].is_string());
    }

    #[test]
    fn an_expected_root_that_can_not_be_had_is_a_fault() {
        let expected = Expected {
            root: Some([1; 32]),
            ..Expected::default()
        };
        let verdict = Verdict::new(Kind::Unknown, &expected).close(&expected);
        assert_eq!(verdict.faults[0].name(), "wrong-root");
        assert!(verdict.root_compared && !verdict.fingerprint_compared);
    }
}
