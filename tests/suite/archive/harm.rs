//! An archive harmed after it was packed: each harm is found, and named for what it is.

use std::fs;
use std::io::{Seek, SeekFrom, Write};

use rayon::prelude::*;
use windrow::archive::Item;
use windrow::verify::{Expected, Fault, verify};

use super::zip_maker::{Entry, Zip, places};
use super::{BASE, judge, pack_items, packed, season, smallest_packed, told, unpack};

const PULLS: &str = "data/season/pulls.csv";

#[test]
fn every_single_flipped_bit_is_found_and_named() {
    let (folder, packed) = smallest_packed();
    let bytes = fs::read(&packed.path).unwrap();
    let places = places(&packed.path);
    let owner = |at: u64| {
        let entry = places.iter().find(|(_, range)| range.contains(&at));
        entry.map(|(name, _)| name.strip_prefix(&format!("{BASE}/")).unwrap())
    };
    let workers = 2;
    let missed: Vec<String> = (0..workers)
        .into_par_iter()
        .flat_map_iter(|worker| {
            let path = folder.path().join(format!("{worker}.zip"));
            fs::write(&path, &bytes).unwrap();
            let mut file = fs::File::options().write(true).open(&path).unwrap();
            let mut missed = Vec::new();
            for at in (worker..bytes.len()).step_by(workers) {
                // Of the long page one bit in each byte is enough: nothing reads its content.
                let page = owner(at as u64) == Some("verify.html");
                let bits = if page { at % 8..at % 8 + 1 } else { 0..8 };
                for bit in bits {
                    file.seek(SeekFrom::Start(at as u64)).unwrap();
                    file.write_all(&[bytes[at] ^ (1 << bit)]).unwrap();
                    let verdict = judge(&path);
                    let named = match owner(at as u64) {
                        Some(path) => verdict.faults.iter().any(|fault| fault.place() == path),
                        None => verdict.faults.iter().any(|fault| {
                            ["structure", "refused", "added", "bad-name"].contains(&fault.name())
                                && !fault.place().is_empty()
                        }),
                    };
                    if !named {
                        missed.push(format!("byte {at}, bit {bit}: {:?}", told(&verdict)));
                    }
                }
                file.seek(SeekFrom::Start(at as u64)).unwrap();
                file.write_all(&bytes[at..=at]).unwrap();
            }
            missed
        })
        .collect();
    assert_eq!(missed, Vec::<String>::new());
}

#[test]
fn an_archive_cut_short_anywhere_is_not_whole() {
    let (_folder, packed) = packed();
    let bytes = fs::read(&packed.path).unwrap();
    for length in (0..bytes.len()).rev() {
        let file = fs::File::options().write(true).open(&packed.path).unwrap();
        file.set_len(length as u64).unwrap();
        assert!(!judge(&packed.path).whole(), "{length} bytes");
    }
}

#[test]
fn changes_inside_a_zip_are_told_by_what_they_are() {
    let (folder, packed) = packed();
    let harm = |change: fn(&mut Zip)| {
        let mut zip = Zip::like(&packed.path);
        change(&mut zip);
        let path = folder.path().join("harmed.zip");
        fs::write(&path, zip.build()).unwrap();
        told(&judge(&path))
    };
    assert_eq!(harm(|_| {}), Vec::<String>::new());
    assert_eq!(
        harm(|zip| zip.entry("pulls.csv").data[0] ^= 1),
        [format!("changed {PULLS}")]
    );
    assert_eq!(
        harm(|zip| zip
            .entries
            .retain(|entry| !entry.name.ends_with(b"pulls.csv"))),
        [
            format!("missing {PULLS}"),
            "tag-file bag-info.txt".to_owned()
        ]
    );
    assert_eq!(
        harm(|zip| {
            let name = format!("{BASE}/data/season/slipped-in.csv");
            zip.entries.push(Entry::new(&name, b"x"));
            zip.sort();
        }),
        ["added data/season/slipped-in.csv", "tag-file bag-info.txt"]
    );
    assert_eq!(
        harm(|zip| {
            zip.entry("pulls.csv").name = format!("{BASE}/data/season/pushes.csv").into();
            zip.sort();
        }),
        [format!("renamed {PULLS}")]
    );
    assert_eq!(
        harm(|zip| zip.entry("funder.pdf").data[0] ^= 1),
        ["changed data/report/funder.pdf"]
    );
    assert_eq!(
        harm(|zip| zip.entry("HOW-TO-VERIFY.txt").data[0] ^= 1),
        ["changed HOW-TO-VERIFY.txt"]
    );
    assert_eq!(
        harm(|zip| {
            zip.entries
                .push(Entry::new(&format!("{BASE}/notes.txt"), b"x"));
            zip.sort();
        }),
        ["added notes.txt"]
    );
    assert_eq!(
        harm(|zip| zip.entries.push(Entry::new("zz/other.txt", b"x"))),
        ["added zz/other.txt"]
    );
    assert_eq!(
        harm(|zip| zip
            .entries
            .retain(|entry| !entry.name.ends_with(b"bag-info.txt"))),
        ["missing bag-info.txt", "tag-file bag-info.txt"]
    );
    assert_eq!(
        harm(|zip| zip
            .entries
            .retain(|entry| !entry.name.ends_with(b"evidence.json"))),
        ["missing evidence.json"]
    );
}

