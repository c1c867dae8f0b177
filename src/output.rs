//! Writing an output so that a final name only ever bears a whole file.

use std::io::{self, Write};
use std::path::Path;

/// Writes `bytes` beside `path` under a temporary name, flushes them to the disk, and only then renames.
///
/// # Errors
/// Whatever the file system says; the former file, if any, is then still whole.
pub fn write_whole(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let folder = match path.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    };
    let mut builder = tempfile::Builder::new();
    builder.prefix(PARTIAL_PREFIX);
    // A temporary file is its owner's alone; an output is meant to be handed on, as far as the system's mask allows.
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    let mut file = builder.tempfile_in(folder)?;
    file.write_all(bytes)?;
    file.as_file().sync_all()?;
    file.persist(path).map_err(|failure| failure.error)?;
    Ok(())
}

/// How unfinished outputs are named, so that leftovers of a killed run are known for what they are.
pub const PARTIAL_PREFIX: &str = ".windrow-unfinished-";

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn replaces_a_file_and_leaves_nothing_beside_it() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("figures.json");
        write_whole(&path, b"old").unwrap();
        write_whole(&path, b"new").unwrap();
        assert_eq!(std::fs::read(&path).unwrap(), b"new");
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
    }
}
