//! Numbers in the coordinator's prose: results belong in the ledger, and prose calls them.
//!
//! Takes the narrative and the ledger, gives findings. Reads the prose as text: it compiles nothing.

use crate::finding::{Finding, Grade, Rule};
use crate::place::Place;
use crate::season::{Narrative, Season, singular, value};
use crate::units::{Dimension, Unit};
use crate::words;
use crate::words::{Language, quoted};

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

/// The same in the other languages, as [`singular`] leaves them.
fn counted_in(language: Language) -> &'static [&'static str] {
    match language {
        Language::English => COUNTED,
        Language::Spanish => &[
            "planta",
            "roseta",
            "voluntario",
            "voluntaria",
            "jornada",
            "salida",
            "visita",
            "bolsa",
            "saco",
            "cesta",
            "contenedor",
            "contenedore",
        ],
        Language::French => &[
            "plante",
            "rosette",
            "bénévole",
            "arrachage",
            "sortie",
            "visite",
            "sac",
            "panier",
            "conteneur",
        ],
    }
}

/// The number that a text begins with: as it stands, and with English marks.
fn number_at(text: &str, language: Language) -> (&str, String) {
    if language == Language::English {
        let length = text
            .find(|c: char| !(c.is_ascii_digit() || matches!(c, ',' | '.')))
            .unwrap_or(text.len());
        let digits = text.get(..length).unwrap_or_default();
        let digits = digits.trim_end_matches([',', '.']);
        return (digits, digits.to_owned());
    }
    let mut plain = String::new();
    let (mut end, mut parted) = (0, false);
    for (at, letter) in text.char_indices() {
        let behind = text.get(at + letter.len_utf8()..).unwrap_or_default();
        let following = behind.chars().take_while(char::is_ascii_digit).count();
        let whole = !plain.contains('.');
        match letter {
            digit if digit.is_ascii_digit() => plain.push(digit),
            // Between thousands; a first group of four digits is a year.
            '.' | ' ' | '\u{a0}' | '\u{202f}'
                if whole && following == 3 && (parted || plain.len() <= 3) =>
            {
                parted = true;
                continue;
            }
            ',' | '.' if whole && following > 0 => plain.push('.'),
            _ => break,
        }
        end = at + letter.len_utf8();
    }
    (text.get(..end).unwrap_or_default(), plain)
}

fn what(word: &str, season: &Season) -> Option<What> {
    let word = word.trim_matches(|c: char| !c.is_alphanumeric() && c != '%');
    if word == "%" || matches!(value::fold(word).as_str(), "percent" | "per cent") {
        return Some(What::Percent);
    }
    let one = singular(word);
    let kinds = &season.settings.method.containers;
    let language = season.settings.report.language;
    if COUNTED.contains(&one.as_str())
        || counted_in(language).contains(&one.to_lowercase().as_str())
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
    let plain_hours = match language {
        Language::English => &[][..],
        Language::Spanish => &["hora", "horapersona"],
        Language::French => &["heure", "heurepersonne"],
    };
    if plain_hours.contains(&value::fold(&one).as_str()) {
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
    let language = season.settings.report.language;
    for (index, line) in bare(&section.text).iter().enumerate() {
        let line_number = u32::try_from(index + 1).unwrap_or(u32::MAX);
        let mut rest = line.as_str();
        let mut before = ' ';
        while let Some(at) = rest.find(|c: char| c.is_ascii_digit()) {
            let (head, tail) = rest.split_at(at);
            before = head.chars().next_back().unwrap_or(before);
            let (digits, plain) = number_at(tail, language);
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
            let close = after.trim_start_matches([' ', '\u{a0}', '\u{202f}', '~']);
            let money_behind = close
                .chars()
                .next()
                .filter(|sign| language != Language::English && is_money(*sign));
            let measures = if is_money(before) || money_behind.is_some() {
                Some(What::Money)
            } else if after.starts_with('%')
                || language != Language::English
                    && ["%", "por ciento", "pour cent"]
                        .iter()
                        .any(|words| close.starts_with(words))
            {
                Some(What::Percent)
            } else {
                what(&word, season)
            };
            if let (Some(what), false) = (measures, part_of_more)
                && let Some(number) = value::number(&plain, value::Marks::default())
            {
                let decimals = plain.rsplit_once('.').map_or(0, |(_, behind)| behind.len());
                let zeros = plain
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
                        What::Money => match money_behind {
                            Some(sign) => format!("{digits} {sign}"),
                            None => format!("{before}{digits}"),
                        },
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

fn is_money(sign: char) -> bool {
    matches!(sign, '$' | '€' | '£')
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
    fn numbers_are_read_as_the_language_writes_them() {
        for (language, text, stands, plain) in [
            (Language::English, "1,234.5 kg", "1,234.5", "1,234.5"),
            (
                Language::French,
                "1\u{a0}234,5 kg",
                "1\u{a0}234,5",
                "1234.5",
            ),
            (
                Language::French,
                "12 345 678 plantes",
                "12 345 678",
                "12345678",
            ),
            (Language::Spanish, "1.234,5 kg.", "1.234,5", "1234.5"),
            (Language::Spanish, "3,4, y más", "3,4", "3.4"),
            (Language::Spanish, "2025 120 bolsas", "2025", "2025"),
            (Language::Spanish, "12.", "12", "12"),
        ] {
            assert_eq!(
                number_at(text, language),
                (stands, plain.to_owned()),
                "{text}"
            );
        }
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
