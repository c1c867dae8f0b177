//! Printing to the terminal: colours where they are wanted, and no complaint about a closed pipe.

use std::fmt::Display;
use std::io::{self, Write};

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
    /// The first failure of standard output, as of a full disk that it was led to.
    unprinted: Option<io::Error>,
    /// All that went to standard output since somebody asked to keep it.
    kept: Option<String>,
}

impl Printer {
    pub fn new() -> Self {
        Self {
            out: anstream::AutoStream::auto(std::io::stdout()),
            err: anstream::AutoStream::auto(std::io::stderr()),
            unprinted: None,
            kept: None,
        }
    }

    /// A line to standard output.
    pub fn line(&mut self, text: impl Display) {
        self.text(&(steadied(&text.to_string()) + "\n"));
    }

    /// Keeps from here on what goes to standard output.
    pub fn keep(&mut self) {
        self.kept = Some(String::new());
    }

    /// What was kept.
    pub fn kept(&mut self) -> Option<String> {
        self.kept.take()
    }

    /// A reader that has gone away wants no more, which is no failure; anything else is told at the end.
    fn see(&mut self, done: io::Result<()>) {
        if let Err(error) = done
            && error.kind() != io::ErrorKind::BrokenPipe
        {
            self.unprinted.get_or_insert(error);
        }
    }

    /// Brings all to standard output, and gives what kept any of it from getting there.
    pub fn end(&mut self) -> Option<io::Error> {
        let done = self.out.flush();
        self.see(done);
        self.unprinted.take()
    }

    /// A text to standard output, as it is.
    pub fn text(&mut self, text: &str) {
        if let Some(kept) = &mut self.kept {
            kept.push_str(text);
        }
        let done = self.out.write_all(text.as_bytes());
        self.see(done);
    }

    /// A value to standard output as JSON.
    pub fn json(&mut self, value: &serde_json::Value) {
        let text = serde_json::to_string_pretty(value).unwrap_or_default();
        // As it is: programs read it, and a letter written out in our way would be no JSON.
        self.text(&(text + "\n"));
    }

    /// A line to standard error, beside a result that programs read.
    pub fn note(&mut self, text: impl Display) {
        let _ = writeln!(self.err, "{}", steadied(&text.to_string()));
    }

    /// Why a command stopped, to standard error.
    pub fn failure(&mut self, failure: &Failure) {
        let text = failure.to_string();
        let _ = writeln!(
            self.err,
            "{BAD}windrow can't go on:{BAD:#} {}",
            steadied(&text)
        );
    }

    /// That the program was stopped, to standard error.
    pub fn stopped(&mut self) {
        // Below the bar that progress may have drawn.
        let _ = writeln!(
            self.err,
            "\nwindrow was stopped; outputs of former runs are as they were"
        );
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

/// A text with whatever would move the cursor, ring, or turn the reading direction written out. Styles are left, as ours are among
/// them; those who print a stranger's text take care of its own by [`harmless`] or a renderer.
fn steadied(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(letter) = rest.chars().next() {
        let style = style_at(rest);
        let (taken, after) = rest.split_at(if style > 0 { style } else { letter.len_utf8() });
        rest = after;
        let turns = matches!(letter, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{200e}' | '\u{200f}' | '\u{61c}');
        if style > 0 || matches!(letter, '\n' | '\t') || !(letter.is_control() || turns) {
            out.push_str(taken);
        } else {
            out.extend(letter.escape_unicode());
        }
    }
    out
}

/// Bytes of the style (ECMA-48, "select graphic rendition") with which a text begins: 0 if there is none.
fn style_at(text: &str) -> usize {
    let Some(inside) = text.strip_prefix("\x1b[") else {
        return 0;
    };
    let numbers = inside
        .find(|letter: char| !letter.is_ascii_digit() && letter != ';')
        .unwrap_or(inside.len());
    match inside.as_bytes().get(numbers) {
        Some(b'm') => 2 + numbers + 1,
        _ => 0,
    }
}

/// A text in a style.
pub fn styled(style: Style, text: impl Display) -> String {
    format!("{style}{text}{style:#}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_that_steer_a_terminal_are_written_out() {
        assert_eq!(steadied("süß\tduck 🦆\n"), "süß\tduck 🦆\n");
        assert_eq!(steadied("a\u{202e}gpj.exe"), "a\\u{202e}gpj.exe");
        assert_eq!(
            steadied("bell\x07 back\x08 \u{9b}2J\r"),
            "bell\\u{7} back\\u{8} \\u{9b}2J\\u{d}"
        );
        assert_eq!(steadied("\x1b[1;31mbold\x1b[0m"), "\x1b[1;31mbold\x1b[0m");
        assert_eq!(
            steadied("\x1b[2J\x1b]0;t\x1b"),
            "\\u{1b}[2J\\u{1b}]0;t\\u{1b}"
        );
        assert_eq!(harmless("\x1b[2J"), "\\u{1b}[2J");
    }
}
