//! What a figure is: a named result with its uncertainty, its method and the places of every record under it.

use rust_decimal::Decimal;
use serde::Serialize;

use super::left_out::LeftOuts;
use crate::estimate::{Estimate, Interval, Outcome};
use crate::phrase;
use crate::place::{Place, Places};
use crate::words::Words;

/// What a figure measures, and so in which unit its value is held.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Measure {
    /// Things counted; the label says which.
    Count,
    /// Kilograms.
    Mass,
    /// Square metres.
    Area,
    /// Hours.
    Time,
    /// Kilograms per hour.
    MassPerTime,
    /// Things per hour.
    CountPerTime,
    /// Things per square metre.
    CountPerArea,
    /// Per cent, 0 to 100.
    Percent,
    /// Change in per cent of the season before, −100 to any height.
    PercentPerYear,
    /// Share in per cent that an hour takes.
    PercentPerHour,
    /// Difference of two percentages.
    PercentPoints,
    /// Years.
    Years,
    /// The season's currency.
    Money,
}

impl Measure {
    /// The unit in which the ledger holds the value.
    pub fn base_unit(self) -> &'static str {
        match self {
            Measure::Count => "1",
            Measure::Mass => "kg",
            Measure::Area => "m2",
            Measure::Time => "h",
            Measure::MassPerTime => "kg/h",
            Measure::CountPerTime => "1/h",
            Measure::CountPerArea => "1/m2",
            Measure::Percent => "percent",
            Measure::PercentPerYear => "percent/year",
            Measure::PercentPerHour => "percent/h",
            Measure::PercentPoints => "percentage points",
            Measure::Years => "years",
            Measure::Money => "currency",
        }
    }
}

/// What came out.
#[derive(Debug, Clone, PartialEq)]
pub enum Outturn {
    /// Known exactly from the records: a count or a sum, with no sampling error.
    Exact(f64),
    /// Money, to the cent.
    Amount(Decimal),
    /// Estimated, with its uncertainty where there is one.
    Estimated(Estimate),
    /// Follows from what was supposed, and is no measurement.
    Supposed(Supposed),
    /// The records can't carry it; why, and what would.
    Refused(Words),
}

/// What follows from ranges that somebody supposed: a range, and no confidence interval.
#[derive(Debug, Clone, PartialEq)]
pub struct Supposed {
    pub lower: f64,
    /// The middle scenario, where scenarios were drawn.
    pub middle: Option<f64>,
    /// May be infinite, where the suppositions set no upper end.
    pub upper: f64,
    /// Share of the scenarios drawn that lie in the range; nothing where the range holds all that was supposed.
    pub share: Option<f64>,
    /// What every reader must be told with it.
    pub caution: Vec<Words>,
}

impl From<Outcome> for Outturn {
    fn from(outcome: Outcome) -> Self {
        match outcome {
            Ok(estimate) => Outturn::Estimated(estimate),
            Err(refusal) => Outturn::Refused(refusal.reason),
        }
    }
}

/// A named result.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    /// Permanent name, `theme.what` for the season and `theme.what/part` for a site, kind or grant.
    pub name: String,
    /// What it is, in the words of the report.
    pub label: Words,
    /// What it and its kin of other sites, kinds or grants are called together.
    pub kind: Words,
    /// What is counted, where that is one thing in one figure of the kind and another in the next.
    pub counts: Option<Words>,
    pub measure: Measure,
    pub outturn: Outturn,
    /// How it was reached, in a sentence.
    pub method: Words,
    /// What has to be true for it to hold.
    pub assumptions: Vec<Words>,
    /// Every record that went in.
    pub places: Places,
    /// Records that should have gone in and could not.
    pub left_out: LeftOuts,
}

impl Figure {
    /// The value in the measure's base unit, if there is one.
    pub fn value(&self) -> Option<f64> {
        use rust_decimal::prelude::ToPrimitive;
        match &self.outturn {
            Outturn::Exact(value) => Some(*value),
            Outturn::Amount(amount) => amount.to_f64(),
            Outturn::Estimated(estimate) => Some(estimate.value),
            Outturn::Supposed(supposed) => supposed.middle,
            Outturn::Refused(_) => None,
        }
    }

    /// What has to be told with the value.
    pub fn cautions(&self) -> &[Words] {
        match &self.outturn {
            Outturn::Estimated(estimate) => &estimate.caution,
            Outturn::Supposed(supposed) => &supposed.caution,
            _ => &[],
        }
    }

    /// The interval, where the value is an estimate that has one.
    pub fn interval(&self) -> Option<Interval> {
        match &self.outturn {
            Outturn::Estimated(estimate) => estimate.interval,
            _ => None,
        }
    }

    /// The standard error, where the value is an estimate that has one.
    pub fn standard_error(&self) -> Option<f64> {
        match &self.outturn {
            Outturn::Estimated(estimate) => estimate.standard_error,
            _ => None,
        }
    }

    /// Why there is no value.
    pub fn refusal(&self) -> Option<&Words> {
        match &self.outturn {
            Outturn::Refused(reason) => Some(reason),
            _ => None,
        }
    }

    /// `effort.person-hours/heron-bay` → `effort.person-hours`.
    pub fn stem(&self) -> &str {
        self.name.split('/').next().unwrap_or(&self.name)
    }

    /// `effort.person-hours/heron-bay` → `heron-bay`.
    pub fn part(&self) -> Option<&str> {
        self.name.split_once('/').map(|(_, part)| part)
    }
}

/// How a deliverable stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Standing {
    Met,
    Missed,
    /// The interval lies on both sides of the target.
    Uncertain,
    /// There is no figure to hold against the target.
    Unknown,
}

impl Standing {
    pub fn word(self) -> &'static str {
        match self {
            Standing::Met => phrase!("met"),
            Standing::Missed => phrase!("missed"),
            Standing::Uncertain => phrase!("uncertain"),
            Standing::Unknown => phrase!("not known"),
        }
    }
}

/// A promise to a funder beside the figure that answers it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Deliverable {
    pub grant: String,
    pub id: String,
    pub text: String,
    /// The figure's name in the ledger.
    pub figure: String,
    /// The target in the figure's base unit.
    pub target: f64,
    /// True where the target is a ceiling.
    pub at_most: bool,
    pub standing: Standing,
    pub place: Place,
}
