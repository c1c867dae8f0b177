//! `windrow` alone: where you stand in this folder, and the next step. Reads a little, writes nothing, and is done in a moment.

use std::fs;
use std::path::{Path, PathBuf};

use super::findings;
use super::printer::{BOLD, Printer, QUIET, styled};
use super::stages::{self, Account};
use crate::finding::{self, Grade};
use crate::season::{SETTINGS_FILE, SITES_FILE};
use crate::words;
use crate::words::{Language, Words};

/// With more photos than this (in bytes) the folder is not read through: a moment would not do.
const MOST_PHOTOS: u64 = 200 << 20;
/// Entries of a folder that are looked at.
const MOST_ENTRIES: usize = 2_000;
/// What an archive's name ends with.
const ARCHIVE_ENDING: &str = "-evidence.zip";

pub fn run(printer: &mut Printer) {
    let here = Path::new(".");
    if here.join(SETTINGS_FILE).is_file() {
        season(here, printer);
    } else if here.join("bagit.txt").is_file() {
        printer.line("This folder is an unpacked evidence archive.");
        step("windrow verify .", "says whether it is whole", printer);
    } else if let Some(above) = season_above() {
        printer.line(format!(
            "This folder lies in the season folder {}.",
            above.display()
        ));
        step(
            &format!("windrow check {}", quoted(&above)),
            "says what is wrong or doubtful in it",
            printer,
        );
    } else {
        elsewhere(here, printer);
    }
    printer.line(styled(QUIET, "windrow --help lists all commands."));
}

/// What is to be done next.
pub struct NextStep {
    /// A command, or a task.
    pub what: Words,
    /// What it is good for.
    pub why: Words,
    /// Whether the command is the one that tells the findings.
    pub reads_findings: bool,
}

impl NextStep {
    fn to(what: impl Into<Words>, why: Words) -> Self {
        Self {
            what: what.into(),
            why,
            reads_findings: false,
        }
    }

    fn read_findings(folder: &str, why: Words) -> Self {
        Self {
            what: Words::own(format!("windrow check {folder}")),
            why,
            reads_findings: true,
        }
    }
}

/// What is to be done next in a season folder.
pub fn next_step(account: &Account, folder: &Path) -> NextStep {
    let season = &account.season;
    let open = |grade| finding::open(&account.findings, grade);
    let shown = quoted(folder);
    let (errors, doubts) = (open(Grade::Error), open(Grade::Doubt));
    if errors > 0 {
        return NextStep::read_findings(
            &shown,
            words!(
                "tells the {errors} {errors:error|errors} with their mends; a figure would be wrong without",
                errors
            ),
        );
    }
    if season.ground.sites.is_empty() {
        return NextStep::to(
            words!("draw your sites into {file}", file = SITES_FILE),
            words!("READ-ME-FIRST.txt or docs/season-folder.md shows one"),
        );
    }
    if season.pulls.is_empty() {
        return NextStep::to(
            words!("fill in the pull log"),
            words!("a row for each crew, site, outing and kind of container; then check again"),
        );
    }
    if doubts > 0 {
        return NextStep::read_findings(
            &shown,
            words!(
                "tells {doubts} {doubts:doubt|doubts}: mend each, or accept it with a reason. Then windrow close {folder}",
                doubts,
                folder = &shown
            ),
        );
    }
    NextStep::to(
        format!("windrow close {shown}"),
        words!("sets the report and packs the evidence"),
    )
}

fn season(folder: &Path, printer: &mut Printer) {
    if bytes_below(&folder.join("photos")) > MOST_PHOTOS {
        printer.line(
            "This is a season folder with many photos; reading it takes longer than a moment.",
        );
        step(
            "windrow check .",
            "reads it and says what is wrong or doubtful",
            printer,
        );
        return;
    }
    let account = match stages::account_without_a_trace(folder) {
        Ok(account) => account,
        Err(failure) => {
            printer.line(format!("This is a season folder, but {failure}"));
            return;
        }
    };
    let season = &account.season;
    let name = match season.settings.programme.trim() {
        "" => "no name yet",
        name => name,
    };
    printer.line(styled(
        BOLD,
        format!("{name}, season {}", season.settings.year),
    ));
    printer.line(format!(
        "{} sites, {} stations, {} pulls, {} weighings, {} photos, {} rows of spending",
        season.ground.sites.len(),
        season.ground.stations.len(),
        season.pulls.len(),
        season.weighings.len(),
        season.photos.len(),
        season.spending.len()
    ));
    printer.line(findings::summary(&account.findings));
    let archive = account.outputs().archive_beside();
    let next = match &archive {
        Some(archive) if finding::open(&account.findings, Grade::Error) == 0 => {
            printer.line(format!("archive: {}", archive.display()));
            if newer(folder, archive) {
                NextStep::to(
                    "windrow close .",
                    words!("the folder was changed after that archive was packed"),
                )
            } else {
                NextStep::to(
                    format!("windrow verify {}", quoted(archive)),
                    words!(
                        "says whether it is still whole; then windrow next . plans the season to come"
                    ),
                )
            }
        }
        _ => next_step(&account, folder),
    };
    step_in(&next, Language::English, printer);
}

