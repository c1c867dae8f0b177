//! Printing to the terminal: colours where they are wanted, and no complaint about a closed pipe.

use std::fmt::Display;
use std::io::Write;

use anstyle::{AnsiColor, Style};

use super::exit::Failure;

/// Styles of what a terminal sees. Colour never carries a meaning alone: the words say the same.
pub const BOLD: Style = Style::new().bold();
pub const QUIET: Style = Style::new().dimmed();
pub const GOOD: Style = AnsiColor::Green.on_default().bold();
pub const BAD: Style = AnsiColor::Red.on_default().bold();
pub const DOUBTFUL: Style = AnsiColor::Yellow.on_default().bold();

/// Standard output and standard error, with colours taken out where the reader is no terminal or NO_COLOR is set.
pub struct Printer {
    out: anstream::AutoStream<std::io::Stdout>,
    err: anstream::AutoStream<std::io::Stderr>,
}

impl Printer {
    pub fn new() -> Self {
        Self {
            out: anstream::AutoStream::auto(std::io::stdout()),
            err: anstream::AutoStream::auto(std::io::stderr()),
        }
    }

    /// A line to standard output. A reader that has gone away wants no more, so that failing to write is no error.
    pub fn line(&mut self, text: impl Display) {
        let _ = writeln!(self.out, "{text}");
    }

    /// A text to standard output, as it is.
    pub fn text(&mut self, text: &str) {
        let _ = self.out.write_all(text.as_bytes());
        let _ = self.out.flush();
    }

    /// A value to standard output as JSON.
    pub fn json(&mut self, value: &serde_json::Value) {
        let text = serde_json::to_string_pretty(value).unwrap_or_default();
        self.line(text);
    }

    /// A line to standard error, beside a result that programs read.
    pub fn note(&mut self, text: impl Display) {
        let _ = writeln!(self.err, "{text}");
    }

    /// Why a command stopped, to standard error.
    pub fn failure(&mut self, failure: &Failure) {
        let _ = writeln!(self.err, "{BAD}windrow can't go on:{BAD:#} {failure}");
    }

    /// Does standard output take colours?
    pub fn coloured(&self) -> bool {
        self.out.current_choice() != anstream::ColorChoice::Never
    }
}

/// A text from an archive, with letters that would do something to a terminal written out, and quotation marks left as they are.
pub fn harmless(text: &str) -> String {
    text.chars()
        .map(|letter| match letter {
            '\'' | '"' | '\\' => letter.to_string(),
            other => other.escape_debug().to_string(),
        })
        .collect()
}

/// A text in a style.
pub fn styled(style: Style, text: impl Display) -> String {
    format!("{style}{text}{style:#}")
}
