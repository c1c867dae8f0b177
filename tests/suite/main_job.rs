//! The main job by the program itself: `windrow close` on the sample season, and what becomes of its archive.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use super::support::folder::{Folder, contents};

fn sample() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-season")
}

fn windrow(words: &[&str]) -> Output {
    windrow_on(words, None)
}

/// On so many threads.
fn windrow_on(words: &[&str], threads: Option<&str>) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_windrow"));
    command
        .args(words)
        .env("NO_COLOR", "1")
        .env("WINDROW_CACHE", "off");
    if let Some(threads) = threads {
        command.env("RAYON_NUM_THREADS", threads);
    }
    command.output().unwrap()
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

fn close(season: &Path, output: &Path) -> Output {
    close_on(season, output, None)
}

fn close_on(season: &Path, output: &Path, threads: Option<&str>) -> Output {
    let words = [
        "close",
        season.to_str().unwrap(),
        "--output",
        output.to_str().unwrap(),
    ];
    windrow_on(&words, threads)
}

fn only(folder: &Path, ending: &str) -> PathBuf {
    let mut fitting = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.to_str().unwrap().ends_with(ending));
    let first = fitting.next().unwrap();
    assert_eq!(fitting.next(), None);
    first
}

#[test]
fn the_sample_season_closes_well_and_the_same_on_one_thread_and_on_four() {
    let place = tempfile::tempdir().unwrap();
    let before = contents(&sample());
    let (first, second) = (place.path().join("first"), place.path().join("second"));
    let run = close_on(&sample(), &first, Some("1"));
    assert_eq!(run.status.code(), Some(0), "{}", text(&run.stderr));
    // No terminal, so no progress.
    assert_eq!(text(&run.stderr), "");
    let told = text(&run.stdout);
    for word in [
        "0 errors",
        "interval",
        "fingerprint",
        "verify       whole",
        "Person-hours on the water",
    ] {
        assert!(told.contains(word), "{word} is missing in\n{told}");
    }
    let again = close_on(&sample(), &second, Some("4"));
    assert_eq!(again.status.code(), Some(0));
    for ending in ["report.pdf", "board.pdf", "evidence.zip"] {
        let (one, two) = (only(&first, ending), only(&second, ending));
        assert!(
            std::fs::read(one).unwrap() == std::fs::read(two).unwrap(),
            "{ending} differs"
        );
    }
    // Three outputs, no leftovers, and the season untouched.
    assert_eq!(std::fs::read_dir(&first).unwrap().count(), 3);
    assert!(before == contents(&sample()));

    let archive = only(&first, "evidence.zip");
    let verified = windrow(&["verify", archive.to_str().unwrap()]);
    assert_eq!(verified.status.code(), Some(0));
    assert!(text(&verified.stdout).contains("whole"));

    // A bit in the middle of a photo.
    let mut bytes = std::fs::read(&archive).unwrap();
    let middle = bytes.len() / 2;
    bytes[middle] ^= 1;
    let harmed = place.path().join("harmed.zip");
    std::fs::write(&harmed, bytes).unwrap();
    let verified = windrow(&["verify", harmed.to_str().unwrap()]);
    assert_eq!(verified.status.code(), Some(1));
    assert!(
        text(&verified.stdout).contains("data/season/photos/"),
        "{}",
        text(&verified.stdout)
    );
}

#[test]
fn the_roots_that_report_and_letter_bear_are_compared() {
    let place = tempfile::tempdir().unwrap();
    let folder = Folder::clean();
    let run = windrow(&[
        "close",
        folder.path().to_str().unwrap(),
        "--json",
        "--output",
        place.path().to_str().unwrap(),
    ]);
    assert_eq!(run.status.code(), Some(0), "{}", text(&run.stderr));
    let told: serde_json::Value = serde_json::from_slice(&run.stdout).unwrap();
    let archive = told["packed"]["archive"].as_str().unwrap();
    let root = told["packed"]["root"].as_str().unwrap();
    let fingerprint = told["packed"]["fingerprint"].as_str().unwrap();
    let right = windrow(&[
        "verify",
        archive,
        "--root",
        root,
        "--fingerprint",
        fingerprint,
    ]);
    assert_eq!(right.status.code(), Some(0));
    let wrong = windrow(&["verify", archive, "--root", fingerprint]);
    assert_eq!(wrong.status.code(), Some(1));
}

