//! The total of some rows: what is known of them put into the estimator, and its answer told in the strata's own names.
//!
//! Takes rows with their tally, gives an outcome. Which rows count was decided in the tally; the arithmetic is the estimate room's.

use std::collections::BTreeSet;

use super::tally::Tally;
use super::{Part, Removal};
use crate::estimate::{self, Estimate, Outcome, PartStratum, Refusal};
use crate::season::{Amount, Known, StratumKey};
use crate::words;
use crate::words::Words;

impl Removal<'_> {
    /// Sum and number of the weighed containers that belong to some of a stratum's rows.
    pub(super) fn observed_in(&self, stratum: &StratumKey, part: &Part) -> (f64, f64) {
        let (Some(records), Some(measured)) =
            (self.catch.strata.get(stratum), self.observed.get(stratum))
        else {
            return (0.0, 0.0);
        };
        // A weighing that names no pull belongs to the part for certain only where the part holds the whole stratum.
        if records.rows.iter().all(|row| part.contains(row)) {
            // Exact for any number of containers that was weighed.
            return (measured.sum, measured.amounts.len() as f64);
        }
        let pulls: BTreeSet<usize> = part
            .iter()
            .filter(|index| {
                matches!(self.catch.rows.get(index), Some(Known::Convert { stratum: own, .. }) if own == stratum)
            })
            .map(|index| index.pull)
            .collect();
        let of_pulls: Vec<&(f64, f64)> = pulls
            .iter()
            .filter_map(|pull| measured.of_pulls.get(pull))
            .collect();
        (
            estimate::sum(of_pulls.iter().map(|(sum, _)| *sum)),
            of_pulls.iter().map(|(_, number)| number).sum(),
        )
    }

    /// The strata of some rows, as the estimator takes them.
    pub(in crate::figure) fn strata(
        &self,
        tally: &Tally,
        part: &Part,
    ) -> Vec<(StratumKey, PartStratum<'_>)> {
        tally
            .containers
            .iter()
            .map(|(stratum, containers)| {
                let (sum, number) = self.observed_in(stratum, part);
                let stratum_part = PartStratum {
                    unobserved: (containers - number).max(0.0),
                    observed_sum: sum,
                    observed: self.observed(stratum),
                };
                (stratum.clone(), stratum_part)
            })
            .collect()
    }

    /// The total of some rows.
    pub(in crate::figure) fn total(&self, tally: &Tally, part: &Part, level: f64) -> Outcome {
        let known = tally.weighed + tally.counted;
        let parts: Vec<PartStratum<'_>> = self
            .strata(tally, part)
            .into_iter()
            .map(|(_, stratum)| stratum)
            .collect();
        if tally.places.is_empty() {
            return Err(Refusal::new(self.nothing(tally)));
        }
        let total = estimate::part_total(&parts, known, level)
            .map(|estimate| self.named(estimate, tally))?;
        // Searches that found nothing beside catch that can't be reckoned are no catch of nothing.
        let all_known = tally.left_out.is_empty() && tally.guessed_places.is_empty();
        if total.value == 0.0 && !all_known {
            return Err(Refusal::new(self.nothing(tally)));
        }
        Ok(total)
    }

    /// The value of [`Self::total`] without its uncertainty, for rows of which all is known.
    pub(super) fn amount(&self, tally: &Tally, part: &Part) -> Option<f64> {
        if tally.places.is_empty() {
            return None;
        }
        let mut amounts = vec![tally.weighed + tally.counted];
        for (stratum, containers) in &tally.containers {
            let measured = self.observed.get(stratum)?;
            let (sum, number) = self.observed_in(stratum, part);
            amounts.push(sum + (containers - number).max(0.0) * measured.mean()?);
        }
        Some(estimate::sum(amounts))
    }

    pub(super) fn nothing(&self, tally: &Tally) -> Words {
        if tally.left_out.is_empty() && tally.guessed_places.is_empty() {
            return words!("No pull says what came out.");
        }
        match self.amount {
            Amount::Mass => words!("Nothing was weighed that could stand for what was counted."),
            Amount::Plants => {
                words!("No plants were counted, neither of a pull nor of a container.")
            }
        }
    }

    /// Puts the strata's names where the estimate speaks of numbered groups.
    fn named(&self, mut estimate: Estimate, tally: &Tally) -> Estimate {
        let names = || {
            tally
                .containers
                .keys()
                .map(|stratum| words!("The stratum {stratum}", stratum = stratum.to_string()))
        };
        for caution in &mut estimate.caution {
            *caution = estimate::naming_groups(std::mem::take(caution), names());
        }
        estimate
    }

    /// What was measured itself of some rows.
    pub(in crate::figure) fn measured(&self, tally: &Tally, part: &Part) -> f64 {
        let containers = tally
            .containers
            .keys()
            .map(|stratum| self.observed_in(stratum, part).0);
        estimate::sum(containers.chain([tally.weighed, tally.counted]))
    }
}
