//! Numbers in the coordinator's prose: results belong in the ledger, and prose calls them.
//!
//! Takes the narrative and the ledger, gives findings. Reads the prose as text: it compiles nothing.

use crate::finding::{Finding, Grade, Rule};
use crate::place::Place;
use crate::season::{Narrative, Season, singular, value};
use crate::units::{Dimension, Unit};
use crate::words;
use crate::words::quoted;

use super::core::{Figure, Measure, Outturn};
use super::ledger::Ledger;

const PROSE_NUMBER_TYPED: Rule = Rule {
    name: "prose-number-typed",
    grade: Grade::Remark,
    title: "A result is typed into the prose that a figure of the ledger gives.",
    why: "When the records change, the figure follows and the typed number stays; it shows no interval either.",
};
const PROSE_NUMBER_UNBACKED: Rule = Rule {
    name: "prose-number-unbacked",
    grade: Grade::Doubt,
    title: "A number in the prose looks like a result, and no figure of the ledger has its value.",
    why: "A reader takes it for a result of this season; nothing in the archive stands behind it.",
};
const PROSE_FIGURE_UNKNOWN: Rule = Rule {
    name: "prose-figure-unknown",
    grade: Grade::Error,
    title: "The prose calls a figure that the ledger does not have.",
    why: "The report can't be set.",
};

/// The rules of this theme, for the list of rules.
pub const RULES: &[Rule] = &[
    PROSE_NUMBER_TYPED,
    PROSE_NUMBER_UNBACKED,
    PROSE_FIGURE_UNKNOWN,
];

/// Findings on the prose of all sections.
pub fn findings(season: &Season, ledger: &Ledger) -> Vec<Finding> {
    let mut findings = Vec::new();
    for section in &season.narrative {
        numbers(season, ledger, section, &mut findings);
        calls(ledger, section, &mut findings);
    }
    findings
}

/// A number that looks like a result.
#[derive(Debug, PartialEq)]
struct Typed {
    line: u32,
    /// As it stands in the prose, with its unit.
    text: String,
    value: f64,
    /// Digits behind the point.
    decimals: usize,
    /// Half of the last place that was not rounded away, should it be rounded.
    slack: f64,
    what: What,
}

/// What the word behind a number says it measures.
#[derive(Debug, Clone, Copy, PartialEq)]
enum What {
    Quantity(Unit),
    Count,
    Percent,
    Money,
}

/// Things that are counted as results.
const COUNTED: &[&str] = &[
    "plant",
    "rosette",
    "volunteer",
    "pull",
    "outing",
    "visit",
    "bag",
    "basket",
    "container",
    "boat-hour",
];

fn what(word: &str, season: &Season) -> Option<What> {
    let word = word.trim_matches(|c: char| !c.is_alphanumeric() && c != '%');
    if word == "%" || matches!(value::fold(word).as_str(), "percent" | "per cent") {
        return Some(What::Percent);
    }
    let one = singular(word);
    let kinds = &season.settings.method.containers;
    if COUNTED.contains(&one.as_str())
        || kinds
            .iter()
            .any(|kind| value::fold(kind) == value::fold(&one))
    {
        return Some(What::Count);
    }
    let hours = ["personhour", "volunteerhour", "staffhour", "crewhour"];
    if hours.contains(&value::fold(&one).as_str()) {
        return Some(What::Quantity(Unit::Hour));
    }
    // One letter is more often a list or a name than a unit.
    if word.chars().count() < 2 {
        return None;
    }
    Unit::named(word)
        // Minutes tell of a day, not of a season.
        .filter(|unit| unit.dimension() != Dimension::Time || *unit == Unit::Hour)
        .map(What::Quantity)
}

