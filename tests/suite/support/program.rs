//! The program as it was built, run without colours and without what it knew before.

use std::process::{Command, Output};

pub fn windrow(words: &[&str]) -> Output {
    command(words).output().unwrap()
}

/// The same, before it runs.
pub fn command(words: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_windrow"));
    command
        .args(words)
        .env("NO_COLOR", "1")
        .env("WINDROW_CACHE", "off");
    command
}
