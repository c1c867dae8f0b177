//! `windrow verify --recompute` by the program itself: what follows from the records, and what was altered with all hashes redone.

use std::io::Read;
use std::path::{Path, PathBuf};

use serde_json::Value;
use windrow::archive::tree::hex;
use windrow::archive::{BagDescription, Evidence, Item, Packed, pack};

use super::support::folder::Folder;
use super::support::program::windrow;

/// The archive of the clean folder, and the root that its report prints.
fn packed(place: &Path) -> (PathBuf, String) {
    let folder = Folder::clean();
    let run = windrow(&[
        "pack",
        folder.path().to_str().unwrap(),
        "--json",
        "--output",
        place.join("season-evidence.zip").to_str().unwrap(),
    ]);
    assert_eq!(
        run.status.code(),
        Some(0),
        "{}",
        String::from_utf8_lossy(&run.stderr)
    );
    let told: Value = serde_json::from_slice(&run.stdout).unwrap();
    let text = |name: &str| told[name].as_str().unwrap().to_owned();
    (text("archive").into(), text("root"))
}

/// The same archive made anew with files changed, all lists and hashes redone as only their maker could.
fn redone(
    archive: &Path,
    output: &Path,
    version: Option<&str>,
    change: impl Fn(&str, Vec<u8>) -> Vec<u8>,
) -> Packed {
    let mut zip = zip::ZipArchive::new(std::fs::File::open(archive).unwrap()).unwrap();
    let (mut items, mut info, mut base) = (Vec::new(), String::new(), String::new());
    for number in 0..zip.len() {
        let mut entry = zip.by_index(number).unwrap();
        let name = entry.name().unwrap().into_owned();
        let (top, path) = name.split_once('/').unwrap();
        base = top.to_owned();
        let mut bytes = Vec::new();
        entry.read_to_end(&mut bytes).unwrap();
        if path == "bag-info.txt" {
            info = String::from_utf8(bytes).unwrap();
        } else if let Some(path) = path.strip_prefix("data/") {
            items.push(Item::from_bytes(path, change(path, bytes)));
        }
    }
    let stated = |label: &str| {
        let line = info
            .lines()
            .find_map(|line| line.strip_prefix(label))
            .unwrap();
        line.trim_start_matches(": ").to_owned()
    };
    let software = stated("Bag-Software-Agent");
    let description = BagDescription {
        base,
        season: stated("Windrow-Season"),
        organisation: stated("Source-Organization"),
        description: stated("External-Description"),
        bagging_date: stated("Bagging-Date"),
        tool_version: version
            .unwrap_or(software.strip_prefix("windrow ").unwrap())
            .to_owned(),
    };
    let evidence = Evidence::of(&items);
    pack(items, &evidence, &description, output, &mut |_| {}).unwrap()
}

fn recompute(archive: &Path, more: &[&str]) -> (Option<i32>, Value) {
    let words = [
        &["verify", "--recompute", "--json", archive.to_str().unwrap()],
        more,
    ]
    .concat();
    let run = windrow(&words);
    (
        run.status.code(),
        serde_json::from_slice(&run.stdout).unwrap(),
    )
}

#[test]
fn an_honest_archive_comes_out_the_same_to_the_byte_under_any_name() {
    let place = tempfile::tempdir().unwrap();
    let (archive, root) = packed(place.path());
    let (code, told) = recompute(&archive, &["--root", &root]);
    assert_eq!(
        (code, &told["whole"]),
        (Some(0), &Value::Bool(true)),
        "{told:#}"
    );
    assert!(told["recomputed"]["figures"].as_u64().unwrap() > 20);
    assert_eq!(told["recomputed"]["same-version"], true);
    let renamed = place.path().join("from the board.zip");
    std::fs::rename(&archive, &renamed).unwrap();
    assert_eq!(recompute(&renamed, &[]).0, Some(0));
    // Made anew without a change it is the same archive.
    let again = redone(
        &renamed,
        &place.path().join("again.zip"),
        None,
        |_, bytes| bytes,
    );
    assert_eq!(hex(&again.root), root);
    assert_eq!(
        std::fs::read(again.path).unwrap(),
        std::fs::read(renamed).unwrap()
    );
}

/// A bag more than the crew wrote down.
fn with_another_cell(path: &str, bytes: Vec<u8>) -> Vec<u8> {
    if path != "season/pulls.csv" {
        return bytes;
    }
    let text = String::from_utf8(bytes).unwrap();
    assert!(text.contains("bag,10,"));
    text.replacen("bag,10,", "bag,11,", 1).into_bytes()
}

