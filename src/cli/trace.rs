//! `windrow trace`: how a figure came about. Its formula with the numbers put in, its rows, the photos of their pulls.

use serde_json::{Value, json};

use super::args::Trace;
use super::exit::{Exit, Failure};
use super::inside;
use super::printer::{BOLD, Printer, QUIET, harmless, styled};
use crate::figure::{self, Figure, Workings};
use crate::report::{Style, number};

/// More proposals than these are no help.
const MOST_NAMES: usize = 5;

pub fn run(words: &Trace, printer: &mut Printer) -> Result<Exit, Failure> {
    let (account, inside) = inside::account(&words.place, words.earlier.previous.as_deref())?;
    let name = words.figure.trim();
    let Some(figure) = account.ledger.get(name) else {
        return Err(Failure::FigureUnknown {
            name: name.to_owned(),
            near: account
                .ledger
                .near_names(name, MOST_NAMES)
                .into_iter()
                .map(str::to_owned)
                .collect(),
        });
    };
    let workings = figure::workings(&account.season, &account.ledger, figure);
    let printed = number::print(figure, &Style::of(&account.season.settings));
    let differs = inside
        .as_ref()
        .and_then(|inside| inside.disagreement(&figure.name, figure.value()));
    if words.json {
        let mut value = as_json(figure, &printed.text, &workings);
        if let (Some(inside), Some(object)) = (&inside, value.as_object_mut()) {
            object.insert("from".into(), inside.as_json());
            object.insert("agrees_with_ledger".into(), differs.is_none().into());
        }
        printer.json(&value);
    } else {
        if let Some(inside) = &inside {
            for line in inside.lines().iter().chain(&differs) {
                printer.line(line);
            }
            printer.line("");
        }
        print(figure, &printed.text, &workings, printer);
    }
    Ok(inside.map_or(Exit::Well, |inside| {
        if differs.is_some() {
            Exit::NotWell
        } else {
            inside.exit()
        }
    }))
}

fn print(figure: &Figure, printed: &str, workings: &Workings, printer: &mut Printer) {
    let heading = |printer: &mut Printer, text: &str| {
        printer.line("");
        printer.line(styled(BOLD, text));
    };
    printer.line(styled(BOLD, &figure.name));
    printer.line(&figure.label);
    printer.line(printed);
    heading(printer, "method");
    printer.line(format!("  {}", figure.method));
    for assumption in &figure.assumptions {
        printer.line(format!("  Assumed: {assumption}"));
    }
    heading(printer, "with its numbers");
    for step in &workings.steps {
        printer.line(format!("  {step}"));
    }
    if !workings.records.is_empty() {
        heading(printer, &counted(workings.records.len(), "record"));
    }
    for record in &workings.records {
        let cells: Vec<String> = record
            .cells
            .iter()
            .map(|(heading, text)| {
                format!("{} {}", styled(QUIET, harmless(heading)), harmless(text))
            })
            .collect();
        let line = format!("  {}  {}", record.place, cells.join(", "));
        printer.line(line.trim_end());
    }
    if !workings.left_out.is_empty() {
        heading(
            printer,
            &format!("{} left out", counted(workings.left_out.len(), "record")),
        );
    }
    for (place, reason) in &workings.left_out {
        printer.line(format!("  {place}  {reason}"));
    }
    if !workings.photos.is_empty() {
        heading(
            printer,
            &format!("{} of these pulls", counted(workings.photos.len(), "photo")),
        );
    }
    for photo in &workings.photos {
        printer.line(format!(
            "  {}  {} {}",
            harmless(&photo.file),
            harmless(&photo.pull),
            styled(QUIET, &photo.reason)
        ));
    }
}

fn counted(number: usize, word: &str) -> String {
    if number == 1 {
        format!("1 {word}")
    } else {
        format!("{number} {word}s")
    }
}

fn as_json(figure: &Figure, printed: &str, workings: &Workings) -> Value {
    let records: Vec<Value> = workings
        .records
        .iter()
        .map(|record| {
            let cells: Vec<Value> = record
                .cells
                .iter()
                .map(|(heading, text)| json!({"heading": heading, "text": text}))
                .collect();
            json!({"place": record.place, "cells": cells})
        })
        .collect();
    let left_out: Vec<Value> = workings
        .left_out
        .iter()
        .map(|(place, reason)| json!({"place": place, "reason": reason}))
        .collect();
    let photos: Vec<Value> = workings
        .photos
        .iter()
        .map(|photo| json!({"file": photo.file, "pull": photo.pull, "reason": photo.reason}))
        .collect();
    json!({
        "name": figure.name,
        "label": figure.label,
        "printed": printed,
        "value": figure.value(),
        "unit": figure.measure.base_unit(),
        "method": figure.method,
        "assumptions": figure.assumptions,
        "steps": workings.steps,
        "records": records,
        "left_out": left_out,
        "photos": photos,
    })
}
