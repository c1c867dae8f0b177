//! Cover read in classes: the tables, and what classes can say of a change.
//!
//! Takes classes before and after on the same plots, gives the change by midpoints, the bounds
//! that the class edges allow, and an estimate that takes each class for the interval it is.

use super::censored::censored_mean;
use super::number::{check_level, mean};
use super::{Estimate, Interval, Refusal, paired_change};
use crate::phrase;
use crate::words;

/// One class of cover in per cent.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CoverClass {
    pub label: &'static str,
    pub lower: f64,
    pub upper: f64,
    pub midpoint: f64,
}

/// A named table of classes. The name goes with every result, since authors differ.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CoverTable {
    pub name: &'static str,
    pub classes: &'static [CoverClass],
}

impl CoverTable {
    pub fn class(&self, label: &str) -> Option<CoverClass> {
        self.classes
            .iter()
            .find(|class| class.label == label)
            .copied()
    }
}

const fn class(label: &'static str, lower: f64, upper: f64, midpoint: f64) -> CoverClass {
    CoverClass {
        label,
        lower,
        upper,
        midpoint,
    }
}

/// Daubenmire 1959, "A canopy-coverage method of vegetational analysis", Northwest Science 33.
/// Label 0, for none seen, is common practice.
pub const DAUBENMIRE: CoverTable = CoverTable {
    name: "Daubenmire 1959",
    classes: &[
        class("0", 0.0, 0.0, 0.0),
        class("1", 0.0, 5.0, 2.5),
        class("2", 5.0, 25.0, 15.0),
        class("3", 25.0, 50.0, 37.5),
        class("4", 50.0, 75.0, 62.5),
        class("5", 75.0, 95.0, 85.0),
        class("6", 95.0, 100.0, 97.5),
    ],
};

/// Braun-Blanquet's scale with the midpoints of Wikum & Shanholtzer 1978, "Application of the
/// Braun-Blanquet cover-abundance scale for vegetation analysis in land development studies",
/// Environmental Management 2 (midpoints from memory). Edges of r, + and 1 are taken wide,
/// since the scale mixes number and cover there.
pub const BRAUN_BLANQUET: CoverTable = CoverTable {
    name: phrase!("Braun-Blanquet, midpoints of Wikum and Shanholtzer 1978"),
    classes: &[
        class("0", 0.0, 0.0, 0.0),
        class("r", 0.0, 1.0, 0.1),
        class("+", 0.0, 1.0, 0.1),
        class("1", 0.0, 5.0, 2.5),
        class("2", 5.0, 25.0, 15.0),
        class("3", 25.0, 50.0, 37.5),
        class("4", 50.0, 75.0, 62.5),
        class("5", 75.0, 100.0, 87.5),
    ],
};

/// Change of cover in percentage points, three ways.
#[derive(Debug, Clone, PartialEq)]
pub struct ClassChange {
    /// By midpoints, paired t from five plots.
    pub midpoints: Estimate,
    /// Least and greatest mean change of these very plots that the class edges allow; no
    /// confidence interval.
    pub bounds: (f64, f64),
    /// By likelihood of the intervals; the reason where there is none.
    pub censored: Result<Estimate, Refusal>,
}

/// Mean change of cover from classes before and after, plot by plot in the same order.
///
/// Refuses what [`paired_change`] refuses, and classes that are no interval of 0 to 100.
///
/// Source: midpoints as in Daubenmire 1959; interval censoring: Pescott and others 2016 for
/// cover classes, "The design, launch and assessment of a new volunteer-based plant monitoring
/// scheme" (from memory), with a normal law for the changes.
pub fn class_change(
    before: &[CoverClass],
    after: &[CoverClass],
    level: f64,
) -> Result<ClassChange, Refusal> {
    check_level(level)?;
    let sound = |class: &CoverClass| {
        0.0 <= class.lower
            && class.lower <= class.midpoint
            && class.midpoint <= class.upper
            && class.upper <= 100.0
    };
    if !before.iter().chain(after).all(sound) {
        return Err(Refusal::new(words!(
            "A class of cover must lie between 0 and 100 per cent, with its midpoint inside."
        )));
    }
    let middle = |classes: &[CoverClass]| -> Vec<f64> {
        classes.iter().map(|class| class.midpoint).collect()
    };
    let mut midpoints = paired_change(&middle(before), &middle(after), level)?;
    midpoints.caution.push(words!(
        "Approximate: the middle of a class stands for what was read. The more plots there are, \
         the more this error weighs beside chance; look at the bounds that the classes allow."
    ));
    let (least, greatest): (Vec<f64>, Vec<f64>) = before
        .iter()
        .zip(after)
        .map(|(b, a)| (a.lower - b.upper, a.upper - b.lower))
        .unzip();
    let bounds = (
        mean(&least).unwrap_or(midpoints.value),
        mean(&greatest).unwrap_or(midpoints.value),
    );
    let intervals: Vec<Interval> = least
        .into_iter()
        .zip(greatest)
        .map(|(lower, upper)| Interval {
            lower,
            upper,
            level,
        })
        .collect();
    Ok(ClassChange {
        midpoints,
        bounds,
        censored: censored_mean(&intervals, level),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Midpoints printed in Daubenmire 1959: 2.5, 15, 37.5, 62.5, 85, 97.5.
    #[test]
    fn daubenmires_midpoints() {
        let midpoints: Vec<f64> = DAUBENMIRE.classes[1..]
            .iter()
            .map(|class| class.midpoint)
            .collect();
        assert_eq!(midpoints, [2.5, 15.0, 37.5, 62.5, 85.0, 97.5]);
        assert_eq!(BRAUN_BLANQUET.class("+").map(|c| c.midpoint), Some(0.1));
        assert_eq!(DAUBENMIRE.class("7"), None);
    }

    #[test]
    fn bounds_hold_the_midpoints() {
        let pick = |labels: &str| -> Vec<CoverClass> {
            labels
                .chars()
                .filter_map(|label| DAUBENMIRE.class(&label.to_string()))
                .collect()
        };
        let found = class_change(&pick("564356"), &pick("132121"), 0.95).unwrap();
        assert!(found.bounds.0 <= found.midpoints.value);
        assert!(found.bounds.1 >= found.midpoints.value);
        let censored = found.censored.unwrap();
        assert!((censored.value - found.midpoints.value).abs() < 10.0);
        let mut odd = pick("1");
        odd[0].upper = f64::NAN;
        assert!(class_change(&odd, &odd, 0.95).is_err());
    }
}