fn elsewhere(here: &Path, printer: &mut Printer) {
    let mut entries: Vec<PathBuf> = fs::read_dir(here)
        .into_iter()
        .flatten()
        .flatten()
        .take(MOST_ENTRIES)
        .map(|entry| PathBuf::from(entry.file_name()))
        .collect();
    entries.sort();
    let seasons: Vec<&PathBuf> = entries
        .iter()
        .filter(|path| path.join(SETTINGS_FILE).is_file())
        .collect();
    let archive = entries
        .iter()
        .find(|path| path.to_string_lossy().ends_with(ARCHIVE_ENDING) && path.is_file());
    match (seasons.as_slice(), archive) {
        ([], Some(archive)) => {
            printer.line("There is an evidence archive here.");
            step(
                &format!("windrow verify {}", quoted(archive)),
                "says whether it is whole",
                printer,
            );
        }
        ([], None) => {
            printer.line("There is no season folder here.");
            step(
                "windrow new my-season",
                "makes one, with a page to read first; --from an archive goes on from the season before",
                printer,
            );
        }
        ([one], _) => {
            printer.line(format!("There is a season folder here: {}.", one.display()));
            step(
                &format!("windrow check {}", quoted(one)),
                "says what is wrong or doubtful in it",
                printer,
            );
        }
        (several, _) => {
            let names: Vec<String> = several.iter().map(|path| quoted(path)).collect();
            printer.line(format!(
                "There are season folders here: {}.",
                names.join(", ")
            ));
            step(
                &format!(
                    "windrow check {}",
                    names.last().cloned().unwrap_or_default()
                ),
                "says what is wrong or doubtful in it; or go into one and run windrow again",
                printer,
            );
        }
    }
}

pub fn step(what: &str, why: &str, printer: &mut Printer) {
    printer.line(format!("next  {}  {why}", styled(BOLD, what)));
}

/// The same in a language.
pub fn step_in(step: &NextStep, language: Language, printer: &mut Printer) {
    printer.line(format!(
        "{}  {}  {}",
        words!("next").say(language),
        styled(BOLD, step.what.say(language)),
        step.why.say(language)
    ));
}

/// The nearest season folder above this one.
fn season_above() -> Option<PathBuf> {
    let here = std::env::current_dir().ok()?;
    here.ancestors()
        .skip(1)
        .find(|above| above.join(SETTINGS_FILE).is_file())
        .map(Path::to_owned)
}

/// A path as a shell takes it.
pub fn quoted(path: &Path) -> String {
    let text = path.display().to_string();
    let plain = |c: char| c.is_alphanumeric() || "/\\.-_:~+,".contains(c);
    if !text.is_empty() && text.chars().all(plain) {
        text
    } else {
        format!("\"{text}\"")
    }
}

/// What can't be read counts as nothing.
fn bytes_below(folder: &Path) -> u64 {
    walkdir::WalkDir::new(folder)
        .into_iter()
        .flatten()
        .filter_map(|entry| entry.metadata().ok())
        .filter(fs::Metadata::is_file)
        .map(|metadata| metadata.len())
        .sum()
}

/// Was anything in the folder changed after the archive?
fn newer(folder: &Path, archive: &Path) -> bool {
    let packed = fs::metadata(archive).and_then(|it| it.modified()).ok();
    walkdir::WalkDir::new(folder)
        .into_iter()
        .flatten()
        .filter(|entry| entry.file_type().is_file())
        .filter_map(|entry| entry.metadata().ok()?.modified().ok())
        .any(|changed| packed.is_some_and(|packed| changed > packed))
}
