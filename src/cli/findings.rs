//! Findings as a terminal sees them: grouped by grade, each with its row quoted.

use std::collections::BTreeMap;

use annotate_snippets::{AnnotationKind, Group, Level, Origin, Renderer, Snippet};

use super::printer::{BAD, BOLD, DOUBTFUL, GOOD, Printer, QUIET, harmless, styled};
use super::stages::Account;
use crate::figure::Measure;
use crate::finding::{self, Finding, Grade, Stake};
use crate::place::{Place, Spot};
use crate::report::{Style, number};
use crate::shared::Shared;
use crate::words;
use crate::words::{Language, Words};

/// Prints all findings: by grade, those on which most hangs first, many of a kind as one.
pub fn print(account: &Account, all: bool, language: Language, printer: &mut Printer) {
    let findings = &account.findings;
    let width = terminal_width();
    let renderer = if printer.coloured() {
        Renderer::styled()
    } else {
        Renderer::plain()
    };
    let renderer = renderer.term_width(width);
    for grade in Grade::ALL {
        let open: Vec<&Finding> = findings
            .iter()
            .filter(|finding| finding.grade == grade && finding.accepted.is_none())
            .collect();
        if open.is_empty() {
            continue;
        }
        let title = grade.counted(finding::counted(&open)).say(language);
        printer.line(styled(style_of(grade), title));
        printer.line("");
        let groups = if all {
            open.iter().map(|finding| vec![*finding]).collect()
        } else {
            finding::grouped(open.iter().copied())
        };
        for of_rule in groups {
            let told = Told::of(account, &of_rule, language);
            if let Some(first) = of_rule.first() {
                printer.line(tidy(&renderer.render(&[group(first, &told, language)])));
                printer.line("");
            }
        }
    }
    let accepted: Vec<&Finding> = findings
        .iter()
        .filter(|finding| finding.accepted.is_some())
        .collect();
    if !accepted.is_empty() {
        let title = words!("{number} accepted", number = accepted.len());
        printer.line(styled(BOLD, title.say(language)));
        for finding in accepted {
            let Some(acceptance) = finding.accepted.as_ref() else {
                continue;
            };
            let (name, place) = (finding.name, harmless(&finding.place.to_string()));
            let reason = harmless(&acceptance.reason);
            let line = match acceptance.on {
                Some(day) => words!(
                    "{name} at {place}, {day}: {reason}",
                    name,
                    place,
                    day = day.to_string(),
                    reason
                ),
                None => words!("{name} at {place}: {reason}", name, place, reason),
            };
            printer.line(format!("  {}", line.say(language)));
        }
        printer.line("");
    }
}

/// A line a file that has open findings, the file with the gravest first.
pub fn print_files(findings: &[Finding], language: Language, printer: &mut Printer) {
    let mut files: BTreeMap<&str, [usize; 3]> = BTreeMap::new();
    let mut photos = 0;
    for finding in findings.iter().filter(|finding| finding.accepted.is_none()) {
        // A line for each of a thousand photos would tell nobody more.
        let file = match finding.place.file.split_once('/') {
            Some((folder, _)) => folder,
            None => finding.place.file.as_str(),
        };
        photos += usize::from(file == "photos") * finding.count();
        if let Some(number) = files
            .entry(file)
            .or_default()
            .get_mut(finding.grade as usize)
        {
            *number += finding.count();
        }
    }
    if files.len() < 2 && photos == 0 {
        return;
    }
    let mut files: Vec<(&str, [usize; 3])> = files.into_iter().collect();
    files.sort_by(|a, b| b.1.cmp(&a.1).then(a.0.cmp(b.0)));
    let width = files
        .iter()
        .map(|(file, _)| file.chars().count())
        .max()
        .unwrap_or(0);
    for (file, numbers) in files {
        let parts: Vec<String> = Grade::ALL
            .iter()
            .zip(numbers)
            .filter(|(_, number)| *number > 0)
            .map(|(grade, number)| grade.counted(number).say(language))
            .collect();
        printer.line(format!("{file:<width$}  {}", parts.join(", ")));
    }
    printer.line("");
}

/// What is told with a finding besides what it holds itself.
struct Told {
    /// Others of its kind that are told with it.
    like: Option<Words>,
    /// What hangs on it.
    hangs: Option<Words>,
}

