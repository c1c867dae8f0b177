//! Checking a proof that one file belongs to a root, with or without the archive.
//!
//! Takes the proof's bytes, the root from elsewhere, and size and hash of the file if it is at hand; gives a
//! [`ProofVerdict`]. A proof is hostile input: it is bounded, and no number in it is trusted.

use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

use serde::Deserialize;
use serde::Serialize;

use super::fault::Fault;
use super::text::shown;
use super::verdict::as_hex;
use crate::archive::profile;
use crate::archive::tree::{self, Hash, Leaf};
use crate::hash;

/// The proof as it stands in the file. Unknown fields are refused: they could say something that nobody checks.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Document {
    format: String,
    hash: String,
    tree: String,
    record: String,
    index: u64,
    leaves: u64,
    hashes: Vec<String>,
    root: String,
}

/// The judgement on a proof. It holds if there is no fault.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct ProofVerdict {
    pub faults: Vec<Fault>,
    /// Path of the proved file in the archive; None if the record can't be read.
    pub path: Option<String>,
    /// Bytes in it.
    pub size: Option<u64>,
    /// SHA-256 of its content.
    #[serde(serialize_with = "as_hex")]
    pub sha256: Option<Hash>,
    /// The root that the proof leads to.
    #[serde(serialize_with = "as_hex")]
    pub root: Option<Hash>,
    /// Whether `root` was compared with one from elsewhere. Without that the proof proves nothing.
    pub root_compared: bool,
    /// Whether a file was compared with the record.
    pub file_compared: bool,
}

impl ProofVerdict {
    /// Whether nothing is wrong.
    pub fn holds(&self) -> bool {
        self.faults.is_empty()
    }
}

/// Whether a file looks like a proof and not like a ZIP: its first letter, blanks aside, opens a JSON object.
///
/// # Errors
/// Whatever the file system says.
pub fn is_proof(path: &Path) -> io::Result<bool> {
    if !path.metadata()?.is_file() {
        return Ok(false);
    }
    let mut start = Vec::new();
    File::open(path)?.take(64).read_to_end(&mut start)?;
    Ok(start.trim_ascii_start().starts_with(b"{"))
}

/// A proof's bytes; one byte more than a proof may have where it is longer, so that judging tells.
///
/// # Errors
/// Whatever the file system says.
pub fn read_proof(path: &Path) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    File::open(path)?
        .take(profile::MAX_PROOF_BYTES + 1)
        .read_to_end(&mut bytes)?;
    Ok(bytes)
}

/// Size and SHA-256 of a file, read in pieces.
///
/// # Errors
/// Whatever the file system says.
pub fn hash_file(path: &Path) -> io::Result<(u64, Hash)> {
    hash::of_reader(File::open(path)?)
}

/// Judges a proof. `root` comes from elsewhere, typed from the printed report; `file` is what [`hash_file`] gave.
pub fn judge_proof(bytes: &[u8], root: Option<Hash>, file: Option<(u64, Hash)>) -> ProofVerdict {
    let mut verdict = ProofVerdict {
        faults: Vec::new(),
        path: None,
        size: None,
        sha256: None,
        root: None,
        root_compared: root.is_some(),
        file_compared: false,
    };
    if let Err(what) = follow(bytes, &mut verdict) {
        verdict.faults.push(Fault::Proof { what });
    }
    if let Some(expected) = root
        && verdict.root != Some(expected)
    {
        verdict.faults.push(Fault::WrongRoot {
            expected,
            found: verdict.root,
        });
    }
    if let (Some(found), Some(size), Some(sha256), Some(path)) =
        (file, verdict.size, verdict.sha256, &verdict.path)
    {
        verdict.file_compared = true;
        if found != (size, sha256) {
            verdict.faults.push(Fault::Changed {
                path: path.clone(),
                by: "the proof".into(),
            });
        }
    }
    verdict
}

