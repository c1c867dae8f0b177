//! Sites whose last visits found nothing: how long was searched, and how likely it is that plants are there all the same.
//!
//! Never says that plants are gone: the chance only shrinks.

use std::collections::BTreeMap;

use chrono::{NaiveDate, NaiveTime};

use super::core::{Figure, Measure, Outturn, Supposed};
use super::left_out::LeftOut;
use super::removal::Removal;
use super::scope::Scope;
use crate::estimate::{self, Range};
use crate::phrase;
use crate::place::Place;
use crate::season::{AbsenceSettings, Known, Pull, RowIndex, SETTINGS_FILE, Supposition};
use crate::words;
use crate::words::Words;

/// What to add to season.toml.
const NOT_SUPPOSED: &str = phrase!(
    "season.toml does not say how fast a search would find what is there; add `[absence]` with \
     `finds_per_hour = [0.2, 1.0]` and `chance_before = [0.5, 0.9]`, with your own ranges."
);

/// The chance of plants for which the hours still to be searched are told (common practice, no source: one in twenty).
const WANTED: f64 = 0.05;

pub fn range(supposition: &Supposition) -> Range {
    Range {
        low: supposition.low,
        high: supposition.high,
    }
}

/// Where a supposition stands, for a figure's places.
pub fn key(name: &str) -> Place {
    Place::key(SETTINGS_FILE, name)
}

/// Figures of a site; none where its last visit found something or nobody was there.
pub fn figures(removal: &Removal<'_>, scope: &Scope<'_>) -> Vec<Figure> {
    if scope.site.is_none() {
        return Vec::new();
    }
    let empty_handed = last_empty_handed(removal, scope);
    if empty_handed.is_empty() {
        return Vec::new();
    }
    let known: Vec<f64> = empty_handed
        .iter()
        .filter_map(|pull| pull.person_hours())
        .collect();
    let hours = estimate::sum(known.iter().copied());
    let places: Vec<Place> = empty_handed
        .iter()
        .filter(|pull| pull.person_hours().is_some())
        .flat_map(|pull| pull.places())
        .collect();
    let left_out: Vec<LeftOut> = empty_handed
        .iter()
        .filter(|pull| pull.person_hours().is_none())
        .map(|pull| LeftOut::of_pull(pull, words!("its hours are not recorded")))
        .collect();
    let no_hours = || Outturn::Refused(words!("The hours of the searches are not recorded."));
    let settings = scope.season.settings.absence.as_ref();
    let (chance, needed) = match settings {
        _ if known.is_empty() => (no_hours(), no_hours()),
        None => (
            Outturn::Refused(Words::fixed(NOT_SUPPOSED)),
            Outturn::Refused(Words::fixed(NOT_SUPPOSED)),
        ),
        Some(settings) => (chance(settings, hours), needed(settings)),
    };
    let supposed = || {
        settings
            .is_some()
            .then(|| ["absence.finds_per_hour", "absence.chance_before"].map(key))
            .into_iter()
            .flatten()
    };
    let sources = settings.map(sources);
    let assuming = |figure: Figure| match &sources {
        Some(sources) => figure.assuming(sources.clone()),
        None => figure,
    };
    vec![
        scope
            .figure(
                "absence.search-hours",
                words!("Person-hours searched since the last find"),
                Measure::Time,
                if known.is_empty() {
                    no_hours()
                } else {
                    Outturn::Exact(hours)
                },
                words!("Sum of the person-hours of the site's last visits, back to the last one that found a plant."),
            )
            .resting_on(places.clone())
            .without(left_out.clone()),
        assuming(
            scope
                .figure(
                    "absence.chance-remaining",
                    words!("Chance that plants remain though none was found"),
                    Measure::Percent,
                    chance,
                    words!("A search of h hours misses what is there with the chance exp(−finds per hour × h); from that and the chance before the \
                     searches the chance afterwards, by Bayes' rule, at both ends of what season.toml supposes."),
                )
                .resting_on(places.iter().cloned().chain(supposed()))
                .without(left_out),
        )
        .assuming(words!("Finds come evenly in time, and the searches went over the whole site.")),
        assuming(
            scope
                .figure(
                    "absence.hours-needed",
                    words!("Person-hours of search without a find until the chance is one in twenty"),
                    Measure::Time,
                    needed,
                    words!("Hours after which the same rule gives a chance of 5%, all searches since the last find counted."),
                )
                .resting_on(supposed()),
        ),
    ]
}

