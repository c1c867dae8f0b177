//! The words of the command line.

use std::path::PathBuf;

use chrono::NaiveDate;
use clap::{Args, Parser, Subcommand, ValueEnum};

use crate::archive::tree::Hash;
use crate::archive::words::{parse_digits, parse_root};
use crate::report::Form;
use crate::season::{Edition, Paper};
use crate::verify::draw::Of;
use crate::words::Language;

/// Turns the folder that a season of hand-pulling leaves behind into a checked, computed, typeset and packed account of the season.
#[derive(Debug, Parser)]
#[command(
    name = "windrow",
    version,
    max_term_width = 100,
    after_help = "Exit codes: 0 all well; 1 findings of grade error, or an archive that is not whole; 2 wrong words on the command line; \
                  3 the machine failed.\nThe season folder is only read. NO_COLOR is respected."
)]
pub struct Arguments {
    /// Without one: where you stand in this folder, and the next step
    #[command(subcommand)]
    pub command: Option<Command>,
}

#[derive(Debug, Subcommand)]
pub enum Command {
    /// Make a new season folder: commented settings, empty tables, sheets to print
    #[command(
        after_help = "Examples:\n  windrow new season-2026 --programme \"Pond Friends\" --time-zone America/New_York\n  windrow new \
                      season-2026 --csv --units metric --paper a4\n  windrow new season-2026 --from season-2025-out/season-2025-evidence.zip\n\n\
                      Nothing is ever overwritten: the folder must not be there yet, or be empty."
    )]
    New(New),
    /// Set the sheets to print again: field sheet, photo-station cards, cautions
    #[command(
        after_help = "Examples:\n  windrow sheets season-2026\n  windrow sheets season-2026 --paper a4 --output print"
    )]
    Sheets(Sheets),
    /// Plan next season: where to go when, stations to photograph again, what to weigh
    #[command(
        after_help = "Examples:\n  windrow next season-2025\n  windrow next season-2025 --output plan.pdf\n  windrow next season-2025 \
                      --within 15 --json\n  windrow next season-2025-evidence.zip"
    )]
    Next(Next),
    /// Find what is wrong or doubtful in a season folder
    #[command(
        after_help = "Examples:\n  windrow check sample-season\n  windrow check sample-season --language es\n  windrow check --explain pull-logged-twice\n  windrow check sample-season --accept \
                      pull-without-photo --place \"pulls.csv row 26\" --reason \"The phone stayed ashore.\"\n\nNothing is written: lines to \
                      accept a finding are printed, to be pasted into season.toml."
    )]
    Check(Check),
    /// Print the figures of a season with their intervals
    #[command(
        after_help = "Examples:\n  windrow figures sample-season\n  windrow figures sample-season --csv > figures.csv"
    )]
    Figures(Figures),
    /// Show how a figure came about: formula, rows, photos
    #[command(
        after_help = "Examples:\n  windrow trace sample-season removal.wet-mass/heron-bay\n  windrow trace sample-season-evidence.zip trend.rate --json"
    )]
    Trace(Trace),
    /// Set the report as a PDF in one of four editions, or as a page in HTML
    #[command(
        after_help = "Examples:\n  windrow report sample-season --output report.pdf\n  windrow report sample-season --edition board\n  \
                      windrow report sample-season --format html\n  windrow report sample-season --language es --output informe.pdf\n  \
                      windrow report sample-season --watch\n  windrow report --print-template effort > sample-season/template/sections/effort.typ\n\n\
                      The public edition is read back before it is written; if anything leaks, it is not written.\n\
                      docs/templates.md tells how a group sets the report in its own look."
    )]
    Report(Report),
    /// Pack season, figures and report into an evidence archive
    #[command(
        after_help = "Examples:\n  windrow pack sample-season --output 2025-evidence.zip\n  windrow pack sample-season --handover\n\n\
                      A copy to hand over has the same root as the whole archive; verify lists what is withheld."
    )]
    Pack(Pack),
    /// Check, compute, set the report, pack and verify: the whole close-out
    #[command(after_help = "Example:\n  windrow close sample-season")]
    Close(Close),
    /// Say whether an archive is whole, and what is wrong with it
    #[command(
        after_help = "Example:\n  windrow verify sample-season-evidence.zip --root <the 64 digits that the report prints>"
    )]
    Verify(Verify),
    /// Write a small proof that one file belongs to the root printed in the report
    #[command(
        after_help = "Example:\n  windrow prove sample-season-evidence.zip pulls.csv --output pulls.proof.json"
    )]
    Prove(Prove),
    /// Draw a fair, repeatable sample of an archive to check by hand, and judge the filled worksheet
    #[command(
        after_help = "Examples:\n  windrow draw 2025-evidence.zip --of weighings --seed \"12 March, minutes of the board\"\n  \
                      windrow draw 2025-evidence.zip --evaluate draw-weighings.xlsx"
    )]
    Draw(Draw),
    /// Sign an archive with a key of OpenSSH
    #[command(
        after_help = "Examples:\n  windrow sign 2025-evidence.zip --key ~/.ssh/id_ed25519\n  windrow sign 2025-evidence.zip --signature \
                      tagmanifest-sha256.txt.sig\n\nThe fingerprint stays as it is. ssh-keygen -Y verify checks the signature too."
    )]
    Sign(Sign),
    /// Ask an authority for a time stamp (RFC 3161), and keep its answer
    #[command(
        after_help = "Examples:\n  windrow timestamp 2025-evidence.zip --request 2025.tsq\n  windrow timestamp 2025-evidence.zip --answer \
                      2025.tsr --request 2025.tsq\n\nNothing is sent. openssl ts -verify checks the answer too."
    )]
    Timestamp(Timestamp),
    /// Write manual pages, one a command
    #[command(
        after_help = "Examples:\n  windrow man ~/.local/share/man/man1\n  man -l ~/.local/share/man/man1/windrow-close.1"
    )]
    Man(Man),
    /// Print completions for a shell
    #[command(
        after_help = "Examples:\n  windrow completions bash > ~/.local/share/bash-completion/completions/windrow\n  windrow \
                      completions zsh > ~/.zfunc/_windrow\n  windrow completions powershell >> $PROFILE"
    )]
    Completions(Completions),
}

