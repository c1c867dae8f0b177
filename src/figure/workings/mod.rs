//! How a figure came about, with its numbers put in: the sums, the rows that they came from, and the photos of those pulls.
//!
//! Takes a season, its ledger and a figure, gives lines. Computes nothing that is not in the figure: every line is a step that a
//! person can follow with a pocket calculator. Masses stand in kilograms, areas in square metres, times in hours.

mod catch;
mod hours;
mod others;
mod suppositions;

use std::collections::{BTreeMap, BTreeSet};

use super::core::{Figure, Outturn};
use super::ledger::Ledger;
use super::left_out::LeftOut;
use super::scope::Scope;
use crate::place::{Place, Spot};
use crate::season::{Pull, Row, Season, Site, value};
use crate::words;
use crate::words::Words;

/// What stands under a figure.
#[derive(Debug, Clone, PartialEq)]
pub struct Workings {
    /// The formula with its numbers, a step a line.
    pub steps: Vec<String>,
    /// The records that went in.
    pub records: Vec<Record>,
    /// The records that were left out, and why; of a pull, its id comes first.
    pub left_out: Vec<(Place, Words)>,
    /// Photos that belong to the pulls among them.
    pub photos: Vec<PhotoOfPull>,
}

/// A record with the cells that matter for the figure, by their headings.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Record {
    pub place: Place,
    pub cells: Vec<(String, String)>,
}

/// A photo of a pull under a figure.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PhotoOfPull {
    pub file: String,
    pub pull: String,
    /// Why it is taken for one of that pull.
    pub reason: String,
}

/// All that stands under a figure of this season.
pub fn workings(season: &Season, ledger: &Ledger, figure: &Figure) -> Workings {
    let mut steps = steps(season, ledger, figure);
    steps.extend(result(figure));
    Workings {
        steps,
        records: records(season, figure),
        left_out: left_out(season, figure),
        photos: photos(season, figure),
    }
}

/// What a figure's name says.
struct Named<'a> {
    scope: Scope<'a>,
    /// What stands between stem and site: a month, a kind, a year.
    part: Option<&'a str>,
}

/// Stems whose first part is no site.
fn keyed(stem: &str) -> bool {
    stem.contains("-by-") && !stem.ends_with("-by-classes")
        || stem == "removal.containers"
        || stem == "history.rate"
        || stem.starts_with("outlook.rosettes-")
}

fn named<'a>(season: &'a Season, figure: &'a Figure) -> Named<'a> {
    let mut parts = figure.part().unwrap_or_default().split('/');
    let part = keyed(figure.stem()).then(|| parts.next()).flatten();
    let site = parts.next().and_then(|id| {
        season
            .ground
            .sites
            .iter()
            .find(|site: &&Site| site.id == id)
    });
    Named {
        scope: match site {
            Some(site) => Scope::of_site(season, site),
            None => Scope::whole(season),
        },
        part,
    }
}

fn steps(season: &Season, ledger: &Ledger, figure: &Figure) -> Vec<String> {
    let stem = figure.stem();
    let named = named(season, figure);
    let theme = stem.split('.').next().unwrap_or_default();
    match theme {
        "effort" => hours::steps(&named, stem),
        "removal" if stem == "removal.containers" => catch::containers(&named),
        "removal" => catch::removal(&named, stem),
        "rate" => catch::rate(&named, stem),
        "stratum" => catch::stratum(season, figure),
        "passes" => others::passes(&named, figure),
        "cover" => others::cover(&named, stem),
        "density" => others::density(&named, stem),
        "area" => others::area(&named, stem),
        "evidence" => others::evidence(&named, stem),
        "trend" | "history" => others::seasons(&named, stem),
        "match" | "spending" | "budget" => others::money(season, ledger, figure),
        "absence" => suppositions::absence(season, &named),
        "outlook" => suppositions::outlook(season, &named, stem),
        "deliverable" => others::promise(ledger, figure),
        _ => Vec::new(),
    }
}

