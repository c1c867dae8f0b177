//! The rooms that read what strangers write, compiled in by their paths: the package itself links a typesetter and would
//! take ten minutes to build. With them, what several targets need: a season folder and an archive to put bytes into.

#![allow(dead_code, unused_imports)]

#[path = "../../src/archive/mod.rs"]
pub mod archive;
#[path = "../../src/daylight.rs"]
pub mod daylight;
#[path = "../../src/deflated.rs"]
pub mod deflated;
#[path = "../../src/estimate/mod.rs"]
pub mod estimate;
#[path = "../../src/figure/mod.rs"]
pub mod figure;
#[path = "../../src/finding/mod.rs"]
pub mod finding;
#[path = "../../src/hash.rs"]
pub mod hash;
#[path = "../../src/interrupt.rs"]
pub mod interrupt;
#[path = "../../src/output.rs"]
pub mod output;
#[path = "../../src/photo/mod.rs"]
pub mod photo;
#[path = "../../src/place/mod.rs"]
pub mod place;
#[path = "../../src/season/mod.rs"]
pub mod season;
#[path = "../../src/shared.rs"]
pub mod shared;
#[path = "../../src/stamp.rs"]
pub mod stamp;
#[path = "../../src/units.rs"]
pub mod units;
#[path = "../../src/verify/mod.rs"]
pub mod verify;
#[path = "../../src/words/mod.rs"]
pub mod words;

use std::fs;
use std::io::{Cursor, Read, Write};
use std::path::PathBuf;

/// Settings as small as they may be, so that the other file is what counts.
const SETTINGS: &str = "programme = \"Invented\"\nyear = 2025\ntime_zone = \"Atlantic/Azores\"\n";

/// A site for the rows to name.
const SITES: &str = r#"{"type":"FeatureCollection","features":[{"type":"Feature","properties":{"id":"north","name":"North Cove","waterbody":"Test Pond"},"geometry":{"type":"Polygon","coordinates":[[[-45.001,38.5],[-45.0,38.5],[-45.0,38.501],[-45.001,38.5]]]}}]}"#;

/// The longest input that is tried: what matters of these formats fits into it.
pub const LONGEST: usize = 1 << 16;

/// A season folder of settings and outlines, gone with the process.
pub struct Folder {
    place: tempfile::TempDir,
}

impl Default for Folder {
    fn default() -> Self {
        let folder = Self {
            place: tempfile::tempdir().expect("a temporary folder"),
        };
        folder.write("season.toml", SETTINGS.as_bytes());
        folder.write("sites.geojson", SITES.as_bytes());
        fs::create_dir(folder.path().join("tracks")).expect("the folder is ours");
        folder
    }
}

impl Folder {
    pub fn path(&self) -> PathBuf {
        self.place.path().to_owned()
    }

    pub fn write(&self, name: &str, bytes: &[u8]) {
        fs::write(self.place.path().join(name), bytes).expect("room on the disk");
    }

    pub fn remove(&self, name: &str) {
        fs::remove_file(self.place.path().join(name)).expect("it was written before");
    }

    /// Reads and judges the folder; every finding says something.
    pub fn check(&self) {
        let Ok(season) = season::load(&self.path(), &|_| ()) else {
            return;
        };
        let ledger = figure::compute(&season);
        for finding in figure::findings(&season, &ledger, Vec::new()) {
            assert!(!finding.message.is_empty());
        }
        let _ = ledger.to_json();
        let _ = ledger.to_csv();
    }
}

/// A workbook with one of its parts replaced, stored, so that changed letters stay readable.
pub fn with_part(workbook: &[u8], part: &str, content: &[u8]) -> Vec<u8> {
    let mut former = zip::ZipArchive::new(Cursor::new(workbook)).expect("a workbook of ours");
    let mut out = zip::ZipWriter::new(Cursor::new(Vec::new()));
    let options = zip::write::SimpleFileOptions::default()
        .compression_method(zip::CompressionMethod::Stored);
    for number in 0..former.len() {
        let mut entry = former.by_index(number).expect("an entry of ours");
        let name = entry.name().expect("a name of ours").into_owned();
        let mut bytes = Vec::new();
        entry.read_to_end(&mut bytes).expect("bytes of ours");
        out.start_file(name.as_str(), options).expect("in memory");
        out.write_all(if name == part { content } else { &bytes })
            .expect("in memory");
    }
    out.finish().expect("in memory").into_inner()
}

/// An evidence archive, unpacked: its folder, and the base directory in it.
pub fn unpacked_archive() -> (tempfile::TempDir, PathBuf) {
    use archive::{BagDescription, Evidence, Item, pack};
    let folder = tempfile::tempdir().expect("a temporary folder");
    let items = vec![
        Item::from_bytes("season/season.toml", SETTINGS.as_bytes().to_vec()),
        Item::from_bytes("season/pulls.csv", b"pull,date,site\n".to_vec()),
        Item::from_bytes("ledger/figures.json", b"{}".to_vec()),
        Item::from_bytes("report/funder.pdf", b"%PDF-".to_vec()),
    ];
    let description = BagDescription {
        base: "invented-2025-evidence".into(),
        season: "Invented Ponds 2025".into(),
        organisation: "Invented Pond Trust".into(),
        description: "Invented for fuzzing".into(),
        bagging_date: "2025-10-01".into(),
        tool_version: "0.1.0".into(),
    };
    let evidence = Evidence::of(&items);
    let zip = folder.path().join("evidence.zip");
    pack(items, &evidence, &description, &zip, &mut |_| {}).expect("room on the disk");
    let bytes = fs::read(&zip).expect("just packed");
    fs::remove_file(&zip).expect("just packed");
    let mut zip = zip::ZipArchive::new(Cursor::new(bytes)).expect("just packed");
    zip.extract(folder.path()).expect("room on the disk");
    let base = folder.path().join("invented-2025-evidence");
    (folder, base)
}
