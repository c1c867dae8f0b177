//! All figures as the templates look them up, the methods behind them, and the appendix of where each comes from.

use std::collections::{BTreeMap, BTreeSet};

use serde_json::{Map, Value, json};

use super::{rows, shown};
use crate::figure::{Figure, Ledger, Outturn};
use crate::place::Places;
use crate::report::number::{Style, print};
use crate::report::words::{capital, sentence};
use crate::season::Season;
use crate::words;
use crate::words::Language;

/// Name → texts, of the figures that templates may look up.
pub fn all(
    ledger: &Ledger,
    season: &Season,
    own: &BTreeMap<String, String>,
    style: &Style,
) -> Value {
    let map: Map<String, Value> = shown::to_look_up(ledger, season, own)
        .map(|figure| (figure.name.clone(), one(figure, style)))
        .collect();
    Value::Object(map)
}

/// One figure's texts; `None` where the ledger has none of that name.
pub fn named(ledger: &Ledger, name: &str, style: &Style) -> Option<Value> {
    ledger.get(name).map(|figure| one(figure, style))
}

fn one(figure: &Figure, style: &Style) -> Value {
    let printed = print(figure, style);
    // Templates align columns on the decimal point, which they must not look for themselves.
    let (whole, fraction) = match printed.value.split_once(style.language.decimal_mark()) {
        Some((whole, fraction)) => {
            let mark = style.language.decimal_mark();
            (whole.to_owned(), format!("{mark}{fraction}"))
        }
        None => (printed.value.clone(), String::new()),
    };
    let cautions = match &figure.outturn {
        Outturn::Estimated(estimate) => estimate.caution.clone(),
        _ => Vec::new(),
    };
    json!({
        "label": capital(&figure.label.say(style.language)),
        "value": printed.value,
        "whole": whole,
        "fraction": fraction,
        "unit": printed.unit,
        "with-unit": printed.with_unit(),
        "interval": printed.interval,
        "level": printed.level,
        "text": printed.text,
        "refusal": printed.refusal.map(|reason| sentence(&reason)),
        "cautions": cautions.iter().map(|words| sentence(&words.say(style.language))).collect::<Vec<_>>(),
    })
}

/// The figures that open the report, in this order, as far as the ledger has them.
const KEY: &[&str] = &[
    "removal.wet-mass",
    "effort.person-hours",
    "removal.plants",
    "rate.mass-per-hour",
    "cover.change",
    "area.treated",
    "effort.pulls",
    "evidence.pulls-with-photo",
];

/// Names of the opening figures.
pub fn key(ledger: &Ledger) -> Value {
    let names: Vec<&str> = KEY
        .iter()
        .copied()
        .filter(|name| ledger.get(name).is_some())
        .collect();
    json!(names)
}

/// How the figures were reached, kinds with the same way together; and what has to hold, with the figures that rest on it.
pub fn methods(ledger: &Ledger, season: &Season, style: &Style) -> Value {
    let language = style.language;
    let shown = shown::figures(ledger, season).figures;
    let mut ways: Vec<(String, Vec<String>, Vec<String>)> = Vec::new();
    let mut assumptions: Vec<(String, Vec<String>)> = Vec::new();
    let mut seen: BTreeSet<&str> = BTreeSet::new();
    for figure in &shown {
        if !seen.insert(figure.stem()) {
            continue;
        }
        let label = kind_label(ledger, figure.stem(), language);
        let mut estimators: Vec<String> = Vec::new();
        let kin = shown.iter().filter(|other| other.stem() == figure.stem());
        for other in kin {
            for assumption in &other.assumptions {
                let assumption = sentence(&capital(&assumption.say(language)));
                match assumptions
                    .iter_mut()
                    .find(|(known, _)| *known == assumption)
                {
                    Some((_, labels)) if labels.contains(&label) => {}
                    Some((_, labels)) => labels.push(label.clone()),
                    None => assumptions.push((assumption, vec![label.clone()])),
                }
            }
            if let Outturn::Estimated(estimate) = &other.outturn {
                let method = sentence(&capital(&estimate.method.say(language)));
                if !estimate.method.is_empty() && !estimators.contains(&method) {
                    estimators.push(method);
                }
            }
        }
        let method = sentence(&capital(&figure.method.say(language)));
        match ways
            .iter_mut()
            .find(|(known, others, _)| *known == method && *others == estimators)
        {
            Some((_, _, labels)) => labels.push(label),
            None => ways.push((method, estimators, vec![label])),
        }
    }
    let ways: Vec<Value> = ways
        .into_iter()
        .map(|(method, estimators, labels)| {
            json!({"method": method, "estimators": estimators, "labels": together(&labels)})
        })
        .collect();
    let assumptions: Vec<Value> = assumptions
        .into_iter()
        .map(|(text, labels)| json!({"text": text, "labels": together(&labels)}))
        .collect();
    json!({"ways": ways, "assumptions": assumptions})
}