/// The last line: what came out, with all that an estimate holds.
fn result(figure: &Figure) -> Vec<String> {
    let unit = unit(figure);
    let with_unit = |value: f64| format!("{} {unit}", digits(value)).trim_end().to_owned();
    match &figure.outturn {
        Outturn::Exact(value) => vec![format!("Result: {}, exactly", with_unit(*value))],
        Outturn::Amount(amount) => vec![format!("Result: {amount}, exactly")],
        Outturn::Refused(reason) => vec![format!("No result: {reason}")],
        Outturn::Supposed(supposed) => {
            let range = if supposed.upper.is_finite() {
                format!(
                    "{} to {}",
                    digits(supposed.lower),
                    with_unit(supposed.upper)
                )
            } else {
                format!("from {}, no upper limit", with_unit(supposed.lower))
            };
            let mut lines = vec![match supposed.middle {
                Some(middle) => format!("Result: {}, scenarios {range}", with_unit(middle)),
                None => format!("Result: {range}, by what was supposed"),
            }];
            lines.extend(cautions(&supposed.caution));
            lines
        }
        Outturn::Estimated(estimate) => {
            let mut lines = vec![format!("Estimator: {}", estimate.method)];
            let mut text = format!("Result: {}", with_unit(estimate.value));
            if let Some(error) = estimate.standard_error {
                text += &format!(", standard error {}", digits(error));
            }
            if let Some(degrees) = estimate.degrees_of_freedom {
                text += &format!(", degrees of freedom {}", digits(degrees));
            }
            if let Some(interval) = estimate.interval {
                text += &format!(
                    ", {}% interval {} to {}",
                    digits(100.0 * interval.level),
                    digits(interval.lower),
                    digits(interval.upper)
                );
            }
            lines.push(text);
            lines.extend(cautions(&estimate.caution));
            lines
        }
    }
}

/// The unit in which steps are given; nothing for a count.
fn unit(figure: &Figure) -> &'static str {
    match figure.measure.base_unit() {
        "1" => "",
        unit => unit,
    }
}

fn cautions(cautions: &[Words]) -> impl Iterator<Item = String> {
    cautions.iter().map(|caution| format!("Note: {caution}"))
}

/// Cells that matter, by theme, in every table.
fn columns(stem: &str) -> &'static [&'static str] {
    match stem.split('.').next().unwrap_or_default() {
        "effort" if stem.contains("travel") => &["pull", "date", "site", "travel_hours"],
        "effort" if stem.contains("boat") => &["pull", "date", "site", "start", "end", "boats"],
        "effort" | "evidence" => &[
            "pull",
            "date",
            "site",
            "pass",
            "stage",
            "start",
            "end",
            "staff",
            "volunteers",
            "staff_hours",
            "volunteer_hours",
        ],
        "area" => &["pull", "date", "site", "searched_area", "treated_area"],
        "cover" | "density" => &[
            "date",
            "site",
            "plot",
            "when",
            "class",
            "percent",
            "plants",
            "plot_area",
        ],
        "match" => &[
            "pull",
            "date",
            "start",
            "end",
            "staff",
            "volunteers",
            "staff_hours",
            "volunteer_hours",
            "paid_by",
        ],
        "spending" | "budget" => &["date", "grant", "line", "amount", "receipt", "kind"],
        "stratum" | "removal" => &[
            "pull",
            "date",
            "site",
            "container",
            "containers",
            "mass",
            "plants",
            "basis",
            "stage",
        ],
        _ => &[
            "year",
            "pull",
            "date",
            "site",
            "pass",
            "start",
            "end",
            "staff",
            "volunteers",
            "staff_hours",
            "volunteer_hours",
            "container",
            "containers",
            "mass",
            "plants",
            "basis",
            "stage",
            "effort",
            "removed",
            "unit",
            "comparable",
            "treated_area",
            "when",
            "class",
            "percent",
        ],
    }
}

