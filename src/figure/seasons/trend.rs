//! The trend of the catch per person-hour over the seasons that are compared, and its line.
//!
//! Takes the years that are compared over some sites, gives the change a year and the line's rate in each; for counts a second trend
//! beside it. The regression is the estimate room's.

use std::collections::{BTreeMap, BTreeSet};

use super::recorded::{Recorded, Year, season_rows};
use super::{Seasons, is_figure};
use crate::estimate;
use crate::figure::core::{Figure, Measure, Outturn};
use crate::figure::scope::Scope;
use crate::place::Place;
use crate::words::Words;
use crate::{phrase, words};

/// The change from season to season, and the line.
pub fn figures(
    seasons: &Seasons<'_>,
    scope: &Scope<'_>,
    sites: &BTreeSet<&str>,
    years: &BTreeMap<i32, Year>,
) -> Vec<Figure> {
    let rows = season_rows(years);
    let places: Vec<Place> = years
        .values()
        .flat_map(|year| &year.places)
        .cloned()
        .collect();
    let left_out = seasons.left_out(sites, scope.site.is_none());
    let counts = seasons.recorded != Recorded::Mass;
    let level = scope.level();
    let label = seasons.recorded.label();
    let make = |stem: &str, label: Words, outturn: Outturn, method: Words| {
        let figure = scope
            .figure(stem, label, Measure::PercentPerYear, outturn, method)
            .assuming(words!("The seasons compared were worked and recorded alike; whatever else changed between them is in the trend too."))
            .resting_on(places.clone())
            .without(left_out.clone());
        if places.iter().any(is_figure) {
            figure.assuming(Words::fixed(FROM_LEDGER))
        } else {
            figure
        }
    };
    let mut figures = Vec::new();
    let mut line = Vec::new();
    let outturn = match estimate::trend_quasi_poisson(&rows, level) {
        Ok(trend) => {
            line = trend.line;
            let mut change = trend.change;
            if counts {
                change.caution.push(words!("The seasons vary about the trend {dispersion} times as much as chance alone makes counts vary.", dispersion = words::number(format!("{:.1}", trend.dispersion))));
            }
            Outturn::Estimated(change)
        }
        Err(refusal) => Outturn::Refused(refusal.reason),
    };
    figures.push(make(
        "trend.rate",
        words!("{label}, change from season to season", label = &label),
        outturn,
        words!(
            "Log-linear trend of what came out over the seasons, with the person-hours as offset."
        ),
    ));
    for (time, rate) in line {
        // Times are the years above.
        let year = time as i32;
        let mut figure = make(
            &format!("trend.line/{year}"),
            words!(
                "{label}, the trend's line in {year}",
                label = &label,
                year = year.to_string()
            ),
            Outturn::Estimated(rate),
            words!(
                "The log-linear trend's own rate in that year; the interval is for the line, not for a season's rate about it."
            ),
        );
        figure.measure = seasons.recorded.measure();
        figures.push(figure.of_kind(words!("{label}, the trend's line in …", label = &label)));
    }
    if counts {
        figures.push(make(
            "trend.rate-negative-binomial",
            words!(
                "{label}, change from season to season by the negative binomial",
                label = &label
            ),
            match estimate::trend_negative_binomial(&rows, level) {
                Ok(trend) => Outturn::Estimated(trend.change),
                Err(refusal) => Outturn::Refused(refusal.reason),
            },
            words!("The same trend for counts that stand in clumps; to be held beside the other."),
        ));
    }
    figures
}

/// What has to be told of a comparison into which the ledger of an earlier archive goes.
const FROM_LEDGER: &str = phrase!(
    "What the ledger of the earlier archive gives is taken as it stands: without an uncertainty of its own, and over the hours \
                           of all pulls, those without a recorded catch among them."
);
