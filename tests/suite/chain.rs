//! A chain of seasons by the program itself: two made seasons, the later built on the archive of the earlier.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use serde_json::Value;

use super::support::earlier;
use super::support::folder::{Folder, NORTH_COVE};
use super::support::photo::Phone;

fn windrow(words: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_windrow"))
        .args(words)
        .env("NO_COLOR", "1")
        .output()
        .unwrap()
}

fn told(words: &[&str]) -> (Option<i32>, Value) {
    let run = windrow(words);
    let told = serde_json::from_slice(&run.stdout)
        .unwrap_or_else(|_| panic!("{}", String::from_utf8_lossy(&run.stderr)));
    (run.status.code(), told)
}

fn text(path: &Path) -> &str {
    path.to_str().unwrap()
}

/// The clean folder a year earlier, packed as `name` beside it; its root.
fn season_of_2024(place: &Path, name: &str) -> (PathBuf, String) {
    let folder = Folder::clean();
    for file in ["season.toml", "pulls.csv", "spending.csv"] {
        let earlier = folder.read(file).replace("2025", "2024");
        folder.write(file, earlier);
    }
    for (file, day) in [
        ("p1", "06:14"),
        ("p2", "06:21"),
        ("p3", "07:12"),
        ("p4", "08:02"),
    ] {
        let taken = format!("2024:{day} 09:30:00");
        let photo = Phone::at(taken.leak(), NORTH_COVE).jpeg();
        folder.write(&format!("photos/{file}.jpg"), photo);
    }
    let output = place.join(name);
    let (code, packed) = told(&[
        "pack",
        text(&folder.path()),
        "--json",
        "--output",
        text(&output),
    ]);
    assert_eq!(code, Some(0), "{packed:#}");
    (output, packed["root"].as_str().unwrap().to_owned())
}

/// The clean folder on the archive of the year before, packed; the folder, the archive and its root.
fn season_of_2025(earlier: &Path, root: &str) -> (Folder, PathBuf, String) {
    let folder = Folder::clean();
    folder.append(
        "season.toml",
        &format!(
            "\n[previous]\narchive = '{}'\nroot = \"{root}\"\n",
            text(earlier)
        ),
    );
    let output = folder.beside("2025-evidence.zip");
    let (code, packed) = told(&[
        "pack",
        text(&folder.path()),
        "--json",
        "--output",
        text(&output),
    ]);
    assert_eq!(code, Some(0), "{packed:#}");
    let root = packed["root"].as_str().unwrap().to_owned();
    (folder, output, root)
}

#[test]
fn history_comes_from_the_ledger_of_the_earlier_archive_and_says_so() {
    let place = tempfile::tempdir().unwrap();
    let (earlier, root) = season_of_2024(place.path(), "2024-evidence.zip");
    let (folder, archive, _) = season_of_2025(&earlier, &root);
    let (_, then) = told(&["figures", text(&earlier), "--json"]);
    let (_, now) = told(&["figures", text(&folder.path()), "--json"]);
    let value = |ledger: &Value, name: &str| ledger["figures"][name]["value"].as_f64().unwrap();
    let rate = value(&then, "removal.wet-mass/north") / value(&then, "effort.person-hours/north");
    let taken = &now["figures"]["history.rate/2024/north"];
    assert!(
        (taken["value"].as_f64().unwrap() - rate).abs() < 1e-9,
        "{taken:#}"
    );
    assert_eq!(
        taken["records"],
        serde_json::json!([
            format!("{} figure effort.person-hours/north", text(&earlier)),
            format!("{} figure removal.wet-mass/north", text(&earlier)),
        ])
    );
    assert_eq!(now["previous"], root);
    // The archive has it on the record, under its own root too.
    let (code, verdict) = told(&["verify", text(&archive), "--json"]);
    assert_eq!(
        (code, &verdict["previous"]),
        (Some(0), &Value::from(root.clone()))
    );
    let label = |pair: &&Value| pair[0] == "Windrow-Previous";
    let pairs = verdict["description"].as_array().unwrap();
    assert_eq!(pairs.iter().find(label).unwrap()[1], root);
}

