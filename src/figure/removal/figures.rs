//! What came out as figures: the total, what of it was measured, converted or guessed, and the rate.
//!
//! Takes a scope or some rows, gives figures with their method, assumptions, records and what was left out. Computes nothing but the
//! part of a total that stands on conversion.

use std::collections::BTreeSet;

use super::tally::Tally;
use super::{Part, Removal};
use crate::estimate::{Estimate, Interval, Outcome};
use crate::figure::core::{Figure, Outturn};
use crate::figure::scope::Scope;
use crate::season::Amount;
use crate::words;
use crate::words::Words;

impl Removal<'_> {
    /// The total of some rows, as a figure.
    pub(in crate::figure) fn of_part(
        &self,
        scope: &Scope<'_>,
        stem: &str,
        label: Words,
        part: &Part,
    ) -> Figure {
        let tally = self.tally(part);
        let total = self.total(&tally, part, scope.level());
        self.total_figure(scope, stem, label, total, &tally)
    }

    fn total_figure(
        &self,
        scope: &Scope<'_>,
        stem: &str,
        label: Words,
        total: Outcome,
        tally: &Tally,
    ) -> Figure {
        let measured = Words::fixed(self.words.measured);
        let method = match self.amount {
            Amount::Mass => words!(
                "Rows with a mass of their own as they are; counted containers times the mean of the weighed ones of the same kind and growth \
                 stage. Guesses are not in it."
            ),
            Amount::Plants => words!(
                "Rows with a plants of their own as they are; counted containers times the mean of the counted out ones of the same kind and \
                 growth stage. Guesses are not in it."
            ),
        };
        scope
            .figure(stem, label, self.words.measure, total.into(), method)
            .assuming(words!(
                "The {measured} containers are a fair sample of their kind and stage.",
                measured
            ))
            .resting_on(self.places(tally))
            .without(tally.left_out.clone())
    }

    /// All figures of what came out, of a scope.
    pub fn figures(&self, scope: &Scope<'_>) -> Vec<Figure> {
        let words = self.words;
        let pulls: BTreeSet<usize> = scope.pulls.iter().map(|(index, _)| *index).collect();
        let part = self.rows_of(&pulls);
        let tally = self.tally(&part);
        let level = scope.level();
        let total = self.total(&tally, &part, level);
        let observed: f64 = tally
            .containers
            .keys()
            .map(|stratum| self.observed_in(stratum, &part).0)
            .sum();
        let known = tally.weighed
            + observed
            + if words.other_known.is_some() {
                0.0
            } else {
                tally.counted
            };
        let mut figures = vec![self.total_figure(
            scope,
            words.stem,
            Words::fixed(words.noun),
            total.clone(),
            &tally,
        )];
        let nothing_known = tally.places.is_empty();
        let exact = |value: f64| {
            if nothing_known {
                Outturn::Refused(self.nothing(&tally))
            } else {
                Outturn::Exact(value)
            }
        };
        figures.push(
            scope
                .figure(
                    words.known_stem,
                    Words::fixed(words.known_label),
                    words.measure,
                    exact(known),
                    words!(
                        "Sum of what was {measured} itself, row by row and container by container.",
                        measured = Words::fixed(words.measured)
                    ),
                )
                .resting_on(self.places(&tally)),
        );
        if let Some((stem, label)) = words.other_known
            && tally.has_counted
        {
            figures.push(
                scope
                    .figure(
                        stem,
                        Words::fixed(label),
                        words.measure,
                        Outturn::Exact(tally.counted),
                        words!("Sum over rows whose basis is counted and which give a mass all the same."),
                    )
                    .resting_on(self.places(&tally)),
            );
        }
        let floor = tally.weighed + tally.counted + observed;
        figures.push(
            scope
                .figure(
                    &format!("{}-converted", words.stem),
                    words!("{noun} converted from counted containers", noun = Words::fixed(words.noun)),
                    words.measure,
                    total.map(|estimate| shifted(estimate, floor)).into(),
                    words!("The part of the total that was not measured itself but stands on the mean of the measured containers."),
                )
                .resting_on(self.places(&tally))
                .without(tally.left_out.clone()),
        );
        if !tally.guessed_places.is_empty() {
            figures.push(
                scope
                    .figure(
                        &format!("{}-guessed", words.stem),
                        words!("{noun} by guess", noun = Words::fixed(words.noun)),
                        words.measure,
                        Outturn::Estimated(guess(tally.guessed, tally.guessed_places.len())),
                        words!("Sum over rows whose basis is guessed, or who don't say how their amount is known. In no other figure."),
                    )
                    .resting_on(tally.guessed_places.clone()),
            );
        }
        figures.push(self.rate(scope, level));
        figures
    }
}

/// The estimate less an amount that is known exactly.
fn shifted(mut estimate: Estimate, known: f64) -> Estimate {
    estimate.value = (estimate.value - known).max(0.0);
    estimate.interval = estimate.interval.map(|interval| Interval {
        lower: (interval.lower - known).max(0.0),
        upper: (interval.upper - known).max(0.0),
        level: interval.level,
    });
    estimate
}

/// A guess has no interval: nobody knows how far off a crew's guesses are.
fn guess(value: f64, rows: usize) -> Estimate {
    Estimate {
        value,
        standard_error: None,
        degrees_of_freedom: None,
        interval: None,
        caution: vec![words!("A guess: how far off it may be is not known.")],
        method: words!("sum of guesses"),
        observations: rows,
        population: None,
    }
}
