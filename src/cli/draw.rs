//! `windrow draw`: a sample for an auditor, and what the filled worksheet proves.

use std::io::Read;
use std::path::{Path, PathBuf};

use serde_json::json;

use super::args::Draw;
use super::exit::{Exit, Failure};
use super::outputs::write;
use super::printer::{BAD, BOLD, DOUBTFUL, GOOD, Printer, styled};
use super::verify::judge;
use crate::archive::tree::Hash;
use crate::report::{self, Worksheet, WorksheetItem};
use crate::verify::draw::{self, DrawError, Of, Wish};
use crate::verify::{self, Kind, Opened};

/// Bytes of a worksheet that are read; the reader refuses anything near it.
const MOST_BYTES: u64 = 64 << 20;

pub fn run(words: &Draw, printer: &mut Printer) -> Result<Exit, Failure> {
    match (&words.evaluate, &words.archive, words.of, &words.seed) {
        (Some(sheet), archive, ..) => evaluate(sheet, archive.as_deref(), words.json, printer),
        (None, Some(archive), Some(of), Some(seed)) => {
            let wish = Wish {
                seed: seed.clone(),
                confidence: words.confidence,
                tolerable: words.tolerable,
                expected: words.expected,
                by_size: words.by_size,
            };
            make(words, archive, of, wish, printer)
        }
        // The words of the command line make sure of the rest.
        _ => Ok(Exit::Usage),
    }
}

/// A whole evidence archive, opened, and its fingerprint.
pub fn whole(path: &Path) -> Result<(Opened, Hash), Failure> {
    let verdict = judge(path, None, None)?;
    let ours = matches!(verdict.kind, Kind::Archive | Kind::Folder);
    match (
        verdict.whole() && ours,
        verdict.fingerprint,
        verify::open(path)?,
    ) {
        (true, Some(fingerprint), Some(opened)) => Ok((opened, fingerprint)),
        _ if verdict.whole() => Err(DrawError::Unfit(format!(
            "{} is a bag of another maker, and not an evidence archive",
            path.display()
        ))
        .into()),
        _ => Err(Failure::NotWhole {
            path: path.to_owned(),
            faults: verdict.faults.len() + verdict.faults_left_out,
        }),
    }
}

fn redo(archive: &Path, of: Of, wish: Wish) -> Result<draw::Draw, Failure> {
    let (opened, fingerprint) = whole(archive)?;
    let population = draw::population(&opened, of)?;
    Ok(draw::draw(population, wish, &fingerprint)?)
}

fn make(
    words: &Draw,
    archive: &Path,
    of: Of,
    wish: Wish,
    printer: &mut Printer,
) -> Result<Exit, Failure> {
    let drawn = redo(archive, of, wish)?;
    let bytes = draw::workbook(&drawn)
        .map_err(|error| DrawError::Unfit(format!("the worksheet can't be made: {error}")))?;
    let folder = words.output.clone().unwrap_or_else(|| PathBuf::from("."));
    std::fs::create_dir_all(&folder).map_err(|source| Failure::Write {
        path: folder.clone(),
        source,
    })?;
    let path = folder.join(format!("draw-{}.xlsx", of.word()));
    write(&path, &bytes)?;
    let on_paper = folder.join(format!("draw-{}.pdf", of.word()));
    write(&on_paper, &report::worksheet(&paper(&drawn))?)?;
    if words.json {
        printer.json(&json!({ "worksheet": path, "paper": on_paper, "draw": drawn }));
        return Ok(Exit::Well);
    }
    for item in &drawn.items {
        let hits = match item.hits {
            1 => String::new(),
            hits => format!("  ({hits} hits)"),
        };
        printer.line(format!("{}{hits}", item.item.id.escape_debug()));
    }
    printer.line("");
    printer.line(&drawn.reason);
    if !drawn.left_out.is_empty() {
        printer.line(format!(
            "{} can't be drawn by size, having none above nothing. Look at them by themselves: {}",
            drawn.left_out.len(),
            drawn.left_out.join(", ").escape_debug()
        ));
    }
    printer.line(format!("seed         {}", drawn.wish.seed));
    printer.line(format!("fingerprint  {}", drawn.fingerprint));
    printer.line(format!("worksheet    {}", styled(BOLD, path.display())));
    printer.line(format!("on paper     {}", on_paper.display()));
    Ok(Exit::Well)
}

/// What to do with the sheet on paper, in the place of how to go on with the workbook.
const ON_PAPER: &str = "Hold each item against what it rests on (photo, log sheet, receipt), tick a result, and copy the results into the \
                        workbook of the same name, which windrow draw --evaluate judges. An item that can't be checked counts as wrong.";