fn records(season: &Season, figure: &Figure) -> Vec<Record> {
    let rows = rows(season);
    let columns = columns(figure.stem());
    figure
        .places
        .iter()
        .map(|place| Record {
            cells: rows
                .get(&place.row_only())
                .map(|row| cells(row, columns))
                .unwrap_or_default(),
            place,
        })
        .collect()
}

fn left_out(season: &Season, figure: &Figure) -> Vec<(Place, Words)> {
    let pulls: BTreeMap<Place, &Pull> = season
        .pulls
        .iter()
        .map(|pull| (pull.place(), pull))
        .collect();
    let told = |out: LeftOut| {
        let mut reason = out.why.told();
        if let (None, Some(pull)) = (&out.why.amount, pulls.get(&out.place)) {
            let about = words!("pull {id}", id = &pull.id);
            reason = words!("{about}: {reason}", about, reason);
        }
        (out.place, reason)
    };
    figure.left_out.iter().map(told).collect()
}

fn rows(season: &Season) -> BTreeMap<Place, &Row> {
    let pulls = season.pulls.iter().flat_map(|pull| &pull.rows);
    pulls
        .map(|row| &row.row)
        .chain(season.weighings.iter().map(|row| &row.row))
        .chain(season.cover.iter().map(|row| &row.row))
        .chain(season.history.iter().map(|row| &row.row))
        .chain(season.spending.iter().map(|row| &row.row))
        .map(|row| (row.place(), row))
        .collect()
}

fn cells(row: &Row, columns: &[&str]) -> Vec<(String, String)> {
    columns
        .iter()
        .filter_map(|column| {
            let text = row.text(column)?;
            match row.cell_place(column).spot {
                Spot::Cell(cell) => Some((cell.heading.into(), text.to_owned())),
                _ => None,
            }
        })
        .collect()
}

fn photos(season: &Season, figure: &Figure) -> Vec<PhotoOfPull> {
    let places: BTreeSet<Place> = figure.places.iter().collect();
    let pulls: BTreeSet<String> = season
        .pulls
        .iter()
        .filter(|pull| {
            pull.rows
                .iter()
                .any(|row| places.contains(&row.row.place()))
        })
        .map(|pull| value::fold(&pull.id))
        .collect();
    season
        .matches
        .iter()
        .filter_map(|one| {
            let pull = one
                .pull
                .as_ref()
                .filter(|pull| pulls.contains(&value::fold(pull)))?;
            Some(PhotoOfPull {
                file: season.photos.get(one.photo)?.path.to_string(),
                pull: pull.to_string(),
                reason: one.reason.to_string(),
            })
        })
        .collect()
}

/// Six significant digits, without zeros at the end: enough to follow the steps.
fn digits(value: f64) -> String {
    const SIGNIFICANT: i32 = 6;
    if value == f64::INFINITY {
        return "no upper limit".into();
    }
    if value == 0.0 || !value.is_finite() {
        return "0".into();
    }
    // Within −330 and 309 for every double.
    let exponent = value.abs().log10().floor() as i32;
    let decimals = (SIGNIFICANT - 1 - exponent).clamp(0, 12).unsigned_abs() as usize;
    let text = format!("{value:.decimals$}");
    let text = if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.')
    } else {
        &text
    };
    text.replace('-', "\u{2212}")
}

#[cfg(test)]
mod tests {
    use super::digits;

    #[test]
    fn six_digits_are_enough() {
        assert_eq!(digits(1234567.0), "1234567");
        assert_eq!(digits(0.1 + 0.2), "0.3");
        assert_eq!(digits(45.359237), "45.3592");
        assert_eq!(digits(0.0), "0");
        assert_eq!(digits(-2.5), "\u{2212}2.5");
        assert_eq!(digits(f64::INFINITY), "no upper limit");
    }
}