/// Prose without comments, calls and code, line by line, so that what is left is typed by hand.
fn bare(text: &str) -> Vec<String> {
    let mut lines = vec![String::new()];
    let mut letters = text.chars().peekable();
    let mut before = ' ';
    while let Some(c) = letters.next() {
        let mut keep = |c: char| match c {
            '\n' => lines.push(String::new()),
            c => {
                if let Some(line) = lines.last_mut() {
                    line.push(c);
                }
            }
        };
        match c {
            '/' if letters.peek() == Some(&'/') && before != ':' => {
                while letters.peek().is_some_and(|c| *c != '\n') {
                    letters.next();
                }
            }
            '#' => {
                // A call: its name and what stands in its brackets.
                let mut depth = 0u32;
                while let Some(next) = letters.peek().copied() {
                    match next {
                        '(' => depth += 1,
                        ')' if depth > 0 => depth -= 1,
                        '\n' if depth == 0 => break,
                        '\n' => keep('\n'),
                        c if depth == 0
                            && !(c.is_alphanumeric() || matches!(c, '-' | '_' | '.')) =>
                        {
                            break;
                        }
                        // A full stop behind a name ends the sentence.
                        _ => {}
                    }
                    letters.next();
                    if depth == 0 && next == ')' {
                        break;
                    }
                }
                keep('\u{fffc}');
            }
            '`' => {
                for next in letters.by_ref() {
                    if next == '\n' {
                        keep('\n');
                    }
                    if next == '`' {
                        break;
                    }
                }
            }
            c => keep(c),
        }
        before = c;
    }
    lines
}

fn typed(section: &Narrative, season: &Season) -> Vec<Typed> {
    let mut found = Vec::new();
    for (index, line) in bare(&section.text).iter().enumerate() {
        let line_number = u32::try_from(index + 1).unwrap_or(u32::MAX);
        let mut rest = line.as_str();
        let mut before = ' ';
        while let Some(at) = rest.find(|c: char| c.is_ascii_digit()) {
            let (head, tail) = rest.split_at(at);
            before = head.chars().next_back().unwrap_or(before);
            let length = tail
                .find(|c: char| !(c.is_ascii_digit() || matches!(c, ',' | '.')))
                .unwrap_or(tail.len());
            let digits = tail
                .get(..length)
                .unwrap_or_default()
                .trim_end_matches([',', '.']);
            let after = tail.get(digits.len()..).unwrap_or_default();
            // A date, a range, or part of a name: P12, 2025-07-04, 9:30.
            let part_of_more = before.is_alphanumeric()
                || matches!(before, '-' | '–' | ':' | '/' | '_')
                || after.starts_with([':', '/', '–'])
                || after
                    .strip_prefix('-')
                    .is_some_and(|more| more.starts_with(|c: char| c.is_ascii_digit()));
            let word: String = after
                .trim_start_matches([' ', '\u{a0}', '\u{202f}', '-', '~'])
                .chars()
                .take_while(|c| c.is_alphabetic() || matches!(c, '%' | '²' | '-'))
                .collect();
            let measures = if before == '$' || before == '€' || before == '£' {
                Some(What::Money)
            } else if after.starts_with('%') {
                Some(What::Percent)
            } else {
                what(&word, season)
            };
            if let (Some(what), false) = (measures, part_of_more)
                && let Some(number) = value::number(digits, value::Marks::default())
            {
                let decimals = digits
                    .rsplit_once('.')
                    .map_or(0, |(_, behind)| behind.len());
                let zeros = digits
                    .chars()
                    .rev()
                    .take_while(|c| matches!(c, '0' | ','))
                    .filter(|c| *c == '0')
                    .count();
                let place = if decimals > 0 {
                    0
                } else {
                    i32::try_from(zeros).unwrap_or(0)
                };
                found.push(Typed {
                    line: line_number,
                    text: match what {
                        What::Money => format!("{before}{digits}"),
                        What::Percent if after.starts_with('%') => format!("{digits}%"),
                        _ => format!("{digits} {}", word.trim_end_matches('-')),
                    },
                    value: number.value,
                    decimals,
                    slack: 10f64.powi(place) / 2.0,
                    what,
                });
            }
            before = digits.chars().next_back().unwrap_or(' ');
            rest = after;
        }
    }
    found
}

/// The figure's value in the unit that the prose uses, where it measures the same.
fn value_as(figure: &Figure, what: What) -> Option<f64> {
    let value = figure.value()?;
    match (what, figure.measure) {
        (What::Quantity(unit), measure) => {
            let dimension = match measure {
                Measure::Mass => Dimension::Mass,
                Measure::Area => Dimension::Area,
                Measure::Time => Dimension::Time,
                _ => return None,
            };
            (unit.dimension() == dimension).then(|| value / unit.factor())
        }
        (What::Count, Measure::Count)
        | (What::Money, Measure::Money)
        | (What::Percent, Measure::Percent | Measure::PercentPoints) => Some(value),
        _ => None,
    }
}

