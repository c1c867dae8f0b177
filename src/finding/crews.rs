//! Heads against hours, and crews that would have been in two places at once.

use geo::{Centroid, Distance, Geodesic};

use super::Check;
use super::core::{Finding, Grade};
use super::rule::Rule;
use crate::season::{Pull, Season, value};
use crate::words;
use crate::words::number;

const HEADS_AGAINST_HOURS: Rule = Rule {
    name: "heads-against-hours",
    grade: Grade::Doubt,
    title: "Person-hours disagree with heads, start and end.",
    why: "The hours that the log gives are counted: if they are one person's, or heads were written for hours, the effort is off by a multiple.",
};
const CREW_IN_TWO_PLACES: Rule = Rule {
    name: "crew-in-two-places",
    grade: Grade::Doubt,
    title: "One crew was at two sites on one day with too little time between them.",
    why: "Hours of one of the two pulls were not worked, or a date or a time is wrong.",
};
const MORE_BOATS_THAN_HEADS: Rule = Rule {
    name: "more-boats-than-heads",
    grade: Grade::Doubt,
    title: "A pull had more boats than people.",
    why: "Boat-hours would be too high; heads and boats may have changed columns.",
};

/// All rules of this theme, with their functions.
pub const RULES: &[(Rule, Check)] = &[
    (HEADS_AGAINST_HOURS, heads_against_hours),
    (CREW_IN_TWO_PLACES, crew_in_two_places),
    (MORE_BOATS_THAN_HEADS, more_boats_than_heads),
];

/// Some leave early and some stay to load: hours between a half and five quarters of heads times clock are told by no rule (common
/// practice, no source).
const LEAST_SHARE: f64 = 0.5;
const MOST_SHARE: f64 = 1.25;

/// A difference below this is a matter of rounding.
const SMALL_H: f64 = 1.0;

fn heads_against_hours(season: &Season, findings: &mut Vec<Finding>) {
    for pull in &season.pulls {
        let (Some(first), Some(duration)) = (pull.rows.first(), pull.duration()) else {
            continue;
        };
        let mut of_pull: Vec<Finding> = Vec::new();
        for (column, hours, heads, who) in super::hours::by_giver(pull, first) {
            let (Some(hours), Some(heads)) = (hours, heads.map(f64::from)) else {
                continue;
            };
            // Hours that nobody can work in a day are told by another rule.
            if heads > 0.0 && hours > heads * super::hours::LONGEST_DAY_H {
                continue;
            }
            let expected = heads * duration;
            let within = hours >= LEAST_SHARE * expected && hours <= MOST_SHARE * expected;
            if within || (hours - expected).abs() < SMALL_H {
                continue;
            }
            of_pull.push(HEADS_AGAINST_HOURS.on(
                &first.row,
                Some(column),
                words!(
                    "{hours} person-hours of {who}; {heads} heads from {start} to {end} make {expected}.",
                    hours = number(hours.to_string()),
                    who = &who,
                    heads = number(heads.to_string()),
                    start = clock(pull.start()),
                    end = clock(pull.end()),
                    expected = number(expected.to_string())
                ),
                words!(
                    "Write the hours of all {who} together, {expected} if everybody stayed from start to end; or correct heads or clock.",
                    who,
                    expected = number(expected.to_string())
                ),
            ));
        }
        // One slip of the clock sets both kinds apart.
        let both = of_pull.len() > 1;
        if let Some(mut first) = of_pull.into_iter().next() {
            if both {
                first.message = first
                    .message
                    .then(" ", words!("The volunteers' hours disagree too."));
            }
            findings.push(first);
        }
    }
}

/// A time of day as the log has it; nothing where there is none.
fn clock(time: Option<chrono::NaiveTime>) -> String {
    time.map(|time| time.format("%H:%M").to_string())
        .unwrap_or_default()
}

/// Kilometres an hour, by the straight line and on any road: nobody moves boats faster (common practice, no source).
const FASTEST_KM_H: f64 = 60.0;

/// Logs are kept to the quarter of an hour (common practice, no source).
const ROUNDING_H: f64 = 0.25;

