//! Steps under passes, cover, density, areas, evidence, seasons, money and promises.

use super::super::area;
use super::super::core::{Figure, Outturn};
use super::super::cover;
use super::super::evidence::Backing;
use super::super::ledger::Ledger;
use super::super::passes as runs;
use super::super::removal::Removal;
use super::super::seasons::{Seasons, season_rows};
use super::{Named, digits, unit};
use crate::estimate;
use crate::season::{Pull, Season, When};

/// Catches, hours and the sums of the model.
pub fn passes(named: &Named<'_>, figure: &Figure) -> Vec<String> {
    let scope = &named.scope;
    let season = scope.season;
    let day = figure.part().and_then(|part| part.split('/').nth(1));
    let (all, _) = runs::runs(scope);
    let Some(run) = all
        .iter()
        .find(|run| Some(run.first_day.to_string().as_str()) == day)
    else {
        return Vec::new();
    };
    let mut lines = Vec::new();
    if figure.stem().contains("mass") || figure.stem() == "passes.share-an-hour" {
        let Some(visits) = runs::mass_and_hours(&Removal::mass(season), run, scope.level()) else {
            return lines;
        };
        let mut before = 0.0;
        for (pass, visit) in run.passes.iter().zip(&visits) {
            lines.push(format!(
                "Pass {}: {} kg in {} h = {} kg/h, after {} kg were taken",
                pass.number,
                digits(visit.amount),
                digits(visit.effort),
                digits(visit.amount / visit.effort),
                digits(before)
            ));
            before += visit.amount;
        }
        if let Ok(leslie) = estimate::leslie(&visits, false, scope.level()) {
            lines.push(format!(
                "Least-squares line: falls by q = {} kg/h for each kg taken, meets zero at N = {} kg; share taken {} ÷ {} = {}%",
                digits(leslie.catchability.value),
                digits(leslie.initial.value),
                digits(before),
                digits(leslie.initial.value),
                digits(100.0 * leslie.share_removed.value)
            ));
        }
        return lines;
    }
    // One pass's own figure ends with its number.
    let only: Option<u32> = figure
        .part()
        .and_then(|part| part.split('/').nth(2))
        .and_then(|number| number.parse().ok());
    if let Some(pass) = run.passes.iter().find(|pass| Some(pass.number) == only) {
        return pass
            .pulls
            .iter()
            .flat_map(|(_, pull)| &pull.rows)
            .map(|row| {
                let of = |amount: Option<f64>| amount.map_or("none said".to_owned(), digits);
                format!(
                    "{}: {} plants, {} containers",
                    row.row.place(),
                    of(row.plants),
                    of(row.containers)
                )
            })
            .collect();
    }
    for pass in &run.passes {
        let hours = pass
            .effort()
            .map_or("hours not recorded".to_owned(), |hours| {
                format!("{} h", digits(hours))
            });
        let ids: Vec<&str> = pass
            .pulls
            .iter()
            .map(|(_, pull)| pull.id.as_str())
            .collect();
        lines.push(format!("Pass {}: {}, {hours}", pass.number, ids.join(", ")));
    }
    let Ok(counts) = runs::counts(&Removal::plants(season), run) else {
        return lines;
    };
    let catches: Vec<String> = counts.catches.iter().map(u64::to_string).collect();
    let k = counts.catches.len();
    // Exact: catches are whole and far below the limit of exact doubles.
    let taken: f64 = counts.catches.iter().map(|caught| *caught as f64).sum();
    let early: f64 = counts
        .catches
        .iter()
        .enumerate()
        .map(|(pass, caught)| (k - 1 - pass) as f64 * *caught as f64)
        .sum();
    lines.push(format!("Taken ({}): {}", counts.of, catches.join(", ")));
    lines.push(format!(
        "T = {}, X = Σ(k − i)cᵢ = {}, k = {k}",
        digits(taken),
        digits(early)
    ));
    if let Ok(removal) = estimate::removal(&counts.catches, scope.level()) {
        let initial = removal.initial.value;
        lines.push(format!(
            "N = {}, where ln Γ(N + 1) − ln Γ(N − T + 1) + T ln p + (kN − X − T) ln(1 − p) is highest",
            digits(initial)
        ));
        lines.push(format!(
            "p = T ÷ (kN − X) = {}; share taken T ÷ N = {}",
            digits(removal.capture_probability.value),
            digits(removal.share_removed.value)
        ));
        if let Some(fit) = removal.fit {
            lines.push(format!(
                "Fit: χ² = {} with {} degrees of freedom, chance {} of catches at least as odd",
                digits(fit.chi_squared),
                digits(fit.degrees_of_freedom),
                digits(fit.p_value)
            ));
        }
    }
    lines
}

