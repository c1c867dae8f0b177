//! `windrow pack`: the evidence archive.

use serde_json::json;

use super::args::Pack;
use super::check::exit_for;
use super::exit::{Exit, Failure};
use super::printer::{BOLD, Printer, styled};
use super::{findings, handover, stages};
use crate::archive::{Packed, tree::hex};

pub fn run(words: &Pack, printer: &mut Printer) -> Result<Exit, Failure> {
    let mut account = stages::account(&words.season)?;
    let path = match &words.output {
        Some(path) => {
            account.outside(path)?;
            path.clone()
        }
        None if words.handover => account.output(None)?.join(account.handover_name()),
        None => account.output(None)?.join(account.archive_name()),
    };
    let (made, evidence) = account.evidence()?;
    // The report names the whole archive, in a copy to hand over too: it is the same report.
    let named = path.file_name().filter(|_| !words.handover);
    let name = named.map_or_else(
        || account.archive_name(),
        |name| name.to_string_lossy().into_owned(),
    );
    let evidence = if words.handover {
        evidence.withholding(&handover::withheld(&account.season, words.hide_names))
    } else {
        evidence
    };
    let date = account.date(words.dated.date);
    let editions = account.editions(words.handover);
    let pdfs = account.reports(&editions, &evidence, &name, date)?;
    let exit = exit_for(&account.findings);
    let summary = findings::summary(&account.findings);
    let packed = account.pack(made, &evidence, pdfs, &path, date)?;
    if words.json {
        printer.json(&as_json(&packed));
    } else {
        print(&packed, printer);
        printer.line(format!("check        {summary}"));
    }
    Ok(exit)
}

/// What was packed, as lines.
pub fn print(packed: &Packed, printer: &mut Printer) {
    printer.line(format!(
        "archive      {}  ({} files, {})",
        packed.path.display(),
        packed.files,
        indicatif::HumanBytes(packed.bytes)
    ));
    if packed.withheld > 0 {
        printer.line(format!(
            "withheld     {} files; verify lists them with their reasons",
            packed.withheld
        ));
    }
    printer.line(format!("root         {}", hex(&packed.root)));
    printer.line(format!(
        "fingerprint  {}",
        styled(BOLD, hex(&packed.fingerprint))
    ));
}

pub fn as_json(packed: &Packed) -> serde_json::Value {
    json!({
        "archive": packed.path,
        "files": packed.files,
        "bytes": packed.bytes,
        "withheld": packed.withheld,
        "root": hex(&packed.root),
        "fingerprint": hex(&packed.fingerprint),
    })
}
