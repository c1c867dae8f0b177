//! Why an archive can't be judged: the machine's failure, not the archive's.

use std::fmt;
use std::io;
use std::path::PathBuf;

/// The archive could not be read, so nothing is said of it.
#[derive(Debug)]
pub enum VerifyError {
    /// The archive can't be opened.
    Open { path: PathBuf, source: io::Error },
    /// Reading stopped on the way.
    Read { path: PathBuf, source: io::Error },
}

impl fmt::Display for VerifyError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Open { path, source } => write!(
                out,
                "{} can't be opened: {source}; see that the path is right and that you may read it",
                path.display()
            ),
            Self::Read { path, source } => write!(
                out,
                "{} can't be read to its end: {source}; copy it to another disk and verify the copy",
                path.display()
            ),
        }
    }
}

impl std::error::Error for VerifyError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            Self::Open { source, .. } | Self::Read { source, .. } => Some(source),
        }
    }
}
