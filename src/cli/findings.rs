//! Findings as a terminal sees them: grouped by grade, each with its row quoted.

use annotate_snippets::{AnnotationKind, Group, Level, Origin, Renderer, Snippet};

use super::printer::{BAD, BOLD, DOUBTFUL, GOOD, Printer, QUIET, styled};
use crate::finding::{self, Finding, Grade};
use crate::place::Spot;

/// Prints all findings.
pub fn print(findings: &[Finding], printer: &mut Printer) {
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
        let title = if open.len() == 1 {
            grade.word()
        } else {
            grade.plural()
        };
        printer.line(styled(style_of(grade), format!("{} {title}", open.len())));
        printer.line("");
        for finding in open {
            printer.line(tidy(&renderer.render(&[group(finding)])));
            printer.line("");
        }
    }
    let accepted: Vec<&Finding> = findings
        .iter()
        .filter(|finding| finding.accepted.is_some())
        .collect();
    if !accepted.is_empty() {
        printer.line(styled(BOLD, format!("{} accepted", accepted.len())));
        for finding in accepted {
            let reason = finding
                .accepted
                .as_ref()
                .map_or("", |acceptance| acceptance.reason.as_str());
            printer.line(format!("  {} at {}: {reason}", finding.name, finding.place));
        }
        printer.line("");
    }
}

/// How many of each grade: `0 errors, 7 doubts, 3 remarks, 1 accepted`.
pub fn summary(findings: &[Finding]) -> String {
    let mut parts: Vec<String> = Grade::ALL
        .iter()
        .map(|grade| {
            let number = finding::open(findings, *grade);
            let word = if number == 1 {
                grade.word()
            } else {
                grade.plural()
            };
            let text = format!("{number} {word}");
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
        parts.push(format!("{accepted} accepted"));
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

fn level_of(grade: Grade) -> Level<'static> {
    match grade {
        Grade::Error => Level::ERROR,
        Grade::Doubt => Level::WARNING.with_name("doubt"),
        Grade::Remark => Level::NOTE.with_name("remark"),
    }
}

/// Beyond this many other places a list tells nobody more.
const MOST_OTHER_PLACES: usize = 6;

fn group(finding: &Finding) -> Group<'_> {
    let title = level_of(finding.grade)
        .primary_title(finding.message.as_str())
        .id(finding.name);
    let row = match finding.place.spot {
        Spot::Cell { row, .. } | Spot::Row { row, .. } => Some(row),
        Spot::Heading { .. } => Some(1),
        _ => None,
    };
    let mut group = Group::with_title(title).element(Origin::path(finding.place.to_string()));
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
                Spot::Cell { heading, .. } | Spot::Heading { heading, .. } => heading.as_str(),
                _ => "this row",
            };
            group.element(
                Snippet::source(text)
                    .line_start(row as usize)
                    .annotation(AnnotationKind::Primary.span(span).label(label)),
            )
        }
        _ => group,
    };
    if !finding.also.is_empty() {
        let mut places: Vec<String> = finding
            .also
            .iter()
            .take(MOST_OTHER_PLACES)
            .map(ToString::to_string)
            .collect();
        if finding.also.len() > MOST_OTHER_PLACES {
            places.push(format!(
                "and {} more",
                finding.also.len() - MOST_OTHER_PLACES
            ));
        }
        group = group.element(Level::INFO.with_name("also").message(places.join("; ")));
    }
    group
        .element(Level::NOTE.with_name("why").message(finding.why.as_str()))
        .element(Level::HELP.with_name("mend").message(finding.mend.as_str()))
}

/// Columns of the terminal; a usual page where there is none.
fn terminal_width() -> usize {
    const PAGE: usize = 120;
    terminal_size::terminal_size().map_or(PAGE, |(width, _)| usize::from(width.0))
}