#[test]
fn an_edited_cell_with_all_hashes_redone_is_found_by_the_root_and_by_the_figures() {
    let place = tempfile::tempdir().unwrap();
    let (archive, root) = packed(place.path());
    let forged = redone(
        &archive,
        &place.path().join("season-evidence-2.zip"),
        None,
        with_another_cell,
    );
    let forged_root = hex(&forged.root);
    // By itself it is whole. The printed root says that it is another archive.
    let path = forged.path.to_str().unwrap();
    assert_eq!(windrow(&["verify", path]).status.code(), Some(0));
    assert_eq!(
        windrow(&["verify", path, "--root", &root]).status.code(),
        Some(1)
    );
    assert_eq!(
        windrow(&["verify", path, "--root", &forged_root])
            .status
            .code(),
        Some(0)
    );
    // Even with its own root the figures and the report don't follow from the rows any more.
    let (code, told) = recompute(&forged.path, &["--root", &forged_root]);
    assert_eq!((code, &told["whole"]), (Some(1), &Value::Bool(true)));
    let differences = told["recomputed"]["differences"].as_array().unwrap();
    let mass = differences
        .iter()
        .find(|one| one["figure"] == "removal.wet-mass" && one["field"] == "value")
        .unwrap();
    let value = |which: &str| mass[which].as_str().unwrap().parse::<f64>().unwrap();
    assert!(value("derived") > value("packed"), "{mass}");
    let files = told["recomputed"]["other-bytes"].as_array().unwrap();
    assert!(files.iter().any(|file| file == "data/ledger/figures.json"));
    assert!(
        files
            .iter()
            .any(|file| file.as_str().unwrap().ends_with("report.pdf"))
    );
}

#[test]
fn a_figure_or_a_page_that_was_altered_alone_is_named() {
    let place = tempfile::tempdir().unwrap();
    let (archive, _) = packed(place.path());
    let forged = redone(
        &archive,
        &place.path().join("1.zip"),
        None,
        |path, bytes| {
            if path != "ledger/figures.json" {
                return bytes;
            }
            let mut ledger: Value = serde_json::from_slice(&bytes).unwrap();
            ledger["figures"]["effort.person-hours"]["value"] = 4000.into();
            serde_json::to_vec_pretty(&ledger).unwrap()
        },
    );
    let (code, told) = recompute(&forged.path, &[]);
    assert_eq!(code, Some(1));
    let differences = told["recomputed"]["differences"].as_array().unwrap();
    assert_eq!(differences.len(), 1);
    assert_eq!(differences[0]["figure"], "effort.person-hours");
    assert_eq!(differences[0]["packed"], "4000");

    let forged = redone(
        &archive,
        &place.path().join("2.zip"),
        None,
        |path, mut bytes| {
            if path.ends_with(".pdf") {
                bytes.push(b'\n');
            }
            bytes
        },
    );
    let (code, told) = recompute(&forged.path, &[]);
    assert_eq!(
        (
            code,
            told["recomputed"]["differences"].as_array().unwrap().len()
        ),
        (Some(1), 0)
    );
    // Both editions that the archive holds were altered, and both are named.
    assert_eq!(
        told["recomputed"]["other-bytes"].as_array().unwrap().len(),
        2
    );
}

#[test]
fn of_another_version_the_figures_alone_are_compared() {
    let place = tempfile::tempdir().unwrap();
    let (archive, _) = packed(place.path());
    let older = redone(
        &archive,
        &place.path().join("1.zip"),
        Some("0.0.1"),
        |path, bytes| {
            if path == "ledger/figures.json" {
                String::from_utf8(bytes)
                    .unwrap()
                    .replace("Person-hours", "Hours of persons")
                    .into_bytes()
            } else {
                bytes
            }
        },
    );
    let (code, told) = recompute(&older.path, &[]);
    assert_eq!(
        (code, &told["recomputed"]["same-version"]),
        (Some(0), &Value::Bool(false)),
        "{told:#}"
    );
    let forged = redone(
        &older.path,
        &place.path().join("2.zip"),
        Some("0.0.1"),
        with_another_cell,
    );
    assert_eq!(recompute(&forged.path, &[]).0, Some(1));
}

#[test]
fn what_is_not_whole_or_has_no_season_is_not_worked_out_again() {
    let place = tempfile::tempdir().unwrap();
    let (archive, _) = packed(place.path());
    let mut bytes = std::fs::read(&archive).unwrap();
    let middle = bytes.len() / 2;
    bytes[middle] ^= 1;
    let harmed = place.path().join("harmed.zip");
    std::fs::write(&harmed, bytes).unwrap();
    let (code, told) = recompute(&harmed, &[]);
    assert_eq!((code, &told["recomputed"]), (Some(1), &Value::Null));
    let forged = redone(
        &archive,
        &place.path().join("1.zip"),
        None,
        |path, bytes| {
            if path == "season/season.toml" {
                b"programme = \"x".to_vec()
            } else {
                bytes
            }
        },
    );
    let (code, told) = recompute(&forged.path, &[]);
    assert_eq!(code, Some(1));
    assert!(
        told["recomputed"]["not-done"]
            .as_str()
            .unwrap()
            .contains("season.toml"),
        "{told:#}"
    );
}
