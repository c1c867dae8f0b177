//! The program as it was built, run without colours and without what it knew before.

use std::process::{Command, Output};

pub fn windrow(words: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_windrow"))
        .args(words)
        .env("NO_COLOR", "1")
        .env("WINDROW_CACHE", "off")
        .output()
        .unwrap()
}
