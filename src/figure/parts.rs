//! Effort and removal broken down: by waterbody, month, growth stage, pass and kind of container.
//!
//! A part's name stands behind the stem (`effort.person-hours-by-month/2025-06`), a site's behind that. Hours can't be told apart
//! within a pull, so that a pull of several stages is a part of its own for effort; catch is broken down row by row.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{Datelike, NaiveDate};

use super::core::{Figure, Measure, Outturn};
use super::effort;
use super::left_out::LeftOut;
use super::money::line_name;
use super::removal::{Part, Removal};
use super::scope::Scope;
use crate::estimate::{self, Estimate};
use crate::phrase;
use crate::season::{Pull, PullRow, RowIndex};
use crate::words;
use crate::words::{Fill, Words};

/// By what is broken down.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum By {
    Waterbody,
    Month,
    Stage,
    Pass,
    Container,
}

impl By {
    const ALL: [By; 5] = [By::Waterbody, By::Month, By::Stage, By::Pass, By::Container];

    fn words(self) -> Words {
        match self {
            By::Waterbody => words!("waterbody"),
            By::Month => words!("month"),
            By::Stage => words!("stage"),
            By::Pass => words!("pass"),
            By::Container => words!("container"),
        }
    }

    fn word(self) -> &'static str {
        match self {
            By::Waterbody => "waterbody",
            By::Month => "month",
            By::Stage => "stage",
            By::Pass => "pass",
            By::Container => "container",
        }
    }

    /// A breakdown by site of everything would drown the ledger: months and passes are what a site's record is read for.
    fn by_site(self) -> bool {
        matches!(self, By::Month | By::Pass)
    }
}

/// Name and words of a part, in the order of names.
type Key = (String, Words);

fn not_recorded() -> Key {
    ("not-recorded".into(), words!("not recorded"))
}

fn key(text: Option<&str>) -> Key {
    match text {
        Some(text) if !line_name(text).is_empty() => (line_name(text), text.into()),
        _ => not_recorded(),
    }
}

fn month(date: Option<NaiveDate>) -> Key {
    let Some(date) = date else {
        return not_recorded();
    };
    (
        format!("{:04}-{:02}", date.year(), date.month()),
        Words::filled(Fill::Month(date)),
    )
}

fn pass(pull: &Pull) -> Key {
    match pull.pass() {
        Some(pass) => (pass.to_string(), words!("pass {pass}", pass)),
        None => ("not-recorded".into(), words!("no pass logged")),
    }
}

fn of_pull(by: By, scope: &Scope<'_>, pull: &Pull) -> Option<Key> {
    Some(match by {
        By::Waterbody => key(scope
            .season
            .site_of(pull)
            .and_then(|site| site.waterbody.as_deref())),
        By::Month => month(pull.date()),
        By::Pass => pass(pull),
        By::Stage => {
            let stages: BTreeSet<Key> = pull
                .rows
                .iter()
                .filter_map(|row| row.stage.as_deref())
                .map(|stage| key(Some(stage)))
                .collect();
            let mut stages = stages.into_iter();
            match (stages.next(), stages.next()) {
                (Some(only), None) => only,
                (None, _) => not_recorded(),
                _ => ("several".into(), words!("several stages at once")),
            }
        }
        By::Container => return None,
    })
}

fn of_row(by: By, scope: &Scope<'_>, pull: &Pull, row: &PullRow) -> Option<Key> {
    match by {
        By::Stage => Some(key(row.stage.as_deref())),
        By::Container => Some(key(row.container.as_deref())),
        By::Month => Some(month(row.date.or(pull.date()))),
        By::Waterbody | By::Pass => of_pull(by, scope, pull),
    }
}

/// Pulls of each part, by the part's name, with the part's words.
fn pulls_by(by: By, scope: &Scope<'_>) -> BTreeMap<String, (Words, BTreeSet<usize>)> {
    let mut parts: BTreeMap<String, (Words, BTreeSet<usize>)> = BTreeMap::new();
    for (index, pull) in &scope.pulls {
        if let Some((name, words)) = of_pull(by, scope, pull) {
            parts
                .entry(name)
                .or_insert_with(|| (words, BTreeSet::new()))
                .1
                .insert(*index);
        }
    }
    parts
}

