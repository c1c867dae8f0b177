//! Total and mean of each stratum as figures, and a stratum's name in theirs.
//!
//! Takes the strata of the catch, gives two figures of each, refused with the reason where it can't be converted.

use super::Removal;
use crate::estimate::{self, Stratum};
use crate::figure::core::{Figure, Outturn};
use crate::figure::scope::Scope;
use crate::place::Place;
use crate::season::{Amount, StratumKey};
use crate::words;
use crate::words::Words;

impl Removal<'_> {
    /// Total and mean of each stratum, or the reason why there is none.
    pub fn stratum_figures(&self, scope: &Scope<'_>) -> Vec<Figure> {
        let words = self.words;
        let level = scope.level();
        let mut figures = Vec::new();
        for (key, records) in &self.catch.strata {
            // A stratum of plants that nobody counted out is the rule, not a gap.
            if self.amount == Amount::Plants && self.observed(key).is_empty() {
                continue;
            }
            if records.rows.is_empty() {
                continue;
            }
            let observed = self.observed(key);
            let strata = [Stratum {
                population: records.containers,
                observed,
            }];
            let (total, mean) = match self.refusal(key) {
                Some(reason) => (
                    Outturn::Refused(reason.clone().as_sentence()),
                    Outturn::Refused(reason.clone().as_sentence()),
                ),
                None => (
                    estimate::stratified_total(&strata, 0.0, level).into(),
                    estimate::stratified_mean(&strata, level).into(),
                ),
            };
            let places = records
                .rows
                .iter()
                .filter_map(|index| self.row(*index))
                .map(|row| row.row.place())
                .chain(
                    records
                        .weighings
                        .iter()
                        .filter_map(|index| self.season.weighings.get(*index))
                        .map(|weighing| weighing.row.place()),
                );
            let places: Vec<Place> = places.collect();
            let part = stratum_name(key);
            let a_container = words!("{noun} a container", noun = self.noun());
            let mut total = scope.figure(
                words.stratum_stem,
                Words::fixed(words.noun).then(", ", key.to_string()),
                words.measure,
                total,
                words!("Containers of the stratum times the mean of the measured ones, with finite population correction."),
            );
            total.name = format!("{}/{part}", words.stratum_stem);
            let mut average = scope.figure(
                words.mean_stem,
                a_container.clone().then(", ", key.to_string()),
                words.measure,
                mean,
                words!("Mean of the measured containers of the stratum, with finite population correction."),
            );
            average.name = format!("{}/{part}", words.mean_stem);
            figures.push(total.of_kind(self.noun()).resting_on(places.clone()));
            figures.push(average.of_kind(a_container).resting_on(places));
        }
        figures
    }
}

/// A stratum's name behind the stem: `bag/flowering`.
pub(in crate::figure) fn stratum_name(key: &StratumKey) -> String {
    format!(
        "{}/{}",
        key.container,
        key.stage.replace(", ", "-").replace(' ', "-")
    )
}
