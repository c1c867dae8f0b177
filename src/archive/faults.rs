//! Tests of packing on a failing disk: at whatever byte, write or seek it fails, the former archive stays whole, nothing is
//! left beside it, and the next run succeeds.

use std::fs;
use std::io::BufWriter;
use std::path::Path;

use super::{ArchiveError, BagDescription, Draft, Evidence, Item, Packed, add_seal, pack, profile};
use crate::hash::PIECE;
use crate::output::failing::{Counts, Disk, Fault};

/// What stands in the bag-info of the archives that tests pack; invented.
pub(super) fn description() -> BagDescription {
    BagDescription {
        base: "invented-2026-evidence".into(),
        season: "Invented Ponds 2026".into(),
        organisation: "Invented Pond Trust".into(),
        description: "Records of hand-pulling".into(),
        bagging_date: "2026-10-01".into(),
        tool_version: "0.1.0".into(),
    }
}

fn items() -> Vec<Item> {
    vec![
        Item::from_bytes("season/pulls.csv", b"pull,date\n".to_vec()),
        Item::from_bytes("season/photos/one.jpg", vec![7; 3000]),
        Item::from_bytes("season/empty", Vec::new()),
        Item::from_bytes("ledger/figures.json", b"{}".to_vec()),
        Item::from_bytes("report/funder.pdf", b"%PDF-".to_vec()),
    ]
}

/// Packs through a disk that fails, unbuffered so that each of the ZIP's writes meets it, or as it is really done.
fn pack_on(
    output: &Path,
    fault: Fault,
    short: usize,
    buffered: bool,
) -> Result<Packed, ArchiveError> {
    let items = items();
    let evidence = Evidence::of(&items);
    let draft = Draft::at(output)?;
    draft.finish_through(items, &evidence, &description(), &mut |_| {}, &|file| {
        let disk = Disk::over(file, fault, short);
        if buffered {
            Box::new(BufWriter::with_capacity(PIECE, disk))
        } else {
            Box::new(disk)
        }
    })
}

const FORMER: &str = "the former archive";

fn leaves_the_former(folder: &Path, fault: Fault, short: usize, buffered: bool) {
    let output = folder.join("out.zip");
    if !output.exists() {
        fs::write(&output, FORMER).unwrap();
    }
    let failed = pack_on(&output, fault, short, buffered);
    let what = format!("{fault:?}, {short} at once, buffered: {buffered}");
    assert!(
        matches!(failed, Err(ArchiveError::Write { .. })),
        "{what}: {failed:?}"
    );
    assert_eq!(fs::read_to_string(&output).unwrap(), FORMER, "{what}");
    assert_eq!(fs::read_dir(folder).unwrap().count(), 1, "{what}");
}

/// Writes and seeks of an unbuffered packing, and its bytes.
fn honest(folder: &Path) -> (usize, usize, Vec<u8>) {
    let output = folder.join("honest.zip");
    let items = items();
    let evidence = Evidence::of(&items);
    let counts = Counts::default();
    let draft = Draft::at(&output).unwrap();
    draft
        .finish_through(items, &evidence, &description(), &mut |_| {}, &|file| {
            Box::new(Disk::over(file, Fault::None, usize::MAX).counted(&counts))
        })
        .unwrap();
    let bytes = fs::read(&output).unwrap();
    fs::remove_file(output).unwrap();
    let (writes, seeks) = counts.get();
    (writes, seeks, bytes)
}

#[test]
fn every_write_and_seek_that_fails_leaves_the_former_archive() {
    let folder = tempfile::tempdir().unwrap();
    let (writes, seeks, bytes) = honest(folder.path());
    assert!(writes > 40, "{writes} writes");
    for number in 0..writes {
        leaves_the_former(folder.path(), Fault::WriteNumber(number), usize::MAX, false);
    }
    for number in 0..seeks {
        leaves_the_former(folder.path(), Fault::SeekNumber(number), usize::MAX, false);
    }
    leaves_the_former(folder.path(), Fault::Flush, usize::MAX, false);
    leaves_the_former(folder.path(), Fault::Flush, usize::MAX, true);
    // Short writes and interruptions by themselves change nothing.
    for (short, buffered) in [(1, true), (1, false), (100, false), (4096, true)] {
        let output = folder.path().join("out.zip");
        pack_on(&output, Fault::None, short, buffered).unwrap();
        assert!(fs::read(&output).unwrap() == bytes, "{short} at once");
    }
}

