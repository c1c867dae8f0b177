//! `windrow verify --recompute`: every figure of a whole archive worked out again from the records inside it.
//!
//! Drives the rooms in their order on an unpacked copy and hands both ledgers to `verify::compare`. The copy lies in a
//! temporary folder, which is gone when the work ends.

use std::fs::{self, File};
use std::io::{BufWriter, Write};
use std::path::Path;

use chrono::NaiveDate;
use serde::Serialize;
use serde_json::Value;

use super::args::Verify;
use super::exit::Failure;
use super::printer::{BAD, GOOD, Printer, harmless, styled};
use super::stages::{self, Account, VERSION};
use crate::archive::profile::{self, LABEL_DATE, LABEL_SOFTWARE, PAYLOAD, REPORT, SEASON};
use crate::archive::{Content, Evidence};
use crate::report::edition;
use crate::season::Edition;
use crate::verify::{self, Comparison, Copied, Depth, Opened, Verdict};

/// The packed ledger.
const FIGURES: &str = "data/ledger/figures.json";
/// The largest ledger or report that is read into memory to be compared: many times what a long season needs.
const MOST_BYTES: u64 = 512 << 20;

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
    /// Why it could not be done, if so.
    pub not_done: Option<String>,
}

impl Recomputed {
    pub fn agrees(&self) -> bool {
        self.not_done.is_none() && self.ledger.differences.is_empty() && self.other_bytes.is_empty()
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
    let Some(packed) = opened.read(FIGURES, MOST_BYTES)? else {
        return Ok(Recomputed::refused("it holds no ledger"));
    };
    let packed: Value = match serde_json::from_slice(&packed) {
        Ok(value) => value,
        Err(error) => {
            return Ok(Recomputed::refused(format!(
                "its figures.json can't be read: {error}"
            )));
        }
    };
    let packed_by = stated(LABEL_SOFTWARE);
    let same_version = packed_by == format!("windrow {VERSION}");

    let place = tempfile::tempdir().map_err(|source| Failure::Write {
        path: std::env::temp_dir(),
        source,
    })?;
    let folder = place.path().join(&season);
    if let Some(path) = unpack(&opened, &folder)? {
        return Ok(Recomputed::refused(format!(
            "{path} changed while it was read; copy the archive to another disk"
        )));
    }
    let account = match stages::account(&folder) {
        Ok(account) => account,
        Err(Failure::Season(error)) => return Ok(Recomputed::refused(error.to_string())),
        Err(failure) => return Err(failure),
    };
    let (items, evidence) = account.evidence()?;
    let derived: Value = serde_json::from_str(&account.ledger.to_json()).unwrap_or_default();
    let depth = if same_version {
        Depth::Everything
    } else {
        Depth::FiguresOnly
    };
    let mut outcome = Recomputed {
        packed_by,
        recomputed_by: format!("windrow {VERSION}"),
        same_version,
        ledger: verify::compare(&packed, &derived, depth),
        other_bytes: Vec::new(),
        not_done: None,
    };
    if same_version {
        for item in items.iter().filter(|item| is_derived(&item.content)) {
            let path = item.path_in_bag();
            if opened.leaf(&path).map(|leaf| leaf.sha256) != Some(item.sha256) {
                outcome.other_bytes.push(path);
            }
        }
        for report in reports {
            if !report_agrees(words, &opened, &account, &evidence, &report, date)? {
                outcome.other_bytes.push(report.path);
            }
        }
    }
    Ok(outcome)
}

/// Only the ledger's files are made; the season's are read.
fn is_derived(content: &Content) -> bool {
    matches!(content, Content::Bytes(_))
}

/// A report in an archive.
struct PackedReport {
    path: String,
    edition: Edition,
    /// Name of the season folder that it was made from.
    season: String,
}

/// Every report, the funder edition first. A PDF under a name that windrow never gives is one that can't be made again.
fn reports_in(opened: &Opened) -> Vec<PackedReport> {
    let mut found = Vec::new();
    for edition in Edition::ALL {
        for (path, _) in opened.payload() {
            let season = path
                .strip_prefix(REPORT)
                .and_then(|name| name.strip_suffix(edition::ending(edition)));
            if let Some(season) = season {
                found.push(PackedReport {
                    path: path.to_owned(),
                    edition,
                    season: season.to_owned(),
                });
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
    date: NaiveDate,
) -> Result<bool, Failure> {
    let Some(packed) = opened.read(&report.path, MOST_BYTES)? else {
        return Ok(false);
    };
    let mut names = vec![account.archive_name()];
    let now = words.archive.file_name().map(|name| name.to_string_lossy());
    names.extend(now.map(|name| name.into_owned()));
    names.dedup();
    for name in names {
        let made = match account.report(report.edition, None, evidence, &name, date) {
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

/// Unpacks the season into `folder`. The path of a file that is no longer what it was judged as, if there is one.
fn unpack(opened: &Opened, folder: &Path) -> Result<Option<String>, Failure> {
    let failed = |path: &Path| {
        let path = path.to_owned();
        move |source| Failure::Write { path, source }
    };
    fs::create_dir_all(folder).map_err(failed(folder))?;
    for (path, _) in opened.payload() {
        let Some(below) = path.strip_prefix(SEASON) else {
            continue;
        };
        // The verdict saw to it; but the archive is opened anew, and nothing may be written outside the folder.
        if profile::check_path(path).is_err() {
            return Ok(Some(path.to_owned()));
        }
        let target = folder.join(below);
        if let Some(parent) = target.parent() {
            fs::create_dir_all(parent).map_err(failed(parent))?;
        }
        let file = File::create_new(&target).map_err(failed(&target))?;
        let mut out = BufWriter::new(file);
        match opened.copy(path, &mut out)? {
            Copied::Whole => out.flush().map_err(failed(&target))?,
            Copied::NotAsStated => return Ok(Some(path.to_owned())),
            Copied::NotWritten(source) => return Err(failed(&target)(source)),
        }
    }
    Ok(None)
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
