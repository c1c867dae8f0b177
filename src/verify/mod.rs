//! Judges an archive: whole or not, and each fault by name.
//!
//! Takes a ZIP or an unpacked folder, of windrow or of another maker; gives a [`Verdict`]. Shares with the writer the
//! format alone (`archive::profile`, `archive::tree`), never its code, so that a mistake in one can't hide in the other.
//! Writes nothing to disk, follows no link, trusts no number that it reads.

mod bag;
mod bag_info;
mod conduct;
mod declaration;
mod digest;
pub mod draw;
mod earlier;
mod error;
mod evidence;
mod fault;
mod fetch;
mod files;
mod folder;
mod layout;
mod manifest;
mod names;
mod open;
mod proof;
mod recompute;
mod seal;
mod text;
mod verdict;
mod zip;

pub use conduct::verify;
pub use earlier::join_earlier;
pub use error::VerifyError;
pub use evidence::TreeLeaf;
pub use fault::{Fault, Warning};
pub use open::{Copied, Opened, open};
pub use proof::{ProofVerdict, hash_file, is_proof, judge_proof, read_proof};
pub use recompute::{Comparison, Depth, Difference, compare, same_number, set_seasons_aside};
pub use seal::{Seal, Signature, TimeStamp, Unsound, signature_over, time_stamp_over};
pub use verdict::{Expected, Kind, Verdict, WithheldItem};