#[test]
fn a_disk_that_is_full_at_any_record_leaves_the_former_archive() {
    let folder = tempfile::tempdir().unwrap();
    let (_, _, bytes) = honest(folder.path());
    // Around the beginning of each record and of the content behind it, and every now and then between.
    let records = [&b"PK\x03\x04"[..], b"PK\x01\x02", b"PK\x05\x06"];
    let mut positions: Vec<usize> = (0..bytes.len()).step_by(997).collect();
    for (at, window) in bytes.windows(4).enumerate() {
        if records.contains(&window) {
            positions.extend([
                at.saturating_sub(1),
                at,
                at + 1,
                at + 4,
                at + 29,
                at + 30,
                at + 31,
            ]);
        }
    }
    positions.extend(bytes.len() - 23..bytes.len());
    positions.retain(|at| *at < bytes.len());
    for at in positions {
        leaves_the_former(
            folder.path(),
            Fault::FullAfter(at as u64),
            usize::MAX,
            false,
        );
        leaves_the_former(folder.path(), Fault::FullAfter(at as u64), 512, true);
    }
    // Exactly enough room is enough.
    let output = folder.path().join("out.zip");
    pack_on(&output, Fault::FullAfter(bytes.len() as u64), 512, true).unwrap();
    assert!(fs::read(output).unwrap() == bytes);
}

#[test]
fn a_full_disk_is_told_with_what_to_do() {
    let folder = tempfile::tempdir().unwrap();
    let output = folder.path().join("out.zip");
    let told = pack_on(&output, Fault::FullAfter(100), usize::MAX, true)
        .unwrap_err()
        .to_string();
    assert!(
        told.contains("out.zip") && told.contains("make room"),
        "{told}"
    );
}

#[cfg(unix)]
#[test]
fn a_file_replaced_after_it_was_hashed_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let (season, out) = (folder.path().join("season"), folder.path().join("out"));
    fs::create_dir(&season).unwrap();
    fs::create_dir(&out).unwrap();
    let secret = folder.path().join("secret");
    fs::write(&secret, vec![7; 3000]).unwrap();
    type Change = fn(&Path, &Path);
    let changes: [(&str, Change); 6] = [
        ("removed", |file, _| fs::remove_file(file).unwrap()),
        ("a link to the same bytes", |file, secret| {
            fs::remove_file(file).unwrap();
            std::os::unix::fs::symlink(secret, file).unwrap();
        }),
        ("a folder", |file, _| {
            fs::remove_file(file).unwrap();
            fs::create_dir(file).unwrap();
        }),
        ("another file", |file, _| {
            fs::remove_file(file).unwrap();
            fs::write(file, vec![8; 3000]).unwrap();
        }),
        ("shorter", |file, _| fs::write(file, vec![7; 2999]).unwrap()),
        ("longer", |file, _| fs::write(file, vec![7; 3001]).unwrap()),
    ];
    for (what, change) in changes {
        let (first, second) = (season.join("1"), season.join("2"));
        for file in [&first, &second] {
            let _ = fs::remove_dir(file);
            let _ = fs::remove_file(file);
            fs::write(file, vec![7; 3000]).unwrap();
        }
        let items = vec![
            Item::from_file("season/1", first).unwrap(),
            Item::from_file("season/2", second.clone()).unwrap(),
        ];
        let evidence = Evidence::of(&items);
        let output = out.join("out.zip");
        fs::write(&output, FORMER).unwrap();
        change(&second, &secret);
        let failed = pack(items, &evidence, &description(), &output, &mut |_| {}).unwrap_err();
        assert!(
            matches!(
                failed,
                ArchiveError::Changed { .. } | ArchiveError::Read { .. }
            ),
            "{what}: {failed}"
        );
        assert!(failed.to_string().contains("run again"), "{what}: {failed}");
        assert_eq!(fs::read_to_string(&output).unwrap(), FORMER, "{what}");
        assert_eq!(fs::read_dir(&out).unwrap().count(), 1, "{what}");
    }
}

#[test]
fn leftovers_of_a_killed_run_are_cleared_by_the_next() {
    let folder = tempfile::tempdir().unwrap();
    for name in ["archive-aB3dE9", "zZ09aa"] {
        let leftover = format!("{}{name}", crate::output::PARTIAL_PREFIX);
        fs::write(folder.path().join(leftover), "half").unwrap();
    }
    let output = folder.path().join("out.zip");
    pack_on(&output, Fault::None, usize::MAX, true).unwrap();
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
    let leftover = format!("{}aB3dE9", crate::output::PARTIAL_PREFIX);
    fs::write(folder.path().join(leftover), "half").unwrap();
    add_seal(&output, profile::SEAL_SIGNATURE, b"seal").unwrap();
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
}
