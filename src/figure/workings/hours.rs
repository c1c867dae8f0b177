//! Steps under figures of effort.

use super::super::gaps;
use super::super::parts;
use super::super::scope::Scope;
use super::{Named, digits};
use crate::estimate;
use crate::season::{Effort, Pull};

/// Steps of any figure of effort.
pub fn steps(named: &Named<'_>, stem: &str) -> Vec<String> {
    let scope = &named.scope;
    match stem {
        "effort.staff-hours" => sum(
            scope,
            |pull| of_kind(pull.effort().0, pull.staff(), pull),
            "h",
        ),
        "effort.volunteer-hours" => sum(
            scope,
            |pull| of_kind(pull.effort().1, pull.volunteers(), pull),
            "h",
        ),
        "effort.travel-hours" => sum(
            scope,
            |pull| {
                pull.travel_hours()
                    .map(|hours| (hours, format!("{} h logged", digits(hours))))
            },
            "h",
        ),
        "effort.boat-hours" => sum(
            scope,
            |pull| {
                let hours = pull.boat_hours()?;
                Some((
                    hours,
                    format!(
                        "{} boats × {} h",
                        pull.boats().unwrap_or(0),
                        digits(pull.duration().unwrap_or(0.0))
                    ),
                ))
            },
            "h",
        ),
        "effort.visits" => sum(
            scope,
            |pull| match (pull.staff(), pull.volunteers()) {
                (None, None) => None,
                (staff, volunteers) => {
                    let (staff, volunteers) = (staff.unwrap_or(0), volunteers.unwrap_or(0));
                    Some((
                        f64::from(staff) + f64::from(volunteers),
                        format!("{staff} staff + {volunteers} volunteers"),
                    ))
                }
            },
            "heads",
        ),
        "effort.pulls" | "effort.days" | "effort.crews" => count(scope),
        "effort.before-seed-share" => before_seed(scope),
        "effort.person-hours-imputed" => imputed(scope),
        _ => match named.part {
            Some(part) => {
                let pulls = parts::pulls_of(scope, stem, part);
                sum(&scope.only_numbers(&pulls), person_hours, "h")
            }
            None => sum(scope, person_hours, "h"),
        },
    }
}

/// Hours of one kind of people, and how they are known.
fn of_kind(effort: Effort, heads: Option<u32>, pull: &Pull) -> Option<(f64, String)> {
    let hours = effort.hours()?;
    let words = match effort {
        Effort::Logged(_) => format!("{} h logged", digits(hours)),
        Effort::Derived(_) => format!(
            "{} × {} h",
            heads.unwrap_or(0),
            digits(pull.duration().unwrap_or(0.0))
        ),
        Effort::Silent | Effort::Missing => "none said".into(),
    };
    Some((hours, words))
}

/// Person-hours of a pull, and how they are known.
pub fn person_hours(pull: &Pull) -> Option<(f64, String)> {
    let (staff, volunteers) = pull.effort();
    let (staff, by_staff) = of_kind(staff, pull.staff(), pull)?;
    let (volunteers, by_volunteers) = of_kind(volunteers, pull.volunteers(), pull)?;
    Some((
        staff + volunteers,
        format!("staff {by_staff} + volunteers {by_volunteers}"),
    ))
}

fn sum(scope: &Scope<'_>, of: impl Fn(&Pull) -> Option<(f64, String)>, unit: &str) -> Vec<String> {
    let mut lines = Vec::new();
    let mut values = Vec::new();
    for (_, pull) in &scope.pulls {
        match of(pull) {
            Some((value, words)) => {
                lines.push(format!("{}: {words} = {} {unit}", pull.id, digits(value)));
                values.push(value);
            }
            None => lines.push(format!("{}: not recorded, left out", pull.id)),
        }
    }
    lines.push(format!(
        "Sum over {} pulls = {} {unit}",
        values.len(),
        digits(estimate::sum(values.iter().copied()))
    ));
    lines
}

fn count(scope: &Scope<'_>) -> Vec<String> {
    let mut lines: Vec<String> = scope
        .pulls
        .iter()
        .map(|(_, pull)| {
            let date = pull
                .date()
                .map_or("no date".to_owned(), |date| date.to_string());
            let hours = match (pull.start(), pull.end()) {
                (Some(start), Some(end)) => {
                    format!(", {} to {}", start.format("%H:%M"), end.format("%H:%M"))
                }
                _ => String::new(),
            };
            format!("{}: {date}{hours}", pull.id)
        })
        .collect();
    lines.push(format!("{} pulls in all", scope.pulls.len()));
    lines
}

fn before_seed(scope: &Scope<'_>) -> Vec<String> {
    let Some(ripens) = scope.season.settings.seed_ripens else {
        return Vec::new();
    };
    let total = |scope: &Scope<'_>| {
        estimate::sum(
            scope
                .pulls
                .iter()
                .filter_map(|(_, pull)| pull.person_hours()),
        )
    };
    let dated = scope.only(|pull| pull.date().is_some());
    let early = dated.only(|pull| pull.date().is_some_and(|date| date < ripens));
    vec![
        format!(
            "Before {ripens}: {} h over {} pulls",
            digits(total(&early)),
            early.pulls.len()
        ),
        format!(
            "In all: {} h over {} pulls",
            digits(total(&dated)),
            dated.pulls.len()
        ),
        format!(
            "100 × {} ÷ {}",
            digits(total(&early)),
            digits(total(&dated))
        ),
    ]
}

fn imputed(scope: &Scope<'_>) -> Vec<String> {
    let mut lines: Vec<String> = gaps::groups(scope)
        .into_iter()
        .map(|(site, (known, missing))| {
            let total = estimate::sum(known.iter().copied());
            // Exact for any number of pulls.
            let mean = total / known.len().max(1) as f64;
            format!(
                "{}: {} h over {} pulls, mean {} h; {missing} pulls without hours, filled in with {} h on average",
                site.unwrap_or("no known site"),
                digits(total),
                known.len(),
                digits(mean),
                digits(mean * missing as f64)
            )
        })
        .collect();
    lines.push(format!("Random draws begin with {}", gaps::SEED));
    lines
}
