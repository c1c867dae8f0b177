//! What came out: containers, stages, weighings, and whether counts can be turned into mass.

use std::collections::BTreeSet;

use super::Check;
use super::core::{Finding, Grade};
use super::rule::Rule;
use crate::season::{Amount, Basis, Known, Season, Stray, catch, singular, value};

const CONTAINER_UNKNOWN: Rule = Rule {
    name: "container-unknown",
    grade: Grade::Error,
    title: "A kind of container is none of the season's.",
    why: "A kind with a second spelling makes a stratum of its own, whose containers can't be converted.",
};
const CONTAINER_WITHOUT_KIND: Rule = Rule {
    name: "container-without-kind",
    grade: Grade::Doubt,
    title: "Containers were counted and their kind was not noted.",
    why: "They can't be converted: their mass is missing from the total, and the pull from the catch per hour.",
};
const STAGE_UNKNOWN: Rule = Rule {
    name: "stage-unknown",
    grade: Grade::Error,
    title: "A growth stage is none of the season's.",
    why: "A misspelt stage makes a stratum of its own, whose containers can't be converted.",
};
const STAGE_MISSING: Rule = Rule {
    name: "stage-missing",
    grade: Grade::Doubt,
    title: "Containers were counted and the growth stage was not noted.",
    why: "The month stands in for the stage, so that only weighings of that month without a stage serve.",
};
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
const WEIGHING_STRAY: Rule = Rule {
    name: "weighing-without-pull",
    grade: Grade::Doubt,
    title: "A weighing belongs to no containers of the log.",
    why: "It is left out of the mean by which counted containers are converted.",
};
const WEIGHING_EMPTY: Rule = Rule {
    name: "weighing-empty",
    grade: Grade::Doubt,
    title: "A weighing gives neither a mass nor a number of plants.",
    why: "It is left out.",
};
const WEIGHINGS_EXCEED_CONTAINERS: Rule = Rule {
    name: "weighings-exceed-containers",
    grade: Grade::Error,
    title: "More containers of a kind and stage were weighed than were logged.",
    why: "The total of that kind and stage is refused: either the log lacks containers or a weighing stands twice.",
};
const STRATUM_NOT_WEIGHED: Rule = Rule {
    name: "stratum-not-weighed",
    grade: Grade::Doubt,
    title: "Containers of a kind and stage were counted and none was weighed.",
    why: "Their mass can't be told: they are missing from the total and from the catch per hour.",
};
const STRATUM_WEIGHED_ONCE: Rule = Rule {
    name: "stratum-weighed-once",
    grade: Grade::Doubt,
    title: "Of a kind and stage only one container was weighed.",
    why: "A total that rests on it has no interval: how much containers differ can't be told from one.",
};

/// All rules of this theme, with their functions.
pub const RULES: &[(Rule, Check)] = &[
    (CONTAINER_UNKNOWN, container_unknown),
    (CONTAINER_WITHOUT_KIND, container_without_kind),
    (STAGE_UNKNOWN, stage_unknown),
    (STAGE_MISSING, stage_missing),
    (AMOUNT_MISSING, amount_missing),
    (BASIS_MISSING, basis_missing),
    (WEIGHED_WITHOUT_MASS, weighed_without_mass),
    (WEIGHED_ROW_DISAGREES, weighed_row_disagrees),
    (WEIGHING_STRAY, weighing_stray),
    (WEIGHING_EMPTY, weighing_empty),
    (WEIGHINGS_EXCEED_CONTAINERS, weighings_exceed_containers),
    (STRATUM_NOT_WEIGHED, stratum_not_weighed),
    (STRATUM_WEIGHED_ONCE, stratum_weighed_once),
];

