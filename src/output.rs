//! Writing an output so that a final name only ever bears a whole file.
//!
//! Takes a path and bytes, or hands out an [`Unfinished`] file to fill. Such a file lies beside its final name, locked while
//! its maker lives; it is brought to the disk before it gets the name, and the name before the work counts as done. A killed
//! run leaves such a file behind; the next one in the same folder removes it. Must not touch any file of another name.

use std::fs::{self, File, Metadata};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::time::Duration;

use tempfile::NamedTempFile;

use crate::interrupt;

#[cfg(test)]
pub(crate) mod failing;

/// How unfinished outputs are named, so that leftovers of a killed run are known for what they are.
pub const PARTIAL_PREFIX: &str = ".windrow-unfinished-";

/// How often to start anew when another run's clean-up takes the file between its making and its locking.
const ATTEMPTS: usize = 16;

/// Where the file system knows no locks, a leftover is one that nobody has written to for so long. No run takes a day.
const ABANDONED_AFTER: Duration = Duration::from_secs(24 * 60 * 60);

/// Writes `bytes` beside `path` under a temporary name, brings them to the disk, and only then renames.
///
/// # Errors
/// Whatever the file system says; the former file, if any, is then still whole.
pub fn write_whole(path: &Path, bytes: &[u8]) -> io::Result<()> {
    write_through(path, bytes, &mut |file, bytes| file.write_all(bytes))
}

/// As [`write_whole`], by a writing of the caller's own: tests put a failing disk in between.
fn write_through(
    path: &Path,
    bytes: &[u8],
    write: &mut dyn FnMut(&mut File, &[u8]) -> io::Result<()>,
) -> io::Result<()> {
    let mut unfinished = Unfinished::beside(path)?;
    write(unfinished.file(), bytes)?;
    unfinished.finish()
}

/// An output in the making. Dropped, it is gone, and the former file of its name is as it was.
#[derive(Debug)]
pub struct Unfinished {
    file: NamedTempFile,
    path: PathBuf,
    folder: PathBuf,
}

impl Unfinished {
    /// Makes one that will be `path`, and removes what killed runs left in its folder.
    ///
    /// # Errors
    /// Whatever the file system says.
    pub fn beside(path: &Path) -> io::Result<Self> {
        let folder = match path.parent() {
            Some(parent) if !parent.as_os_str().is_empty() => parent,
            _ => Path::new("."),
        };
        let file = locked(folder)?;
        // Its time is the folder's own now, by the clock that the leftovers' times are of.
        let now = file.as_file().metadata()?;
        remove_leftovers(folder, &now);
        Ok(Self {
            file,
            path: path.to_owned(),
            folder: folder.to_owned(),
        })
    }

    /// The file to fill.
    pub fn file(&mut self) -> &mut File {
        self.file.as_file_mut()
    }

    /// Brings the bytes to the disk and gives them their name.
    ///
    /// # Errors
    /// Whatever the file system says; the former file of the name is then still whole.
    pub fn finish(self) -> io::Result<()> {
        self.file.as_file().sync_all()?;
        self.file
            .persist(&self.path)
            .map_err(|failure| failure.error)?;
        sync_folder(&self.folder);
        Ok(())
    }
}

/// Makes names in a folder last through a power cut. Systems that can't do this to a folder do it on their own.
pub fn sync_folder(folder: &Path) {
    if cfg!(unix) {
        let _ = File::open(folder).and_then(|folder| folder.sync_all());
    }
}

/// What to do when a file can't be read or written, by what the system says.
pub fn advice(error: &io::Error) -> &'static str {
    match error.kind() {
        io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => {
            "make room there, or name a place on another disk with --output"
        }
        io::ErrorKind::ReadOnlyFilesystem => {
            "nothing can be written there; name a place on another disk with --output"
        }
        io::ErrorKind::PermissionDenied => {
            "see to the permissions of the file and of its folder, or take a place that is yours"
        }
        io::ErrorKind::NotFound => "see that the path is right and that the disk is still there",
        io::ErrorKind::FileTooLarge => {
            "the disk's format takes no file as large; take a disk of another format"
        }
        io::ErrorKind::IsADirectory | io::ErrorKind::DirectoryNotEmpty => {
            "a folder bears that name; take another name"
        }
        _ => {
            "if it happens again, the disk or its cable may be failing: copy the folder to another disk and work from there"
        }
    }
}

