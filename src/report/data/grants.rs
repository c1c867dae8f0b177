//! Grants: promises beside figures, budget beside spending, match with its rates.

use rust_decimal::Decimal;
use serde_json::{Value, json};

use super::charts::drawing;
use crate::figure::{Deliverable, Measure, Outturn};
use crate::report::chart;
use crate::report::input::Input;
use crate::report::number::{Style, money, print, quantity};
use crate::report::words::{capital, day, period, sentence};
use crate::season::{Grant, RateKind};

/// Every grant of the season.
pub fn all(input: &Input<'_>, style: &Style) -> Value {
    input
        .season
        .settings
        .grants
        .iter()
        .map(|grant| one(grant, input, style))
        .collect()
}

fn one(grant: &Grant, input: &Input<'_>, style: &Style) -> Value {
    let deliverables: Vec<Value> = input
        .ledger
        .deliverables
        .iter()
        .filter(|deliverable| deliverable.grant == grant.id)
        .map(|deliverable| promise(deliverable, input, style))
        .collect();
    let period = match (grant.starts, grant.ends) {
        (Some(starts), Some(ends)) => Some(period(starts, ends)),
        (Some(starts), None) => Some(format!("from {}", day(starts))),
        (None, Some(ends)) => Some(format!("until {}", day(ends))),
        (None, None) => None,
    };
    json!({
        "id": grant.id,
        "funder": grant.funder,
        "title": grant.title,
        "federal": grant.federal,
        "period": period,
        "deliverables": deliverables,
        "budget": budget(grant, input, style),
        "cash": format!("spending.cash/{}", grant.id),
        "match-required": grant.match_required.map(|amount| money(amount, &style.currency)),
        "match-hours": format!("match.hours/{}", grant.id),
        "match-value": format!("match.value/{}", grant.id),
    })
}

fn promise(deliverable: &Deliverable, input: &Input<'_>, style: &Style) -> Value {
    let figure = input.ledger.get(&deliverable.figure);
    let measure = figure.map_or(Measure::Count, |figure| figure.measure);
    let drawn = figure.and_then(|figure| chart::target::draw(deliverable, figure, style));
    let why = match figure {
        None => Some("The ledger has no such figure.".to_owned()),
        Some(figure) => figure.refusal().map(sentence),
    };
    json!({
        "text": deliverable.text,
        "figure": deliverable.figure,
        "target": format!(
            "{} {}",
            if deliverable.at_most { "at most" } else { "at least" },
            quantity(deliverable.target, measure, style)
        ),
        "standing": deliverable.standing.word(),
        "colour": chart::target::colour(deliverable.standing).name,
        "chart": drawn.map(|chart| drawing(&chart)),
        "why": why,
    })
}

/// Budget lines in their order, then lines that were spent on without a budget.
fn budget(grant: &Grant, input: &Input<'_>, style: &Style) -> Value {
    let stem = format!("spending.line/{}/", grant.id);
    let spent = |line: &str| {
        let figure = input.ledger.get(&format!("{stem}{line}"))?;
        match figure.outturn {
            Outturn::Amount(amount) => Some(amount),
            _ => None,
        }
    };
    let most = grant
        .budget
        .iter()
        .flat_map(|line| [Some(line.amount), spent(&line.line)])
        .flatten()
        .max()
        .unwrap_or(Decimal::ZERO);
    let mut rows: Vec<Value> = grant
        .budget
        .iter()
        .map(|line| {
            let amount = spent(&line.line);
            json!({
                "line": line.line,
                "budget": money(line.amount, &style.currency),
                "spent": amount.map(|amount| money(amount, &style.currency)),
                "chart": amount.map(|amount| drawing(&chart::spending::draw(
                    &line.line, line.amount, amount, most, &style.currency,
                ))),
            })
        })
        .collect();
    let unplanned = input.ledger.figures().filter(|figure| {
        figure
            .name
            .strip_prefix(&stem)
            .is_some_and(|line| !grant.budget.iter().any(|planned| planned.line == line))
    });
    rows.extend(unplanned.map(|figure| {
        json!({
            "line": figure.name.strip_prefix(&stem),
            "budget": Value::Null,
            "spent": print(figure, style).value,
            "chart": Value::Null,
        })
    }));
    json!(rows)
}

/// The rates at which hours are valued.
pub fn rates(input: &Input<'_>, style: &Style) -> Value {
    input
        .season
        .settings
        .rates
        .iter()
        .map(|rate| {
            json!({
                "kind": match rate.kind {
                    RateKind::Volunteer => "volunteers",
                    RateKind::Staff => "paid people",
                },
                "per-hour": money(rate.per_hour, &style.currency),
                "year": rate.year.map(|year| year.to_string()),
                "source": rate.source.as_deref().map(|words| sentence(&capital(words))),
                "authority": rate.authority.as_deref().map(|words| sentence(&capital(words))),
                "grant": rate.grant,
            })
        })
        .collect()
}