#[derive(Debug, Args)]
pub struct New {
    /// The folder to make; it must not be there yet, or be empty
    pub folder: PathBuf,
    /// The season's year; the present one where absent
    #[arg(long, value_parser = clap::value_parser!(i32).range(1900..=2200), conflicts_with = "from")]
    pub year: Option<i32>,
    /// The group's name
    #[arg(
        long,
        value_name = "NAME",
        default_value = "",
        hide_default_value = true,
        conflicts_with = "from"
    )]
    pub programme: String,
    /// Where the water is, as America/New_York; the computer's own zone where absent
    #[arg(long, value_name = "ZONE", value_parser = zone, conflicts_with = "from")]
    pub time_zone: Option<String>,
    /// Pounds and acres, or kilograms and hectares; where absent, as is usual in the time zone
    #[arg(long, value_enum, conflicts_with = "from")]
    pub units: Option<UnitsWord>,
    /// Paper of report and sheets; where absent, Letter with US units and A4 with metric ones
    #[arg(long, value_enum)]
    pub paper: Option<PaperWord>,
    /// Tables as CSV and not as workbooks
    #[arg(long)]
    pub csv: bool,
    /// Go on from a former season: its archive (ZIP or folder), or its season folder
    #[arg(long, value_name = "ARCHIVE")]
    pub from: Option<PathBuf>,
    /// Print what was made as JSON
    #[arg(long)]
    pub json: bool,
}

#[derive(Debug, Args)]
pub struct Sheets {
    /// The season folder
    pub season: PathBuf,
    /// Another paper than season.toml says
    #[arg(long, value_enum)]
    pub paper: Option<PaperWord>,
    /// The folder for the sheets; where absent, <name>-out/ beside the season folder
    #[arg(long, short, value_name = "FOLDER")]
    pub output: Option<PathBuf>,
    /// Print what was written as JSON
    #[arg(long)]
    pub json: bool,
}

#[derive(Debug, Args)]
pub struct Next {
    /// The season folder, or an archive, that the plan follows from
    #[arg(value_name = "WHERE")]
    pub place: PathBuf,
    #[command(flatten)]
    pub earlier: Earlier,
    /// Write the plan as a PDF
    #[arg(long, short, value_name = "FILE")]
    pub output: Option<PathBuf>,
    /// How well the mean mass of a container is to be known, in per cent either way
    #[arg(long, value_name = "PERCENT", default_value_t = 10.0, value_parser = percent)]
    pub within: f64,
    /// Print the plan as JSON
    #[arg(long)]
    pub json: bool,
}

#[derive(Debug, Args)]
pub struct Man {
    /// The folder for the pages
    pub folder: PathBuf,
}

