//! `windrow man` and `windrow completions`: help for terminals, made from the arguments themselves.

use clap::CommandFactory;

use super::args::{Arguments, Completions, Man};
use super::exit::{Exit, Failure};
use super::outputs;
use super::printer::Printer;

/// A page for the program and one for each command.
pub fn pages(words: &Man, printer: &mut Printer) -> Result<Exit, Failure> {
    let failed = |source| Failure::Write {
        path: words.folder.clone(),
        source,
    };
    std::fs::create_dir_all(&words.folder).map_err(failed)?;
    let mut command = Arguments::command();
    command.build();
    let subcommands = command.get_subcommands();
    // `windrow help` repeats what --help says.
    let pages: Vec<clap::Command> = std::iter::once(&command)
        .chain(subcommands.filter(|sub| sub.get_name() != "help"))
        .cloned()
        .collect();
    let number = pages.len();
    for page in pages {
        let page = clap_mangen::Man::new(page).manual("windrow");
        let mut bytes = Vec::new();
        page.render(&mut bytes).map_err(failed)?;
        outputs::write(&words.folder.join(page.get_filename()), &bytes)?;
    }
    printer.line(format!(
        "{number} pages in {}; read one with: man -l {}",
        words.folder.display(),
        words.folder.join("windrow.1").display()
    ));
    Ok(Exit::Well)
}

/// The script of a shell.
pub fn completions(words: &Completions, printer: &mut Printer) -> Result<Exit, Failure> {
    let mut script = Vec::new();
    clap_complete::generate(
        words.shell,
        &mut Arguments::command(),
        "windrow",
        &mut script,
    );
    printer.text(&String::from_utf8_lossy(&script));
    Ok(Exit::Well)
}
