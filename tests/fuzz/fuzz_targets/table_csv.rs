//! Any bytes as a table of comma-separated values: the first byte chooses the table.

#![no_main]

use std::sync::LazyLock;

use libfuzzer_sys::fuzz_target;
use windrow_rooms::{Folder, LONGEST};

static FOLDER: LazyLock<Folder> = LazyLock::new(Folder::default);

const TABLES: [&str; 6] = [
    "pulls.csv",
    "weighings.csv",
    "cover.csv",
    "history.csv",
    "spending.csv",
    "photos.csv",
];

fuzz_target!(|bytes: &[u8]| {
    let [choice, table @ ..] = bytes else { return };
    if table.len() > LONGEST {
        return;
    }
    let name = TABLES[usize::from(*choice) % TABLES.len()];
    FOLDER.write(name, table);
    FOLDER.check();
    FOLDER.remove(name);
});
