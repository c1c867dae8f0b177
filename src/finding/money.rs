//! Grants, deliverables, spending and match.

use super::Check;
use super::core::{Finding, Grade};
use super::naming::{self, Known};
use super::photos::{near_path, of_files};
use super::rule::Rule;
use crate::place::Place;
use crate::season::{SETTINGS_FILE, Season, value};
use crate::words;
use crate::words::quoted;

const SPENDING_WITHOUT_GRANT: Rule = Rule {
    name: "spending-grant-unknown",
    grade: Grade::Error,
    title: "An amount is booked on a grant that season.toml does not have.",
    why: "It is missing from that grant's spending.",
};
const SPENDING_LINE_UNKNOWN: Rule = Rule {
    name: "spending-line-unknown",
    grade: Grade::Doubt,
    title: "An amount is booked on a budget line that its grant does not have.",
    why: "It counts for the grant and for none of its lines.",
};
const RECEIPT_NOT_THERE: Rule = Rule {
    name: "receipt-not-there",
    grade: Grade::Doubt,
    title: "A receipt is named and its file is not there.",
    why: "An auditor can't follow the amount.",
};
const RATE_MISSING: Rule = Rule {
    name: "rate-missing",
    grade: Grade::Doubt,
    title: "A grant asks for match and no rate for volunteer hours is given.",
    why: "The in-kind match can't be valued.",
};
const MATCH_SHARED: Rule = Rule {
    name: "match-shared",
    grade: Grade::Doubt,
    title: "Several grants ask for match.",
    why: "An hour may serve as match for one grant only: hours of no grant's pulls count for the first.",
};
const DELIVERABLE_WITHOUT_TARGET: Rule = Rule {
    name: "deliverable-without-target",
    grade: Grade::Error,
    title: "A deliverable has no target, or two.",
    why: "Whether it is met can't be told.",
};

/// All rules of this theme, with their functions.
pub const RULES: &[(Rule, Check)] = &[
    (SPENDING_WITHOUT_GRANT, spending_grant_unknown),
    (SPENDING_LINE_UNKNOWN, spending_line_unknown),
    (RECEIPT_NOT_THERE, receipt_not_there),
    (RATE_MISSING, rate_missing),
    (MATCH_SHARED, match_shared),
    (DELIVERABLE_WITHOUT_TARGET, deliverable_without_target),
];

fn spending_grant_unknown(season: &Season, findings: &mut Vec<Finding>) {
    let grants = season.settings.grants.iter();
    let listed: Vec<&str> = grants.map(|grant| grant.id.as_str()).collect();
    let known = Known::new(listed.iter().copied());
    for row in &season.spending {
        if let Some(grant) = row.grant.as_deref()
            && season.settings.grant(grant).is_none()
        {
            findings.push(SPENDING_WITHOUT_GRANT.on(
                &row.row,
                Some("grant"),
                words!("season.toml has no grant {grant}.", grant = quoted(grant)),
                naming::mend(
                    grant,
                    &known,
                    &listed,
                    words!("If it is a new grant, add it to season.toml."),
                ),
            ));
        }
    }
}

fn spending_line_unknown(season: &Season, findings: &mut Vec<Finding>) {
    for row in &season.spending {
        let Some(grant) = row
            .grant
            .as_deref()
            .and_then(|id| season.settings.grant(id))
        else {
            continue;
        };
        let Some(line) = row.line.as_deref() else {
            continue;
        };
        if grant.budget.is_empty()
            || grant
                .budget
                .iter()
                .any(|known| value::fold(&known.line) == value::fold(line))
        {
            continue;
        }
        let lines = grant.budget.iter();
        let listed: Vec<&str> = lines.map(|known| known.line.as_str()).collect();
        findings.push(SPENDING_LINE_UNKNOWN.on(
            &row.row,
            Some("line"),
            words!(
                "The grant {grant} has no budget line {line}.",
                grant = &grant.id,
                line = quoted(line)
            ),
            naming::mend(
                line,
                &Known::new(listed.iter().copied()),
                &listed,
                words!("If it is new, add the line to the grant's budget in season.toml."),
            ),
        ));
    }
}

fn receipt_not_there(season: &Season, findings: &mut Vec<Finding>) {
    let mut files = of_files(season, "papers/");
    for row in &season.spending {
        let Some(receipt) = row.receipt.as_deref() else {
            continue;
        };
        if !season.has_file(receipt, "papers/") {
            findings.push(RECEIPT_NOT_THERE.on(
                &row.row,
                Some("receipt"),
                words!("There is no file {receipt}.", receipt = quoted(receipt)),
                near_path(receipt, "papers/", &mut files),
            ));
        }
    }
}

fn rate_missing(season: &Season, findings: &mut Vec<Finding>) {
    for grant in &season.settings.grants {
        if grant.asks_for_match() && !season.settings.rates_volunteers(grant) {
            findings.push(RATE_MISSING.at(
                Place::key(SETTINGS_FILE, format!("grants.{}.match_required", grant.id)),
                words!(
                    "The grant {grant} asks for match and there is no rate for volunteers.",
                    grant = &grant.id
                ),
                words!(
                    "Add [[rates]] with kind = \"volunteer\", per_hour, year, source and authority."
                ),
            ));
        }
    }
}

fn match_shared(season: &Season, findings: &mut Vec<Finding>) {
    let asking: Vec<&str> = season
        .settings
        .grants
        .iter()
        .filter(|grant| grant.asks_for_match())
        .map(|grant| grant.id.as_str())
        .collect();
    if let [first, _, ..] = asking.as_slice() {
        findings.push(MATCH_SHARED.at(
            Place::key(SETTINGS_FILE, "grants"),
            words!(
                "{grants} ask for match.",
                grants = asking.iter().map(ToString::to_string).collect::<Vec<_>>()
            ),
            words!(
                "Hours whose pull no grant pays count for {first}; put the grant that shall claim them first, or accept the finding.",
                first
            ),
        ));
    }
}

fn deliverable_without_target(season: &Season, findings: &mut Vec<Finding>) {
    for grant in &season.settings.grants {
        for deliverable in &grant.deliverables {
            if deliverable.at_least.is_some() == deliverable.at_most.is_some() {
                findings.push(DELIVERABLE_WITHOUT_TARGET.at(
                    Place::key(
                        SETTINGS_FILE,
                        format!("grants.{}.deliverables.{}", grant.id, deliverable.id),
                    ),
                    words!("It needs either at_least or at_most."),
                    words!("Give the one that the award names."),
                ));
            }
        }
    }
}
