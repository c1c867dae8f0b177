//! Findings that a person lets stand, with the reason, the day, and what was seen.

use std::fmt::Write;

use chrono::NaiveDate;

use super::content;
use super::core::{Acceptance, Finding, Grade};
use super::rule::Rule;
use crate::place::Place;
use crate::season::{Accepted, SETTINGS_FILE, Season};
use crate::words;
use crate::words::Words;

const ACCEPTED_IN_VAIN: Rule = Rule {
    name: "accepted-in-vain",
    grade: Grade::Doubt,
    title: "season.toml accepts a finding that is not there.",
    why: "Either it is mended, or its place has moved and the decision no longer holds for it.",
};
const ACCEPTANCE_LAPSED: Rule = Rule {
    name: "acceptance-lapsed",
    grade: Grade::Doubt,
    title: "What a person accepted has changed since.",
    why: "The decision was about another row, photo or outline than the one that is there now; the finding is open again.",
};
const ACCEPTED_FOR_GOOD: Rule = Rule {
    name: "accepted-for-good",
    grade: Grade::Remark,
    title: "An acceptance does not say what it was given for.",
    why: "It holds even if the row is changed later to something that nobody looked at.",
};

/// The rules of this theme, for the list of rules.
pub const RULES: &[Rule] = &[ACCEPTED_IN_VAIN, ACCEPTANCE_LAPSED, ACCEPTED_FOR_GOOD];

fn is_at(finding: &Finding, place: &str) -> bool {
    finding.place.to_string() == place || finding.place.row_only().to_string() == place
}

/// Whether an entry of season.toml may be about the finding.
pub fn meets(season: &Season, finding: &Finding) -> bool {
    let entries = season.settings.accepted.iter();
    let mut of_name = entries.filter(|accepted| accepted.finding == finding.name);
    of_name.any(|accepted| {
        let hash = accepted.hash.as_deref();
        is_at(finding, &accepted.place)
            || hash.is_some_and(|hash| content::hash(season, finding) == hash.trim())
    })
}

/// Marks what season.toml accepts, and adds a finding for each acceptance that meets nothing, has lapsed or can't lapse.
pub fn apply(season: &Season, findings: &mut Vec<Finding>) {
    let mut more = Vec::new();
    for (index, accepted) in season.settings.accepted.iter().enumerate() {
        let key = Place::key(SETTINGS_FILE, format!("accepted.{}", index + 1));
        let same = |finding: &Finding| {
            accepted
                .hash
                .as_deref()
                .is_none_or(|hash| content::hash(season, finding) == hash.trim())
        };
        let of_name = |finding: &&mut Finding| finding.name == accepted.finding;
        let (mut met, mut changed) = (false, None);
        for finding in findings.iter_mut().filter(of_name) {
            if !is_at(finding, &accepted.place) {
                continue;
            }
            if same(finding) {
                met = true;
                finding.accepted = Some(Box::new(acceptance(accepted)));
            } else {
                changed = Some(finding.clone());
            }
        }
        if !met && accepted.hash.is_some() {
            // Rows put in above move a row, and leave it what it was.
            for finding in findings.iter_mut().filter(of_name) {
                if same(finding) {
                    met = true;
                    finding.accepted = Some(Box::new(acceptance(accepted)));
                }
            }
        }
        match (met, changed) {
            (true, _) if accepted.hash.is_none() => {
                more.push(for_good(season, findings, accepted, key))
            }
            (true, _) => {}
            (false, Some(finding)) => more.push(lapsed(&finding, accepted, key)),
            (false, None) => more.push(ACCEPTED_IN_VAIN.at(
                key,
                words!(
                    "There is no finding {finding} at {place}.",
                    finding = &accepted.finding,
                    place = &accepted.place
                ),
                words!("Take the entry out; or correct finding and place as check prints them."),
            )),
        }
    }
    findings.extend(more);
}

fn acceptance(accepted: &Accepted) -> Acceptance {
    Acceptance {
        reason: accepted.reason.clone(),
        by: accepted.by.clone(),
        on: accepted.on,
    }
}

fn for_good(season: &Season, findings: &[Finding], accepted: &Accepted, key: Place) -> Finding {
    let finding = findings
        .iter()
        .find(|finding| finding.name == accepted.finding && is_at(finding, &accepted.place));
    let hash = finding.map(|finding| content::hash(season, finding));
    ACCEPTED_FOR_GOOD.at(
        key,
        words!(
            "{finding} at {place} is accepted whatever becomes of it.",
            finding = &accepted.finding,
            place = &accepted.place
        ),
        words!(
            "Add hash = \"{hash}\" to the entry: it then holds for what is there today.",
            hash = hash.unwrap_or_default()
        ),
    )
}

