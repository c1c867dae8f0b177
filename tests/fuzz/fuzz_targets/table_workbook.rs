//! Any bytes as a workbook, or as one part of a sound one: the first byte chooses the format and the part.
//!
//! Most changes of a whole workbook only break its ZIP; a part put in by itself lets the others get further in.

#![no_main]

use std::sync::LazyLock;

use libfuzzer_sys::fuzz_target;
use windrow_rooms::{Folder, LONGEST, with_part};

static FOLDER: LazyLock<Folder> = LazyLock::new(Folder::default);

const XLSX: &[u8] = include_bytes!("../corpus/pulls.xlsx");
const ODS: &[u8] = include_bytes!("../corpus/pulls.ods");

fuzz_target!(|bytes: &[u8]| {
    let [choice, content @ ..] = bytes else { return };
    if content.len() > LONGEST {
        return;
    }
    let (name, workbook) = match choice % 8 {
        0 => ("pulls.xlsx", content.to_vec()),
        1 => ("pulls.ods", content.to_vec()),
        2 => ("pulls.xlsx", with_part(XLSX, "xl/worksheets/sheet1.xml", content)),
        3 => ("pulls.xlsx", with_part(XLSX, "xl/sharedStrings.xml", content)),
        4 => ("pulls.xlsx", with_part(XLSX, "xl/styles.xml", content)),
        5 => ("pulls.xlsx", with_part(XLSX, "xl/workbook.xml", content)),
        6 => ("pulls.xlsx", with_part(XLSX, "xl/_rels/workbook.xml.rels", content)),
        _ => ("pulls.ods", with_part(ODS, "content.xml", content)),
    };
    FOLDER.write(name, &workbook);
    FOLDER.check();
    FOLDER.remove(name);
});
