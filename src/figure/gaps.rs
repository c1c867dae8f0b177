//! Hours that nobody logged, filled in; beside the total as logged and never mixed into it.

use std::collections::BTreeMap;

use super::core::{Figure, Measure};
use super::scope::Scope;
use crate::estimate::{self, Gap};

/// Enough fillings that another seed changes the interval by less than a hundredth.
const FILLINGS: usize = 1_000;

/// Start of the random draws. Any number serves, as long as it stays the same: the same folder gives the same figure.
pub const SEED: u64 = 20_250_701;

/// Hours known and number of pulls without, by the site's name.
pub fn groups<'a>(scope: &Scope<'a>) -> BTreeMap<Option<&'a str>, (Vec<f64>, usize)> {
    let mut groups: BTreeMap<Option<&str>, (Vec<f64>, usize)> = BTreeMap::new();
    for (_, pull) in &scope.pulls {
        let site = scope.season.site_of(pull).map(|site| site.name.as_str());
        let group = groups.entry(site).or_default();
        match pull.person_hours() {
            Some(hours) => group.0.push(hours),
            None => group.1 += 1,
        }
    }
    groups
}

/// Person-hours with the missing ones filled in; none where all hours are known or none is.
pub fn hours(scope: &Scope<'_>) -> Option<Figure> {
    let groups = groups(scope);
    let missing: usize = groups.values().map(|(_, missing)| missing).sum();
    let known: usize = groups.values().map(|(known, _)| known.len()).sum();
    if missing == 0 || known == 0 {
        return None;
    }
    let gaps: Vec<Gap<'_>> = groups
        .values()
        .map(|(observed, missing)| Gap {
            observed,
            missing: *missing,
        })
        .collect();
    let named = |mut text: String| {
        for (number, site) in groups.keys().enumerate().rev() {
            let name = site.unwrap_or("Pulls without a known site:");
            text = text.replace(&format!("Group {} ", number + 1), &format!("{name} "));
        }
        text
    };
    let outcome = estimate::impute_total(&gaps, FILLINGS, SEED, scope.level())
        .map(|mut estimate| {
            estimate.caution = estimate.caution.into_iter().map(named).collect();
            estimate
        })
        .map_err(|refusal| estimate::Refusal::new(named(refusal.reason)));
    Some(
        scope
            .figure(
                "effort.person-hours-imputed",
                "Person-hours on the water with the missing ones filled in",
                Measure::Time,
                outcome.into(),
                &format!(
                    "Hours as logged, plus for {missing} pulls without hours the hours of pulls at the same site, drawn {FILLINGS} times. Stands \
                     beside the total as logged and is in no other figure."
                ),
            )
            .assuming("Whether hours were logged has nothing to do with how many they were.")
            .resting_on(scope.pulls.iter().flat_map(|(_, pull)| pull.places())),
    )
}
