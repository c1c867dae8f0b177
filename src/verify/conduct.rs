//! The way of a verification: structure first, then the tag files, then every byte, then the judgement.

use std::fs::{self, File};
use std::num::NonZero;
use std::path::Path;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc;
use std::thread;

use super::VerifyError;
use super::bag::{Bag, Findings, Readings};
use super::digest::{self, Algorithm};
use super::evidence;
use super::fault::{Fault, Warning};
use super::files::{Content, Files, Stored};
use super::folder;
use super::layout::{self, Layout};
use super::seal;
use super::verdict::{Expected, Kind, Verdict, WithheldItem};
use super::zip::{self, Stop};
use crate::archive::profile;

/// Bytes that it pays to start one more thread for: hashing them takes about as long as a hundred starts.
const WORTH_A_THREAD: u64 = 4 << 20;

/// Judges the ZIP or folder at `path`, and compares it with what is known from elsewhere.
///
/// `progress` is told the bytes read so far and the bytes to read in all. Nothing is written to disk.
///
/// # Errors
/// [`VerifyError`] only where the machine fails; whatever is wrong with the archive is in the verdict.
pub fn verify(
    path: &Path,
    expected: &Expected,
    progress: &mut dyn FnMut(u64, u64),
) -> Result<Verdict, VerifyError> {
    let open = |source| VerifyError::Open {
        path: path.to_path_buf(),
        source,
    };
    let kind = fs::metadata(path).map_err(open)?;
    if kind.is_dir() {
        verify_folder(path, expected, progress)
    } else if kind.is_file() {
        verify_zip(path, kind.len(), expected, progress)
    } else {
        Err(open(std::io::Error::other(
            "it is neither a file nor a folder",
        )))
    }
}

fn verify_folder(
    path: &Path,
    expected: &Expected,
    progress: &mut dyn FnMut(u64, u64),
) -> Result<Verdict, VerifyError> {
    let mut findings = Findings::default();
    let base = layout::base_in_folder(path);
    let files = folder::list(&base, &mut findings.faults)?;
    let bag = Bag::read(&files, &mut findings)?;
    if !bag.is_bag(&files) && !files.contains(profile::EVIDENCE) {
        return Ok(no_bag("the folder", findings, expected));
    }
    let kind = if layout::is_evidence_archive(&files, &bag.description) {
        Kind::Folder
    } else {
        Kind::OtherBagFolder
    };
    judge(kind, &files, &bag, findings, expected, progress)
}

fn verify_zip(
    path: &Path,
    length: u64,
    expected: &Expected,
    progress: &mut dyn FnMut(u64, u64),
) -> Result<Verdict, VerifyError> {
    let mut file = File::open(path).map_err(|source| VerifyError::Open {
        path: path.to_path_buf(),
        source,
    })?;
    let scan = match zip::scan(&mut file, length) {
        Ok(scan) => scan,
        Err(Stop::Io(source)) => {
            return Err(VerifyError::Read {
                path: path.to_path_buf(),
                source,
            });
        }
        Err(Stop::Fault(fault)) => {
            let mut verdict = Verdict::new(Kind::Unknown, expected);
            verdict.faults.push(fault);
            return Ok(verdict.close(expected));
        }
    };
    let mut findings = Findings {
        faults: scan.faults,
        warnings: Vec::new(),
    };
    let layout = layout::of_zip(path, scan.entries, &mut findings.faults);
    let bag = Bag::read(&layout.files, &mut findings)?;
    if !bag.is_bag(&layout.files) && !layout.files.contains(profile::EVIDENCE) {
        return Ok(no_bag("the ZIP", findings, expected));
    }
    let kind = if layout::is_evidence_archive(&layout.files, &bag.description) {
        findings.faults.extend(scan.deviations);
        judge_layout(&layout, &mut findings);
        Kind::Archive
    } else {
        if scan.comment {
            findings.warnings.push(Warning::Comment);
        }
        judge_other_layout(&layout, &mut findings);
        Kind::OtherBagZip
    };
    judge(kind, &layout.files, &bag, findings, expected, progress)
}

/// How an evidence archive must lie in its ZIP.
fn judge_layout(layout: &Layout, findings: &mut Findings) {
    match &layout.base {
        None => findings.faults.push(Fault::structure(
            "the ZIP",
            "its files are not in one folder",
        )),
        Some(base) => {
            if let Err(fault) = profile::check_base(base) {
                findings.faults.push(Fault::BadName {
                    path: base.clone(),
                    fault,
                });
            }
        }
    }
    for path in &layout.outside {
        findings.faults.push(Fault::Added { path: path.clone() });
    }
    for path in &layout.folders {
        findings.faults.push(Fault::structure(
            path,
            "a folder has an entry of its own, which the profile does not know",
        ));
    }
}

/// How a bag must lie in a ZIP by RFC 8493, section 4.
fn judge_other_layout(layout: &Layout, findings: &mut Findings) {
    if layout.base.is_none() {
        findings.warnings.push(Warning::NoBaseFolder);
    }
    for path in &layout.outside {
        findings.faults.push(Fault::structure(
            path,
            "it lies beside the bag; a ZIP must hold one bag and nothing else",
        ));
    }
    findings
        .warnings
        .extend(layout.same_but_case.iter().cloned());
}

