//! How a command ends: exit codes, and the errors that stop one.

use std::fmt;
use std::path::PathBuf;

use crate::archive::{ArchiveError, SignError};
use crate::begin::BeginError;
use crate::output;
use crate::report::ReportError;
use crate::season::SeasonError;
use crate::verify::VerifyError;
use crate::verify::draw::DrawError;

/// Exit codes, as README.md lists them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Exit {
    /// All well.
    Well,
    /// Findings of grade error, or an archive that is not whole.
    NotWell,
    /// The command's words were wrong.
    Usage,
    /// The machine failed: disk full, no permission.
    Machine,
    /// Somebody stopped it, as by Ctrl-C.
    Stopped,
}

impl Exit {
    pub fn code(self) -> u8 {
        match self {
            Exit::Well => 0,
            Exit::NotWell => 1,
            Exit::Usage => 2,
            Exit::Machine => 3,
            // As shells tell of a program that Ctrl-C ended: 128 and the signal's number.
            Exit::Stopped => 130,
        }
    }
}

impl From<Exit> for std::process::ExitCode {
    fn from(exit: Exit) -> Self {
        Self::from(exit.code())
    }
}

/// Why a command can't go on. What is wrong *in* a season folder or an archive is no failure but a finding or a fault.
#[derive(Debug)]
pub enum Failure {
    Season(SeasonError),
    Report(ReportError),
    Archive(ArchiveError),
    Verify(VerifyError),
    /// An archive that is not whole can't be gone on with.
    NotWhole {
        path: PathBuf,
        faults: usize,
    },
    /// A key that can't sign.
    KeyUnfit {
        path: PathBuf,
        error: SignError,
    },
    /// A signature or time stamp that doesn't hold for the archive.
    Unsound {
        path: PathBuf,
        what: String,
    },
    /// The archive bears such a seal already.
    SealThere {
        path: PathBuf,
        place: &'static str,
    },
    /// There can be no such draw, or the worksheet is none.
    Draw(DrawError),
    /// An output can't be written.
    Write {
        path: PathBuf,
        source: std::io::Error,
    },
    /// The outputs would land in the season folder.
    OutputInSeason {
        path: PathBuf,
    },
    /// The file to prove is no leaf of the archive's tree.
    NotInTree {
        file: String,
        archive: PathBuf,
    },
    /// A file that an option belongs to isn't of the kind that the option is for.
    OptionUnfit {
        option: &'static str,
        path: PathBuf,
        needs: &'static str,
    },
    /// A file can't be read.
    Read {
        path: PathBuf,
        source: std::io::Error,
    },
    /// There is no rule of that name.
    RuleUnknown {
        name: String,
        near: Option<String>,
    },
    /// No finding of the rule stands at the place.
    FindingNotThere {
        name: String,
        place: String,
        /// Where such findings are.
        places: Vec<String>,
    },
    /// There is no section of that name.
    SectionUnknown {
        name: String,
        known: Vec<&'static str>,
    },
    /// The folder can't be watched.
    Watch(String),
    /// There is no figure of that name.
    FigureUnknown {
        name: String,
        /// Names that may be meant, the nearest first.
        near: Vec<String>,
    },
    /// A new folder would lie where something is already.
    InTheWay {
        path: PathBuf,
        /// Names of some of what is there; empty where a file bears the name.
        there: Vec<String>,
    },
    /// There can be no new season by these words.
    Begin(BeginError),
    /// A copy from which files are withheld can't be gone on with.
    Withheld {
        path: PathBuf,
        files: usize,
    },
    /// The archive that was just packed does not verify: a fault of the disk or of windrow itself.
    PackedNotWhole {
        path: PathBuf,
        faults: Vec<String>,
    },
}

