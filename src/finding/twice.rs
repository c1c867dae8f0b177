//! Outings and rows that were logged twice, and rows of one outing that disagree.

use std::collections::BTreeSet;

use super::Check;
use super::core::{Finding, Grade};
use super::rule::Rule;
use crate::season::{Pull, PullRow, Season, value};
use crate::words;

const PULL_LOGGED_TWICE: Rule = Rule {
    name: "pull-logged-twice",
    grade: Grade::Error,
    title: "Two pulls look like one outing that was logged twice.",
    why: "Its hours and its catch would be counted twice.",
};
const ROW_LOGGED_TWICE: Rule = Rule {
    name: "row-logged-twice",
    grade: Grade::Error,
    title: "Two rows of one pull say the same.",
    why: "The containers would be counted twice.",
};
const PULL_CONTRADICTS_ITSELF: Rule = Rule {
    name: "pull-contradicts-itself",
    grade: Grade::Error,
    title: "Rows of one pull disagree on what the pull has only once.",
    why: "Only the first is used: the pull's day, site or hours may be wrong.",
};

/// All rules of this theme, with their functions.
pub const RULES: &[(Rule, Check)] = &[
    (PULL_LOGGED_TWICE, pull_logged_twice),
    (ROW_LOGGED_TWICE, row_logged_twice),
    (PULL_CONTRADICTS_ITSELF, pull_contradicts_itself),
];

/// The containers that a pull logged, for telling whether two pulls are one.
fn catch_of(pull: &Pull) -> Vec<(Option<&str>, String)> {
    let mut catch: Vec<(Option<&str>, String)> = pull
        .rows
        .iter()
        .filter(|row| row.containers.is_some() || row.mass.is_some() || row.plants.is_some())
        .map(|row| {
            (
                row.container.as_deref(),
                format!("{:?} {:?} {:?}", row.containers, row.mass, row.plants),
            )
        })
        .collect();
    catch.sort();
    catch
}

/// Same day, site and pass, and either the same hours of the day with no contradiction in the catch, or the same person-hours and
/// the same catch.
pub(super) fn look_like_one(season: &Season, a: &Pull, b: &Pull) -> bool {
    let site = |pull: &Pull| {
        season
            .site_of(pull)
            .map(|site| site.id.clone())
            .or_else(|| pull.site_text().map(value::fold).map(Into::into))
    };
    if a.date().is_none() || a.date() != b.date() || a.pass() != b.pass() {
        return false;
    }
    let same_clock =
        a.start().is_some() && a.start() == b.start() && a.end().is_some() && a.end() == b.end();
    let same_hours =
        a.person_hours().is_some_and(|hours| hours > 0.0) && a.person_hours() == b.person_hours();
    if !same_clock && !same_hours {
        return false;
    }
    let (catch_a, catch_b) = (catch_of(a), catch_of(b));
    let same_catch = catch_a == catch_b;
    let alike = (same_clock && (same_catch || catch_a.is_empty() || catch_b.is_empty()))
        || (same_hours && same_catch && !catch_a.is_empty());
    // What takes longest comes last: a pull's site is looked up by its name.
    alike && site(a).is_some() && site(a) == site(b)
}

fn pull_logged_twice(season: &Season, findings: &mut Vec<Finding>) {
    for of_day in season.pulls_by_day() {
        for (index, later) in of_day.iter().enumerate() {
            let mut before = of_day.iter().take(index);
            let earlier = before.find(|earlier| look_like_one(season, earlier, later));
            if let (Some(earlier), Some(row)) = (earlier, later.rows.first()) {
                findings.push(
                    PULL_LOGGED_TWICE
                        .on(
                            &row.row,
                            None,
                            words!(
                                "Pull {later} looks like pull {earlier}: same day, site and hours.",
                                later = &later.id,
                                earlier = &earlier.id
                            ),
                            words!(
                                "If both leaders logged one outing, take {later} out, or empty its hours and containers and say so in \
                                 notes; if these were two crews, accept the finding.",
                                later = &later.id
                            ),
                        )
                        .with([earlier.place()]),
                );
            }
        }
    }
}

fn row_logged_twice(season: &Season, findings: &mut Vec<Finding>) {
    for pull in &season.pulls {
        for (index, row) in pull.rows.iter().enumerate() {
            let amount = |row: &PullRow| {
                (
                    row.container.clone(),
                    row.stage.clone(),
                    row.containers,
                    row.mass,
                    row.plants,
                )
            };
            let said = |row: &PullRow| {
                row.containers.is_some() || row.mass.is_some() || row.plants.is_some()
            };
            let twin = pull
                .rows
                .iter()
                .take(index)
                .find(|earlier| said(row) && amount(earlier) == amount(row));
            if let Some(twin) = twin {
                findings.push(
                    ROW_LOGGED_TWICE
                        .on(
                            &row.row,
                            None,
                            words!(
                                "The row says the same as row {row} of the same pull.",
                                row = twin.row.number.to_string()
                            ),
                            words!(
                                "Take one of the two out; if both are right, add up their containers in one row, or accept the finding."
                            ),
                        )
                        .with([twin.row.place()]),
                );
            }
        }
    }
}

fn pull_contradicts_itself(season: &Season, findings: &mut Vec<Finding>) {
    for pull in &season.pulls {
        let Some(first) = pull.rows.first() else {
            continue;
        };
        let mut told = BTreeSet::new();
        for row in pull.rows.iter().skip(1) {
            let site_differs = match (first.site.as_deref(), row.site.as_deref()) {
                (Some(a), Some(b)) => match (season.ground.site(a), season.ground.site(b)) {
                    (Some(a), Some(b)) => a.id != b.id,
                    _ => value::fold(a) != value::fold(b),
                },
                _ => false,
            };
            let differs = [
                ("date", differ(first.date, row.date)),
                ("site", site_differs),
                ("start", differ(pull.start(), row.start)),
                ("end", differ(pull.end(), row.end)),
                ("staff", differ(pull.staff(), row.staff)),
                ("volunteers", differ(pull.volunteers(), row.volunteers)),
                (
                    "staff_hours",
                    differ(logged(pull, |row| row.staff_hours), row.staff_hours),
                ),
                (
                    "volunteer_hours",
                    differ(logged(pull, |row| row.volunteer_hours), row.volunteer_hours),
                ),
                ("boats", differ(pull.boats(), row.boats)),
            ];
            for (column, differs) in differs {
                if differs && told.insert((row.row.number, column)) {
                    findings.push(
                        PULL_CONTRADICTS_ITSELF
                            .on(
                                &row.row,
                                Some(column),
                                words!(
                                    "Pull {pull} has another {column} in an earlier row.",
                                    pull = &pull.id,
                                    column
                                ),
                                words!(
                                    "Give rows of one outing the same entry, or leave it empty in all but the first; give another outing its own id."
                                ),
                            )
                            .with([first.row.place()]),
                    );
                }
            }
        }
    }
}

fn logged(pull: &Pull, hours: impl Fn(&PullRow) -> Option<f64>) -> Option<f64> {
    pull.rows.iter().find_map(hours)
}

fn differ<T: PartialEq>(first: Option<T>, later: Option<T>) -> bool {
    matches!((first, later), (Some(first), Some(later)) if first != later)
}