fn no_bag(place: &str, findings: Findings, expected: &Expected) -> Verdict {
    let mut verdict = Verdict::new(Kind::Unknown, expected);
    // That there is no bag says that bagit.txt is missing, too.
    let others = findings.faults.into_iter();
    verdict
        .faults
        .extend(others.filter(|fault| !matches!(fault, Fault::Missing { .. })));
    verdict.faults.push(Fault::structure(
        place,
        "there is no bag in it: bagit.txt and the manifests are missing",
    ));
    verdict.close(expected)
}

fn judge(
    kind: Kind,
    files: &Files,
    bag: &Bag,
    mut findings: Findings,
    expected: &Expected,
    progress: &mut dyn FnMut(u64, u64),
) -> Result<Verdict, VerifyError> {
    let ours = matches!(kind, Kind::Archive | Kind::Folder);
    let plan = |path: &str| {
        let mut algorithms = bag.algorithms(path);
        if ours || path == profile::TAG_MANIFEST {
            algorithms.insert(Algorithm::Sha256);
        }
        algorithms.into_iter().collect::<Vec<_>>()
    };
    let readings = read_all(files, &plan, progress)?;
    bag.judge(files, &readings, ours, &mut findings);
    let mut verdict = Verdict::new(kind, expected);
    if ours {
        evidence::judge_names(files, &mut findings);
        evidence::judge_tag_files(files, bag, &mut findings);
        evidence::judge_tree(files, bag, &mut findings)?;
        evidence::judge_ledger(files, bag, &mut findings)?;
        let leaves = evidence::read_leaves(files)?.unwrap_or_default();
        verdict.seals = seal::judge_all(files, &mut findings.faults)?;
        verdict.root = evidence::root_of_files(files, &readings, &leaves);
        verdict.leaves = leaves.len();
        verdict.previous = evidence::previous(bag);
        verdict.withheld = leaves.iter().filter_map(WithheldItem::of).collect();
    } else {
        findings.warnings.push(Warning::OtherMaker);
    }
    if let Some(Content::Good(reading)) = readings.get(profile::TAG_MANIFEST) {
        verdict.fingerprint = reading
            .sum(Algorithm::Sha256)
            .and_then(|sum| sum.try_into().ok());
    }
    verdict.files = files.payload().count();
    verdict.bytes = files.payload().map(|(_, stored)| stored.size).sum();
    verdict.description = bag.description.clone();
    verdict.faults = without_doubles(findings.faults);
    verdict.warnings = findings.warnings;
    Ok(verdict.close(expected))
}

/// A renamed tag file would also be told as missing by the profile and added; the renaming says it all.
fn without_doubles(faults: Vec<Fault>) -> Vec<Fault> {
    let mut told = std::collections::BTreeSet::new();
    for fault in &faults {
        match fault {
            Fault::Renamed { from, to } => told.extend([from.clone(), to.clone()]),
            Fault::Missing { path, by } if by.ends_with(".txt") => {
                told.insert(path.clone());
            }
            _ => {}
        }
    }
    faults
        .into_iter()
        .filter(|fault| match fault {
            Fault::Missing { path, by } => by.ends_with(".txt") || !told.contains(path),
            Fault::Added { path } => !told.contains(path),
            _ => true,
        })
        .collect()
}

/// Reads every file once, on all processors.
///
/// Threads of its own and no shared pool: a caller that runs in such a pool would wait for itself.
fn read_all(
    files: &Files,
    plan: &(dyn Fn(&str) -> Vec<Algorithm> + Sync),
    progress: &mut dyn FnMut(u64, u64),
) -> Result<Readings, VerifyError> {
    let list: Vec<(&String, &Stored)> = files.list.iter().collect();
    let total: u64 = list.iter().map(|(_, stored)| stored.size).sum();
    let next = AtomicUsize::new(0);
    let work = |sender: mpsc::Sender<u64>| -> Result<Vec<_>, VerifyError> {
        let mut done = Vec::new();
        while let Some((path, stored)) = list.get(next.fetch_add(1, Ordering::Relaxed)) {
            let outcome = files.with(path, stored, |reader| {
                digest::read(reader, &plan(path), &|count| {
                    // The receiver lives as long as any sender.
                    let _ = sender.send(count);
                })
            });
            if outcome.is_err() {
                // The others need not go on.
                next.store(list.len(), Ordering::Relaxed);
            }
            done.push(((*path).clone(), outcome?));
        }
        Ok(done)
    };
    let processors = thread::available_parallelism().map_or(1, NonZero::get);
    let worth = usize::try_from(total / WORTH_A_THREAD).unwrap_or(usize::MAX);
    let threads = processors.min(worth.saturating_add(1));
    let (sender, receiver) = mpsc::channel();
    thread::scope(|scope| {
        let workers: Vec<_> = (0..threads)
            .map(|_| {
                let (work, sender) = (&work, sender.clone());
                scope.spawn(move || work(sender))
            })
            .collect();
        drop(sender);
        let mut done = 0;
        for count in receiver {
            done += count;
            progress(done, total);
        }
        let mut readings = Readings::new();
        for worker in workers {
            match worker.join() {
                Ok(part) => readings.extend(part?),
                // A panic in a reading thread stays a panic.
                Err(panic) => std::panic::resume_unwind(panic),
            }
        }
        Ok(readings)
    })
}