impl Failure {
    pub fn exit(&self) -> Exit {
        match self {
            Failure::Season(error) if error.is_machine() => Exit::Machine,
            Failure::Season(_) => Exit::NotWell,
            Failure::Report(ReportError::Machine(_)) => Exit::Machine,
            Failure::Report(ReportError::NoPage(_)) => Exit::Usage,
            Failure::Report(_) => Exit::NotWell,
            Failure::Archive(ArchiveError::Read { .. } | ArchiveError::Write { .. }) => {
                Exit::Machine
            }
            Failure::Archive(_) => Exit::NotWell,
            Failure::NotWhole { .. } | Failure::Unsound { .. } => Exit::NotWell,
            Failure::KeyUnfit { .. } | Failure::SealThere { .. } => Exit::Usage,
            Failure::Draw(DrawError::Unfit(_)) => Exit::Usage,
            Failure::Draw(DrawError::Season(error)) if !error.is_machine() => Exit::NotWell,
            Failure::Draw(_) => Exit::Machine,
            Failure::OutputInSeason { .. }
            | Failure::FigureUnknown { .. }
            | Failure::RuleUnknown { .. }
            | Failure::FindingNotThere { .. }
            | Failure::SectionUnknown { .. }
            | Failure::NotInTree { .. }
            | Failure::InTheWay { .. }
            | Failure::Withheld { .. }
            | Failure::OptionUnfit { .. } => Exit::Usage,
            Failure::Begin(BeginError::Settings(_)) => Exit::Usage,
            Failure::Begin(_) => Exit::Machine,
            Failure::Read { .. }
            | Failure::Watch(_)
            | Failure::Verify(_)
            | Failure::Write { .. }
            | Failure::PackedNotWhole { .. } => Exit::Machine,
        }
    }
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Failure::Season(error) => error.fmt(f),
            Failure::Report(error) => error.fmt(f),
            Failure::Archive(error) => error.fmt(f),
            Failure::Verify(error) => error.fmt(f),
            Failure::Draw(error) => error.fmt(f),
            Failure::RuleUnknown { name, near } => {
                write!(f, "there is no finding named {name}")?;
                match near {
                    Some(near) => write!(f, "; did you mean {near}?"),
                    None => write!(f, "; windrow check --explain all lists every one"),
                }
            }
            Failure::FindingNotThere {
                name,
                place,
                places,
            } => {
                write!(f, "there is no finding {name} at {place}; ")?;
                match places.as_slice() {
                    [] => write!(f, "the season has none of that name"),
                    places => write!(f, "there is one at {}", places.join("; ")),
                }
            }
            Failure::KeyUnfit { path, error } => write!(f, "{}: {error}", path.display()),
            Failure::Unsound { path, what } => write!(
                f,
                "{} doesn't hold for this archive and was not kept: {what}. See that both belong together, or have a new one made",
                path.display()
            ),
            Failure::SealThere { path, place } => write!(
                f,
                "{} bears another {place} already; --replace puts the new one in its place",
                path.display()
            ),
            Failure::NotWhole { path, faults } => write!(
                f,
                "{} is not whole ({faults} {}), so nothing is done with it. `windrow verify` names each fault",
                path.display(),
                if *faults == 1 { "fault" } else { "faults" }
            ),
            Failure::Write { path, source } => write!(
                f,
                "{} can't be written: {source}; {}. A former file of that name is still whole",
                path.display(),
                output::advice(source)
            ),
            Failure::OutputInSeason { path } => write!(
                f,
                "{} lies in the season folder, which windrow never changes; name another place with --output",
                path.display()
            ),
            Failure::NotInTree { file, archive } => write!(
                f,
                "{} has no proof for '{}': only files of the season folder and of the ledger are in the tree, by the path that evidence.json \
                 lists. The report is not: it prints the root",
                archive.display(),
                file.escape_debug()
            ),
            Failure::OptionUnfit {
                option,
                path,
                needs,
            } => write!(f, "{option} needs {needs}; {} is none", path.display()),
            Failure::Read { path, source } => write!(
                f,
                "{} can't be read: {source}; {}",
                path.display(),
                output::advice(source)
            ),
            Failure::SectionUnknown { name, known } => write!(
                f,
                "there is no section {name:?} that could be replaced; there are {}",
                known.join(", ")
            ),
            Failure::Watch(reason) => write!(
                f,
                "the season folder can't be watched: {reason}. Run the report without --watch"
            ),
            Failure::FigureUnknown { name, near } if near.is_empty() => {
                write!(
                    f,
                    "there is no figure {name:?}; `windrow figures` lists all"
                )
            }
            Failure::FigureUnknown { name, near } => write!(
                f,
                "there is no figure {name:?}; near to it are {}; `windrow figures` lists all",
                near.join(", ")
            ),
            Failure::InTheWay { path, there } if there.is_empty() => write!(
                f,
                "{} is a file, and nothing is ever overwritten; name another folder",
                path.display()
            ),
            Failure::InTheWay { path, there } => write!(
                f,
                "{} is not empty, and nothing is ever overwritten: it holds {}. Name a folder that is not there yet",
                path.display(),
                there.join(", ")
            ),
            Failure::Begin(error) => error.fmt(f),
            Failure::Withheld { path, files } => write!(
                f,
                "{} is a copy from which {files} files are withheld, so that no season can go on from it; ask for the whole archive, or give \
                 the season folder itself",
                path.display()
            ),
            Failure::PackedNotWhole { path, faults } => write!(
                f,
                "{} was packed and does not verify: {}. Run it again, on another disk if you can",
                path.display(),
                faults.join("; ")
            ),
        }
    }
}

impl From<SeasonError> for Failure {
    fn from(error: SeasonError) -> Self {
        Self::Season(error)
    }
}

impl From<ReportError> for Failure {
    fn from(error: ReportError) -> Self {
        Self::Report(error)
    }
}

impl From<ArchiveError> for Failure {
    fn from(error: ArchiveError) -> Self {
        Self::Archive(error)
    }
}

impl From<VerifyError> for Failure {
    fn from(error: VerifyError) -> Self {
        Self::Verify(error)
    }
}

impl From<DrawError> for Failure {
    fn from(error: DrawError) -> Self {
        Self::Draw(error)
    }
}
