//! `windrow verify --recompute`: every figure of a whole archive worked out again from the records inside it.
//!
//! Drives the rooms in their order on an unpacked copy and hands both ledgers to `verify::compare`. The copy lies in a
//! temporary folder, which is gone when the work ends.

use chrono::NaiveDate;
use serde::Serialize;
use serde_json::Value;

use super::args::Verify;
use super::exit::Failure;
use super::printer::{BAD, DOUBTFUL, GOOD, Printer, harmless, styled};
use super::stages::{self, Account, EarlierArchive, VERSION};
use super::unpacked::{self, MOST_BYTES};
use crate::archive::Evidence;
use crate::archive::profile::{LABEL_DATE, LABEL_SOFTWARE, PAYLOAD, REPORT};
use crate::report::{Form, Kept, edition};
use crate::season::Edition;
use crate::verify::{self, Comparison, Depth, Opened, Verdict};

/// What working everything out again gave.
#[derive(Debug, Default, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Recomputed {
    /// What bag-info.txt says of the software that packed.
    pub packed_by: String,
    /// The version that worked it out again.
    pub recomputed_by: String,
    /// Whether both are one, so that every byte has to be the same.
    pub same_version: bool,
    #[serde(flatten)]
    pub ledger: Comparison,
    /// Files of ledger and report that came out with other bytes.
    pub other_bytes: Vec<String>,
    /// What can't be compared without the archive of the earlier season, where that was not given.
    pub not_compared: Option<NotCompared>,
    /// Why it could not be done, if so.
    pub not_done: Option<String>,
}

/// What rests on an archive that is not at hand: these figures, and the bytes of ledger and report.
#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct NotCompared {
    /// The archive, as season.toml names it.
    pub archive: String,
    pub figures: Vec<String>,
}

impl Recomputed {
    /// Whether all of it follows. What can't be compared does not.
    pub fn agrees(&self) -> bool {
        self.not_done.is_none() && self.not_compared.is_none() && self.follows()
    }

    /// Whether all that was compared follows.
    fn follows(&self) -> bool {
        self.ledger.differences.is_empty() && self.other_bytes.is_empty()
    }

    fn refused(why: impl Into<String>) -> Self {
        Self {
            not_done: Some(why.into()),
            ..Self::default()
        }
    }
}

/// Works everything out again. `verdict` found the archive whole.
pub fn run(words: &Verify, verdict: &Verdict) -> Result<Recomputed, Failure> {
    let Some(opened) = verify::open(&words.archive)? else {
        return Ok(Recomputed::refused(
            "it is a bag of another maker, without season and ledger",
        ));
    };
    if !verdict.withheld.is_empty() {
        return Ok(Recomputed::refused(
            "files are withheld from this copy, and figures that rest on them can't be worked out; ask for the whole archive",
        ));
    }
    let stated = |label: &str| {
        let mut pairs = verdict.description.iter();
        pairs
            .find(|(name, _)| name == label)
            .map(|(_, value)| value.clone())
            .unwrap_or_default()
    };
    let Some(date) = stated(LABEL_DATE).parse::<NaiveDate>().ok() else {
        return Ok(Recomputed::refused("bag-info.txt names no day of packing"));
    };
    let reports = reports_in(&opened);
    let Some(season) = reports.first().map(|report| report.season.clone()) else {
        return Ok(Recomputed::refused(
            "it holds no report under a name that windrow gives",
        ));
    };
    let mut packed = match unpacked::packed_ledger(&opened)? {
        Ok(packed) => packed,
        Err(why) => return Ok(Recomputed::refused(why)),
    };
    let packed_by = stated(LABEL_SOFTWARE);
    let same_version = packed_by == format!("windrow {VERSION}");

    let unpacked = unpacked::unpack(&opened, &season)?;
    if let Some(path) = unpacked.altered.first() {
        return Ok(Recomputed::refused(format!(
            "{path} changed while it was read; copy the archive to another disk"
        )));
    }
    let earlier = words
        .previous
        .as_deref()
        .map_or(EarlierArchive::NotAtHand, EarlierArchive::At);
    let account = match stages::account_anew(&unpacked.folder, earlier) {
        Ok(account) => account,
        Err(Failure::Season(error)) => return Ok(Recomputed::refused(error.to_string())),
        Err(failure) => return Err(failure),
    };
    let named = account.season.settings.previous.as_ref();
    let lacking = named.filter(|_| words.previous.is_none());
    let made = account.made()?;
    let evidence = account.evidence(&made)?;
    let mut derived: Value = serde_json::from_str(&account.ledger.to_json()).unwrap_or_default();
    let depth = if same_version {
        Depth::Everything
    } else {
        Depth::FiguresOnly
    };
    let not_compared = lacking.map(|previous| {
        verify::set_seasons_aside(&mut derived);
        NotCompared {
            archive: previous.archive.clone(),
            figures: verify::set_seasons_aside(&mut packed),
        }
    });
    let mut outcome = Recomputed {
        packed_by,
        recomputed_by: format!("windrow {VERSION}"),
        same_version,
        ledger: verify::compare(&packed, &derived, depth),
        other_bytes: Vec::new(),
        not_compared,
        not_done: None,
    };
    // The ledger's files and the report hold what rests on the earlier archive.
    if same_version && outcome.not_compared.is_none() {
        for item in &made {
            let path = item.path_in_bag();
            if opened.leaf(&path).map(|leaf| leaf.sha256) != Some(item.sha256) {
                outcome.other_bytes.push(path);
            }
        }
        // Drawn from the archive's own photos, once for all reports.
        let kept = Kept::default();
        for report in reports {
            if !report_agrees(words, &opened, &account, &evidence, &report, &kept, date)? {
                outcome.other_bytes.push(report.path);
            }
        }
    }
    Ok(outcome)
}

