//! `windrow new`: a season folder to begin with, empty or from the season before.
//!
//! The folder is written under another name beside its place and renamed, so that it is there as a whole or not at all. Nothing is
//! overwritten.

use std::fs;
use std::path::{Path, PathBuf};

use chrono::Datelike;
use serde_json::json;

use super::args::{New, PaperWord, UnitsWord};
use super::exit::{Exit, Failure};
use super::next;
use super::printer::{BOLD, GOOD, Printer, QUIET, styled};
use super::stages::{self, Account, EarlierArchive};
use super::{outputs, unpacked, verify};
use crate::archive::tree::hex;
use crate::begin::{self, BeginError, Choices, Former, NewFile};
use crate::output::PARTIAL_PREFIX;
use crate::season::{PrintUnits, SETTINGS_FILE, SITES_FILE};
use crate::verify::open;

/// Names that are told of what is in the way.
const MOST_NAMED: usize = 5;

pub fn run(words: &New, printer: &mut Printer) -> Result<Exit, Failure> {
    // Before anything is read: it may be the former season's own folder that was named.
    refuse_what_is_there(&words.folder)?;
    let (files, told) = match &words.from {
        Some(from) => following(words, from)?,
        None => (
            begin::fresh(&choices(words)).map_err(Failure::Begin)?,
            Vec::new(),
        ),
    };
    write(&words.folder, &files)?;
    if words.json {
        let paths: Vec<&str> = files.iter().map(|file| file.path.as_str()).collect();
        printer.json(&json!({
            "folder": words.folder,
            "files": paths,
            "carried": told,
        }));
        return Ok(Exit::Well);
    }
    print(words, &files, &told, printer);
    Ok(Exit::Well)
}

fn choices(words: &New) -> Choices {
    let time_zone = words.time_zone.clone().unwrap_or_else(|| {
        // A computer that does not tell its zone gets one that any reader sees to be a stopgap.
        iana_time_zone::get_timezone()
            .ok()
            .filter(|name| name.parse::<chrono_tz::Tz>().is_ok())
            .unwrap_or_else(|| "Etc/UTC".to_owned())
    });
    let units = match words.units {
        Some(UnitsWord::Us) => PrintUnits::Us,
        Some(UnitsWord::Metric) => PrintUnits::Metric,
        None if begin::is_us_zone(&time_zone) => PrintUnits::Us,
        None => PrintUnits::Metric,
    };
    Choices {
        programme: words.programme.clone(),
        year: words.year.unwrap_or_else(|| chrono::Local::now().year()),
        time_zone,
        units,
        paper: words.paper.map(PaperWord::paper),
        csv: words.csv,
    }
}

/// The files of a season that goes on from another, and what was carried over.
fn following(words: &New, from: &Path) -> Result<(Vec<NewFile>, Vec<String>), Failure> {
    let is_season = from.join(SETTINGS_FILE).is_file();
    // An unpacked season is kept until all is read.
    let (folder, _kept, former, mut told) = if is_season {
        (from.to_owned(), None, None, Vec::new())
    } else {
        let verdict = verify::judge(from, None, None)?;
        if !verdict.whole() {
            return Err(Failure::NotWhole {
                path: from.to_owned(),
                faults: verdict.faults.len() + verdict.faults_left_out,
            });
        }
        if !verdict.withheld.is_empty() {
            return Err(Failure::Withheld {
                path: from.to_owned(),
                files: verdict.withheld.len(),
            });
        }
        let unfit = || Failure::OptionUnfit {
            option: "--from",
            path: from.to_owned(),
            needs: "a season folder, or an evidence archive that holds one",
        };
        let opened = open(from)?.ok_or_else(unfit)?;
        let unpacked = unpacked::unpack(&opened, "season")?;
        let folder = unpacked.folder.clone();
        if !unpacked.altered.is_empty() || !folder.join(SETTINGS_FILE).is_file() {
            return Err(unfit());
        }
        let former = verdict.root.map(|root| Former {
            archive: relative(&words.folder, from),
            root: hex(&root),
        });
        let whole = format!(
            "{} is whole: {} files, nothing changed, missing or added",
            from.display(),
            verdict.files
        );
        (folder, Some(unpacked), former, vec![whole])
    };
    // The archive before the former one need not be at hand here.
    let earlier = if is_season {
        EarlierArchive::AsNamed
    } else {
        EarlierArchive::NotAtHand
    };
    let account = stages::account_anew(&folder, earlier)?;
    let read = |name: &str| {
        let path = folder.join(name);
        fs::read_to_string(&path).map_err(|source| Failure::Read { path, source })
    };
    let settings = read(SETTINGS_FILE)?;
    let sites = if folder.join(SITES_FILE).is_file() {
        Some(read(SITES_FILE)?)
    } else {
        None
    };
    let mut carried = begin::carry(
        &settings,
        sites.as_deref(),
        &account.season,
        &account.ledger,
        former.as_ref(),
    )
    .map_err(|reason| Failure::Begin(BeginError::Settings(reason)))?;
    told.append(&mut carried.told);
    let mut files = begin::following(&carried, words.csv).map_err(Failure::Begin)?;
    files.push(plan(&account)?);
    told.push("the plan for the new season, in sheets/plan.pdf".into());
    Ok((files, told))
}

fn plan(account: &Account) -> Result<NewFile, Failure> {
    let plan = crate::plan::plan(&account.season, &account.ledger, next::USUAL_PRECISION);
    Ok(NewFile {
        path: "sheets/plan.pdf".to_owned(),
        bytes: next::pdf(account, &plan)?,
    })
}

