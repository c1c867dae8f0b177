//! What a row of the log says came out, and how that is known.

use super::core::{Finding, Grade};
use super::rule::Rule;
use super::{CatchCheck, Caught};
use crate::season::{Basis, Known, Season, value};
use crate::words;
use crate::words::number;

const AMOUNT_MISSING: Rule = Rule {
    name: "amount-missing",
    grade: Grade::Doubt,
    title: "A row says nothing of what came out.",
    why: "The pull's hours count and its catch does not; it is left out of the catch per hour.",
};
const BASIS_MISSING: Rule = Rule {
    name: "basis-missing",
    grade: Grade::Doubt,
    title: "A row gives a mass or a number of plants and does not say how it is known.",
    why: "It counts as a guess and is kept out of the total.",
};
const WEIGHED_WITHOUT_MASS: Rule = Rule {
    name: "weighed-without-mass",
    grade: Grade::Doubt,
    title: "A row says weighed and gives no mass.",
    why: "Its containers are converted like counted ones.",
};
const WEIGHED_ROW_DISAGREES: Rule = Rule {
    name: "weighed-row-disagrees",
    grade: Grade::Doubt,
    title: "The weighings of a pull don't add up to the mass that its row gives.",
    why: "One of the two is wrong; the weighings are used.",
};

/// All rules of this theme, with their functions.
pub const RULES: &[(Rule, CatchCheck)] = &[
    (AMOUNT_MISSING, amount_missing),
    (BASIS_MISSING, basis_missing),
    (WEIGHED_WITHOUT_MASS, weighed_without_mass),
    (WEIGHED_ROW_DISAGREES, weighed_row_disagrees),
];

fn amount_missing(season: &Season, _: &Caught, findings: &mut Vec<Finding>) {
    let pulls = season.pulls.iter().filter(|pull| !pull.is_empty());
    for row in pulls.flat_map(|pull| &pull.rows) {
        // What stands there and can't be read has been told by the reader.
        let silent = ["containers", "mass", "plants"]
            .iter()
            .all(|column| row.row.text(column).is_none());
        if silent {
            findings.push(AMOUNT_MISSING.on(
                &row.row,
                Some("containers"),
                words!("Neither containers, mass nor plants."),
                words!("Fill in what came out; 0 containers, if the search found nothing."),
            ));
        }
    }
}

fn basis_missing(season: &Season, _: &Caught, findings: &mut Vec<Finding>) {
    for row in season.pulls.iter().flat_map(|pull| &pull.rows) {
        let column = match (row.mass, row.plants) {
            (Some(mass), _) if mass > 0.0 => "mass",
            (_, Some(plants)) if plants > 0.0 => "plants",
            _ => continue,
        };
        if row.basis.is_none() {
            findings.push(BASIS_MISSING.on(
                &row.row,
                Some(column),
                words!("The row gives {column} and no basis.", column),
                words!("Fill in basis: weighed, counted or guessed."),
            ));
        }
    }
}

fn weighed_without_mass(season: &Season, _: &Caught, findings: &mut Vec<Finding>) {
    for row in season.pulls.iter().flat_map(|pull| &pull.rows) {
        if row.basis == Some(Basis::Weighed)
            && row.row.text("mass").is_none()
            && row.containers != Some(0.0)
        {
            findings.push(WEIGHED_WITHOUT_MASS.on(
                &row.row,
                Some("mass"),
                words!("The basis is weighed and the mass is empty."),
                words!(
                    "Fill in the mass; set basis to counted, if only the containers in weighings.csv were weighed."
                ),
            ));
        }
    }
}

/// Scales differ; beyond this share a sum and its row are two different numbers (common practice, no source).
const SCALE_TOLERANCE: f64 = 0.02;

fn weighed_row_disagrees(season: &Season, caught: &Caught, findings: &mut Vec<Finding>) {
    for (index, how) in &caught.mass.rows {
        let Known::Convert { .. } = how else { continue };
        let Some((pull, row)) = season
            .pulls
            .get(index.pull)
            .and_then(|pull| pull.rows.get(index.row).map(|row| (pull, row)))
        else {
            continue;
        };
        // Only a row that was weighed as a whole and listed one by one keeps a mass of its own here.
        let Some(mass) = row.mass else { continue };
        let listed: f64 = season
            .weighings
            .iter()
            .filter(|weighing| {
                weighing.container == row.container
                    && weighing
                        .pull
                        .as_deref()
                        .is_some_and(|id| value::fold(id) == value::fold(&pull.id))
            })
            .filter_map(|weighing| weighing.mass)
            .sum();
        if (listed - mass).abs() > SCALE_TOLERANCE * mass {
            findings.push(WEIGHED_ROW_DISAGREES.on(
                &row.row,
                Some("mass"),
                words!(
                    "The row gives {mass} kg, its weighings add up to {listed} kg.",
                    mass = number(format!("{mass:.1}")),
                    listed = number(format!("{listed:.1}"))
                ),
                words!("Correct the one that is wrong."),
            ));
        }
    }
}
