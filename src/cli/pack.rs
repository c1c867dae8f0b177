//! `windrow pack`: the evidence archive.

use serde_json::json;

use super::args::Pack;
use super::check::exit_for;
use super::exit::{Exit, Failure};
use super::outputs::{self, Outputs};
use super::printer::{BOLD, Printer, styled};
use super::reader::Copying;
use super::{findings, handover, stages};
use crate::archive::{Draft, Packed, tree::hex};

pub fn run(words: &Pack, printer: &mut Printer) -> Result<Exit, Failure> {
    let places = Outputs::of(&words.season);
    // A folder is made for an archive that goes to its usual place, but not before there is something to put there.
    let (folder, path) = match &words.output {
        Some(path) => {
            places.outside(path)?;
            (None, path.clone())
        }
        None => {
            let folder = places.place(None)?;
            let name = if words.handover {
                places.handover_name()
            } else {
                places.archive_name()
            };
            let path = folder.join(name);
            (Some(folder), path)
        }
    };
    let (account, draft) = if words.handover {
        // What stays out of a copy follows from what all the photos say, so that none can go into it before all are read.
        let account = stages::account(&words.season)?.condensed();
        if let Some(folder) = &folder {
            outputs::make(folder).map_err(outputs::unwritten(folder))?;
        }
        (account, Draft::at(&path)?)
    } else {
        let base = places.archive_base();
        let path = path.clone();
        stages::account_into(&words.season, Copying { path, base, folder })?
    };
    let made = account.made()?;
    let evidence = account.evidence(&made)?;
    // The report names the whole archive, in a copy to hand over too: it is the same report.
    let named = path.file_name().filter(|_| !words.handover);
    let name = named.map_or_else(
        || places.archive_name(),
        |name| name.to_string_lossy().into_owned(),
    );
    let evidence = if words.handover {
        evidence.withholding(&handover::withheld(&account.season, words.hide_names))
    } else {
        evidence
    };
    let date = account.date(words.dated.date);
    let editions = account.editions(words.handover);
    let ready = account.prepare(&editions, &evidence, &name, date)?;
    let exit = exit_for(&account.findings);
    let summary = findings::summary(&account.findings);
    let packing = account.into_packing(made, date);
    let reports = stages::set(ready)?;
    let packed = packing.pack(&evidence, reports, draft)?;
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