/// Kinds that are read without being named in season.toml: what crews carry (common practice, no source).
const COMMON_KINDS: &[&str] = &[
    "bag",
    "barrel",
    "basket",
    "bin",
    "boat",
    "boatload",
    "box",
    "bucket",
    "bushel",
    "canoe",
    "canoe load",
    "canoeload",
    "cart",
    "contractor bag",
    "cooler",
    "crate",
    "drum",
    "dumpster",
    "gallon",
    "hamper",
    "laundry basket",
    "litre",
    "liter",
    "load",
    "mesh bag",
    "net",
    "onion bag",
    "pail",
    "pile",
    "pallet",
    "sack",
    "sled",
    "tarp",
    "tote",
    "trash bag",
    "trailer",
    "truck",
    "truckload",
    "tub",
    "wheelbarrow",
];

fn kinds(season: &Season) -> Vec<String> {
    if season.settings.method.containers.is_empty() {
        return COMMON_KINDS.iter().map(|kind| (*kind).to_owned()).collect();
    }
    season
        .settings
        .method
        .containers
        .iter()
        .map(|kind| singular(kind))
        .collect()
}

fn container_unknown(season: &Season, findings: &mut Vec<Finding>) {
    let known = kinds(season);
    let named = season
        .pulls
        .iter()
        .flat_map(|pull| &pull.rows)
        .map(|row| (&row.row, row.container.as_deref()))
        .chain(
            season
                .weighings
                .iter()
                .map(|row| (&row.row, row.container.as_deref())),
        );
    for (row, kind) in named {
        let Some(kind) = kind else { continue };
        if known
            .iter()
            .any(|known| value::fold(known) == value::fold(kind))
        {
            continue;
        }
        let mend = match value::nearest(kind, known.iter().map(String::as_str)) {
            Some(nearest) => format!(
                "Write {nearest}, if that is meant; or add \"{kind}\" to [method] containers in season.toml."
            ),
            None => format!(
                "Add \"{kind}\" to [method] containers in season.toml, together with the season's other kinds."
            ),
        };
        findings.push(CONTAINER_UNKNOWN.on(
            row,
            Some("container"),
            format!("{kind:?} is no kind of container of this season."),
            mend,
        ));
    }
}

fn container_without_kind(season: &Season, findings: &mut Vec<Finding>) {
    let catch = catch(&season.pulls, &season.weighings, Amount::Mass);
    for (index, how) in &catch.rows {
        if let Known::NoKind { containers } = how
            && let Some(row) = season
                .pulls
                .get(index.pull)
                .and_then(|pull| pull.rows.get(index.row))
        {
            findings.push(CONTAINER_WITHOUT_KIND.on(
                &row.row,
                Some("container"),
                format!("{containers} containers without a kind."),
                "Fill in the kind from the field sheet or from the pull's photos.",
            ));
        }
    }
}

/// Words for stages that are read without being named in season.toml (common practice, no source).
const COMMON_STAGES: &[&str] = &[
    "sprout",
    "seedlings",
    "submersed",
    "juvenile",
    "young",
    "young rosette",
    "rosettes",
    "vegetative",
    "budding",
    "bud",
    "flower",
    "flowers",
    "in flower",
    "mature",
    "mature rosette",
    "adult",
    "green fruit",
    "fruit",
    "fruits",
    "ripe fruit",
    "seed",
    "seeding",
    "seed drop",
    "senescent",
    "dying",
];

/// The season's stages; the common words too, unless the group names its own.
fn stages(season: &Season) -> Vec<&str> {
    let named = &season.settings.method.stages;
    let common: &[&str] = if season.settings.names_stages() {
        &[]
    } else {
        COMMON_STAGES
    };
    named
        .iter()
        .map(String::as_str)
        .chain(common.iter().copied())
        .collect()
}

