//! The plan for next season: where to go when, which stations to photograph again, what to weigh.
//!
//! Takes a season and its ledger, gives a [`Plan`] of dates, reasons and figures. Its numbers come from the ledger or from the estimate
//! room; its dates are this season's, a year on. Promises nothing: a plan from one season's records.

mod sites;
mod stations;
mod weighings;

use chrono::{Datelike, Months, NaiveDate};

use crate::figure::{Figure, Ledger};
use crate::phrase;
use crate::season::Season;

pub use sites::{SeedSet, SitePlan};
pub use stations::StationPlan;
pub use weighings::{FEWEST, StratumPlan};

/// The plan.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// The year planned for.
    pub year: i32,
    /// Sites in the order in which to go there; those that nobody covered first.
    pub sites: Vec<SitePlan>,
    pub stations: Vec<StationPlan>,
    pub weighings: Vec<StratumPlan>,
    /// The precision that weighings are planned for: a share of the mean.
    pub within: f64,
    /// Catch per hour from year to year, where earlier seasons tell.
    pub trend: Option<Figure>,
}

/// What every reader of a plan has to be told.
pub const CAUTIONS: [&str; 4] = [
    phrase!(
        "The dates are this season's, a year on. Seasons differ by weeks: look early, and go by what grows."
    ),
    phrase!(
        "The hours are what as much again would take at this season's rate. What comes up may be more or less; not found is not gone."
    ),
    phrase!(
        "Seed is said to live up to about 12 years, and most of it to sprout within two (from a published source read in part)."
    ),
    phrase!(
        "Permits, closed seasons, nesting times and cold-water rules come first; herbicide, machines and diving are for licensed hands."
    ),
];

/// Plans the season after this one. `within` is the precision wanted of a mean mass per container, a share above zero.
pub fn plan(season: &Season, ledger: &Ledger, within: f64) -> Plan {
    Plan {
        year: a_year_on(season.settings.starts).year(),
        sites: sites::plan(season, ledger),
        stations: stations::plan(season),
        weighings: weighings::plan(season, ledger, within),
        within,
        trend: ledger.get("trend.rate").cloned(),
    }
}

/// The same day a year on; 28 February after the 29th.
pub fn a_year_on(day: NaiveDate) -> NaiveDate {
    day.checked_add_months(Months::new(12)).unwrap_or(day)
}
