//! Effort: pulls, people, hours, boats.

use crate::estimate;
use crate::place::Place;
use crate::season::Pull;
use crate::words;
use crate::words::Words;

use super::core::{Figure, Measure, Outturn};
use super::left_out::LeftOut;
use super::scope::Scope;

/// All figures of effort of a scope.
pub fn figures(scope: &Scope<'_>) -> Vec<Figure> {
    let mut figures = vec![pulls(scope), crews(scope), days(scope), visits(scope)];
    figures.push(hours(
        scope,
        "effort.person-hours",
        words!("Person-hours on the water"),
        words!(
            "Sum over pulls of staff and volunteer hours as logged, or heads times end minus start."
        ),
        Pull::person_hours,
        words!("its hours are not recorded"),
    ));
    figures.push(hours(
        scope,
        "effort.staff-hours",
        words!("Staff hours on the water"),
        words!("Sum over pulls of paid people's hours as logged, or heads times end minus start."),
        |pull| pull.effort().0.hours(),
        words!("its staff hours are not recorded"),
    ));
    figures.push(hours(
        scope,
        "effort.volunteer-hours",
        words!("Volunteer hours on the water"),
        words!("Sum over pulls of volunteers' hours as logged, or heads times end minus start."),
        |pull| pull.effort().1.hours(),
        words!("its volunteer hours are not recorded"),
    ));
    figures.push(hours(
        scope,
        "effort.travel-hours",
        words!("Travel and shore hours"),
        words!("Sum over pulls of person-hours of travel and shore work as logged; kept apart from effort."),
        Pull::travel_hours,
        words!("its travel hours are not recorded"),
    ));
    figures.push(hours(
        scope,
        "effort.boat-hours",
        words!("Boat-hours"),
        words!("Sum over pulls of boats times end minus start."),
        Pull::boat_hours,
        words!("its boats, its start or its end are not recorded"),
    ));
    figures
}

fn all_places(scope: &Scope<'_>) -> Vec<Place> {
    scope
        .pulls
        .iter()
        .flat_map(|(_, pull)| pull.places())
        .collect()
}

/// Exact for every number of records that a table can hold.
fn count(number: usize) -> f64 {
    number as f64
}

fn pulls(scope: &Scope<'_>) -> Figure {
    scope
        .figure(
            "effort.pulls",
            words!("Pulls"),
            Measure::Count,
            Outturn::Exact(count(scope.pulls.len())),
            words!("Count of pulls in the log: one crew at one site on one outing."),
        )
        .resting_on(all_places(scope))
        .without(
            scope
                .season
                .pulls
                .iter()
                .filter(|pull| {
                    pull.is_empty()
                        && scope.site.is_none_or(|site| {
                            scope
                                .season
                                .site_of(pull)
                                .is_some_and(|of| of.id == site.id)
                        })
                })
                .map(|pull| {
                    LeftOut::of_pull(
                        pull,
                        words!("it says neither who was there nor what came out"),
                    )
                }),
        )
}

fn days(scope: &Scope<'_>) -> Figure {
    let mut days: Vec<_> = scope
        .pulls
        .iter()
        .filter_map(|(_, pull)| pull.date())
        .collect();
    days.sort_unstable();
    days.dedup();
    scope
        .figure(
            "effort.days",
            words!("Days with a pull"),
            Measure::Count,
            Outturn::Exact(count(days.len())),
            words!("Count of different days in the log."),
        )
        .resting_on(all_places(scope))
        .without(left_out(
            scope,
            |pull| pull.date().is_some(),
            words!("it has no date"),
        ))
}

/// The most crews out at once can't be told from a log without crew names; how many crews went out, day by day, can.
fn crews(scope: &Scope<'_>) -> Figure {
    let mut crews: std::collections::BTreeMap<chrono::NaiveDate, Vec<&Pull>> =
        std::collections::BTreeMap::new();
    for (_, pull) in &scope.pulls {
        if let Some(date) = pull.date() {
            crews.entry(date).or_default().push(pull);
        }
    }
    let total: usize = crews.values().map(|of_day| crews_of_a_day(of_day)).sum();
    scope
        .figure(
            "effort.crews",
            words!("Crews sent out, summed over days"),
            Measure::Count,
            Outturn::Exact(count(total)),
            words!("For each day the number of pulls, less those that follow an earlier pull of the day with the same heads: a crew that went \
             on to its next site."),
        )
        .assuming(words!("A crew keeps its heads from one site to the next on the same day."))
        .resting_on(all_places(scope))
        .without(left_out(scope, |pull| pull.date().is_some(), words!("it has no date")))
}

