//! A season wherever it is: in its folder, or inside an archive.
//!
//! Takes a path; gives the account of the season, and for an archive what has to be told beside it. An archive that isn't
//! whole is read as far as it goes, with a warning; one that can't be followed is refused.

use std::path::{Path, PathBuf};

use serde_json::{Value, json};

use super::exit::{Exit, Failure};
use super::outputs;
use super::printer::{BAD, harmless, styled};
use super::stages::{self, Account, EarlierArchive};
use super::unpacked::{self, Unpacked};
use super::verify::judge;
use crate::archive::tree::hex;
use crate::season::SETTINGS_FILE;
use crate::verify::{self, Verdict};

/// Changed files that are named; verify names all.
const MOST_NAMED: usize = 5;

/// The archive that a season was read from.
pub struct Inside {
    archive: PathBuf,
    verdict: Verdict,
    unpacked: Unpacked,
    /// The ledger as it was packed.
    packed: Option<Value>,
    /// The earlier archive that the season builds on and that was not given.
    earlier_lacking: Option<String>,
}

/// The account of the season at `place`, be it a season folder or an archive. `previous` is where the archive of the earlier
/// season lies.
pub fn account(
    place: &Path,
    previous: Option<&Path>,
) -> Result<(Account, Option<Inside>), Failure> {
    let named = previous.map_or(EarlierArchive::AsNamed, EarlierArchive::At);
    // Whatever is no archive is treated as a season folder, whose reader says best what it lacks.
    if place.is_dir() && (place.join(SETTINGS_FILE).exists() || verify::open(place)?.is_none()) {
        return Ok((stages::account_after(place, named)?, None));
    }
    if !place.exists() {
        return Ok((stages::account_after(place, named)?, None));
    }
    let verdict = judge(place, None, None)?;
    let Some(opened) = verify::open(place)? else {
        return Err(Failure::NotWhole {
            path: place.to_owned(),
            faults: verdict.faults.len() + verdict.faults_left_out,
        });
    };
    let unpacked = unpacked::unpack(&opened, "season")?;
    let named = previous.map_or(EarlierArchive::NotAtHand, EarlierArchive::At);
    let account = stages::account_anew(&unpacked.folder, named)?;
    let settings = &account.season.settings;
    let earlier = settings.previous.as_ref();
    let inside = Inside {
        archive: place.to_owned(),
        verdict,
        unpacked,
        packed: unpacked::packed_ledger(&opened)?.ok(),
        earlier_lacking: earlier
            .filter(|_| previous.is_none())
            .map(|earlier| earlier.archive.clone()),
    };
    Ok((account, Some(inside)))
}

impl Inside {
    /// What a reader has to know of the archive, a line each.
    pub fn lines(&self) -> Vec<String> {
        let mut lines = vec![format!("archive      {}", self.archive.display())];
        if let Some(root) = &self.verdict.root {
            lines.push(format!(
                "root         {}  (compare it with the root printed in the report)",
                hex(root)
            ));
        }
        if !self.verdict.whole() {
            lines.push(format!(
                "{} {} faults, which `windrow verify` names; what follows is worked out from the files as they are",
                styled(BAD, "not whole:"),
                self.verdict.faults.len() + self.verdict.faults_left_out
            ));
        }
        let altered = &self.unpacked.altered;
        for path in altered.iter().take(MOST_NAMED) {
            lines.push(format!("{} {}", styled(BAD, "changed:"), harmless(path)));
        }
        let withheld = self.verdict.withheld.len();
        if withheld > 0 {
            lines.push(format!(
                "note: {withheld} files are withheld from this copy; a figure that rests on one of them comes out otherwise here"
            ));
        }
        if let Some(archive) = &self.earlier_lacking {
            lines.push(format!(
                "note: the season builds on {}, which is not at hand; seasons are compared without it unless --previous names it",
                harmless(archive)
            ));
        }
        lines
    }

    /// Where the packed ledger has another value for a figure than its records give.
    pub fn disagreement(&self, figure: &str, derived: Option<f64>) -> Option<String> {
        let packed = self.packed.as_ref()?.get("figures")?;
        let Some(packed) = packed.get(figure) else {
            return Some("note: the ledger in the archive has no such figure".to_owned());
        };
        let value = packed.get("value")?;
        let number = value
            .as_f64()
            .or_else(|| value.as_str().and_then(|text| text.parse().ok()));
        let same = match (number, derived) {
            (Some(one), Some(two)) => verify::same_number(one, two),
            (None, None) => true,
            _ => false,
        };
        (!same).then(|| {
            format!(
                "{} the ledger in the archive says {}",
                styled(BAD, "differs:"),
                harmless(&value.to_string())
            )
        })
    }

    pub fn as_json(&self) -> Value {
        json!({
            "archive": self.archive,
            "root": self.verdict.root.map(|root| hex(&root)),
            "whole": self.verdict.whole(),
            "faults": self.verdict.faults.len() + self.verdict.faults_left_out,
            "altered": self.unpacked.altered,
            "withheld": self.verdict.withheld.len(),
            "earlier_lacking": self.earlier_lacking,
        })
    }

    /// Refuses a path in an archive that is a folder, and the archive itself.
    pub fn outside(&self, path: &Path) -> Result<(), Failure> {
        outputs::outside(&self.archive, path)
    }

    /// How a command that read from the archive ends, if all else is well.
    pub fn exit(&self) -> Exit {
        if self.verdict.whole() {
            Exit::Well
        } else {
            Exit::NotWell
        }
    }
}
