//! Deliverables: what was promised beside what the ledger says.

use crate::finding::{Finding, Grade, Rule};
use crate::place::Place;
use crate::season::{DeliverableSetting, Grant, SETTINGS_FILE, Season, value};
use crate::units::{Dimension, Unit};
use crate::words;
use crate::words::quoted;

use super::core::{Deliverable, Figure, Measure, Standing};
use super::ledger::Ledger;

const DELIVERABLE_FIGURE_UNKNOWN: Rule = Rule {
    name: "deliverable-figure-unknown",
    grade: Grade::Error,
    title: "A deliverable names a figure that the ledger does not have.",
    why: "Whether the deliverable is met can't be told.",
};
const DELIVERABLE_UNIT_WRONG: Rule = Rule {
    name: "deliverable-unit-wrong",
    grade: Grade::Error,
    title: "A deliverable's target has a unit that does not fit its figure.",
    why: "Whether the deliverable is met can't be told.",
};

/// The rules of this theme, for the list of rules.
pub const RULES: &[Rule] = &[DELIVERABLE_FIGURE_UNKNOWN, DELIVERABLE_UNIT_WRONG];

/// A target in the base unit of a figure's measure.
fn target_in_base(target: f64, unit: Option<&str>, measure: Measure) -> Option<f64> {
    let Some(unit) = unit else {
        return Some(target);
    };
    let dimension = match measure {
        Measure::Mass | Measure::MassPerTime => Some(Dimension::Mass),
        Measure::Area => Some(Dimension::Area),
        Measure::Time => Some(Dimension::Time),
        _ => None,
    };
    let folded = value::fold(unit);
    match (dimension, measure) {
        (Some(dimension), Measure::MassPerTime) => {
            let mass = folded
                .strip_suffix("perhour")
                .or_else(|| folded.strip_suffix('h'))
                .unwrap_or(&folded);
            Unit::named(mass)
                .filter(|unit| unit.dimension() == dimension)
                .map(|unit| target * unit.factor())
        }
        (Some(dimension), _) => Unit::named(unit)
            .filter(|unit| unit.dimension() == dimension)
            .map(|unit| target * unit.factor()),
        (None, Measure::Percent | Measure::PercentPoints) => {
            (unit.trim() == "%" || folded.starts_with("percent")).then_some(target)
        }
        // Counts and money bear whatever word the group gives them: pulls, bags, dollars.
        (None, _) => Some(target),
    }
}

/// How a figure stands to its target: by its interval where it has one.
fn standing(figure: &Figure, target: f64, at_most: bool) -> Standing {
    let Some(value) = figure.value() else {
        return Standing::Unknown;
    };
    // A supposition answers no promise.
    if matches!(figure.outturn, super::core::Outturn::Supposed(_)) {
        return Standing::Unknown;
    }
    let (lower, upper) = match figure.interval() {
        Some(interval) => (interval.lower, interval.upper),
        // An estimate without an interval can't be held against a target; what is exact can.
        None if matches!(figure.outturn, super::core::Outturn::Estimated(_)) => {
            return Standing::Uncertain;
        }
        None => (value, value),
    };
    let (sure, hopeless) = if at_most {
        (upper <= target, lower > target)
    } else {
        (lower >= target, upper < target)
    };
    if sure {
        Standing::Met
    } else if hopeless {
        Standing::Missed
    } else {
        Standing::Uncertain
    }
}

fn place(grant: &Grant, deliverable: &DeliverableSetting) -> Place {
    Place::key(
        SETTINGS_FILE,
        format!("grants.{}.deliverables.{}", grant.id, deliverable.id),
    )
}

