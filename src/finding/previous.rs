//! The archive of an earlier season: whether it can be built on, and what of this folder it contradicts.

use super::Check;
use super::core::{Finding, Grade};
use super::rule::Rule;
use crate::hash::hex;
use crate::place::Place;
use crate::season::{
    EarlierState, HistoryRow, NamedRoot, SETTINGS_FILE, Season, singular, value::fold,
};
use crate::units::{Dimension, Unit};
use crate::words;
use crate::words::number;

const MISSING: Rule = Rule {
    name: "previous-archive-missing",
    grade: Grade::Error,
    title: "The archive of the earlier season can't be opened.",
    why: "History can't be taken from it, and whether photos were used before can't be told.",
};
const NOT_WHOLE: Rule = Rule {
    name: "previous-archive-not-whole",
    grade: Grade::Error,
    title: "The archive of the earlier season is not whole.",
    why: "Something in it changed since it was packed, so nothing is taken from it.",
};
const ROOT_DIFFERS: Rule = Rule {
    name: "previous-root-differs",
    grade: Grade::Error,
    title: "The archive of the earlier season has another root than season.toml names.",
    why: "It is not the archive that the printed report of that season stands for, so nothing is taken from it.",
};
const NOT_EARLIER: Rule = Rule {
    name: "previous-not-earlier",
    grade: Grade::Error,
    title: "The archive named as that of an earlier season is of no earlier year.",
    why: "Its figures would stand beside this season's as if they were another's, so nothing is taken from it.",
};
const ROOT_NOT_NAMED: Rule = Rule {
    name: "previous-root-not-named",
    grade: Grade::Doubt,
    title: "season.toml names an earlier archive and not its root.",
    why: "An archive that was changed and packed anew is whole by itself: only its root, from the printed report, tells the two apart.",
};
const HISTORY_DIFFERS: Rule = Rule {
    name: "history-differs-from-archive",
    grade: Grade::Doubt,
    title: "A row of history differs from the figure in the archive of its season.",
    why: "The row is used in the comparison of seasons; one of the two is wrong.",
};
const PHOTO_REUSED: Rule = Rule {
    name: "photo-from-earlier-season",
    grade: Grade::Error,
    title: "A photo lies in the archive of an earlier season already.",
    why: "It shows that season and can't be evidence of this one.",
};

/// All rules of this theme, with their functions.
pub const RULES: &[(Rule, Check)] = &[
    (MISSING, missing),
    (NOT_WHOLE, not_whole),
    (ROOT_DIFFERS, root_differs),
    (NOT_EARLIER, not_earlier),
    (ROOT_NOT_NAMED, root_not_named),
    (HISTORY_DIFFERS, history_differs),
    (PHOTO_REUSED, photo_reused),
];

fn at_archive() -> Place {
    Place::key(SETTINGS_FILE, "previous.archive")
}

fn missing(season: &Season, findings: &mut Vec<Finding>) {
    if let Some(earlier) = &season.earlier
        && let EarlierState::Missing(why) = &earlier.state
    {
        findings.push(MISSING.at(
            at_archive(),
            words!("{archive} can't be opened: {why}.", archive = &earlier.archive, why),
            words!(
                "Put the archive there, or correct the path; it is relative to the season folder. Where there is none, take [previous] out."
            ),
        ));
    }
}

fn not_whole(season: &Season, findings: &mut Vec<Finding>) {
    if let Some(earlier) = &season.earlier
        && let EarlierState::NotWhole(told, all) = &earlier.state
    {
        findings.push(NOT_WHOLE.at(
            at_archive(),
            match all.saturating_sub(told.len()) {
                0 => words!(
                    "{archive}: {faults}.",
                    archive = &earlier.archive,
                    faults = told.join("; ")
                ),
                more => words!(
                    "{archive}: {faults}; and {more} more.",
                    archive = &earlier.archive,
                    faults = told.join("; "),
                    more
                ),
            },
            words!("Fetch another copy of the archive; `windrow verify` names each fault."),
        ));
    }
}

fn root_differs(season: &Season, findings: &mut Vec<Finding>) {
    let Some(earlier) = &season.earlier else {
        return;
    };
    let place = Place::key(SETTINGS_FILE, "previous.root");
    match (&earlier.named, earlier.whole()) {
        (NamedRoot::Unreadable(why), _) => findings.push(ROOT_DIFFERS.at(
            place,
            words!("The root can't be read: {why}.", why),
            words!("Type it as the report of that season prints it, as 64 digits or 32 words."),
        )),
        (NamedRoot::Is(root), Some(record)) if *root != record.root => {
            findings.push(ROOT_DIFFERS.at(
                place,
                words!(
                    "The root of {archive} is {root}, and season.toml names {named}.",
                    archive = &earlier.archive,
                    root = hex(&record.root),
                    named = hex(root)
                ),
                words!("Compare both with the printed report of that season: either the root is mistyped, or this is not the archive that the \
                 report stands for."),
            ));
        }
        _ => {}
    }
}

