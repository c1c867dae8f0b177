//! Cover before and after, by plots that were looked at twice.

use std::collections::BTreeMap;

use crate::estimate::{self, BRAUN_BLANQUET, CoverTable, DAUBENMIRE};
use crate::place::Place;
use crate::season::{CoverRow, When, value};

use super::core::{Figure, LeftOut, Measure};
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

/// A plot's look: per cent, and the row that says so.
type Look = (f64, Place);

/// Figures of cover of a scope.
pub fn figures(scope: &Scope<'_>) -> Vec<Figure> {
    let table_name = &scope.season.settings.method.cover_classes;
    let table = class_table(table_name);
    let mut left_out = Vec::new();
    let mut plots: BTreeMap<(String, String), (Option<Look>, Option<Look>)> = BTreeMap::new();
    let mut rows: Vec<&CoverRow> = scope
        .season
        .cover
        .iter()
        .filter(|row| in_scope(scope, row))
        .collect();
    // Of several looks before the first counts, of several after the last: what was there, and what is left.
    rows.sort_by_key(|row| (row.date, row.row.number));
    let classes = rows
        .iter()
        .any(|row| row.percent.is_none() && row.class.is_some());
    for row in &rows {
        let mut out = |reason: &str| {
            left_out.push(LeftOut {
                place: row.row.place(),
                reason: reason.to_owned(),
            });
        };
        let cover = match (row.percent, row.class.as_deref()) {
            (Some(percent), _) if percent <= BOUNDS.1 => percent,
            (Some(_), _) => {
                out("more than 100 per cent");
                continue;
            }
            (None, Some(class)) => match table.and_then(|table| table.class(class)) {
                Some(class) => class.midpoint,
                None => {
                    out("its class is not in the season's table of classes");
                    continue;
                }
            },
            // A quadrat count says nothing of cover.
            (None, None) => continue,
        };
        let (Some(plot), Some(when)) = (row.plot.as_deref(), row.when) else {
            out("its plot, or before or after, is not recorded");
            continue;
        };
        let site = row.site.as_deref().map(value::fold).unwrap_or_default();
        let entry = plots.entry((site, value::fold(plot))).or_default();
        let look = Some((cover, row.row.place()));
        match when {
            When::Before if entry.0.is_none() => entry.0 = look,
            When::Before => {}
            When::After => entry.1 = look,
        }
    }
    let mut before = Vec::new();
    let mut after = Vec::new();
    let mut places = Vec::new();
    for (earlier, later) in plots.into_values() {
        match (earlier, later) {
            (Some((cover_before, place_before)), Some((cover_after, place_after))) => {
                before.push(cover_before);
                after.push(cover_after);
                places.push(place_before);
                places.push(place_after);
            }
            (Some((_, place)), None) => left_out.push(LeftOut {
                place,
                reason: "its plot has no look after".into(),
            }),
            (None, Some((_, place))) => left_out.push(LeftOut {
                place,
                reason: "its plot has no look before".into(),
            }),
            (None, None) => {}
        }
    }
    let level = scope.level();
    let how = if classes {
        format!(
            "Class midpoints by {}",
            table.map_or(table_name.as_str(), |table| table.name)
        )
    } else {
        "Per cent of the plot".to_owned()
    };
    let figure = |stem: &str, label: &str, measure, outcome: estimate::Outcome, what: &str| {
        scope
            .figure(
                stem,
                label,
                measure,
                outcome.into(),
                &format!("{how}; {what}"),
            )
            .assuming("The plots are a fair sample of what was to be pulled.")
            .resting_on(places.clone())
            .without(left_out.clone())
    };
    let paired = "over plots looked at both before and after.";
    vec![
        figure(
            "cover.before",
            "Cover before",
            Measure::Percent,
            reworded(estimate::mean(&before, BOUNDS, level)),
            &format!("mean {paired}"),
        ),
        figure(
            "cover.after",
            "Cover after",
            Measure::Percent,
            reworded(estimate::mean(&after, BOUNDS, level)),
            &format!("mean {paired}"),
        ),
        figure(
            "cover.change",
            "Change of cover",
            Measure::PercentPoints,
            reworded(estimate::paired_change(&before, &after, level)),
            &format!("mean of after minus before {paired}"),
        ),
    ]
}

/// Says in the field's words that there are no plots.
fn reworded(outcome: estimate::Outcome) -> estimate::Outcome {
    outcome.map_err(|refusal| {
        if refusal.reason.contains("Nothing was observed") || refusal.reason.contains("no pair") {
            estimate::Refusal::new("No plot was looked at both before and after.")
        } else {
            refusal
        }
    })
}

fn in_scope(scope: &Scope<'_>, row: &CoverRow) -> bool {
    match scope.site {
        None => true,
        Some(site) => row
            .site
            .as_deref()
            .and_then(|name| scope.season.ground.site(name))
            .is_some_and(|of| of.id == site.id),
    }
}
