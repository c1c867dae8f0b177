//! The catch per person-hour, over pulls of which both are known.
//!
//! Takes a scope, gives its pulls as [`Clusters`] with the reason for each that is left out, and their rate as a figure. A pull whose
//! catch is guessed in part is in no rate.

use std::collections::BTreeSet;

use super::Removal;
use crate::estimate::{self, Cluster, Outcome, Refusal};
use crate::figure::core::Figure;
use crate::figure::left_out::LeftOut;
use crate::figure::scope::Scope;
use crate::place::Place;
use crate::words;
use crate::words::Words;

/// Pulls of which catch and hours are both known.
#[derive(Debug, Default)]
pub(in crate::figure) struct Clusters {
    /// The pull's number in the season's list with its catch and hours.
    pub of_pulls: Vec<(usize, Cluster)>,
    /// Variance of the rate that all pulls share, from converting containers; nothing where it can't be told.
    pub shared: Option<f64>,
    pub places: Vec<Place>,
    pub left_out: Vec<LeftOut>,
    /// Whether there are pulls whose hours are known and whose catch is not.
    some_unknown: bool,
}

impl Clusters {
    pub fn effort(&self) -> f64 {
        estimate::sum(self.of_pulls.iter().map(|(_, cluster)| cluster.effort))
    }

    pub fn rate(&self, level: f64) -> Outcome {
        let clusters: Vec<Cluster> = self.of_pulls.iter().map(|(_, cluster)| *cluster).collect();
        // An empty boat is always counted out; where only such pulls are, they stand for no others.
        let empty = !clusters.is_empty() && clusters.iter().all(|cluster| cluster.amount == 0.0);
        if self.some_unknown && empty {
            return Err(Refusal::new(words!(
                "the catch is known of none but pulls that brought nothing, so there is no rate"
            )));
        }
        estimate::rate(&clusters, self.shared.unwrap_or(0.0), level).map(|mut estimate| {
            if self.shared.is_none() {
                estimate.interval = None;
                estimate.standard_error = None;
                estimate.caution.push(
                    words!("The conversion of containers has no interval, so the catch per hour has none either."),
                );
            }
            estimate
        })
    }
}

impl Removal<'_> {
    /// The pulls of which catch and hours are both known.
    pub(in crate::figure) fn clusters(&self, scope: &Scope<'_>) -> Clusters {
        let level = scope.level();
        let mut clusters = Clusters::default();
        let mut used = BTreeSet::new();
        for (index, pull) in &scope.pulls {
            let own = self.rows_of(&BTreeSet::from([*index]));
            let tally = self.tally(&own);
            let mut out = |reason: Words| {
                clusters.left_out.push(LeftOut::of_pull(pull, reason));
            };
            let Some(effort) = pull.person_hours() else {
                out(words!("its hours are not recorded"));
                continue;
            };
            if !tally.incomplete.is_empty() {
                clusters.some_unknown = true;
                out(words!(
                    "part of its catch is guessed, or can't be converted"
                ));
                continue;
            }
            if effort == 0.0 {
                out(words!("it took no hours"));
                continue;
            }
            match self.amount(&tally, &own) {
                Some(amount) => {
                    clusters.of_pulls.push((*index, Cluster { amount, effort }));
                    used.insert(*index);
                }
                None => {
                    clusters.some_unknown = true;
                    out(words!("what came out is not recorded"));
                }
            }
        }
        let used = self.rows_of(&used);
        let tally = self.tally(&used);
        clusters.places = self.places(&tally);
        clusters.shared = match self.total(&tally, &used, level) {
            Ok(total) => {
                let effort = clusters.effort();
                // Without a standard error of the conversion the rate has no interval either; told with it.
                total.standard_error.map(|error| {
                    if effort > 0.0 {
                        (error / effort).powi(2)
                    } else {
                        0.0
                    }
                })
            }
            Err(_) => Some(0.0),
        };
        clusters
    }

    /// Catch per person-hour over the pulls of which both are known.
    pub(super) fn rate(&self, scope: &Scope<'_>, level: f64) -> Figure {
        let words = self.words;
        let clusters = self.clusters(scope);
        scope
            .figure(
                words.rate_stem,
                Words::fixed(words.rate_label),
                words.rate_measure,
                clusters.rate(level).into(),
                words!("Sum of the catch over sum of the person-hours, over pulls of which both are known; the interval holds how pulls differ and \
                 the error of converting containers."),
            )
            .assuming(words!("The season's pulls are a fair sample of pulls like them."))
            .resting_on(clusters.places)
            .without(clusters.left_out)
    }
}
