//! Any bytes as a photo: reading them must end, without a panic, in a record whose values can be true; and a JPEG must be looked at
//! and drawn small, or be told as one that can't be.

#![no_main]

use std::io::{Seek, SeekFrom, Write};
use std::sync::LazyLock;
use std::sync::Mutex;

use libfuzzer_sys::fuzz_target;
use windrow_rooms::photo;

/// One file for all rounds: what is asked for is a path.
static FILE: LazyLock<Mutex<tempfile::NamedTempFile>> =
    LazyLock::new(|| Mutex::new(tempfile::NamedTempFile::new().expect("a temporary folder")));

fuzz_target!(|bytes: &[u8]| {
    let mut file = FILE.lock().expect("no round panicked before");
    file.as_file().set_len(0).expect("the file is ours");
    file.seek(SeekFrom::Start(0)).expect("the file is ours");
    file.write_all(bytes).expect("room on the disk");
    let (photo, _) =
        photo::read_and_look(file.path(), "photos/one.jpg", |_| None).expect("a readable file");
    assert_eq!(photo.bytes, bytes.len() as u64);
    assert!((1..=8).contains(&photo.orientation));
    if let Some(position) = photo.position {
        assert!(position.latitude.abs() <= 90.0 && position.longitude.abs() <= 180.0);
        for metres in [position.altitude_m, position.error_m].into_iter().flatten() {
            assert!(metres.is_finite());
        }
    }
    if let Some(bearing) = photo.bearing {
        assert!((0.0..360.0).contains(&bearing.degrees));
    }
    for trouble in &photo.troubles {
        let said = trouble.words().to_string();
        assert!(!said.chars().any(char::is_control));
        // A text of a hundred letters, and a sentence around it.
        assert!(said.chars().count() <= 250);
    }
    // The other formats' decoders have fuzzers of their own, and take their time with large pictures.
    if photo.format == Some(photo::Format::Jpeg) {
        for edge in [3, 20] {
            if let Ok(small) = photo::thumbnail::upright(file.path(), photo.orientation, edge) {
                assert!(small.width.max(small.height) <= edge);
            }
        }
    }
});
