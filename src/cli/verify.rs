//! `windrow verify`: whole or not.

use std::path::Path;

use super::args::Verify;
use super::exit::{Exit, Failure};
use super::printer::{BAD, GOOD, Printer, harmless, styled};
use super::progress::Progress;
use super::{chain, proof, recompute};
use crate::archive::tree::{Hash, hex};
use crate::verify::{self, Expected, Verdict};

pub fn run(words: &Verify, printer: &mut Printer) -> Result<Exit, Failure> {
    let read = |source| Failure::Read {
        path: words.archive.clone(),
        source,
    };
    if verify::is_proof(&words.archive).map_err(read)? {
        return proof::run(words, printer);
    }
    proof::refuse_options(words)?;
    let expected = Expected {
        root: words.root,
        fingerprint: words.fingerprint,
        leaves: words.leaves,
    };
    let verdict = judge_by(&words.archive, &expected)?;
    let whole = verdict.whole();
    let chain = match &words.previous {
        Some(earlier) => chain::follow(earlier, &words.archive, &verdict)?,
        None => None,
    };
    let holds = chain.as_ref().is_none_or(chain::Chain::agrees);
    let recomputed = if words.recompute && whole && holds {
        Some(recompute::run(words, &verdict)?)
    } else {
        None
    };
    if words.json {
        let mut value = serde_json::to_value(&verdict).unwrap_or_default();
        if let Some(object) = value.as_object_mut() {
            object.insert("whole".into(), whole.into());
            if let Some(chain) = &chain {
                object.insert("chain".into(), chain.as_json());
            }
            if words.recompute {
                let outcome = serde_json::to_value(&recomputed).unwrap_or_default();
                object.insert("recomputed".into(), outcome);
            }
        }
        printer.json(&value);
    } else {
        print(words, &verdict, printer);
        if let Some(chain) = &chain {
            chain.print(printer);
        }
        // What was changed afterwards isn't worth working out again; the verdict says what it is.
        match &recomputed {
            Some(outcome) => recompute::print(outcome, printer),
            None if words.recompute => printer.line(
                "Nothing was recomputed: an archive that isn't whole, or follows another than was given, gives no figures to compare.",
            ),
            None => {}
        }
    }
    let agrees = recomputed
        .as_ref()
        .is_none_or(recompute::Recomputed::agrees);
    Ok(if whole && holds && agrees {
        Exit::Well
    } else {
        Exit::NotWell
    })
}

/// Judges an archive, with progress.
pub fn judge(
    archive: &Path,
    root: Option<Hash>,
    fingerprint: Option<Hash>,
) -> Result<Verdict, Failure> {
    let expected = Expected {
        root,
        fingerprint,
        leaves: None,
    };
    judge_by(archive, &expected)
}

fn judge_by(archive: &Path, expected: &Expected) -> Result<Verdict, Failure> {
    let progress = Progress::bytes("verifying", 0);
    Ok(verify::verify(archive, expected, &mut |done, total| {
        progress.of(total);
        progress.at(done);
    })?)
}

fn print(words: &Verify, verdict: &Verdict, printer: &mut Printer) {
    for fault in &verdict.faults {
        printer.line(format!(
            "{} {fault}",
            styled(BAD, format!("{}:", fault.name()))
        ));
    }
    if verdict.faults_left_out > 0 {
        printer.line(format!("and {} more faults", verdict.faults_left_out));
    }
    for warning in &verdict.warnings {
        printer.line(format!("note: {warning}"));
    }
    if !verdict.faults.is_empty() || !verdict.warnings.is_empty() {
        printer.line("");
    }
    for (label, value) in &verdict.description {
        printer.line(format!("{label:<28} {value}"));
    }
    if !verdict.description.is_empty() {
        printer.line("");
    }
    for item in &verdict.withheld {
        let path = item
            .path
            .as_deref()
            .unwrap_or("(its name is withheld as well)");
        printer.line(format!(
            "withheld     {}: {}",
            harmless(path),
            harmless(&item.reason)
        ));
    }
    if verdict.withheld.iter().any(|item| item.path.is_none()) && verdict.whole() {
        printer.line(if verdict.leaves_compared {
            "note: the number of leaves is the one you gave, so each item without a name stands for one file"
        } else {
            "note: an item without a name can stand for more than one file; --leaves NUMBER, as the report prints it, rules that out"
        });
    }
    if !verdict.withheld.is_empty() {
        printer.line("");
    }
    if let Some(root) = &verdict.root {
        let compared = if verdict.root_compared {
            "compared with the root you gave"
        } else {
            "compare it with the root printed in the report"
        };
        printer.line(format!("root         {}  ({compared})", hex(root)));
    }
    if let Some(fingerprint) = &verdict.fingerprint {
        let compared = if verdict.fingerprint_compared {
            "compared with the fingerprint you gave"
        } else {
            "compare it with the cover letter"
        };
        printer.line(format!("fingerprint  {}  ({compared})", hex(fingerprint)));
    }
    if verdict.root.is_some() {
        let compared = if verdict.leaves_compared {
            "compared with the number you gave"
        } else {
            "compare it with the number printed beside the root"
        };
        printer.line(format!("leaves       {}  ({compared})", verdict.leaves));
    }
    chain::print_recorded(verdict, words.previous.is_some(), printer);
    for seal in &verdict.seals {
        printer.line(format!("seal         {seal}"));
    }
    let size = format!(
        "{} files, {}",
        verdict.files,
        indicatif::HumanBytes(verdict.bytes)
    );
    let archive = words.archive.display();
    if verdict.whole() {
        let number = verdict.withheld.len();
        let left_out = if number == 0 {
            String::new()
        } else {
            format!(", with {number} withheld")
        };
        printer.line(format!(
            "{}{left_out} {archive} ({size}): nothing changed, missing or added",
            styled(GOOD, "whole")
        ));
    } else {
        let number = verdict.faults.len() + verdict.faults_left_out;
        let word = if number == 1 { "fault" } else { "faults" };
        printer.line(format!(
            "{} {archive} ({size}): {number} {word}",
            styled(BAD, "not whole")
        ));
    }
}
