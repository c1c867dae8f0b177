//! A proof that one file belongs to a root: a small file to hand on by itself.
//!
//! Takes the tree's leaf hashes and the record of one leaf; gives the proof as JSON. Reads and writes no files. Who
//! checks a proof needs the root from elsewhere, and neither the archive nor windrow: docs/archive.md, section 8.

use std::fmt::Write;

use super::profile;
use super::tree::{self, Hash, Leaf};

/// The proof that `leaf` stands at `index` (from 0) among `leaves`, as JSON. None if it doesn't stand there.
pub fn make(leaves: &[Hash], index: usize, leaf: &Leaf) -> Option<String> {
    if leaves.get(index) != Some(&leaf.hash()) {
        return None;
    }
    let path = tree::inclusion_proof(leaves, index)?;
    let quoted = |text: &str| serde_json::Value::from(text).to_string();
    let mut json = format!(
        "{{\n\"format\": {},\n\"hash\": {},\n\"tree\": {},\n\"record\": {},\n\"index\": {index},\n\"leaves\": {},\n\"hashes\": [",
        quoted(profile::PROOF_FORMAT),
        quoted(profile::HASH_NAME),
        quoted(profile::TREE_NAME),
        quoted(&leaf.record()),
        leaves.len(),
    );
    for (number, hash) in path.iter().enumerate() {
        let between = if number == 0 { "" } else { "," };
        // Writing into a String can't fail.
        let _ = write!(json, "{between}\n\"{}\"", tree::hex(hash));
    }
    let end = if path.is_empty() { "" } else { "\n" };
    let _ = write!(
        json,
        "{end}],\n\"root\": \"{}\"\n}}\n",
        tree::hex(&tree::root(leaves))
    );
    Some(json)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn leaves(count: usize) -> Vec<Leaf> {
        (0..count)
            .map(|number| Leaf {
                path: format!("data/season/{number:03} 'süß'"),
                size: number as u64,
                sha256: [number as u8; 32],
            })
            .collect()
    }

    #[test]
    fn every_leaf_has_its_proof_in_json() {
        for count in [1, 2, 3, 7, 8, 100] {
            let leaves = leaves(count);
            let hashes: Vec<Hash> = leaves.iter().map(Leaf::hash).collect();
            for (index, leaf) in leaves.iter().enumerate() {
                let text = make(&hashes, index, leaf).unwrap();
                let value: serde_json::Value = serde_json::from_str(&text).unwrap();
                assert_eq!(value["record"], leaf.record());
                assert_eq!(value["index"], index);
                assert_eq!(value["leaves"], count);
                assert_eq!(value["root"], tree::hex(&tree::root(&hashes)));
                let path: Vec<Hash> = value["hashes"]
                    .as_array()
                    .unwrap()
                    .iter()
                    .map(|hash| tree::parse_hash(hash.as_str().unwrap()).unwrap())
                    .collect();
                assert_eq!(tree::inclusion_proof(&hashes, index).unwrap(), path);
            }
        }
    }

    #[test]
    fn no_proof_is_made_of_what_is_not_there() {
        let leaves = leaves(3);
        let hashes: Vec<Hash> = leaves.iter().map(Leaf::hash).collect();
        assert_eq!(make(&hashes, 1, &leaves[2]), None);
        assert_eq!(make(&hashes, 3, &leaves[2]), None);
        assert_eq!(make(&[], 0, &leaves[0]), None);
    }
}
