//! `windrow sign`: a signature over the archive's fingerprint, kept in the archive or beside it.

use std::path::Path;

use serde_json::json;

use super::args::Sign;
use super::draw::whole;
use super::exit::{Exit, Failure};
use super::outputs::write;
use super::printer::{BOLD, Printer, styled};
use super::verify::judge;
use crate::archive::tree::{Hash, hex};
use crate::archive::{self, profile};
use crate::verify::{self, Seal};

/// Bytes of a key's file.
const MOST_KEY_BYTES: u64 = 64 << 10;

pub fn run(words: &Sign, printer: &mut Printer) -> Result<Exit, Failure> {
    let (opened, fingerprint) = whole(&words.archive)?;
    let signed = signed_bytes(&opened, &words.archive)?;
    let (text, from) = match (&words.key, &words.signature) {
        (Some(path), _) => {
            let key = read(path, MOST_KEY_BYTES)?;
            let signature = archive::sign(&String::from_utf8_lossy(&key), &signed);
            let unfit = |error| Failure::KeyUnfit {
                path: path.clone(),
                error,
            };
            (signature.map_err(unfit)?.into_bytes(), path)
        }
        (None, Some(path)) => (read(path, profile::MAX_SEAL_BYTES)?, path),
        // The words of the command line make sure of one of the two.
        (None, None) => return Ok(Exit::Usage),
    };
    let judged = verify::signature_over(&text, &signed).map_err(|unsound| Failure::Unsound {
        path: from.clone(),
        what: unsound.0,
    })?;
    let place = match &words.output {
        Some(path) => {
            write(path, &text)?;
            path.clone()
        }
        None => {
            keep(
                &words.archive,
                &opened,
                profile::SEAL_SIGNATURE,
                &text,
                words.replace,
                fingerprint,
            )?;
            words.archive.join(profile::SEAL_SIGNATURE)
        }
    };
    if words.json {
        printer.json(&json!({
            "signature": place,
            "fingerprint": hex(&fingerprint),
            "seal": Seal::Signature(judged),
        }));
    } else {
        printer.line(format!("signature    {}", styled(BOLD, place.display())));
        printer.line(format!("fingerprint  {}  (as it was)", hex(&fingerprint)));
        printer.line(Seal::Signature(judged));
    }
    Ok(Exit::Well)
}

/// The bytes that seals are made over.
pub fn signed_bytes(opened: &verify::Opened, archive: &Path) -> Result<Vec<u8>, Failure> {
    opened
        .read(profile::TAG_MANIFEST, profile::MAX_LIST_BYTES)?
        .ok_or_else(|| Failure::NotWhole {
            path: archive.to_owned(),
            faults: 1,
        })
}

/// Puts a seal into the archive and makes sure that the archive is as whole as before.
pub fn keep(
    archive: &Path,
    opened: &verify::Opened,
    place: &'static str,
    seal: &[u8],
    replace: bool,
    fingerprint: Hash,
) -> Result<(), Failure> {
    let former = opened.read(place, profile::MAX_SEAL_BYTES)?;
    if former.is_some_and(|former| former != seal) && !replace {
        return Err(Failure::SealThere {
            path: archive.to_owned(),
            place,
        });
    }
    archive::add_seal(archive, place, seal)?;
    let verdict = judge(archive, None, Some(fingerprint))?;
    if verdict.whole() {
        Ok(())
    } else {
        Err(Failure::PackedNotWhole {
            path: archive.to_owned(),
            faults: verdict.faults.iter().map(ToString::to_string).collect(),
        })
    }
}

/// A small file; one that is longer than `most` is cut off and then found unfit.
pub fn read(path: &Path, most: u64) -> Result<Vec<u8>, Failure> {
    use std::io::Read;
    let read = || {
        let mut bytes = Vec::new();
        std::fs::File::open(path)?
            .take(most)
            .read_to_end(&mut bytes)?;
        Ok(bytes)
    };
    read().map_err(|source| Failure::Read {
        path: path.to_owned(),
        source,
    })
}
