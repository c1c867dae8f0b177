//! The files in a folder: plain files only, no link followed.

use std::collections::BTreeMap;
use std::path::Path;

use walkdir::WalkDir;

use super::VerifyError;
use super::fault::Fault;
use super::files::{Files, Place, Stored};
use crate::archive::profile;

/// How deep folders may lie within each other.
const MOST_DEEP: usize = 64;

/// Lists the folder's files by path with `/`. Links and the like become faults.
///
/// # Errors
/// [`VerifyError`] if a folder can't be read.
pub(super) fn list(base: &Path, faults: &mut Vec<Fault>) -> Result<Files, VerifyError> {
    let mut list = BTreeMap::new();
    for (number, entry) in WalkDir::new(base)
        .follow_links(false)
        .min_depth(1)
        .max_depth(MOST_DEEP + 1)
        .into_iter()
        .enumerate()
    {
        // Folders count as well: a tree of empty ones is a flood too.
        if number > profile::MAX_FILES * 2 {
            faults.push(Fault::refused(
                "the folder",
                format!(
                    "it holds more than {} files and folders; the rest was not looked at",
                    profile::MAX_FILES * 2
                ),
            ));
            break;
        }
        let entry = entry.map_err(|error| VerifyError::Read {
            path: error.path().unwrap_or(base).to_path_buf(),
            source: error.into(),
        })?;
        let Some(path) = entry.path().strip_prefix(base).ok().and_then(slashed) else {
            faults.push(Fault::structure(
                entry.path().to_string_lossy(),
                "its name is not in Unicode",
            ));
            continue;
        };
        let kind = entry.file_type();
        if kind.is_dir() {
            if entry.depth() > MOST_DEEP {
                faults.push(Fault::refused(path, "it lies too deep"));
            }
        } else if kind.is_file() {
            let size = entry
                .metadata()
                .map_err(|error| VerifyError::Read {
                    path: entry.path().to_path_buf(),
                    source: error.into(),
                })?
                .len();
            let place = Place::Folder;
            list.insert(path, Stored { size, place });
        } else {
            faults.push(Fault::refused(
                path,
                "it is a link or something else that is no file",
            ));
        }
    }
    Ok(Files {
        origin: base.to_path_buf(),
        list,
    })
}

fn slashed(path: &Path) -> Option<String> {
    let parts: Option<Vec<&str>> = path.iter().map(|part| part.to_str()).collect();
    parts.map(|parts| parts.join("/"))
}
