//! The leaves of the hash tree in their order, and evidence.json, which lists them.
//!
//! The root exists before the archive: the report prints it and then becomes part of the archive.

use super::Item;
use super::profile;
use super::tree::{self, Hash, Leaf, TreeBuilder};

/// All leaves, sorted by the bytes of their paths, and the root over them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Evidence {
    leaves: Vec<Leaf>,
    root: Hash,
}

impl Evidence {
    /// Takes from the items those that are leaves (the season and the ledger, not the report), in any order.
    pub fn of(items: &[Item]) -> Self {
        let mut leaves: Vec<Leaf> = items
            .iter()
            .map(Item::leaf)
            .filter(|leaf| profile::is_leaf(&leaf.path))
            .collect();
        // Strings compare by their bytes.
        leaves.sort();
        let mut builder = TreeBuilder::new();
        for leaf in &leaves {
            builder.push(leaf.hash());
        }
        Self {
            root: builder.root(),
            leaves,
        }
    }

    /// The leaves in the tree's order.
    pub fn leaves(&self) -> &[Leaf] {
        &self.leaves
    }

    /// The root, as the report prints it.
    pub fn root(&self) -> Hash {
        self.root
    }

    /// evidence.json: one line a leaf, so that two archives can be compared by eye.
    pub(super) fn to_json(&self) -> String {
        let quoted = |text: &str| serde_json::Value::from(text).to_string();
        let mut json = format!(
            "{{\n\"format\": {},\n\"tree\": {},\n\"root\": \"{}\",\n\"leaves\": [",
            quoted(profile::EVIDENCE_FORMAT),
            quoted(profile::TREE_NAME),
            tree::hex(&self.root)
        );
        for (number, leaf) in self.leaves.iter().enumerate() {
            json.push_str(if number == 0 { "\n" } else { ",\n" });
            json.push_str(&format!(
                "{{\"path\": {}, \"size\": {}, \"sha256\": \"{}\"}}",
                quoted(&leaf.path),
                leaf.size,
                tree::hex(&leaf.sha256)
            ));
        }
        json.push_str("\n]\n}\n");
        json
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn leaves_are_season_and_ledger_in_order_of_bytes() {
        let item = |path: &str| Item::from_bytes(path, path.into());
        let evidence = Evidence::of(&[
            item("season/b"),
            item("report/funder.pdf"),
            item("season/B"),
            item("season/a/z"),
            item("season/a-z"),
            item("ledger/figures.csv"),
        ]);
        let paths: Vec<&str> = evidence.leaves().iter().map(|l| l.path.as_str()).collect();
        assert_eq!(
            paths,
            [
                "data/ledger/figures.csv",
                "data/season/B",
                "data/season/a-z",
                "data/season/a/z",
                "data/season/b",
            ]
        );
        let hashes: Vec<Hash> = evidence.leaves().iter().map(Leaf::hash).collect();
        assert_eq!(evidence.root(), tree::root(&hashes));
    }

    #[test]
    fn the_json_is_json_and_carries_every_leaf() {
        let evidence = Evidence::of(&[Item::from_bytes("season/süß 'x'", b"abc".to_vec())]);
        let value: serde_json::Value = serde_json::from_str(&evidence.to_json()).unwrap();
        assert_eq!(value["root"], tree::hex(&evidence.root()));
        assert_eq!(value["leaves"][0]["path"], "data/season/süß 'x'");
        assert_eq!(value["leaves"][0]["size"], 3);
    }
}