/// Labels in one line, each once.
fn together(labels: &[String]) -> String {
    let mut seen = BTreeSet::new();
    labels
        .iter()
        .filter(|label| seen.insert(label.as_str()))
        .map(String::as_str)
        .collect::<Vec<_>>()
        .join(" · ")
}

/// The appendix: every figure with its value and the records under it, grouped by kind.
pub fn sources(ledger: &Ledger, season: &Season, style: &Style) -> Value {
    // By kind: in the ledger's order of names, `removal.wet-mass-guessed` stands between the season's `removal.wet-mass` and
    // that of a site.
    let mut groups: BTreeMap<&str, Vec<&Figure>> = BTreeMap::new();
    let shown::Traced { figures, more } = shown::figures(ledger, season);
    for figure in figures {
        groups.entry(figure.stem()).or_default().push(figure);
    }
    groups
        .into_iter()
        .map(|(stem, figures)| {
            let whole = figures.iter().any(|figure| figure.part().is_none());
            let mut rows: Vec<Value> = figures
                .iter()
                .map(|figure| {
                    let printed = print(figure, style);
                    let name = match figure.part() {
                        None => style.say(words!("the season")),
                        // Parts under the season's figure are sites and kinds; parts by themselves say what they are.
                        Some(part) if whole => part_name(part, season),
                        Some(_) => capital(&figure.label.say(style.language)),
                    };
                    json!({
                        "whole": figure.part().is_none(),
                        "name": name,
                        "value": if printed.refusal.is_some() { style.say(words!("not known")) } else { printed.with_unit() },
                        "rows": rows::compressed(&figure.places, style),
                        "left-out": left_out(figure, !whole || figure.part().is_none(), style),
                    })
                })
                .collect();
            if let Some(more) = more.get(stem) {
                rows.push(json!({
                    "whole": false,
                    "name": style.say(words!("and {more} more", more = *more)),
                    "value": "",
                    "rows": style.say(words!("in the attached ledger")),
                    "left-out": "",
                }));
            }
            json!({"stem": stem, "label": kind_label(ledger, stem, style.language), "rows": rows})
        })
        .collect()
}

/// What a kind of figure is called.
pub fn kind_label(ledger: &Ledger, stem: &str, language: Language) -> String {
    ledger
        .get(stem)
        .or_else(|| ledger.parts(stem).next())
        .map_or_else(
            || stem.to_owned(),
            |figure| capital(&figure.kind.say(language)),
        )
}

/// A site's name for its id; other parts, such as kinds and grants, name themselves.
fn part_name(part: &str, season: &Season) -> String {
    season
        .ground
        .sites
        .iter()
        .find(|site| site.id == part)
        .map_or_else(|| part.to_owned(), |site| site.name.clone())
}

/// So many reasons for leaving out are told of a figure; of more the number. A reason may name a site, of which there may be hundreds.
const NAMED_REASONS: usize = 20;

/// Records left out. Reasons are told where the kind's figure for the season, which has them all, does not tell them already.
fn left_out(figure: &Figure, with_reasons: bool, style: &Style) -> String {
    let mut reasons: BTreeMap<String, Places> = BTreeMap::new();
    for out in figure.left_out.by_reason() {
        let reason = if with_reasons {
            style.say(&out.why.reason)
        } else {
            String::new()
        };
        let places = reasons.entry(reason).or_default();
        places.extend(out.records.iter());
    }
    let more = reasons.len().saturating_sub(NAMED_REASONS);
    let mut parts: Vec<String> = reasons
        .into_iter()
        .take(NAMED_REASONS)
        .map(|(reason, places)| match reason.as_str() {
            "" => rows::compressed(&places, style),
            reason => format!("{} ({reason})", rows::compressed(&places, style)),
        })
        .collect();
    if more > 0 {
        parts.push(style.say(words!("and {more} more", more)));
    }
    if parts.is_empty() {
        String::new()
    } else {
        style.say(words!("Left out: {records}", records = parts.join("; ")))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::figure::{LeftOuts, Measure};
    use crate::words::Words;

    #[test]
    fn a_kind_is_named_as_its_figures_say() {
        let mut ledger = Ledger::default();
        let mut add = |name: &str, label: &str, kind: &str| {
            ledger.add(Figure {
                name: name.into(),
                label: label.into(),
                kind: kind.into(),
                counts: None,
                measure: Measure::Count,
                outturn: Outturn::Exact(1.0),
                method: Words::default(),
                assumptions: Vec::new(),
                places: Places::default(),
                left_out: LeftOuts::default(),
            });
        };
        add("budget.line/a", "Planned for boats", "Planned for …");
        add("budget.line/b", "Planned for bags", "Planned for …");
        add("effort.pulls", "pulls", "pulls");
        add("effort.pulls/x", "pulls, X", "pulls");
        for (stem, label) in [
            ("budget.line", "Planned for …"),
            ("effort.pulls", "Pulls"),
            ("effort.none", "effort.none"),
        ] {
            assert_eq!(kind_label(&ledger, stem, Language::English), label);
        }
    }
}
