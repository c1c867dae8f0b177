//! Any bytes as the outlines of the sites.

#![no_main]

use std::sync::LazyLock;

use libfuzzer_sys::fuzz_target;
use windrow_rooms::{Folder, LONGEST};

static FOLDER: LazyLock<Folder> = LazyLock::new(|| {
    let folder = Folder::default();
    folder.write(
        "pulls.csv",
        b"pull,date,site,staff_hours,container,containers,mass_kg,stage\nP1,2025-06-14,north,3,bag,2,9.5,rosette\n",
    );
    folder
});

fuzz_target!(|bytes: &[u8]| {
    if bytes.len() > LONGEST {
        return;
    }
    FOLDER.write("sites.geojson", bytes);
    FOLDER.check();
});
