//! Money: spending by grant and budget line, and in-kind match. Decimal arithmetic, to the cent.

use rust_decimal::{Decimal, RoundingStrategy};

use crate::place::{Place, Places};
use crate::season::{
    Grant, Payer, Pull, Rate, RateKind, SETTINGS_FILE, Season, SpendingKind, value,
};
use crate::words;
use crate::words::Words;

use super::core::{Figure, Measure, Outturn};
use super::left_out::{LeftOut, LeftOuts};

/// All figures of money.
pub fn figures(season: &Season) -> Vec<Figure> {
    let mut figures = Vec::new();
    for grant in &season.settings.grants {
        figures.extend(spending(season, grant));
        figures.extend(in_kind(season, grant));
    }
    figures
}

fn figure(
    name: String,
    (kind, label): (Words, Words),
    measure: Measure,
    outturn: Outturn,
    method: Words,
    places: Vec<Place>,
) -> Figure {
    Figure {
        name,
        label,
        kind,
        counts: None,
        measure,
        outturn,
        method,
        assumptions: Vec::new(),
        places: Places::default(),
        left_out: LeftOuts::default(),
    }
    .resting_on(places)
}

fn grant_words(grant: &Grant) -> &str {
    grant
        .title
        .as_deref()
        .or(grant.funder.as_deref())
        .unwrap_or(&grant.id)
}

/// Letters, digits and hyphens of a budget line, for a figure's name.
pub fn line_name(line: &str) -> String {
    let mut name = String::new();
    for c in line.to_lowercase().chars() {
        if c.is_alphanumeric() {
            name.push(c);
        } else if !name.ends_with('-') {
            name.push('-');
        }
    }
    name.trim_matches('-').to_owned()
}

fn spending(season: &Season, grant: &Grant) -> Vec<Figure> {
    let booked: Vec<_> = season
        .spending
        .iter()
        .filter(|row| {
            row.grant
                .as_deref()
                .is_some_and(|id| value::fold(id) == value::fold(&grant.id))
        })
        .collect();
    let sum = |kind: SpendingKind, line: Option<&str>| -> (Decimal, Vec<Place>) {
        let rows: Vec<_> = booked
            .iter()
            .filter(|row| row.kind == kind)
            .filter(|row| {
                line.is_none_or(|line| {
                    row.line
                        .as_deref()
                        .is_some_and(|own| value::fold(own) == value::fold(line))
                })
            })
            .collect();
        let total = rows
            .iter()
            .filter_map(|row| row.amount)
            .fold(Decimal::ZERO, |sum, amount| sum.saturating_add(amount));
        (total, rows.iter().map(|row| row.row.place()).collect())
    };
    let unread: Vec<LeftOut> = booked
        .iter()
        .filter(|row| row.amount.is_none())
        .map(|row| LeftOut::new(row.row.place(), words!("its amount can't be read")))
        .collect();
    let mut figures = Vec::new();
    let (cash, places) = sum(SpendingKind::Cash, None);
    figures.push(
        figure(
            format!("spending.cash/{}", grant.id),
            of_grant(words!("Spent"), grant),
            Measure::Money,
            Outturn::Amount(cash),
            words!("Sum of the amounts of this grant in the spending table."),
            places,
        )
        .without(unread.clone()),
    );
    let (given, places) = sum(SpendingKind::InKind, None);
    if !places.is_empty() {
        figures.push(
            figure(
                format!("spending.in-kind/{}", grant.id),
                of_grant(words!("Given in kind"), grant),
                Measure::Money,
                Outturn::Amount(given),
                words!("Sum of the in-kind amounts of this grant in the spending table."),
                places,
            )
            .without(unread),
        );
    }
    if !grant.budget.is_empty() {
        let key =
            |what: &str| Place::key(SETTINGS_FILE, format!("grants.{}.budget{what}", grant.id));
        let planned = grant
            .budget
            .iter()
            .fold(Decimal::ZERO, |sum, line| sum.saturating_add(line.amount));
        figures.push(figure(
            format!("budget.total/{}", grant.id),
            of_grant(words!("Budget"), grant),
            Measure::Money,
            Outturn::Amount(planned),
            words!("Sum of the budget lines in season.toml."),
            vec![key("")],
        ));
        figures.push(figure(
            format!("budget.left/{}", grant.id),
            of_grant(words!("Left of the budget"), grant),
            Measure::Money,
            Outturn::Amount(planned.saturating_sub(cash)),
            words!("Budget less what was spent."),
            vec![key("")],
        ));
        for line in &grant.budget {
            let part = format!("{}/{}", grant.id, line_name(&line.line));
            let (spent, places) = sum(SpendingKind::Cash, Some(&line.line));
            figures.push(figure(
                format!("budget.line/{part}"),
                (
                    words!("Planned for …"),
                    words!("Planned for {line}", line = &line.line),
                ),
                Measure::Money,
                Outturn::Amount(line.amount),
                words!("The budget line in season.toml."),
                vec![key(&format!(".{}", line.line))],
            ));
            figures.push(figure(
                format!("spending.line/{part}"),
                (
                    words!("Spent on …"),
                    words!("Spent on {line}", line = &line.line),
                ),
                Measure::Money,
                Outturn::Amount(spent),
                words!("Sum of the amounts of this budget line in the spending table."),
                places,
            ));
            figures.push(figure(
                format!("budget.line-left/{part}"),
                (
                    words!("Left for …"),
                    words!("Left for {line}", line = &line.line),
                ),
                Measure::Money,
                Outturn::Amount(line.amount.saturating_sub(spent)),
                words!("The budget line less what was spent on it."),
                vec![key(&format!(".{}", line.line))],
            ));
        }
    }
    figures
}

