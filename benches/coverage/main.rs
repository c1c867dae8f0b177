//! Coverage of every interval offered, measured on thousands of synthetic seasons of known truth.
//!
//! Prints tables in Markdown. Run as `cargo bench --bench coverage`, or with a theme and a number
//! of draws: `cargo bench --bench coverage -- rates 2000`.

use std::process::ExitCode;

mod compare;
mod counts;
mod draw;
mod rates;
mod ratios;
mod removals;
mod tally;
mod totals;
mod trends;

/// A name and what prints its tables for a number of draws.
type Theme = (&'static str, fn(u32));

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args()
        .skip(1)
        .filter(|word| !word.starts_with('-'))
        .collect();
    let draws = words
        .iter()
        .find_map(|word| word.parse::<u32>().ok())
        .unwrap_or(10_000);
    let theme = words.iter().find(|word| word.parse::<u32>().is_err());
    let wanted = |name: &str| theme.is_none_or(|theme| theme == name);
    if !compare::patch_check() {
        eprintln!("the bootstraps do not reproduce the patch data of Efron and Tibshirani");
        return ExitCode::FAILURE;
    }
    println!("{draws} draws a design; nominal level 0.95");
    let themes: [Theme; 6] = [
        ("totals", totals::run),
        ("ratios", ratios::run),
        ("rates", rates::run),
        ("removals", removals::run),
        ("trends", trends::run),
        ("counts", counts::run),
    ];
    for (name, run) in themes {
        if wanted(name) {
            run(draws);
        }
    }
    ExitCode::SUCCESS
}
