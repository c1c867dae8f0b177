//! Effort by week: shapes of the chart in two widths, and the same as texts for the table.

use chrono::{Datelike, Days, NaiveDate};
use serde_json::{Value, json};

use crate::figure::Measure;
use crate::report::chart::effort::{self, Weeks};
use crate::report::chart::{Scale, ticks};
use crate::report::counted;
use crate::report::data::charts;
use crate::report::fonts;
use crate::report::input::Input;
use crate::report::number::{Style, quantity};
use crate::words::{Language, day_and_month, month};

/// A form of the chart: one that fills a screen's width, one for a phone. In units that come to about a pixel each.
struct Form {
    name: &'static str,
    width: f64,
    height: f64,
    /// Room for the axis.
    left: f64,
}

const FORMS: [Form; 2] = [
    Form {
        name: "wide",
        width: 760.0,
        height: 264.0,
        left: 40.0,
    },
    Form {
        name: "narrow",
        width: 340.0,
        height: 248.0,
        left: 36.0,
    },
];

/// Size of the words on ripe seed, as page.css has it.
const RIPE_SIZE: f64 = 12.5;
/// Room above for the word on ripe seed, and below for months and pulls.
const TOP: f64 = 30.0;
const BOTTOM: f64 = 36.0;

/// The season by weeks; null where no pull has a date.
pub fn all(input: &Input<'_>, style: &Style) -> Value {
    let pulls = counted::pulls(input.season, input.ledger);
    let Some(weeks) = effort::weeks(input.season, &pulls) else {
        return Value::Null;
    };
    let hours = |hours: f64| quantity(hours, Measure::Time, style);
    let rows: Vec<Value> = weeks
        .weeks
        .iter()
        .enumerate()
        .map(|(index, week)| {
            json!({
                "from": day_and_month(start(&weeks, index), style.language),
                "pulls": style.count(week.pulls),
                "silent": week.pulls_without_hours,
                "staff": hours(week.staff),
                "volunteers": hours(week.volunteers),
                "both": hours(week.staff + week.volunteers),
                "ripe": weeks.ripe.is_some_and(|(day, _)| (index as f64 + 1.0) * 7.0 > day),
            })
        })
        .collect();
    json!({
        "forms": FORMS.iter().map(|form| drawn(form, &weeks, style.language)).collect::<Vec<_>>(),
        "rows": rows,
        "last": rows.len().saturating_sub(1),
        // The week to begin with is the first one with work in it.
        "first": weeks.weeks.iter().position(|week| week.pulls > 0).unwrap_or(0),
        "alt": style.say(weeks.in_words(charts::totals(input, style), style)),
        "ripe": weeks.ripe.map(|(_, date)| day_and_month(date, style.language)),
        "silent": weeks.marks.iter().any(|(_, known)| !known),
    })
}

fn start(weeks: &Weeks, index: usize) -> NaiveDate {
    // At most sixty weeks, so that the day is there.
    weeks
        .first
        .checked_add_days(Days::new(index as u64 * 7))
        .unwrap_or(weeks.first)
}

fn drawn(form: &Form, weeks: &Weeks, language: Language) -> Value {
    let base = form.height - BOTTOM;
    let days = weeks.weeks.len() as f64 * 7.0;
    let across = Scale::new((0.0, days), (form.left, form.width));
    let most = weeks
        .weeks
        .iter()
        .map(|week| week.staff + week.volunteers)
        .fold(0.0, f64::max);
    let lines = ticks(most, 4.0, language);
    let top = lines.last().map_or(1.0, |(value, _)| *value);
    let up = Scale::new((0.0, top), (base, TOP));
    let slot = across.at(7.0) - across.at(0.0);
    let bars: Vec<Value> = weeks
        .weeks
        .iter()
        .enumerate()
        .map(|(index, week)| {
            let x = across.at(index as f64 * 7.0);
            let (staff, both) = (up.at(week.staff), up.at(week.staff + week.volunteers));
            let alone = up.at(week.volunteers);
            json!({
                // Fifteen hundredths of air on either side keep weeks apart.
                "x": at(x + 0.15 * slot),
                "width": at(0.7 * slot),
                "slot": at(x),
                "slot-width": at(slot),
                "staff": {"y": at(staff), "height": at(base - staff)},
                "volunteers": {"y": at(both), "height": at(staff - both)},
                "alone": {"y": at(alone), "height": at(base - alone)},
            })
        })
        .collect();
    let ticks: Vec<Value> = lines
        .iter()
        .map(|(value, text)| json!({"y": at(up.at(*value)), "text-y": at(up.at(*value) + 4.0), "text": text}))
        .collect();
    let marks: Vec<Value> = weeks
        .marks
        .iter()
        .map(|(day, known)| json!({"x": at(across.at(day + 0.5)), "known": known}))
        .collect();
    json!({
        "name": form.name,
        "width": at(form.width),
        "height": at(form.height),
        "left": at(form.left),
        "tick-x": at(form.left - 6.0),
        "top": at(TOP - 16.0),
        "plot": at(base - TOP + 16.0),
        "base": at(base),
        "marks-from": at(base + 3.0),
        "marks-to": at(base + 9.0),
        "marks-middle": at(base + 6.0),
        "months-y": at(base + 27.0),
        "bars": bars,
        "ticks": ticks,
        "marks": marks,
        "months": months(form, weeks, &across, language),
        "ripe": weeks.ripe.map(|(day, ripe)| {
            let x = across.at(day);
            // Behind the line there is room for words, or else before it.
            let told = effort::ripe_from(ripe, language);
            let room = x + 6.0 + fonts::width(&told, RIPE_SIZE, false) <= form.width;
            json!({
                "x": at(x),
                "width": at(form.width - x),
                "text-x": at(if room { x + 6.0 } else { x - 6.0 }),
                "text-y": at(TOP - 3.0),
                "anchor": if room { "start" } else { "end" },
            })
        }),
    })
}

/// First days of months, each with its name where there is room.
fn months(form: &Form, weeks: &Weeks, across: &Scale, language: Language) -> Vec<Value> {
    /// A month's name takes at most so much room.
    const ROOM: f64 = 62.0;
    let days = weeks.weeks.len() as u64 * 7;
    let starts: Vec<(f64, NaiveDate)> = (0..days)
        .filter_map(|day| Some((day as f64, weeks.first.checked_add_days(Days::new(day))?)))
        .filter(|(day, date)| date.day() == 1 || *day == 0.0)
        .map(|(day, date)| (across.at(day), date))
        .collect();
    starts
        .iter()
        .enumerate()
        .map(|(index, (x, date))| {
            let next = starts.get(index + 1).map_or(form.width, |(x, _)| *x);
            let name = month(date.month(), language);
            let text: String = if next - x >= ROOM {
                name.to_owned()
            } else if next - x >= ROOM / 2.0 {
                name.chars().take(3).collect()
            } else {
                String::new()
            };
            json!({"x": at(*x), "text-x": at(x + 4.0), "text": text})
        })
        .collect()
}

fn at(value: f64) -> String {
    if value.is_finite() {
        format!("{value:.1}")
    } else {
        "0".to_owned()
    }
}