#[derive(Debug, Args)]
pub struct Completions {
    /// The shell
    pub shell: clap_complete::Shell,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum UnitsWord {
    Us,
    Metric,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum PaperWord {
    Letter,
    A4,
}

impl PaperWord {
    pub fn paper(self) -> Paper {
        match self {
            PaperWord::Letter => Paper::Letter,
            PaperWord::A4 => Paper::A4,
        }
    }
}

#[derive(Debug, Args)]
pub struct Check {
    /// The season folder
    #[arg(required_unless_present = "explain")]
    pub season: Option<PathBuf>,
    /// Print findings and photos as JSON, as docs/check.schema.json describes
    #[arg(long)]
    pub json: bool,
    /// Read every photo anew, changed or not
    #[arg(long)]
    pub no_cache: bool,
    /// Print each finding by itself, also where many are alike
    #[arg(long)]
    pub all: bool,
    /// The language of findings, where absent that of the season (season.toml, [report] language); JSON is always in English
    #[arg(long, value_parser = language, value_name = "en|es|fr", conflicts_with_all = ["json", "markdown"])]
    pub language: Option<Language>,
    /// Tell a rule in full with an example; `all` tells every rule
    #[arg(long, value_name = "NAME", conflicts_with_all = ["season", "json", "accept"])]
    pub explain: Option<String>,
    /// With --explain: as Markdown
    #[arg(long, requires = "explain")]
    pub markdown: bool,
    /// Print the lines that accept a finding, to paste into season.toml
    #[arg(
        long,
        value_name = "NAME",
        requires = "place",
        requires = "reason",
        conflicts_with = "json"
    )]
    pub accept: Option<String>,
    /// With --accept: where the finding is, as check prints it; a file or folder stands for all findings of the name in it
    #[arg(long, requires = "accept")]
    pub place: Option<String>,
    /// With --accept: why it may stand; the report prints it
    #[arg(long, requires = "accept")]
    pub reason: Option<String>,
    /// With --accept: who decided; a role rather than a name
    #[arg(long, requires = "accept")]
    pub by: Option<String>,
    /// With --accept: the day of the decision, as 2025-12-01; today where absent
    #[arg(long, value_name = "DATE", requires = "accept")]
    pub date: Option<NaiveDate>,
}

#[derive(Debug, Args)]
pub struct Figures {
    /// The season folder, or an archive, whose records are worked out again
    #[arg(value_name = "WHERE")]
    pub place: PathBuf,
    #[command(flatten)]
    pub earlier: Earlier,
    /// Print the ledger as JSON, as the archive holds it
    #[arg(long, conflicts_with = "csv")]
    pub json: bool,
    /// Print the ledger as CSV, as the archive holds it
    #[arg(long)]
    pub csv: bool,
}

#[derive(Debug, Args)]
pub struct Trace {
    /// The season folder, or an archive, whose records are worked out again
    #[arg(value_name = "WHERE")]
    pub place: PathBuf,
    #[command(flatten)]
    pub earlier: Earlier,
    /// The figure's name, as `windrow figures` lists it
    pub figure: String,
    /// Print all of it as JSON
    #[arg(long)]
    pub json: bool,
}

#[derive(Debug, Args)]
pub struct Earlier {
    /// Where the archive of the earlier season lies, if not where season.toml says
    #[arg(long, value_name = "ARCHIVE")]
    pub previous: Option<PathBuf>,
}

#[derive(Debug, Args)]
pub struct Dated {
    /// The date to print, as 2025-12-01; where absent, the last day that the season's records name
    #[arg(long, value_name = "DATE")]
    pub date: Option<NaiveDate>,
}

#[derive(Debug, Args)]
pub struct Report {
    /// The season folder
    #[arg(required_unless_present = "print_template")]
    pub season: Option<PathBuf>,
    /// For whom: funder (everything), board (two pages), auditor (every record with its place), public (what anybody may see)
    #[arg(long, value_parser = edition, value_name = "funder|board|auditor|public")]
    pub edition: Option<Edition>,
    /// A PDF, the funder edition unless told otherwise; or one HTML file that needs nothing but itself, the board edition or the public one
    #[arg(long, value_enum, default_value_t = ReportFormat::Pdf)]
    pub format: ReportFormat,
    /// The language for this once, in the place of the one that season.toml says; give --output too where the other one is to stay
    #[arg(long, value_parser = language, value_name = "en|es|fr")]
    pub language: Option<Language>,
    /// Set it again whenever prose, tables or templates change, until Ctrl-C
    #[arg(long)]
    pub watch: bool,
    /// Print a section's template, to start from
    #[arg(long, value_name = "SECTION", conflicts_with_all = ["season", "edition", "format", "language", "output", "watch", "date"])]
    pub print_template: Option<String>,
    /// The file to write; where absent, beside the season folder in <name>-out/
    #[arg(long, short, value_name = "FILE")]
    pub output: Option<PathBuf>,
    #[command(flatten)]
    pub dated: Dated,
}

