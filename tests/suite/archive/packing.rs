//! Packing: whole, repeatable, and never over a file that changes under its hands.

use std::fs;
use std::io::{Seek, SeekFrom, Write};

use windrow::archive::tree::hex;
use windrow::archive::{ArchiveError, Evidence, Item, pack};
use windrow::verify::{Expected, Kind, verify};

use super::zip_maker::{Zip, contents};
use super::{BASE, description, judge, packed, season, unpack};

#[test]
fn what_is_packed_is_whole_as_zip_and_as_folder() {
    let (folder, packed) = packed();
    let expected = Expected {
        root: Some(packed.root),
        fingerprint: Some(packed.fingerprint),
        ..Expected::default()
    };
    let unpacked = folder.path().join("unpacked");
    let base = unpack(&packed.path, &unpacked);
    for (path, kind) in [
        (&packed.path, Kind::Archive),
        (&base, Kind::Folder),
        (&unpacked, Kind::Folder),
    ] {
        let mut last = (0, 0);
        let verdict = verify(path, &expected, &mut |done, total| last = (done, total)).unwrap();
        assert_eq!(verdict.faults, []);
        assert_eq!(verdict.warnings, []);
        assert!(verdict.whole());
        assert_eq!(verdict.kind, kind);
        assert_eq!(verdict.root, Some(packed.root));
        assert_eq!(verdict.fingerprint, Some(packed.fingerprint));
        assert_eq!((verdict.files, verdict.bytes), (packed.files, packed.bytes));
        assert!(last.0 == last.1 && last.0 > verdict.bytes);
        let season = (
            "Windrow-Season".into(),
            "Invented Ponds, season 2026".into(),
        );
        assert!(verdict.description.contains(&season));
    }
}

#[test]
fn the_same_season_gives_the_same_bytes_wherever_it_is_packed() {
    let (_one, first) = packed();
    let (_other, second) = packed();
    assert_eq!(
        fs::read(first.path).unwrap(),
        fs::read(second.path).unwrap()
    );
}

#[test]
fn an_archive_is_byte_for_byte_what_the_profile_says() {
    let (_folder, packed) = packed();
    // The maker writes the profile's fields by its own hand.
    assert_eq!(
        Zip::like(&packed.path).build(),
        fs::read(&packed.path).unwrap()
    );
    let names: Vec<String> = contents(&packed.path)
        .into_iter()
        .map(|(name, _)| name)
        .collect();
    let is_photo = |name: &&String| name.contains("/data/season/photos/") && name.ends_with(".jpg");
    let (first, others): (Vec<_>, Vec<_>) = names.iter().partition(is_photo);
    assert!(!first.is_empty() && first.is_sorted() && others.is_sorted());
    assert!(names.iter().eq(first.iter().chain(&others).copied()));
    assert_eq!(*others[0], format!("{BASE}/HOW-TO-VERIFY.txt"));
    assert_eq!(names.len(), 15);
}

#[test]
fn the_tag_files_say_what_the_standard_asks() {
    let (_folder, packed) = packed();
    let text = |end: &str| {
        let contents = contents(&packed.path);
        let (_, content) = contents
            .iter()
            .find(|(name, _)| name.ends_with(end))
            .unwrap();
        String::from_utf8(content.clone()).unwrap()
    };
    assert_eq!(
        text("/bagit.txt"),
        "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"
    );
    let info = text("/bag-info.txt");
    assert_eq!(info.matches("Payload-Oxum: ").count(), 1);
    assert!(info.contains(&format!(
        "Payload-Oxum: {}.{}\n",
        packed.bytes, packed.files
    )));
    assert!(info.contains(&format!("Windrow-Root: {}\n", hex(&packed.root))));
    assert_eq!(text("/manifest-sha256.txt").lines().count(), packed.files);
    let tags = text("/tagmanifest-sha256.txt");
    for file in [
        "HOW-TO-VERIFY.txt",
        "bag-info.txt",
        "bagit.txt",
        "evidence.json",
        "manifest-sha256.txt",
        "verify.html",
    ] {
        assert!(tags.contains(&format!("  {file}\n")), "{file}");
    }
    assert_eq!(tags.lines().count(), 6);
    let evidence: serde_json::Value = serde_json::from_str(&text("/evidence.json")).unwrap();
    assert_eq!(evidence["root"], hex(&packed.root));
    // All but the report.
    assert_eq!(
        evidence["leaves"].as_array().unwrap().len(),
        packed.files - 1
    );
}

