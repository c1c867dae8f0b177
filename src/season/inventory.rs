//! Every file of the folder, in the order of its path. Links are told and never followed.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use serde::Serialize;
use walkdir::WalkDir;

use super::problem::{Problem, ProblemKind};
use crate::place::Place;
use crate::shared::Shared;
use crate::stamp::Stamp;
use crate::words;

/// A file of the season folder.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct FileEntry {
    /// Path below the season folder, `/` between parts on every system.
    pub path: Shared,
    pub bytes: u64,
    /// What the file system said of it when the folder was listed, before anything was read.
    #[serde(skip)]
    pub stamp: Stamp,
    /// The folder that `path` is below; one for all files.
    #[serde(skip)]
    pub below: Arc<Path>,
}

impl FileEntry {
    /// Where it lies.
    pub fn on_disk(&self) -> PathBuf {
        let mut on_disk = self.below.to_path_buf();
        on_disk.extend(self.path.split('/'));
        on_disk
    }
}

/// The file of this path, in a list in the order of paths.
pub fn file_at<'a>(files: &'a [FileEntry], path: &str) -> Option<&'a FileEntry> {
    let by_path = |file: &FileEntry| file.path.as_str().cmp(path);
    files.get(files.binary_search_by(by_path).ok()?)
}

/// How deep a folder may nest: far beyond any season, and a bound for hostile ones.
const DEEPEST: usize = 32;

/// The folder's files, and what the listing stumbled over.
pub fn listing(root: &Path) -> (Vec<FileEntry>, Vec<Problem>) {
    let mut problems = Vec::new();
    (list(root, &mut problems), problems)
}

/// Lists the folder.
pub fn list(root: &Path, problems: &mut Vec<Problem>) -> Vec<FileEntry> {
    let below_root: Arc<Path> = root.into();
    let mut files = Vec::new();
    let mut folders = Vec::new();
    for entry in WalkDir::new(root)
        .follow_links(false)
        .min_depth(1)
        .max_depth(DEEPEST)
    {
        let entry = match entry {
            Ok(entry) => entry,
            Err(error) => {
                let path = error
                    .path()
                    .map_or_else(String::new, |path| relative(root, path));
                push(
                    problems,
                    &path,
                    ProblemKind::FileUnreadable {
                        reason: error.to_string().into(),
                    },
                );
                continue;
            }
        };
        let path = relative(root, entry.path());
        let kind = entry.file_type();
        // Its own name, or that of a folder above it.
        let below = entry.path().strip_prefix(root).unwrap_or(entry.path());
        if below.to_str().is_none() {
            push(
                problems,
                &path,
                ProblemKind::FileUnreadable {
                    reason: words!(
                        "its name is not in Unicode, so that no other computer could write it; give it another name"
                    ),
                },
            );
        } else if kind.is_symlink() {
            push(problems, &path, ProblemKind::Link);
        } else if kind.is_dir() && entry.depth() == DEEPEST {
            push(
                problems,
                &path,
                ProblemKind::FileUnreadable {
                    reason: words!(
                        "it is a folder {deep} folders deep, and what is in it was not looked at; move it up",
                        deep = DEEPEST
                    ),
                },
            );
        } else if kind.is_dir() {
            folders.push(path);
        } else if kind.is_file() {
            match entry.metadata() {
                Ok(metadata) => files.push(FileEntry {
                    path: path.into(),
                    bytes: metadata.len(),
                    stamp: Stamp::of(&metadata),
                    below: below_root.clone(),
                }),
                Err(error) => push(
                    problems,
                    &path,
                    ProblemKind::FileUnreadable {
                        reason: error.to_string().into(),
                    },
                ),
            }
        } else {
            push(
                problems,
                &path,
                ProblemKind::FileUnreadable {
                    reason: words!("it is no ordinary file"),
                },
            );
        }
    }
    files.sort_by(|a, b| a.path.cmp(&b.path));
    folders.sort();
    for folder in folders {
        let prefix = format!("{folder}/");
        let at = files.partition_point(|file| file.path.as_str() < prefix.as_str());
        if !files
            .get(at)
            .is_some_and(|file| file.path.starts_with(&prefix))
        {
            push(problems, &folder, ProblemKind::EmptyFolder);
        }
    }
    files
}

fn push(problems: &mut Vec<Problem>, path: &str, kind: ProblemKind) {
    problems.push(Problem {
        place: Place::whole(path),
        kind,
        row: None,
    });
}

/// The path below the root with `/` between its parts. A name that is no Unicode keeps a mark in place of what can't be said.
fn relative(root: &Path, path: &Path) -> String {
    path.strip_prefix(root)
        .unwrap_or(path)
        .components()
        .map(|part| part.as_os_str().to_string_lossy())
        .collect::<Vec<_>>()
        .join("/")
}