/// Makes a temporary file in `folder`, locked.
fn locked(folder: &Path) -> io::Result<NamedTempFile> {
    for _ in 0..ATTEMPTS {
        let mut builder = tempfile::Builder::new();
        builder.prefix(PARTIAL_PREFIX);
        // A temporary file is its owner's alone; an output is meant to be handed on, as far as the system's mask allows.
        #[cfg(unix)]
        builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
        let file = interrupt::temporary(|| builder.tempfile_in(folder), NamedTempFile::path)?;
        match file.as_file().lock() {
            Ok(()) if file.path().exists() => return Ok(file),
            Ok(()) => {}
            // Some network file systems know no locks: there the age decides.
            Err(error) if error.kind() == io::ErrorKind::Unsupported => return Ok(file),
            Err(error) => return Err(error),
        }
    }
    Err(io::Error::other(
        "its temporary file was removed again and again",
    ))
}

/// Removes what former, killed runs left in `folder`. What can't be removed stays; that is no reason not to go on.
fn remove_leftovers(folder: &Path, now: &Metadata) {
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        let ours = entry.file_name().to_str().is_some_and(is_partial_name);
        // The type is that of the entry itself, so no link is followed.
        if ours && entry.file_type().is_ok_and(|kind| kind.is_file()) {
            let path = entry.path();
            let Ok(file) = File::options().write(true).open(&path) else {
                continue;
            };
            let abandoned = match file.try_lock() {
                Ok(()) => true,
                Err(fs::TryLockError::WouldBlock) => false,
                Err(fs::TryLockError::Error(_)) => is_old(&file, now),
            };
            if abandoned {
                let _ = fs::remove_file(&path);
            }
        }
    }
}

/// Our beginning, and then nothing but the letters and figures that make temporary names differ.
fn is_partial_name(name: &str) -> bool {
    name.strip_prefix(PARTIAL_PREFIX).is_some_and(|rest| {
        !rest.is_empty()
            && rest
                .chars()
                .all(|letter| letter.is_ascii_alphanumeric() || letter == '-')
    })
}

