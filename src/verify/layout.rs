//! Where the bag is: the one folder in a ZIP, or in a folder; and whose bag it is.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use super::fault::{Fault, Warning};
use super::files::{Files, Place, Stored};
use super::zip::Entry;
use crate::archive::{names, profile};

/// What a ZIP holds, seen as a bag.
pub(super) struct Layout {
    pub files: Files,
    /// Name of the base directory; None if the bag stands at the top.
    pub base: Option<String>,
    /// Names of files outside the base directory.
    pub outside: Vec<String>,
    /// Folders that have entries of their own.
    pub folders: Vec<String>,
    /// Names that differ but for capitals, of which the second was found.
    pub same_but_case: Vec<Warning>,
}

/// Finds the base directory among the entries and sorts the files by their path below it.
pub(super) fn of_zip(origin: &Path, entries: Vec<Entry>, faults: &mut Vec<Fault>) -> Layout {
    let base = find_base(&entries);
    let prefix = base
        .as_ref()
        .map_or_else(String::new, |base| format!("{base}/"));
    let mut layout = Layout {
        files: Files {
            origin: origin.to_path_buf(),
            list: BTreeMap::new(),
        },
        base,
        outside: Vec::new(),
        folders: Vec::new(),
        same_but_case: Vec::new(),
    };
    let mut folded: BTreeMap<String, String> = BTreeMap::new();
    for entry in entries {
        let Some(path) = entry.name.strip_prefix(&prefix) else {
            layout.outside.push(entry.name);
            continue;
        };
        if entry.folder {
            layout.folders.push(entry.name);
            continue;
        }
        let path = path.to_owned();
        let stored = Stored {
            size: entry.size,
            place: Place::Zip {
                data: entry.data,
                compressed: entry.compressed,
                crc: entry.crc,
                deflated: entry.deflated,
            },
        };
        if layout.files.list.contains_key(&path) {
            faults.push(Fault::refused(
                path,
                "it is twice in the ZIP, and readers would disagree on which one counts",
            ));
            continue;
        }
        if let Some(with) = folded.insert(names::fold(&path), path.clone()) {
            layout.same_but_case.push(Warning::SameButCase {
                path: path.clone(),
                with,
            });
        }
        layout.files.list.insert(path, stored);
    }
    check_files_under_files(&layout.files, faults);
    layout
}

/// No file may also be a folder of others: unpacking would lose one of them.
fn check_files_under_files(files: &Files, faults: &mut Vec<Fault>) {
    for path in files.list.keys() {
        for (slash, _) in path.match_indices('/') {
            let above = path.get(..slash).unwrap_or_default();
            if files.contains(above) {
                faults.push(Fault::refused(
                    path,
                    format!("it lies below {}, which is a file", above.escape_debug()),
                ));
            }
        }
    }
}

/// The first part of the path that has bagit.txt below it, or failing that evidence.json, or failing that the only one.
/// None if bagit.txt stands at the top, or nothing fits.
fn find_base(entries: &[Entry]) -> Option<String> {
    let has = |name: &str| entries.iter().any(|entry| entry.name == name);
    if has(profile::BAGIT) {
        return None;
    }
    let tops: BTreeSet<&str> = entries
        .iter()
        .filter_map(|entry| entry.name.split_once('/').map(|(top, _)| top))
        .collect();
    let with = |file: &str| {
        let wanted: BTreeSet<&str> = entries
            .iter()
            .filter_map(|entry| entry.name.split_once('/'))
            .filter(|(_, rest)| *rest == file)
            .map(|(top, _)| top)
            .collect();
        wanted.into_iter().next()
    };
    with(profile::BAGIT)
        .or_else(|| with(profile::EVIDENCE))
        .or_else(|| (tops.len() == 1).then(|| tops.first().copied()).flatten())
        .map(str::to_owned)
}

/// The base directory in a folder: itself, or its one subfolder if that is a bag, as after unpacking.
pub(super) fn base_in_folder(folder: &Path) -> PathBuf {
    if folder.join(profile::BAGIT).exists() {
        return folder.to_path_buf();
    }
    let mut inside = std::fs::read_dir(folder).into_iter().flatten().flatten();
    match (inside.next(), inside.next()) {
        (Some(only), None)
            if only.file_type().is_ok_and(|kind| kind.is_dir())
                && only.path().join(profile::BAGIT).exists() =>
        {
            only.path()
        }
        _ => folder.to_path_buf(),
    }
}

/// Whether the bag means to be an evidence archive: it has evidence.json, or bag-info.txt names the profile.
///
/// Either is enough, so that taking one away doesn't let the bag off with the milder rules.
pub(super) fn is_evidence_archive(files: &Files, description: &[(String, String)]) -> bool {
    files.contains(profile::EVIDENCE)
        || description.iter().any(|(label, value)| {
            label == profile::LABEL_PROFILE && value == profile::PROFILE_IDENTIFIER
        })
}