/// Plot by plot.
pub fn cover(named: &Named<'_>, stem: &str) -> Vec<String> {
    let pairs = cover::pairs(&named.scope);
    let class = |class: &estimate::CoverClass| {
        if class.lower == class.upper {
            format!("{}%", digits(class.midpoint))
        } else {
            format!(
                "class {} ({} to {}%, middle {})",
                class.label,
                digits(class.lower),
                digits(class.upper),
                digits(class.midpoint)
            )
        }
    };
    let mut lines = Vec::new();
    let mut values = Vec::new();
    for ((before, after), (site, plot)) in pairs.before.iter().zip(&pairs.after).zip(&pairs.plots) {
        let change = after.midpoint - before.midpoint;
        values.push(match stem {
            "cover.before" => before.midpoint,
            "cover.after" => after.midpoint,
            _ => change,
        });
        lines.push(format!(
            "{site}, {plot}: before {}, after {}, change {}",
            class(before),
            class(after),
            digits(change)
        ));
    }
    lines.extend(mean_and_spread(&values));
    lines
}

fn mean_and_spread(values: &[f64]) -> Vec<String> {
    // Exact for any number of plots.
    let n = values.len() as f64;
    if values.is_empty() {
        return Vec::new();
    }
    let sum = estimate::sum(values.iter().copied());
    let mean = sum / n;
    let mut line = format!(
        "n = {}, mean {} ÷ {} = {}",
        values.len(),
        digits(sum),
        digits(n),
        digits(mean)
    );
    if values.len() > 1 {
        let squares = estimate::sum(values.iter().map(|value| (value - mean).powi(2)));
        let s = (squares / (n - 1.0)).sqrt();
        line += &format!(", s = {}, s ÷ √n = {}", digits(s), digits(s / n.sqrt()));
    }
    vec![line]
}

/// Counts plot by plot.
pub fn density(named: &Named<'_>, stem: &str) -> Vec<String> {
    let when = if stem.ends_with("before") {
        When::Before
    } else {
        When::After
    };
    let mut lines = Vec::new();
    let mut counts = Vec::new();
    let mut areas = Vec::new();
    for row in &named.scope.season.cover {
        if let (true, Some(plants), Some(area)) = (
            row.when == Some(when) && cover::in_scope(&named.scope, row),
            row.plants,
            row.plot_area,
        ) {
            lines.push(format!(
                "{}: {} on {} m²",
                row.row.place(),
                digits(plants),
                digits(area)
            ));
            counts.push(plants);
            areas.push(area);
        }
    }
    lines.push(format!(
        "{} plants ÷ {} m²",
        digits(estimate::sum(counts.iter().copied())),
        digits(estimate::sum(areas))
    ));
    lines.extend(mean_and_spread(&counts));
    lines
}

/// The largest of each site.
pub fn area(named: &Named<'_>, stem: &str) -> Vec<String> {
    let of: fn(&Pull) -> Option<f64> = if stem.ends_with("searched") {
        Pull::searched_area
    } else {
        Pull::treated_area
    };
    let season = named.scope.season;
    season
        .ground
        .sites
        .iter()
        .filter(|site| named.scope.site.is_none_or(|own| own.id == site.id))
        .filter_map(|site| {
            let (most, _) = area::largest(season, site, of)?;
            Some(format!("{}: the largest is {} m²", site.name, digits(most)))
        })
        .collect()
}

/// What bears out each pull.
pub fn evidence(named: &Named<'_>, stem: &str) -> Vec<String> {
    if stem == "evidence.photos" {
        return Vec::new();
    }
    let season = named.scope.season;
    let backing = Backing::of(season);
    named
        .scope
        .pulls
        .iter()
        .map(|(_, pull)| {
            let mut by = Vec::new();
            if backing.photographed(pull) {
                by.push("photo in place and time".to_owned());
            }
            if backing.weighed(pull) {
                by.push("weighing".to_owned());
            }
            by.extend(
                backing
                    .tracks(season, pull)
                    .into_iter()
                    .map(|file| format!("track {file}")),
            );
            let hours = pull
                .person_hours()
                .map_or("hours not recorded".to_owned(), |hours| {
                    format!("{} h", digits(hours))
                });
            let by = if by.is_empty() {
                "nothing".to_owned()
            } else {
                by.join(", ")
            };
            let grade = backing.evidence(season, pull).grade.letter();
            format!("{}, {hours}, grade {grade}: {by}", pull.id)
        })
        .collect()
}

/// Year by year, and the line through them.
pub fn seasons(named: &Named<'_>, stem: &str) -> Vec<String> {
    let season = named.scope.season;
    let (mass, plants) = (Removal::mass(season), Removal::plants(season));
    let Some(seasons) = Seasons::of(season, &mass, &plants) else {
        return Vec::new();
    };
    let sites = match named.scope.site {
        Some(site) => std::collections::BTreeSet::from([site.id.as_str()]),
        None => seasons.boundary(),
    };
    let years = seasons.comparable(&sites);
    let unit = if seasons.recorded == super::super::seasons::Recorded::Mass {
        "kg"
    } else {
        ""
    };
    let mut lines: Vec<String> = years
        .iter()
        .filter(|(year, _)| stem != "history.rate" || named.part == Some(year.to_string().as_str()))
        .map(|(year, of_year)| {
            format!(
                "{year}: {} {unit} in {} h = {} an hour",
                digits(of_year.amount),
                digits(of_year.effort),
                digits(of_year.amount / of_year.effort)
            )
        })
        .collect();
    if stem == "history.rate" {
        return lines;
    }
    let rows = season_rows(&years);
    let level = named.scope.level();
    let trend = if stem.ends_with("negative-binomial") {
        estimate::trend_negative_binomial(&rows, level)
    } else {
        estimate::trend_quasi_poisson(&rows, level)
    };
    if let Ok(trend) = trend {
        lines.push(
            "ln(expected) = a + b × year + ln(hours), fitted by iterated weighted least squares"
                .into(),
        );
        lines.push(format!(
            "b = {}, standard error {}, dispersion {}; change = 100 (exp(b) − 1)",
            digits(trend.slope.value),
            trend.slope.standard_error.map_or("none".to_owned(), digits),
            digits(trend.dispersion)
        ));
    }
    lines
}