fn lapsed(finding: &Finding, accepted: &Accepted, key: Place) -> Finding {
    let now = finding.quote.as_ref().map(|quote| quote.text.as_str());
    let change = match (accepted.row.as_deref(), now) {
        (Some(before), Some(now)) => difference(before, now),
        (_, Some(now)) => words!("the row is now {now}", now),
        _ => words!("what stands there is not what it was"),
    };
    let mut told = ACCEPTANCE_LAPSED
        .at(
            key,
            match accepted.on {
                Some(day) => words!(
                    "{finding} at {place} was accepted on {day}; {change}.",
                    finding = &accepted.finding,
                    place = &accepted.place,
                    day = day.to_string(),
                    change
                ),
                None => words!(
                    "{finding} at {place} was accepted; {change}.",
                    finding = &accepted.finding,
                    place = &accepted.place,
                    change
                ),
            },
            words!(
                "Look at it again. If it may stand as it is now: windrow check SEASON --accept {finding} --place \"{place}\" --reason \"…\", and put the \
                 new lines in the place of these.",
                finding = &accepted.finding,
                place = &accepted.place
            ),
        )
        .with([finding.place.clone()]);
    told.quote.clone_from(&finding.quote);
    told
}

/// What differs between a row as it was quoted and as it is quoted now.
fn difference(before: &str, now: &str) -> Words {
    let (old, new): (Vec<&str>, Vec<&str>) =
        (before.split(", ").collect(), now.split(", ").collect());
    if old.len() != new.len() {
        return words!("the row was {before}, and is now {now}", before, now);
    }
    let changed: Vec<Words> = old
        .iter()
        .zip(&new)
        .filter(|(old, new)| old != new)
        .map(|(&old, &new)| match (old.is_empty(), new.is_empty()) {
            (true, _) => words!("an empty cell became {new}", new),
            (_, true) => words!("{old} was taken out", old),
            _ => words!("{old} became {new}", old, new),
        })
        .collect();
    if changed.is_empty() {
        // Long cells are cut in a quotation.
        return words!("a long cell of the row changed behind what is quoted");
    }
    Words::joined(changed, ", ")
}

/// What a person wants to accept.
#[derive(Debug, Clone, Copy)]
pub struct Wanted<'a> {
    pub name: &'a str,
    /// As check prints it, with or without the column; or a file or folder, for all findings of the name in it.
    pub place: &'a str,
    pub reason: &'a str,
    pub by: Option<&'a str>,
    pub on: NaiveDate,
}

/// Lines for season.toml that accept all findings meant, and how many those are; none where there is no such finding.
pub fn lines_to_paste(
    season: &Season,
    findings: &[Finding],
    wanted: &Wanted<'_>,
) -> Option<(String, usize)> {
    let folder = format!("{}/", wanted.place.trim_end_matches('/'));
    let of_name: Vec<&Finding> = findings
        .iter()
        .filter(|finding| finding.name == wanted.name)
        .collect();
    let mut meant: Vec<&Finding> = of_name
        .iter()
        .copied()
        .filter(|finding| is_at(finding, wanted.place))
        .collect();
    if meant.is_empty() {
        meant = of_name
            .into_iter()
            .filter(|finding| {
                finding.place.file == wanted.place || finding.place.file.starts_with(&folder)
            })
            .collect();
    }
    let number = meant.len();
    let text = |text: &str| toml::Value::String(text.to_owned()).to_string();
    let mut lines = String::new();
    for finding in &meant {
        // Writing into a String can't fail.
        let _ = writeln!(lines, "[[accepted]]");
        let _ = writeln!(lines, "finding = {}", text(finding.name));
        let _ = writeln!(lines, "place = {}", text(&finding.place.to_string()));
        let _ = writeln!(lines, "reason = {}", text(wanted.reason));
        if let Some(by) = wanted.by {
            let _ = writeln!(lines, "by = {}", text(by));
        }
        let _ = writeln!(lines, "on = {}", wanted.on);
        let _ = writeln!(lines, "hash = \"{}\"", content::hash(season, finding));
        if let Some(quote) = &finding.quote {
            let _ = writeln!(lines, "row = {}", text(&quote.text));
        }
        let _ = writeln!(lines);
    }
    (number > 0).then_some((lines, number))
}

#[cfg(test)]
mod tests {
    use super::difference;

    #[test]
    fn the_cells_that_changed_are_named() {
        assert_eq!(difference("P1, bag, 10", "P1, bag, 12"), "10 became 12");
        assert_eq!(
            difference("P1, , 10", "P1, bag, 10"),
            "an empty cell became bag"
        );
        assert_eq!(
            difference("P1, bag", "P1, bag, 12"),
            "the row was P1, bag, and is now P1, bag, 12"
        );
    }
}
