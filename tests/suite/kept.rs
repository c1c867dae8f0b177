//! What earlier runs left in the cache saves time and changes no byte; and whoever forges it is found by a recomputation.

use std::fs;
use std::path::{Path, PathBuf};

use super::support::program::command;

struct Place(tempfile::TempDir);

impl Place {
    fn cache(&self) -> PathBuf {
        self.0.path().join("cache")
    }

    fn archive(&self) -> PathBuf {
        self.0.path().join("out/sample-season-evidence.zip")
    }

    /// Closes the sample season and gives the archive's bytes.
    fn closed(&self, cache: &Path) -> Vec<u8> {
        let season = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-season");
        let words = ["close", season.to_str().unwrap(), "--output"];
        let closed = command(&words)
            .arg(self.0.path().join("out"))
            .env("WINDROW_CACHE", cache)
            .output()
            .unwrap();
        assert!(closed.status.success());
        fs::read(self.archive()).unwrap()
    }

    /// Small copies that are kept, in the order of their names.
    fn pictures(&self) -> Vec<PathBuf> {
        let entries = |folder: &Path| -> Vec<PathBuf> {
            let entries = fs::read_dir(folder).unwrap();
            let mut paths: Vec<PathBuf> = entries.map(|entry| entry.unwrap().path()).collect();
            paths.sort();
            paths
        };
        let all = entries(&self.cache());
        let folder = all.iter().find(|path| path.is_dir()).unwrap();
        entries(folder)
    }
}

#[test]
fn what_is_kept_changes_no_byte() {
    let place = Place(tempfile::tempdir().unwrap());
    let anew = place.closed(Path::new("off"));
    assert!(!place.cache().exists());
    assert!(anew == place.closed(&place.cache()), "the first time");
    let pictures = place.pictures();
    assert!(pictures.len() > 10);
    assert!(anew == place.closed(&place.cache()), "the second time");
    for path in &pictures {
        let mut bytes = fs::read(path).unwrap();
        let middle = bytes.len() / 2;
        bytes[middle] ^= 1;
        fs::write(path, bytes).unwrap();
    }
    assert!(anew == place.closed(&place.cache()), "from damaged copies");
}

/// A cache is its owner's to change. What is shown on an auditor's machine comes from the photos.
#[test]
fn a_forged_copy_is_found_by_recomputing() {
    let place = Place(tempfile::tempdir().unwrap());
    let anew = place.closed(&place.cache());
    let pictures = place.pictures();
    let (one, other) = (&pictures[0], &pictures[1]);
    fs::copy(one, other).unwrap();
    assert!(anew != place.closed(&place.cache()));
    let recomputed = command(&["verify", "--recompute"])
        .arg(place.archive())
        .env("WINDROW_CACHE", place.cache())
        .output()
        .unwrap();
    assert!(!recomputed.status.success());
    let told = String::from_utf8(recomputed.stdout).unwrap();
    assert!(
        told.contains("differs: report/sample-season-report.pdf"),
        "{told}"
    );
}
