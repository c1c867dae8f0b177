//! Tests of taking photos in while they are read: the same bytes as later, and nothing left where anything fails.

use std::fs;
use std::sync::atomic::{AtomicUsize, Ordering};

use sha2::{Digest, Sha256};

use super::*;
use crate::archive::faults::description;
use crate::archive::{Content, Evidence, Item, Packed, pack};
use crate::output::failing::{Disk, Fault};

const FORMER: &str = "the former archive";
/// Which file a photo comes from, as far as it is told.
const FILE: &str = "00.jpg";

/// Photos from nothing to more than may wait, and what else belongs into an archive.
fn items() -> Vec<Item> {
    let mut items: Vec<Item> = (0..23_u8)
        .map(|number| {
            let bytes = usize::from(number % 4) * PIECE * 7 + usize::from(number % 3);
            let path = format!("season/photos/{number:02}.jpg");
            Item::from_bytes(path, vec![number; bytes])
        })
        .collect();
    for path in [
        "season/photos/notes.txt",
        "season/photos/09.mov",
        "season/photos.csv",
        "season/pulls.csv",
        "report/funder.pdf",
        "ledger/figures.json",
    ] {
        items.push(Item::from_bytes(path, path.as_bytes().to_vec()));
    }
    items
}

fn photos(items: &[Item]) -> Vec<&Item> {
    items.iter().filter(|item| item.is_photo()).collect()
}

fn expected(photos: &[&Item]) -> Vec<Expected> {
    let expected = photos.iter().map(|photo| Expected {
        path: photo.path.clone(),
        bytes: photo.size,
    });
    expected.collect()
}

fn bytes(item: &Item) -> &[u8] {
    match &item.content {
        Content::Bytes(bytes) => bytes,
        _ => panic!("not in memory"),
    }
}

/// Hands over the photos from so many threads, each of which takes the next.
fn hand_over(intake: &Intake, photos: &[&Item], threads: usize) {
    let next = AtomicUsize::new(0);
    thread::scope(|scope| {
        for _ in 0..threads {
            scope.spawn(|| {
                while let Some(photo) = photos.get(next.fetch_add(1, Ordering::SeqCst)) {
                    let mut lane = intake.lane(&photo.path, Path::new(FILE));
                    for piece in bytes(photo).chunks(PIECE) {
                        lane.take(piece.to_vec());
                    }
                    lane.end(photo.sha256);
                }
            });
        }
    });
}

fn finish(draft: Draft, items: Vec<Item>) -> Result<Packed, ArchiveError> {
    let evidence = Evidence::of(&items);
    draft.finish(items, &evidence, &description(), &mut |_| {})
}

fn place() -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let output = folder.path().join("out.zip");
    fs::write(&output, FORMER).unwrap();
    (folder, output)
}

fn begin(output: &Path, expected: Vec<Expected>) -> Intake {
    Intake::begin(output, &description().base, expected).unwrap()
}

fn former_alone(folder: &tempfile::TempDir, output: &Path) {
    assert_eq!(fs::read_to_string(output).unwrap(), FORMER);
    assert_eq!(fs::read_dir(folder).unwrap().count(), 1);
}

#[test]
fn what_is_taken_in_while_it_is_read_gives_the_same_bytes_as_what_is_packed_later() {
    let (folder, output) = place();
    let items = items();
    let evidence = Evidence::of(&items);
    let later = folder.path().join("later.zip");
    let packed = pack(
        items.clone(),
        &evidence,
        &description(),
        &later,
        &mut |_| {},
    )
    .unwrap();
    for threads in [1, 2, 7] {
        let photos = photos(&items);
        let intake = begin(&output, expected(&photos));
        hand_over(&intake, &photos, threads);
        let draft = intake.finish().unwrap();
        let taken = finish(draft, items.clone()).unwrap();
        assert!(fs::read(&output).unwrap() == fs::read(&later).unwrap());
        assert_eq!((taken.root, taken.bytes), (packed.root, packed.bytes));
    }
    // Without a photo as well.
    let items = items[23..].to_vec();
    let draft = begin(&output, Vec::new()).finish().unwrap();
    finish(draft, items.clone()).unwrap();
    pack(
        items.clone(),
        &Evidence::of(&items),
        &description(),
        &later,
        &mut |_| {},
    )
    .unwrap();
    assert!(fs::read(&output).unwrap() == fs::read(&later).unwrap());
}

#[test]
fn a_photo_that_never_comes_or_not_to_its_end_stops_the_archive() {
    let items = items();
    let photos = photos(&items);
    let (folder, output) = place();
    for missing in [0, 5, 22] {
        let intake = begin(&output, expected(&photos));
        for photo in &photos[..missing] {
            hand_over(&intake, &[photo], 1);
        }
        assert!(intake.finish().is_err());
        former_alone(&folder, &output);
    }
    let intake = begin(&output, expected(&photos[..1]));
    drop(intake.lane(&photos[0].path, Path::new(FILE)));
    assert!(intake.finish().is_err());
    let intake = begin(&output, expected(&photos[..1]));
    let error = io::Error::other("injected fault of the device");
    intake.lane(&photos[0].path, Path::new(FILE)).fail(&error);
    let failed = intake.finish().map(|_| ()).unwrap_err();
    assert!(matches!(&failed, ArchiveError::Read { file, .. } if file.ends_with(FILE)));
    former_alone(&folder, &output);
}

