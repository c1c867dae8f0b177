//! `windrow check`: all findings.

use serde_json::json;

use super::args::Check;
use super::cache::Cache;
use super::exit::{Exit, Failure};
use super::printer::{BOLD, Printer, styled};
use super::{findings, stages, standing};
use crate::finding::{self, Finding, Grade};
use crate::report;
use crate::season::Season;

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
            "sites": account.season.ground.sites.iter().map(|site| json!({"id": site.id, "area_m2": site.area()})).collect::<Vec<_>>(),
            "plates": report::chosen_by_rule(&account.season),
        }));
    } else {
        findings::print(&account.findings, printer);
        print_choice(&account.season, printer);
        printer.line(format!(
            "{}: {} files, {} pulls, {} photos; {}",
            account.season.name,
            account.season.files.len(),
            account.season.pulls.len(),
            account.season.photos.len(),
            findings::summary(&account.findings)
        ));
        let (what, why) = standing::next_step(&account, &words.season);
        // Who has just read the findings need not be sent to read them.
        if !what.starts_with("windrow check") {
            standing::step(&what, &why, printer);
        }
    }
    Ok(exit_for(&account.findings))
}

/// The plates that the rule picks, as rows that a person can paste and change.
fn print_choice(season: &Season, printer: &mut Printer) {
    let plates = report::chosen_by_rule(season);
    if plates.is_empty() {
        return;
    }
    printer.line(styled(BOLD, "plates"));
    printer.line(
        "  photos.csv names none, so the report picks these. To choose others, name them there:",
    );
    printer.line("  file,plate");
    for plate in plates {
        printer.line(format!("  {plate},yes"));
    }
    printer.line("");
}

/// Errors that nobody accepted are the one thing that a script must notice.
pub fn exit_for(findings: &[Finding]) -> Exit {
    if finding::open(findings, Grade::Error) > 0 {
        Exit::NotWell
    } else {
        Exit::Well
    }
}
