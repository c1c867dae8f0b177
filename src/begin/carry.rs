//! What a new season takes over from the one before: sites, stations, settings, and a row of history for each site.
//!
//! Takes the former season's own texts and its ledger, gives texts and rows. What may have changed is kept with a comment that says so;
//! what can't hold any more (accepted findings, the day of the first ripe seed, grants that have ended) is left out and told.

use chrono::NaiveDate;
use toml_edit::{DocumentMut, Item, Table, value};

use super::Row;
use crate::figure::{Figure, Ledger};
use crate::plan::a_year_on;
use crate::report::{Style, number};
use crate::season::form::TABLES;
use crate::season::{PrintUnits, Season, Settings};
use crate::units::{Dimension, Unit};

/// A former season's archive, as the new season names it.
#[derive(Debug, Clone, PartialEq)]
pub struct Former {
    /// Its path, relative to the new season folder.
    pub archive: String,
    /// 64 hexadecimal digits.
    pub root: String,
}

/// What is carried over.
#[derive(Debug, Clone, PartialEq)]
pub struct Carried {
    /// The new season.toml.
    pub settings: String,
    /// The new sites.geojson.
    pub sites: String,
    pub history: Vec<Row>,
    /// What was done, a sentence each.
    pub told: Vec<String>,
}

/// Carries a season over to the next year.
///
/// # Errors
/// Where the former season.toml can't be edited; it was read before, so that this is a rare form of TOML.
pub fn carry(
    settings_text: &str,
    sites_text: Option<&str>,
    season: &Season,
    ledger: &Ledger,
    former: Option<&Former>,
) -> Result<Carried, String> {
    let mut told = Vec::new();
    let settings = next_settings(settings_text, &season.settings, former, &mut told)?;
    let history = history(season, ledger, former, &mut told);
    told.insert(
        0,
        format!(
            "{} sites and {} photo stations, as they were",
            season.ground.sites.len(),
            season.ground.stations.len()
        ),
    );
    Ok(Carried {
        settings,
        sites: sites_text.unwrap_or(super::words::NO_SITES).to_owned(),
        history,
        told,
    })
}

fn next_settings(
    text: &str,
    settings: &Settings,
    former: Option<&Former>,
    told: &mut Vec<String>,
) -> Result<String, String> {
    let mut document: DocumentMut = text
        .parse()
        .map_err(|error: toml_edit::TomlError| error.to_string())?;
    let year = settings.year.saturating_add(1);
    for key in ["accepted", "accept", "previous", "seed_ripens"] {
        if document.remove(key).is_some() && key.starts_with("accept") {
            told.push("the accepted findings stay with the season that they belong to".into());
        }
    }
    if document.contains_key("year") {
        keep_comment(document.as_table_mut(), "year", value(i64::from(year)));
    }
    for (key, day) in [
        ("starts", settings.starts),
        ("ends", settings.ends),
        ("start", settings.starts),
        ("end", settings.ends),
    ] {
        if document.contains_key(key) {
            keep_comment(document.as_table_mut(), key, date(a_year_on(day)));
        }
    }
    let begins = a_year_on(settings.starts);
    for name in ["grants", "grant"] {
        let Some(grants) = document
            .get_mut(name)
            .and_then(Item::as_array_of_tables_mut)
        else {
            continue;
        };
        let before = grants.len();
        // The tables stand in the order in which they were read.
        let mut grant = settings.grants.iter();
        grants.retain(|_| {
            grant
                .next()
                .and_then(|grant| grant.ends)
                .is_none_or(|ends| ends >= begins)
        });
        let gone = before - grants.len();
        if gone > 0 {
            told.push(format!(
                "{gone} of {before} grants ended before the new season begins and were left out; add the new ones to season.toml"
            ));
        }
        if grants.is_empty() {
            document.remove(name);
        }
    }
    for name in ["rates", "rate"] {
        let Some(rates) = document
            .get_mut(name)
            .and_then(Item::as_array_of_tables_mut)
        else {
            continue;
        };
        let count = rates.len();
        for rate in rates.iter_mut() {
            rate.decor_mut().set_prefix(format!(
                "\n# Look it up again: this is the rate of {}, and it may have changed. Then set year, source and authority anew.\n",
                settings.year
            ));
        }
        told.push(format!(
            "{count} rates for hours given, each to be looked up again"
        ));
    }
    if let Some(former) = former {
        let mut previous = Table::new();
        previous.insert("archive", value(&former.archive));
        previous.insert("root", value(&former.root));
        previous.decor_mut().set_prefix(
            "\n# The season before, by the archive that this one was begun from, and its root.\n",
        );
        document.insert("previous", Item::Table(previous));
        told.push("the former archive and its root, in [previous]".into());
    }
    let body = document.to_string();
    let head = format!(
        "# Carried over from season {}. Read every line once: grants, rates and days may be others now.\n",
        settings.year
    );
    Ok(format!("{head}{}", body.trim_start_matches('\n')))
}

/// Puts a value in the place of another and leaves the comment behind it where it is.
fn keep_comment(table: &mut Table, key: &str, new: Item) {
    let decor = table
        .get(key)
        .and_then(Item::as_value)
        .map(|old| old.decor().clone());
    if let Some(item) = table.get_mut(key) {
        *item = new;
        if let (Some(decor), Some(value)) = (decor, item.as_value_mut()) {
            *value.decor_mut() = decor;
        }
    }
}

