//! The hash tree: from one leaf a file to one root for the whole season.
//!
//! Takes leaves (path, size, SHA-256) in the order of their paths; gives the root, and the proof that one leaf belongs
//! to a root. Reads no files and knows no format but the record of a leaf. Shared by the writer and the verifier.
//!
//! The tree is the Merkle tree of RFC 9162 (B. Laurie, E. Messeri, R. Stradling, 2021, section 2.1) over SHA-256.

use sha2::{Digest, Sha256};

pub use crate::hash::{Hash, hex, parse_hash};

/// Put before a leaf's record when it is hashed, so that no leaf can pass for a node (RFC 9162, 2.1.1).
const LEAF_MARK: [u8; 1] = [0x00];
/// Put before two children when they are hashed (RFC 9162, 2.1.1).
const NODE_MARK: [u8; 1] = [0x01];

/// One file as the tree sees it.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Leaf {
    /// Path below the bag's base directory, with `/`: `data/season/pulls.csv`. Holds no line feed.
    pub path: String,
    /// Bytes in the file.
    pub size: u64,
    /// SHA-256 of the file's bytes.
    pub sha256: Hash,
}

impl Leaf {
    /// The canonical record: SHA-256 as 64 lower-case hexadecimal digits, a space, the size in decimal digits without
    /// leading zeros, a space, the path in UTF-8, a line feed.
    ///
    /// The path stands last, so it may hold spaces; as it holds no line feed, two different leaves never share a record.
    pub fn record(&self) -> String {
        format!("{} {} {}\n", hex(&self.sha256), self.size, self.path)
    }

    /// SHA-256 of 0x00 and the record.
    pub fn hash(&self) -> Hash {
        leaf_hash(self.record().as_bytes())
    }
}

/// SHA-256(0x00 ‖ record).
pub fn leaf_hash(record: &[u8]) -> Hash {
    let mut hasher = Sha256::new();
    hasher.update(LEAF_MARK);
    hasher.update(record);
    hasher.finalize().into()
}

/// SHA-256(0x01 ‖ left ‖ right).
pub fn node_hash(left: &[u8], right: &[u8]) -> Hash {
    let mut hasher = Sha256::new();
    hasher.update(NODE_MARK);
    hasher.update(left);
    hasher.update(right);
    hasher.finalize().into()
}

/// Builds a root from leaf hashes that arrive one by one.
///
/// Keeps one hash for each full subtree, so 64 at most, however many leaves there are.
#[derive(Debug, Clone, Default)]
pub struct TreeBuilder {
    /// Roots of full subtrees, widest first; their widths are the ones in the binary form of `count`.
    peaks: Vec<Hash>,
    count: u64,
}

impl TreeBuilder {
    /// An empty tree.
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds the next leaf's hash.
    pub fn push(&mut self, leaf: Hash) {
        let mut hash = leaf;
        // Every trailing one in the count is a full subtree as wide as what we hold: the two become one.
        let mut full = self.count;
        while full & 1 == 1 {
            match self.peaks.pop() {
                Some(left) => hash = node_hash(&left, &hash),
                None => break,
            }
            full >>= 1;
        }
        self.peaks.push(hash);
        self.count += 1;
    }

    /// How many leaves were added.
    pub fn count(&self) -> u64 {
        self.count
    }

    /// The root over the leaves so far; of none, SHA-256 of nothing (RFC 9162, 2.1.1).
    pub fn root(&self) -> Hash {
        let mut peaks = self.peaks.iter().rev();
        match peaks.next() {
            None => Sha256::digest([]).into(),
            Some(last) => peaks.fold(*last, |right, left| node_hash(left, &right)),
        }
    }
}

/// The root over leaf hashes in their order.
pub fn root(leaves: &[Hash]) -> Hash {
    let mut builder = TreeBuilder::new();
    for leaf in leaves {
        builder.push(*leaf);
    }
    builder.root()
}

