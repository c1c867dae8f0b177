//! The pull log: sites, days, clock and payers.

use super::Check;
use super::core::{Finding, Grade};
use super::naming::{self, Known};
use super::rows;
use super::rule::Rule;
use super::twice::look_like_one;
use crate::season::Season;
use crate::words;
use crate::words::quoted;

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
    (PAYER_UNKNOWN, payer_unknown),
];

fn site_unknown(season: &Season, findings: &mut Vec<Finding>) {
    // Without any outline the missing file has been told already.
    if season.ground.sites.is_empty() {
        return;
    }
    let sites = &season.ground.sites;
    let ids: Vec<&str> = sites.iter().map(|known| known.id.as_str()).collect();
    let names = sites.iter().map(|known| known.name.as_str());
    let known = Known::new(ids.iter().copied().chain(names));
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
        let mend = naming::mend(
            site,
            &known,
            &ids,
            words!("If it is new, add the site to sites.geojson."),
        );
        findings.push(SITE_UNKNOWN.on(
            row,
            Some("site"),
            words!("{site} is no site of sites.geojson.", site = quoted(site)),
            mend,
        ));
    }
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
                words!(
                    "{date} is outside the season, {starts} to {ends}.",
                    date = date.to_string(),
                    starts = starts.to_string(),
                    ends = ends.to_string()
                ),
                words!("Correct the date, or starts and ends in season.toml."),
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
                words!(
                    "The pull ends at {end} and starts at {start}.",
                    end = end.format("%H:%M").to_string(),
                    start = start.format("%H:%M").to_string()
                ),
                words!("Correct the times; an afternoon hour needs pm or the 24-hour clock."),
            ));
        }
    }
}

fn pull_empty(season: &Season, findings: &mut Vec<Finding>) {
    for pull in &season.pulls {
        // A second log of an outing is told as such.
        let is_second_log = || {
            season
                .pulls
                .iter()
                .take_while(|earlier| earlier.id != pull.id)
                .any(|earlier| look_like_one(season, earlier, pull))
        };
        if pull.is_empty()
            && !is_second_log()
            && let Some(first) = pull.rows.first()
        {
            findings.push(PULL_EMPTY.on(
                &first.row,
                None,
                words!(
                    "Pull {pull} has no heads, no hours and no catch.",
                    pull = &pull.id
                ),
                words!("Fill it in from the field sheet, or take it out."),
            ));
        }
    }
}

fn payer_unknown(season: &Season, findings: &mut Vec<Finding>) {
    let mut listed = vec!["own funds", "partner"];
    listed.extend(season.settings.grants.iter().map(|grant| grant.id.as_str()));
    let known = Known::new(listed.iter().copied());
    for (_, row) in rows(season) {
        let Some(payer) = row.paid_by.as_deref() else {
            continue;
        };
        if crate::season::Payer::read(payer, &season.settings).is_none() {
            findings.push(PAYER_UNKNOWN.on(
                &row.row,
                Some("paid_by"),
                words!(
                    "{payer} is no payer that season.toml knows.",
                    payer = quoted(payer)
                ),
                naming::mend(
                    payer,
                    &known,
                    &listed,
                    words!("If it is a new grant, add it to season.toml."),
                ),
            ));
        }
    }
}
