//! The pull log: sites, days, hours, heads, and outings logged twice.

use std::collections::BTreeSet;

use super::Check;
use super::core::{Finding, Grade};
use super::rule::Rule;
use crate::season::{Effort, Pull, PullRow, Season, value};

const SITE_UNKNOWN: Rule = Rule {
    name: "site-unknown",
    grade: Grade::Error,
    title: "A table names a site that sites.geojson does not have.",
    why: "The row counts for the season and for no site, and its photos can't be held against an outline.",
};
const DATE_OUTSIDE_SEASON: Rule = Rule {
    name: "date-outside-season",
    grade: Grade::Error,
    title: "A pull lies outside the season.",
    why: "Effort and removal of another season would be counted into this one.",
};
const END_BEFORE_START: Rule = Rule {
    name: "end-before-start",
    grade: Grade::Error,
    title: "A pull ends before or when it starts.",
    why: "Hours that follow from start and end are missing, and photos are matched to the wrong hours.",
};
const PULL_EMPTY: Rule = Rule {
    name: "pull-empty",
    grade: Grade::Doubt,
    title: "A pull says neither who was there nor what came out.",
    why: "It is not counted, neither as a pull nor as effort.",
};
const HOURS_MISSING: Rule = Rule {
    name: "hours-missing",
    grade: Grade::Doubt,
    title: "A pull has no person-hours, and they don't follow from heads, start and end.",
    why: "The pull is left out of the person-hours and, with its catch, out of every rate per hour.",
};
const HOURS_ZERO: Rule = Rule {
    name: "hours-zero",
    grade: Grade::Error,
    title: "A pull that brought something in took no time.",
    why: "Its catch would raise the catch per hour for nothing.",
};
const HOURS_IMPOSSIBLE: Rule = Rule {
    name: "hours-impossible",
    grade: Grade::Error,
    title: "A pull has more person-hours than its people can have worked in a day.",
    why: "The season's person-hours would be too high, and the catch per hour too low.",
};
const HEADS_SILENT: Rule = Rule {
    name: "heads-silent",
    grade: Grade::Remark,
    title: "A pull tells the hours of one kind of people and nothing of the other.",
    why: "The other kind is read as none.",
};
const COUNT_IMPOSSIBLE: Rule = Rule {
    name: "count-impossible",
    grade: Grade::Doubt,
    title: "A count is beyond anything one outing brings.",
    why: "A slip of one digit here outweighs all other pulls together.",
};
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
const PAYER_UNKNOWN: Rule = Rule {
    name: "payer-unknown",
    grade: Grade::Error,
    title: "The payer of a pull is neither own funds, a partner nor a grant of season.toml.",
    why: "Whether its hours may count as match can't be told; they don't.",
};

/// All rules of this theme, with their functions.
pub const RULES: &[(Rule, Check)] = &[
    (SITE_UNKNOWN, site_unknown),
    (DATE_OUTSIDE_SEASON, date_outside_season),
    (END_BEFORE_START, end_before_start),
    (PULL_EMPTY, pull_empty),
    (HOURS_MISSING, hours_missing),
    (HOURS_ZERO, hours_zero),
    (HOURS_IMPOSSIBLE, hours_impossible),
    (HEADS_SILENT, heads_silent),
    (COUNT_IMPOSSIBLE, count_impossible),
    (PULL_LOGGED_TWICE, pull_logged_twice),
    (ROW_LOGGED_TWICE, row_logged_twice),
    (PULL_CONTRADICTS_ITSELF, pull_contradicts_itself),
    (PAYER_UNKNOWN, payer_unknown),
];

fn rows(season: &Season) -> impl Iterator<Item = (&Pull, &PullRow)> {
    season
        .pulls
        .iter()
        .flat_map(|pull| pull.rows.iter().map(move |row| (pull, row)))
}

fn site_unknown(season: &Season, findings: &mut Vec<Finding>) {
    // Without any outline the missing file has been told already.
    if season.ground.sites.is_empty() {
        return;
    }
    let named = rows(season)
        .map(|(_, row)| (&row.row, row.site.as_deref()))
        .chain(
            season
                .cover
                .iter()
                .map(|row| (&row.row, row.site.as_deref())),
        )
        .chain(
            season
                .history
                .iter()
                .map(|row| (&row.row, row.site.as_deref())),
        )
        .chain(
            season
                .weighings
                .iter()
                .map(|row| (&row.row, row.site.as_deref())),
        )
        .chain(
            season
                .photo_notes
                .iter()
                .map(|row| (&row.row, row.site.as_deref())),
        );
    for (row, site) in named {
        let Some(site) = site else { continue };
        if season.ground.site(site).is_some() {
            continue;
        }
        let known: Vec<&str> = season
            .ground
            .sites
            .iter()
            .flat_map(|known| [known.id.as_str(), known.name.as_str()])
            .collect();
        let mend = match value::nearest(site, known.iter().copied()) {
            Some(nearest) => format!(
                "Write {nearest}, if that is the site meant; or add the site to sites.geojson."
            ),
            None => format!(
                "Use one of {}; or add the site to sites.geojson.",
                ids(season)
            ),
        };
        findings.push(SITE_UNKNOWN.on(
            row,
            Some("site"),
            format!("{site:?} is no site of sites.geojson."),
            mend,
        ));
    }
}

