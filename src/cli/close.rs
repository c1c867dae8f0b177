//! `windrow close`: check, figures, report, pack, verify; the year's close-out and the main job.

use serde_json::{Value, json};

use super::args::Close;
use super::check::exit_for;
use super::exit::{Exit, Failure};
use super::outputs::{self, Outputs};
use super::printer::{BAD, BOLD, GOOD, Printer, QUIET, styled};
use super::reader::Copying;
use super::stages::Account;
use super::{findings, pack, stages, standing, verify};
use crate::finding::{self, Grade};
use crate::report::{Form, Style, number};
use crate::season::Edition;

/// The figures that a close-out prints.
const KEY_FIGURES: [&str; 5] = [
    "effort.person-hours",
    "removal.wet-mass",
    "rate.mass-per-hour",
    "removal.plants",
    "cover.change",
];

pub fn run(words: &Close, printer: &mut Printer) -> Result<Exit, Failure> {
    let places = Outputs::of(&words.season);
    let folder = places.place(words.output.as_deref())?;
    let copying = Copying {
        path: folder.join(places.archive_name()),
        base: places.archive_base(),
        folder: Some(folder.clone()),
    };
    let (account, draft) = stages::account_into(&words.season, copying)?;
    let settings = &account.season.settings;
    let style = Style::of(settings);
    if !words.json {
        printer.line(styled(
            BOLD,
            format!("{}, season {}", settings.programme, settings.year),
        ));
        printer.line("");
        printer.line(format!(
            "check        {}",
            findings::summary(&account.findings)
        ));
        printer.line(styled(
            QUIET,
            format!(
                "             windrow check {} tells each with its mend",
                words.season.display()
            ),
        ));
        printer.line("");
        for (row, name) in KEY_FIGURES.iter().enumerate() {
            if let Some(figure) = account.ledger.get(name) {
                let head = if row == 0 { "figures" } else { "" };
                printer.line(format!(
                    "{head:<12} {:<26} {}",
                    figure.label,
                    number::print(figure, &style).text
                ));
            }
        }
        printer.line("");
    }
    let date = account.date(words.dated.date);
    let made = account.made()?;
    let evidence = account.evidence(&made)?;
    let editions = account.editions(false);
    let ready = account.prepare(&editions, &evidence, &places.archive_name(), date)?;
    let exit = exit_for(&account.findings);
    let summary = words.json.then(|| told(&account));
    let packing = account.into_packing(made, date);
    let reports = stages::set(ready)?;
    let report_path = folder.join(places.report_name(Edition::Funder, Form::Pdf)?);
    // All are on the disk before any gets its name: the names change at nearly the same moment, and where the packing fails the former
    // reports stay with the former archive, whose root they print.
    let mut paths = Vec::new();
    let mut unnamed = Vec::new();
    for (name, report) in &reports {
        let path = folder.join(name);
        unnamed.push(outputs::write_but_for_the_name(&path, report)?);
        paths.push(path);
    }
    let packed = packing.pack(&evidence, reports, draft)?;
    for (report, path) in unnamed.into_iter().zip(&paths) {
        report.finish().map_err(outputs::unwritten(path))?;
    }
    let verdict = verify::judge(&packed.path, Some(packed.root), Some(packed.fingerprint))?;
    if !verdict.whole() {
        return Err(Failure::PackedNotWhole {
            path: packed.path,
            faults: verdict.faults.iter().map(ToString::to_string).collect(),
        });
    }
    if let Some(mut told) = summary {
        told["report"] = json!(report_path);
        told["reports"] = json!(paths);
        told["packed"] = pack::as_json(&packed);
        told["whole"] = true.into();
        printer.json(&told);
        return Ok(exit);
    }
    for (row, path) in paths.iter().enumerate() {
        let head = if row == 0 { "report" } else { "" };
        printer.line(format!("{head:<12} {}", path.display()));
    }
    pack::print(&packed, printer);
    printer.line(format!("verify       {}", styled(GOOD, "whole")));
    printer.line("");
    printer.line(
        "Put the fingerprint into the cover letter: it stands for every byte of the archive.",
    );
    printer.line(format!(
        "For the season to come: windrow next {}",
        standing::quoted(&words.season)
    ));
    if exit != Exit::Well {
        printer.line(styled(
            BAD,
            "Errors are open: report and archive are drafts. Mend them, or accept them in season.toml with a reason, and close again.",
        ));
    }
    Ok(exit)
}

/// The season with its counts and key figures, for a script.
fn told(account: &Account) -> Value {
    let style = Style::of(&account.season.settings);
    let open = |grade| finding::open(&account.findings, grade);
    let accepted = account.findings.iter();
    let figures: serde_json::Map<String, Value> = KEY_FIGURES
        .iter()
        .filter_map(|name| account.ledger.get(name))
        .map(|figure| {
            (
                figure.name.clone(),
                number::print(figure, &style).text.into(),
            )
        })
        .collect();
    json!({
        "season": account.season.name,
        "counts": {
            "errors": open(Grade::Error),
            "doubts": open(Grade::Doubt),
            "remarks": open(Grade::Remark),
            "accepted": accepted.filter(|finding| finding.accepted.is_some()).count(),
        },
        "figures": figures,
    })
}
