//! Weights that can't be, or lie apart from the others of their kind.

use std::collections::{BTreeMap, BTreeSet};

use super::core::{Finding, Grade};
use super::rule::Rule;
use super::{CatchCheck, Caught, rows};
use crate::estimate::fences;
use crate::season::{Amount, PrintUnits, Season, Weighing, value};
use crate::units::Unit;
use crate::words;
use crate::words::{Fill, Words, number};

const CONTAINER_TOO_HEAVY: Rule = Rule {
    name: "container-too-heavy",
    grade: Grade::Error,
    title: "A container would weigh more than it can hold, or than two people can lift.",
    why: "The mass removed would be too high by the slip: a decimal point, pounds for kilograms, or a sum for one container.",
};
const CONTAINER_UNLIKE_WEIGHED: Rule = Rule {
    name: "container-unlike-weighed",
    grade: Grade::Doubt,
    title: "A row's mass per container is far from everything that was weighed of its kind.",
    why: "The row's mass goes into the total as it stands.",
};
const WEIGHING_FAR_OUT: Rule = Rule {
    name: "weighing-far-out",
    grade: Grade::Doubt,
    title: "A weighed container lies apart from the others of its kind.",
    why: "Its weight goes into the mean by which all counted containers of its kind and stage are converted.",
};

/// All rules of this theme, with their functions.
pub const RULES: &[(Rule, CatchCheck)] = &[
    (CONTAINER_TOO_HEAVY, container_too_heavy),
    (CONTAINER_UNLIKE_WEIGHED, container_unlike_weighed),
    (WEIGHING_FAR_OUT, weighing_far_out),
];

/// What two people lift together and no more: twice 25 kg, the reference mass of ISO 11228-1 (from memory), and a fifth for zeal.
const LIFTED_BY_TWO_KG: f64 = 60.0;

/// Wet plants are no heavier than the water that would fill their container.
const WATER_KG_PER_LITRE: f64 = 1.0;

/// Kinds that are carried by hand (common practice, no source).
const CARRIED: &[&str] = &[
    "bag",
    "basket",
    "box",
    "contractor bag",
    "cooler",
    "crate",
    "hamper",
    "laundry basket",
    "mesh bag",
    "onion bag",
    "sack",
    "tote",
    "trash bag",
    "tub",
];

/// The largest size in use of kinds that hold a known volume, in litres. Gallon and bushel are the US ones, 3.785 412 L and
/// 35.239 07 L (NIST SP 811, appendix B.8); the others common practice, no source.
const VOLUMES: &[(&str, f64)] = &[
    ("barrel", 210.0),
    ("bucket", 25.0),
    ("bushel", 35.239_07),
    ("drum", 210.0),
    ("gallon", 3.785_412),
    ("liter", 1.0),
    ("litre", 1.0),
    ("pail", 25.0),
    ("wheelbarrow", 170.0),
];

/// The most that one container of a kind can weigh, in kilograms, and why; nothing for kinds without bounds, as a load or a pile.
fn most(kind: &str) -> Option<(f64, Words)> {
    // A kind may carry its size: `42-gallon bag`, `5 gal bucket`.
    let size: String = kind
        .chars()
        .take_while(|c| c.is_ascii_digit() || *c == '.')
        .collect();
    if let Ok(number) = size.parse::<f64>() {
        let unit = kind
            .get(size.len()..)
            .unwrap_or_default()
            .trim_start_matches(['-', ' ']);
        let litres = if unit.starts_with("gal") {
            Some(number * 3.785_412)
        } else if unit.starts_with("l ") || unit.starts_with("lit") {
            Some(number)
        } else {
            None
        };
        if let Some(litres) = litres.filter(|litres| *litres > 0.0) {
            return Some((litres * WATER_KG_PER_LITRE, no_more(litres)));
        }
    }
    let folded = value::fold(kind);
    if let Some((_, litres)) = VOLUMES.iter().find(|(word, _)| value::fold(word) == folded) {
        return Some((litres * WATER_KG_PER_LITRE, no_more(*litres)));
    }
    CARRIED
        .iter()
        .any(|word| value::fold(word) == folded)
        .then(|| (LIFTED_BY_TWO_KG, words!("two people lift no more")))
}

