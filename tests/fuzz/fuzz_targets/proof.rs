//! Any bytes as a proof that a file belongs to a root: what holds must lead to the root that is known.

#![no_main]

use libfuzzer_sys::fuzz_target;
use windrow_rooms::verify::judge_proof;

fuzz_target!(|bytes: &[u8]| {
    let alone = judge_proof(bytes, None, None);
    for fault in &alone.faults {
        assert!(!fault.to_string().chars().any(char::is_control), "{fault:?}");
    }
    // Nobody has found bytes whose tree has this root.
    assert!(!judge_proof(bytes, Some([7; 32]), None).holds());
    if let (true, Some(root)) = (alone.holds(), alone.root) {
        assert!(judge_proof(bytes, Some(root), None).holds());
    }
});