fn sources(settings: &AbsenceSettings) -> Words {
    let of = |supposition: &Supposition| {
        words!(
            "{low} to {high} ({source})",
            low = supposition.low,
            high = supposition.high,
            source = supposed_by(supposition)
        )
    };
    words!(
        "Supposed: finds per hour {finds}; chance before the searches {chance}.",
        finds = of(&settings.finds_per_hour),
        chance = of(&settings.chance_before)
    )
}

/// Who supposed it.
pub fn supposed_by(supposition: &Supposition) -> Words {
    match supposition.source.as_deref() {
        Some(source) => Words::own(source),
        None => words!("source not given"),
    }
}

const CAUTION: &str = phrase!(
    "Follows from what was supposed and is no measurement. Not found is not gone: seeds in the mud are not seen by any \
     search."
);

fn chance(settings: &AbsenceSettings, hours: f64) -> Outturn {
    match estimate::absence(
        hours,
        range(&settings.finds_per_hour),
        range(&settings.chance_before),
    ) {
        Ok(absence) => Outturn::Supposed(Supposed {
            lower: 100.0 * absence.present.low,
            middle: None,
            upper: 100.0 * absence.present.high,
            share: None,
            caution: vec![Words::fixed(CAUTION)],
        }),
        Err(refusal) => Outturn::Refused(refusal.reason),
    }
}

fn needed(settings: &AbsenceSettings) -> Outturn {
    match estimate::hours_for_absence(
        WANTED,
        range(&settings.finds_per_hour),
        range(&settings.chance_before),
    ) {
        Ok((Some(least), most)) => Outturn::Supposed(Supposed {
            lower: least,
            middle: None,
            upper: most.unwrap_or(f64::INFINITY),
            share: None,
            caution: vec![Words::fixed(CAUTION)],
        }),
        Ok((None, _)) => Outturn::Refused(words!(
            "No search however long brings the chance down to one in twenty by what season.toml supposes."
        )),
        Err(refusal) => Outturn::Refused(refusal.reason),
    }
}

/// The site's last pulls that found nothing, the latest first.
///
/// Pulls of one day whose order the log does not tell stand as one visit: a find in one of them is a find in all.
pub fn last_empty_handed<'a>(removal: &Removal<'_>, scope: &Scope<'a>) -> Vec<&'a Pull> {
    let mut days: BTreeMap<NaiveDate, Vec<(usize, &'a Pull)>> = BTreeMap::new();
    // A pull without a day can't be the last for certain, so that a find in it hides nothing.
    for (index, pull) in &scope.pulls {
        if let Some(date) = pull.date() {
            days.entry(date).or_default().push((*index, *pull));
        }
    }
    let empty = |index: usize, pull: &Pull| {
        (0..pull.rows.len())
            .all(|row| removal.known(RowIndex { pull: index, row }) == Some(&Known::Zero))
    };
    let mut searches = Vec::new();
    for of_day in days.into_values().rev() {
        let timed = of_day.iter().all(|(_, pull)| pull.start().is_some());
        let mut visits: BTreeMap<Option<NaiveTime>, Vec<(usize, &'a Pull)>> = BTreeMap::new();
        for (index, pull) in of_day {
            let start = pull.start().filter(|_| timed);
            visits.entry(start).or_default().push((index, pull));
        }
        for visit in visits.into_values().rev() {
            if !visit.iter().all(|(index, pull)| empty(*index, pull)) {
                return searches;
            }
            searches.extend(visit.into_iter().map(|(_, pull)| pull));
        }
    }
    searches
}
