//! Any bytes as a boat's track.

#![no_main]

use std::sync::LazyLock;

use libfuzzer_sys::fuzz_target;
use windrow_rooms::{Folder, LONGEST};

static FOLDER: LazyLock<Folder> = LazyLock::new(Folder::default);

fuzz_target!(|bytes: &[u8]| {
    if bytes.len() > LONGEST {
        return;
    }
    FOLDER.write("tracks/boat.gpx", bytes);
    FOLDER.check();
});