fn ids(season: &Season) -> String {
    season
        .ground
        .sites
        .iter()
        .map(|site| site.id.as_str())
        .collect::<Vec<_>>()
        .join(", ")
}

fn date_outside_season(season: &Season, findings: &mut Vec<Finding>) {
    let (starts, ends) = (season.settings.starts, season.settings.ends);
    for (_, row) in rows(season) {
        if let Some(date) = row.date
            && !(starts..=ends).contains(&date)
        {
            findings.push(DATE_OUTSIDE_SEASON.on(
                &row.row,
                Some("date"),
                format!("{date} is outside the season, {starts} to {ends}."),
                "Correct the date, or starts and ends in season.toml.",
            ));
        }
    }
}

fn end_before_start(season: &Season, findings: &mut Vec<Finding>) {
    for (_, row) in rows(season) {
        if let (Some(start), Some(end)) = (row.start, row.end)
            && end <= start
        {
            findings.push(END_BEFORE_START.on(
                &row.row,
                Some("end"),
                format!(
                    "The pull ends at {} and starts at {}.",
                    end.format("%H:%M"),
                    start.format("%H:%M")
                ),
                "Correct the times; an afternoon hour needs pm or the 24-hour clock.",
            ));
        }
    }
}

fn pull_empty(season: &Season, findings: &mut Vec<Finding>) {
    for pull in &season.pulls {
        // A second log of an outing is told as such.
        let second_log = season
            .pulls
            .iter()
            .take_while(|earlier| earlier.id != pull.id)
            .any(|earlier| look_like_one(season, earlier, pull));
        if pull.is_empty()
            && !second_log
            && let Some(first) = pull.rows.first()
        {
            findings.push(PULL_EMPTY.on(
                &first.row,
                None,
                format!("Pull {} has no heads, no hours and no catch.", pull.id),
                "Fill it in from the field sheet, or take it out.",
            ));
        }
    }
}

fn hours_missing(season: &Season, findings: &mut Vec<Finding>) {
    for pull in season.pulls.iter().filter(|pull| !pull.is_empty()) {
        if pull.person_hours().is_none()
            && let Some(first) = pull.rows.first()
        {
            let (staff, volunteers) = pull.effort();
            let who = match (staff, volunteers) {
                (Effort::Missing, Effort::Missing) => "staff and volunteers",
                (Effort::Missing, _) => "staff",
                _ => "volunteers",
            };
            let column = if who == "volunteers" {
                "volunteer_hours"
            } else {
                "staff_hours"
            };
            findings.push(HOURS_MISSING.on(
                &first.row,
                Some(column),
                format!("Pull {} has no hours of {who}.", pull.id),
                "Fill in the hours, or heads with start and end, from the field sheet; write 0 where nobody of that kind was there.",
            ));
        }
    }
}

fn brought_something(pull: &Pull) -> bool {
    let some = |value: Option<f64>| value.is_some_and(|value| value > 0.0);
    pull.rows
        .iter()
        .any(|row| some(row.containers) || some(row.mass) || some(row.plants))
}

fn hours_zero(season: &Season, findings: &mut Vec<Finding>) {
    for pull in &season.pulls {
        if pull.person_hours() == Some(0.0)
            && brought_something(pull)
            && let Some(first) = pull.rows.first()
        {
            findings.push(HOURS_ZERO.on(
                &first.row,
                Some("staff_hours"),
                format!("Pull {} brought something in with 0 person-hours.", pull.id),
                "Fill in the hours from the field sheet; leave them empty if nobody noted them.",
            ));
        }
    }
}

/// More than this in one day by one person is no field day (common practice, no source).
const LONGEST_DAY_H: f64 = 16.0;

/// A crew larger than this has most likely its hours in the column of heads (common practice, no source).
const LARGEST_CREW: u32 = 150;

/// Containers of one kind from one outing (common practice, no source).
const MOST_CONTAINERS: f64 = 2000.0;

/// Plants of one row that anybody has counted one by one (common practice, no source).
const MOST_PLANTS: f64 = 100_000.0;

/// Kilograms of one row: ten loads of a small truck (common practice, no source).
const MOST_MASS_KG: f64 = 30_000.0;

