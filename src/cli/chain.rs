//! `windrow verify --previous`: the archive of the earlier season, held against what this one says of it.

use std::path::{Path, PathBuf};

use serde_json::{Value, json};

use super::exit::Failure;
use super::printer::{BAD, GOOD, Printer, styled};
use super::verify::judge;
use crate::archive::tree::{Hash, hex};
use crate::verify::Verdict;

const FOLLOWING: &str = "an archive that follows an earlier one";

/// What holding the earlier archive against this one gave.
pub struct Chain {
    archive: PathBuf,
    verdict: Verdict,
}

/// Judges the earlier archive. `verdict` is of the one that follows it.
pub fn follow(
    archive: &Path,
    following: &Path,
    verdict: &Verdict,
) -> Result<Option<Chain>, Failure> {
    let Some(root) = verdict.previous else {
        // One that isn't whole may have lost it; its faults say more.
        if verdict.whole() {
            return Err(Failure::OptionUnfit {
                option: "--previous",
                path: following.to_owned(),
                needs: FOLLOWING,
            });
        }
        return Ok(None);
    };
    Ok(Some(Chain {
        archive: archive.to_owned(),
        verdict: judge(archive, Some(root), None)?,
    }))
}

impl Chain {
    /// Whether the earlier archive is whole and the one that was followed.
    pub fn agrees(&self) -> bool {
        self.verdict.whole()
    }

    pub fn as_json(&self) -> Value {
        let hash = |hash: Option<Hash>| hash.map(|hash| hex(&hash));
        json!({
            "archive": self.archive,
            "agrees": self.agrees(),
            "root": hash(self.verdict.root),
            "faults": self.verdict.faults,
            "previous": hash(self.verdict.previous),
        })
    }

    pub fn print(&self, printer: &mut Printer) {
        let archive = self.archive.display();
        if !self.agrees() {
            for fault in &self.verdict.faults {
                printer.line(format!(
                    "{} {fault}",
                    styled(BAD, format!("earlier {}:", fault.name()))
                ));
            }
            printer.line(format!(
                "{} {archive} is not whole, or not the archive that this one follows",
                styled(BAD, "chain broken")
            ));
            return;
        }
        printer.line(format!(
            "{} {archive} is whole and has the root that this archive recorded: nothing of that season changed since this one was packed",
            styled(GOOD, "chain holds")
        ));
        let further = match self.verdict.previous {
            Some(root) => format!(
                "That archive follows one with the root {}; hold it against that in the same way.",
                hex(&root)
            ),
            None => "That archive follows no other.".to_owned(),
        };
        printer.line(format!(
            "note: it proves nothing of seasons further back, nor that any record is true. {further}"
        ));
    }
}

/// What an archive says of the one that it follows, where that was not given.
pub fn print_recorded(verdict: &Verdict, given: bool, printer: &mut Printer) {
    if let Some(root) = &verdict.previous {
        let compared = if given {
            "root of the archive that this one follows"
        } else {
            "root of the archive that this one follows; --previous ARCHIVE holds that against it"
        };
        printer.line(format!("previous     {}  ({compared})", hex(root)));
    }
}