#[test]
fn the_report_is_no_leaf_but_is_under_the_fingerprint() {
    let (folder, packed) = packed();
    let mut items = season();
    let report = items
        .iter_mut()
        .find(|item| item.path.ends_with(".pdf"))
        .unwrap();
    *report = Item::from_bytes("report/funder.pdf", b"another".to_vec());
    let other = super::pack_items(items, &folder.path().join("other.zip"));
    assert_eq!(packed.root, other.root);
    assert_ne!(packed.fingerprint, other.fingerprint);
}

/// Longer than what is read ahead, so that the writer has told of progress before the last of it is read.
const LONG: usize = 12 << 20;

#[test]
fn a_file_that_changes_while_it_is_copied_stops_the_packing() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("film.tiff");
    let changes: [fn(&mut fs::File); 3] = [
        |file| {
            file.seek(SeekFrom::End(-1)).unwrap();
            file.write_all(b"x").unwrap();
        },
        |file| {
            file.seek(SeekFrom::End(0)).unwrap();
            file.write_all(b"more").unwrap();
        },
        |file| file.set_len(LONG as u64 - 1).unwrap(),
    ];
    for change in changes {
        fs::write(&file, vec![0; LONG]).unwrap();
        let items = vec![Item::from_file("season/film.tiff", file.clone()).unwrap()];
        let evidence = Evidence::of(&items);
        let mut handle = Some(fs::File::options().write(true).open(&file).unwrap());
        let output = folder.path().join("evidence.zip");
        let outcome = pack(items, &evidence, &description(), &output, &mut |_| {
            if let Some(mut handle) = handle.take() {
                change(&mut handle);
            }
        });
        assert!(matches!(outcome, Err(ArchiveError::Changed { .. })));
        assert!(!output.exists());
        assert_eq!(
            fs::read_dir(folder.path()).unwrap().count(),
            1,
            "only the film is left"
        );
    }
}

#[test]
fn an_output_folder_that_is_not_there_is_an_error_with_its_name() {
    let folder = tempfile::tempdir().unwrap();
    let items = season();
    let evidence = Evidence::of(&items);
    let output = folder.path().join("none/evidence.zip");
    let failed = pack(items, &evidence, &description(), &output, &mut |_| {}).unwrap_err();
    assert!(matches!(failed, ArchiveError::Write { .. }));
    assert!(failed.to_string().contains("evidence.zip"));
}

#[test]
fn more_than_65535_files_are_packed_with_zip64_records_and_verified() {
    let folder = tempfile::tempdir().unwrap();
    // With the seven tag files, 65,528 still fit the plain end record.
    for (count, wide) in [(65_528, false), (65_529, true)] {
        let items = (0..count)
            .map(|number| Item::from_bytes(format!("season/{number:05}"), Vec::new()))
            .collect();
        let packed = super::pack_items(items, &folder.path().join("many.zip"));
        let bytes = fs::read(&packed.path).unwrap();
        let before_end = &bytes[bytes.len() - 42..];
        assert_eq!(before_end.starts_with(b"PK\x06\x07"), wide);
        assert_eq!(judge(&packed.path).faults, []);
        if wide {
            // A flipped bit in each byte of the Zip64 records and the end record.
            for at in bytes.len() - 98..bytes.len() {
                let mut harmed = bytes.clone();
                harmed[at] ^= 1 << (at % 8);
                fs::write(&packed.path, harmed).unwrap();
                assert!(!judge(&packed.path).whole(), "byte {at} of {}", bytes.len());
            }
        }
    }
}
