//! What a person has to know of each column to fill it in: what it holds, and a word of help.
//!
//! Which columns there are, and in which order, is said by the tables' own declarations alone ([`crate::season::form::TABLES`]); a test
//! holds the two together.

use crate::season::form::{self, TableForm};
use crate::season::{Column, Settings};
use crate::units::{Dimension, Unit};

/// What a cell holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Holds {
    Text,
    /// A long text.
    Prose,
    Date,
    Time,
    /// A whole number.
    Count,
    Number,
    /// A number whose unit stands in the heading.
    Quantity,
    Money,
    YesNo,
    /// One of the table's own closed words.
    Words,
    Site,
    Container,
    Stage,
    Payer,
    Grant,
}

/// A column as a form shows it.
#[derive(Debug, Clone, PartialEq)]
pub struct Field {
    pub column: &'static str,
    /// As it stands in the first row: with its unit where it has one.
    pub heading: String,
    pub holds: Holds,
    pub must: bool,
    pub note: &'static str,
    /// Words to choose from; the cell takes others too unless `closed`.
    pub words: Vec<String>,
    pub closed: bool,
}

/// The fields of a table in the order of its columns.
pub fn fields(table: &TableForm, settings: &Settings, sites: &[String]) -> Vec<Field> {
    table
        .columns
        .iter()
        .map(|column| field(table, column, settings, sites))
        .collect()
}

fn field(
    table: &TableForm,
    column: &'static Column,
    settings: &Settings,
    sites: &[String],
) -> Field {
    let (told, note) = help(table.name, column.name).unwrap_or((Holds::Text, ""));
    let holds = column.quantity.map_or(told, |_| Holds::Quantity);
    let (words, closed) = words(table, column, holds, settings, sites);
    Field {
        column: column.name,
        heading: heading(table, column, settings),
        holds,
        must: column.must,
        note,
        words,
        closed,
    }
}

fn heading(table: &TableForm, column: &Column, settings: &Settings) -> String {
    let unit = |name: &Option<String>, usual: &str| {
        let unit = name.as_deref().and_then(Unit::named);
        unit.map_or_else(|| usual.to_owned(), |unit| in_heading(unit).to_owned())
    };
    match column.quantity {
        None => column.name.to_owned(),
        Some(Dimension::Time) if column.name.ends_with("hours") => column.name.to_owned(),
        Some(Dimension::Time) => format!("{}_hours", column.name),
        Some(Dimension::Mass) => {
            format!("{}_{}", column.name, unit(&settings.units.mass, "kg"))
        }
        // Plots are laid out in square metres, whatever the sites are measured in (common practice, no source).
        Some(Dimension::Area) if table.name == "cover" => format!("{}_m2", column.name),
        Some(Dimension::Area) => format!("{}_{}", column.name, unit(&settings.units.area, "ha")),
    }
}

/// A unit in letters that every spreadsheet leaves alone.
fn in_heading(unit: Unit) -> &'static str {
    match unit {
        Unit::SquareMetre => "m2",
        Unit::SquareFoot => "ft2",
        Unit::ShortTon => "short_ton",
        other => other.symbol(),
    }
}

fn words(
    table: &TableForm,
    column: &Column,
    holds: Holds,
    settings: &Settings,
    sites: &[String],
) -> (Vec<String>, bool) {
    let owned = |words: &[&str]| words.iter().map(|word| (*word).to_owned()).collect();
    let grants = || settings.grants.iter().map(|grant| grant.id.clone());
    match holds {
        Holds::YesNo => (owned(&["yes", "no"]), true),
        Holds::Words => (owned(&form::words(table.name, column.name)), true),
        Holds::Site => (sites.to_vec(), false),
        Holds::Container => (settings.method.containers.clone(), false),
        Holds::Stage => (settings.method.stages.clone(), false),
        Holds::Payer => {
            let own = ["own funds", "partner"].map(str::to_owned);
            (own.into_iter().chain(grants()).collect(), false)
        }
        Holds::Grant => (grants().collect(), false),
        _ => (Vec::new(), false),
    }
}