fn date(day: NaiveDate) -> Item {
    // A date of the calendar is one of TOML's, up to the year 9999.
    day.to_string()
        .parse::<toml_edit::Datetime>()
        .map_or_else(|_| value(day.to_string()), value)
}

/// The former history as it stands, and a row for each site of the former season.
fn history(
    season: &Season,
    ledger: &Ledger,
    former: Option<&Former>,
    told: &mut Vec<String>,
) -> Vec<Row> {
    let columns = TABLES
        .iter()
        .find(|table| table.name == "history")
        .map_or(&[][..], |table| table.columns);
    let mut rows: Vec<Row> = season
        .history
        .iter()
        .map(|row| {
            columns
                .iter()
                .filter_map(|column| {
                    // Hours may have stood under a heading of minutes.
                    let text = match column.name {
                        "effort" => row.effort.map(|hours| plain(hours, 2)),
                        name => row.row.text(name).map(str::to_owned),
                    };
                    Some((column.name, text?))
                })
                .collect()
        })
        .collect();
    let before = rows.len();
    let style = Style::of(&season.settings);
    let unit = mass_unit(&season.settings);
    let source = former.map_or_else(
        || "the former season folder".to_owned(),
        |former| {
            let name = former.archive.rsplit('/').next().unwrap_or_default();
            format!("the archive {name}")
        },
    );
    for site in &season.ground.sites {
        let of = |stem: &str| ledger.get(&format!("{stem}/{}", site.id));
        let Some(hours) = of("effort.person-hours").and_then(Figure::value) else {
            continue;
        };
        if hours == 0.0 && of("effort.pulls").and_then(Figure::value).unwrap_or(0.0) == 0.0 {
            continue;
        }
        let mut row: Row = vec![
            ("year", season.settings.year.to_string()),
            ("site", site.id.to_string()),
            ("effort", plain(hours, 2)),
        ];
        let mass = of("removal.wet-mass");
        let plants = of("removal.plants");
        let mut note = match (mass, plants) {
            (Some(mass), _) if mass.value().is_some() => {
                let kilograms = mass.value().unwrap_or_default();
                row.push(("removed", plain(kilograms / unit.factor(), 1)));
                row.push(("unit", unit.symbol().to_owned()));
                format!("{} by {source}", number::print(mass, &style).text)
            }
            (_, Some(plants)) if plants.value().is_some() => {
                row.push(("removed", plain(plants.value().unwrap_or_default(), 0)));
                row.push(("unit", "plants".into()));
                format!("{} plants by {source}", number::print(plants, &style).text)
            }
            (Some(refused), _) => {
                format!("mass {} by {source}", number::print(refused, &style).text)
            }
            _ => format!("by {source}"),
        };
        let left_out = mass.map_or(0, |figure| figure.left_out.len());
        if left_out > 0 {
            note.push_str(&format!("; {left_out} rows of the log could not go in"));
        }
        row.push(("comparable", "yes".into()));
        row.push(("notes", note));
        rows.push(row);
    }
    told.push(format!(
        "history: {before} rows as they were, and {} of {} by site",
        rows.len() - before,
        season.settings.year
    ));
    rows
}

/// The unit in which history gives masses.
fn mass_unit(settings: &Settings) -> Unit {
    let named = settings.units.mass.as_deref().and_then(Unit::named);
    named
        .filter(|unit| unit.dimension() == Dimension::Mass)
        .unwrap_or(match settings.units.print {
            PrintUnits::Us => Unit::Pound,
            PrintUnits::Metric => Unit::Kilogram,
        })
}

/// Digits with so many places at most, for a cell.
fn plain(value: f64, places: usize) -> String {
    let text = format!("{value:.places$}");
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::season::read_settings;

    const OLD: &str = r#"# Ours
programme = "Test Pond Trust (invented)"
year = 2025 # the fifth
starts = 2025-05-01
ends = 2025-09-30
time_zone = "America/New_York"
seed_ripens = 2025-08-20

[units]
print = "us"

[[grants]]
id = "gone"
ends = 2025-12-31

[[grants]]
id = "runs-on"
ends = 2026-12-31

[[rates]]
kind = "volunteer"
per_hour = "30.00"

[[accepted]]
finding = "pull-logged-twice"
place = "pulls.csv row 3"
reason = "so it was"
"#;

    #[test]
    fn settings_go_on_and_what_ended_stays_behind() {
        let old = read_settings(OLD).unwrap();
        let mut told = Vec::new();
        let text = next_settings(OLD, &old, None, &mut told).unwrap();
        let new = read_settings(&text).unwrap();
        assert_eq!(new.year, 2026);
        assert_eq!(new.starts.to_string(), "2026-05-01");
        assert_eq!(new.grants.len(), 1);
        assert_eq!(new.grants[0].id, "runs-on");
        assert_eq!(new.rates.len(), 1);
        assert!(new.accepted.is_empty() && new.seed_ripens.is_none());
        assert!(text.contains("# the fifth"), "{text}");
        assert!(text.contains("Look it up again"), "{text}");
        assert!(told.iter().any(|line| line.contains("1 of 2 grants")));
    }

    #[test]
    fn numbers_lose_their_empty_places_only() {
        assert_eq!(plain(120.0, 1), "120");
        assert_eq!(plain(120.25, 1), "120.2");
        assert_eq!(plain(100.0, 0), "100");
    }
}
