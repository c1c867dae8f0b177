//! `windrow check`: all findings; a rule in full; the lines that accept a finding.

use std::path::Path;

use serde_json::json;

use super::args::Check;
use super::exit::{Exit, Failure};
use super::printer::{BOLD, Printer, QUIET, styled};
use super::said::Said;
use super::stages::EarlierArchive;
use super::{findings, stages, standing};
use crate::figure;
use crate::finding::{self, Finding, Grade, Rule};
use crate::report;
use crate::season::Season;
use crate::season::value::nearest;
use crate::words;
use crate::words::{Language, number};

pub fn run(words: &Check, printer: &mut Printer) -> Result<Exit, Failure> {
    if let Some(name) = &words.explain {
        let language = words.language.unwrap_or_default();
        return explain(name, words.markdown, language, printer);
    }
    // The parser lets nothing without a folder come here.
    let folder = words.season.as_deref().unwrap_or(Path::new("."));
    let said = if words.no_cache || words.accept.is_some() {
        None
    } else {
        let shape = (printer.coloured(), findings::terminal_width());
        Said::of(folder, words, shape)
    };
    if let Some((text, exit)) = said.as_ref().and_then(Said::again) {
        printer.text(&text);
        return Ok(exit);
    }
    if said.is_some() {
        printer.keep();
    }
    let account = if words.no_cache {
        stages::account_anew(folder, EarlierArchive::AsNamed)?
    } else {
        stages::account_at_a_glance(folder)?
    };
    let settings = &account.season.settings;
    let language = words.language.unwrap_or(settings.report.language);
    if let (Some(name), Some(place), Some(reason)) = (&words.accept, &words.place, &words.reason) {
        known(name)?;
        let wanted = finding::Wanted {
            name,
            place,
            reason,
            by: words.by.as_deref(),
            on: words
                .date
                .unwrap_or_else(|| chrono::Local::now().date_naive()),
        };
        return accept(&account, &wanted, language, printer);
    }
    if words.json {
        let count = |grade| finding::open(&account.findings, grade);
        printer.json(&json!({
            "format": CHECK_FORMAT,
            "season": account.season.name,
            "counts": {
                "errors": count(Grade::Error),
                "doubts": count(Grade::Doubt),
                "remarks": count(Grade::Remark),
                "accepted": account.findings.iter().filter(|finding| finding.accepted.is_some()).count(),
            },
            "findings": account.findings,
            "photos": *account.season.photos,
            "matches": *account.season.matches,
            "sites": account.season.ground.sites.iter().map(|site| json!({"id": site.id, "area_m2": site.area()})).collect::<Vec<_>>(),
            "plates": report::chosen_by_rule(&account.season),
            "unwritten": report::sections_without_prose(&account.season),
        }));
    } else {
        findings::print(&account, words.all, language, printer);
        print_choice(&account.season, language, printer);
        print_unwritten(&account.season, language, printer);
        findings::print_files(&account.findings, language, printer);
        let season = &account.season;
        let counted = words!(
            "{season}: {files} files, {pulls} pulls, {photos} photos; {summary}",
            season = &season.name,
            files = number(season.files.len().to_string()),
            pulls = number(season.pulls.len().to_string()),
            photos = number(season.photos.len().to_string()),
            summary = findings::summary_in(&account.findings, language)
        );
        printer.line(counted.say(language));
        let step = standing::next_step(&account, folder);
        // Who has just read the findings need not be sent to read them.
        if !step.reads_findings {
            standing::step_in(&step, language, printer);
        }
    }
    let exit = exit_for(&account.findings);
    if let (Some(said), Some(text), None) =
        (said, printer.kept(), &account.season.settings.previous)
    {
        said.keep(&text, &exit);
    }
    Ok(exit)
}

/// The plates that the rule picks, as rows that a person can paste and change.
fn print_choice(season: &Season, language: Language, printer: &mut Printer) {
    let plates = report::chosen_by_rule(season);
    if plates.is_empty() {
        return;
    }
    printer.line(styled(BOLD, words!("plates").say(language)));
    let told = words!(
        "photos.csv names none, so the report picks these. To choose others, name them there:"
    );
    printer.line(format!("  {}", told.say(language)));
    printer.line("  file,plate");
    for plate in plates {
        printer.line(format!("  {plate},yes"));
    }
    printer.line("");
}

/// The sections that nobody wrote, and that the report writes from the ledger.
fn print_unwritten(season: &Season, language: Language, printer: &mut Printer) {
    let missing = report::sections_without_prose(season);
    if missing.is_empty() {
        return;
    }
    printer.line(styled(BOLD, words!("prose").say(language)));
    let told = words!(
        "Nobody has written {sections}; the report says there what the ledger says, in plain sentences marked as such. \
         narrative/<section>.typ takes your own words.",
        sections = missing.join(", ")
    );
    printer.line(format!("  {}", told.say(language)));
    printer.line("");
}

/// Format of `check --json`; raised when a reader of the former one would misread it.
const CHECK_FORMAT: u32 = 1;

/// Every rule of the program.
fn rules() -> Vec<Rule> {
    let mut rules = finding::rules();
    rules.extend(figure::rules());
    rules.extend(report::RULES);
    rules
}

/// A rule by its name.
fn known(name: &str) -> Result<Rule, Failure> {
    let rules = rules();
    rules
        .iter()
        .find(|rule| rule.name == name)
        .copied()
        .ok_or_else(|| Failure::RuleUnknown {
            name: name.to_owned(),
            near: nearest(name, rules.iter().map(|rule| rule.name)).map(str::to_owned),
        })
}

fn explain(
    name: &str,
    markdown: bool,
    language: Language,
    printer: &mut Printer,
) -> Result<Exit, Failure> {
    let chosen = match name {
        "all" => rules(),
        name => vec![known(name)?],
    };
    let examples = finding::examples();
    if markdown {
        printer.text(&finding::markdown(&chosen, &examples));
        return Ok(Exit::Well);
    }
    for rule in &chosen {
        printer.line(finding::plain(rule, examples.get(rule.name), language));
    }
    Ok(Exit::Well)
}

fn accept(
    account: &stages::Account,
    wanted: &finding::Wanted<'_>,
    language: Language,
    printer: &mut Printer,
) -> Result<Exit, Failure> {
    let Some((lines, number)) = finding::lines_to_paste(&account.season, &account.findings, wanted)
    else {
        return Err(Failure::FindingNotThere {
            name: wanted.name.to_owned(),
            place: wanted.place.to_owned(),
            places: account
                .findings
                .iter()
                .filter(|finding| finding.name == wanted.name)
                .map(|finding| finding.place.to_string())
                .collect(),
        });
    };
    printer.text(lines.trim_end());
    printer.line("");
    // A comment, so that the whole of it can be pasted.
    printer.line(styled(
        QUIET,
        format!(
            "# {}",
            if number == 1 {
                words!(
                    "Paste these lines at the end of season.toml. An acceptance lapses when what it is about changes."
                )
            } else {
                words!(
                    "Paste all of these lines at the end of season.toml. An acceptance lapses when what it is about changes."
                )
            }
            .say(language)
        ),
    ));
    Ok(Exit::Well)
}

/// Errors that nobody accepted are the one thing that a script must notice.
pub fn exit_for(findings: &[Finding]) -> Exit {
    if finding::open(findings, Grade::Error) > 0 {
        Exit::NotWell
    } else {
        Exit::Well
    }
}
