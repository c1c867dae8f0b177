//! `windrow sheets`: field sheet, photo-station cards and cautions, to print.

use serde_json::json;

use super::args::Sheets;
use super::exit::{Exit, Failure};
use super::outputs;
use super::printer::Printer;
use super::stages;
use crate::begin;

pub fn run(words: &Sheets, printer: &mut Printer) -> Result<Exit, Failure> {
    let account = stages::account(&words.season)?;
    let folder = account.outputs().folder(words.output.as_deref())?;
    let mut settings = account.season.settings.clone();
    if let Some(paper) = words.paper {
        settings.units.paper = Some(paper.paper());
    }
    let mut written = Vec::new();
    for (name, bytes) in begin::sheets(&settings, &account.season.ground).map_err(Failure::Begin)? {
        let path = folder.join(name);
        outputs::write(&path, &bytes)?;
        written.push(path);
    }
    if words.json {
        printer.json(&json!({ "sheets": written }));
        return Ok(Exit::Well);
    }
    for path in &written {
        printer.line(format!("sheet    {}", path.display()));
    }
    let stations = account.season.ground.stations.len();
    printer.line(format!(
        "Print at full size (100 %). The cards: one to write on, and one for each of {stations} stations."
    ));
    Ok(Exit::Well)
}
