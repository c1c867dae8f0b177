//! Cover before and after, by plots that were looked at twice.

use std::collections::BTreeMap;

use crate::estimate::{self, BRAUN_BLANQUET, CoverClass, CoverTable, DAUBENMIRE};
use crate::place::Place;
use crate::season::{CoverRow, When, value};
use crate::words;
use crate::words::Words;

use super::core::{Figure, Measure};
use super::left_out::LeftOut;
use super::scope::Scope;

/// Cover is a share of the plot.
const BOUNDS: (f64, f64) = (0.0, 100.0);

/// The table of classes that season.toml names, if windrow knows it.
pub fn class_table(name: &str) -> Option<&'static CoverTable> {
    match value::fold(name).as_str() {
        "daubenmire1959" | "daubenmire" => Some(&DAUBENMIRE),
        "braunblanquet" | "braunblanquetwikumshanholtzer1978" => Some(&BRAUN_BLANQUET),
        _ => None,
    }
}

/// A plot's look: its class, or its per cent as a class without width; and the row that says so.
type Look = (CoverClass, Place);

/// Plots looked at both before and after, in the order of site and plot.
#[derive(Default)]
pub struct Pairs {
    pub before: Vec<CoverClass>,
    pub after: Vec<CoverClass>,
    /// Site and plot, as the log names them.
    pub plots: Vec<(String, String)>,
    places: Vec<Place>,
    left_out: Vec<LeftOut>,
    /// Was cover read in classes?
    classes: bool,
}

fn exactly(percent: f64) -> CoverClass {
    CoverClass {
        label: "",
        lower: percent,
        upper: percent,
        midpoint: percent,
    }
}

/// The paired plots of a scope.
pub fn pairs(scope: &Scope<'_>) -> Pairs {
    let table = class_table(&scope.season.settings.method.cover_classes);
    let mut pairs = Pairs::default();
    let mut plots: BTreeMap<(String, String), (Option<Look>, Option<Look>)> = BTreeMap::new();
    let mut rows: Vec<&CoverRow> = scope
        .season
        .cover
        .iter()
        .filter(|row| in_scope(scope, row))
        .collect();
    // Of several looks before the first counts, of several after the last: what was there, and what is left.
    rows.sort_by_key(|row| (row.date, row.row.number));
    for row in &rows {
        let mut out = |reason: Words| {
            pairs.left_out.push(LeftOut::new(row.row.place(), reason));
        };
        let cover = match (row.percent, row.class.as_deref()) {
            (Some(percent), _) if percent <= BOUNDS.1 => exactly(percent),
            (Some(_), _) => {
                out(words!("more than 100 per cent"));
                continue;
            }
            (None, Some(class)) => match table.and_then(|table| table.class(class)) {
                Some(class) => {
                    pairs.classes = true;
                    class
                }
                None => {
                    out(words!("its class is not in the season's table of classes"));
                    continue;
                }
            },
            // A quadrat count says nothing of cover.
            (None, None) => continue,
        };
        let (Some(plot), Some(when)) = (row.plot.as_deref(), row.when) else {
            out(words!("its plot, or before or after, is not recorded"));
            continue;
        };
        let named = row.site.as_deref().unwrap_or_default();
        let site = scope
            .season
            .ground
            .site(named)
            .map_or_else(|| value::fold(named), |site| site.id.to_string());
        let entry = plots.entry((site, value::fold(plot))).or_default();
        let look = Some((cover, row.row.place()));
        match when {
            When::Before if entry.0.is_none() => entry.0 = look,
            When::Before => {}
            When::After => entry.1 = look,
        }
    }
    for (plot, looks) in plots {
        match looks {
            (Some((before, place_before)), Some((after, place_after))) => {
                pairs.before.push(before);
                pairs.after.push(after);
                pairs.plots.push(plot);
                pairs.places.push(place_before);
                pairs.places.push(place_after);
            }
            (Some((_, place)), None) => pairs
                .left_out
                .push(LeftOut::new(place, words!("its plot has no look after"))),
            (None, Some((_, place))) => pairs
                .left_out
                .push(LeftOut::new(place, words!("its plot has no look before"))),
            (None, None) => {}
        }
    }
    pairs
}

/// Figures of cover of a scope.
pub fn figures(scope: &Scope<'_>) -> Vec<Figure> {
    let pairs = pairs(scope);
    let table_name = &scope.season.settings.method.cover_classes;
    let level = scope.level();
    // Said in the field's words.
    let seen = |outcome: estimate::Outcome| {
        if pairs.before.is_empty() {
            Err(estimate::Refusal::new(words!(
                "No plot was looked at both before and after."
            )))
        } else {
            outcome
        }
    };
    let how = if pairs.classes {
        words!(
            "Class midpoints by {table}",
            table = class_table(table_name).map_or_else(
                || Words::own(table_name.as_str()),
                |table| Words::fixed(table.name)
            )
        )
    } else {
        words!("Per cent of the plot")
    };
    let figure = |stem: &str, label: Words, measure, outcome: estimate::Outcome, method: Words| {
        scope
            .figure(stem, label, measure, outcome.into(), method)
            .assuming(words!(
                "The plots are a fair sample of what was to be pulled."
            ))
            .resting_on(pairs.places.clone())
            .without(pairs.left_out.clone())
    };
    let middles = |classes: &[CoverClass]| -> Vec<f64> {
        classes.iter().map(|class| class.midpoint).collect()
    };
    let (before, after) = (middles(&pairs.before), middles(&pairs.after));
    let mean = words!(
        "{how}; mean over plots looked at both before and after.",
        how = &how
    );
    let mut figures = vec![
        figure(
            "cover.before",
            words!("Cover before"),
            Measure::Percent,
            seen(estimate::mean(&before, BOUNDS, level)),
            mean.clone(),
        ),
        figure(
            "cover.after",
            words!("Cover after"),
            Measure::Percent,
            seen(estimate::mean(&after, BOUNDS, level)),
            mean,
        ),
    ];
    let by_middles = figure(
        "cover.change",
        words!("Change of cover"),
        Measure::PercentPoints,
        seen(estimate::paired_change(&before, &after, level)),
        words!(
            "{how}; mean of after minus before over plots looked at both before and after.",
            how
        ),
    );
    let by_classes = pairs
        .classes
        .then(|| estimate::class_change(&pairs.before, &pairs.after, level).ok())
        .flatten();
    let Some(change) = by_classes else {
        figures.push(by_middles);
        return figures;
    };
    figures.push(by_middles.assuming(words!("The middle of a class stands for what was there; the edges of the classes allow {least} to {most} percentage points for these very plots.", least = words::number(format!("{:.1}", change.bounds.0)), most = words::number(format!("{:.1}", change.bounds.1)))));
    figures.push(figure(
        "cover.change-by-classes",
        words!("Change of cover, each class taken as the range that it is"),
        Measure::PercentPoints,
        change.censored,
        words!("Mean change that makes the classes read before and after most likely, if changes follow a normal law; to be held beside the change by \
         midpoints."),
    ));
    figures
}

pub(super) fn in_scope(scope: &Scope<'_>, row: &CoverRow) -> bool {
    match scope.site {
        None => true,
        Some(site) => row
            .site
            .as_deref()
            .and_then(|name| scope.season.ground.site(name))
            .is_some_and(|of| of.id == site.id),
    }
}
