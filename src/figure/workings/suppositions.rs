//! Steps under what follows from suppositions: absence and outlook.

use super::super::absence;
use super::super::area;
use super::super::removal::Removal;
use super::{Named, digits};
use crate::estimate;
use crate::season::{Pull, Season, Supposition};

fn supposed(words: &str, supposition: &Supposition) -> String {
    format!(
        "{words} = {} to {} ({})",
        digits(supposition.low),
        digits(supposition.high),
        supposition.source.as_deref().unwrap_or("source not given")
    )
}

/// Hours searched, and Bayes' rule at both ends.
pub fn absence(season: &Season, named: &Named<'_>) -> Vec<String> {
    let searches = absence::last_empty_handed(&Removal::mass(season), &named.scope);
    let mut lines: Vec<String> = searches
        .iter()
        .map(|pull| {
            let hours = pull
                .person_hours()
                .map_or("hours not recorded".to_owned(), |hours| {
                    format!("{} h", digits(hours))
                });
            let date = pull.date().map_or(String::new(), |date| date.to_string());
            format!("{}, {date}: {hours}, nothing found", pull.id)
        })
        .collect();
    let hours = estimate::sum(searches.iter().filter_map(|pull| pull.person_hours()));
    lines.push(format!("h = {} h", digits(hours)));
    if let Some(settings) = &season.settings.absence {
        lines.push(supposed("finds per hour", &settings.finds_per_hour));
        lines.push(supposed("chance before", &settings.chance_before));
        for (end, rate, before) in [
            (
                "Lower end",
                settings.finds_per_hour.high,
                settings.chance_before.low,
            ),
            (
                "Upper end",
                settings.finds_per_hour.low,
                settings.chance_before.high,
            ),
        ] {
            let missed = (-rate * hours).exp();
            lines.push(format!(
                "{end}: missed exp(−{} × {}) = {}; {} × {} ÷ ({} × {} + 1 − {}) = {}",
                digits(rate),
                digits(hours),
                digits(missed),
                digits(before),
                digits(missed),
                digits(before),
                digits(missed),
                digits(before),
                digits(before * missed / (before * missed + 1.0 - before))
            ));
        }
    }
    lines
}

/// The balance and its ranges.
pub fn outlook(season: &Season, named: &Named<'_>, stem: &str) -> Vec<String> {
    let Some(settings) = &season.settings.seed_bank else {
        return Vec::new();
    };
    let mut lines = vec![
        supposed("g, share that germinates", &settings.germinating),
        supposed(
            "s, share of buried seeds that lives on",
            &settings.surviving,
        ),
        supposed(
            "e, share of seedlings that grows up",
            &settings.establishing,
        ),
        supposed("f, seeds a rosette adds", &settings.seeds_per_rosette),
        supposed("c, share pulled before seeding", &settings.removed),
    ];
    if stem == "outlook.holding-share" {
        lines.push("c* = 1 − (1 − (1 − g)s) ÷ (g e f)".into());
    } else if stem == "outlook.seeds-kept" {
        lines.push("plants pulled before ripening × f; seedlings × e × f".into());
    } else {
        lines.push(supposed(
            "S at first, a square metre",
            &settings.seeds_per_m2,
        ));
        lines.push(format!(
            "S' = S(1 − g)s + S g e (1 − c) f, from {} on; rosettes = S g e × area",
            settings.began
        ));
        let beds = season
            .ground
            .sites
            .iter()
            .filter(|site| named.scope.site.is_none_or(|own| own.id == site.id))
            .filter_map(|site| {
                let (bed, _) = area::largest(season, site, Pull::treated_area)?;
                Some(format!("{}: {} m²", site.name, digits(bed)))
            });
        lines.extend(beds);
    }
    if stem != "outlook.seeds-kept" {
        lines.push(format!("Random draws begin with {}", settings.seed));
    }
    lines
}
