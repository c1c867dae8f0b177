//! What was weighed, or counted out, of each stratum: by these containers the counted ones are converted.
//!
//! Takes the season and its catch in strata, gives the amounts in the containers of each stratum and, where it is known, of each pull.
//! Must not convert anything.

use std::collections::BTreeMap;

use crate::estimate;
use crate::season::{Amount, Catch, Season, StratumKey, Weighing, value};

/// The measured containers of a stratum.
#[derive(Debug, Default)]
pub(super) struct Measured {
    pub amounts: Vec<f64>,
    pub sum: f64,
    /// Sum and number by the pull to which they belong, where that is known.
    pub of_pulls: BTreeMap<usize, (f64, f64)>,
}

impl Measured {
    pub fn mean(&self) -> Option<f64> {
        // Exact for any number of containers that was weighed.
        (!self.amounts.is_empty()).then(|| self.sum / self.amounts.len() as f64)
    }
}

/// The measured containers of every stratum of a catch.
pub(super) fn of_strata(
    season: &Season,
    catch: &Catch,
    amount: Amount,
) -> BTreeMap<StratumKey, Measured> {
    let ids: BTreeMap<String, usize> = season
        .pulls
        .iter()
        .enumerate()
        .rev()
        .map(|(index, pull)| (value::fold(&pull.id), index))
        .collect();
    catch
        .strata
        .iter()
        .map(|(key, records)| {
            let mut measured = Measured::default();
            for index in &records.weighings {
                let Some(weighing) = season.weighings.get(*index) else {
                    continue;
                };
                if let Some(one) = weighed(season, *index, amount) {
                    measured.amounts.push(one);
                    if let Some(pull) = pull_of(season, &ids, weighing, key) {
                        let of_pull = measured.of_pulls.entry(pull).or_default();
                        of_pull.0 += one;
                        of_pull.1 += 1.0;
                    }
                }
            }
            measured.sum = estimate::sum(measured.amounts.iter().copied());
            (key.clone(), measured)
        })
        .collect()
}

/// The pull to which a weighing's container belongs.
fn pull_of(
    season: &Season,
    ids: &BTreeMap<String, usize>,
    weighing: &Weighing,
    stratum: &StratumKey,
) -> Option<usize> {
    if let Some(id) = weighing.pull.as_deref() {
        return ids.get(&value::fold(id)).copied();
    }
    // Without a pull, the one pull of the day that logged the kind.
    let date = weighing.date?;
    let mut fitting = season.pulls.iter().enumerate().filter(|(_, pull)| {
        pull.date() == Some(date)
            && pull
                .rows
                .iter()
                .any(|row| row.container.as_deref() == Some(stratum.container.as_str()))
    });
    match (fitting.next(), fitting.next()) {
        (Some((index, _)), None) => Some(index),
        _ => None,
    }
}

fn weighed(season: &Season, index: usize, amount: Amount) -> Option<f64> {
    let weighing = season.weighings.get(index)?;
    match amount {
        Amount::Mass => weighing.mass,
        Amount::Plants => weighing.plants,
    }
}