/// Why a volume holds no more than its water weighs.
fn no_more(litres: f64) -> Words {
    words!(
        "{litres} litres hold no more",
        litres = number(format!("{litres:.0}"))
    )
}

/// Kilograms in the unit that the season prints.
fn mass(season: &Season, kg: f64) -> Fill {
    match season.settings.units.print {
        PrintUnits::Us => number(format!("{:.0} lb", kg / Unit::Pound.factor())),
        PrintUnits::Metric => number(format!("{kg:.1} kg")),
    }
}

fn too_heavy(kind: &str, kg: f64) -> Option<(f64, Words)> {
    most(kind).filter(|(most, _)| kg > *most)
}

fn container_too_heavy(season: &Season, _: &Caught, findings: &mut Vec<Finding>) {
    let mend =
        words!("Correct mass or containers from the field sheet; check the unit in the heading.");
    for (_, row) in rows(season) {
        if let (Some(kind), Some(each)) = (row.container.as_deref(), row.mass_each())
            && let Some((most, why)) = too_heavy(kind, each)
        {
            findings.push(CONTAINER_TOO_HEAVY.on(
                &row.row,
                Some("mass"),
                words!(
                    "{mass} in each {kind}; at most {most}: {why}.",
                    mass = mass(season, each),
                    kind,
                    most = mass(season, most),
                    why
                ),
                mend.clone(),
            ));
        }
    }
    for weighing in &season.weighings {
        if let (Some(kind), Some(kg)) = (weighing.container.as_deref(), weighing.mass)
            && let Some((most, why)) = too_heavy(kind, kg)
        {
            findings.push(CONTAINER_TOO_HEAVY.on(
                &weighing.row,
                Some("mass"),
                words!(
                    "{mass} in one {kind}; at most {most}: {why}.",
                    mass = mass(season, kg),
                    kind,
                    most = mass(season, most),
                    why
                ),
                mend.clone(),
            ));
        }
    }
}

/// Fewer weighings say little of what a container may hold.
const FEWEST_WEIGHINGS: usize = 3;

/// A row's mean lies within its heaviest and lightest container; beyond this factor of all that was weighed it is another
/// kind of number (common practice, no source).
const FACTOR: f64 = 2.0;

fn container_unlike_weighed(season: &Season, _: &Caught, findings: &mut Vec<Finding>) {
    let mut weighed: BTreeMap<&str, Vec<f64>> = BTreeMap::new();
    for weighing in &season.weighings {
        if let (Some(kind), Some(mass)) = (weighing.container.as_deref(), weighing.mass)
            && mass > 0.0
            && too_heavy(kind, mass).is_none()
        {
            weighed.entry(kind).or_default().push(mass);
        }
    }
    for (_, row) in rows(season) {
        let (Some(kind), Some(each)) = (row.container.as_deref(), row.mass_each()) else {
            continue;
        };
        let Some(masses) = weighed
            .get(kind)
            .filter(|masses| masses.len() >= FEWEST_WEIGHINGS)
        else {
            continue;
        };
        let lightest = masses.iter().copied().fold(f64::INFINITY, f64::min);
        let heaviest = masses.iter().copied().fold(0.0, f64::max);
        let within = each <= FACTOR * heaviest && FACTOR * each >= lightest;
        if within || too_heavy(kind, each).is_some() {
            continue;
        }
        findings.push(CONTAINER_UNLIKE_WEIGHED.on(
            &row.row,
            Some("mass"),
            words!(
                "{mass} in each {kind}; the {number} that were weighed hold {lightest} to {heaviest}.",
                mass = mass(season, each),
                kind,
                number = masses.len(),
                lightest = mass(season, lightest),
                heaviest = mass(season, heaviest)
            ),
            words!(
                "Correct mass, unit or containers from the field sheet; accept the finding if it is right."
            ),
        ));
    }
}

/// Beyond the inner fences, a value is told only if it is so many times the median, or so small a part of it: some fences are
/// crossed by chance in every fourth small sample (Hoaglin, Iglewicz and Tukey 1986, JASA 81:991, table 1, from memory).
const FACTOR_BEYOND_INNER: f64 = 1.75;