/// All deliverables of all grants, in the order of season.toml.
pub fn judge(season: &Season, ledger: &Ledger) -> Vec<Deliverable> {
    let mut judged = Vec::new();
    for grant in &season.settings.grants {
        for promise in &grant.deliverables {
            let at_most = promise.at_least.is_none() && promise.at_most.is_some();
            let given = promise.at_least.or(promise.at_most);
            let figure = ledger.get(&promise.figure);
            let target = match (given, figure) {
                (Some(given), Some(figure)) => {
                    target_in_base(given, promise.unit.as_deref(), figure.measure)
                }
                (given, _) => given,
            };
            let standing = match (figure, target) {
                (Some(figure), Some(target)) => standing(figure, target, at_most),
                _ => Standing::Unknown,
            };
            judged.push(Deliverable {
                grant: grant.id.clone(),
                id: promise.id.clone(),
                text: promise.text.clone(),
                figure: promise.figure.clone(),
                // A target that can't be read is reported and stands as it was given.
                target: target.or(given).unwrap_or(0.0),
                at_most,
                standing,
                place: place(grant, promise),
            });
        }
    }
    judged
}

/// Deliverables that can't be judged, as findings.
pub fn findings(season: &Season, ledger: &Ledger) -> Vec<Finding> {
    let mut findings = Vec::new();
    for grant in &season.settings.grants {
        for promise in &grant.deliverables {
            let place = place(grant, promise);
            match ledger.get(&promise.figure) {
                None => {
                    let near = ledger.nearest(&promise.figure);
                    findings.push(DELIVERABLE_FIGURE_UNKNOWN.at(
                        place,
                        words!("There is no figure {name}.", name = quoted(&promise.figure)),
                        match near {
                            Some(near) => words!(
                                "Write {near}, if that is meant; `windrow figures` lists all.",
                                near
                            ),
                            None => words!("`windrow figures` lists all figures."),
                        },
                    ));
                }
                Some(figure) => {
                    let given = promise.at_least.or(promise.at_most).unwrap_or(0.0);
                    if target_in_base(given, promise.unit.as_deref(), figure.measure).is_none() {
                        findings.push(DELIVERABLE_UNIT_WRONG.at(
                            place,
                            words!(
                                "The target's unit is {unit}; the figure {figure} is held in {base}.",
                                unit = quoted(promise.unit.as_deref().unwrap_or_default()),
                                figure = &figure.name,
                                base = figure.measure.base_unit()
                            ),
                            words!("Give the target in a unit of the same kind."),
                        ));
                    }
                }
            }
        }
    }
    findings
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::estimate::{Estimate, Interval};
    use crate::figure::{LeftOuts, Outturn};
    use crate::place::Places;

    fn mass(lower: f64, value: f64, upper: f64) -> Figure {
        Figure {
            name: "removal.wet-mass".into(),
            label: "Wet mass removed".into(),
            kind: "Wet mass removed".into(),
            counts: None,
            measure: Measure::Mass,
            outturn: Outturn::Estimated(Estimate {
                value,
                standard_error: Some(1.0),
                degrees_of_freedom: Some(9.0),
                interval: Some(Interval {
                    lower,
                    upper,
                    level: 0.95,
                }),
                caution: Vec::new(),
                method: String::new().into(),
                observations: 10,
                population: None,
            }),
            method: String::new().into(),
            assumptions: Vec::new(),
            places: Places::default(),
            left_out: LeftOuts::default(),
        }
    }

    #[test]
    fn a_target_within_the_interval_is_uncertain() {
        let figure = mass(900.0, 1000.0, 1100.0);
        assert_eq!(standing(&figure, 850.0, false), Standing::Met);
        assert_eq!(standing(&figure, 1000.0, false), Standing::Uncertain);
        assert_eq!(standing(&figure, 1200.0, false), Standing::Missed);
        assert_eq!(standing(&figure, 1200.0, true), Standing::Met);
        assert_eq!(standing(&figure, 850.0, true), Standing::Missed);
    }

    #[test]
    fn targets_are_converted() {
        assert_eq!(
            target_in_base(2.0, Some("short_ton"), Measure::Mass),
            Some(1_814.369_48)
        );
        assert_eq!(target_in_base(90.0, Some("min"), Measure::Time), Some(1.5));
        assert_eq!(target_in_base(5.0, Some("acre"), Measure::Mass), None);
        assert_eq!(
            target_in_base(50.0, Some("percent"), Measure::Percent),
            Some(50.0)
        );
    }
}
