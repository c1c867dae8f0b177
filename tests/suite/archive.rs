//! The evidence archive from end to end: packed, verified, harmed in every way that came to mind, verified again.
//!
//! `zip_maker` writes ZIPs by hand, field by field, so that a test can lie in any of them.

#[path = "archive/bags.rs"]
mod bags;
#[path = "archive/harm.rs"]
mod harm;
#[path = "archive/hostile.rs"]
mod hostile;
#[path = "archive/mutations.rs"]
mod mutations;
#[path = "archive/packing.rs"]
mod packing;
#[path = "archive/withheld.rs"]
mod withheld;
#[path = "archive/zip_maker.rs"]
mod zip_maker;

use std::path::{Path, PathBuf};

use windrow::archive::{BagDescription, Evidence, Item, Packed, pack};
use windrow::verify::{Expected, Verdict, verify};

const BASE: &str = "invented-ponds-2026-evidence";

fn description() -> BagDescription {
    BagDescription {
        base: BASE.into(),
        season: "Invented Ponds, season 2026".into(),
        organisation: "Invented Pond Trust".into(),
        description: "Records of a season of hand-pulling, invented for a test".into(),
        bagging_date: "2026-10-01".into(),
        tool_version: "0.1.0".into(),
    }
}

/// A season of a few small files.
fn season() -> Vec<Item> {
    [
        ("season/season.toml", "programme = \"Invented\"\n"),
        ("season/pulls.csv", "pull,date,site\n1,2026-06-01,north\n"),
        ("season/photos/Süd pond.jpg", "not a picture"),
        ("season/.keep", ""),
        ("ledger/figures.json", "{}"),
        ("ledger/figures.csv", "name,value\n"),
        ("ledger/photo-index.csv", "file\n"),
        ("report/funder.pdf", "%PDF-1.7 not a report"),
    ]
    .into_iter()
    .map(|(path, content)| Item::from_bytes(path, content.into()))
    .collect()
}

fn pack_items(items: Vec<Item>, output: &Path) -> Packed {
    let evidence = Evidence::of(&items);
    pack(items, &evidence, &description(), output, &mut |_| {}).unwrap()
}

/// The smallest season that has a file of each sort, for tests that go through every bit.
fn smallest_packed() -> (tempfile::TempDir, Packed) {
    let folder = tempfile::tempdir().unwrap();
    let wanted = [
        "season/photos/Süd pond.jpg",
        "ledger/figures.json",
        "report/funder.pdf",
    ];
    let mut items = season();
    items.retain(|item| wanted.contains(&item.path.as_str()));
    let packed = pack_items(items, &folder.path().join("evidence.zip"));
    (folder, packed)
}

/// A folder of its own for a test, with the season packed into it.
fn packed() -> (tempfile::TempDir, Packed) {
    let folder = tempfile::tempdir().unwrap();
    let packed = pack_items(season(), &folder.path().join("evidence.zip"));
    (folder, packed)
}

fn judge(path: &Path) -> Verdict {
    verify(path, &Expected::default(), &mut |_, _| {}).unwrap()
}

/// Faults as `name place`, to compare at a glance.
fn told(verdict: &Verdict) -> Vec<String> {
    verdict
        .faults
        .iter()
        .map(|fault| format!("{} {}", fault.name(), fault.place()))
        .collect()
}

/// Unpacks an honest archive into `into` and gives the bag's base directory.
fn unpack(archive: &Path, into: &Path) -> PathBuf {
    for (name, content) in zip_maker::contents(archive) {
        let path = into.join(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, content).unwrap();
    }
    into.join(BASE)
}
