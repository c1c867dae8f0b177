//! Sheets to print before an outing: the field sheet, the cards for photo stations, the cautions; and the plan for next season.
//!
//! Takes settings, sites, and the tables' columns; gives PDFs in the report's look. Computes nothing.

use chrono::Datelike;
use serde_json::{Map, Value, json};
use typst::foundations::Bytes;

use super::error::ReportError;
use super::fonts::settable;
use super::wording;
use super::world::ReportWorld;
use super::{chart, compile, palette, templates};
use crate::season::{Ground, Paper, Settings};

/// A sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sheet {
    Field,
    Cards,
    Cautions,
}

impl Sheet {
    pub const ALL: [Sheet; 3] = [Sheet::Field, Sheet::Cards, Sheet::Cautions];

    pub fn file_name(self) -> &'static str {
        match self {
            Sheet::Field => "field-sheet.pdf",
            Sheet::Cards => "photo-cards.pdf",
            Sheet::Cautions => "cautions.pdf",
        }
    }

    fn template(self) -> &'static str {
        match self {
            Sheet::Field => "/sheets/field.typ",
            Sheet::Cards => "/sheets/cards.typ",
            Sheet::Cautions => "/sheets/cautions.typ",
        }
    }
}

/// A column of a table, as the field sheet names it.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    pub table: &'static str,
    pub name: &'static str,
    /// With its unit, where it has one.
    pub heading: String,
    pub words: Vec<String>,
}

/// What the sheets are made from.
#[derive(Debug, Clone)]
pub struct Input<'a> {
    pub settings: &'a Settings,
    pub ground: &'a Ground,
    pub columns: Vec<Column>,
}

/// Sets a sheet.
///
/// # Errors
/// Where a template has a mistake.
pub fn render(sheet: Sheet, input: &Input<'_>) -> Result<Vec<u8>, ReportError> {
    set(
        sheet.template(),
        input.settings,
        json!({
            "columns": columns(&input.columns),
            "stations": stations(input.ground),
        }),
        sheet.file_name(),
    )
}

/// Sets the plan for next season from rows of text.
///
/// # Errors
/// Where the template has a mistake.
pub fn plan(settings: &Settings, plan: &Value) -> Result<Vec<u8>, ReportError> {
    set(
        "/sheets/plan.typ",
        settings,
        json!({ "plan": plan }),
        "plan.pdf",
    )
}

fn set(
    template: &str,
    settings: &Settings,
    own: Value,
    name: &str,
) -> Result<Vec<u8>, ReportError> {
    let mut value = json!({
        "look": look(settings),
        "programme": settings.programme,
        "year": settings.year.to_string(),
        "species": settings.species,
        "printed": {"year": settings.starts.year(), "month": settings.starts.month(), "day": settings.starts.day()},
    });
    if let (Some(all), Value::Object(own)) = (value.as_object_mut(), own) {
        all.extend(own);
    }
    wording::add(&mut value, settings.report.language);
    make_settable(&mut value);
    let mut world = ReportWorld::new(template, compile::day(settings.starts))
        .ok_or_else(|| ReportError::Machine("the main template has no path".to_owned()))?;
    for (path, text) in templates::all() {
        world.add_source(path, text);
    }
    world.add_file("/data.json", Bytes::from_string(value.to_string()));
    compile::pdf(
        &world,
        format!("windrow {name} {} {}", settings.programme, settings.year),
        settings.starts,
        &[],
        0,
        &mut || {},
    )
}

fn look(settings: &Settings) -> Value {
    let colours: Map<String, Value> = palette::ALL
        .iter()
        .map(|colour| (colour.name.to_owned(), colour.hex.into()))
        .collect();
    json!({
        "paper": match settings.paper() { Paper::A4 => "a4", Paper::Letter => "us-letter" },
        "colours": colours,
        "width": chart::WIDTH,
        // The sheets are set in our own faces: boxes are measured for them.
        "text-face": null,
        "figure-face": null,
    })
}

/// By table: the columns in their order.
fn columns(columns: &[Column]) -> Value {
    let mut tables: Map<String, Value> = Map::new();
    for column in columns {
        let list = tables
            .entry(column.table.to_owned())
            .or_insert_with(|| json!([]));
        if let Some(list) = list.as_array_mut() {
            list.push(
                json!({"name": column.name, "heading": column.heading, "words": column.words}),
            );
        }
    }
    Value::Object(tables)
}

fn stations(ground: &Ground) -> Vec<Value> {
    ground
        .stations
        .iter()
        .map(|station| {
            let site = station.site.as_deref();
            let named = site.and_then(|site| ground.site(site));
            json!({
                "id": station.id,
                "name": station.name,
                "site": named.map(|site| site.name.as_str()).or(site),
                "bearing": station.bearing.map(|degrees| format!("{degrees:.0}°")),
            })
        })
        .collect()
}

fn make_settable(value: &mut Value) {
    match value {
        Value::String(text) => *text = settable(text),
        Value::Array(items) => items.iter_mut().for_each(make_settable),
        Value::Object(map) => map.values_mut().for_each(make_settable),
        _ => {}
    }
}
