//! The leaves of the hash tree in their order, and evidence.json, which lists them.
//!
//! The root exists before the archive: the report prints it and then becomes part of the archive.

use std::collections::BTreeMap;

use super::Item;
use super::profile;
use super::tree::{self, Hash, Leaf, TreeBuilder};

/// Why a file stays out of a handed-over copy, though its leaf stays in the tree.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Withheld {
    /// In a sentence, on one line.
    pub reason: String,
    /// Whether the path is private as well, so that nothing but the hash of the leaf is told.
    pub hidden: bool,
}

/// All leaves, sorted by the bytes of their paths, and the root over them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Evidence {
    leaves: Vec<Leaf>,
    root: Hash,
    previous: Option<Hash>,
    withheld: BTreeMap<String, Withheld>,
}

impl Evidence {
    /// Takes from the items those that are leaves (the season and the ledger, not the report), in any order.
    pub fn of(items: &[Item]) -> Self {
        Self::over(items.iter().map(Item::leaf).collect())
    }

    /// The same, of what will become items.
    pub fn over(mut leaves: Vec<Leaf>) -> Self {
        leaves.retain(|leaf| profile::is_leaf(&leaf.path));
        // Strings compare by their bytes.
        leaves.sort();
        let mut builder = TreeBuilder::new();
        for leaf in &leaves {
            builder.push(leaf.hash());
        }
        Self {
            root: builder.root(),
            leaves,
            previous: None,
            withheld: BTreeMap::new(),
        }
    }

    /// The same tree, with files marked to stay out of a handed-over copy. Keys are paths below `data/`; one that is no
    /// leaf is passed over, as it can't be withheld. A reason is brought into bounds.
    pub fn withholding(mut self, files: &BTreeMap<String, Withheld>) -> Self {
        for leaf in &self.leaves {
            let below = leaf.path.strip_prefix(profile::PAYLOAD);
            if let Some(withheld) = below.and_then(|path| files.get(path)) {
                let reason = bounded(&withheld.reason);
                let hidden = withheld.hidden;
                self.withheld
                    .insert(leaf.path.clone(), Withheld { reason, hidden });
            }
        }
        self
    }

    /// The same tree, on the record as following the archive of this root. The root of this tree doesn't depend on it.
    pub fn following(mut self, previous: Option<Hash>) -> Self {
        self.previous = previous;
        self
    }

    /// The root of the archive that this one follows.
    pub fn previous(&self) -> Option<Hash> {
        self.previous
    }

    /// How many files stay out.
    pub fn withheld(&self) -> usize {
        self.withheld.len()
    }

    /// Whether the file of this path in the bag stays out.
    pub(super) fn is_withheld(&self, path: &str) -> bool {
        self.withheld.contains_key(path)
    }

    /// The same leaves, whichever of them are withheld.
    pub(super) fn is_over(&self, items: &[Item]) -> bool {
        // By reference: with a hundred thousand files a second list of their paths would be felt.
        let mut items: Vec<&Item> = items
            .iter()
            .filter(|item| profile::is_leaf(&item.path_in_bag()))
            .collect();
        items.sort_by(|one, other| one.path.cmp(&other.path));
        items.len() == self.leaves.len()
            && items.iter().zip(&self.leaves).all(|(item, leaf)| {
                leaf.path.strip_prefix(profile::PAYLOAD) == Some(&item.path)
                    && (leaf.size, leaf.sha256) == (item.size, item.sha256)
            })
    }

    /// The leaf of this path in the bag.
    pub fn leaf(&self, path: &str) -> Option<&Leaf> {
        let by_path = |leaf: &Leaf| leaf.path.as_str().cmp(path);
        self.leaves.get(self.leaves.binary_search_by(by_path).ok()?)
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
            "{{\n\"format\": {},\n\"tree\": {},\n\"root\": \"{}\",\n\"previous\": {},\n\"leaves\": [",
            quoted(profile::EVIDENCE_FORMAT),
            quoted(profile::TREE_NAME),
            tree::hex(&self.root),
            self.previous.map_or_else(
                || "null".to_owned(),
                |hash| format!("\"{}\"", tree::hex(&hash))
            )
        );
        for (number, leaf) in self.leaves.iter().enumerate() {
            json.push_str(if number == 0 { "\n" } else { ",\n" });
            let withheld = self.withheld.get(&leaf.path);
            let named = match withheld {
                Some(Withheld { hidden: true, .. }) => {
                    format!("\"leaf\": \"{}\"", tree::hex(&leaf.hash()))
                }
                _ => format!(
                    "\"path\": {}, \"size\": {}, \"sha256\": \"{}\"",
                    quoted(&leaf.path),
                    leaf.size,
                    tree::hex(&leaf.sha256)
                ),
            };
            let reason = withheld.map_or_else(String::new, |withheld| {
                format!(", \"withheld\": {}", quoted(&withheld.reason))
            });
            json.push_str(&format!("{{{named}{reason}}}"));
        }
        json.push_str("\n]\n}\n");
        json
    }
}

/// A reason on one line and no longer than the profile allows.
fn bounded(reason: &str) -> String {
    let line = super::tags::one_line(reason);
    let mut units = 0;
    line.chars()
        .take_while(|character| {
            units += character.len_utf16();
            units <= profile::MAX_REASON_UNITS
        })
        .collect()
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
        assert_eq!(value["previous"], serde_json::Value::Null);
        let following = evidence.clone().following(Some([7; 32]));
        assert_eq!(following.root(), evidence.root());
        let told: serde_json::Value = serde_json::from_str(&following.to_json()).unwrap();
        assert_eq!(told["previous"], "07".repeat(32));
        assert_eq!(value["leaves"][0]["path"], "data/season/süß 'x'");
        assert_eq!(value["leaves"][0]["size"], 3);
    }

    #[test]
    fn withheld_leaves_stay_in_the_tree_and_tell_no_more_than_they_may() {
        let items = ["season/a", "season/b", "season/c", "report/x.pdf"]
            .map(|path| Item::from_bytes(path, path.into()));
        let whole = Evidence::of(&items);
        let because = |reason: &str, hidden| Withheld {
            reason: reason.into(),
            hidden,
        };
        let marked = whole.clone().withholding(&BTreeMap::from([
            ("season/a".into(), because("no\nconsent", false)),
            ("season/b".into(), because(&"long ".repeat(200), true)),
            ("report/x.pdf".into(), because("is no leaf", false)),
        ]));
        assert_eq!(marked.root(), whole.root());
        assert!(marked.is_over(&items) && !marked.is_over(&items[1..]));
        assert_eq!(marked.withheld(), 2);
        let value: serde_json::Value = serde_json::from_str(&marked.to_json()).unwrap();
        let leaves = &value["leaves"];
        assert_eq!(leaves[0]["path"], "data/season/a");
        assert_eq!(leaves[0]["withheld"], "no consent");
        assert_eq!(leaves[1].as_object().unwrap().len(), 2);
        assert_eq!(leaves[1]["leaf"], tree::hex(&items[1].leaf().hash()));
        assert!(profile::is_reason(leaves[1]["withheld"].as_str().unwrap()));
        assert_eq!(leaves[2].get("withheld"), None);
    }
}