/// A report in an archive.
struct PackedReport {
    path: String,
    edition: Edition,
    form: Form,
    /// Name of the season folder that it was made from.
    season: String,
}

/// Every report, the funder edition first. A file under a name that windrow never gives is one that can't be made again.
fn reports_in(opened: &Opened) -> Vec<PackedReport> {
    let mut found = Vec::new();
    for form in [Form::Pdf, Form::Page] {
        for edition in Edition::ALL {
            let Some(ending) = edition::ending(edition, form) else {
                continue;
            };
            for (path, _) in opened.payload() {
                let season = path
                    .strip_prefix(REPORT)
                    .and_then(|name| name.strip_suffix(ending));
                if let Some(season) = season {
                    found.push(PackedReport {
                        path: path.to_owned(),
                        edition,
                        form,
                        season: season.to_owned(),
                    });
                }
            }
        }
    }
    found
}

/// Whether the report comes out with the bytes that were packed.
///
/// It prints the archive's file name, which nothing in the archive tells for sure: the usual one is tried, then the one
/// that the file has now.
fn report_agrees(
    words: &Verify,
    opened: &Opened,
    account: &Account,
    evidence: &Evidence,
    report: &PackedReport,
    kept: &Kept,
    date: NaiveDate,
) -> Result<bool, Failure> {
    let Some(packed) = opened.read(&report.path, MOST_BYTES)? else {
        return Ok(false);
    };
    let mut names = vec![account.outputs().archive_name()];
    let now = words.archive.file_name().map(|name| name.to_string_lossy());
    names.extend(now.map(|name| name.into_owned()));
    names.dedup();
    for name in names {
        let ready = account.ready(
            report.edition,
            report.form,
            Some(kept),
            evidence,
            &name,
            date,
        );
        let made = match ready.and_then(|ready| ready.set(false)) {
            Ok(made) => made,
            // A mistake in the coordinator's prose: then no such report can have been made from these records.
            Err(Failure::Report(_)) => return Ok(false),
            Err(failure) => return Err(failure),
        };
        if made == packed {
            return Ok(true);
        }
    }
    Ok(false)
}

/// What came out, as lines.
pub fn print(outcome: &Recomputed, printer: &mut Printer) {
    if let Some(why) = &outcome.not_done {
        printer.line(format!("{} {why}", styled(BAD, "not recomputed:")));
        return;
    }
    if !outcome.same_version {
        printer.line(format!(
            "note: packed by {}, worked out again by {}: figures are compared, words, pages and bytes are not",
            harmless(&outcome.packed_by),
            outcome.recomputed_by
        ));
    }
    for one in &outcome.ledger.differences {
        let value = |value: &Option<String>| match value {
            Some(text) => harmless(text),
            None => "nothing".to_owned(),
        };
        let field = if one.field.is_empty() {
            String::new()
        } else {
            format!(" {}", harmless(&one.field))
        };
        printer.line(format!(
            "{} {}{field}: the archive says {}, its records give {}",
            styled(BAD, "differs:"),
            harmless(&one.figure),
            value(&one.packed),
            value(&one.derived)
        ));
    }
    if outcome.ledger.differences_left_out > 0 {
        printer.line(format!(
            "and {} more differences",
            outcome.ledger.differences_left_out
        ));
    }
    for path in &outcome.other_bytes {
        printer.line(format!(
            "{} {} does not come out with the bytes that were packed",
            styled(BAD, "differs:"),
            harmless(path.strip_prefix(PAYLOAD).unwrap_or(path))
        ));
    }
    if let Some(lacking) = &outcome.not_compared {
        if outcome.follows() {
            printer.line(format!(
                "{} {} figures follow from the records, as far as they were compared",
                styled(DOUBTFUL, "recomputed in part:"),
                outcome.ledger.figures
            ));
        }
        printer.line(format!(
            "not compared: {} figures that hold seasons against each other, and ledger and report byte by byte: they may rest on {}, the archive \
             of an earlier season. --previous ARCHIVE gives it",
            lacking.figures.len(),
            harmless(&lacking.archive)
        ));
        if outcome.follows() {
            return;
        }
    }
    if outcome.agrees() {
        let bytes = if outcome.same_version {
            "; ledger, index of photos and reports come out the same to the byte"
        } else {
            ""
        };
        printer.line(format!(
            "{} all {} figures follow from the records{bytes}",
            styled(GOOD, "recomputed"),
            outcome.ledger.figures
        ));
    } else {
        printer.line(format!(
            "{} the archive's figures or pages don't all follow from its records",
            styled(BAD, "recomputed:")
        ));
    }
}