fn hours_impossible(season: &Season, findings: &mut Vec<Finding>) {
    for (pull, row) in rows(season) {
        for (column, hours, heads, who) in [
            ("staff_hours", row.staff_hours, pull.staff(), "staff"),
            (
                "volunteer_hours",
                row.volunteer_hours,
                pull.volunteers(),
                "volunteers",
            ),
        ] {
            let Some(hours) = hours else { continue };
            // Without heads the whole crew's limit holds.
            let most = f64::from(heads.unwrap_or(LARGEST_CREW)) * LONGEST_DAY_H;
            if hours > most {
                findings.push(HOURS_IMPOSSIBLE.on(
                    &row.row,
                    Some(column),
                    match heads {
                        Some(heads) => format!("{hours} person-hours by {heads} {who} in one day."),
                        None => format!("{hours} person-hours by {who} in one day."),
                    },
                    "Correct the hours or the heads; minutes need the unit min in the heading.",
                ));
            }
        }
    }
}

fn heads_silent(season: &Season, findings: &mut Vec<Finding>) {
    for pull in &season.pulls {
        let (staff, volunteers) = pull.effort();
        let (column, who) = match (staff, volunteers) {
            (Effort::Silent, _) => ("staff_hours", "staff"),
            (_, Effort::Silent) => ("volunteer_hours", "volunteers"),
            _ => continue,
        };
        if let Some(first) = pull.rows.first() {
            findings.push(HEADS_SILENT.on(
                &first.row,
                Some(column),
                format!("Pull {} says nothing of {who}; read as none.", pull.id),
                format!("Write 0, or the hours of {who}."),
            ));
        }
    }
}

fn count_impossible(season: &Season, findings: &mut Vec<Finding>) {
    for (_, row) in rows(season) {
        let counts = [
            ("staff", row.staff.map(f64::from), f64::from(LARGEST_CREW)),
            (
                "volunteers",
                row.volunteers.map(f64::from),
                f64::from(LARGEST_CREW),
            ),
            ("boats", row.boats.map(f64::from), f64::from(LARGEST_CREW)),
            ("containers", row.containers, MOST_CONTAINERS),
            ("plants", row.plants, MOST_PLANTS),
            ("mass", row.mass, MOST_MASS_KG),
        ];
        for (column, value, most) in counts {
            if let Some(value) = value
                && value > most
            {
                findings.push(COUNT_IMPOSSIBLE.on(
                    &row.row,
                    Some(column),
                    format!("{value} under {column} is more than {most}, beyond anything one outing brings."),
                    "Correct it from the field sheet, or accept the finding if it is right.",
                ));
            }
        }
    }
}

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
fn look_like_one(season: &Season, a: &Pull, b: &Pull) -> bool {
    let site = |pull: &Pull| {
        season
            .site_of(pull)
            .map(|site| site.id.clone())
            .or_else(|| pull.site_text().map(value::fold))
    };
    if a.date().is_none()
        || a.date() != b.date()
        || site(a).is_none()
        || site(a) != site(b)
        || a.pass() != b.pass()
    {
        return false;
    }
    let (catch_a, catch_b) = (catch_of(a), catch_of(b));
    let same_catch = catch_a == catch_b;
    let same_clock =
        a.start().is_some() && a.start() == b.start() && a.end().is_some() && a.end() == b.end();
    let same_hours =
        a.person_hours().is_some_and(|hours| hours > 0.0) && a.person_hours() == b.person_hours();
    (same_clock && (same_catch || catch_a.is_empty() || catch_b.is_empty()))
        || (same_hours && same_catch && !catch_a.is_empty())
}

fn pull_logged_twice(season: &Season, findings: &mut Vec<Finding>) {
    for (index, later) in season.pulls.iter().enumerate() {
        let earlier = season
            .pulls
            .iter()
            .take(index)
            .find(|earlier| look_like_one(season, earlier, later));
        if let (Some(earlier), Some(row)) = (earlier, later.rows.first()) {
            findings.push(
                PULL_LOGGED_TWICE
                    .on(
                        &row.row,
                        None,
                        format!("Pull {} looks like pull {}: same day, site and hours.", later.id, earlier.id),
                        format!(
                            "If both leaders logged one outing, take {} out, or empty its hours and containers and say so in notes; \
                             if these were two crews, accept the finding.",
                            later.id
                        ),
                    )
                    .with([earlier.place()]),
            );
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
                            format!("The row says the same as row {} of the same pull.", twin.row.number),
                            "Take one of the two out; if both are right, add up their containers in one row, or accept the finding.",
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
                                format!("Pull {} has another {column} in an earlier row.", pull.id),
                                "Give rows of one outing the same entry, or leave it empty in all but the first; give another outing its own id.",
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

fn payer_unknown(season: &Season, findings: &mut Vec<Finding>) {
    for (_, row) in rows(season) {
        let Some(payer) = row.paid_by.as_deref() else {
            continue;
        };
        if crate::season::Payer::read(payer, &season.settings).is_none() {
            let mut known = vec!["own funds".to_owned(), "partner".to_owned()];
            known.extend(season.settings.grants.iter().map(|grant| grant.id.clone()));
            findings.push(PAYER_UNKNOWN.on(
                &row.row,
                Some("paid_by"),
                format!("{payer:?} is no payer that season.toml knows."),
                format!(
                    "Use one of {}; or add the grant to season.toml.",
                    known.join(", ")
                ),
            ));
        }
    }
}