fn crews_of_a_day(pulls: &[&Pull]) -> usize {
    let mut pulls: Vec<&&Pull> = pulls.iter().collect();
    pulls.sort_by_key(|pull| pull.start());
    // Each crew by its heads and the end of its last pull.
    let mut crews: Vec<(Option<u32>, Option<u32>, chrono::NaiveTime)> = Vec::new();
    let mut unplaced = 0;
    for pull in pulls {
        let (Some(start), Some(end)) = (pull.start(), pull.end()) else {
            unplaced += 1;
            continue;
        };
        let heads = (pull.staff(), pull.volunteers());
        match crews.iter_mut().find(|(staff, volunteers, free)| {
            (*staff, *volunteers) == heads && heads != (None, None) && *free <= start
        }) {
            Some(crew) => crew.2 = end,
            None => crews.push((heads.0, heads.1, end)),
        }
    }
    crews.len() + unplaced
}

fn visits(scope: &Scope<'_>) -> Figure {
    let heads = |pull: &Pull| match (pull.staff(), pull.volunteers()) {
        (None, None) => None,
        (staff, volunteers) => {
            Some(f64::from(staff.unwrap_or(0)) + f64::from(volunteers.unwrap_or(0)))
        }
    };
    let known: Vec<f64> = scope
        .pulls
        .iter()
        .filter_map(|(_, pull)| heads(pull))
        .collect();
    let outturn = if known.is_empty() {
        Outturn::Refused(words!("No pull tells how many people were there."))
    } else {
        Outturn::Exact(estimate::sum(known.iter().copied()))
    };
    scope
        .figure(
            "effort.visits",
            words!("Heads on the water, summed over pulls"),
            Measure::Count,
            outturn,
            words!("Sum of heads over pulls: visits, not different people."),
        )
        .resting_on(
            scope
                .pulls
                .iter()
                .filter(|(_, pull)| heads(pull).is_some())
                .flat_map(|(_, pull)| pull.places()),
        )
        .without(left_out(
            scope,
            |pull| heads(pull).is_some(),
            words!("its heads are not recorded"),
        ))
}

fn left_out<'a>(
    scope: &'a Scope<'_>,
    known: impl Fn(&Pull) -> bool + 'a,
    reason: Words,
) -> impl Iterator<Item = LeftOut> + 'a {
    scope
        .pulls
        .iter()
        .filter(move |(_, pull)| !known(pull))
        .map(move |(_, pull)| LeftOut::of_pull(pull, &reason))
}

/// A sum of hours over the pulls of a scope.
pub(super) fn hours(
    scope: &Scope<'_>,
    stem: &str,
    label: Words,
    method: Words,
    of: impl Fn(&Pull) -> Option<f64>,
    missing: Words,
) -> Figure {
    let known: Vec<f64> = scope
        .pulls
        .iter()
        .filter_map(|(_, pull)| of(pull))
        .collect();
    let outturn = if scope.pulls.is_empty() {
        Outturn::Refused(words!("There is no pull."))
    } else if known.is_empty() {
        Outturn::Refused(words!(
            "In no pull of {pulls} is it recorded.",
            pulls = scope.pulls.len()
        ))
    } else {
        Outturn::Exact(estimate::sum(known.iter().copied()))
    };
    scope
        .figure(stem, label, Measure::Time, outturn, method)
        .resting_on(
            scope
                .pulls
                .iter()
                .filter(|(_, pull)| of(pull).is_some())
                .flat_map(|(_, pull)| pull.places()),
        )
        .without(left_out(scope, |pull| of(pull).is_some(), missing))
}
