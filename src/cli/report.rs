//! `windrow report`: the PDF.

use super::args::Report;
use super::check::exit_for;
use super::exit::{Exit, Failure};
use super::printer::Printer;
use super::{findings, stages};

pub fn run(words: &Report, printer: &mut Printer) -> Result<Exit, Failure> {
    let account = stages::account(&words.season)?;
    let path = match &words.output {
        Some(path) => {
            account.outside(path)?;
            path.clone()
        }
        None => account.output(None)?.join(account.report_name()),
    };
    let (_, evidence) = account.evidence()?;
    let date = account.date(words.dated.date);
    let pdf = account.report(&evidence, &account.archive_name(), date)?;
    stages::write(&path, &pdf)?;
    printer.line(format!("report   {}", path.display()));
    printer.line(format!("check    {}", findings::summary(&account.findings)));
    Ok(exit_for(&account.findings))
}
