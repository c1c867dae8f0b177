//! What is wrong or doubtful in a season folder: all of it at once, each with its place, its reason and its mend.
//!
//! Takes a [`Season`], gives findings. A rule has a permanent name, one function, and no memory of other rules. Files are a theme
//! each: `reading` words what the season room stumbled over; the others judge what was read.

mod accept;
mod accounts;
mod care;
mod clocks;
mod consequence;
mod content;
mod core;
mod crews;
mod days;
mod daytime;
mod explain;
mod few;
mod ground;
mod growth;
mod heavy;
mod hours;
mod kinds;
mod likeness;
mod limits;
mod log;
mod money;
mod names;
mod naming;
mod outlines;
mod own_names;
mod photos;
mod previous;
mod reading;
mod removal;
mod rule;
mod stations;
mod tables;
mod twice;
mod unsettled;
mod weighings;

pub use self::core::{Acceptance, Finding, Grade, Quote, Share, Stake};
pub use accept::{Wanted, lines_to_paste};
pub use explain::{Example, examples, markdown, plain};
pub use limits::limit;
pub use rule::Rule;

use std::collections::BTreeMap;

use crate::season::{Amount, Catch, Pull, PullRow, Season, catch};

/// A rule's function: looks at the season and adds what it finds.
type Check = fn(&Season, &mut Vec<Finding>);

/// A rule's function that asks how the catch is known.
type CatchCheck = fn(&Season, &Caught, &mut Vec<Finding>);

/// The season's catch, sorted once for all rules.
struct Caught {
    mass: Catch,
    plants: Catch,
}

impl Caught {
    fn of_season(season: &Season) -> Self {
        let of = |amount| catch(&season.pulls, &season.weighings, amount);
        Self {
            mass: of(Amount::Mass),
            plants: of(Amount::Plants),
        }
    }

    fn of(&self, amount: Amount) -> &Catch {
        match amount {
            Amount::Mass => &self.mass,
            Amount::Plants => &self.plants,
        }
    }
}

/// The themes that judge what was read.
const THEMES: &[&[(Rule, Check)]] = &[
    log::RULES,
    hours::RULES,
    daytime::RULES,
    days::RULES,
    crews::RULES,
    twice::RULES,
    growth::RULES,
    care::RULES,
    outlines::RULES,
    ground::RULES,
    photos::RULES,
    clocks::RULES,
    likeness::RULES,
    stations::RULES,
    money::RULES,
    accounts::RULES,
    names::RULES,
    previous::RULES,
];

/// The themes that judge the catch.
const CATCH_THEMES: &[&[(Rule, CatchCheck)]] =
    &[kinds::RULES, removal::RULES, weighings::RULES, heavy::RULES];

fn brought_something(pull: &Pull) -> bool {
    let some = |value: Option<f64>| value.is_some_and(|value| value > 0.0);
    pull.rows
        .iter()
        .any(|row| some(row.containers) || some(row.mass) || some(row.plants))
}

/// Each row of the log with its pull.
fn rows(season: &Season) -> impl Iterator<Item = (&Pull, &PullRow)> {
    season
        .pulls
        .iter()
        .flat_map(|pull| pull.rows.iter().map(move |row| (pull, row)))
}

/// Every rule, in the order of its theme.
pub fn rules() -> Vec<Rule> {
    let mut rules: Vec<Rule> = reading::RULES.to_vec();
    rules.extend(tables::RULES);
    rules.extend(unsettled::RULES);
    for theme in THEMES {
        rules.extend(theme.iter().map(|(rule, _)| *rule));
    }
    for theme in CATCH_THEMES {
        rules.extend(theme.iter().map(|(rule, _)| *rule));
    }
    rules.extend(accept::RULES);
    rules
}

/// What the rules find that hold pictures against each other. [`find`] finds it too, as long as the season still knows what its photos
/// look like.
pub fn of_pictures(season: &Season) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (_, check) in likeness::RULES {
        check(season, &mut findings);
    }
    findings
}

/// All findings, the gravest first, then by place. `more` are those that only a later stage can make; they are accepted and sorted
/// like the others.
pub fn find(season: &Season, more: Vec<Finding>) -> Vec<Finding> {
    let mut findings = reading::check(season);
    findings.extend(more);
    for theme in THEMES {
        for (_, check) in *theme {
            check(season, &mut findings);
        }
    }
    let caught = Caught::of_season(season);
    for theme in CATCH_THEMES {
        for (_, check) in *theme {
            check(season, &caught, &mut findings);
        }
    }
    accept::apply(season, &mut findings);
    consequence::drop_consequences(season, &mut findings);
    own_names::use_own_names(season, &mut findings);
    sort(&mut findings);
    findings
}

/// The open ones first, the gravest first, and among those of a grade the ones on which most hangs.
pub fn sort(findings: &mut [Finding]) {
    // In place: the other way takes half as much again, and there may be a finding for every photo.
    findings.sort_unstable_by(|a, b| {
        let order = |finding: &Finding| (finding.accepted.is_some(), finding.grade);
        order(a)
            .cmp(&order(b))
            .then_with(|| b.weight().total_cmp(&a.weight()))
            .then_with(|| a.place.cmp(&b.place))
            .then_with(|| a.name.cmp(b.name))
            .then_with(|| a.message.cmp(&b.message))
    });
}

/// So many findings of one rule are told one by one; more are told together.
const ALONE: usize = 3;

/// Open findings as a person reads them: those of one rule together where there are many, in the order of the first of each.
pub fn grouped<'a>(findings: impl IntoIterator<Item = &'a Finding>) -> Vec<Vec<&'a Finding>> {
    let open: Vec<&Finding> = findings
        .into_iter()
        .filter(|finding| finding.accepted.is_none())
        .collect();
    let alike = |name: &str| open.iter().filter(|other| other.name == name).count();
    let mut groups: Vec<Vec<&Finding>> = Vec::new();
    let mut at: BTreeMap<&str, usize> = BTreeMap::new();
    for finding in &open {
        match at
            .get(finding.name)
            .and_then(|index| groups.get_mut(*index))
        {
            Some(group) => group.push(finding),
            None => {
                if alike(finding.name) > ALONE {
                    at.insert(finding.name, groups.len());
                }
                groups.push(vec![finding]);
            }
        }
    }
    groups
}

/// Lets go of what is not told where findings are told in groups: of each group the first stays, and knows how many are like it. There
/// may be several for each of a hundred thousand photos.
pub fn keep_what_groups_tell(findings: &mut Vec<Finding>) {
    let mut counts: BTreeMap<(Grade, &str), u32> = BTreeMap::new();
    for finding in findings.iter().filter(|one| one.accepted.is_none()) {
        *counts.entry((finding.grade, finding.name)).or_default() += 1 + finding.alike;
    }
    counts.retain(|_, count| *count as usize > ALONE);
    findings.retain_mut(|finding| {
        let group = (finding.grade, finding.name);
        match counts
            .get_mut(&group)
            .filter(|_| finding.accepted.is_none())
        {
            None => true,
            // The others of its group.
            Some(0) => false,
            Some(count) => {
                finding.alike = std::mem::take(count) - 1;
                true
            }
        }
    });
    findings.shrink_to_fit();
}

/// How many they are, with those that are only counted.
pub fn counted(findings: &[&Finding]) -> usize {
    findings.iter().map(|finding| finding.count()).sum()
}

/// Findings of a grade that nobody has accepted.
pub fn open(findings: &[Finding], grade: Grade) -> usize {
    findings
        .iter()
        .filter(|finding| finding.grade == grade && finding.accepted.is_none())
        .map(Finding::count)
        .sum()
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