/// The hashes that lead from leaf `index` (counted from 0) to the root, nearest first (RFC 9162, 2.1.3.1).
/// None if there is no such leaf.
pub fn inclusion_proof(leaves: &[Hash], index: usize) -> Option<Vec<Hash>> {
    if index >= leaves.len() {
        return None;
    }
    let mut path = Vec::new();
    let (mut part, mut index) = (leaves, index);
    while part.len() > 1 {
        let (left, right) = part.split_at(split_point(part.len()));
        if index < left.len() {
            path.push(root(right));
            part = left;
        } else {
            path.push(root(left));
            index -= left.len();
            part = right;
        }
    }
    path.reverse();
    Some(path)
}

/// The largest power of two below `count`; `count` is 2 or more.
fn split_point(count: usize) -> usize {
    let mut width = 1;
    while width < count - width {
        width *= 2;
    }
    width
}

/// Whether `proof` leads from `leaf`, the one at `index` of `count`, to `root` (RFC 9162, 2.1.3.2).
pub fn check_inclusion(leaf: &Hash, index: u64, count: u64, proof: &[Hash], root: &Hash) -> bool {
    if index >= count {
        return false;
    }
    let (mut place, mut last) = (index, count - 1);
    let mut hash = *leaf;
    for step in proof {
        if last == 0 {
            return false;
        }
        if place & 1 == 1 || place == last {
            hash = node_hash(step, &hash);
            // On the right edge the levels without a sibling are passed over.
            while place & 1 == 0 && place != 0 {
                place >>= 1;
                last >>= 1;
            }
        } else {
            hash = node_hash(&hash, step);
        }
        place >>= 1;
        last >>= 1;
    }
    last == 0 && hash == *root
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Leaf inputs and roots: the public test set of the project transparency-dev/merkle (Apache-2.0).
    const INPUTS: [&[u8]; 8] = [
        b"",
        b"\x00",
        b"\x10",
        b"\x20\x21",
        b"\x30\x31",
        b"\x40\x41\x42\x43",
        b"\x50\x51\x52\x53\x54\x55\x56\x57",
        b"\x60\x61\x62\x63\x64\x65\x66\x67\x68\x69\x6a\x6b\x6c\x6d\x6e\x6f",
    ];
    const ROOTS: [&str; 9] = [
        "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
        "6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d",
        "fac54203e7cc696cf0dfcb42c92a1d9dbaf70ad9e621f4bd8d98662f00e3c125",
        "aeb6bcfe274b70a14fb067a5e5578264db0fa9b51af5e0ba159158f329e06e77",
        "d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7",
        "4e3bbb1f7b478dcfe71fb631631519a3bca12c9aefca1612bfce4c13a86264d4",
        "76e67dadbcdf1e10e1b74ddc608abd2f98dfb16fbce75277b5232a127f2087ef",
        "ddb89be403809e325750d3d263cd78929c2942b7942a34b77e122c9594a74c8c",
        "5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328",
    ];

    fn leaves(count: usize) -> Vec<Hash> {
        INPUTS[..count]
            .iter()
            .map(|input| leaf_hash(input))
            .collect()
    }

    /// RFC 9162, 2.1.1, written down as it is defined: a second way to the same root.
    fn root_by_definition(leaves: &[Hash]) -> Hash {
        match leaves {
            [] => Sha256::digest([]).into(),
            [one] => *one,
            many => {
                let (left, right) = many.split_at(split_point(many.len()));
                node_hash(&root_by_definition(left), &root_by_definition(right))
            }
        }
    }

    /// FIPS 180-4 by its published examples: NIST, "Examples with Intermediate Values", SHA-256, one and two blocks;
    /// the empty message and 0xd3 are CAVP SHA256ShortMsg, Len = 0 and Len = 8.
    #[test]
    fn sha256_gives_the_published_values() {
        let cases: [(&[u8], &str); 4] = [
            (
                b"abc",
                "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad",
            ),
            (
                b"abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq",
                "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1",
            ),
            (
                b"",
                "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
            ),
            (
                b"\xd3",
                "28969cdfa74a12c82f3bad960b0b000aca2ac329deea5c2328ebc6f2ba9802c1",
            ),
        ];
        for (message, expected) in cases {
            assert_eq!(hex(&Sha256::digest(message)), expected);
        }
    }

    #[test]
    fn leaf_and_node_hashes_match_transparency_dev() {
        assert_eq!(
            hex(&leaf_hash(b"L123456")),
            "395aa064aa4c29f7010acfe3f25db9485bbd4b91897b6ad7ad547639252b4d56"
        );
        assert_eq!(
            hex(&node_hash(b"N123", b"N456")),
            "aa217fe888e47007fa15edab33c2b492a722cb106c64667fc2b044444de66bbb"
        );
    }

    #[test]
    fn roots_match_transparency_dev() {
        for (count, expected) in ROOTS.iter().enumerate() {
            assert_eq!(hex(&root(&leaves(count))), *expected, "{count} leaves");
        }
    }

    #[test]
    fn inclusion_proofs_match_transparency_dev() {
        let proof = inclusion_proof(&leaves(8), 5).unwrap();
        assert_eq!(
            proof.iter().map(|hash| hex(hash)).collect::<Vec<_>>(),
            [
                "bc1a0643b12e4d2d7c77918f44e0f4f79a838b6cf9ec5b5c283e1f4d88599e6b",
                "ca854ea128ed050b41b35ffc1b87b8eb2bde461e9e3b5596ece6b9d5975a0ae0",
                ROOTS[4],
            ]
        );
        let proof = inclusion_proof(&leaves(7), 6).unwrap();
        assert_eq!(
            proof.iter().map(|hash| hex(hash)).collect::<Vec<_>>(),
            [
                "0ebc5d3437fbe2db158b9f126a1d118e308181031d0a949f8dededebc558ef6a",
                ROOTS[4],
            ]
        );
    }

    #[test]
    fn the_streamed_root_is_the_defined_root_for_every_size() {
        let many: Vec<Hash> = (0_u32..200)
            .map(|number| leaf_hash(&number.to_be_bytes()))
            .collect();
        for count in 0..=many.len() {
            assert_eq!(
                root(&many[..count]),
                root_by_definition(&many[..count]),
                "{count}"
            );
        }
    }

    #[test]
    fn every_proof_holds_and_no_other_does() {
        let many: Vec<Hash> = (0_u32..20)
            .map(|number| leaf_hash(&number.to_be_bytes()))
            .collect();
        for count in 1..=many.len() {
            let part = &many[..count];
            let top = root(part);
            for index in 0..count {
                let proof = inclusion_proof(part, index).unwrap();
                let holds = |leaf: &Hash, index: usize, proof: &[Hash]| {
                    check_inclusion(leaf, index as u64, count as u64, proof, &top)
                };
                assert!(holds(&part[index], index, &proof));
                assert!(!holds(&leaf_hash(b"other"), index, &proof));
                assert!(!holds(&part[index], count, &proof));
                for other in (0..count).filter(|other| *other != index) {
                    assert!(!holds(&part[index], other, &proof));
                }
                let mut longer = proof.clone();
                longer.push(top);
                assert!(!holds(&part[index], index, &longer));
                if let Some((_, shorter)) = proof.split_last() {
                    assert!(!holds(&part[index], index, shorter));
                }
            }
            assert_eq!(inclusion_proof(part, count), None);
        }
    }

    #[test]
    fn the_record_is_one_canonical_line() {
        let leaf = Leaf {
            path: "data/season/sites of 2026.csv".into(),
            size: 3,
            sha256: Sha256::digest(b"abc").into(),
        };
        let record = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad 3 data/season/sites of 2026.csv\n";
        assert_eq!(leaf.record(), record);
        assert_eq!(leaf.hash(), leaf_hash(record.as_bytes()));
    }
}