#[test]
fn a_row_of_history_stands_before_the_ledger_and_neither_counts_twice() {
    let place = tempfile::tempdir().unwrap();
    let figures = [
        ("effort.person-hours", 50.0),
        ("removal.wet-mass", 500.0),
        ("effort.person-hours/north", 30.0),
        ("removal.wet-mass/north", 300.0),
        ("effort.person-hours/south", 20.0),
        ("removal.wet-mass/south", 200.0),
    ];
    let archive = place.path().join("earlier.zip");
    earlier::archive(&archive, 2024, &figures, &[]);
    let folder = Folder::clean();
    folder.append(
        "season.toml",
        &format!("\n[previous]\narchive = '{}'\n", text(&archive)),
    );
    let rates = |history: &str| {
        let folder = &folder;
        if history.is_empty() {
            let _ = std::fs::remove_file(folder.path().join("history.csv"));
        } else {
            folder.write(
                "history.csv",
                format!("year,site,effort_hours,removed,unit,comparable\n{history}"),
            );
        }
        let ledger = folder.ledger();
        ["", "/north", "/south"].map(|part| {
            ledger
                .get(&format!("history.rate/2024{part}"))
                .and_then(|figure| figure.value())
        })
    };
    assert_eq!(rates(""), [Some(10.0), Some(10.0), Some(10.0)]);
    // A row of one site: the other's season comes from the ledger.
    assert_eq!(
        rates("2024,north,30,330,kg,\n"),
        [Some(10.6), Some(11.0), Some(10.0)]
    );
    assert_eq!(
        rates("2024,north,30,330,kg,\n2024,south,20,180,kg,\n"),
        [Some(10.2), Some(11.0), Some(9.0)]
    );
    // A row that can't be compared is a person's word, and stands too.
    assert_eq!(rates("2024,north,30,330,kg,no\n")[1], Some(11.0));
    // History of the whole programme alone stays that of the whole.
    assert_eq!(rates("2023,,40,440,kg,\n"), [Some(10.0), None, None]);
    assert_eq!(rates("2024,,40,440,kg,\n"), [Some(11.0), None, None]);
    // In another unit than the ledger has a figure for.
    assert_eq!(rates("2023,north,40,44,sack,\n")[1], None);
    let ledger = folder.ledger();
    let figure = ledger.get("history.rate/2024/north").unwrap();
    assert!(
        figure
            .refusal()
            .unwrap()
            .to_string()
            .contains("removal.containers/sack/north")
    );
}

#[test]
fn recompute_asks_for_the_earlier_archive_and_compares_the_rest_without_it() {
    let place = tempfile::tempdir().unwrap();
    let (earlier, root) = season_of_2024(place.path(), "2024-evidence.zip");
    let (_folder, archive, printed) = season_of_2025(&earlier, &root);
    let verify = [
        "verify",
        text(&archive),
        "--json",
        "--root",
        &printed,
        "--recompute",
    ];

    let (code, whole) = told(&[&verify[..], &["--previous", text(&earlier)]].concat());
    assert_eq!(code, Some(0), "{whole:#}");
    assert_eq!(whole["chain"]["agrees"], true);
    assert_eq!(whole["chain"]["previous"], Value::Null);
    assert_eq!(whole["recomputed"]["other-bytes"], serde_json::json!([]));
    assert_eq!(whole["recomputed"]["not-compared"], Value::Null);

    // Without it, what can be compared agrees; but that is not all, and the exit code says so.
    let (code, part) = told(&verify);
    assert_eq!((code, &part["whole"]), (Some(1), &Value::Bool(true)));
    assert_eq!(part["recomputed"]["differences"], serde_json::json!([]));
    let aside = part["recomputed"]["not-compared"]["figures"]
        .as_array()
        .unwrap();
    assert!(
        aside.contains(&"history.rate/2024/north".into()),
        "{aside:?}"
    );
    assert!(part["recomputed"]["figures"].as_u64().unwrap() > aside.len() as u64);
    let lines = windrow(&["verify", text(&archive), "--recompute"]).stdout;
    assert!(String::from_utf8_lossy(&lines).contains("--previous ARCHIVE gives it"));

    // Another archive of that year is not the one.
    let other = place.path().join("other.zip");
    earlier::archive(&other, 2024, &[("effort.person-hours/north", 99.0)], &[]);
    let (code, wrong) = told(&[&verify[..], &["--previous", text(&other)]].concat());
    assert_eq!(
        (code, &wrong["chain"]["agrees"]),
        (Some(1), &Value::Bool(false))
    );
    assert_eq!(wrong["chain"]["faults"][0]["name"], "wrong-root");
    assert_eq!(wrong["recomputed"], Value::Null);

    // An archive that follows none has nothing to hold another against.
    let run = windrow(&["verify", text(&earlier), "--previous", text(&other)]);
    assert_eq!(run.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&run.stderr).contains("follows an earlier one"));
}

#[test]
fn the_chain_goes_on_and_each_link_names_the_next() {
    let place = tempfile::tempdir().unwrap();
    let (first, first_root) = season_of_2024(place.path(), "2024-evidence.zip");
    let (_second, second, second_root) = season_of_2025(&first, &first_root);
    let folder = Folder::clean();
    let later = folder.read("season.toml").replace("2025", "2026");
    folder.write("season.toml", later).append(
        "season.toml",
        &format!(
            "\n[previous]\narchive = '{}'\nroot = \"{second_root}\"\n",
            text(&second)
        ),
    );
    let third = folder.beside("2026-evidence.zip");
    // Errors are open (the log is last year's), and a draft is packed all the same.
    let (_, packed) = told(&[
        "pack",
        text(&folder.path()),
        "--json",
        "--output",
        text(&third),
    ]);
    assert_ne!(packed["root"], Value::Null);
    let (code, verdict) = told(&[
        "verify",
        text(&third),
        "--json",
        "--previous",
        text(&second),
    ]);
    assert_eq!(code, Some(0), "{verdict:#}");
    assert_eq!(verdict["previous"], second_root);
    assert_eq!(verdict["chain"]["previous"], first_root);
    // The photos were all used before.
    let findings = folder.findings();
    let reused = findings
        .iter()
        .filter(|one| one.name == "photo-from-earlier-season");
    assert_eq!(reused.count(), 4);
}