fn refuse_what_is_there(folder: &Path) -> Result<(), Failure> {
    let read = |source| Failure::Read {
        path: folder.to_owned(),
        source,
    };
    let kind = match fs::symlink_metadata(folder) {
        Ok(kind) => kind,
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(()),
        Err(error) => return Err(read(error)),
    };
    if !kind.is_dir() {
        return Err(Failure::InTheWay {
            path: folder.to_owned(),
            there: Vec::new(),
        });
    }
    let mut there: Vec<String> = fs::read_dir(folder)
        .map_err(read)?
        .flatten()
        .map(|entry| entry.file_name().to_string_lossy().into_owned())
        .collect();
    if there.is_empty() {
        return Ok(());
    }
    there.sort();
    let more = there.len().saturating_sub(MOST_NAMED);
    there.truncate(MOST_NAMED);
    if more > 0 {
        there.push(format!("and {more} more"));
    }
    Err(Failure::InTheWay {
        path: folder.to_owned(),
        there,
    })
}

fn write(folder: &Path, files: &[NewFile]) -> Result<(), Failure> {
    let failed = |path: &Path| {
        let path = path.to_owned();
        move |source| Failure::Write { path, source }
    };
    let absolute = std::path::absolute(folder).map_err(failed(folder))?;
    let parent = absolute.parent().unwrap_or(&absolute);
    fs::create_dir_all(parent).map_err(failed(parent))?;
    let mut builder = tempfile::Builder::new();
    builder.prefix(PARTIAL_PREFIX);
    // A temporary folder is its owner's alone; a season is worked on together, as far as the system's mask allows.
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o777));
    let unfinished = builder.tempdir_in(parent).map_err(failed(parent))?;
    for file in files {
        let path = unfinished.path().join(&file.path);
        if let Some(above) = path.parent() {
            fs::create_dir_all(above).map_err(failed(&path))?;
        }
        outputs::write(&path, &file.bytes)?;
    }
    // Only an empty folder can be removed in this way, so that nothing is lost if one was filled meanwhile.
    match fs::remove_dir(&absolute) {
        Err(error) if error.kind() != std::io::ErrorKind::NotFound => {
            return Err(failed(folder)(error));
        }
        _ => {}
    }
    fs::rename(unfinished.path(), &absolute).map_err(failed(folder))?;
    // It is not there any more under its temporary name.
    let _ = unfinished.keep();
    Ok(())
}

/// The path from a folder that is to be made to a file that is there, with forward slashes; as it is where no way leads.
fn relative(folder: &Path, file: &Path) -> String {
    let plain = |path: &Path| path.to_string_lossy().replace('\\', "/");
    let absolute = |path: &Path| {
        let path = std::path::absolute(path).ok()?;
        // The folder itself need not be there yet.
        let above = path.ancestors().find_map(|above| {
            let whole = above.canonicalize().ok()?;
            Some(whole.join(path.strip_prefix(above).ok()?))
        });
        above.or(Some(path))
    };
    let (Some(from), Some(to)) = (absolute(folder), absolute(file)) else {
        return plain(file);
    };
    let shared = from
        .components()
        .zip(to.components())
        .take_while(|(one, other)| one == other)
        .count();
    if shared == 0 {
        return plain(&to);
    }
    let up = from.components().count() - shared;
    let way: PathBuf = std::iter::repeat_n(std::path::Component::ParentDir, up)
        .chain(to.components().skip(shared))
        .collect();
    plain(&way)
}

fn print(words: &New, files: &[NewFile], told: &[String], printer: &mut Printer) {
    let folder = words.folder.display();
    printer.line(format!(
        "{} {folder}, {} files",
        styled(GOOD, "made"),
        files.len()
    ));
    for line in told {
        printer.line(format!("  {line}"));
    }
    printer.line("");
    printer.line(styled(BOLD, "Next"));
    let mut steps = vec![format!(
        "read {}",
        words.folder.join("READ-ME-FIRST.txt").display()
    )];
    if words.from.is_some() {
        steps.push("read season.toml once: grants, rates and days may be others now".to_owned());
    } else if words.programme.is_empty() {
        steps.push(
            "write the group's name into season.toml, and see that the time zone is right"
                .to_owned(),
        );
    } else {
        steps
            .push("see in season.toml that the time zone is right, and add your grants".to_owned());
    }
    if words.from.is_none() {
        steps.push("draw your sites into sites.geojson".to_owned());
    }
    steps.push("print the sheets in sheets/ for the first outing".to_owned());
    steps.push(format!(
        "fill in the tables as the season goes, and run `windrow check {folder}` now and then"
    ));
    for (number, step) in (1..).zip(steps) {
        printer.line(format!("  {number}. {step}"));
    }
    printer.line(styled(
        QUIET,
        "`windrow` alone, in that folder, says where you stand at any time.",
    ));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_way_to_an_archive_leads_through_the_parent() {
        let place = tempfile::tempdir().unwrap();
        let archive = place.path().join("old-out").join("old-evidence.zip");
        fs::create_dir_all(archive.parent().unwrap()).unwrap();
        fs::write(&archive, b"").unwrap();
        assert_eq!(
            relative(&place.path().join("new"), &archive),
            "../old-out/old-evidence.zip"
        );
    }

    #[test]
    fn what_is_there_is_named() {
        let place = tempfile::tempdir().unwrap();
        assert!(refuse_what_is_there(place.path()).is_ok());
        for number in 0..7 {
            fs::write(place.path().join(format!("{number}.txt")), b"").unwrap();
        }
        match refuse_what_is_there(place.path()) {
            Err(Failure::InTheWay { there, .. }) => {
                assert_eq!(there.first().map(String::as_str), Some("0.txt"));
                assert_eq!(there.last().map(String::as_str), Some("and 2 more"));
            }
            other => panic!("{other:?}"),
        }
    }
}
