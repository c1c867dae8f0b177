//! A coordinator's first evening: from nothing to a closed season and on to the next, by what the program says alone.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use windrow::begin::{Row, filled_table};
use windrow::season::form::TABLES;
use windrow::season::{read_ground, read_settings};

use super::support::folder::contents;

fn windrow(words: &[&str], folder: &Path) -> (i32, String) {
    let run = Command::new(env!("CARGO_BIN_EXE_windrow"))
        .args(words)
        .current_dir(folder)
        .env("NO_COLOR", "1")
        .output()
        .unwrap();
    let text = format!(
        "{}{}",
        String::from_utf8_lossy(&run.stdout),
        String::from_utf8_lossy(&run.stderr)
    );
    (run.status.code().unwrap(), text)
}

fn sample() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-season")
}

/// The step that the program proposes.
fn step(told: &str) -> &str {
    told.lines()
        .find_map(|line| line.strip_prefix("next  "))
        .unwrap_or_else(|| panic!("no next step in\n{told}"))
}

fn row(cells: &[(&'static str, &str)]) -> Row {
    cells
        .iter()
        .map(|(column, text)| (*column, (*text).to_owned()))
        .collect()
}

/// Types rows into one of the workbooks, as a person would below its headings.
fn fill(season: &Path, name: &str, rows: &[Row]) {
    let table = TABLES.iter().find(|table| table.name == name).unwrap();
    let read = |file: &str| fs::read_to_string(season.join(file)).unwrap();
    let settings = read_settings(&read("season.toml")).unwrap();
    let ground = read_ground(&read("sites.geojson"));
    let (path, bytes) = filled_table(table, &settings, &ground, false, rows).unwrap();
    fs::write(season.join(path), bytes).unwrap();
}

/// Three sites of the sample season with their stations.
fn draw_sites(season: &Path) {
    let text = fs::read_to_string(sample().join("sites.geojson")).unwrap();
    let all: serde_json::Value = serde_json::from_str(&text).unwrap();
    let wanted = ["heron-bay", "long-reach", "mill-cove"];
    let features: Vec<&serde_json::Value> = all["features"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|feature| {
            let of = |key: &str| feature["properties"][key].as_str();
            of("id").is_some_and(|id| wanted.contains(&id))
                || of("site").is_some_and(|site| wanted.contains(&site))
        })
        .collect();
    let path = season.join("sites.geojson");
    let mut new: serde_json::Value =
        serde_json::from_str(&fs::read_to_string(&path).unwrap()).unwrap();
    new["features"] = serde_json::to_value(features).unwrap();
    fs::write(path, new.to_string()).unwrap();
}

fn pulls() -> Vec<Row> {
    let outings = [
        ("P01", "2025-05-24", "heron-bay", "9", "seedling"),
        ("P02", "2025-06-14", "heron-bay", "12", "rosette"),
        ("P03", "2025-06-28", "heron-bay", "7", "rosette"),
        ("P04", "2025-07-12", "long-reach", "10", "rosette"),
        ("P05", "2025-07-19", "mill-cove", "8", "flowering"),
        ("P06", "2025-07-26", "heron-bay", "0", "flowering"),
    ];
    outings
        .iter()
        .map(|(pull, date, site, containers, stage)| {
            row(&[
                ("pull", pull),
                ("date", date),
                ("site", site),
                ("start", "08:30"),
                ("end", "12:30"),
                ("staff", "1"),
                ("volunteers", "5"),
                ("paid_by", "own funds"),
                ("boats", "3"),
                ("searched_area", "2.5"),
                ("treated_area", "1.2"),
                ("container", "bag"),
                ("containers", containers),
                ("basis", "counted"),
                ("stage", stage),
                ("fruit", "none"),
                ("disposal", "compost yard"),
                ("gear_cleaned", "yes"),
                ("bloom_seen", "no"),
            ])
        })
        .collect()
}

fn weighings() -> Vec<Row> {
    let masses = [
        ("P01", ["12", "14", "11.5"]),
        ("P02", ["21", "24.5", "19"]),
        ("P05", ["27", "25", "30.5"]),
    ];
    masses
        .iter()
        .flat_map(|(pull, masses)| {
            masses
                .iter()
                .map(move |mass| row(&[("pull", pull), ("container", "bag"), ("mass", mass)]))
        })
        .collect()
}

fn photos(season: &Path) {
    let days = [
        "2025-05-24",
        "2025-06-14",
        "2025-06-28",
        "2025-07-12",
        "2025-07-19",
        "2025-07-26",
    ];
    for day in days {
        let folder = season.join("photos").join(day);
        fs::create_dir_all(&folder).unwrap();
        for entry in fs::read_dir(sample().join("photos").join(day)).unwrap() {
            let entry = entry.unwrap();
            fs::copy(entry.path(), folder.join(entry.file_name())).unwrap();
        }
    }
}

#[test]
fn from_new_to_close_and_on_to_the_next_season() {
    let place = tempfile::tempdir().unwrap();
    let here = place.path();
    let (_, told) = windrow(&[], here);
    assert!(step(&told).starts_with("windrow new"), "{told}");

    let (code, told) = windrow(
        &[
            "new",
            "my-season",
            "--year",
            "2025",
            "--time-zone",
            "America/New_York",
            "--programme",
            "Evening Friends (invented)",
        ],
        here,
    );
    assert_eq!(code, 0, "{told}");
    let season = here.join("my-season");
    let (_, told) = windrow(&[], &season);
    assert!(step(&told).starts_with("draw your sites"), "{told}");
    // From a folder within it, too.
    let (_, told) = windrow(&[], &season.join("photos"));
    assert!(step(&told).starts_with("windrow check"), "{told}");

    draw_sites(&season);
    let (_, told) = windrow(&["check", "my-season"], here);
    assert!(step(&told).starts_with("fill in the pull log"), "{told}");

    fill(&season, "pulls", &pulls());
    let (code, told) = windrow(&["check", "my-season"], here);
    assert_eq!(code, 0, "{told}");
    // The mends name the files that are there.
    assert!(told.contains("photos.xlsx"), "{told}");
    assert!(!told.contains("photos.csv"), "{told}");
    let (_, told) = windrow(&[], &season);
    assert!(step(&told).starts_with("windrow check ."), "{told}");

    fill(&season, "weighings", &weighings());
    photos(&season);
    let before = contents(&season);
    let (code, told) = windrow(&["close", "my-season"], here);
    assert_eq!(code, 0, "{told}");
    assert!(told.contains("verify       whole"), "{told}");
    assert!(before == contents(&season), "the season folder was changed");
    // 6 pulls of 6 people for 4 hours.
    assert!(told.contains("144\u{a0}h"), "{told}");
    let (_, told) = windrow(&[], &season);
    assert!(step(&told).starts_with("windrow verify"), "{told}");

    let archive = "my-season-out/my-season-evidence.zip";
    let (code, told) = windrow(&["next", "my-season", "--json"], here);
    assert_eq!(code, 0, "{told}");
    let plan: serde_json::Value = serde_json::from_str(&told).unwrap();
    assert_eq!(plan["year"], 2026);
    assert_eq!(plan["sites"].as_array().unwrap().len(), 3);
    for site in plan["sites"].as_array().unwrap() {
        assert!(site["hours"]["value"].is_number(), "{site}");
    }

    let (code, told) = windrow(&["new", "next-season", "--from", archive], here);
    assert_eq!(code, 0, "{told}");
    assert!(told.contains("is whole"), "{told}");
    let next = here.join("next-season");
    let settings = fs::read_to_string(next.join("season.toml")).unwrap();
    assert!(
        settings.contains("archive = \"../my-season-out/my-season-evidence.zip\""),
        "{settings}"
    );
    assert!(next.join("sheets/plan.pdf").is_file());
    let (code, told) = windrow(&["check", "next-season"], here);
    assert_eq!(code, 0, "{told}");
    assert!(step(&told).starts_with("fill in the pull log"), "{told}");
    let loaded = windrow::season::load(&next, &|_| {}).unwrap();
    assert_eq!(loaded.settings.year, 2026);
    assert_eq!(loaded.history.len(), 3);
    let hours: f64 = loaded.history.iter().filter_map(|row| row.effort).sum();
    assert_eq!(hours, 144.0);

    // A harmed archive starts no season.
    let mut bytes = fs::read(here.join(archive)).unwrap();
    let middle = bytes.len() / 2;
    bytes[middle] ^= 1;
    fs::write(here.join("harmed.zip"), bytes).unwrap();
    let (code, told) = windrow(&["new", "other", "--from", "harmed.zip"], here);
    assert_eq!(code, 1, "{told}");
    assert!(told.contains("not whole"), "{told}");
    assert!(!here.join("other").exists());
}
