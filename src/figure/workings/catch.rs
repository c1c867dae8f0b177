//! Steps under figures of what came out.

use std::collections::BTreeSet;

use super::super::core::Figure;
use super::super::gaps;
use super::super::parts;
use super::super::removal::{Part, Removal};
use super::super::scope::Scope;
use super::{Named, digits};
use crate::estimate;
use crate::season::{Amount, Known, Season};

fn of<'a>(season: &'a Season, stem: &str) -> (Removal<'a>, &'static str, Amount) {
    if stem.contains("plants") {
        (Removal::plants(season), "plants", Amount::Plants)
    } else {
        (Removal::mass(season), "kg", Amount::Mass)
    }
}

/// Steps of any total of what came out.
pub fn removal(named: &Named<'_>, stem: &str) -> Vec<String> {
    let scope = &named.scope;
    let (removal, unit, _) = of(scope.season, stem);
    let all = removal.rows_of(&numbers(scope));
    if stem.ends_with("-imputed") {
        return imputed(&removal, scope, &all, unit);
    }
    if stem.ends_with("-guessed") {
        return by_row(&removal, &all, unit, |known| {
            matches!(known, Known::Guessed(_) | Known::ConvertGuess { .. })
        });
    }
    let around = || parts::around_ripening(&removal, scope).unwrap_or_default();
    if stem.ends_with("-before-seed-share") {
        let (before, after) = around();
        let mut lines = vec!["Before:".to_owned()];
        lines.extend(total(&removal, &before, unit));
        lines.push("After:".into());
        lines.extend(total(&removal, &after, unit));
        lines.push("Share = before ÷ (before + after)".into());
        return lines;
    }
    let part = if stem.ends_with("-before-seed") {
        around().0
    } else if stem.ends_with("-after-seed") {
        around().1
    } else {
        match named.part {
            Some(part) => parts::rows_of(scope, stem, part),
            None => all,
        }
    };
    let mut lines = total(&removal, &part, unit);
    if stem.ends_with("-converted") {
        lines.push("Of this only what was not measured itself: m × mean, over all strata".into());
    } else if stem.ends_with("-weighed") || stem.ends_with("-counted") {
        lines.push(
            "Of this only what was measured itself: the rows, and the containers measured here"
                .into(),
        );
    }
    lines
}

/// The total, and what was filled in by group.
fn imputed(removal: &Removal<'_>, scope: &Scope<'_>, all: &Part, unit: &str) -> Vec<String> {
    let mut lines = total(removal, all, unit);
    for (name, group) in gaps::mass_groups(removal, scope) {
        let sum = estimate::sum(group.known.iter().copied());
        // Exact for any number of rows.
        let mean = sum / group.known.len().max(1) as f64;
        lines.push(format!(
            "{name} {} rows known, mean {} {unit}; {} rows say nothing, filled in with {} {unit} on average",
            group.known.len(),
            digits(mean),
            group.missing,
            digits(mean * group.missing as f64)
        ));
    }
    lines.push(format!("Random draws begin with {}", gaps::SEED));
    lines
}

fn numbers(scope: &Scope<'_>) -> BTreeSet<usize> {
    scope.pulls.iter().map(|(index, _)| *index).collect()
}

/// N, n, mean and s of each stratum, and what stands by itself.
fn total(removal: &Removal<'_>, part: &Part, unit: &str) -> Vec<String> {
    let tally = removal.tally(part);
    let mut lines = by_row(removal, part, unit, |known| {
        matches!(known, Known::Weighed(_) | Known::Counted(_) | Known::Zero)
    });
    let known = tally.weighed + tally.counted;
    lines.push(format!(
        "Rows with an amount of their own: {} {unit}",
        digits(known)
    ));
    let mut values = vec![known];
    let mut variances = Vec::new();
    for (stratum, of_part) in removal.strata(&tally, part) {
        // Exact for any number of containers that was weighed.
        let n = of_part.observed.len() as f64;
        let m = of_part.unobserved;
        let mean = estimate::sum(of_part.observed.iter().copied()) / n.max(1.0);
        let squares = estimate::sum(of_part.observed.iter().map(|one| (one - mean).powi(2)));
        let containers = tally.containers.get(&stratum).copied().unwrap_or(0.0);
        lines.push(format!(
            "{stratum}: {} containers here, {} of them measured: {} {unit}; m = {} not measured",
            digits(containers),
            digits(containers - m),
            digits(of_part.observed_sum),
            digits(m)
        ));
        let mut line = format!(
            "    n = {} measured in the season, mean {} {unit}",
            of_part.observed.len(),
            digits(mean)
        );
        let mut value = of_part.observed_sum;
        if m > 0.0 {
            value += m * mean;
            if n > 1.0 {
                let variance = squares / (n - 1.0);
                let scatter = variance * (m + m * m / n);
                variances.push((scatter, n - 1.0));
                line += &format!(
                    ", s = {}; {} + {} × {} = {} {unit}; variance s²(m + m²/n) = {}",
                    digits(variance.sqrt()),
                    digits(of_part.observed_sum),
                    digits(m),
                    digits(mean),
                    digits(value),
                    digits(scatter)
                );
            } else {
                line += &format!(
                    "; {} × {} = {} {unit}",
                    digits(m),
                    digits(mean),
                    digits(value)
                );
            }
        }
        lines.push(line);
        values.push(value);
    }
    lines.push(format!(
        "Total = {} = {} {unit}",
        values
            .iter()
            .map(|value| digits(*value))
            .collect::<Vec<_>>()
            .join(" + "),
        digits(estimate::sum(values.iter().copied()))
    ));
    if !variances.is_empty() {
        let sum = estimate::sum(variances.iter().map(|(variance, _)| *variance));
        let weighted = estimate::sum(
            variances
                .iter()
                .map(|(variance, degrees)| variance * variance / degrees),
        );
        lines.push(format!(
            "Standard error = √{} = {}",
            digits(sum),
            digits(sum.sqrt())
        ));
        if weighted > 0.0 {
            lines.push(format!(
                "Degrees of freedom = (Σ variance)² ÷ Σ variance²/(n − 1) = {}",
                digits(sum * sum / weighted)
            ));
        }
    }
    lines
}

