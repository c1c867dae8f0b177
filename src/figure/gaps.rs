//! Hours and masses that nobody logged, filled in; beside the totals as logged and never mixed into them.

use std::collections::BTreeMap;

use super::core::{Figure, Measure};
use super::removal::{Part, Removal};
use super::scope::Scope;
use crate::estimate::{self, Estimate, Gap, Outcome, Refusal};
use crate::place::Place;
use crate::season::{Known, RowIndex};
use crate::words;
use crate::words::Words;

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
    let names = || {
        groups.keys().map(|site| match site {
            Some(site) => Words::own(*site),
            None => words!("Pulls without a known site:"),
        })
    };
    let named = |words: Words| estimate::naming_groups(words, names());
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
                words!("Person-hours on the water with the missing ones filled in"),
                Measure::Time,
                outcome.into(),
                words!("Hours as logged, plus for {missing} pulls without hours the hours of pulls at the same site, drawn {fillings} times. Stands \
                     beside the total as logged and is in no other figure.", missing, fillings = FILLINGS.to_string()),
            )
            .assuming(words!("Whether hours were logged has nothing to do with how many they were."))
            .resting_on(scope.pulls.iter().flat_map(|(_, pull)| pull.places())),
    )
}

/// Site, kind of container and stage of rows, in words: a row is filled in from its own group only, since a basket of seedlings
/// is no basket of grown plants.
fn group_of(scope: &Scope<'_>, removal: &Removal<'_>, index: RowIndex) -> Option<Words> {
    let row = removal.row(index)?;
    let pull = scope.season.pulls.get(index.pull)?;
    let site = scope.season.site_of(pull).map(|site| site.name.as_str());
    Some(words!(
        "{site}, {recorded}, {recorded_2}:",
        site = site.unwrap_or("no known site"),
        recorded = row.container.as_deref().unwrap_or("kind not recorded"),
        recorded_2 = row.stage.as_deref().unwrap_or("stage not recorded")
    ))
}

/// Masses known row by row, and the rows that say nothing of what came out.
#[derive(Default)]
pub struct MassGroup {
    pub known: Vec<f64>,
    pub missing: usize,
}

/// The groups of a scope in which a row says nothing.
pub fn mass_groups(mass: &Removal<'_>, scope: &Scope<'_>) -> BTreeMap<Words, MassGroup> {
    let numbers = scope.pulls.iter().map(|(index, _)| *index).collect();
    let mut groups: BTreeMap<Words, MassGroup> = BTreeMap::new();
    for index in mass.rows_of(&numbers) {
        let Some(name) = group_of(scope, mass, index) else {
            continue;
        };
        match mass.known(index) {
            Some(Known::Nothing) => groups.entry(name).or_default().missing += 1,
            Some(Known::Weighed(_) | Known::Counted(_) | Known::Convert { .. } | Known::Zero) => {
                let row = Part::from([index]);
                let tally = mass.tally(&row);
                if let (true, Ok(total)) =
                    (tally.is_complete(), mass.total(&tally, &row, scope.level()))
                {
                    groups.entry(name).or_default().known.push(total.value);
                }
            }
            _ => {}
        }
    }
    groups.retain(|_, group| group.missing > 0);
    groups
}

/// The mass with that of rows that say nothing filled in; none where every row says something.
pub fn mass(mass: &Removal<'_>, scope: &Scope<'_>) -> Option<Figure> {
    let groups = mass_groups(mass, scope);
    let missing: usize = groups.values().map(|group| group.missing).sum();
    if missing == 0 {
        return None;
    }
    let numbers = scope.pulls.iter().map(|(index, _)| *index).collect();
    let part = mass.rows_of(&numbers);
    let tally = mass.tally(&part);
    let level = scope.level();
    let outcome = mass.total(&tally, &part, level).and_then(|total| {
        let filled = filled(&groups, level)?;
        let observed = total.interval.map_or(0.0, |_| mass.measured(&tally, &part));
        estimate::sum_with_filled(&total, &filled, observed, level)
    });
    let rows: Vec<Place> = part
        .iter()
        .filter(|index| mass.known(**index) == Some(&Known::Nothing))
        .filter_map(|index| mass.row(*index))
        .map(|row| row.row.place())
        .collect();
    Some(
        scope
            .figure(
                &format!("{}-imputed", mass.stem()),
                words!("{noun} with what nobody logged filled in", noun = mass.noun()),
                Measure::Mass,
                outcome.into(),
                words!("The total, plus for {missing} rows that say nothing of what came out the masses of rows of the same site, kind and stage, \
                     drawn {fillings} times. What was counted and can't be converted is not filled in. Stands beside the total and is in no other \
                     figure.", missing, fillings = FILLINGS.to_string()),
            )
            .assuming(words!("Whether a catch was logged has nothing to do with how much it was."))
            .resting_on(mass.places(&tally).into_iter().chain(rows)),
    )
}

/// What the rows that say nothing held, by the others of their groups.
fn filled(groups: &BTreeMap<Words, MassGroup>, level: f64) -> Outcome {
    let gaps: Vec<Gap<'_>> = groups
        .values()
        .map(|group| Gap {
            observed: &group.known,
            missing: group.missing,
        })
        .collect();
    let named = |words: Words| estimate::naming_groups(words, groups.keys().cloned());
    let known = estimate::sum(
        groups
            .values()
            .flat_map(|group| group.known.iter().copied()),
    );
    match estimate::impute_total(&gaps, FILLINGS, SEED, level) {
        Ok(all) => Ok(Estimate {
            value: (all.value - known).max(0.0),
            interval: None,
            caution: all.caution.into_iter().map(named).collect(),
            ..all
        }),
        Err(refusal) => Err(Refusal::new(named(refusal.reason))),
    }
}