/// The rate of a kind of hours for a grant: one of its own before one for all.
fn rate_for<'a>(season: &'a Season, grant: &Grant, kind: RateKind) -> Option<(usize, &'a Rate)> {
    let of_kind = || {
        season
            .settings
            .rates
            .iter()
            .enumerate()
            .filter(move |(_, rate)| rate.kind == kind)
    };
    of_kind()
        .find(|(_, rate)| {
            rate.grant
                .as_deref()
                .is_some_and(|id| value::fold(id) == value::fold(&grant.id))
        })
        .or_else(|| of_kind().find(|(_, rate)| rate.grant.is_none()))
}

/// The grants that ask for match, in the order of season.toml; where none says so and there is but one, that one.
pub fn claimants(season: &Season) -> Vec<&Grant> {
    let asking: Vec<&Grant> = season
        .settings
        .grants
        .iter()
        .filter(|grant| grant.asks_for_match())
        .collect();
    match (asking.is_empty(), season.settings.grants.as_slice()) {
        (true, [only]) => vec![only],
        _ => asking,
    }
}

fn same(a: &Grant, b: &Grant) -> bool {
    value::fold(&a.id) == value::fold(&b.id)
}

/// A kind of figure, and the label of a grant's own.
fn of_grant(kind: Words, grant: &Grant) -> (Words, Words) {
    let label = kind.clone().then(", ", grant_words(grant));
    (kind, label)
}

/// May hours of a pull be claimed as match for the grant? Each hour serves one grant only.
///
/// Volunteers are paid by nobody, so that their hours count, for the grant on which the pull is booked or else for the first that
/// asks for match. Paid hours count where the group itself or a partner paid them. Hours that a grant paid are never match, and
/// hours of an unknown payer can't be claimed.
fn counts(season: &Season, grant: &Grant, pull: &Pull, kind: RateKind) -> Result<(), Words> {
    let payer = match pull.paid_by() {
        None => None,
        Some(text) => match Payer::read(text, &season.settings) {
            Some(payer) => Some(payer),
            None => return Err(words!("who paid the pull is not known")),
        },
    };
    let first = claimants(season)
        .first()
        .is_some_and(|first| same(first, grant));
    match (kind, payer) {
        (RateKind::Staff, Some(Payer::Grant(_))) => Err(words!("a grant paid its staff")),
        (RateKind::Staff, None) => Err(words!("who paid its staff is not recorded")),
        (RateKind::Volunteer, Some(Payer::Grant(own))) if same(own, grant) => Ok(()),
        (RateKind::Volunteer, Some(Payer::Grant(_))) => Err(words!("the pull is another grant's")),
        _ if first => Ok(()),
        _ => Err(words!("another grant claims its hours")),
    }
}

