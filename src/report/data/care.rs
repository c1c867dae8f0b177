//! What became of the plants, whether gear was cleaned, and what went wrong or was seen: from the log's own words.

use std::collections::BTreeMap;

use serde_json::{Value, json};

use crate::report::number::Style;
use crate::report::words::{capital, pulls as so_many_pulls, sentence};
use crate::season::{Pull, PullRow, Season};
use crate::words::day;
use crate::{phrase, words};

/// Everything of the section.
/// In public, free words of the log are left out, since they may name people or places: only their number is told.
pub fn all(season: &Season, pulls: &[&Pull], public: bool, style: &Style) -> Value {
    let counted = |value: Value| value.as_array().map_or(0, Vec::len);
    let incidents = told(season, style, |row| row.incident.as_deref());
    let species = told(season, style, |row| row.other_species.as_deref());
    let hidden = public.then(|| {
        json!({
            "incidents": style.count(counted(incidents.clone())),
            "species": style.count(counted(species.clone())),
        })
    });
    let bloom = style.language.of(phrase!("A bloom was seen or suspected."));
    let open = |value: Value| if public { json!([]) } else { value };
    json!({
        "hidden": hidden,
        "disposal": disposal(pulls, style),
        "cleaned": cleaned(pulls, style),
        "blooms": told(season, style, |row| (row.bloom_seen == Some(true)).then_some(bloom)),
        "incidents": open(incidents),
        "species": open(species),
    })
}

/// Ways of disposal with the pulls that name them, the most used first.
fn disposal(pulls: &[&Pull], style: &Style) -> Value {
    let mut ways: BTreeMap<&str, usize> = BTreeMap::new();
    for pull in pulls {
        let mut of_pull: Vec<&str> = pull
            .rows
            .iter()
            .filter_map(|row| row.disposal.as_deref())
            .collect();
        of_pull.sort_unstable();
        of_pull.dedup();
        for way in of_pull {
            *ways.entry(way).or_default() += 1;
        }
    }
    let mut ways: Vec<_> = ways.into_iter().collect();
    ways.sort_by(|a, b| b.1.cmp(&a.1).then(a.0.cmp(b.0)));
    ways.into_iter()
        .map(|(way, pulls)| json!({"way": capital(way), "pulls": style.count(pulls)}))
        .collect()
}

/// A sentence on gear, `None` where there are no pulls.
fn cleaned(pulls: &[&Pull], style: &Style) -> Option<String> {
    if pulls.is_empty() {
        return None;
    }
    let said = |wanted: bool| {
        pulls
            .iter()
            .filter(|pull| first(pull, |row| row.gear_cleaned) == Some(wanted))
            .count()
    };
    let (yes, no) = (said(true), said(false));
    let silent = pulls.len() - yes - no;
    let told = words!(
        "Cleaning of boats and gear is logged for {yes} of {pulls}",
        yes,
        pulls = so_many_pulls(pulls.len())
    );
    Some(style.say(match (no, silent) {
        (0, 0) => told.then("", "."),
        (0, silent) => words!("{told}; the log is silent on {silent}.", told, silent),
        (no, 0) => words!(
            "{told}; {without} without it.",
            told,
            without = so_many_pulls(no)
        ),
        (no, silent) => words!(
            "{told}; {without} without it; the log is silent on {silent}.",
            told,
            without = so_many_pulls(no),
            silent
        ),
    }))
}

fn first<T>(pull: &Pull, value: impl Fn(&PullRow) -> Option<T>) -> Option<T> {
    pull.rows.iter().find_map(value)
}

/// What the log tells in a column, with its day, site and row.
fn told<'a>(
    season: &'a Season,
    style: &Style,
    words: impl Fn(&'a PullRow) -> Option<&'a str>,
) -> Value {
    let mut all = Vec::new();
    for pull in &season.pulls {
        let site = season.site_of(pull).map_or_else(
            || pull.site_text().unwrap_or("–"),
            |site| site.name.as_str(),
        );
        for row in &pull.rows {
            if let Some(text) = words(row) {
                all.push(json!({
                    "date": pull.date().map_or_else(|| "–".to_owned(), |date| day(date, style.language)),
                    "site": site,
                    "pull": pull.id,
                    "text": sentence(&capital(text)),
                }));
            }
        }
    }
    json!(all)
}