impl Told {
    fn of(account: &Account, group: &[&Finding], language: Language) -> Self {
        let (first, others) = match group {
            [first, others @ ..] => (*first, others),
            [] => {
                return Self {
                    like: None,
                    hangs: None,
                };
            }
        };
        let number = finding::counted(group) - 1;
        let places = || places_in_words(others.iter().map(|finding| &finding.place), number);
        let like = match (others.len(), number) {
            (_, 0) => None,
            (0, _) => Some(words!(
                "{number} more like it, which are counted and not told",
                number
            )),
            (told, _) if told == number => Some(words!(
                "{number} more like it: {places}; --all tells each",
                number,
                places = places()
            )),
            (told, _) => Some(words!(
                "{number} more like it: {places}; --all tells {told} of them",
                number,
                places = places(),
                told
            )),
        };
        Self {
            like,
            hangs: first
                .stake
                .as_ref()
                .and_then(|stake| hangs(account, stake, language)),
        }
    }
}

/// Figures that a reader looks for first.
const HEADLINES: [&str; 6] = [
    "effort.person-hours",
    "removal.wet-mass",
    "rate.mass-per-hour",
    "removal.plants",
    "cover.change",
    "match.value",
];

/// So many figures are named.
const MOST_FIGURES: usize = 3;

/// `12 h of 240 h (5 %), 31 kg of 1200 kg (3 %); effort.person-hours, removal.wet-mass and 9 more figures`.
fn hangs(account: &Account, stake: &Stake, language: Language) -> Option<Words> {
    let style = Style {
        language,
        ..Style::of(&account.season.settings)
    };
    let shares: Vec<Words> = stake
        .shares
        .iter()
        .filter_map(|share| {
            let figure = account.ledger.get(&share.figure)?;
            // An estimate to three digits: it is a share, and no figure of the ledger.
            let part = match figure.measure {
                Measure::Money => number::quantity(share.part, figure.measure, &style),
                measure => number::quantity(rough(share.part), measure, &style),
            };
            Some(words!(
                "{part} of {whole} ({percent} %)",
                part,
                whole = number::print(figure, &style).with_unit(),
                percent = words::number(format!(
                    "{:.0}",
                    (100.0 * share.part / share.whole).min(100.0)
                ))
            ))
        })
        .collect();
    let named = |names: &[Shared]| {
        let mut sorted: Vec<&Shared> = names.iter().collect();
        let rank = |name: &str| {
            HEADLINES
                .iter()
                .position(|known| *known == name)
                .unwrap_or(HEADLINES.len())
        };
        sorted.sort_by_key(|name| (rank(name), name.as_str()));
        let first = sorted.iter().take(MOST_FIGURES);
        let more = names.len().saturating_sub(MOST_FIGURES);
        let more = (more > 0).then(|| words!("{more} more {more:figure|figures}", more));
        Words::joined(first.map(|name| Words::own(*name)).chain(more), ", ")
    };
    let mut parts = Vec::new();
    if !shares.is_empty() {
        parts.push(Words::joined(shares, ", "));
    }
    if !stake.figures.is_empty() {
        parts.push(words!("in {figures}", figures = named(&stake.figures)));
    }
    if !stake.left_out_of.is_empty() {
        parts.push(words!(
            "left out of {figures}",
            figures = named(&stake.left_out_of)
        ));
    }
    (!parts.is_empty()).then(|| Words::joined(parts, "; "))
}

/// A number to three digits.
fn rough(value: f64) -> f64 {
    if value <= 0.0 || !value.is_finite() {
        return value;
    }
    let place = 10f64.powi(2 - value.log10().floor() as i32);
    (value * place).round() / place
}

/// Places of so many, the first of them alone where there are many.
fn places_in_words<'a>(places: impl Iterator<Item = &'a Place>, number: usize) -> Words {
    let more = number.saturating_sub(MOST_OTHER_PLACES);
    let more = (more > 0).then(|| words!("and {more} more", more));
    let first = places
        .take(MOST_OTHER_PLACES)
        .map(|place| Words::own(harmless(&place.to_string())));
    Words::joined(first.chain(more), "; ")
}

