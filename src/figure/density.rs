//! Density of plants, from counts on plots.

use super::core::{Figure, Measure, Outturn};
use super::cover::in_scope;
use super::left_out::LeftOut;
use super::scope::Scope;
use crate::estimate::{self, Cluster, Outcome, Refusal};
use crate::season::When;
use crate::words;
use crate::words::Words;

/// Plants a square metre before and after, of a scope; nothing where no plot was counted.
pub fn figures(scope: &Scope<'_>) -> Vec<Figure> {
    let counted = scope
        .season
        .cover
        .iter()
        .any(|row| in_scope(scope, row) && row.plants.is_some());
    if !counted {
        return Vec::new();
    }
    vec![
        density(
            scope,
            When::Before,
            "density.before",
            words!("Plants a square metre before"),
        ),
        density(
            scope,
            When::After,
            "density.after",
            words!("Plants a square metre after"),
        ),
    ]
}

fn density(scope: &Scope<'_>, when: When, stem: &str, label: Words) -> Figure {
    let mut plots: Vec<(f64, f64)> = Vec::new();
    let mut places = Vec::new();
    let mut left_out = Vec::new();
    let rows = scope
        .season
        .cover
        .iter()
        .filter(|row| in_scope(scope, row) && row.when == Some(when) && row.plants.is_some());
    for row in rows {
        match (row.plants, row.plot_area) {
            (Some(plants), Some(area)) if area > 0.0 => {
                plots.push((plants, area));
                places.push(row.row.place());
            }
            _ => left_out.push(LeftOut::new(
                row.row.place(),
                words!("the size of its plot is not recorded"),
            )),
        }
    }
    let outcome = outcome(&plots, scope.level());
    scope
        .figure(
            stem,
            label,
            Measure::CountPerArea,
            Outturn::from(outcome),
            words!("Plants counted on the plots over the area of the plots."),
        )
        .assuming(words!(
            "The plots are a fair sample of what was to be pulled."
        ))
        .resting_on(places)
        .without(left_out)
}

/// Counts on plots of one size by the estimator for counts; plots of several sizes by a ratio of sums.
fn outcome(plots: &[(f64, f64)], level: f64) -> Outcome {
    let whole: Option<Vec<u64>> = plots.iter().map(|(plants, _)| whole(*plants)).collect();
    match (plots.first(), whole) {
        (None, _) => Err(Refusal::new(words!("No plot was counted."))),
        (Some((_, area)), Some(counts)) if plots.iter().all(|(_, other)| other == area) => {
            estimate::density(&counts, *area, level)
        }
        _ => {
            let clusters: Vec<Cluster> = plots
                .iter()
                .map(|(plants, area)| Cluster {
                    amount: *plants,
                    effort: *area,
                })
                .collect();
            estimate::rate(&clusters, 0.0, level)
        }
    }
}

/// A count as a whole number, if it is one.
pub fn whole(count: f64) -> Option<u64> {
    /// Every whole number up to here has its own double.
    const MOST: f64 = 9_007_199_254_740_992.0;
    // The cast is exact by the condition.
    ((0.0..=MOST).contains(&count) && count.fract() == 0.0).then_some(count as u64)
}
