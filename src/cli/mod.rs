//! The command line: arguments, one file a command, progress, and all that a terminal sees.
//!
//! The only room that prints. Results go to standard output, progress and errors to standard error.

mod args;
mod cache;
mod chain;
mod check;
mod close;
mod draw;
mod exit;
mod figures;
mod findings;
mod handover;
mod inside;
mod items;
mod pack;
mod printer;
mod progress;
mod proof;
mod prove;
mod recompute;
mod report;
mod sign;
mod stages;
mod timestamp;
mod trace;
mod unpacked;
mod verify;

use std::ffi::OsString;

use clap::Parser;

use args::{Arguments, Command};
pub use exit::Exit;
use printer::Printer;

/// Runs a command line, the program's name first.
pub fn run(words: impl IntoIterator<Item = OsString>) -> Exit {
    let arguments = match Arguments::try_parse_from(words) {
        Ok(arguments) => arguments,
        Err(error) => {
            // A closed pipe is no reason to complain.
            let _ = error.print();
            return if error.use_stderr() {
                Exit::Usage
            } else {
                Exit::Well
            };
        }
    };
    let mut printer = Printer::new();
    let result = match &arguments.command {
        Command::Check(words) => check::run(words, &mut printer),
        Command::Figures(words) => figures::run(words, &mut printer),
        Command::Trace(words) => trace::run(words, &mut printer),
        Command::Report(words) => report::run(words, &mut printer),
        Command::Pack(words) => pack::run(words, &mut printer),
        Command::Close(words) => close::run(words, &mut printer),
        Command::Verify(words) => verify::run(words, &mut printer),
        Command::Prove(words) => prove::run(words, &mut printer),
        Command::Draw(words) => draw::run(words, &mut printer),
        Command::Sign(words) => sign::run(words, &mut printer),
        Command::Timestamp(words) => timestamp::run(words, &mut printer),
    };
    match result {
        Ok(exit) => exit,
        Err(failure) => {
            printer.failure(&failure);
            failure.exit()
        }
    }
}
