//! Words of the catch: kinds of container and growth stages.

use super::core::{Finding, Grade};
use super::naming::{self, Known as Names};
use super::rule::Rule;
use super::{CatchCheck, Caught};
use crate::season::{Known, Season, singular, value};
use crate::words;
use crate::words::{number, quoted};

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

/// All rules of this theme, with their functions.
pub const RULES: &[(Rule, CatchCheck)] = &[
    (CONTAINER_UNKNOWN, container_unknown),
    (CONTAINER_WITHOUT_KIND, container_without_kind),
    (STAGE_UNKNOWN, stage_unknown),
    (STAGE_MISSING, stage_missing),
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

fn container_unknown(season: &Season, _: &Caught, findings: &mut Vec<Finding>) {
    let known = kinds(season);
    let own = &season.settings.method.containers;
    let listed: Vec<&str> = own.iter().map(String::as_str).collect();
    let others = known.iter().map(String::as_str);
    let names = Names::new(listed.iter().copied().chain(others));
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
        let folded = value::fold(kind);
        if known.iter().any(|known| value::folds_to(known, &folded)) {
            continue;
        }
        let mend = naming::mend(
            kind,
            &names,
            &listed,
            words!(
                "If it is new, add {kind} to [method] containers in season.toml, together with the season's other kinds.",
                kind = quoted(kind)
            ),
        );
        findings.push(CONTAINER_UNKNOWN.on(
            row,
            Some("container"),
            words!(
                "{kind} is no kind of container of this season.",
                kind = quoted(kind)
            ),
            mend,
        ));
    }
}

fn container_without_kind(season: &Season, caught: &Caught, findings: &mut Vec<Finding>) {
    for (index, how) in &caught.mass.rows {
        if let Known::NoKind { containers } = how
            && let Some(row) = season
                .pulls
                .get(index.pull)
                .and_then(|pull| pull.rows.get(index.row))
        {
            findings.push(CONTAINER_WITHOUT_KIND.on(
                &row.row,
                Some("container"),
                words!(
                    "{containers} containers without a kind.",
                    containers = number(containers.to_string())
                ),
                words!("Fill in the kind from the field sheet or from the pull's photos."),
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

fn stage_unknown(season: &Season, _: &Caught, findings: &mut Vec<Finding>) {
    let known = stages(season);
    let own = &season.settings.method.stages;
    let listed: Vec<&str> = own.iter().map(String::as_str).collect();
    let names = Names::new(listed.iter().chain(&known).copied());
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
        let folded = value::fold(stage);
        if known.iter().any(|known| value::folds_to(known, &folded)) {
            continue;
        }
        let mend = naming::mend(
            stage,
            &names,
            &listed,
            words!("If it is new, name your stages in [method] stages in season.toml."),
        );
        findings.push(STAGE_UNKNOWN.on(
            row,
            Some("stage"),
            words!(
                "{stage} is no growth stage of this season.",
                stage = quoted(stage)
            ),
            mend,
        ));
    }
}

fn stage_missing(season: &Season, caught: &Caught, findings: &mut Vec<Finding>) {
    for (index, how) in &caught.mass.rows {
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
                words!("Containers to be converted, without a growth stage."),
                words!(
                    "Fill in one of {stages}, from the field sheet or the pull's photos.",
                    stages = season.settings.method.stages.join(", ")
                ),
            ));
        }
    }
}