/// Rows of each part, likewise.
fn rows_by(by: By, scope: &Scope<'_>) -> BTreeMap<String, (Words, Part)> {
    let mut parts: BTreeMap<String, (Words, Part)> = BTreeMap::new();
    for (index, pull) in &scope.pulls {
        for (number, row) in pull.rows.iter().enumerate() {
            if let Some((name, words)) = of_row(by, scope, pull, row) {
                parts
                    .entry(name)
                    .or_insert_with(|| (words, Part::new()))
                    .1
                    .insert(RowIndex {
                        pull: *index,
                        row: number,
                    });
            }
        }
    }
    parts
}

/// Which breakdown a stem is, such as `effort.person-hours-by-month`.
fn named(stem: &str) -> Option<By> {
    let (_, word) = stem.rsplit_once("-by-")?;
    By::ALL.into_iter().find(|by| by.word() == word)
}

/// The pulls under one part of a breakdown of effort.
pub fn pulls_of(scope: &Scope<'_>, stem: &str, part: &str) -> BTreeSet<usize> {
    named(stem)
        .and_then(|by| pulls_by(by, scope).remove(part))
        .map(|(_, pulls)| pulls)
        .unwrap_or_default()
}

/// The rows under one part of a breakdown of what came out.
pub fn rows_of(scope: &Scope<'_>, stem: &str, part: &str) -> Part {
    named(stem)
        .and_then(|by| rows_by(by, scope).remove(part))
        .map(|(_, rows)| rows)
        .unwrap_or_default()
}

/// Person-hours of a scope by everything that hours can be told apart by.
pub fn effort(scope: &Scope<'_>) -> Vec<Figure> {
    let mut figures = Vec::new();
    for by in By::ALL.into_iter().filter(|by| shown(*by, scope)) {
        let kind = words!("Person-hours by {by}", by = by.words());
        for (name, (words, of_part)) in pulls_by(by, scope) {
            let figure = effort::hours(
                &scope.only_numbers(&of_part),
                &format!("effort.person-hours-by-{}/{name}", by.word()),
                kind.clone().then(", ", words),
                words!(
                    "Sum over pulls of the part of staff and volunteer hours as logged, or heads times end minus start."
                ),
                Pull::person_hours,
                words!("its hours are not recorded"),
            );
            figures.push(figure.of_kind(&kind));
        }
    }
    figures
}

/// What came out of a scope, by everything.
pub fn removal(removal: &Removal<'_>, scope: &Scope<'_>) -> Vec<Figure> {
    let mut figures = Vec::new();
    for by in By::ALL.into_iter().filter(|by| shown(*by, scope)) {
        let kind = words!("{noun} by {by}", noun = removal.noun(), by = by.words());
        for (name, (words, part)) in rows_by(by, scope) {
            let figure = removal.of_part(
                scope,
                &format!("{}-by-{}/{name}", removal.stem(), by.word()),
                kind.clone().then(", ", words),
                &part,
            );
            figures.push(figure.of_kind(&kind));
        }
    }
    figures
}

/// Is the breakdown worth its names? By pass only where passes were logged.
fn shown(by: By, scope: &Scope<'_>) -> bool {
    (scope.site.is_none() || by.by_site())
        && (by != By::Pass || scope.pulls.iter().any(|(_, pull)| pull.pass().is_some()))
}

/// What to write where season.toml does not say when seeds ripen.
pub const NO_RIPENING: &str = phrase!(
    "season.toml does not say when seeds ripen; add a line such as `seed_ripens = 2025-08-20`."
);

/// How much of the effort was spent before seeds ripened.
pub fn effort_before_seed(scope: &Scope<'_>) -> Figure {
    let known: Vec<(&Pull, NaiveDate, f64)> = scope
        .pulls
        .iter()
        .filter_map(|(_, pull)| Some((*pull, pull.date()?, pull.person_hours()?)))
        .collect();
    let outturn = match scope.season.settings.seed_ripens {
        None => Outturn::Refused(Words::fixed(NO_RIPENING)),
        Some(ripens) => {
            let all = estimate::sum(known.iter().map(|(_, _, hours)| *hours));
            let before = estimate::sum(
                known
                    .iter()
                    .filter(|(_, date, _)| *date < ripens)
                    .map(|(_, _, hours)| *hours),
            );
            if all > 0.0 {
                Outturn::Exact(100.0 * before / all)
            } else {
                Outturn::Refused(words!("There are no person-hours to take a share of."))
            }
        }
    };
    scope
        .figure(
            "effort.before-seed-share",
            words!("Share of person-hours before seeds ripened"),
            Measure::Percent,
            outturn,
            words!("Person-hours of pulls before the day that season.toml names for the first ripe seed, over those of all pulls with a day and \
             hours."),
        )
        .resting_on(known.iter().flat_map(|(pull, _, _)| pull.places()))
        .without(
            scope
                .pulls
                .iter()
                .filter(|(_, pull)| pull.date().is_none() || pull.person_hours().is_none())
                .map(|(_, pull)| LeftOut::of_pull(pull, words!("its day or its hours are not recorded"))),
        )
}