/// How many of each grade: `0 errors, 7 doubts, 3 remarks, 1 accepted`. In English, for commands that tell of their progress.
pub fn summary(findings: &[Finding]) -> String {
    summary_in(findings, Language::English)
}

/// The same in a language.
pub fn summary_in(findings: &[Finding], language: Language) -> String {
    let mut parts: Vec<String> = Grade::ALL
        .iter()
        .map(|grade| {
            let number = finding::open(findings, *grade);
            let text = grade.counted(number).say(language);
            match (grade, number) {
                (Grade::Error, 0) => styled(GOOD, text),
                (_, 0) => text,
                _ => styled(style_of(*grade), text),
            }
        })
        .collect();
    let accepted = findings
        .iter()
        .filter(|finding| finding.accepted.is_some())
        .count();
    if accepted > 0 {
        parts.push(words!("{accepted} accepted", accepted).say(language));
    }
    parts.join(", ")
}

/// Takes out the line of colons that the renderer puts between a place and its row: here they are one file.
fn tidy(rendered: &str) -> String {
    rendered
        .lines()
        .filter(|line| anstream::adapter::strip_str(line).to_string().trim() != ":::")
        .collect::<Vec<_>>()
        .join("\n")
}

fn style_of(grade: Grade) -> anstyle::Style {
    match grade {
        Grade::Error => BAD,
        Grade::Doubt => DOUBTFUL,
        Grade::Remark => QUIET,
    }
}

fn level_of(grade: Grade, language: Language) -> Level<'static> {
    let level = match grade {
        Grade::Error => Level::ERROR,
        Grade::Doubt => Level::WARNING,
        Grade::Remark => Level::NOTE,
    };
    level.with_name(grade.named().say(language))
}

/// Beyond this many other places a list tells nobody more.
const MOST_OTHER_PLACES: usize = 6;

fn group<'a>(finding: &'a Finding, told: &'a Told, language: Language) -> Group<'a> {
    let title = level_of(finding.grade, language)
        .primary_title(finding.message.say(language))
        .id(finding.name);
    let row = match &finding.place.spot {
        Spot::Cell(cell) | Spot::Heading(cell) => Some(cell.row),
        Spot::Row { row, .. } => Some(*row),
        _ => None,
    };
    let mut group =
        Group::with_title(title).element(Origin::path(harmless(&finding.place.to_string())));
    group = match (&finding.quote, row) {
        (Some(quote), Some(row)) => {
            // A form of thirty columns ends in many empty cells; they tell nothing.
            let filled = quote.text.trim_end_matches([',', ' ']);
            let text = match quote.mark {
                Some((_, end)) if end >= filled.len() => quote.text.as_str(),
                _ => filled,
            };
            let span = match quote.mark {
                // A mark without width would point between two cells.
                Some((start, end)) if end > start => start..end,
                Some((start, _)) => start..(start + 1).min(quote.text.len()),
                // The row as a whole: marked at its first cell, so that what follows can be read.
                None => 0..text.find(',').unwrap_or(text.len()),
            };
            let label = match &finding.place.spot {
                Spot::Cell(cell) | Spot::Heading(cell) => cell.heading.to_string(),
                _ => words!("this row").say(language),
            };
            group.element(
                Snippet::source(text)
                    .line_start(row as usize)
                    .annotation(AnnotationKind::Primary.span(span).label(label)),
            )
        }
        _ => group,
    };
    let part = |level: Level<'static>, head: Words, told: &Words| {
        let level = level.with_name(head.say(language));
        level.message(told.say(language))
    };
    if !finding.also.is_empty() {
        let places = places_in_words(finding.also.iter(), finding.also.len());
        group = group.element(part(Level::INFO, words!("also"), &places));
    }
    if let Some(like) = &told.like {
        group = group.element(part(Level::INFO, words!("and"), like));
    }
    if let Some(hangs) = &told.hangs {
        group = group.element(part(Level::NOTE, words!("rests"), hangs));
    }
    group
        .element(part(Level::NOTE, words!("why"), &finding.why))
        .element(part(Level::HELP, words!("mend"), &finding.mend))
}

/// Columns of the terminal; a usual page where there is none.
pub fn terminal_width() -> usize {
    const PAGE: usize = 120;
    terminal_size::terminal_size().map_or(PAGE, |(width, _)| usize::from(width.0))
}
