//! Pure statistics: slices of numbers in, estimates with their uncertainty out.
//!
//! Takes plain numbers, gives an [`Estimate`] or a [`Refusal`] that says in plain words why
//! there is none. It reads no file, knows no word of the field, and knows no
//! other room but that of words.
//!
//! The rules that every function here keeps:
//! - no NaN comes out, and an infinite number only as the upper end of an [`Interval`] where
//!   the function says so;
//! - any input, however broken, ends in a `Refusal` and never in a panic;
//! - an undefined standard error is `None`, never zero; zero means that nothing was sampled;
//! - the order in which observations are given changes nothing, to the last bit.
//!
//! Formulas, assumptions, sources and measured coverage are set out in `docs/methods.md`.

mod absence;
mod audit;
mod bootstrap;
mod carle_strub;
mod censored;
mod chance;
mod closed_form;
mod cover;
mod cover_class;
mod degrees;
mod density;
mod distribution;
mod domain;
mod double;
mod fences;
mod fieller;
mod imputation;
mod interval;
mod leslie;
mod loglinear;
mod mean;
mod need;
mod number;
#[cfg(test)]
mod properties;
mod proportion;
mod random;
mod rate;
mod ratio;
#[cfg(test)]
mod reference;
mod removal;
mod removal_falling;
mod seed_bank;
mod share;
mod sum;
mod total;
mod trend;

pub use absence::{Absence, absence, hours_for_absence};
pub use audit::{audit_bound, audit_size, smallest_provable_share};
pub use bootstrap::rate_bootstrap;
pub use carle_strub::carle_strub;
pub use censored::censored_mean;
pub use chance::chance_at_least;
pub use closed_form::{three_passes, two_passes};
pub use cover::paired_change;
pub use cover_class::{
    BRAUN_BLANQUET, ClassChange, CoverClass, CoverTable, DAUBENMIRE, class_change,
};
pub use density::{clumping, density};
pub use domain::{PartStratum, part_total};
pub use double::double_sampling_total;
pub use fences::{Fences, fences};
pub use fieller::fieller;
pub use imputation::{Gap, impute_total, pool};
pub use leslie::{CatchEffort, Leslie, leslie};
pub use mean::mean;
pub use need::{effort_needed, observations_needed};
pub use number::sum;
pub use proportion::{clopper_pearson, wilson};
pub use random::Random;
pub use rate::{Cluster, rate, rate_if_none};
pub use ratio::{PairedStratum, RatioForm, combined_ratio_total, ratio, separate_ratio_total};
pub use removal::{Fit, Removal, possible_initial, removal};
pub use removal_falling::removal_if_falling;
pub use seed_bank::{Course, Outlook, Range, SeedBank, SeedYear, seed_bank_outlook};
pub use share::share;
pub use sum::sum_with_filled;
pub use total::{Stratum, stratified_mean, stratified_total};
pub use trend::{SeasonRow, Trend, trend_negative_binomial, trend_quasi_poisson};

use std::fmt;

use crate::words;
use crate::words::Words;

/// A confidence interval. `upper` may be infinite only where the method's doc says so.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Interval {
    pub lower: f64,
    pub upper: f64,
    /// The nominal confidence level, such as 0.95.
    pub level: f64,
}

/// A value with what is known about its uncertainty.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Estimate {
    pub value: f64,
    /// `None` where there is none to give; `Some(0.0)` for a census.
    pub standard_error: Option<f64>,
    pub degrees_of_freedom: Option<f64>,
    pub interval: Option<Interval>,
    /// Why there is no interval, or why it is only approximate; plain words.
    pub caution: Vec<Words>,
    /// Plain words; names the form of standard error and of interval.
    pub method: Words,
    /// Sampled units used.
    pub observations: usize,
    /// Units they stand for, where finite.
    pub population: Option<f64>,
}

/// Why no estimate can be given, in words that somebody who is no statistician understands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refusal {
    pub reason: Words,
}

impl Refusal {
    pub fn new(reason: impl Into<Words>) -> Self {
        Self {
            reason: reason.into(),
        }
    }
}

impl fmt::Display for Refusal {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(formatter, "{}", self.reason)
    }
}

impl std::error::Error for Refusal {}

impl Estimate {
    /// A value alone, to which an estimator adds what it can.
    fn bare(value: f64, observations: usize, method: impl Into<Words>) -> Self {
        Self {
            value,
            standard_error: None,
            degrees_of_freedom: None,
            interval: None,
            caution: Vec::new(),
            method: method.into(),
            observations,
            population: None,
        }
    }

    /// Divides value and uncertainty by a positive number known exactly.
    fn divided_by(mut self, divisor: f64) -> Outcome {
        self.value /= divisor;
        self.standard_error = self.standard_error.map(|error| error / divisor);
        self.interval = self.interval.map(|interval| Interval {
            lower: interval.lower / divisor,
            upper: interval.upper / divisor,
            ..interval
        });
        self.checked()
    }

    /// The last gate before a result leaves the room: nothing undefined and nothing infinite
    /// passes.
    ///
    /// A value that is no finite number becomes a refusal; an interval that is none is dropped
    /// and the reason told.
    fn checked(self) -> Outcome {
        self.gate(false)
    }

    /// As [`Estimate::checked`], for the methods that document an infinite upper end.
    fn checked_open(self) -> Outcome {
        self.gate(true)
    }

    fn gate(mut self, open: bool) -> Outcome {
        if !self.value.is_finite() {
            return Err(Refusal::new(words!(
                "The numbers are too large or too small to be computed with."
            )));
        }
        if self.standard_error.is_some_and(|error| !error.is_finite()) {
            self.standard_error = None;
            self.interval = None;
            self.caution
                .push(words!("The uncertainty is too large to be computed."));
        }
        if self.degrees_of_freedom.is_some_and(|df| !df.is_finite()) {
            self.degrees_of_freedom = None;
        }
        let broken = |interval: &Interval| {
            !interval.lower.is_finite()
                || !(interval.upper.is_finite() || open && interval.upper == f64::INFINITY)
                || interval.lower > self.value
                || interval.upper < self.value
        };
        if self.interval.as_ref().is_some_and(broken) {
            self.interval = None;
            self.caution.push(words!(
                "The uncertainty is so large that no interval can be computed."
            ));
        }
        Ok(self)
    }
}

/// What a group is called as long as nobody names it, counted from 1.
fn group(number: usize) -> Words {
    words!("Group {number}", number)
}

/// The same words with names put where groups are told by their numbers.
pub fn naming_groups(words: Words, names: impl IntoIterator<Item = Words>) -> Words {
    names
        .into_iter()
        .enumerate()
        .fold(words, |words, (index, name)| {
            words.with(&group(index + 1), &name)
        })
}

/// What every estimator gives.
pub type Outcome = Result<Estimate, Refusal>;
