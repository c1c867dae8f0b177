//! Findings that a person lets stand, with the reason.

use super::core::{Acceptance, Finding, Grade};
use super::rule::Rule;
use crate::place::Place;
use crate::season::{SETTINGS_FILE, Season};

const ACCEPTED_IN_VAIN: Rule = Rule {
    name: "accepted-in-vain",
    grade: Grade::Doubt,
    title: "season.toml accepts a finding that is not there.",
    why: "Either it is mended, or its place has moved and the decision no longer holds for it.",
};

/// The rule of this theme, for the list of rules.
pub const RULES: &[Rule] = &[ACCEPTED_IN_VAIN];

/// Marks what season.toml accepts, and adds a finding for each acceptance that meets nothing.
pub fn apply(season: &Season, findings: &mut Vec<Finding>) {
    for (number, accepted) in season.settings.accepted.iter().enumerate() {
        let mut met = false;
        for finding in findings.iter_mut().filter(|finding| {
            finding.name == accepted.finding
                && (finding.place.to_string() == accepted.place
                    || finding.place.row_only().to_string() == accepted.place)
        }) {
            met = true;
            finding.accepted = Some(Acceptance {
                reason: accepted.reason.clone(),
                by: accepted.by.clone(),
                on: accepted.on,
            });
        }
        if !met {
            findings.push(ACCEPTED_IN_VAIN.at(
                Place::key(SETTINGS_FILE, format!("accepted.{}", number + 1)),
                format!(
                    "There is no finding {} at {}.",
                    accepted.finding, accepted.place
                ),
                "Take the entry out; or correct finding and place as check prints them.",
            ));
        }
    }
}
