//! Grants: promises beside figures, budget beside spending, match with its rates.

use rust_decimal::Decimal;
use serde_json::{Value, json};

use super::charts::drawing;
use crate::figure::{Deliverable, Measure, Outturn, Standing, line_name};
use crate::report::chart;
use crate::report::input::Input;
use crate::report::number::{Style, money, print, quantity};
use crate::report::words::{capital, sentence};
use crate::season::{BudgetLine, Grant, RateKind};
use crate::words::period;
use crate::{phrase, words};

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
        (Some(starts), Some(ends)) => Some(period(starts, ends, style.language)),
        (Some(starts), None) => Some(style.say(words!("from {day}", day = starts))),
        (None, Some(ends)) => Some(style.say(words!("until {day}", day = ends))),
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
        "totals": totals(grant, input, style),
        "gifts": text(input, &format!("spending.in-kind/{}", grant.id), style),
        "match": in_kind(grant, input, style),
    })
}

fn promise(deliverable: &Deliverable, input: &Input<'_>, style: &Style) -> Value {
    let figure = input.ledger.get(&deliverable.figure);
    let measure = figure.map_or(Measure::Count, |figure| figure.measure);
    let drawn = figure.and_then(|figure| chart::target::draw(deliverable, figure, style));
    let why = match figure {
        None => Some(style.say(words!("The ledger has no such figure."))),
        Some(figure) => figure.refusal().map(|reason| sentence(&style.say(reason))),
    };
    // Where the standing is uncertain, how likely it is to be met says more than the word.
    let chance = input
        .ledger
        .get(&format!(
            "deliverable.chance/{}/{}",
            deliverable.grant, deliverable.id
        ))
        .filter(|chance| chance.refusal().is_none() && deliverable.standing == Standing::Uncertain)
        .map(|chance| {
            style.say(words!(
                "chance that it is met: {chance}",
                chance = print(chance, style).with_unit()
            ))
        });
    let target = quantity(deliverable.target, measure, style);
    let target = if deliverable.at_most {
        words!("at most {target}", target)
    } else {
        words!("at least {target}", target)
    };
    json!({
        "text": deliverable.text,
        "chance": chance,
        "figure": deliverable.figure,
        "target": style.say(target),
        "standing": deliverable.standing.word(),
        "standing-word": style.language.of(deliverable.standing.word()),
        "colour": chart::target::colour(deliverable.standing).name,
        "chart": drawn.map(|chart| drawing(&chart)),
        "why": why,
    })
}

/// A figure's value with its unit, where the ledger has it.
fn text(input: &Input<'_>, name: &str, style: &Style) -> Option<String> {
    let printed = print(input.ledger.get(name)?, style);
    Some(match printed.refusal {
        Some(_) => style.say(words!("not known")),
        None => printed.with_unit(),
    })
}

/// Budget lines in their order: granted, spent and left, with a bar.
fn budget(grant: &Grant, input: &Input<'_>, style: &Style) -> Value {
    let name =
        |stem: &str, line: &BudgetLine| format!("{stem}/{}/{}", grant.id, line_name(&line.line));
    let spent = |line: &BudgetLine| match input.ledger.get(&name("spending.line", line))?.outturn {
        Outturn::Amount(amount) => Some(amount),
        _ => None,
    };
    let most = grant
        .budget
        .iter()
        .flat_map(|line| [Some(line.amount), spent(line)])
        .flatten()
        .max()
        .unwrap_or(Decimal::ZERO);
    grant
        .budget
        .iter()
        .map(|line| {
            let bar = spent(line).map(|amount| {
                drawing(&chart::spending::draw(
                    &line.line,
                    line.amount,
                    amount,
                    most,
                    style,
                ))
            });
            json!({
                "line": capital(&line.line),
                "budget": money(line.amount, style),
                "spent": text(input, &name("spending.line", line), style),
                "left": text(input, &name("budget.line-left", line), style),
                "chart": bar,
            })
        })
        .collect()
}

/// The grant's budget, spending and rest; spending includes what was booked to no line.
fn totals(grant: &Grant, input: &Input<'_>, style: &Style) -> Value {
    let of = |stem: &str| text(input, &format!("{stem}/{}", grant.id), style);
    json!({
        "budget": of("budget.total"),
        "spent": of("spending.cash"),
        "left": of("budget.left"),
    })
}

/// Hours given, their value, and what was asked for; null where the ledger has no match for the grant.
fn in_kind(grant: &Grant, input: &Input<'_>, style: &Style) -> Value {
    let of = |stem: &str| text(input, &format!("{stem}/{}", grant.id), style);
    let rows: Vec<Value> = [
        (
            phrase!("Volunteers"),
            "match.volunteer-hours",
            "match.volunteer-value",
        ),
        (
            phrase!("Paid people, paid by no grant"),
            "match.staff-hours",
            "match.staff-value",
        ),
    ]
    .into_iter()
    .filter_map(|(who, hours, value)| {
        Some(json!({"who": style.language.of(who), "hours": of(hours)?, "value": of(value)}))
    })
    .collect();
    let value = of("match.value");
    // Nothing asked is no promise to print.
    let required = grant
        .match_required
        .filter(|amount| !amount.is_zero())
        .map(|amount| of("match.required").unwrap_or_else(|| money(amount, style)));
    if rows.is_empty() && value.is_none() && required.is_none() {
        return Value::Null;
    }
    json!({"rows": rows, "value": value, "required": required})
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
                    RateKind::Volunteer => style.language.of(phrase!("volunteers")),
                    RateKind::Staff => style.language.of(phrase!("paid people")),
                },
                "per-hour": money(rate.per_hour, style),
                "year": rate.year.map(|year| year.to_string()),
                "source": rate.source.as_deref().map(|words| sentence(&capital(words))),
                "authority": rate.authority.as_deref().map(|words| sentence(&capital(words))),
                "grant": rate.grant,
            })
        })
        .collect()
}