fn in_kind(season: &Season, grant: &Grant) -> Vec<Figure> {
    if !claimants(season).iter().any(|one| same(one, grant)) {
        return Vec::new();
    }
    let mut figures = Vec::new();
    let mut total = Decimal::ZERO;
    let mut total_places = Vec::new();
    let mut any = false;
    for (kind, name, label) in [
        (
            RateKind::Volunteer,
            "volunteer",
            words!("Volunteer hours given as match"),
        ),
        (
            RateKind::Staff,
            "staff",
            words!("Staff hours given as match"),
        ),
    ] {
        let Some((number, rate)) = rate_for(season, grant, kind) else {
            continue;
        };
        any = true;
        let mut hours = 0.0;
        let mut places = Vec::new();
        let mut left_out = Vec::new();
        for pull in &season.pulls {
            let (staff, volunteers) = pull.effort();
            let own = match kind {
                RateKind::Volunteer => volunteers,
                RateKind::Staff => staff,
            };
            let reason = match (own.hours(), counts(season, grant, pull, kind)) {
                (Some(0.0), _) => continue,
                (Some(own), Ok(())) => {
                    hours += own;
                    places.extend(pull.places());
                    continue;
                }
                (Some(_), Err(reason)) => reason,
                (None, _) => words!("its hours are not recorded"),
            };
            left_out.push(LeftOut::of_pull(pull, reason));
        }
        let value = value_of(hours, rate.per_hour);
        places.push(Place::key(SETTINGS_FILE, format!("rates.{}", number + 1)));
        figures.push(
            figure(
                format!("match.{name}-hours/{}", grant.id),
                of_grant(label.clone(), grant),
                Measure::Time,
                Outturn::Exact(hours),
                words!(
                    "Sum of the hours on the water that no grant paid and no other grant claims."
                ),
                places.clone(),
            )
            .without(left_out.clone()),
        );
        let outturn = match value {
            Some(value) => {
                total = total.saturating_add(value);
                Outturn::Amount(value)
            }
            None => Outturn::Refused(words!("The hours are too many to be valued.")),
        };
        total_places.extend(places.clone());
        let source = rate
            .source
            .as_deref()
            .map_or_else(|| words!("source not given"), Words::own);
        figures.push(
            figure(
                format!("match.{name}-value/{}", grant.id),
                (
                    label.clone(),
                    words!(
                        "{label}, valued, {grant}",
                        label,
                        grant = grant_words(grant)
                    ),
                ),
                Measure::Money,
                outturn,
                words!(
                    "Hours times {per_hour} an hour ({source}), rounded to the cent.",
                    per_hour = words::number(rate.per_hour.to_string()),
                    source
                ),
                places,
            )
            .without(left_out),
        );
    }
    let outturn = if any {
        Outturn::Amount(total)
    } else {
        Outturn::Refused(words!("season.toml gives no rate for an hour."))
    };
    figures.push(figure(
        format!("match.value/{}", grant.id),
        of_grant(words!("In-kind match of hours"), grant),
        Measure::Money,
        outturn,
        words!("Sum of the valued hours."),
        total_places,
    ));
    if let Some(required) = grant.match_required {
        figures.push(figure(
            format!("match.required/{}", grant.id),
            of_grant(words!("Match asked for"), grant),
            Measure::Money,
            Outturn::Amount(required),
            words!("As season.toml says."),
            vec![Place::key(
                SETTINGS_FILE,
                format!("grants.{}.match_required", grant.id),
            )],
        ));
    }
    figures
}

/// Hours times rate, to the cent. The hours are taken as the decimal that they print as.
fn value_of(hours: f64, per_hour: Decimal) -> Option<Decimal> {
    // Hours follow from minutes; a ten-thousandth of an hour is a third of a second.
    let hours: Decimal = format!("{hours:.4}").parse().ok()?;
    hours
        .checked_mul(per_hour)
        .map(|value| value.round_dp_with_strategy(2, RoundingStrategy::MidpointAwayFromZero))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hours_are_valued_to_the_cent() {
        let value = |hours, rate: &str| value_of(hours, rate.parse().unwrap()).unwrap().to_string();
        assert_eq!(value(10.0, "31.80"), "318.00");
        assert_eq!(value(1.0 / 3.0, "31.80"), "10.60");
        assert_eq!(value(0.1 + 0.2, "0.05"), "0.02");
    }

    #[test]
    fn lines_make_names() {
        assert_eq!(line_name("Boats & fuel"), "boats-fuel");
        assert_eq!(line_name("wages"), "wages");
    }
}
