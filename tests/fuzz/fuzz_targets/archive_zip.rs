//! Any bytes as an archive: a verdict, and what can be opened can be read.

#![no_main]

use std::fs;
use std::path::PathBuf;
use std::sync::LazyLock;

use libfuzzer_sys::fuzz_target;
use windrow_rooms::verify::{Expected, open, verify};

static FOLDER: LazyLock<tempfile::TempDir> =
    LazyLock::new(|| tempfile::tempdir().expect("a temporary folder"));

fuzz_target!(|bytes: &[u8]| {
    let path: PathBuf = FOLDER.path().join("x.zip");
    fs::write(&path, bytes).expect("room on the disk");
    let verdict = verify(&path, &Expected::default(), &mut |_, _| ()).expect("a readable file");
    for fault in &verdict.faults {
        assert!(!fault.to_string().chars().any(char::is_control), "{fault:?}");
    }
    if let Some(opened) = open(&path).expect("a readable file") {
        for (file, _) in opened.payload() {
            let _ = opened.read(file, 1 << 20);
        }
    }
    assert_eq!(fs::read_dir(FOLDER.path()).expect("ours").count(), 1);
});
