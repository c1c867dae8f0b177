//! Copies to hand over: files stay out, their leaves stay in, and nobody can misuse that unnoticed.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use serde_json::{Value, json};
use sha2::{Digest, Sha256};
use windrow::archive::tree::hex;
use windrow::archive::{Evidence, Packed, Withheld, pack};
use windrow::verify::{Expected, Verdict, open, verify};

use super::{description, judge, pack_items, season, told, unpack};

const PHOTO: &str = "data/season/photos/Süd pond.jpg";
const REASON: &str = "no consent of the person in it";

/// The season of the other tests with its photo withheld, its name told or not, and .keep withheld besides.
fn handed_over(folder: &Path, hidden: bool) -> Packed {
    let items = season();
    let because = |hidden| Withheld {
        reason: REASON.into(),
        hidden,
    };
    let evidence = Evidence::of(&items).withholding(&BTreeMap::from([
        ("season/photos/Süd pond.jpg".to_owned(), because(hidden)),
        ("season/.keep".to_owned(), because(false)),
    ]));
    let output = folder.join("handover.zip");
    pack(items, &evidence, &description(), &output, &mut |_| {}).unwrap()
}

fn judge_with_root(path: &Path, root: [u8; 32]) -> Verdict {
    let expected = Expected {
        root: Some(root),
        ..Expected::default()
    };
    verify(path, &expected, &mut |_, _| {}).unwrap()
}

#[test]
fn a_copy_to_hand_over_is_whole_with_the_same_root_and_says_what_is_withheld() {
    let folder = tempfile::tempdir().unwrap();
    let whole = pack_items(season(), &folder.path().join("whole.zip"));
    assert_eq!(judge(&whole.path).withheld, []);
    for hidden in [false, true] {
        let packed = handed_over(folder.path(), hidden);
        assert_eq!((packed.root, packed.withheld), (whole.root, 2));
        assert_eq!(packed.files, whole.files - 2);
        let bytes = fs::read(&packed.path).unwrap();
        let holds = |text: &str| {
            bytes
                .windows(text.len())
                .any(|part| part == text.as_bytes())
        };
        assert!(!holds("not a picture"));
        assert_eq!(holds("pond.jpg"), !hidden);
        let unpacked = folder.path().join(format!("{hidden}"));
        for path in [packed.path.clone(), unpack(&packed.path, &unpacked)] {
            let verdict = judge_with_root(&path, whole.root);
            assert_eq!(verdict.faults, []);
            assert_eq!((verdict.root, verdict.leaves), (Some(whole.root), 7));
            let list: Vec<(Option<&str>, &str)> = verdict
                .withheld
                .iter()
                .map(|item| (item.path.as_deref(), item.reason.as_str()))
                .collect();
            let name = (!hidden).then_some(PHOTO);
            assert_eq!(list, [(Some("data/season/.keep"), REASON), (name, REASON)]);
        }
        let opened = open(&packed.path).unwrap().unwrap();
        assert_eq!(opened.leaves().len(), 7);
        assert_eq!(opened.leaf(PHOTO).is_some(), !hidden);
    }
}

/// Changes evidence.json of an unpacked copy and redoes the tag manifest, as only its maker could.
fn with_evidence(base: &Path, change: impl FnOnce(&mut Value)) {
    let path = base.join("evidence.json");
    let mut value: Value = serde_json::from_slice(&fs::read(&path).unwrap()).unwrap();
    change(&mut value);
    fs::write(&path, value.to_string()).unwrap();
    redo_tag_manifest(base);
}

fn redo_tag_manifest(base: &Path) {
    let path = base.join("tagmanifest-sha256.txt");
    let lines: String = fs::read_to_string(&path)
        .unwrap()
        .lines()
        .map(|line| {
            let (_, name) = line.split_once("  ").unwrap();
            let hash = Sha256::digest(fs::read(base.join(name)).unwrap());
            format!("{}  {name}\n", hex(&hash))
        })
        .collect();
    fs::write(path, lines).unwrap();
}

/// Leaf 0 to 2 are the ledger; 3 is .keep; 4 the photo; 5 pulls.csv; 6 season.toml.
fn photo_leaf(value: &mut Value) -> &mut Value {
    &mut value["leaves"][4]
}

