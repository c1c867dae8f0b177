//! What to weigh next season, and how many of it.

use crate::estimate;
use crate::figure::{Figure, Ledger, line_name};
use crate::season::{Amount, Season, catch};
use crate::words::Words;

/// Weighings below which a stratum gives no interval (`figure` refuses fewer).
pub const FEWEST: u32 = 3;

/// A kind of container at a growth stage.
#[derive(Debug, Clone, PartialEq)]
pub struct StratumPlan {
    pub container: String,
    pub stage: String,
    /// Containers that were counted and have to be converted.
    pub counted: f64,
    pub weighed: usize,
    /// Mean mass per container.
    pub mean: Option<Figure>,
    /// How many weighings would give the mean to the precision wanted, if next season's vary as this season's did; or why that
    /// can't be said.
    pub needed: Result<u32, Words>,
}

pub fn plan(season: &Season, ledger: &Ledger, within: f64) -> Vec<StratumPlan> {
    let catch = catch(&season.pulls, &season.weighings, Amount::Mass);
    let level = season.settings.method.level;
    catch
        .strata
        .into_iter()
        .map(|(key, records)| {
            let masses: Vec<f64> = records
                .weighings
                .iter()
                .filter_map(|index| season.weighings.get(*index)?.mass)
                .collect();
            let needed = estimate::observations_needed(&masses, None, within, level)
                .map(|number| number.max(FEWEST))
                .map_err(|refusal| refusal.reason);
            let name = format!(
                "stratum.mass-per-container/{}/{}",
                line_name(&key.container),
                line_name(&key.stage)
            );
            StratumPlan {
                mean: ledger.get(&name).cloned(),
                container: key.container,
                stage: key.stage,
                counted: records.containers,
                weighed: masses.len(),
                needed,
            }
        })
        .collect()
}
