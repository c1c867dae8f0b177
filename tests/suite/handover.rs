//! `windrow pack --handover` by the program itself: who is left out, and that root and report stay the same.

use std::path::Path;
use std::process::Output;

use serde_json::Value;

use super::support::folder::Folder;
use super::support::program::windrow;

fn told(run: &Output) -> Value {
    serde_json::from_slice(&run.stdout)
        .unwrap_or_else(|_| panic!("{}", String::from_utf8_lossy(&run.stderr)))
}

fn pack(folder: &Folder, output: &Path, more: &[&str]) -> Value {
    let season = folder.path();
    let words = [
        &[
            "pack",
            season.to_str().unwrap(),
            "--json",
            "--output",
            output.to_str().unwrap(),
        ],
        more,
    ]
    .concat();
    told(&windrow(&words))
}

fn withheld(archive: &Path, root: &str) -> Vec<(Option<String>, String)> {
    let run = windrow(&[
        "verify",
        archive.to_str().unwrap(),
        "--json",
        "--root",
        root,
    ]);
    let verdict = told(&run);
    assert_eq!(
        (run.status.code(), &verdict["whole"]),
        (Some(0), &Value::Bool(true)),
        "{verdict:#}"
    );
    let list = verdict["withheld"].as_array().unwrap().iter();
    list.map(|item| {
        let path = item["path"].as_str().map(str::to_owned);
        (path, item["reason"].as_str().unwrap().to_owned())
    })
    .collect()
}

const NOTES: &str = "\
file,consent,withheld,reason
p1.jpg,no,,
p2.jpg,,yes,a neighbour's garden
p3.jpg,yes,no,
";

#[test]
fn photos_without_consent_and_withheld_ones_stay_out_under_the_same_root() {
    let folder = Folder::clean();
    folder.write("photos.csv", NOTES);
    let whole = pack(&folder, &folder.beside("season-evidence.zip"), &[]);
    let root = whole["root"].as_str().unwrap();
    let copy = folder.beside("copy.zip");
    let packed = pack(&folder, &copy, &["--handover"]);
    assert_eq!(
        (packed["root"].as_str(), packed["withheld"].as_u64()),
        (Some(root), Some(2))
    );
    assert_eq!(
        withheld(&copy, root),
        [
            (
                Some("data/season/photos/p1.jpg".to_owned()),
                "a person in it has not consented to being shown".to_owned()
            ),
            (
                Some("data/season/photos/p2.jpg".to_owned()),
                "a neighbour's garden".to_owned()
            ),
        ]
    );
    // In words, too.
    let run = windrow(&["verify", copy.to_str().unwrap()]);
    let text = String::from_utf8(run.stdout).unwrap();
    assert!(
        text.contains("whole, with 2 withheld") && text.contains("a neighbour's garden"),
        "{text}"
    );
    // What is withheld can be proved all the same, and figures that need it can't be worked out.
    let proof = folder.beside("p1.proof.json");
    let path = proof.to_str().unwrap();
    assert_eq!(
        windrow(&[
            "prove",
            copy.to_str().unwrap(),
            "photos/p1.jpg",
            "--output",
            path
        ])
        .status
        .code(),
        Some(0)
    );
    let photo = folder.path().join("photos/p1.jpg");
    let run = windrow(&[
        "verify",
        path,
        "--root",
        root,
        "--file",
        photo.to_str().unwrap(),
    ]);
    assert_eq!(run.status.code(), Some(0));
    let run = windrow(&["verify", "--recompute", "--json", copy.to_str().unwrap()]);
    assert_eq!(run.status.code(), Some(1));
    assert!(
        told(&run)["recomputed"]["not-done"]
            .as_str()
            .unwrap()
            .contains("withheld")
    );
}

#[test]
fn names_can_be_withheld_together_with_the_tables_that_tell_them() {
    let folder = Folder::clean();
    folder.write("photos.csv", NOTES);
    let copy = folder.beside("copy.zip");
    let packed = pack(&folder, &copy, &["--handover", "--hide-names"]);
    let list = withheld(&copy, packed["root"].as_str().unwrap());
    let names: Vec<Option<&str>> = list.iter().map(|(path, _)| path.as_deref()).collect();
    assert_eq!(
        names,
        [
            Some("data/ledger/photo-index.csv"),
            Some("data/season/photos.csv"),
            None,
            None
        ]
    );
    assert_eq!(
        windrow(&["pack", folder.path().to_str().unwrap(), "--hide-names"])
            .status
            .code(),
        Some(2)
    );
}

#[test]
fn whatever_tells_where_a_sensitive_site_is_stays_out() {
    let folder = Folder::clean();
    folder.replace(
        "sites.geojson",
        "\"name\": \"North Cove\"",
        "\"name\": \"North Cove\", \"sensitive\": \"yes\"",
    );
    folder.write(
        "tracks/june.gpx",
        "<gpx version=\"1.1\" creator=\"x\" xmlns=\"http://www.topografix.com/GPX/1/1\"><trk><trkseg></trkseg></trk></gpx>",
    );
    let copy = folder.beside("copy.zip");
    let packed = pack(&folder, &copy, &["--handover"]);
    let list = withheld(&copy, packed["root"].as_str().unwrap());
    let names: Vec<&str> = list
        .iter()
        .filter_map(|(path, _)| path.as_deref())
        .collect();
    assert_eq!(
        names,
        [
            "data/ledger/photo-index.csv",
            "data/season/photos/p1.jpg",
            "data/season/photos/p3.jpg",
            "data/season/sites.geojson",
            "data/season/tracks/june.gpx",
        ]
    );
    // Without such a site nothing stays out.
    let packed = pack(
        &Folder::clean(),
        &folder.beside("plain.zip"),
        &["--handover"],
    );
    assert_eq!(packed["withheld"], 0);
}
