//! How many findings of one rule are told one by one.
//!
//! A hundred thousand photos may all have been stripped of their place. Nobody reads a hundred thousand times that they were, and each
//! finding takes some three hundred bytes: the first ten thousand are told, and the others are counted.

use super::accept;
use super::core::Finding;
use crate::season::Season;

/// Findings of a rule that are told one by one; many times what anybody mends.
const MOST: usize = 10_000;

/// Takes what one rule finds, of which there may be one for every photo. Not for a rule from whose findings others follow, or whose
/// findings follow from others: what is counted alone is not held against them.
pub struct Few<'a> {
    findings: &'a mut Vec<Finding>,
    season: &'a Season,
    told: Told,
}

impl<'a> Few<'a> {
    /// What the rule finds is put to the others.
    pub fn among(findings: &'a mut Vec<Finding>, season: &'a Season) -> Self {
        Self {
            findings,
            season,
            told: Told::at_most(MOST),
        }
    }

    pub fn push(&mut self, finding: Finding) {
        let accepted = accept::meets(self.season, &finding);
        self.told.take(finding, accepted, self.findings);
    }
}

struct Told {
    most: usize,
    number: usize,
    /// Where the finding stands at which is noted how many more there are: one that stays open.
    bearer: Option<usize>,
}

impl Told {
    fn at_most(most: usize) -> Self {
        Self {
            most,
            number: 0,
            bearer: None,
        }
    }

    /// Keeps the first, what season.toml accepts, and one at least that stays open; counts the others.
    fn take(&mut self, finding: Finding, accepted: bool, findings: &mut Vec<Finding>) {
        let bearer = self.bearer.and_then(|at| findings.get_mut(at));
        match bearer {
            Some(bearer) if self.number >= self.most && !accepted => bearer.alike += 1,
            _ => {
                if !accepted {
                    self.bearer = Some(findings.len());
                }
                findings.push(finding);
                self.number += 1;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::{Grade, Rule};
    use crate::place::Place;
    use crate::words::Words;

    const MANY: Rule = Rule {
        name: "many",
        grade: Grade::Doubt,
        title: "",
        why: "",
    };

    /// Names and numbers of what is told of so many.
    fn told(number: usize, most: usize, accepted: &[usize]) -> Vec<(String, u32)> {
        let finding =
            |file: String| MANY.at(Place::whole(file), Words::default(), Words::default());
        let mut findings = vec![finding("another rule's".into())];
        let mut told = Told::at_most(most);
        for at in 0..number {
            told.take(
                finding(at.to_string()),
                accepted.contains(&at),
                &mut findings,
            );
        }
        let all: usize = findings.iter().map(Finding::count).sum();
        assert_eq!(all, 1 + number);
        let told = findings.iter().skip(1);
        told.map(|finding| (finding.place.file.to_string(), finding.alike))
            .collect()
    }

    #[test]
    fn none_is_lost_count_of_and_none_that_is_accepted_is_dropped() {
        let is = |told: Vec<(String, u32)>, wanted: &[(&str, u32)]| {
            let wanted: Vec<(String, u32)> = wanted
                .iter()
                .map(|(name, alike)| ((*name).to_owned(), *alike))
                .collect();
            assert_eq!(told, wanted);
        };
        is(told(3, 5, &[]), &[("0", 0), ("1", 0), ("2", 0)]);
        is(told(9, 3, &[]), &[("0", 0), ("1", 0), ("2", 6)]);
        // An open one bears the number.
        is(
            told(9, 3, &[2, 7]),
            &[("0", 0), ("1", 5), ("2", 0), ("7", 0)],
        );
        // All that would have stayed are accepted.
        is(told(6, 2, &[0, 1]), &[("0", 0), ("1", 0), ("2", 3)]);
    }

    #[test]
    fn no_such_rule_has_consequences_or_is_one() {
        let photos = include_str!("photos.rs");
        let consequences = include_str!("consequence.rs");
        let mut few = 0;
        // By the text: what uses it, and the names of what uses it.
        for function in photos
            .split("\nfn ")
            .filter(|text| text.contains("Few::among"))
        {
            let name = function
                .split('(')
                .next()
                .unwrap_or_default()
                .replace('_', "-");
            assert!(
                crate::finding::rules().iter().any(|rule| rule.name == name),
                "{name}"
            );
            assert!(!consequences.contains(&format!("\"{name}\"")), "{name}");
            few += 1;
        }
        assert_eq!(few, 5);
    }
}
