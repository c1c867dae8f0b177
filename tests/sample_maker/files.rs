//! The whole season as bytes by path, and the writing of it.
//!
//! Takes the other modules' output; gives files. Must not touch a folder that this program did not make.

use std::collections::BTreeMap;
use std::fs;
use std::io::{self, Write};
use std::path::Path;

use crate::{papers, photos, scenario, tables, tracks};

/// Files by path below the season folder, with `/` between the parts.
pub type Files = BTreeMap<String, Vec<u8>>;

/// The first line of `season.toml`, by which a folder is known as this program's own.
const MARK: &str = "# Invented data, made by the example make-sample.";

pub fn whole_season() -> Files {
    let mut files = all_but_photos();
    files.extend(photos::all());
    files
}

pub fn all_but_photos() -> Files {
    let mut files = Files::new();
    let mut put = |path: &str, text: String| files.insert(path.to_string(), text.into_bytes());
    put("season.toml", format!("{MARK}\n{}", scenario::settings()));
    put("sites.geojson", tables::sites());
    put("pulls.csv", tables::pulls());
    put("weighings.csv", tables::weighings());
    put("cover.csv", tables::cover());
    put("history.csv", tables::history());
    put("spending.csv", tables::spending());
    put("photos.csv", tables::photos());
    for (name, text) in scenario::NARRATIVE {
        put(&format!("narrative/{name}.typ"), (*text).to_string());
    }
    for (path, text) in tracks::all() {
        put(&path, text);
    }
    files.extend(papers::all());
    files
}

/// Writes `files` below `folder`, each by a temporary file and a rename.
pub fn write_season(folder: &Path, files: &Files) -> Result<usize, String> {
    let told = |path: &Path, error: io::Error| format!("{}: {error}", path.display());
    if folder.exists() {
        let strangers = strangers(folder, files).map_err(|error| told(folder, error))?;
        if !strangers.is_empty() {
            return Err(format!(
                "{} holds files that this program would not make, so nothing was written: {}",
                folder.display(),
                strangers.join(", ")
            ));
        }
    }
    for (name, bytes) in files {
        let path = folder.join(name);
        let Some(parent) = path.parent() else {
            return Err(format!("{} has no folder above it", path.display()));
        };
        fs::create_dir_all(parent).map_err(|error| told(parent, error))?;
        let partial = path.with_extension("partial");
        let written = fs::File::create(&partial)
            .and_then(|mut file| file.write_all(bytes).and_then(|()| file.sync_all()))
            .and_then(|()| fs::rename(&partial, &path));
        written.map_err(|error| told(&path, error))?;
    }
    Ok(files.len())
}

/// What stands in the way in a folder that exists: everything in a folder without our mark, or files of
/// a marked folder that are not among ours. Empty when the folder may be written.
fn strangers(folder: &Path, files: &Files) -> io::Result<Vec<String>> {
    let ours = fs::read_to_string(folder.join("season.toml"))
        .is_ok_and(|text| text.lines().next() == Some(MARK));
    let mut found = Vec::new();
    let mut waiting = vec![folder.to_path_buf()];
    while let Some(here) = waiting.pop() {
        for entry in fs::read_dir(&here)? {
            let entry = entry?;
            if entry.file_type()?.is_dir() {
                waiting.push(entry.path());
                continue;
            }
            let path = entry.path();
            let name = path
                .strip_prefix(folder)
                .unwrap_or(&path)
                .components()
                .map(|part| part.as_os_str().to_string_lossy())
                .collect::<Vec<_>>()
                .join("/");
            if !ours || !files.contains_key(&name) {
                found.push(name);
            }
        }
    }
    found.sort();
    Ok(found)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The folder in the repository is this program's output, byte by byte; photos are left to a rerun.
    #[test]
    fn the_committed_folder_is_the_output() {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-season");
        for (name, bytes) in all_but_photos() {
            let committed = fs::read(folder.join(&name)).unwrap_or_default();
            assert!(committed == bytes, "{name} differs: run make-sample again");
        }
    }

    #[test]
    fn a_foreign_folder_is_left_alone() {
        let folder = std::env::temp_dir().join(format!("make-sample-{}", std::process::id()));
        fs::create_dir_all(&folder).unwrap();
        fs::write(folder.join("diary.txt"), "mine").unwrap();
        let files = Files::from([("pulls.csv".to_string(), b"x".to_vec())]);
        let refusal = write_season(&folder, &files).unwrap_err();
        assert!(refusal.contains("diary.txt"), "{refusal}");
        assert!(!folder.join("pulls.csv").exists());
        fs::remove_file(folder.join("diary.txt")).unwrap();
        assert_eq!(write_season(&folder, &files), Ok(1));
        fs::remove_dir_all(&folder).unwrap();
    }
}