#[test]
fn a_photo_that_grew_or_shrank_since_the_folder_was_listed_is_named() {
    let items = items();
    let photos = photos(&items);
    let (folder, output) = place();
    for (listed, read) in [(PIECE + 1, PIECE), (PIECE, PIECE + 1), (1, 0), (0, 1)] {
        let path = photos[0].path.clone();
        let bytes = listed as u64;
        let intake = begin(&output, vec![Expected { path, bytes }]);
        let mut lane = intake.lane(&photos[0].path, Path::new(FILE));
        for piece in vec![7; read].chunks(PIECE) {
            lane.take(piece.to_vec());
        }
        lane.end(Sha256::digest(vec![7; read]).into());
        drop(lane);
        let failed = intake.finish().map(|_| ()).unwrap_err();
        assert!(
            matches!(&failed, ArchiveError::Changed { path, file } if *path == photos[0].path && file.ends_with(FILE)),
            "{listed} and {read}: {failed}"
        );
        former_alone(&folder, &output);
    }
}

#[test]
fn an_archive_that_nobody_finishes_leaves_nothing() {
    let items = items();
    let photos = photos(&items);
    let (folder, output) = place();
    let intake = begin(&output, expected(&photos));
    hand_over(&intake, &photos[..3], 2);
    drop(intake);
    former_alone(&folder, &output);
    let intake = begin(&output, expected(&photos));
    hand_over(&intake, &photos, 2);
    drop(intake.finish().unwrap());
    former_alone(&folder, &output);
}

#[test]
fn a_disk_that_fails_while_photos_come_holds_nobody_up_and_is_told() {
    let items = items();
    let photos = photos(&items);
    let (folder, output) = place();
    let mut failures = 0;
    for number in (0..400).step_by(9) {
        let base = description().base;
        let expected = expected(&photos);
        let intake = Intake::begin_through(&output, &base, expected, move |file| {
            Box::new(Disk::over(file, Fault::WriteNumber(number), 1 << 20))
        });
        let intake = intake.unwrap();
        hand_over(&intake, &photos, 3);
        if let Err(failed) = intake.finish() {
            assert!(matches!(failed, ArchiveError::Write { .. }), "{failed}");
            failures += 1;
        }
        former_alone(&folder, &output);
    }
    assert!(failures > 10, "{failures}");
}

#[test]
fn a_disk_that_fails_behind_the_photos_leaves_the_former_archive() {
    let items = items();
    let photos = photos(&items);
    let (folder, output) = place();
    for fault in (0..40)
        .map(Fault::WriteNumber)
        .chain((0..20).map(Fault::SeekNumber))
        .chain([Fault::Flush])
    {
        let intake = begin(&output, expected(&photos));
        hand_over(&intake, &photos, 2);
        let draft = intake.finish().unwrap();
        let evidence = Evidence::of(&items);
        let failed = draft.finish_through(
            items.clone(),
            &evidence,
            &description(),
            &mut |_| {},
            &|file| Box::new(Disk::over(file, fault, usize::MAX)),
        );
        assert!(
            matches!(failed, Err(ArchiveError::Write { .. })),
            "{fault:?}"
        );
        former_alone(&folder, &output);
    }
}

#[test]
fn other_photos_than_those_that_were_taken_in_are_refused() {
    let items = items();
    let (folder, output) = place();
    type Change = fn(&mut Vec<Item>);
    let changes: [Change; 4] = [
        |items| drop(items.remove(0)),
        |items| items[2].sha256 = Sha256::digest(b"other").into(),
        |items| items[2].size += 1,
        |items| items.push(Item::from_bytes("season/photos/99.jpg", Vec::new())),
    ];
    for change in changes {
        let photos = photos(&items);
        let intake = begin(&output, expected(&photos));
        hand_over(&intake, &photos, 2);
        let draft = intake.finish().unwrap();
        let mut others = items.clone();
        change(&mut others);
        assert!(matches!(
            finish(draft, others),
            Err(ArchiveError::RootDiffers)
        ));
        former_alone(&folder, &output);
    }
}

#[test]
fn names_that_no_archive_takes_are_told_before_a_byte_is_read() {
    let (folder, output) = place();
    let bad = ["season/photos/50%.jpg", "season/photos/a\u{7}.jpg"].map(|path| Expected {
        path: path.to_owned(),
        bytes: 1,
    });
    let begun = Intake::begin(&output, &description().base, bad.to_vec());
    assert!(matches!(begun, Err(ArchiveError::Names(faults)) if faults.len() == 2));
    former_alone(&folder, &output);
}