fn not_earlier(season: &Season, findings: &mut Vec<Finding>) {
    let Some((earlier, record)) = season
        .earlier
        .as_ref()
        .and_then(|earlier| Some((earlier, earlier.whole()?)))
    else {
        return;
    };
    let this_year = season.settings.year;
    let what = match record.year {
        None => words!(
            "{archive} names no year of its season.",
            archive = &earlier.archive
        ),
        Some(year) if year >= this_year => words!(
            "{archive} is of the season {year}, and this one is {this_year}.",
            archive = &earlier.archive,
            year = year.to_string(),
            this_year = this_year.to_string()
        ),
        Some(_) => return,
    };
    findings.push(NOT_EARLIER.at(
        at_archive(),
        what,
        words!("Name the archive of an earlier season."),
    ));
}

fn root_not_named(season: &Season, findings: &mut Vec<Finding>) {
    if let Some(earlier) = &season.earlier
        && let Some(record) = earlier.whole()
        && earlier.named == NamedRoot::Not
    {
        findings.push(ROOT_NOT_NAMED.at(
            at_archive(),
            words!(
                "{archive} is whole; its root is {root}.",
                archive = &earlier.archive,
                root = hex(&record.root)
            ),
            words!("Compare that with the root printed in the report of that season, and if they agree put it into season.toml: root = \"…\" below \
             [previous]."),
        ));
    }
}

/// How far a row may lie from the figure: printed figures are rounded.
const ROUNDED_BY: f64 = 0.01;

/// Whether a number that somebody typed can stand for a figure: within one in a hundred, or within half a step of its own
/// last decimal.
fn stands_for(typed: f64, figure: f64) -> bool {
    let text = typed.to_string();
    let decimals = text.split_once('.').map_or(0, |(_, after)| after.len());
    let half_step = 0.5 / 10f64.powi(i32::try_from(decimals).unwrap_or(0));
    (typed - figure).abs() <= half_step.max(ROUNDED_BY * figure.abs())
}

fn history_differs(season: &Season, findings: &mut Vec<Finding>) {
    let Some((year, earlier, record)) = season.earlier_record() else {
        return;
    };
    for row in season.history.iter().filter(|row| row.year == Some(year)) {
        let part = match row.site.as_deref() {
            None => String::new(),
            Some(name) => match season.ground.site(name) {
                Some(site) => format!("/{}", site.id),
                None => continue,
            },
        };
        let mut compare = |column: &str,
                           typed: Option<f64>,
                           figure: String,
                           factor: f64,
                           unit: &str| {
            let (Some(typed), Some(Some(value))) = (typed, record.figure(&figure)) else {
                return;
            };
            let value = value / factor;
            if !stands_for(typed, value) {
                findings.push(
                    HISTORY_DIFFERS
                        .on(
                            &row.row,
                            Some(column),
                            words!(
                                "The row says {typed} {unit}, and {figure} in {archive} is {value} {unit}.",
                                typed = number(typed.to_string()),
                                unit,
                                figure = &figure,
                                archive = &earlier.archive,
                                value = number(((value * 100.0).round() / 100.0).to_string())
                            ),
                            words!("Correct the row, or take it out: then the archive's figures are used. Where the archive is wrong, accept the \
                             finding with the reason."),
                        )
                        .with([earlier.place(&figure)]),
                );
            }
        };
        compare(
            "effort",
            row.effort,
            format!("effort.person-hours{part}"),
            1.0,
            "hours",
        );
        if let Some((figure, factor, unit)) = amount(row) {
            compare(
                "removed",
                row.removed,
                format!("{figure}{part}"),
                factor,
                &unit,
            );
        }
    }
}

/// The figure that a row's amount is, its base units in one of the row's, and the row's unit.
fn amount(row: &HistoryRow) -> Option<(String, f64, String)> {
    let unit = row.unit.as_deref()?;
    if let Some(known) = Unit::named(unit).filter(|unit| unit.dimension() == Dimension::Mass) {
        return Some(("removal.wet-mass".into(), known.factor(), fold(unit)));
    }
    Some(match singular(unit).as_str() {
        "plant" | "rosette" => ("removal.plants".into(), 1.0, "plants".into()),
        kind => (format!("removal.containers/{kind}"), 1.0, kind.to_owned()),
    })
}

fn photo_reused(season: &Season, findings: &mut Vec<Finding>) {
    let Some((year, earlier, record)) = season.earlier_record() else {
        return;
    };
    for photo in season.photos.iter() {
        if let Some(path) = record.photos.get(&photo.sha256) {
            findings.push(PHOTO_REUSED.at(
                Place::whole(&photo.path),
                words!(
                    "It is to the byte the photo {path} of the season {year} ({archive}).",
                    path,
                    year = year.to_string(),
                    archive = &earlier.archive
                ),
                words!(
                    "Take it out of photos/. A picture of an earlier season that is to stand beside a new one can lie below papers/."
                ),
            ));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_rounded_number_stands_for_its_figure_and_a_slip_does_not() {
        for (typed, figure, fits) in [
            (12.0, 12.4, true),
            (12.0, 12.6, false),
            (12.4, 12.44, true),
            (1240.0, 1243.7, true),
            (1240.0, 1420.0, false),
            (0.0, 0.0, true),
            (0.0, 3.0, false),
        ] {
            assert_eq!(stands_for(typed, figure), fits, "{typed} for {figure}");
        }
    }
}