/// What a column holds and a word of help, by table and column.
fn help(table: &str, column: &str) -> Option<(Holds, &'static str)> {
    Some(match (table, column) {
        ("pulls", "pull") => (
            Holds::Text,
            "The outing's id: P01, P02, … One crew at one site on one day is one pull. Use a second row with the same id for a second \
             kind of container or stage.",
        ),
        ("weighings", "pull") => (
            Holds::Text,
            "The pull's id from the pull log, so that kind and stage are known.",
        ),
        ("photos", "pull") => (
            Holds::Text,
            "The pull's id, where clock and position don't tell it.",
        ),
        ("weighings", "date") => (Holds::Date, "Only where no pull is named."),
        (_, "date") => (Holds::Date, "The day, as 2026-07-04."),
        (_, "site") => (Holds::Site, "The site's id or name in sites.geojson."),
        (_, "crew") => (
            Holds::Text,
            "What tells crews of one day apart: a letter or a colour, no person's name.",
        ),
        (_, "pass") => (
            Holds::Count,
            "1, 2, 3 where the same crew went over the same water again at once.",
        ),
        (_, "start") => (Holds::Time, "On the water, local time, as 9:00."),
        (_, "end") => (Holds::Time, "Off the water, as 12:30."),
        (_, "staff") => (Holds::Count, "How many paid people. Heads, never names."),
        (_, "volunteers") => (Holds::Count, "How many volunteers. Heads, never names."),
        (_, "staff_hours") => (
            Holds::Number,
            "Person-hours of paid people, all heads together. May stay empty: heads × (end − start) is used.",
        ),
        (_, "volunteer_hours") => (
            Holds::Number,
            "Person-hours of volunteers, all heads together. May stay empty: heads × (end − start) is used.",
        ),
        (_, "travel_hours") => (
            Holds::Number,
            "Person-hours of travel and shore work; kept apart from the hours on the water.",
        ),
        (_, "paid_by") => (
            Holds::Payer,
            "Who pays the paid people: own funds, partner, or a grant's id in season.toml.",
        ),
        (_, "boats") => (Holds::Count, "Boats on the water."),
        (_, "searched_area") => (Holds::Number, "Water looked over, found or not."),
        (_, "treated_area") => (Holds::Number, "Water from which plants were pulled."),
        ("pulls", "container") => (
            Holds::Container,
            "One kind a row: a bag is no basket. Drain before counting.",
        ),
        (_, "container") => (Holds::Container, "The kind that was weighed: one a row."),
        (_, "containers") => (
            Holds::Number,
            "How many of that kind. 0 is data: searched, none found. Empty is not recorded.",
        ),
        ("weighings", "mass") => (
            Holds::Number,
            "Wet mass of this one container, drained, the empty container taken off.",
        ),
        (_, "mass") => (
            Holds::Number,
            "Wet mass after draining, only where the whole row's catch was weighed or guessed.",
        ),
        ("weighings", "plants") => (Holds::Count, "Rosettes in this container, where counted."),
        ("cover", "plants") => (Holds::Count, "Rosettes in the quadrat."),
        (_, "plants") => (
            Holds::Count,
            "Rosettes, where the whole row's catch was counted or guessed.",
        ),
        (_, "basis") => (
            Holds::Words,
            "How the row's amount is known. An honest guess is better than a blank.",
        ),
        ("weighings", "stage") => (Holds::Stage, "Only where it differs from the pull's."),
        (_, "stage") => (
            Holds::Stage,
            "Growth stage of most plants. Containers are converted within a stage only.",
        ),
        (_, "fruit") => (
            Holds::Words,
            "The furthest seen: none, green, ripe, dropped.",
        ),
        (_, "water_level") => (Holds::Text, "In your own words, or a gauge reading."),
        (_, "finished") => (Holds::YesNo, "Is the site done for this season?"),
        (_, "return_by") => (Holds::Date, "The day to come back, where not."),
        (_, "disposal") => (
            Holds::Text,
            "Where the plants went. Off the flood plain, with the owner's leave.",
        ),
        (_, "gear_cleaned") => (
            Holds::YesNo,
            "Boats, boots and gear cleaned, drained and dried before other water?",
        ),
        (_, "bloom_seen") => (
            Holds::YesNo,
            "A suspected algal bloom? If yes: leave, don't touch, keep dogs out, report.",
        ),
        (_, "other_species") => (Holds::Text, "Other plants of note. Left standing?"),
        (_, "incident") => (Holds::Prose, "Injury or near miss. Never a person's name."),
        ("photos", "file") => (
            Holds::Text,
            "Path below the season folder, as photos/IMG_0001.jpg.",
        ),
        ("cover", "plot") => (Holds::Text, "The plot's id, the same on every visit."),
        (_, "station") => (Holds::Text, "The photo station's id in sites.geojson."),
        (_, "when") => (Holds::Words, "Before or after the pull."),
        (_, "class") => (
            Holds::Text,
            "Cover class of the table named in season.toml; or give per cent instead.",
        ),
        (_, "percent") => (
            Holds::Number,
            "Per cent of the plot that is covered, 0 to 100.",
        ),
        (_, "plot_area") => (Holds::Number, "The quadrat's area in square metres."),
        (_, "role") => (Holds::Words, "What the picture is for."),
        (_, "caption") => (Holds::Prose, "What it shows. Never a person's name."),
        (_, "consent") => (
            Holds::Words,
            "May the people in it be shown? A minor needs a guardian's word.",
        ),
        (_, "minors") => (
            Holds::YesNo,
            "Are children in the picture? Yes asks for a guardian's consent.",
        ),
        (_, "clock_correction") => (
            Holds::Text,
            "What to add to the camera's time: seconds, or +1:00:00.",
        ),
        (_, "withheld") => (
            Holds::YesNo,
            "Yes keeps the picture out of copies to hand over.",
        ),
        ("history", "reason") => (Holds::Prose, "Why the year can't be compared."),
        (_, "reason") => (Holds::Prose, "Why it is withheld."),
        (_, "plate") => (Holds::YesNo, "Yes prints the picture in the report."),
        (_, "grant") => (Holds::Grant, "The grant's id in season.toml."),
        (_, "line") => (Holds::Text, "The budget line, as in season.toml."),
        (_, "amount") => (Holds::Money, "In the season's currency."),
        (_, "receipt") => (Holds::Text, "The receipt's file below papers/."),
        (_, "kind") => (Holds::Words, "Paid in cash, or given in kind."),
        (_, "year") => (Holds::Count, "An earlier season."),
        (_, "effort") => (Holds::Number, "Person-hours on the water in that year."),
        (_, "removed") => (
            Holds::Number,
            "What came out in that year, in the unit beside it.",
        ),
        (_, "unit") => (Holds::Text, "kg, lb, plants, or a kind of container."),
        (_, "comparable") => (
            Holds::YesNo,
            "No where methods, sites or bags were others; say why.",
        ),
        (_, "notes") => (Holds::Prose, "Anything else. Never a person's name."),
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::season::form::TABLES;

    #[test]
    fn every_column_is_explained() {
        for table in &TABLES {
            for column in table.columns {
                let (holds, note) = help(table.name, column.name)
                    .unwrap_or_else(|| panic!("{}: {}", table.name, column.name));
                assert!(note.ends_with('.') || note.ends_with('?'), "{note}");
                let is_closed = !form::words(table.name, column.name).is_empty();
                assert_eq!(
                    holds == Holds::Words,
                    is_closed,
                    "{}: {}",
                    table.name,
                    column.name
                );
            }
        }
    }
}