/// In what form a report comes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum ReportFormat {
    Pdf,
    Html,
}

impl Report {
    /// The edition and its form that are asked for.
    pub fn wanted(&self) -> (Edition, Form) {
        match self.format {
            ReportFormat::Pdf => (self.edition.unwrap_or(Edition::Funder), Form::Pdf),
            ReportFormat::Html => (self.edition.unwrap_or(Edition::Board), Form::Page),
        }
    }
}

#[derive(Debug, Args)]
pub struct Pack {
    /// The season folder
    pub season: PathBuf,
    /// The archive to write; where absent, beside the season folder in <name>-out/
    #[arg(long, short, value_name = "FILE")]
    pub output: Option<PathBuf>,
    #[command(flatten)]
    pub dated: Dated,
    /// Make a copy to hand over: leave out photos without consent, photos that photos.csv withholds, and what shows where a sensitive site
    /// is; their hashes stay, so that the root is the same
    #[arg(long)]
    pub handover: bool,
    /// With --handover: withhold the names of those photos too, and the tables that name them
    #[arg(long, requires = "handover")]
    pub hide_names: bool,
    /// Print what was packed as JSON
    #[arg(long)]
    pub json: bool,
}

#[derive(Debug, Args)]
pub struct Close {
    /// The season folder
    pub season: PathBuf,
    /// The folder for report and archive; where absent, <name>-out/ beside the season folder
    #[arg(long, short, value_name = "FOLDER")]
    pub output: Option<PathBuf>,
    #[command(flatten)]
    pub dated: Dated,
    /// Print what came out as JSON
    #[arg(long)]
    pub json: bool,
}

#[derive(Debug, Args)]
pub struct Verify {
    /// The archive: a ZIP, or a folder into which one was unpacked; or a proof for one file
    pub archive: PathBuf,
    /// The evidence root that the report prints: 64 hexadecimal digits, blanks allowed, or the 32 words, in quotation marks
    #[arg(long, value_name = "ROOT", value_parser = parse_root)]
    pub root: Option<Hash>,
    /// The fingerprint from the cover letter: 64 hexadecimal digits, blanks allowed
    #[arg(long, value_name = "DIGITS", value_parser = parse_digits)]
    pub fingerprint: Option<Hash>,
    /// Work every figure and the report out again from the records inside, and name what differs
    #[arg(long)]
    pub recompute: bool,
    /// How many leaves the tree has, as the report prints it beside the root
    #[arg(long, value_name = "NUMBER")]
    pub leaves: Option<usize>,
    /// The archive of the earlier season that this one follows: it is verified and held against the root that this one recorded
    #[arg(long, value_name = "ARCHIVE")]
    pub previous: Option<PathBuf>,
    /// With a proof: the file that it is about, to be held against it
    #[arg(long, value_name = "FILE")]
    pub file: Option<PathBuf>,
    /// With a proof: the archive that it was made from, to be verified as well
    #[arg(long = "archive", value_name = "ARCHIVE")]
    pub of_archive: Option<PathBuf>,
    /// Print the verdict as JSON
    #[arg(long)]
    pub json: bool,
}

#[derive(Debug, Args)]
pub struct Prove {
    /// The archive: a ZIP, or a folder into which one was unpacked
    pub archive: PathBuf,
    /// The file to prove, by its path in the season folder or in the archive
    pub file: String,
    /// The proof to write; where absent, <file name>.proof.json here
    #[arg(long, short, value_name = "FILE")]
    pub output: Option<PathBuf>,
    /// Print what was written as JSON
    #[arg(long)]
    pub json: bool,
}