fn stage_unknown(season: &Season, findings: &mut Vec<Finding>) {
    let known = stages(season);
    let named = season
        .pulls
        .iter()
        .flat_map(|pull| &pull.rows)
        .map(|row| (&row.row, row.stage.as_deref()))
        .chain(
            season
                .weighings
                .iter()
                .map(|row| (&row.row, row.stage.as_deref())),
        );
    for (row, stage) in named {
        let Some(stage) = stage else { continue };
        if known
            .iter()
            .any(|known| value::fold(known) == value::fold(stage))
        {
            continue;
        }
        let mend = match value::nearest(stage, known.iter().copied()) {
            Some(nearest) => format!(
                "Write {nearest}, if that is meant; or add the stage to [method] stages in season.toml."
            ),
            None => format!(
                "Use one of {}; or name your stages in [method] stages in season.toml.",
                season.settings.method.stages.join(", ")
            ),
        };
        findings.push(STAGE_UNKNOWN.on(
            row,
            Some("stage"),
            format!("{stage:?} is no growth stage of this season."),
            mend,
        ));
    }
}

fn stage_missing(season: &Season, findings: &mut Vec<Finding>) {
    let catch = catch(&season.pulls, &season.weighings, Amount::Mass);
    for (index, how) in &catch.rows {
        if let Known::Convert { .. } | Known::ConvertGuess { .. } = how
            && let Some(row) = season
                .pulls
                .get(index.pull)
                .and_then(|pull| pull.rows.get(index.row))
            && row.stage.is_none()
        {
            findings.push(STAGE_MISSING.on(
                &row.row,
                Some("stage"),
                "Containers to be converted, without a growth stage.",
                format!(
                    "Fill in one of {}, from the field sheet or the pull's photos.",
                    season.settings.method.stages.join(", ")
                ),
            ));
        }
    }
}

fn amount_missing(season: &Season, findings: &mut Vec<Finding>) {
    let pulls = season.pulls.iter().filter(|pull| !pull.is_empty());
    for row in pulls.flat_map(|pull| &pull.rows) {
        if row.containers.is_none() && row.mass.is_none() && row.plants.is_none() {
            findings.push(AMOUNT_MISSING.on(
                &row.row,
                Some("containers"),
                "Neither containers, mass nor plants.",
                "Fill in what came out; 0 containers, if the search found nothing.",
            ));
        }
    }
}

fn basis_missing(season: &Season, findings: &mut Vec<Finding>) {
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
                format!("The row gives {column} and no basis."),
                "Fill in basis: weighed, counted or guessed.",
            ));
        }
    }
}

fn weighed_without_mass(season: &Season, findings: &mut Vec<Finding>) {
    for row in season.pulls.iter().flat_map(|pull| &pull.rows) {
        if row.basis == Some(Basis::Weighed) && row.mass.is_none() && row.containers != Some(0.0) {
            findings.push(WEIGHED_WITHOUT_MASS.on(
                &row.row,
                Some("mass"),
                "The basis is weighed and the mass is empty.",
                "Fill in the mass; set basis to counted, if only the containers in weighings.csv were weighed.",
            ));
        }
    }
}

/// Scales differ; beyond this share a sum and its row are two different numbers (common practice, no source).
const SCALE_TOLERANCE: f64 = 0.02;

fn weighed_row_disagrees(season: &Season, findings: &mut Vec<Finding>) {
    let catch = catch(&season.pulls, &season.weighings, Amount::Mass);
    for (index, how) in &catch.rows {
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
                format!("The row gives {mass:.1} kg, its weighings add up to {listed:.1} kg."),
                "Correct the one that is wrong.",
            ));
        }
    }
}