/// Round weights leave so narrow a spread that a harmless one may be beyond the outer fences.
const FACTOR_BEYOND_OUTER: f64 = 1.5;

fn weighing_far_out(season: &Season, caught: &Caught, findings: &mut Vec<Finding>) {
    let mut told = BTreeSet::new();
    for (amount, column) in [(Amount::Mass, "mass"), (Amount::Plants, "plants")] {
        for (index, message) in far_out(season, caught, amount) {
            if let Some(weighing) = season.weighings.get(index)
                && told.insert(index)
            {
                findings.push(WEIGHING_FAR_OUT.on(
                    &weighing.row,
                    Some(column),
                    message,
                    words!(
                        "Look it up on the field sheet: decimal point, unit, kind. Accept the finding if the scale did show it."
                    ),
                ));
            }
        }
    }
}

fn amount_of(weighing: &Weighing, amount: Amount) -> Option<f64> {
    match amount {
        Amount::Mass => weighing.mass,
        Amount::Plants => weighing.plants,
    }
    .filter(|value| *value > 0.0)
}

/// Numbers of the weighings that lie apart. Fences are put around logarithms, since a slip multiplies; within kind and stage where that
/// has enough weighings, else within kind.
fn far_out(season: &Season, caught: &Caught, amount: Amount) -> Vec<(usize, Words)> {
    let strata = &caught.of(amount).strata;
    let value_at = |index: &usize| {
        season
            .weighings
            .get(*index)
            .and_then(|weighing| amount_of(weighing, amount))
    };
    let mut out = Vec::new();
    for (key, records) in strata {
        let own: Vec<f64> = records.weighings.iter().filter_map(value_at).collect();
        let of_kind: Vec<f64> = strata
            .iter()
            .filter(|(other, _)| other.container == key.container)
            .flat_map(|(_, records)| records.weighings.iter().filter_map(value_at))
            .collect();
        let logs = |values: &[f64]| values.iter().map(|value| value.ln()).collect::<Vec<f64>>();
        let by_stage = fences(&logs(&own));
        let Some(fences) = by_stage.or_else(|| fences(&logs(&of_kind))) else {
            continue;
        };
        let apart = |value: f64| {
            let log = value.ln();
            let beyond = |(low, high): (f64, f64)| log < low || log > high;
            let off = (log - fences.median).abs();
            (beyond(fences.inner) && off >= FACTOR_BEYOND_INNER.ln())
                || (beyond(fences.outer) && off >= FACTOR_BEYOND_OUTER.ln())
        };
        let found: Vec<(usize, f64)> = records
            .weighings
            .iter()
            .filter_map(|index| Some((*index, value_at(index)?)))
            .filter(|(_, value)| apart(*value))
            .collect();
        // Several of one stage beside the others of the kind: that is the stage, not a slip.
        if by_stage.is_none() && found.len() > 1 {
            continue;
        }
        for (index, value) in found {
            let kind = &key.container;
            if amount == Amount::Mass && too_heavy(kind, value).is_some() {
                continue;
            }
            let told = |value: f64| match amount {
                Amount::Mass => mass(season, value),
                Amount::Plants => Fill::from(words!(
                    "{number} plants",
                    number = number(format!("{value:.0}"))
                )),
            };
            let of = if by_stage.is_some() {
                key.in_words()
            } else {
                Words::own(kind)
            };
            out.push((
                index,
                words!(
                    "{amount} in one container of {of}; half of the others hold less than {median}.",
                    amount = told(value),
                    of,
                    median = told(fences.median.exp())
                ),
            ));
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn kinds_hold_what_their_volume_or_two_people_allow() {
        assert_eq!(most("bag").unwrap().0, 60.0);
        assert!((most("bushel").unwrap().0 - 35.239).abs() < 0.001);
        // 42 US gallons are 158.99 L.
        assert!((most("42-gallon bag").unwrap().0 - 158.99).abs() < 0.01);
        assert_eq!(most("20 litre bucket").unwrap().0, 20.0);
        assert_eq!(most("truckload"), None);
    }
}