fn by_row(
    removal: &Removal<'_>,
    part: &Part,
    unit: &str,
    wanted: impl Fn(&Known) -> bool,
) -> Vec<String> {
    part.iter()
        .filter_map(|index| {
            let known = removal.known(*index).filter(|known| wanted(known))?;
            let row = removal.row(*index)?;
            let words = match known {
                Known::Zero => "nothing found".into(),
                Known::Weighed(value) => format!("{} {unit} weighed", digits(*value)),
                Known::Counted(value) => format!("{} {unit} counted", digits(*value)),
                Known::Guessed(value) => format!("{} {unit} guessed", digits(*value)),
                Known::ConvertGuess {
                    stratum,
                    containers,
                } => {
                    format!("{} containers guessed, {stratum}", digits(*containers))
                }
                _ => return None,
            };
            Some(format!("{}: {words}", row.row.place()))
        })
        .collect()
}

/// Σy, Σx and n of a rate.
pub fn rate(named: &Named<'_>, stem: &str) -> Vec<String> {
    let scope = &named.scope;
    let (removal, unit, _) = of(scope.season, stem);
    let clusters = removal.clusters(scope);
    let mut lines: Vec<String> = clusters
        .of_pulls
        .iter()
        .filter_map(|(index, cluster)| {
            let pull = scope.season.pulls.get(*index)?;
            Some(format!(
                "{}: {} {unit} in {} h",
                pull.id,
                digits(cluster.amount),
                digits(cluster.effort)
            ))
        })
        .collect();
    let amount = estimate::sum(clusters.of_pulls.iter().map(|(_, one)| one.amount));
    let effort = clusters.effort();
    lines.push(format!(
        "n = {} pulls: Σy ÷ Σx = {} ÷ {}",
        clusters.of_pulls.len(),
        digits(amount),
        digits(effort)
    ));
    if let Some(shared) = clusters.shared {
        lines.push(format!(
            "Variance: jackknife between pulls, (n − 1)/n Σ(R₋ᵢ − mean)², plus {} that all share by converting containers",
            digits(shared)
        ));
    }
    lines
}

/// N, n, mean and s of a stratum.
pub fn stratum(season: &Season, figure: &Figure) -> Vec<String> {
    let (removal, unit, _) = of(season, figure.stem());
    let Some((stratum, records, observed)) = removal.all_strata().find(|(stratum, _, _)| {
        figure.part() == Some(super::super::removal::stratum_name(stratum).as_str())
    }) else {
        return Vec::new();
    };
    // Exact for any number of containers that was weighed.
    let n = observed.len() as f64;
    let mean = estimate::sum(observed.iter().copied()) / n.max(1.0);
    let squares = estimate::sum(observed.iter().map(|one| (one - mean).powi(2)));
    let list: Vec<String> = observed.iter().map(|one| digits(*one)).collect();
    let mut lines = vec![
        format!(
            "{stratum}: N = {} containers in the log",
            digits(records.containers)
        ),
        format!(
            "n = {} measured: {} {unit}",
            observed.len(),
            list.join(", ")
        ),
    ];
    if n > 1.0 {
        let variance = squares / (n - 1.0);
        lines.push(format!(
            "mean {} {unit}, s = {}; variance of the total N(N − n)s²/n = {}",
            digits(mean),
            digits(variance.sqrt()),
            digits(records.containers * (records.containers - n).max(0.0) * variance / n)
        ));
    }
    lines.push(format!(
        "N × mean = {} {unit}",
        digits(records.containers * mean)
    ));
    lines
}

/// Containers of one kind, row by row.
pub fn containers(named: &Named<'_>) -> Vec<String> {
    let Some(kind) = named.part else {
        return Vec::new();
    };
    let mut counts = Vec::new();
    for (_, pull) in &named.scope.pulls {
        for row in &pull.rows {
            let own = row.container.as_deref().map(|kind| kind.replace(' ', "-"));
            if let (true, Some(containers)) = (own.as_deref() == Some(kind), row.containers) {
                counts.push(format!("{}: {}", row.row.place(), digits(containers)));
            }
        }
    }
    counts
}