/// Amounts of money, row by row; hours times rate; a sum of other figures by these.
pub fn money(season: &Season, ledger: &Ledger, figure: &Figure) -> Vec<String> {
    let part = figure.part().unwrap_or_default();
    let by_figures = |names: &[&str]| -> Vec<String> {
        names
            .iter()
            .filter_map(|stem| ledger.get(&format!("{stem}/{part}")))
            .map(|other| match &other.outturn {
                Outturn::Amount(amount) => format!("{}: {amount}", other.name),
                _ => format!(
                    "{}: {}",
                    other.name,
                    other.value().map_or("not known".to_owned(), digits)
                ),
            })
            .collect()
    };
    let mut lines = match figure.stem() {
        "match.value" => by_figures(&["match.volunteer-value", "match.staff-value"]),
        "match.volunteer-value" => by_figures(&["match.volunteer-hours"]),
        "match.staff-value" => by_figures(&["match.staff-hours"]),
        "match.volunteer-hours" => hours(season, figure, |pull| pull.effort().1.hours()),
        "match.staff-hours" => hours(season, figure, |pull| pull.effort().0.hours()),
        "budget.left" => by_figures(&["budget.total", "spending.cash"]),
        "budget.line-left" => by_figures(&["budget.line", "spending.line"]),
        "budget.total" => season
            .settings
            .grant(part)
            .map(|grant| {
                grant
                    .budget
                    .iter()
                    .map(|line| format!("{}: {}", line.line, line.amount))
                    .collect()
            })
            .unwrap_or_default(),
        _ => season
            .spending
            .iter()
            .filter(|row| figure.places.contains(&row.row.place()))
            .map(|row| {
                format!(
                    "{}: {}",
                    row.row.place(),
                    row.amount
                        .map_or("not read".to_owned(), |amount| amount.to_string())
                )
            })
            .collect(),
    };
    lines.push(figure.method.to_string());
    lines
}

fn hours(season: &Season, figure: &Figure, of: fn(&Pull) -> Option<f64>) -> Vec<String> {
    season
        .pulls
        .iter()
        .filter(|pull| figure.places.contains(&pull.place()))
        .filter_map(|pull| {
            let hours = of(pull).filter(|hours| *hours > 0.0)?;
            Some(format!("{}: {} h", pull.id, digits(hours)))
        })
        .collect()
}

/// A target beside the figure that answers it.
pub fn promise(ledger: &Ledger, figure: &Figure) -> Vec<String> {
    let Some(promise) = ledger.deliverables.iter().find(|promise| {
        figure.part() == Some(format!("{}/{}", promise.grant, promise.id).as_str())
    }) else {
        return Vec::new();
    };
    let Some(answer) = ledger.get(&promise.figure) else {
        return Vec::new();
    };
    let word = if promise.at_most {
        "at most"
    } else {
        "at least"
    };
    let unit = unit(answer);
    let mut lines = vec![
        format!("Promised: {word} {} {unit}", digits(promise.target))
            .trim_end()
            .to_owned(),
    ];
    if let Outturn::Estimated(estimate) = &answer.outturn {
        lines.push(format!(
            "{}: {} {unit}, standard error {}, degrees of freedom {}",
            answer.name,
            digits(estimate.value),
            estimate.standard_error.map_or("none".to_owned(), digits),
            estimate
                .degrees_of_freedom
                .map_or("none".to_owned(), digits)
        ));
        if let Some(error) = estimate.standard_error.filter(|error| *error > 0.0)
            && promise.target > 0.0
            && estimate.value > 0.0
        {
            lines.push(format!(
                "On the scale of logarithms the target lies ln({} ÷ {}) ÷ ({} ÷ {}) = {} standard errors below the value; the chance is Student's t \
                 there, the lean of the interval allowed for",
                digits(estimate.value),
                digits(promise.target),
                digits(error),
                digits(estimate.value),
                digits((estimate.value / promise.target).ln() / (error / estimate.value))
            ));
        }
    } else {
        lines.push(
            format!(
                "{}: {} {unit}",
                answer.name,
                answer.value().map_or("not known".to_owned(), digits)
            )
            .trim_end()
            .to_owned(),
        );
    }
    lines
}