#[test]
fn changes_in_an_unpacked_folder_are_told_by_what_they_are() {
    let (folder, packed) = packed();
    let mut number = 0;
    let mut harm = |change: fn(&std::path::Path)| {
        number += 1;
        let base = unpack(&packed.path, &folder.path().join(number.to_string()));
        change(&base);
        told(&judge(&base))
    };
    assert_eq!(harm(|_| {}), Vec::<String>::new());
    assert_eq!(
        harm(|base| fs::write(base.join(PULLS), "pull,date,site\n1,2026-06-01,south\n").unwrap()),
        [format!("changed {PULLS}")]
    );
    assert_eq!(
        harm(|base| fs::write(base.join(PULLS), "shorter").unwrap()),
        [
            format!("changed {PULLS}"),
            "tag-file bag-info.txt".to_owned(),
            format!("tree {PULLS}")
        ]
    );
    assert_eq!(
        harm(|base| fs::remove_file(base.join(PULLS)).unwrap()),
        [
            format!("missing {PULLS}"),
            "tag-file bag-info.txt".to_owned()
        ]
    );
    assert_eq!(
        harm(|base| fs::write(base.join("data/season/photos/.DS_Store"), "x").unwrap()),
        [
            "added data/season/photos/.DS_Store",
            "tag-file bag-info.txt"
        ]
    );
    assert_eq!(
        harm(|base| {
            fs::rename(base.join(PULLS), base.join("data/season/pushes.csv")).unwrap();
        }),
        [format!("renamed {PULLS}")]
    );
    assert_eq!(
        harm(|base| fs::rename(base.join("HOW-TO-VERIFY.txt"), base.join("README.txt")).unwrap()),
        ["renamed HOW-TO-VERIFY.txt"]
    );
    assert_eq!(
        harm(|base| fs::rename(base.join("bagit.txt"), base.join("bagit.bak")).unwrap()),
        ["renamed bagit.txt"]
    );
    assert_eq!(
        harm(|base| fs::remove_file(base.join("tagmanifest-sha256.txt")).unwrap()),
        ["missing tagmanifest-sha256.txt"]
    );
    assert!(
        harm(|base| fs::remove_file(base.join("manifest-sha256.txt")).unwrap())
            .contains(&"missing manifest-sha256.txt".to_owned())
    );
    // An empty folder holds nothing that a hash could cover, and is no file.
    assert_eq!(
        harm(|base| fs::create_dir(base.join("data/season/empty")).unwrap()),
        Vec::<String>::new()
    );
}

/// In a folder no check sum of a ZIP stands by: every bit of every tag file has to be held by the bag itself.
#[test]
fn every_flipped_bit_of_a_tag_file_in_a_folder_is_found() {
    let (folder, packed) = smallest_packed();
    let base = unpack(&packed.path, &folder.path().join("unpacked"));
    let mut missed = Vec::new();
    for name in [
        "bagit.txt",
        "bag-info.txt",
        "evidence.json",
        "manifest-sha256.txt",
        "tagmanifest-sha256.txt",
    ] {
        let bytes = fs::read(base.join(name)).unwrap();
        for at in 0..bytes.len() {
            for bit in 0..8 {
                let mut harmed = bytes.clone();
                harmed[at] ^= 1 << bit;
                fs::write(base.join(name), &harmed).unwrap();
                if judge(&base).whole() {
                    missed.push(format!("{name}, byte {at}, bit {bit}"));
                }
            }
        }
        fs::write(base.join(name), &bytes).unwrap();
    }
    assert_eq!(missed, Vec::<String>::new());
}