fn weighing_stray(season: &Season, findings: &mut Vec<Finding>) {
    let mut told = BTreeSet::new();
    for amount in [Amount::Mass, Amount::Plants] {
        for (index, stray) in catch(&season.pulls, &season.weighings, amount).stray {
            let Some(weighing) = season.weighings.get(index) else {
                continue;
            };
            let pull = weighing.pull.as_deref().unwrap_or("");
            let (column, message, mend) = match stray {
                Stray::PullUnknown => (
                    "pull",
                    format!("The log has no pull {pull:?}."),
                    "Correct the pull's id, or add the pull to the log.",
                ),
                Stray::KindNotInPull => (
                    "container",
                    format!("Pull {pull} logged no containers of this kind."),
                    "Correct the kind here or in the log.",
                ),
                Stray::StageUnknown => (
                    "stage",
                    "It does not say at which stage the plants were.".to_owned(),
                    "Fill in a column stage, or the pull and the stage in its row of the log.",
                ),
                Stray::StratumNotInLog => (
                    "container",
                    "No pull logged containers of this kind at this stage that are to be converted.".to_owned(),
                    "Correct kind or stage, here or in the log.",
                ),
                // The containers are in the row that was weighed as a whole: nothing is lost, nothing to mend. A missing kind has
                // been told by the reader.
                Stray::RowWeighed | Stray::NoKind => continue,
            };
            if told.insert(index) {
                findings.push(WEIGHING_STRAY.on(&weighing.row, Some(column), message, mend));
            }
        }
    }
}

fn weighing_empty(season: &Season, findings: &mut Vec<Finding>) {
    for weighing in &season.weighings {
        if weighing.mass.is_none() && weighing.plants.is_none() {
            findings.push(WEIGHING_EMPTY.on(
                &weighing.row,
                Some("mass"),
                "Neither mass nor plants.",
                "Fill in what the scale showed, or take the row out.",
            ));
        }
    }
}

fn weighings_exceed_containers(season: &Season, findings: &mut Vec<Finding>) {
    for (key, records) in &catch(&season.pulls, &season.weighings, Amount::Mass).strata {
        let weighed = records.weighings.len();
        if weighed as f64 > records.containers
            && records.containers > 0.0
            && let Some(last) = records
                .weighings
                .last()
                .and_then(|index| season.weighings.get(*index))
        {
            findings.push(WEIGHINGS_EXCEED_CONTAINERS.on(
                &last.row,
                None,
                format!(
                    "{weighed} weighings for {} containers of {key}.",
                    records.containers
                ),
                "Look for a weighing that stands twice, or for a row missing in the log.",
            ));
        }
    }
}

/// Below this many weighings an interval is very wide; the number to ask for.
const ENOUGH_WEIGHINGS: usize = 5;

fn stratum_not_weighed(season: &Season, findings: &mut Vec<Finding>) {
    for (key, records) in &catch(&season.pulls, &season.weighings, Amount::Mass).strata {
        if !records.weighings.is_empty() {
            continue;
        }
        let rows: Vec<_> = records
            .rows
            .iter()
            .chain(&records.guessed_rows)
            .filter_map(|index| {
                season
                    .pulls
                    .get(index.pull)
                    .and_then(|pull| pull.rows.get(index.row))
            })
            .collect();
        if let Some(first) = rows.first() {
            findings.push(
                STRATUM_NOT_WEIGHED
                    .on(
                        &first.row,
                        Some("containers"),
                        format!("{} containers of {key} and none was weighed.", records.containers),
                        format!(
                            "Weigh {ENOUGH_WEIGHINGS} of the next containers of this kind and stage; what is past can't be mended, and is \
                             left out of the total."
                        ),
                    )
                    .with(rows.iter().skip(1).map(|row| row.row.place())),
            );
        }
    }
}

fn stratum_weighed_once(season: &Season, findings: &mut Vec<Finding>) {
    for (key, records) in &catch(&season.pulls, &season.weighings, Amount::Mass).strata {
        if records.weighings.len() == 1
            && records.containers > 1.0
            && let Some(weighing) = records
                .weighings
                .first()
                .and_then(|index| season.weighings.get(*index))
        {
            findings.push(STRATUM_WEIGHED_ONCE.on(
                &weighing.row,
                None,
                format!(
                    "The only weighing of {} containers of {key}.",
                    records.containers
                ),
                format!("Weigh {ENOUGH_WEIGHINGS} of the next containers of this kind and stage."),
            ));
        }
    }
}