/// Follows the proof from its record to its root, and fills in what it is about.
fn follow(bytes: &[u8], verdict: &mut ProofVerdict) -> Result<(), String> {
    if bytes.len() as u64 > profile::MAX_PROOF_BYTES {
        return Err(format!(
            "it is longer than {} bytes, which no proof needs",
            profile::MAX_PROOF_BYTES
        ));
    }
    let document: Document = serde_json::from_slice(bytes)
        .map_err(|error| format!("it can't be read: {}", shown(error)))?;
    if document.format != profile::PROOF_FORMAT
        || document.hash != profile::HASH_NAME
        || document.tree != profile::TREE_NAME
    {
        return Err(format!(
            "it is not of the form that this version knows ({}, {}, {})",
            profile::PROOF_FORMAT,
            profile::HASH_NAME,
            profile::TREE_NAME
        ));
    }
    let leaf = read_record(&document.record)
        .ok_or("its record is not hash, size and path as the profile writes them")?;
    verdict.path = Some(leaf.path.clone());
    verdict.size = Some(leaf.size);
    verdict.sha256 = Some(leaf.sha256);
    let judged = profile::check_path(&leaf.path);
    judged.map_err(|fault| format!("the path in its record: {fault}"))?;
    if !profile::is_leaf(&leaf.path) {
        return Err("the path in its record is neither of the season nor of the ledger".into());
    }
    if document.leaves > profile::MAX_FILES as u64 {
        return Err("it tells of more files than an archive can hold".into());
    }
    let hashes: Option<Vec<Hash>> = document.hashes.iter().map(|text| small(text)).collect();
    let hashes = hashes.ok_or("one of its hashes is not 64 small hexadecimal digits")?;
    let root = small(&document.root).ok_or("its root is not 64 small hexadecimal digits")?;
    if !tree::check_inclusion(
        &leaf.hash(),
        document.index,
        document.leaves,
        &hashes,
        &root,
    ) {
        return Err("its hashes don't lead from the record to the root".into());
    }
    verdict.root = Some(root);
    Ok(())
}

/// A hash in small letters, the one way in which a proof may write it.
fn small(text: &str) -> Option<Hash> {
    tree::parse_hash(text).filter(|hash| tree::hex(hash) == text)
}

