//! The season inside an archive, in a temporary folder that is gone when the value is dropped.
//!
//! Takes an opened archive; writes its season's files and nothing else, each below the folder.

use std::fs::{self, File};
use std::io::{BufWriter, Write};
use std::path::{Path, PathBuf};

use serde_json::Value;

use super::exit::Failure;
use crate::archive::profile::{self, LEDGER_JSON, SEASON};
use crate::interrupt;
use crate::verify::{Copied, Opened};

/// The largest ledger or report that is read into memory to be compared: many times what a long season needs.
pub const MOST_BYTES: u64 = 512 << 20;

/// The season's files on disk.
pub struct Unpacked {
    /// The season folder.
    pub folder: PathBuf,
    /// Paths in the archive whose files are not what the archive's own lists state.
    pub altered: Vec<String>,
    _place: tempfile::TempDir,
}

/// Unpacks the season into a folder of the name given.
pub fn unpack(opened: &Opened, name: &str) -> Result<Unpacked, Failure> {
    let place = interrupt::temporary(tempfile::tempdir, tempfile::TempDir::path);
    let place = place.map_err(|source| Failure::Write {
        path: std::env::temp_dir(),
        source,
    })?;
    let folder = place.path().join(name);
    let failed = |path: &Path| {
        let path = path.to_owned();
        move |source| Failure::Write { path, source }
    };
    fs::create_dir_all(&folder).map_err(failed(&folder))?;
    let mut altered = Vec::new();
    for (path, _) in opened.payload() {
        let Some(below) = path.strip_prefix(SEASON) else {
            continue;
        };
        // A verdict may have seen to it; but the archive is opened anew, and nothing may be written outside the folder.
        if profile::check_path(path).is_err() {
            altered.push(path.to_owned());
            continue;
        }
        let target = folder.join(below);
        if let Some(parent) = target.parent() {
            fs::create_dir_all(parent).map_err(failed(parent))?;
        }
        let file = File::create_new(&target).map_err(failed(&target))?;
        let mut out = BufWriter::new(file);
        match opened.copy(path, &mut out)? {
            Copied::Whole => {}
            Copied::NotAsStated => altered.push(path.to_owned()),
            Copied::NotWritten(source) => return Err(failed(&target)(source)),
        }
        out.flush().map_err(failed(&target))?;
    }
    Ok(Unpacked {
        folder,
        altered,
        _place: place,
    })
}

/// The packed figures.json. The inner error says why it can't be read.
pub fn packed_ledger(opened: &Opened) -> Result<Result<Value, String>, Failure> {
    let Some(packed) = opened.read(LEDGER_JSON, MOST_BYTES)? else {
        return Ok(Err("it holds no ledger".to_owned()));
    };
    Ok(serde_json::from_slice(&packed)
        .map_err(|error| format!("its figures.json can't be read: {error}")))
}