/// The draw as a sheet to print and fill in by hand.
fn paper(draw: &draw::Draw) -> Worksheet {
    let part = draw.of.part().filter(|_| draw.wish.by_size);
    let about = draw::lines(draw);
    let about = about
        .into_iter()
        .filter(|(name, _)| *name != draw::FORMAT_LINE)
        .map(|(name, value)| match name {
            draw::WHAT_TO_DO => (name.to_owned(), ON_PAPER.to_owned()),
            _ => (name.to_owned(), value),
        });
    let items = draw.items.iter().map(|drawn| WorksheetItem {
        name: drawn.item.id.clone(),
        told: draw
            .columns
            .iter()
            .cloned()
            .zip(drawn.item.particulars.iter().cloned())
            .collect(),
        hits: drawn.hits.to_string(),
        booked: match (drawn.item.size, part) {
            (Some(size), Some(part)) => (size as f64 / part.in_unit as f64).to_string(),
            _ => String::new(),
        },
    });
    Worksheet {
        of: draw.of.word().to_owned(),
        identifier: format!(
            "windrow draw {} {} {}",
            draw.fingerprint,
            draw.of.word(),
            draw.wish.seed
        ),
        about: about.collect(),
        sized: part.map(|part| part.unit.to_owned()),
        items: items.collect(),
    }
}

fn evaluate(
    sheet: &Path,
    archive: Option<&Path>,
    json: bool,
    printer: &mut Printer,
) -> Result<Exit, Failure> {
    let bytes = read(sheet).map_err(|source| Failure::Read {
        path: sheet.to_owned(),
        source,
    })?;
    let filled = draw::read_sheet(&bytes)?;
    let differences = match archive {
        Some(archive) => {
            let again = redo(archive, filled.of, filled.wish.clone())?;
            filled.differences(&again)
        }
        None => Vec::new(),
    };
    let judgement = draw::judge(&filled)?;
    let complete = filled.odd.is_empty() && differences.is_empty();
    let well = complete && judgement.kept;
    let exit = if well { Exit::Well } else { Exit::NotWell };
    if json {
        printer.json(&json!({
            "complete": complete,
            "compared-with-archive": archive.is_some(),
            "differences": differences,
            "odd-cells": filled.odd,
            "judgement": judgement,
            "sheet": filled,
        }));
        return Ok(exit);
    }
    for odd in &filled.odd {
        printer.line(format!(
            "{} {}",
            styled(DOUBTFUL, format!("{}:", odd.cell)),
            odd.what
        ));
    }
    for difference in &differences {
        printer.line(format!("{} {difference}", styled(BAD, "not this draw:")));
    }
    if !complete {
        printer.line("");
    }
    let what = if filled.wish.by_size { "hits" } else { "items" };
    printer.line(format!(
        "wrong        {} of {} {what}{}",
        judgement.wrong,
        judgement.checked,
        match judgement.unfilled {
            0 => String::new(),
            unfilled => format!(", {unfilled} of them without a result, which counts as wrong"),
        }
    ));
    let whole = if filled.wish.by_size { "size" } else { "items" };
    printer.line(format!(
        "share        {:.2} % of the {whole} in the sample; {:.2} % at most in the whole, with {} % confidence",
        100.0 * judgement.share,
        100.0 * judgement.upper,
        (judgement.confidence * 1e6).round() / 1e4
    ));
    printer.line(format!("method       {}", judgement.method));
    if archive.is_none() {
        printer.line(
            "note         the sheet was taken at its word; name the archive as well to have the draw redone and compared",
        );
    }
    let tolerable = (judgement.tolerable * 1e6).round() / 1e4;
    printer.line(if !complete {
        format!(
            "{} the worksheet is not complete, or not the draw's; mend what is named above",
            styled(BAD, "no verdict:")
        )
    } else if well {
        format!(
            "{} a share of {tolerable} % or more is ruled out",
            styled(GOOD, "kept:")
        )
    } else {
        format!(
            "{} a share of {tolerable} % or more is not ruled out. Draw a larger sample with --expected {} and the same seed, \
             which begins with the same items, or look at each of the wrong ones",
            styled(BAD, "not kept:"),
            judgement.wrong
        )
    });
    Ok(exit)
}

fn read(path: &Path) -> std::io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    std::fs::File::open(path)?
        .take(MOST_BYTES)
        .read_to_end(&mut bytes)?;
    Ok(bytes)
}
