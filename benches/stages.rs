//! Parts of the main job by themselves, for holding them against a public tool that does the same:
//! `cargo run --release --example stages -- thumbnails FOLDER OUT` draws a small copy of every photo of a season folder on all
//! processors; `… stages report FOLDER` sets the report. Prints seconds as JSON; judges nothing.

use std::error::Error;
use std::fs;
use std::path::Path;
use std::sync::Mutex;
use std::time::Instant;

use chrono::NaiveDate;
use rayon::prelude::*;
use windrow::report::{self, Step};
use windrow::{figure, photo, season};

/// As the report asks for them.
const EDGE: u32 = 810;

fn main() -> Result<(), Box<dyn Error>> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    match words.iter().map(String::as_str).collect::<Vec<_>>()[..] {
        ["thumbnails", folder, out] => thumbnails(Path::new(folder), Path::new(out)),
        ["report", folder] => report(Path::new(folder)),
        _ => Err("usage: stages thumbnails FOLDER OUT | stages report FOLDER".into()),
    }
}

fn thumbnails(folder: &Path, out: &Path) -> Result<(), Box<dyn Error>> {
    let files: Vec<_> = walkdir::WalkDir::new(folder.join("photos"))
        .sort_by_file_name()
        .into_iter()
        .collect::<Result<Vec<_>, _>>()?
        .into_iter()
        .filter(|entry| entry.file_type().is_file())
        .collect();
    let began = Instant::now();
    files
        .par_iter()
        .enumerate()
        .try_for_each(
            |(number, file)| -> Result<(), Box<dyn Error + Send + Sync>> {
                let small = photo::thumbnail::upright(file.path(), 1, EDGE)?;
                Ok(fs::write(out.join(format!("{number}.jpg")), small.jpeg)?)
            },
        )
        .map_err(|error| error as Box<dyn Error>)?;
    let seconds = began.elapsed().as_secs_f64();
    println!("{{\"photos\": {}, \"seconds\": {seconds}}}", files.len());
    Ok(())
}

fn report(folder: &Path) -> Result<(), Box<dyn Error>> {
    let season = season::load(folder, &|_| ())?;
    let ledger = figure::compute(&season);
    let findings = figure::findings(&season, &ledger, report::findings(&season));
    let plates = report::plates(&season);
    let marks = report::marks(&season);
    let input = report::Input {
        season: &season,
        ledger: &ledger,
        findings: &findings,
        plates: &plates,
        pull_marks: &marks,
        evidence_root: [0; 32],
        evidence_leaves: 0,
        archive_name: "measured.zip",
        tool_version: "0",
        edition: windrow::season::Edition::Funder,
        date: NaiveDate::from_ymd_opt(2025, 10, 1).unwrap_or_default(),
    };
    let began = Instant::now();
    let steps = Mutex::new((0.0, 0.0));
    let pdf = report::render(&input, None, &|step| {
        let now = began.elapsed().as_secs_f64();
        if let Ok(mut steps) = steps.lock() {
            match step {
                // The last picture, in the end.
                Step::Pictures { .. } => steps.0 = now,
                Step::Setting => steps.1 = now,
                _ => {}
            }
        }
    })?;
    let whole = began.elapsed().as_secs_f64();
    let (pictures, data) = steps.into_inner().unwrap_or_default();
    println!(
        "{{\"plates\": {}, \"bytes\": {}, \"pictures\": {pictures}, \"data\": {}, \"compiler\": {}, \"whole\": {whole}}}",
        plates.pairs.len() * 2 + plates.singles.len(),
        pdf.len(),
        data - pictures,
        whole - data,
    );
    Ok(())
}
