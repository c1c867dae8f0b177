//! How likely it is that a deliverable's target is met, by the figure that answers it.

use super::core::{Deliverable, Figure, Measure, Outturn};
use super::ledger::Ledger;
use super::left_out::LeftOuts;
use crate::estimate::{self, Estimate};
use crate::place::Places;
use crate::words;

/// A chance for every deliverable that a figure answers.
pub fn figures(ledger: &Ledger) -> Vec<Figure> {
    ledger
        .deliverables
        .iter()
        .filter_map(|promise| {
            let answer = ledger.get(&promise.figure)?;
            Some(figure(promise, answer))
        })
        .collect()
}

fn figure(promise: &Deliverable, answer: &Figure) -> Figure {
    let exact = |met: bool| Outturn::Exact(if met { 100.0 } else { 0.0 });
    let met = |value: f64| {
        if promise.at_most {
            value <= promise.target
        } else {
            value >= promise.target
        }
    };
    let outturn = match &answer.outturn {
        Outturn::Refused(reason) => Outturn::Refused(reason.clone()),
        Outturn::Supposed(_) => Outturn::Refused(words!(
            "The figure is a supposition, by which no promise is met."
        )),
        Outturn::Exact(value) => exact(met(*value)),
        Outturn::Amount(_) => answer.value().map_or_else(
            || Outturn::Refused(words!("The amount can't be read.")),
            |value| exact(met(value)),
        ),
        Outturn::Estimated(estimate) if estimate.standard_error == Some(0.0) => {
            exact(met(estimate.value))
        }
        Outturn::Estimated(estimate) => match estimate::chance_at_least(estimate, promise.target) {
            Ok(above) => Outturn::Estimated(Estimate {
                value: 100.0 * if promise.at_most { 1.0 - above } else { above },
                standard_error: None,
                degrees_of_freedom: None,
                interval: None,
                caution: vec![words!(
                    "As sure as the figure's interval: what that leaves out, this leaves out too."
                )],
                method: words!("tail of the distribution behind the figure's interval"),
                observations: estimate.observations,
                population: None,
            }),
            Err(refusal) => Outturn::Refused(refusal.reason),
        },
    };
    Figure {
        name: format!("deliverable.chance/{}/{}", promise.grant, promise.id),
        label: words!("Chance that a promise is kept, {promise}", promise = &promise.text),
        kind: words!("Chance that a promise is kept"),
        counts: None,
        measure: Measure::Percent,
        outturn,
        method: if promise.at_most {
            words!(
                "The level of the one-sided interval of the figure whose upper end lies at the target; a figure without sampling error meets it \
                 or does not."
            )
        } else {
            words!(
                "The level of the one-sided interval of the figure whose lower end lies at the target; a figure without sampling error meets it \
                 or does not."
            )
        },
        assumptions: answer.assumptions.clone(),
        places: Places::default(),
        left_out: LeftOuts::default(),
    }
    .resting_on(answer.places.iter().chain([promise.place.clone()]))
    .without(answer.left_out.iter())
}
