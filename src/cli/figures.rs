//! `windrow figures`: the ledger as a table, as JSON, or as CSV.

use super::args::Figures;
use super::check::exit_for;
use super::exit::{Exit, Failure};
use super::findings;
use super::inside::{self, Inside};
use super::printer::{BOLD, Printer, QUIET, styled};
use crate::figure::Figure;
use crate::report::{Style, number};

pub fn run(words: &Figures, printer: &mut Printer) -> Result<Exit, Failure> {
    let (account, inside) = inside::account(&words.place, words.earlier.previous.as_deref())?;
    for line in inside.iter().flat_map(Inside::lines) {
        if words.json || words.csv {
            // Beside the ledger, not in it.
            printer.note(line);
        } else {
            printer.line(line);
        }
    }
    if words.json {
        printer.text(&account.ledger.to_json());
    } else if words.csv {
        printer.text(&account.ledger.to_csv().unwrap_or_default());
    } else {
        let style = Style::of(&account.season.settings);
        let figures: Vec<&Figure> = account.ledger.figures().collect();
        let width = figures
            .iter()
            .map(|figure| figure.name.chars().count())
            .max()
            .unwrap_or(0);
        let mut theme = "";
        for figure in figures {
            let of = figure.name.split('.').next().unwrap_or_default();
            if of != theme {
                if !theme.is_empty() {
                    printer.line("");
                }
                printer.line(styled(BOLD, of));
                theme = of;
            }
            let printed = number::print(figure, &style);
            let text = match &printed.refusal {
                Some(_) => styled(QUIET, &printed.text),
                None => printed.text.clone(),
            };
            printer.line(format!("  {:<width$}  {text}", figure.name));
        }
        if !account.ledger.deliverables.is_empty() {
            printer.line("");
            printer.line(styled(BOLD, "deliverables"));
            for deliverable in &account.ledger.deliverables {
                printer.line(format!(
                    "  {:<10} {}",
                    deliverable.standing.word(),
                    deliverable.text
                ));
            }
        }
        printer.line("");
        printer.line(format!(
            "{}: {}",
            account.season.name,
            findings::summary(&account.findings)
        ));
    }
    Ok(match inside {
        Some(inside) => inside.exit(),
        None => exit_for(&account.findings),
    })
}
