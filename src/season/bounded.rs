//! Reading a file of the season whole, within a bound; and telling of it within one.
//!
//! A season folder is hostile: a file may be a pipe that never ends, a link to a device, or larger than it was a moment ago.

use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

/// A plain file's bytes.
///
/// # Errors
/// Whatever the file system says; `InvalidInput` where it is no plain file, or larger than `largest` bytes.
pub(super) fn read(file: &Path, largest: u64) -> io::Result<Vec<u8>> {
    let unfit = |what: String| io::Error::new(io::ErrorKind::InvalidInput, what);
    // Asked before opening: opening a pipe would wait for a writer.
    let metadata = file.symlink_metadata()?;
    if !metadata.is_file() {
        return Err(unfit(
            "it is a link, a folder or a device, and no file".into(),
        ));
    }
    let too_large = || unfit(format!("it is larger than {} MB", largest >> 20));
    if metadata.len() > largest {
        return Err(too_large());
    }
    let mut bytes = Vec::new();
    File::open(file)?
        .take(largest.saturating_add(1))
        .read_to_end(&mut bytes)?;
    if bytes.len() as u64 > largest {
        return Err(too_large());
    }
    Ok(bytes)
}

/// Letters of an error's beginning and end that are told: enough for a line, its mark and the reason below it.
const TOLD: usize = 700;

/// An error that quotes what it met, without the middle of a quotation that has no end.
pub(super) fn shortened(error: &str) -> String {
    let letters = error.chars().count();
    if letters <= 2 * TOLD {
        return error.to_owned();
    }
    let beginning = error.chars().take(TOLD);
    let end = error.chars().skip(letters - TOLD);
    beginning.chain(" … ".chars()).chain(end).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_quotation_without_end_is_cut_in_the_middle() {
        assert_eq!(shortened("short"), "short");
        let long = format!("line 1 {}: the reason", "ü".repeat(100_000));
        let told = shortened(&long);
        assert!(told.chars().count() < 2 * TOLD + 10);
        assert!(told.starts_with("line 1 ü") && told.ends_with(": the reason"));
    }

    #[test]
    fn what_is_larger_or_no_file_is_refused() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("a");
        std::fs::write(&file, [7; 10]).unwrap();
        assert_eq!(read(&file, 10).unwrap(), [7; 10]);
        assert!(read(&file, 9).is_err());
        assert!(read(folder.path(), 10).is_err());
        #[cfg(unix)]
        {
            let link = folder.path().join("link");
            std::os::unix::fs::symlink("/dev/zero", &link).unwrap();
            assert!(read(&link, 10).is_err());
        }
    }
}
