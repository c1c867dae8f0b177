//! Any bytes in the place of one of an unpacked archive's lists, which the first byte chooses: nothing but the true bytes
//! may pass as whole.

#![no_main]

use std::fs;
use std::path::PathBuf;
use std::sync::LazyLock;

use libfuzzer_sys::fuzz_target;
use windrow_rooms::unpacked_archive;
use windrow_rooms::verify::{Expected, verify};

static ARCHIVE: LazyLock<(tempfile::TempDir, PathBuf)> = LazyLock::new(unpacked_archive);

const LISTS: [&str; 8] = [
    "bagit.txt",
    "bag-info.txt",
    "manifest-sha256.txt",
    "tagmanifest-sha256.txt",
    "evidence.json",
    "fetch.txt",
    "manifest-md5.txt",
    "tagmanifest-sha512.txt",
];

fuzz_target!(|bytes: &[u8]| {
    let [choice, content @ ..] = bytes else { return };
    let base = &ARCHIVE.1;
    let path = base.join(LISTS[usize::from(*choice) % LISTS.len()]);
    let former = fs::read(&path).ok();
    fs::write(&path, content).expect("room on the disk");
    let verdict = verify(base, &Expected::default(), &mut |_, _| ()).expect("a readable folder");
    for fault in &verdict.faults {
        assert!(!fault.to_string().chars().any(char::is_control), "{fault:?}");
    }
    match &former {
        Some(former) => {
            assert_eq!(verdict.whole(), former == content, "{path:?}: {:?}", verdict.faults);
            fs::write(&path, former).expect("room on the disk");
        }
        None => {
            // A second tag manifest may be there if all that it states is true.
            assert!(!verdict.whole() || path.ends_with("tagmanifest-sha512.txt"));
            fs::remove_file(&path).expect("just written");
        }
    }
});
