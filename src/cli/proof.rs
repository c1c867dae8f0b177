//! `windrow verify` of a proof for one file, with or without the archive.

use std::path::PathBuf;

use super::args::Verify;
use super::exit::{Exit, Failure};
use super::printer::{BAD, GOOD, Printer, harmless, styled};
use super::verify::judge;
use crate::archive::tree::hex;
use crate::verify::{self, Fault, ProofVerdict};

const A_PROOF: &str = "a proof, as windrow prove writes it";
const AN_ARCHIVE: &str = "an archive";

/// Options that only a proof takes, on something that is none.
pub fn refuse_options(words: &Verify) -> Result<(), Failure> {
    for (option, given) in [
        ("--file", words.file.is_some()),
        ("--archive", words.of_archive.is_some()),
    ] {
        if given {
            return Err(unfit(words, option, A_PROOF));
        }
    }
    Ok(())
}

fn unfit(words: &Verify, option: &'static str, needs: &'static str) -> Failure {
    Failure::OptionUnfit {
        option,
        path: words.archive.clone(),
        needs,
    }
}

pub fn run(words: &Verify, printer: &mut Printer) -> Result<Exit, Failure> {
    for (option, given) in [
        ("--fingerprint", words.fingerprint.is_some()),
        ("--recompute", words.recompute),
        ("--previous", words.previous.is_some()),
        ("--leaves", words.leaves.is_some()),
    ] {
        if given {
            return Err(unfit(words, option, AN_ARCHIVE));
        }
    }
    let bytes = verify::read_proof(&words.archive).map_err(read(&words.archive))?;
    let file = match &words.file {
        Some(path) => Some(verify::hash_file(path).map_err(read(path))?),
        None => None,
    };
    let mut verdict = verify::judge_proof(&bytes, words.root, file);
    let of_archive = match (&words.of_archive, verdict.root) {
        (Some(archive), Some(root)) => Some(judge(archive, Some(root), None)?),
        _ => None,
    };
    if let Some(archive) = &of_archive {
        verdict.faults.extend(archive.faults.iter().cloned());
    }
    if words.json {
        let mut value = serde_json::to_value(&verdict).unwrap_or_default();
        if let Some(object) = value.as_object_mut() {
            object.insert("holds".into(), verdict.holds().into());
            object.insert("archive-compared".into(), of_archive.is_some().into());
        }
        printer.json(&value);
    } else {
        print(words, &verdict, of_archive.is_some(), printer);
    }
    Ok(if verdict.holds() {
        Exit::Well
    } else {
        Exit::NotWell
    })
}

fn read(path: &std::path::Path) -> impl Fn(std::io::Error) -> Failure {
    let path: PathBuf = path.to_owned();
    move |source| Failure::Read {
        path: path.clone(),
        source,
    }
}

fn print(words: &Verify, verdict: &ProofVerdict, with_archive: bool, printer: &mut Printer) {
    for fault in &verdict.faults {
        printer.line(format!(
            "{} {fault}",
            styled(BAD, format!("{}:", Fault::name(fault)))
        ));
    }
    if let Some(path) = &verdict.path {
        printer.line(format!("file         {}", harmless(path)));
    }
    if let Some(size) = verdict.size {
        printer.line(format!("bytes        {size}"));
    }
    if let Some(sha256) = &verdict.sha256 {
        printer.line(format!("sha256       {}", hex(sha256)));
    }
    if let Some(root) = &verdict.root {
        let compared = if verdict.root_compared {
            "compared with the root you gave"
        } else {
            "NOT compared: hold it against the root printed in the report, or give that with --root"
        };
        printer.line(format!("root         {}  ({compared})", hex(root)));
    }
    let proof = words.archive.display();
    if !verdict.holds() {
        printer.line(format!("{} {proof}", styled(BAD, "does not hold")));
        return;
    }
    let file = if verdict.file_compared {
        "the file you gave is, to the last bit, the one that was packed under this path"
    } else {
        "a file with this hash was packed under this path; give it with --file, or compare its SHA-256 by eye"
    };
    printer.line(format!("{} {proof}: {file}", styled(GOOD, "holds")));
    if with_archive {
        printer.line("The archive is whole and has the same root.");
    }
    if !verdict.root_compared {
        printer.line("That is worth something only once the root is found to be the printed one.");
    }
}
