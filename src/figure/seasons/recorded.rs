//! In what seasons are recorded, and what came out in a year: the values that seasons are compared by.
//!
//! Takes a unit as history writes it, gives its kind with its names. Knows no season.

use std::collections::BTreeMap;

use crate::estimate::SeasonRow;
use crate::figure::core::Measure;
use crate::place::Place;
use crate::season::singular;
use crate::units::{Dimension, Unit};
use crate::words;
use crate::words::Words;

/// In what the seasons were recorded.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Recorded {
    Mass,
    Plants,
    Containers(String),
}

impl Recorded {
    /// The kind and the factor to its base unit.
    pub fn of(unit: &str) -> (Self, f64) {
        if let Some(unit) = Unit::named(unit).filter(|unit| unit.dimension() == Dimension::Mass) {
            return (Recorded::Mass, unit.factor());
        }
        match singular(unit).as_str() {
            "plant" | "rosette" => (Recorded::Plants, 1.0),
            kind => (Recorded::Containers(kind.to_owned()), 1.0),
        }
    }

    pub fn words(&self) -> Words {
        match self {
            Recorded::Mass => words!("a mass"),
            Recorded::Plants => words!("plants"),
            Recorded::Containers(kind) => words!("containers ({kind})", kind),
        }
    }

    /// The ledger's figure of it.
    pub fn figure(&self) -> String {
        match self {
            Recorded::Mass => "removal.wet-mass".into(),
            Recorded::Plants => "removal.plants".into(),
            Recorded::Containers(kind) => format!("removal.containers/{kind}"),
        }
    }

    pub fn label(&self) -> Words {
        match self {
            Recorded::Mass => words!("Wet mass per person-hour"),
            Recorded::Plants => words!("Plants per person-hour"),
            Recorded::Containers(kind) => words!("Containers ({kind}) per person-hour", kind),
        }
    }

    pub fn measure(&self) -> Measure {
        match self {
            Recorded::Mass => Measure::MassPerTime,
            _ => Measure::CountPerTime,
        }
    }
}

/// What came out in a year, and in how many hours.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Year {
    pub amount: f64,
    pub effort: f64,
    pub places: Vec<Place>,
}

impl Year {
    pub fn add(&mut self, amount: f64, effort: f64, places: impl IntoIterator<Item = Place>) {
        self.amount += amount;
        self.effort += effort;
        self.places.extend(places);
    }
}

/// The years as the regression takes them.
pub fn season_rows(years: &BTreeMap<i32, Year>) -> Vec<SeasonRow> {
    years
        .iter()
        .map(|(year, of_year)| SeasonRow {
            time: f64::from(*year),
            amount: of_year.amount,
            effort: of_year.effort,
        })
        .collect()
}

/// Where rows without a site stand: the whole programme.
pub const WHOLE: &str = "";
