//! `windrow check`: all findings.

use serde_json::json;

use super::args::Check;
use super::cache::Cache;
use super::exit::{Exit, Failure};
use super::printer::Printer;
use super::{findings, stages};
use crate::finding::{self, Finding, Grade};

pub fn run(words: &Check, printer: &mut Printer) -> Result<Exit, Failure> {
    let account = if words.no_cache {
        stages::account(&words.season)?
    } else {
        stages::account_at_a_glance(&words.season, Cache::open(&words.season))?
    };
    if words.json {
        let count = |grade| finding::open(&account.findings, grade);
        printer.json(&json!({
            "season": account.season.name,
            "counts": {
                "errors": count(Grade::Error),
                "doubts": count(Grade::Doubt),
                "remarks": count(Grade::Remark),
                "accepted": account.findings.iter().filter(|finding| finding.accepted.is_some()).count(),
            },
            "findings": account.findings,
            "photos": account.season.photos,
            "matches": account.season.matches,
        }));
    } else {
        findings::print(&account.findings, printer);
        printer.line(format!(
            "{}: {} files, {} pulls, {} photos; {}",
            account.season.name,
            account.season.files.len(),
            account.season.pulls.len(),
            account.season.photos.len(),
            findings::summary(&account.findings)
        ));
    }
    Ok(exit_for(&account.findings))
}

/// Errors that nobody accepted are the one thing that a script must notice.
pub fn exit_for(findings: &[Finding]) -> Exit {
    if finding::open(findings, Grade::Error) > 0 {
        Exit::NotWell
    } else {
        Exit::Well
    }
}
