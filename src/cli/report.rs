//! `windrow report`: an edition of the report, as a PDF or as a page.

use super::args::Report;
use super::check::exit_for;
use super::exit::{Exit, Failure};
use super::printer::Printer;
use super::{findings, outputs, stages, watch};
use crate::report;

pub fn run(words: &Report, printer: &mut Printer) -> Result<Exit, Failure> {
    if let Some(name) = &words.print_template {
        return print_template(name, printer);
    }
    let Some(season) = &words.season else {
        // The command line asks for one or the other.
        return Ok(Exit::Usage);
    };
    if words.watch {
        return watch::run(words, season, printer);
    }
    let account = stages::account(season)?.in_language(words.language);
    let (edition, form) = words.wanted();
    let path = account
        .outputs()
        .report_path(words.output.as_deref(), edition, form)?;
    let evidence = account.evidence(&account.made()?)?;
    let date = account.date(words.dated.date);
    let ready = account.ready(
        edition,
        form,
        Some(&account.kept()),
        &evidence,
        &account.outputs().archive_name(),
        date,
    )?;
    outputs::write(&path, &ready.set(false)?)?;
    printer.line(format!("report   {}", path.display()));
    printer.line(format!("check    {}", findings::summary(&account.findings)));
    Ok(exit_for(&account.findings))
}

fn print_template(name: &str, printer: &mut Printer) -> Result<Exit, Failure> {
    let name = name.strip_suffix(".typ").unwrap_or(name);
    let known = report::sections();
    match report::section(name).filter(|_| known.contains(&name)) {
        Some(text) => {
            printer.line(text.trim_end());
            Ok(Exit::Well)
        }
        None => Err(Failure::SectionUnknown {
            name: name.to_owned(),
            known,
        }),
    }
}
