//! Why a report could not be set, and where in a template or in the coordinator's prose.
//!
//! Takes the compiler's diagnostics, gives values with file, line, column and the line itself. Printing in colour is for
//! the command line; [`fmt::Display`] here gives a plain rendering.

use std::fmt;

use typst::diag::SourceDiagnostic;
use typst::syntax::{DiagSpan, FileId};
use typst::{World, WorldExt};

use super::leak::Leak;
use super::{narrative, templates};
use crate::season::Edition;

/// So many leaks are told: the first ones show what has to be mended.
const MOST_LEAKS: usize = 12;

/// Why there is no report.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ReportError {
    /// A template or a narrative file has mistakes.
    Template(Vec<Mistake>),
    /// A public edition holds what nobody may see; it was not written.
    Leaks(Vec<Leak>),
    /// This edition is not made as a page.
    NoPage(Edition),
    /// The program itself is at fault; what it said.
    Machine(String),
}

/// A mistake in a template or in prose.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mistake {
    pub message: String,
    pub hints: Vec<String>,
    /// Where, unless the mistake has no place.
    pub spot: Option<Spot>,
}

/// A place in a template.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Spot {
    /// `templates/…`, or the path below the season folder, where a group's own template is `template/…`.
    pub file: String,
    /// Counted from 1.
    pub line: usize,
    /// Counted from 1, in characters.
    pub column: usize,
    /// The line as it stands in the file.
    pub text: String,
    /// How many characters of the line are meant; at least 1.
    pub length: usize,
}

impl std::error::Error for ReportError {}

impl fmt::Display for ReportError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Machine(reason) => write!(
                f,
                "the report could not be made: {reason}. Your folder is not at fault: run it again, and tell the makers of windrow if it stays"
            ),
            Self::NoPage(edition) => write!(
                f,
                "there is no HTML page of the {} edition: it is made to be filed, as a PDF. Pages are made of the board edition and of the public one",
                edition.word()
            ),
            Self::Leaks(leaks) => {
                write!(
                    f,
                    "the public edition was not written, since it would show what must not be seen:"
                )?;
                for leak in leaks.iter().take(MOST_LEAKS) {
                    write!(f, "\n  {leak}")?;
                }
                if leaks.len() > MOST_LEAKS {
                    write!(f, "\n  and {} more", leaks.len() - MOST_LEAKS)?;
                }
                write!(
                    f,
                    "\nTake it out of the prose or of the template. A photo that only looks like a withheld one stays out with plate = no in \
                     photos.csv"
                )
            }
            Self::Template(mistakes) => {
                for (index, mistake) in mistakes.iter().enumerate() {
                    if index > 0 {
                        writeln!(f)?;
                    }
                    write!(f, "{mistake}")?;
                }
                Ok(())
            }
        }
    }
}

impl fmt::Display for Mistake {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.spot {
            None => write!(f, "{}", self.message)?,
            Some(spot) => {
                writeln!(
                    f,
                    "{}, line {}, column {}: {}",
                    spot.file, spot.line, spot.column, self.message
                )?;
                writeln!(f, "    {}", spot.text)?;
                write!(
                    f,
                    "    {}{}",
                    " ".repeat(spot.column.saturating_sub(1)),
                    "^".repeat(spot.length)
                )?;
            }
        }
        for hint in &self.hints {
            write!(f, "\n    {hint}")?;
        }
        Ok(())
    }
}

impl ReportError {
    /// From what the compiler said. `names` are the figures that there are.
    pub(super) fn from_diagnostics(
        world: &dyn World,
        diagnostics: &[SourceDiagnostic],
        names: &[&str],
    ) -> Self {
        let mut mistakes: Vec<Mistake> = Vec::new();
        for diagnostic in diagnostics {
            let mistake = mistake(world, diagnostic, names);
            if !mistakes.contains(&mistake) {
                mistakes.push(mistake);
            }
        }
        Self::Template(mistakes)
    }
}

fn mistake(world: &dyn World, diagnostic: &SourceDiagnostic, names: &[&str]) -> Mistake {
    // What a person wrote is the place to show, even where one of our functions noticed the mistake.
    let calls = diagnostic
        .trace
        .iter()
        .map(|call| DiagSpan::from(call.span));
    let span = std::iter::once(diagnostic.span)
        .chain(calls)
        .find(|span| {
            span.id()
                .is_some_and(|id| is_prose(id) || is_own(world, id))
        })
        .unwrap_or(diagnostic.span);
    let message = diagnostic
        .message
        .strip_prefix("assertion failed: ")
        .unwrap_or(&diagnostic.message)
        .to_owned();
    let mut hints: Vec<String> = diagnostic
        .hints
        .iter()
        .map(|hint| hint.v.to_string())
        .collect();
    hints.extend(narrative::near_names(&message, names));
    Mistake {
        message,
        hints,
        spot: spot(world, span),
    }
}

fn is_prose(id: FileId) -> bool {
    id.get()
        .vpath()
        .get_with_slash()
        .starts_with(narrative::FOLDER)
}

/// Did the group write this file?
fn is_own(world: &dyn World, id: FileId) -> bool {
    let path = id.get().vpath().get_with_slash();
    path.starts_with("/own/")
        || world
            .source(id)
            .is_ok_and(|source| templates::is_replaced(path, source.text()))
}

fn spot(world: &dyn World, span: DiagSpan) -> Option<Spot> {
    let id = span.id()?;
    let range = world.range(span)?;
    let source = world.source(id).ok()?;
    let lines = source.lines();
    let (line, column) = lines.byte_to_line_column(range.start)?;
    let whole = lines.line_to_range(line)?;
    let text = lines
        .text()
        .get(whole)?
        .trim_end_matches(['\n', '\r'])
        .to_owned();
    let meant = lines.text().get(range).unwrap_or_default();
    let first_line = meant.split('\n').next().unwrap_or_default();
    let prose = is_prose(id);
    let path = id.get().vpath().get_without_slash();
    Some(Spot {
        file: if prose {
            path.to_owned()
        } else if let Some(path) = path.strip_prefix("own/") {
            format!("template/{path}")
        } else if is_own(world, id) {
            format!("template/{path}")
        } else {
            format!("templates/{path}")
        },
        // Our own line stands before the coordinator's first.
        line: if prose { line.max(1) } else { line + 1 },
        column: column + 1,
        length: first_line.chars().count().max(1),
        text,
    })
}