fn is_old(file: &File, now: &Metadata) -> bool {
    let written = file.metadata().and_then(|metadata| metadata.modified());
    match (written, now.modified()) {
        (Ok(written), Ok(now)) => now
            .duration_since(written)
            .is_ok_and(|age| age > ABANDONED_AFTER),
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::failing::{Disk, Fault};
    use super::*;

    fn names(folder: &Path) -> Vec<String> {
        let mut names: Vec<String> = fs::read_dir(folder)
            .unwrap()
            .map(|entry| entry.unwrap().file_name().into_string().unwrap())
            .collect();
        names.sort();
        names
    }

    #[test]
    fn replaces_a_file_and_leaves_nothing_beside_it() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("figures.json");
        write_whole(&path, b"old").unwrap();
        write_whole(&path, b"new").unwrap();
        assert_eq!(fs::read(&path).unwrap(), b"new");
        assert_eq!(names(folder.path()), ["figures.json"]);
    }

    #[test]
    fn a_failing_disk_leaves_the_former_file_and_nothing_else() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("report.pdf");
        let bytes: Vec<u8> = (0..2000).map(|number| number as u8).collect();
        fs::write(&path, "the former report").unwrap();
        for short in [1, 7, 512, usize::MAX] {
            for fault in (0..bytes.len() as u64)
                .step_by(11)
                .map(Fault::FullAfter)
                .chain(
                    (0..bytes.len().div_ceil(short.min(bytes.len())))
                        .step_by(7)
                        .map(Fault::WriteNumber),
                )
            {
                let failed = write_through(&path, &bytes, &mut |file, bytes| {
                    Disk::over(file, fault, short).write_all(bytes)
                });
                assert!(failed.is_err(), "{fault:?}, {short} at once");
                assert_eq!(fs::read_to_string(&path).unwrap(), "the former report");
                assert_eq!(names(folder.path()), ["report.pdf"]);
            }
            // Short writes and interruptions alone do no harm.
            write_through(&path, &bytes, &mut |file, bytes| {
                Disk::over(file, Fault::None, short).write_all(bytes)
            })
            .unwrap();
            assert_eq!(fs::read(&path).unwrap(), bytes);
            fs::write(&path, "the former report").unwrap();
        }
    }

    #[test]
    fn a_name_that_a_folder_bears_is_an_error_and_the_folder_stays() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("report.pdf");
        fs::create_dir(&path).unwrap();
        fs::write(path.join("inside"), "x").unwrap();
        assert!(write_whole(&path, b"new").is_err());
        assert!(path.join("inside").exists());
        assert_eq!(names(folder.path()), ["report.pdf"]);
        assert!(write_whole(&folder.path().join("none/report.pdf"), b"new").is_err());
    }

    #[test]
    fn leftovers_go_but_living_and_foreign_files_stay() {
        let folder = tempfile::tempdir().unwrap();
        let place = |name: &str| folder.path().join(name);
        let foreign = [
            "x.windrow-unfinished-dead",
            ".windrow-unfinished-",
            ".windrow-unfinished-old.zip",
            ".windrow-unfinished",
            "precious.pdf",
        ];
        for name in foreign {
            fs::write(place(name), "x").unwrap();
        }
        fs::create_dir(place(".windrow-unfinished-folder")).unwrap();
        for name in ["a1B2c3", "archive-a1B2c3"] {
            fs::write(place(&format!("{PARTIAL_PREFIX}{name}")), "half a file").unwrap();
        }
        let living = Unfinished::beside(&place("a.pdf")).unwrap();
        write_whole(&place("b.pdf"), b"b").unwrap();
        let mut expected: Vec<String> = foreign.iter().map(|&name| name.to_owned()).collect();
        expected.extend([".windrow-unfinished-folder".into(), "b.pdf".into()]);
        expected.push(
            living
                .file
                .path()
                .file_name()
                .unwrap()
                .to_str()
                .unwrap()
                .into(),
        );
        expected.sort();
        assert_eq!(names(folder.path()), expected);
        living.finish().unwrap();
        assert!(place("a.pdf").exists());
    }

    #[cfg(unix)]
    #[test]
    fn a_link_that_looks_like_a_leftover_is_left_alone() {
        let folder = tempfile::tempdir().unwrap();
        let target = folder.path().join("precious");
        fs::write(&target, "x").unwrap();
        let link = folder.path().join(format!("{PARTIAL_PREFIX}link"));
        std::os::unix::fs::symlink(&target, &link).unwrap();
        write_whole(&folder.path().join("a.pdf"), b"a").unwrap();
        assert!(target.exists() && link.symlink_metadata().is_ok());
    }

    #[test]
    fn without_locks_age_decides() {
        let folder = tempfile::tempdir().unwrap();
        let old = File::create(folder.path().join("old")).unwrap();
        let now = File::create(folder.path().join("now")).unwrap();
        let hour = Duration::from_secs(3600);
        let moment = now.metadata().unwrap().modified().unwrap();
        for (hours, expected) in [(23, false), (25, true)] {
            old.set_modified(moment - hour * hours).unwrap();
            assert_eq!(is_old(&old, &now.metadata().unwrap()), expected);
        }
        // A clock that was put back makes nothing old.
        old.set_modified(moment + hour * 99).unwrap();
        assert!(!is_old(&old, &now.metadata().unwrap()));
    }
}
