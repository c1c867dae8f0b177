//! Any bytes as a signature, or as an authority's answer: the first byte chooses. Only the true ones may hold.

#![no_main]

use libfuzzer_sys::fuzz_target;
use windrow_rooms::verify::{signature_over, time_stamp_over};

/// What the two seals of the corpus are made over.
const SIGNED: &[u8] = include_bytes!("../corpus/sealed.txt");

fuzz_target!(|bytes: &[u8]| {
    let [choice, content @ ..] = bytes else { return };
    match choice % 3 {
        0 => {
            let _ = signature_over(content, SIGNED);
            assert!(signature_over(content, b"something else").is_err());
        }
        1 => {
            let _ = time_stamp_over(content, SIGNED, None);
            assert!(time_stamp_over(content, b"something else", None).is_err());
        }
        // The request that was sent, as somebody may have changed it.
        _ => {
            let answer = include_bytes!("../corpus/seals/answer.tsr");
            let _ = time_stamp_over(answer.get(1..).unwrap_or_default(), SIGNED, Some(content));
        }
    }
});