#[test]
fn an_open_error_ends_with_one_and_a_mended_folder_with_nought() {
    let place = tempfile::tempdir().unwrap();
    let folder = Folder::clean();
    folder.replace("pulls.csv", "2025-06-21,south", "2025-06-21,soth");
    let season = folder.path();
    let run = windrow(&["check", season.to_str().unwrap()]);
    assert_eq!(run.status.code(), Some(1));
    let told = text(&run.stdout);
    assert!(
        told.contains("site-unknown") && told.contains("P2, 2025-06-21, soth"),
        "{told}"
    );
    assert!(told.contains("If south is meant"), "{told}");
    assert_eq!(
        close(&season, &place.path().join("out")).status.code(),
        Some(1)
    );
    folder.replace("pulls.csv", "2025-06-21,soth", "2025-06-21,south");
    assert_eq!(
        close(&season, &place.path().join("out")).status.code(),
        Some(0)
    );
}

#[test]
fn words_that_are_wrong_end_with_two_and_outputs_stay_out_of_the_season() {
    assert_eq!(windrow(&["close"]).status.code(), Some(2));
    assert_eq!(windrow(&["closse", "x"]).status.code(), Some(2));
    assert_eq!(windrow(&["--help"]).status.code(), Some(0));
    let folder = Folder::clean();
    let before = contents(&folder.path());
    let within = folder.path().join("out");
    let run = close(&folder.path(), &within);
    assert_eq!(run.status.code(), Some(2));
    assert!(text(&run.stderr).contains("season folder"));
    let run = windrow(&[
        "report",
        folder.path().to_str().unwrap(),
        "--output",
        folder.path().join("pulls.csv").to_str().unwrap(),
    ]);
    assert_eq!(run.status.code(), Some(2));
    assert!(before == contents(&folder.path()));
}

#[test]
fn what_is_no_season_folder_is_told_in_a_sentence() {
    let run = windrow(&["check", "there-is-no-such-folder"]);
    assert_eq!(run.status.code(), Some(3));
    let empty = Folder::empty();
    let run = windrow(&["close", empty.path().to_str().unwrap()]);
    assert_eq!(run.status.code(), Some(1));
    assert!(
        text(&run.stderr).contains("season.toml"),
        "{}",
        text(&run.stderr)
    );
    let folder = Folder::clean();
    folder.write("season.toml", "programme = \"x\nyear = 2025\n");
    let run = windrow(&["close", folder.path().to_str().unwrap()]);
    assert_eq!(run.status.code(), Some(1));
    // The parser's own words, with line and caret.
    assert!(
        text(&run.stderr).contains("line 1"),
        "{}",
        text(&run.stderr)
    );
}

#[test]
fn check_and_figures_speak_json_and_csv() {
    let season = sample();
    let season = season.to_str().unwrap();
    let run = windrow(&["check", season, "--json"]);
    let told: serde_json::Value = serde_json::from_slice(&run.stdout).unwrap();
    assert_eq!(told["counts"]["errors"], 0);
    assert!(
        told["findings"]
            .as_array()
            .unwrap()
            .iter()
            .all(|finding| finding["mend"].is_string())
    );
    assert!(told["photos"].as_array().unwrap().len() > 40);
    let run = windrow(&["figures", season, "--json"]);
    let ledger: serde_json::Value = serde_json::from_slice(&run.stdout).unwrap();
    assert!(ledger["figures"]["removal.wet-mass"]["interval"]["lower"].is_f64());
    let run = windrow(&["figures", season, "--csv"]);
    let mut reader = csv::Reader::from_reader(run.stdout.as_slice());
    let names: Vec<String> = reader
        .records()
        .map(|row| row.unwrap()[0].to_owned())
        .collect();
    assert!(names.is_sorted());
    assert!(names.contains(&"rate.mass-per-hour".to_owned()));
}

#[test]
fn the_plan_from_an_archive_is_the_one_from_its_folder() {
    let folder = Folder::clean();
    let output = folder.beside("out");
    let run = close(&folder.path(), &output);
    assert!(run.status.success(), "{}", text(&run.stdout));
    let archive = only(&output, ".zip");
    let archive = archive.to_str().unwrap();
    let season = folder.path();
    let from_folder = windrow(&["next", season.to_str().unwrap(), "--json"]);
    let from_archive = windrow(&["next", archive, "--json"]);
    assert_eq!(from_archive.status.code(), Some(0));
    assert_eq!(text(&from_archive.stdout), text(&from_folder.stdout));
    assert!(text(&from_archive.stderr).contains("root"));
    let plan = folder.beside("plan.pdf");
    let run = windrow(&["next", archive, "--output", plan.to_str().unwrap()]);
    assert!(text(&run.stdout).contains("root"));
    assert!(std::fs::read(&plan).unwrap().starts_with(b"%PDF"));
    // The archive itself is never written over.
    let before = std::fs::read(archive).unwrap();
    let run = windrow(&["next", archive, "--output", archive]);
    assert_ne!(run.status.code(), Some(0));
    assert_eq!(std::fs::read(archive).unwrap(), before);
}
