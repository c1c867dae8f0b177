//! What is wrong or doubtful in a season folder: all of it at once, each with its place, its reason and its mend.
//!
//! Takes a [`Season`], gives findings. A rule has a permanent name, one function, and no memory of other rules. Files are a theme
//! each: `reading` words what the season room stumbled over; `log`, `removal`, `photos`, `money` and
//! `names` judge what was read.

mod accept;
mod core;
mod log;
mod money;
mod names;
mod photos;
mod reading;
mod removal;
mod rule;

pub use self::core::{Acceptance, Finding, Grade, Quote};
pub use rule::Rule;

use crate::season::Season;

/// A rule's function: looks at the season and adds what it finds.
type Check = fn(&Season, &mut Vec<Finding>);

/// The themes that judge what was read.
const THEMES: [&[(Rule, Check)]; 5] = [
    log::RULES,
    removal::RULES,
    photos::RULES,
    money::RULES,
    names::RULES,
];

/// Every rule, in the order of its theme.
pub fn rules() -> Vec<Rule> {
    let mut rules: Vec<Rule> = reading::RULES.to_vec();
    for theme in THEMES {
        rules.extend(theme.iter().map(|(rule, _)| *rule));
    }
    rules.extend(accept::RULES);
    rules
}

/// All findings, the gravest first, then by place. `more` are those that only a later stage can make; they are accepted and sorted
/// like the others.
pub fn find(season: &Season, more: Vec<Finding>) -> Vec<Finding> {
    let mut findings = reading::check(season);
    findings.extend(more);
    for theme in THEMES {
        for (_, check) in theme {
            check(season, &mut findings);
        }
    }
    accept::apply(season, &mut findings);
    findings.sort_by(|a, b| {
        (a.accepted.is_some(), a.grade, &a.place, a.name).cmp(&(
            b.accepted.is_some(),
            b.grade,
            &b.place,
            b.name,
        ))
    });
    findings
}

/// Findings of a grade that nobody has accepted.
pub fn open(findings: &[Finding], grade: Grade) -> usize {
    findings
        .iter()
        .filter(|finding| finding.grade == grade && finding.accepted.is_none())
        .count()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_used_once_and_made_of_small_letters_and_digits() {
        let mut names: Vec<&str> = rules().iter().map(|rule| rule.name).collect();
        names.sort_unstable();
        let all = names.len();
        names.dedup();
        assert_eq!(names.len(), all);
        assert!(names.iter().all(|name| {
            name.bytes()
                .all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-')
        }));
    }
}
