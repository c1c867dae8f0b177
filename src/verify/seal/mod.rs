//! Signature and time stamp of an archive: whether they hold, and what they say.
//!
//! Takes the files of an archive; gives the seals that hold, and faults for those that don't. Both are made over the bytes
//! of tagmanifest-sha256.txt, which stands for all the rest. Neither is needed for an archive to be whole. Knows no list of
//! trusted keys or authorities: whom to trust is for the reader to judge.

mod signature;
mod time_stamp;

use std::fmt;

use serde::Serialize;

pub use signature::{Signature, over as signature_over};
pub use time_stamp::{TimeStamp, over as time_stamp_over};

use super::VerifyError;
use super::fault::Fault;
use super::files::{Content, Files};
use crate::archive::profile;

/// A seal that holds.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case", tag = "seal")]
pub enum Seal {
    Signature(Signature),
    TimeStamp(TimeStamp),
}

/// Why a seal doesn't hold, or can't be checked, in plain words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unsound(pub String);

impl fmt::Display for Unsound {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

fn unsound(what: impl Into<String>) -> Unsound {
    Unsound(what.into())
}

/// Text of a seal, safe to show and no longer than a line or two.
fn shown(text: &str) -> String {
    /// Letters of a name that are shown.
    const MOST: usize = 200;
    let letters = text.chars().take(MOST);
    letters
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect::<String>()
        .trim()
        .to_owned()
}

/// Judges the seals that are there.
///
/// # Errors
/// The machine's failure.
pub(super) fn judge_all(files: &Files, faults: &mut Vec<Fault>) -> Result<Vec<Seal>, VerifyError> {
    let mut seals = Vec::new();
    for path in profile::SEAL_FILES {
        if !files.contains(path) {
            continue;
        }
        let mut whole = |path: &str, most: u64| -> Result<Option<Vec<u8>>, VerifyError> {
            let Some(stored) = files.list.get(path) else {
                return Ok(None);
            };
            match files.read_whole(path, stored, most)? {
                Content::Good(Some(bytes)) => Ok(Some(bytes)),
                Content::Good(None) => {
                    let what = format!("it is longer than {most} bytes");
                    faults.push(Fault::refused(path, what));
                    Ok(None)
                }
                Content::Bad(_) => Ok(None),
            }
        };
        let (Some(seal), Some(signed)) = (
            whole(path, profile::MAX_SEAL_BYTES)?,
            whole(profile::TAG_MANIFEST, profile::MAX_LIST_BYTES)?,
        ) else {
            continue;
        };
        let judged = if path == profile::SEAL_SIGNATURE {
            signature::over(&seal, &signed).map(Seal::Signature)
        } else {
            time_stamp::over(&seal, &signed, None).map(Seal::TimeStamp)
        };
        match judged {
            Ok(seal) => seals.push(seal),
            Err(Unsound(what)) => faults.push(Fault::Seal {
                path: path.into(),
                what,
            }),
        }
    }
    Ok(seals)
}

impl fmt::Display for Seal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Signature(signature) => signature.fmt(f),
            Self::TimeStamp(stamp) => stamp.fmt(f),
        }
    }
}
