//! Containers by kind, as the log counts them.
//!
//! Takes a scope, gives a figure for each kind. Converts nothing: what the containers hold is told in `removal`.

use std::collections::BTreeMap;

use super::core::{Figure, Measure, Outturn};
use super::scope::Scope;
use crate::place::Place;
use crate::season::Basis;
use crate::words;

/// Containers by kind, of a scope.
pub fn figures(scope: &Scope<'_>) -> Vec<Figure> {
    let mut kinds: BTreeMap<String, (f64, f64, Vec<Place>)> = BTreeMap::new();
    for (_, pull) in &scope.pulls {
        for row in &pull.rows {
            let (Some(containers), Some(kind)) = (row.containers, row.container.as_deref()) else {
                continue;
            };
            let entry = kinds.entry(kind.to_owned()).or_default();
            if row.basis == Some(Basis::Guessed) && row.mass.is_none() {
                entry.1 += containers;
            } else {
                entry.0 += containers;
            }
            entry.2.push(row.row.place());
        }
    }
    let mut figures = Vec::new();
    for (kind, (counted, guessed, places)) in kinds {
        let stem = format!("removal.containers/{}", kind.replace(' ', "-"));
        let mut figure = scope
            .figure(
                &stem,
                words!("Containers: {kind}", kind),
                Measure::Count,
                Outturn::Exact(counted),
                words!("Sum of the containers of this kind in the log."),
            )
            .of_kind(words!("Containers"))
            .resting_on(places);
        if guessed > 0.0 {
            figure = figure.assuming(words!(
                "{guessed} more were guessed and are not in it.",
                guessed
            ));
        }
        figures.push(figure);
    }
    figures
}