/// Rows of a scope before and from the day on which seeds ripen; nothing where that day is not known.
pub fn around_ripening(removal: &Removal<'_>, scope: &Scope<'_>) -> Option<(Part, Part)> {
    let ripens = scope.season.settings.seed_ripens?;
    let pulls: BTreeMap<usize, &Pull> = scope.pulls.iter().copied().collect();
    let day =
        |pull: usize, row: &PullRow| pulls.get(&pull).and_then(|pull| row.date.or(pull.date()));
    let before =
        removal.rows_where(|index, row| day(index.pull, row).is_some_and(|day| day < ripens));
    let after =
        removal.rows_where(|index, row| day(index.pull, row).is_some_and(|day| day >= ripens));
    Some((before, after))
}

/// What came out before and after seeds ripened, and the share of the first.
pub fn removal_before_seed(removal: &Removal<'_>, scope: &Scope<'_>) -> Vec<Figure> {
    let stem = removal.stem();
    let share_stem = format!("{stem}-before-seed-share");
    let share_label = words!("{noun}, share before seeds ripened", noun = removal.noun());
    let method = words!(
        "What came out before the day that season.toml names for the first ripe seed, over that and what came out later."
    );
    let Some((before, after)) = around_ripening(removal, scope) else {
        return vec![scope.figure(
            &share_stem,
            &share_label,
            Measure::Percent,
            Outturn::Refused(Words::fixed(NO_RIPENING)),
            method,
        )];
    };
    let early = removal.of_part(
        scope,
        &format!("{stem}-before-seed"),
        words!("{noun} before seeds ripened", noun = removal.noun()),
        &before,
    );
    let late = removal.of_part(
        scope,
        &format!("{stem}-after-seed"),
        words!("{noun} after seeds ripened", noun = removal.noun()),
        &after,
    );
    let mut left_out = early.left_out.clone();
    left_out.extend(late.left_out.iter());
    let outturn = match (amount(&early), amount(&late)) {
        // Nothing was logged after that day: all of it came before.
        (Some(early), None) if after.is_empty() && early.value > 0.0 => Outturn::Exact(100.0),
        (None, Some(late)) if before.is_empty() && late.value > 0.0 => Outturn::Exact(0.0),
        (Some(early), Some(late)) => estimate::share(early, late, scope.level())
            .map(|share| qualified(scaled(share, 100.0), left_out.len()))
            .into(),
        _ => Outturn::Refused(words!(
            "What came out before or after seeds ripened is not known."
        )),
    };
    let share = scope
        .figure(&share_stem, &share_label, Measure::Percent, outturn, method)
        .assuming(words!(
            "Seeds ripened everywhere on the day that season.toml names."
        ))
        .resting_on(early.places.iter().chain(late.places.iter()))
        .without(left_out.iter());
    vec![early, late, share]
}

/// A share of what is known, where some is not: nobody knows how far off it is.
fn qualified(mut share: Estimate, left_out: usize) -> Estimate {
    if left_out > 0 {
        share.interval = None;
        share.standard_error = None;
        share.degrees_of_freedom = None;
        share.caution.push(words!("What came out by {left_out} of the records is not known and in neither part, so there is no interval.", left_out));
    }
    share
}

fn amount(figure: &Figure) -> Option<&Estimate> {
    match &figure.outturn {
        Outturn::Estimated(estimate) => Some(estimate),
        _ => None,
    }
}

/// Value and uncertainty in another unit.
pub fn scaled(mut estimate: Estimate, factor: f64) -> Estimate {
    estimate.value *= factor;
    estimate.standard_error = estimate.standard_error.map(|error| error * factor);
    if let Some(interval) = &mut estimate.interval {
        interval.lower *= factor;
        interval.upper *= factor;
    }
    estimate
}
