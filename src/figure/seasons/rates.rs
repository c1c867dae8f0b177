//! The catch per person-hour of each season: those that are compared, those apart, and those of which there is no rate.
//!
//! Takes the seasons with the years that are compared over some sites, gives a figure for each year that history or the ledger tells
//! of. Only this season's rate has an interval: of the others no more than two sums is known.

use std::collections::{BTreeMap, BTreeSet};

use super::recorded::{WHOLE, Year};
use super::{Seasons, is_figure};
use crate::estimate;
use crate::figure::core::{Figure, Outturn};
use crate::figure::scope::Scope;
use crate::place::Place;
use crate::words;
use crate::words::Words;

/// A figure for each season.
pub fn figures(
    seasons: &Seasons<'_>,
    scope: &Scope<'_>,
    sites: &BTreeSet<&str>,
    years: &BTreeMap<i32, Year>,
) -> Vec<Figure> {
    let season = seasons.season;
    let this_year = season.settings.year;
    let make = |year: i32, outturn: Outturn, places: Vec<Place>, method: Words| {
        let stem = format!("history.rate/{year}");
        scope
            .figure(
                &stem,
                seasons.recorded.label().then(", ", year.to_string()),
                seasons.recorded.measure(),
                outturn,
                method,
            )
            .of_kind(seasons.recorded.label())
            .resting_on(places)
    };
    let recorded = words!("What came out over the person-hours, as history records both.");
    let from_ledger = words!(
        "What came out over the person-hours, as the ledger of the earlier archive gives both."
    );
    let from_both = words!(
        "What came out over the person-hours, as history and the ledger of the earlier archive give both."
    );
    let mut figures = Vec::new();
    for (year, of_year) in years {
        let outturn = if *year == this_year {
            now(seasons, sites)
        } else {
            Outturn::Exact(of_year.amount / of_year.effort)
        };
        let method = if *year == this_year {
            words!(
                "What came out over the person-hours, over pulls of this season of which both are known."
            )
        } else {
            match of_year
                .places
                .iter()
                .filter(|place| is_figure(place))
                .count()
            {
                0 => recorded.clone(),
                all if all == of_year.places.len() => from_ledger.clone(),
                _ => from_both.clone(),
            }
        };
        figures.push(make(*year, outturn, of_year.places.clone(), method));
    }
    // Seasons apart: drawn beside the others, and in no trend.
    let mut apart: BTreeMap<i32, (Year, Words)> = BTreeMap::new();
    for of_site in sites.iter().filter_map(|site| seasons.apart.get(*site)) {
        for (year, (one, reason)) in of_site {
            let (sum, _) = apart
                .entry(*year)
                .or_insert_with(|| (Year::default(), reason.clone()));
            sum.add(one.amount, one.effort, one.places.iter().cloned());
        }
    }
    for (year, (sum, reason)) in apart {
        if !years.contains_key(&year) {
            let outturn = Outturn::Exact(sum.amount / sum.effort);
            figures.push(
                make(year, outturn, sum.places, recorded.clone()).assuming(reason.as_sentence()),
            );
        }
    }
    // Seasons of which there is something, but no rate that could stand beside the others.
    let known: BTreeSet<i32> = figures
        .iter()
        .filter_map(|figure| figure.part()?.split('/').next()?.parse().ok())
        .collect();
    let mut refused: BTreeMap<i32, (Words, Vec<Place>)> = BTreeMap::new();
    let left_out = seasons.left_out(sites, scope.site.is_none());
    let rows = season.history.iter();
    let mut of_year: Vec<(i32, Place)> = rows
        .filter_map(|row| Some((row.year?, row.row.place())))
        .collect();
    if let Some((year, ..)) = season.earlier_record() {
        let figures = left_out.iter().map(|out| &out.place);
        of_year.extend(
            figures
                .filter(|place| is_figure(place))
                .map(|place| (year, place.clone())),
        );
    }
    for (year, place) in of_year {
        if known.contains(&year) || year >= this_year {
            continue;
        }
        if let Some(out) = left_out.iter().find(|out| out.place == place) {
            let entry = refused
                .entry(year)
                .or_insert_with(|| (out.why.told().as_sentence(), Vec::new()));
            entry.1.push(place);
        }
    }
    for (year, (reason, places)) in refused {
        figures.push(make(
            year,
            Outturn::Refused(reason),
            places,
            recorded.clone(),
        ));
    }
    figures
}

/// This season's rate over some sites, with its interval.
fn now(seasons: &Seasons<'_>, sites: &BTreeSet<&str>) -> Outturn {
    let season = seasons.season;
    let whole = sites.contains(WHOLE);
    let scope = Scope::whole(season).only(|pull| {
        whole
            || season
                .site_of(pull)
                .is_some_and(|site| sites.contains(site.id.as_str()))
    });
    let level = scope.level();
    match seasons.removal {
        Some(removal) => removal.clusters(&scope).rate(level).into(),
        None => {
            let (clusters, _, _) = seasons.this_season(&scope);
            estimate::rate(&clusters, 0.0, level).into()
        }
    }
}
