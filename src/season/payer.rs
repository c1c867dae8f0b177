//! Who pays the paid people of a pull.

use super::settings::{Grant, Settings};
use super::value::fold;

/// A payer as the log may name it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Payer<'a> {
    OwnFunds,
    Partner,
    Grant(&'a Grant),
}

impl<'a> Payer<'a> {
    /// Reads `own funds`, `partner` or a grant's id.
    pub fn read(text: &str, settings: &'a Settings) -> Option<Self> {
        match fold(text).as_str() {
            "ownfunds" | "own" | "ourselves" => Some(Payer::OwnFunds),
            "partner" | "partners" => Some(Payer::Partner),
            _ => settings.grant(text).map(Payer::Grant),
        }
    }
}