#[test]
fn whatever_is_altered_about_a_withheld_file_is_found() {
    type Change = fn(&mut Value);
    let changes: Vec<(&str, bool, Change)> = vec![
        ("reason removed", false, |value| {
            photo_leaf(value)
                .as_object_mut()
                .unwrap()
                .remove("withheld");
        }),
        ("reason removed", true, |value| {
            photo_leaf(value)
                .as_object_mut()
                .unwrap()
                .remove("withheld");
        }),
        ("empty reason", false, |value| {
            photo_leaf(value)["withheld"] = json!(" ")
        }),
        ("reason of two lines", true, |value| {
            photo_leaf(value)["withheld"] = json!("a\nb")
        }),
        ("no text for a reason", false, |value| {
            photo_leaf(value)["withheld"] = json!(true)
        }),
        ("endless reason", false, |value| {
            photo_leaf(value)["withheld"] = json!("x".repeat(301))
        }),
        ("another size", false, |value| {
            photo_leaf(value)["size"] = json!(14)
        }),
        ("another hash", false, |value| {
            photo_leaf(value)["sha256"] = json!("0".repeat(64))
        }),
        ("another hash", true, |value| {
            photo_leaf(value)["leaf"] = json!("0".repeat(64))
        }),
        ("another name", false, |value| {
            photo_leaf(value)["path"] = json!("data/season/photos/x.jpg")
        }),
        ("a name that leads outside", false, |value| {
            photo_leaf(value)["path"] = json!("data/season/o/../../x")
        }),
        ("a name beside the season", false, |value| {
            photo_leaf(value)["path"] = json!("data/season.jpg")
        }),
        ("half hidden", false, |value| {
            photo_leaf(value)["leaf"] = json!("0".repeat(64))
        }),
        ("half named", true, |value| {
            photo_leaf(value)["path"] = json!(PHOTO)
        }),
        ("taken away", false, |value| {
            value["leaves"].as_array_mut().unwrap().remove(4);
        }),
        ("taken away", true, |value| {
            value["leaves"].as_array_mut().unwrap().remove(4);
        }),
        ("listed twice", false, |value| {
            let leaf = photo_leaf(value).clone();
            value["leaves"].as_array_mut().unwrap().insert(4, leaf);
        }),
        ("one more", true, |value| {
            let leaf = json!({"leaf": "1".repeat(64), "withheld": "because"});
            value["leaves"].as_array_mut().unwrap().push(leaf);
        }),
        ("moved", true, |value| {
            value["leaves"].as_array_mut().unwrap().swap(3, 4)
        }),
        ("a present file called withheld", false, |value| {
            value["leaves"][5]["withheld"] = json!("because")
        }),
    ];
    for (what, hidden, change) in changes {
        let folder = tempfile::tempdir().unwrap();
        let packed = handed_over(folder.path(), hidden);
        let base = unpack(&packed.path, &folder.path().join("out"));
        with_evidence(&base, change);
        let verdict = judge_with_root(&base, packed.root);
        assert!(!verdict.whole(), "{what}, hidden: {hidden}");
    }
}

#[test]
fn a_withheld_file_that_is_here_after_all_is_a_fault() {
    for hidden in [false, true] {
        let folder = tempfile::tempdir().unwrap();
        let packed = handed_over(folder.path(), hidden);
        let base = unpack(&packed.path, &folder.path().join("out"));
        fs::create_dir_all(base.join("data/season/photos")).unwrap();
        fs::write(base.join(PHOTO), "not a picture").unwrap();
        // Put there alone, no manifest lists it.
        assert!(
            told(&judge(&base)).contains(&format!("added {PHOTO}")),
            "{hidden}"
        );
        // Put there by the maker, with manifest, Oxum and tag manifest redone.
        let manifest = base.join("manifest-sha256.txt");
        let mut lines: Vec<String> = fs::read_to_string(&manifest)
            .unwrap()
            .lines()
            .map(str::to_owned)
            .collect();
        lines.push(format!(
            "{}  {PHOTO}",
            hex(&Sha256::digest("not a picture"))
        ));
        lines.sort_by(|one, other| one[66..].cmp(&other[66..]));
        fs::write(manifest, lines.join("\n") + "\n").unwrap();
        let info = base.join("bag-info.txt");
        let text = fs::read_to_string(&info).unwrap();
        let oxum = format!("{}.{}", packed.bytes + 13, packed.files + 1);
        let text = text.replace(&format!("{}.{}", packed.bytes, packed.files), &oxum);
        fs::write(info, text).unwrap();
        redo_tag_manifest(&base);
        let faults = told(&judge(&base));
        assert_eq!(faults, [format!("tree {PHOTO}")], "{hidden}");
        if hidden {
            // Listed as well, both as hidden and as present: the tree would count it twice.
            with_evidence(&base, |value| {
                let sum = hex(&Sha256::digest("not a picture"));
                let leaf = json!({"path": PHOTO, "size": 13, "sha256": sum});
                value["leaves"].as_array_mut().unwrap().insert(4, leaf);
            });
            assert!(told(&judge(&base)).contains(&format!("tree {PHOTO}")));
        }
    }
}

#[test]
fn a_file_taken_away_afterwards_is_missing_and_not_withheld() {
    let folder = tempfile::tempdir().unwrap();
    let packed = handed_over(folder.path(), false);
    let base = unpack(&packed.path, &folder.path().join("out"));
    fs::remove_file(base.join("data/season/pulls.csv")).unwrap();
    let verdict = judge(&base);
    assert!(told(&verdict).contains(&"missing data/season/pulls.csv".to_owned()));
    assert_ne!(verdict.root, Some(packed.root));
}