/// Reads a record, and only one that is written as the profile writes it.
fn read_record(record: &str) -> Option<Leaf> {
    let mut parts = record.strip_suffix('\n')?.splitn(3, ' ');
    let leaf = Leaf {
        sha256: small(parts.next()?)?,
        size: parts.next()?.parse().ok()?,
        path: parts.next()?.to_owned(),
    };
    (leaf.record() == record).then_some(leaf)
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::{Value, json};
    use sha2::{Digest, Sha256};

    /// Leaf 1 of 3, put together here by the definition of RFC 9162 and not by the writer.
    fn proof() -> (Value, Hash) {
        let leaf = Leaf {
            path: "data/season/b c".into(),
            size: 3,
            sha256: Sha256::digest(b"abc").into(),
        };
        let (left, right) = (tree::leaf_hash(b"a"), tree::leaf_hash(b"c"));
        let root = tree::node_hash(&tree::node_hash(&left, &leaf.hash()), &right);
        let value = json!({
            "format": "windrow proof 1",
            "hash": "SHA-256",
            "tree": "RFC 9162, SHA-256",
            "record": leaf.record(),
            "index": 1,
            "leaves": 3,
            "hashes": [tree::hex(&left), tree::hex(&right)],
            "root": tree::hex(&root),
        });
        (value, root)
    }

    fn judge(value: &Value, root: Option<Hash>) -> ProofVerdict {
        judge_proof(value.to_string().as_bytes(), root, None)
    }

    #[test]
    fn an_honest_proof_holds_with_and_without_the_file() {
        let (value, root) = proof();
        let verdict = judge(&value, Some(root));
        assert_eq!(verdict.faults, []);
        assert_eq!(verdict.path.as_deref(), Some("data/season/b c"));
        assert_eq!((verdict.root, verdict.root_compared), (Some(root), true));
        assert!(!verdict.file_compared);
        assert!(!judge(&value, None).root_compared);
        let bytes = value.to_string().into_bytes();
        let abc = Sha256::digest(b"abc").into();
        let with_file = judge_proof(&bytes, Some(root), Some((3, abc)));
        assert!(with_file.holds() && with_file.file_compared);
        for other in [(4, abc), (3, [0; 32])] {
            let verdict = judge_proof(&bytes, Some(root), Some(other));
            assert_eq!(verdict.faults[0].name(), "changed");
        }
    }

    #[test]
    fn another_root_is_told() {
        let (value, _) = proof();
        let verdict = judge(&value, Some([7; 32]));
        assert_eq!(verdict.faults[0].name(), "wrong-root");
    }

    #[test]
    fn whatever_is_altered_is_found() {
        let (value, root) = proof();
        let record = value["record"].as_str().unwrap().to_owned();
        let changes: Vec<(&str, Value)> = vec![
            ("format", json!("windrow proof 2")),
            ("hash", json!("SHA-1")),
            ("tree", json!("another")),
            ("record", json!(record.trim_end())),
            ("record", json!(record.replace(" 3 ", " 03 "))),
            ("record", json!(record.replace(" 3 ", " +3 "))),
            ("record", json!(record.replace(" 3 ", " 4 "))),
            ("record", json!(record.replace("b c", "../b"))),
            ("record", json!(record.replace("b c", "d"))),
            ("record", json!(record.to_uppercase())),
            ("record", json!("")),
            ("index", json!(0)),
            ("index", json!(2)),
            ("index", json!(u64::MAX)),
            ("index", json!(-1)),
            ("leaves", json!(0)),
            // Leaf 1 of 4 has a proof of the same form, by RFC 9162; it is the root that says no less. Of 2 it hasn't.
            ("leaves", json!(2)),
            ("leaves", json!(u64::MAX)),
            ("hashes", json!([])),
            ("hashes", json!(["x"])),
            ("hashes", json!(vec![tree::hex(&root); 900])),
            ("root", json!("")),
            ("root", json!(tree::hex(&root).to_uppercase())),
            ("root", json!(tree::hex(&[0; 32]))),
            ("more", json!(1)),
        ];
        for (field, change) in changes {
            let mut altered = value.clone();
            altered[field] = change.clone();
            assert!(!judge(&altered, Some(root)).holds(), "{field}: {change}");
            assert!(!judge(&altered, None).holds(), "{field}: {change}");
        }
        for field in [
            "format", "hash", "tree", "record", "index", "leaves", "hashes", "root",
        ] {
            let mut altered = value.clone();
            altered.as_object_mut().unwrap().remove(field);
            assert!(!judge(&altered, None).holds(), "without {field}");
        }
    }

    #[test]
    fn every_flipped_bit_is_found_or_changes_nothing_that_counts() {
        let (value, root) = proof();
        let bytes = value.to_string().into_bytes();
        let honest = judge_proof(&bytes, Some(root), None);
        for at in 0..bytes.len() {
            for bit in 0..8 {
                let mut altered = bytes.clone();
                altered[at] ^= 1 << bit;
                let verdict = judge_proof(&altered, Some(root), None);
                // The number of leaves is bound to the root only as far as RFC 9162's form of the proof is.
                assert!(
                    !verdict.holds() || verdict == honest,
                    "byte {at}, bit {bit}"
                );
            }
        }
    }

    #[test]
    fn nonsense_is_refused_without_harm() {
        for bytes in [
            &b""[..],
            b"{",
            b"null",
            b"[[[[[[[[",
            &b"[".repeat(60_000),
            &b" ".repeat(70_000),
            &b"{\"record\":".repeat(5_000),
            b"\xff\xfe",
        ] {
            let verdict = judge_proof(bytes, None, Some((0, [0; 32])));
            assert_eq!(verdict.faults.len(), 1);
            assert!(!verdict.file_compared);
        }
    }
}
