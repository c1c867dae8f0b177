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
mod heap;
mod help;
mod inside;
mod items;
mod new;
mod next;
mod outputs;
mod pack;
mod pictures;
mod printer;
mod progress;
mod proof;
mod prove;
mod reader;
mod recompute;
mod report;
mod said;
mod sheets;
mod sign;
mod stages;
mod standing;
mod timestamp;
mod trace;
mod unpacked;
mod verify;
mod watch;

use std::ffi::OsString;

use clap::Parser;

use args::{Arguments, Command};
pub use exit::Exit;
pub use heap::share_one as share_one_heap;
use printer::Printer;

use crate::interrupt;

/// Sets what happens at Ctrl-C or a request to end: temporary files go, a line says so, and `end` ends the program.
///
/// On systems without such signals the program just ends, and the next run clears what this one left.
#[cfg(unix)]
pub fn on_stop(end: impl Fn(Exit) + Send + 'static) {
    use signal_hook::consts::{SIGINT, SIGTERM};
    // Without it, the signals end the program as they always do.
    let Ok(mut signals) = signal_hook::iterator::Signals::new([SIGINT, SIGTERM]) else {
        return;
    };
    std::thread::spawn(move || {
        let mut stops = signals.forever().filter(|_| !interrupt::is_minded());
        if stops.next().is_some() {
            interrupt::clear();
            Printer::new().stopped();
            end(Exit::Stopped);
        }
    });
}

#[cfg(not(unix))]
pub fn on_stop(_: impl Fn(Exit) + Send + 'static) {}

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
    let Some(command) = &arguments.command else {
        standing::run(&mut printer);
        return Exit::Well;
    };
    let result = match command {
        Command::New(words) => new::run(words, &mut printer),
        Command::Sheets(words) => sheets::run(words, &mut printer),
        Command::Next(words) => next::run(words, &mut printer),
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
        Command::Man(words) => help::pages(words, &mut printer),
        Command::Completions(words) => help::completions(words, &mut printer),
    };
    let result = match (result, printer.end()) {
        (Ok(_), Some(source)) => Err(exit::Failure::Write {
            path: "standard output".into(),
            source,
        }),
        (result, _) => result,
    };
    match result {
        Ok(exit) => exit,
        Err(failure) => {
            printer.failure(&failure);
            failure.exit()
        }
    }
}