/// The figure whose value the number is, season-wide ones first.
fn equal<'a>(ledger: &'a Ledger, typed: &Typed) -> Option<&'a Figure> {
    let half = 0.5 * 10f64.powi(-i32::try_from(typed.decimals).unwrap_or(0));
    ledger
        .figures()
        .filter_map(|figure| {
            let off = (value_as(figure, typed.what)?.abs() - typed.value).abs();
            // An estimate may be told in round numbers; what was counted may not.
            let within = match figure.outturn {
                Outturn::Estimated(_) => off <= half.max(typed.slack),
                _ => off <= half,
            };
            within.then_some((figure.part().is_some(), off, figure))
        })
        .min_by(|a, b| {
            a.0.cmp(&b.0)
                .then(a.1.total_cmp(&b.1))
                .then(a.2.name.cmp(&b.2.name))
        })
        .map(|(_, _, figure)| figure)
}

/// A target of a deliverable is a promise, not a result.
fn is_target(season: &Season, typed: &Typed) -> bool {
    season
        .settings
        .grants
        .iter()
        .flat_map(|grant| &grant.deliverables)
        .filter_map(|promise| promise.at_least.or(promise.at_most))
        .any(|target| target == typed.value)
}

fn numbers(season: &Season, ledger: &Ledger, section: &Narrative, findings: &mut Vec<Finding>) {
    for typed in typed(section, season) {
        if is_target(season, &typed) {
            continue;
        }
        let place = Place::line(&section.file, typed.line);
        findings.push(match equal(ledger, &typed) {
            Some(figure) => PROSE_NUMBER_TYPED.at(
                place,
                words!(
                    "{typed} is typed; it is the value of {figure}.",
                    typed = quoted(&typed.text),
                    figure = &figure.name
                ),
                words!(
                    "In its place write #figure-text(\"{figure}\").",
                    figure = &figure.name
                ),
            ),
            None => PROSE_NUMBER_UNBACKED.at(
                place,
                words!(
                    "{typed} is typed, and no figure has that value.",
                    typed = quoted(&typed.text)
                ),
                words!(
                    "If it is a result of this season, call its figure: #figure-text(\"effort.person-hours\"), by a name that `windrow figures` \
                     lists. If it is none, accept the finding, or write it in words."
                ),
            ),
        });
    }
}

/// How prose calls a figure.
const CALLS: [&str; 2] = ["figure-text(\"", "figure-value(\""];

fn calls(ledger: &Ledger, section: &Narrative, findings: &mut Vec<Finding>) {
    for (index, line) in section.text.lines().enumerate() {
        let called = CALLS
            .iter()
            .flat_map(|call| line.match_indices(call))
            .filter_map(|(at, call)| {
                line.get(at + call.len()..)?
                    .split_once('"')
                    .map(|(name, _)| name)
            });
        // A line that is a comment calls nothing.
        if line.trim_start().starts_with("//") {
            continue;
        }
        for name in called {
            if ledger.get(name).is_some() {
                continue;
            }
            findings.push(PROSE_FIGURE_UNKNOWN.at(
                Place::line(&section.file, u32::try_from(index + 1).unwrap_or(u32::MAX)),
                words!("There is no figure {name}.", name = quoted(name)),
                match ledger.near_names(name, 1).first() {
                    Some(near) => {
                        words!(
                            "Write {near}, if that is meant; `windrow figures` lists all.",
                            near
                        )
                    }
                    None => words!("`windrow figures` lists all figures."),
                },
            ));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn calls_and_comments_are_not_typed_by_hand() {
        let lines = bare(
            "We gave #figure-text(\"effort.person-hours\", 12) on\nit. // 40 hours\n40 bags, see http://x.example/3\n",
        );
        assert_eq!(lines[0], "We gave \u{fffc} on");
        assert_eq!(lines[1], "it. ");
        assert!(lines[2].contains("40 bags"));
    }

    #[test]
    fn no_prose_however_broken_panics() {
        for text in [
            "#",
            "#f((",
            "`",
            "1",
            "1,",
            "$",
            "#figure-text(\"",
            "12-",
            "é1é",
            "1.2.3 kg",
        ] {
            bare(text);
        }
    }
}
