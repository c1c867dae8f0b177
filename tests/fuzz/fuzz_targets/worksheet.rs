//! Any bytes as an auditor's filled worksheet, or as one part of a sound one: the first byte chooses.

#![no_main]

use libfuzzer_sys::fuzz_target;
use windrow_rooms::verify::draw;
use windrow_rooms::{LONGEST, with_part};

const SHEET: &[u8] = include_bytes!("../corpus/draw.xlsx");

fuzz_target!(|bytes: &[u8]| {
    let [choice, content @ ..] = bytes else { return };
    if content.len() > LONGEST {
        return;
    }
    let bytes = match choice % 5 {
        0 => content.to_vec(),
        1 => with_part(SHEET, "xl/worksheets/sheet1.xml", content),
        2 => with_part(SHEET, "xl/worksheets/sheet2.xml", content),
        3 => with_part(SHEET, "xl/sharedStrings.xml", content),
        _ => with_part(SHEET, "xl/workbook.xml", content),
    };
    if let Ok(filled) = draw::read_sheet(&bytes) {
        if let Ok(judgement) = draw::judge(&filled) {
            assert!((0.0..=1.0).contains(&judgement.share), "{judgement:?}");
            assert!((0.0..=1.0).contains(&judgement.upper), "{judgement:?}");
            assert!(judgement.share <= judgement.upper, "{judgement:?}");
        }
    }
});