#[cfg(unix)]
#[test]
fn a_link_in_a_folder_is_refused_and_not_followed() {
    let (folder, packed) = packed();
    let base = unpack(&packed.path, &folder.path().join("unpacked"));
    let secret = folder.path().join("secret");
    fs::rename(base.join(PULLS), &secret).unwrap();
    std::os::unix::fs::symlink(&secret, base.join(PULLS)).unwrap();
    std::os::unix::fs::symlink(folder.path(), base.join("data/season/loop")).unwrap();
    let verdict = judge(&base);
    assert_eq!(
        told(&verdict),
        [
            format!("missing {PULLS}"),
            "refused data/season/loop".to_owned(),
            format!("refused {PULLS}"),
            "tag-file bag-info.txt".to_owned(),
        ]
    );
}

#[test]
fn hashes_made_anew_are_caught_by_a_root_from_outside() {
    let (folder, packed) = packed();
    let mut items = season();
    let pulls = items
        .iter_mut()
        .find(|item| item.path == "season/pulls.csv")
        .unwrap();
    *pulls = Item::from_bytes("season/pulls.csv", b"a better story\n".to_vec());
    let forged = pack_items(items, &folder.path().join("forged.zip"));
    assert!(judge(&forged.path).whole(), "by itself it can't be told");
    let expected = Expected {
        root: Some(packed.root),
        fingerprint: Some(packed.fingerprint),
        ..Expected::default()
    };
    let verdict = verify(&forged.path, &expected, &mut |_, _| {}).unwrap();
    assert!(!verdict.whole());
    assert_eq!(
        verdict.faults,
        [
            Fault::WrongRoot {
                expected: packed.root,
                found: Some(forged.root)
            },
            Fault::WrongFingerprint {
                expected: packed.fingerprint,
                found: Some(forged.fingerprint)
            },
        ]
    );
}

#[test]
fn a_folder_forged_by_hand_but_not_all_the_way_is_caught() {
    let (folder, packed) = packed();
    let base = unpack(&packed.path, &folder.path().join("unpacked"));
    let sum = |bytes: &[u8]| {
        use sha2::Digest;
        windrow::archive::tree::hex(&sha2::Sha256::digest(bytes))
    };
    let redo = |list: &str, path: &str| {
        let text = fs::read_to_string(base.join(list)).unwrap();
        let new = sum(&fs::read(base.join(path)).unwrap());
        let lines = text.lines().map(|line| match line.split_once("  ") {
            Some((_, listed)) if listed == path => format!("{new}  {path}\n"),
            _ => format!("{line}\n"),
        });
        fs::write(base.join(list), lines.collect::<String>()).unwrap();
    };
    // As long as the former, so that only the hashes tell.
    fs::write(base.join(PULLS), "pull,date,site\n1,2026-06-01,south\n").unwrap();
    redo("manifest-sha256.txt", PULLS);
    redo("tagmanifest-sha256.txt", "manifest-sha256.txt");
    assert_eq!(told(&judge(&base)), [format!("tree {PULLS}")]);
    // The leaf made anew as well: the root no longer fits.
    let evidence = fs::read_to_string(base.join("evidence.json")).unwrap();
    let old = sum(b"pull,date,site\n1,2026-06-01,north\n");
    let new = sum(b"pull,date,site\n1,2026-06-01,south\n");
    fs::write(base.join("evidence.json"), evidence.replace(&old, &new)).unwrap();
    redo("tagmanifest-sha256.txt", "evidence.json");
    assert_eq!(told(&judge(&base)), ["tree evidence.json"]);
}

#[test]
fn what_is_no_archive_is_told_as_such() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("x.zip");
    for bytes in [&b""[..], b"x", b"PK\x05\x06", &[0; 70_000]] {
        fs::write(&path, bytes).unwrap();
        assert_eq!(told(&judge(&path)), ["structure the end of the ZIP"]);
    }
    fs::write(&path, Zip::default().build()).unwrap();
    assert_eq!(told(&judge(&path)), ["structure the ZIP"]);
    let mut lying = Zip {
        entries: vec![Entry::new("x", b"y")],
        ..Zip::default()
    };
    lying.entries[0].local_crc = Some(1);
    fs::write(&path, lying.build()).unwrap();
    assert_eq!(told(&judge(&path)), ["structure the ZIP", "structure x"]);
    assert_eq!(told(&judge(folder.path())), ["structure the folder"]);
    let none = folder.path().join("none.zip");
    assert!(verify(&none, &Expected::default(), &mut |_, _| {}).is_err());
}
