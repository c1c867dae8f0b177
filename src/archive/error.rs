//! Why an archive can't be written, each with what to do next.

use std::fmt;
use std::io;
use std::path::PathBuf;

use super::profile::{self, NameFault};
use crate::output;

/// Packing stopped. No archive was written, and a former one of that name is untouched.
#[derive(Debug)]
pub enum ArchiveError {
    /// Names that can't stand in an archive; all of them, with the path below the base directory.
    Names(Vec<(String, NameFault)>),
    /// The base directory's name breaks a rule.
    Base { name: String, fault: NameFault },
    /// More files than the profile allows.
    TooMany { files: usize },
    /// A list of all files would be longer than a reader accepts.
    ListTooLong { list: String, bytes: u64 },
    /// A file is not what was hashed before.
    Changed { path: String, file: PathBuf },
    /// The root handed in, as the report prints it, isn't the root over the files handed in.
    RootDiffers,
    /// A file of the season can't be read.
    Read { file: PathBuf, source: io::Error },
    /// The archive can't be written.
    Write { file: PathBuf, source: io::Error },
}

impl fmt::Display for ArchiveError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Names(faults) => {
                write!(
                    out,
                    "{} of the names can't stand in an archive; rename the files in the season folder and pack again:",
                    faults.len()
                )?;
                faults.iter().try_for_each(|(path, fault)| {
                    write!(out, "\n  {}: {fault}", path.escape_debug())
                })
            }
            Self::Base { name, fault } => write!(
                out,
                "the archive's folder can't be named '{}': {fault}; choose another name",
                name.escape_debug()
            ),
            Self::TooMany { files } => write!(
                out,
                "there are {files} files; an archive holds {} at most; move what is no evidence out of the season folder",
                profile::MAX_FILES
            ),
            Self::ListTooLong { list, bytes } => write!(
                out,
                "{list} would have {bytes} bytes; {} are the most; give the files shorter names or pack fewer",
                profile::MAX_LIST_BYTES
            ),
            Self::Changed { path, file } => write!(
                out,
                "{path} changed while the archive was made ({}); close the programs that write to it and run again",
                file.display()
            ),
            Self::RootDiffers => write!(
                out,
                "the report was made for other files than these; make the report again, then pack"
            ),
            Self::Read { file, source } => write!(
                out,
                "{} can't be read: {source}; {}. Then run again",
                file.display(),
                output::advice(source)
            ),
            Self::Write { file, source } => write!(
                out,
                "{} can't be written: {source}; {}. A former archive of that name is still whole",
                file.display(),
                output::advice(source)
            ),
        }
    }
}

impl std::error::Error for ArchiveError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            Self::Read { source, .. } | Self::Write { source, .. } => Some(source),
            _ => None,
        }
    }
}