#[derive(Debug, Args)]
pub struct Draw {
    /// The archive: a ZIP, or a folder into which one was unpacked; with --evaluate, the draw is redone from it and compared
    #[arg(required_unless_present = "evaluate")]
    pub archive: Option<PathBuf>,
    /// What to draw
    #[arg(long, value_parser = of, value_name = "photos|pulls|weighings|receipts", required_unless_present = "evaluate")]
    pub of: Option<Of>,
    /// Any text of your own, named after the archive came; the same text draws the same items
    #[arg(long, value_name = "TEXT", required_unless_present = "evaluate")]
    pub seed: Option<String>,
    /// How sure to be
    #[arg(long, value_name = "SHARE", default_value_t = 0.95)]
    pub confidence: f64,
    /// The share of wrong items that would still be borne
    #[arg(long, value_name = "SHARE", default_value_t = 0.05)]
    pub tolerable: f64,
    /// Wrong items in the sample that must not spoil the proof; a larger number asks for a larger sample
    #[arg(long, value_name = "NUMBER", default_value_t = 0)]
    pub expected: u64,
    /// Draw weighings by mass and receipts by amount: a large one is drawn more often than a small one
    #[arg(long)]
    pub by_size: bool,
    /// The folder for the worksheet; where absent, the present one
    #[arg(long, short, value_name = "FOLDER")]
    pub output: Option<PathBuf>,
    /// Judge a filled worksheet
    #[arg(long, value_name = "SHEET.xlsx", conflicts_with_all = ["of", "seed", "confidence", "tolerable", "expected", "by_size", "output"])]
    pub evaluate: Option<PathBuf>,
    /// Print the draw, or the judgement, as JSON
    #[arg(long)]
    pub json: bool,
}

#[derive(Debug, Args)]
pub struct Sign {
    /// The archive: a ZIP, or a folder into which one was unpacked
    pub archive: PathBuf,
    /// The private key, Ed25519, without a passphrase
    #[arg(long, value_name = "FILE", required_unless_present = "signature")]
    pub key: Option<PathBuf>,
    /// A signature that ssh-keygen -Y sign -n windrow-evidence made over the archive's tagmanifest-sha256.txt
    #[arg(long, value_name = "FILE", conflicts_with = "key")]
    pub signature: Option<PathBuf>,
    /// Write the signature to this file and leave the archive as it is
    #[arg(long, short, value_name = "FILE")]
    pub output: Option<PathBuf>,
    /// Put it in the place of a signature that the archive bears already
    #[arg(long, conflicts_with = "output")]
    pub replace: bool,
    /// Print what was done as JSON
    #[arg(long)]
    pub json: bool,
}

#[derive(Debug, Args)]
pub struct Timestamp {
    /// The archive: a ZIP, or a folder into which one was unpacked
    pub archive: PathBuf,
    /// The request to write; with --answer, the request that it answers, to compare the nonce
    #[arg(long, value_name = "FILE.tsq", required_unless_present = "answer")]
    pub request: Option<PathBuf>,
    /// A number of your own in the request, which the answer has to repeat
    #[arg(long, value_name = "NUMBER", conflicts_with = "answer")]
    pub nonce: Option<u64>,
    /// The authority's answer, to be checked and kept in the archive
    #[arg(long, value_name = "FILE.tsr")]
    pub answer: Option<PathBuf>,
    /// Put it in the place of a time stamp that the archive bears already
    #[arg(long, requires = "answer")]
    pub replace: bool,
    /// Print what was done as JSON
    #[arg(long)]
    pub json: bool,
}

fn zone(text: &str) -> Result<String, String> {
    text.parse::<chrono_tz::Tz>()
        .map(|zone| zone.name().to_owned())
        .map_err(|_| {
            let names = chrono_tz::TZ_VARIANTS.iter().map(|zone| zone.name());
            let near = crate::season::value::nearest(text, names)
                .map_or_else(String::new, |near| format!("; is {near} meant?"));
            format!("it has to be a name of the IANA time zone database, such as America/New_York or Europe/Vienna{near}")
        })
}

fn percent(text: &str) -> Result<f64, String> {
    text.trim_end_matches('%')
        .parse::<f64>()
        .ok()
        .filter(|value| (0.1..=100.0).contains(value))
        .ok_or_else(|| "it has to be a number of per cent from 0.1 to 100".to_owned())
}

fn edition(text: &str) -> Result<Edition, String> {
    Edition::ALL
        .into_iter()
        .find(|edition| edition.word() == text)
        .ok_or_else(|| "it has to be funder, board, auditor or public".to_owned())
}

fn language(text: &str) -> Result<Language, String> {
    Language::of_code(text).ok_or_else(|| "it has to be en, es or fr".to_owned())
}

fn of(text: &str) -> Result<Of, String> {
    Of::ALL
        .into_iter()
        .find(|of| of.word() == text)
        .ok_or_else(|| "it has to be photos, pulls, weighings or receipts".to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::CommandFactory;

    #[test]
    fn the_words_fit_together() {
        Arguments::command().debug_assert();
    }
}
