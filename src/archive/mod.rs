//! The evidence archive: a season's files, ledger and report in one bag that anyone can verify.
//!
//! Takes [`Item`]s and a [`BagDescription`]; gives a ZIP at the wanted place and its two fingerprints. [`profile`], [`names`] and [`tree`]
//! are the format, shared with the verifier; the rest is the writer's own, [`proof`] among it. Reads no clock, changes nothing in the
//! season folder. docs/archive.md is the format in prose.

pub mod names;
pub mod profile;
pub mod proof;
pub mod qr;
pub mod tree;
pub mod words;

mod ahead;
mod draft;
mod error;
mod evidence;
#[cfg(test)]
mod faults;
mod flushing;
mod intake;
mod item;
mod seal;
mod signature;
mod tags;
mod time_stamp;
mod writer;
mod zip_records;
mod zip_writer;

pub use draft::{Draft, Packed, pack};
pub use error::ArchiveError;
pub use evidence::{Evidence, Withheld};
pub use intake::{Expected, Intake, Lane};
pub use item::{Content, Item};
pub use seal::add_seal;
pub use signature::{SignError, sign};
pub use tags::BagDescription;
pub use time_stamp::time_stamp_request;
