//! `windrow timestamp`: a request for a time stamp, and its answer checked and kept. Nothing is sent: the request goes to an
//! authority by whatever way its user likes.

use serde_json::json;

use super::args::Timestamp;
use super::draw::whole;
use super::exit::{Exit, Failure};
use super::outputs::write;
use super::printer::{BOLD, Printer, styled};
use super::sign::{keep, read, signed_bytes};
use crate::archive::tree::hex;
use crate::archive::{self, profile};
use crate::verify::{self, Seal};

pub fn run(words: &Timestamp, printer: &mut Printer) -> Result<Exit, Failure> {
    let (opened, fingerprint) = whole(&words.archive)?;
    let Some(answer_path) = &words.answer else {
        let Some(path) = &words.request else {
            // The words of the command line make sure of one of the two.
            return Ok(Exit::Usage);
        };
        let request = archive::time_stamp_request(&fingerprint, words.nonce).map_err(|error| {
            Failure::Unsound {
                path: path.clone(),
                what: error.to_string(),
            }
        })?;
        write(path, &request)?;
        if words.json {
            printer.json(&json!({"request": path, "fingerprint": hex(&fingerprint)}));
        } else {
            printer.line(format!("request      {}", styled(BOLD, path.display())));
            printer.line(format!("fingerprint  {}", hex(&fingerprint)));
            printer.line(
                "Send the request to a time-stamp authority of your choice (RFC 3161), and hand its answer to windrow timestamp with \
                 --answer. The request holds the fingerprint and nothing else of the archive.",
            );
        }
        return Ok(Exit::Well);
    };
    let signed = signed_bytes(&opened, &words.archive)?;
    let answer = read(answer_path, profile::MAX_SEAL_BYTES)?;
    let request = match &words.request {
        Some(path) => Some(read(path, profile::MAX_SEAL_BYTES)?),
        None => None,
    };
    let stamp =
        verify::time_stamp_over(&answer, &signed, request.as_deref()).map_err(|unsound| {
            Failure::Unsound {
                path: answer_path.clone(),
                what: unsound.0,
            }
        })?;
    keep(
        &words.archive,
        &opened,
        profile::SEAL_TIME_STAMP,
        &answer,
        words.replace,
        fingerprint,
    )?;
    let place = words.archive.join(profile::SEAL_TIME_STAMP);
    if words.json {
        printer.json(&json!({
            "time-stamp": place,
            "fingerprint": hex(&fingerprint),
            "seal": Seal::TimeStamp(stamp),
        }));
    } else {
        printer.line(format!("time stamp   {}", styled(BOLD, place.display())));
        printer.line(format!("fingerprint  {}  (as it was)", hex(&fingerprint)));
        printer.line(Seal::TimeStamp(stamp));
    }
    Ok(Exit::Well)
}