/// Are two pulls of one day by one crew? By the column crew, where both have it; else by the same heads and boats.
fn one_crew(a: &Pull, b: &Pull) -> bool {
    match (a.crew(), b.crew()) {
        (Some(a), Some(b)) => value::fold(a) == value::fold(b),
        (None, None) => {
            let heads = |pull: &Pull| (pull.staff(), pull.volunteers(), pull.boats());
            // One person alone is no crew to be known by its number.
            let known = a
                .staff()
                .unwrap_or(0)
                .saturating_add(a.volunteers().unwrap_or(0))
                > 1;
            known && heads(a) == heads(b)
        }
        _ => false,
    }
}

fn crew_in_two_places(season: &Season, findings: &mut Vec<Finding>) {
    for of_day in season.pulls_by_day() {
        for (index, later) in of_day.iter().enumerate() {
            let mut before = of_day.iter().take(index);
            findings.extend(before.find_map(|earlier| two_places(season, earlier, later)));
        }
    }
}

fn two_places(season: &Season, one: &Pull, other: &Pull) -> Option<Finding> {
    if !one_crew(one, other) {
        return None;
    }
    let (here, there) = (season.site_of(one)?, season.site_of(other)?);
    if here.id == there.id {
        return None;
    }
    let (first, second) = if one.start()? <= other.start()? {
        (one, other)
    } else {
        (other, one)
    };
    // Hours that are out of order are told by another rule.
    first.duration()?;
    second.duration()?;
    let hours = |span: chrono::TimeDelta| span.num_seconds() as f64 / 3600.0;
    let gap = hours(second.start()? - first.end()?);
    // Two crews of equal size start together; one crew goes on to its second site when it has done most of the first.
    let together =
        hours(second.start()? - first.start()?) < hours(first.end()? - first.start()?) / 2.0;
    if together && (one.crew().is_none() || other.crew().is_none()) {
        return None;
    }
    let distance_km =
        Geodesic.distance(here.outline.centroid()?, there.outline.centroid()?) / 1000.0;
    let needed = distance_km / FASTEST_KM_H;
    if gap + ROUNDING_H >= needed {
        return None;
    }
    let row = other.rows.first()?;
    let message = if gap < 0.0 {
        words!(
            "Pull {second} at {site} begins {gap} min before the same crew ends pull {first} at {other}, {distance_km} km away.",
            second = &second.id,
            site = &season.site_of(second)?.id,
            gap = number(format!("{:.0}", -gap * 60.0)),
            first = &first.id,
            other = &season.site_of(first)?.id,
            distance_km = number(format!("{distance_km:.1}"))
        )
    } else {
        words!(
            "Between pull {first} and pull {second} the same crew had {gap} min for {distance_km} km.",
            first = &first.id,
            second = &second.id,
            gap = number(format!("{:.0}", gap * 60.0)),
            distance_km = number(format!("{distance_km:.1}"))
        )
    };
    Some(
        CREW_IN_TWO_PLACES
            .on(
                &row.row,
                Some("start"),
                message,
                words!(
                    "Correct date, start or end; if these were two crews, tell them apart in a column crew (A, B), or accept the finding."
                ),
            )
            .with([one.place()]),
    )
}

fn more_boats_than_heads(season: &Season, findings: &mut Vec<Finding>) {
    for pull in &season.pulls {
        let (Some(boats), Some(first)) = (pull.boats(), pull.rows.first()) else {
            continue;
        };
        let heads = match (pull.staff(), pull.volunteers()) {
            (Some(staff), Some(volunteers)) => staff.saturating_add(volunteers),
            // Where one kind is silent the boats may have been theirs.
            _ => continue,
        };
        if heads > 0 && boats > heads {
            findings.push(MORE_BOATS_THAN_HEADS.on(
                &first.row,
                Some("boats"),
                words!("{boats} boats and {heads} people.", boats, heads),
                words!(
                    "Correct the one that is wrong from the field sheet; a boat that was towed is accepted with a word."
                ),
            ));
        }
    }
}
