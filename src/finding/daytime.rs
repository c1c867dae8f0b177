//! Hours against the daylight of the day and the site.

use chrono::{NaiveDate, NaiveTime, TimeZone};
use geo::Centroid;

use super::Check;
use super::core::{Finding, Grade};
use super::rule::Rule;
use crate::daylight::{self, Light, Limit};
use crate::season::{Pull, Season};
use crate::words;
use crate::words::number;

const HOURS_BEYOND_DAYLIGHT: Rule = Rule {
    name: "hours-beyond-daylight",
    grade: Grade::Error,
    title: "A pull has more hours a person than the day had light.",
    why: "The person-hours would be too high, and every rate per hour too low.",
};
const PULL_IN_THE_DARK: Rule = Rule {
    name: "pull-in-the-dark",
    grade: Grade::Doubt,
    title: "A pull starts or ends in the dark.",
    why: "Most often an afternoon hour was written without pm: hours that follow from start and end are wrong by half a day.",
};

/// All rules of this theme, with their functions.
pub const RULES: &[(Rule, Check)] = &[
    (HOURS_BEYOND_DAYLIGHT, hours_beyond_daylight),
    (PULL_IN_THE_DARK, pull_in_the_dark),
];

/// The light of the pull's day at its site, civil twilight included.
fn light_of(season: &Season, pull: &Pull) -> Option<(NaiveDate, Light)> {
    let date = pull.date()?;
    let middle = season.site_of(pull)?.outline.centroid()?;
    Some((
        date,
        daylight::light(date, middle.y(), middle.x(), Limit::CivilTwilight),
    ))
}

fn hours_beyond_daylight(season: &Season, findings: &mut Vec<Finding>) {
    for pull in &season.pulls {
        let (Some((date, light)), Some(first)) = (light_of(season, pull), pull.rows.first()) else {
            continue;
        };
        let most = light.hours();
        for (column, hours, heads, who) in super::hours::by_giver(pull, first) {
            // Hours that nobody can work in any day are told by another rule.
            let (Some(hours), Some(heads)) = (hours, heads.map(f64::from)) else {
                continue;
            };
            if heads > 0.0 && hours > heads * most && hours <= heads * super::hours::LONGEST_DAY_H {
                findings.push(HOURS_BEYOND_DAYLIGHT.on(
                    &first.row,
                    Some(column),
                    words!(
                        "{hours} person-hours by {heads} {who} are {each} each; {date} had {most} hours of light there.",
                        hours = number(hours.to_string()),
                        heads = number(heads.to_string()),
                        who,
                        each = number(format!("{:.1}", hours / heads)),
                        date = date.to_string(),
                        most = number(format!("{most:.1}"))
                    ),
                    words!(
                        "Correct the hours or the heads from the field sheet; travel has a column of its own."
                    ),
                ));
            }
        }
        if let Some(duration) = pull.duration()
            && duration > most
        {
            findings.push(HOURS_BEYOND_DAYLIGHT.on(
                &first.row,
                Some("end"),
                words!(
                    "The pull lasts {duration} hours; {date} had {most} hours of light there.",
                    duration = number(format!("{duration:.1}")),
                    date = date.to_string(),
                    most = number(format!("{most:.1}"))
                ),
                words!(
                    "Correct start and end from the field sheet; an afternoon hour needs pm or the 24-hour clock."
                ),
            ));
        }
    }
}

/// Loading and unloading at the landing go on after dusk: so many minutes of the log may lie beyond twilight (common practice, no
/// source).
const LANDING: chrono::TimeDelta = chrono::TimeDelta::minutes(60);

fn pull_in_the_dark(season: &Season, findings: &mut Vec<Finding>) {
    let zone = season.settings.time_zone;
    for pull in &season.pulls {
        let (Some((date, Light::Between { from, to })), Some(first)) =
            (light_of(season, pull), pull.rows.first())
        else {
            continue;
        };
        let in_order = pull.duration().is_some_and(|hours| {
            // Longer than the day's light is told by the other rule.
            hours <= Light::Between { from, to }.hours()
        });
        if !in_order {
            continue;
        }
        let moment = |time: NaiveTime| zone.from_local_datetime(&date.and_time(time)).earliest();
        for (column, time) in [("start", pull.start()), ("end", pull.end())] {
            let Some((time, at)) = time.and_then(|time| Some((time, moment(time)?))) else {
                continue;
            };
            if at < from - LANDING || at > to + LANDING {
                let local = |moment: chrono::DateTime<chrono::Utc>| {
                    moment.with_timezone(&zone).format("%H:%M").to_string()
                };
                findings.push(PULL_IN_THE_DARK.on(
                    &first.row,
                    Some(column),
                    words!(
                        "The pull's {column} is {time}; there was light from {from} to {to} on {date}.",
                        column,
                        time = time.format("%H:%M").to_string(),
                        from = local(from),
                        to = local(to),
                        date = date.to_string()
                    ),
                    words!(
                        "Correct the time; an afternoon hour needs pm or the 24-hour clock. If people were out in the dark, accept the finding."
                    ),
                ));
                break;
            }
        }
    }
}
