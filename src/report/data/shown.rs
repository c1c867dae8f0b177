//! Which figures the funder edition prints, and so has to trace to their records.
//!
//! The ledger holds more: by month, by stage, by pass, and what follows from suppositions. Those stand in the attached ledger, unless
//! a promise or the coordinator's prose names one.

use std::collections::{BTreeMap, BTreeSet};

use crate::figure::{Figure, Ledger};
use crate::season::{Season, Site};

/// Themes that the edition prints.
const THEMES: &[&str] = &[
    "absence.",
    "area.",
    "budget.",
    "cover.",
    "density.",
    "effort.",
    "evidence.",
    "history.",
    "match.",
    "outlook.",
    "passes.",
    "rate.",
    "removal.",
    "spending.",
    "stratum.",
    "trend.",
];

/// Figures of single sites that the edition prints; the others are shown beside them as long as there are few sites.
const OF_SITES: &[&str] = &[
    "absence.",
    "area.searched",
    "area.treated",
    "cover.",
    "effort.person-hours",
    "effort.pulls",
    "removal.plants",
    "removal.wet-mass",
];

/// With more sites than this the page of records would be longer than the report.
const FEW_SITES: usize = 12;

/// With more sites than this no page has room for all of them.
const MOST_SITES: usize = 100;

/// The sites that tables, charts and map show: all, or of very many those with the most person-hours, in the order of their outlines.
pub fn sites<'a>(season: &'a Season, ledger: &Ledger) -> Vec<&'a Site> {
    let sites = &season.ground.sites;
    if sites.len() <= MOST_SITES {
        return sites.iter().collect();
    }
    let hours = |site: &Site| {
        ledger
            .get(&format!("effort.person-hours/{}", site.id))
            .and_then(Figure::value)
            .unwrap_or(0.0)
    };
    let mut ranked: Vec<(f64, usize)> = sites
        .iter()
        .enumerate()
        .map(|(at, site)| (hours(site), at))
        .collect();
    ranked.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    ranked.truncate(MOST_SITES);
    ranked.sort_by_key(|(_, at)| *at);
    ranked
        .into_iter()
        .filter_map(|(_, at)| sites.get(at))
        .collect()
}

/// The figures that templates may look up: all, but for the sites that are not shown, unless somebody's own text has the site's id. There a
/// figure may be named in any way, and where it is not nobody can ask for it.
pub fn to_look_up<'a>(
    ledger: &'a Ledger,
    season: &Season,
    own: &BTreeMap<String, String>,
) -> impl Iterator<Item = &'a Figure> {
    let shown: BTreeSet<&str> = sites(season, ledger)
        .into_iter()
        .map(|site| site.id.as_str())
        .collect();
    let narrative = season.narrative.iter().map(|section| section.text.as_str());
    let texts: Vec<&str> = narrative.chain(own.values().map(String::as_str)).collect();
    let hidden: BTreeSet<&str> = season
        .ground
        .sites
        .iter()
        .map(|site| site.id.as_str())
        .filter(|id| !shown.contains(id) && !texts.iter().any(|text| text.contains(id)))
        .collect();
    let promised = promised(ledger);
    ledger.figures().filter(move |figure| {
        let of_hidden = figure
            .part()
            .is_some_and(|part| part.split('/').any(|part| hidden.contains(part)));
        !of_hidden || promised.contains(figure.name.as_str())
    })
}

fn promised(ledger: &Ledger) -> BTreeSet<&str> {
    let deliverables = ledger.deliverables.iter();
    deliverables
        .map(|deliverable| deliverable.figure.as_str())
        .collect()
}

/// Parts of one kind that are traced in print; of more the number is told.
const MOST_PARTS: usize = 100;

/// What is traced in print.
pub struct Traced<'a> {
    /// In the order of their names.
    pub figures: Vec<&'a Figure>,
    /// How many more parts there are, by stem; the attached ledger has them.
    pub more: BTreeMap<&'a str, usize>,
}

/// The figures that the edition prints.
pub fn figures<'a>(ledger: &'a Ledger, season: &Season) -> Traced<'a> {
    let mut asked = promised(ledger);
    for section in &season.narrative {
        // Prose names a figure between quotation marks, so that a name is what stands between any two.
        let mut between = section.text.split('"');
        between.next();
        between.next_back();
        asked.extend(between);
    }
    let mut parts: BTreeMap<&str, usize> = BTreeMap::new();
    let mut more: BTreeMap<&str, usize> = BTreeMap::new();
    let mut figures = Vec::new();
    for figure in ledger.figures() {
        if asked.contains(figure.name.as_str()) {
            figures.push(figure);
        } else if usual(figure) && !unprinted_of_site(figure, season) {
            let before = parts.entry(figure.stem()).or_default();
            if figure.part().is_none() {
                figures.push(figure);
            } else if *before < MOST_PARTS {
                *before += 1;
                figures.push(figure);
            } else {
                *more.entry(figure.stem()).or_default() += 1;
            }
        }
    }
    Traced { figures, more }
}

fn usual(figure: &Figure) -> bool {
    let stem = figure.stem();
    let theme = THEMES.iter().any(|theme| stem.starts_with(theme));
    // Earlier seasons and their trend's line are drawn for all sites together.
    let earlier_site = (stem.starts_with("history.") || stem == "trend.line")
        && figure.part().is_some_and(|part| part.contains('/'));
    // Year by year and pass by pass they are drawn, not written.
    let drawn = stem.starts_with("outlook.") && figure.part().is_some()
        || matches!(stem, "passes.catch" | "passes.expected");
    theme && !stem.contains("-by-") && !earlier_site && !drawn
}

/// Whether the figure is of one of many sites, and of a kind that the edition doesn't print by site; of very many none is traced in print.
fn unprinted_of_site(figure: &Figure, season: &Season) -> bool {
    let sites = &season.ground.sites;
    let stem = figure.stem();
    sites.len() > FEW_SITES
        && figure
            .part()
            .and_then(|part| part.split('/').next())
            .is_some_and(|part| sites.iter().any(|site| site.id == part))
        && (sites.len() > MOST_SITES
            || !OF_SITES.iter().any(|printed| {
                stem == *printed || (printed.ends_with('.') && stem.starts_with(printed))
            }))
}

#[cfg(test)]
mod tests {
    use crate::report::tests::sample::Recipe;

    #[test]
    fn what_is_promised_or_told_is_shown_and_details_are_not() {
        let mut recipe = Recipe::new(2, 6);
        recipe.narrative = "In June #figure-text(\"effort.person-hours-by-month/2025-06\").";
        let mut sample = recipe.build();
        let model = sample.ledger.get("effort.pulls").unwrap().clone();
        for name in [
            "effort.person-hours-by-month/2025-06",
            "effort.person-hours-by-month/2025-07",
            "outlook.years",
            "passes.catch/site-0/2025-07-01/1",
            "history.rate/2023/site-0",
        ] {
            sample.ledger.add(crate::figure::Figure {
                name: name.into(),
                ..model.clone()
            });
        }
        sample.ledger.deliverables[0].figure = "outlook.years".into();
        let shown = super::figures(&sample.ledger, &sample.season).figures;
        let shows = |name: &str| shown.iter().any(|figure| figure.name == name);
        assert!(
            shows("effort.person-hours-by-month/2025-06"),
            "told in prose"
        );
        assert!(shows("outlook.years"), "promised");
        assert!(shows("removal.wet-mass/site-1"));
        for name in [
            "effort.person-hours-by-month/2025-07",
            "passes.catch/site-0/2025-07-01/1",
            "history.rate/2023/site-0",
        ] {
            assert!(!shows(name), "{name}");
        }
    }

    #[test]
    fn of_many_sites_only_what_is_printed_is_traced_in_print() {
        let shows = |sites: usize, name: &str| {
            let mut sample = Recipe::new(sites, 30).build();
            let whole = sample.ledger.get("removal.wet-mass-converted").unwrap();
            let of_site = crate::figure::Figure {
                name: "removal.wet-mass-converted/site-1".into(),
                ..whole.clone()
            };
            sample.ledger.add(of_site);
            super::figures(&sample.ledger, &sample.season)
                .figures
                .iter()
                .any(|figure| figure.name == name)
        };
        assert!(shows(12, "removal.wet-mass-converted/site-1"));
        assert!(!shows(13, "removal.wet-mass-converted/site-1"));
        assert!(shows(13, "effort.person-hours/site-1"));
        assert!(shows(13, "removal.wet-mass-converted"));
        assert!(!shows(101, "effort.person-hours/site-1"));
        assert!(shows(101, "effort.person-hours"));
    }

    #[test]
    fn of_very_many_parts_some_are_traced_and_the_others_counted() {
        let mut sample = Recipe::new(2, 6).build();
        let model = sample.ledger.get("effort.pulls").unwrap().clone();
        for number in 0..130 {
            sample.ledger.add(crate::figure::Figure {
                name: format!("stratum.plants/kind-{number:03}/rosette"),
                ..model.clone()
            });
        }
        sample.ledger.deliverables[0].figure = "stratum.plants/kind-129/rosette".into();
        let traced = super::figures(&sample.ledger, &sample.season);
        let of_strata = |name: &str| name.starts_with("stratum.plants/");
        let shown: Vec<&str> = traced
            .figures
            .iter()
            .map(|figure| figure.name.as_str())
            .filter(|name| of_strata(name))
            .collect();
        // A hundred, and the one that is promised.
        assert_eq!(shown.len(), 101);
        assert_eq!(shown.last(), Some(&"stratum.plants/kind-129/rosette"));
        assert_eq!(traced.more.get("stratum.plants"), Some(&29));
        assert_eq!(traced.more.len(), 1);
    }

    #[test]
    fn figures_of_sites_that_are_not_shown_are_held_where_a_text_asks() {
        let mut sample = Recipe::new(110, 30).build();
        let model = sample.ledger.get("effort.pulls").unwrap().clone();
        let ids: Vec<String> = sample
            .season
            .ground
            .sites
            .iter()
            .map(|site| site.id.to_string())
            .collect();
        for (at, id) in ids.iter().enumerate() {
            sample.ledger.add(crate::figure::Figure {
                name: format!("density.made/pass-1/{id}"),
                outturn: crate::figure::Outturn::Exact(at as f64),
                ..model.clone()
            });
        }
        let shown = super::sites(&sample.season, &sample.ledger);
        let hidden: Vec<&String> = ids
            .iter()
            .filter(|id| !shown.iter().any(|site| site.id.as_str() == id.as_str()))
            .collect();
        assert_eq!(hidden.len(), 10);
        let held = |own: &[(&str, String)]| -> Vec<String> {
            let own = own
                .iter()
                .map(|(path, text)| ((*path).to_owned(), text.clone()))
                .collect();
            super::to_look_up(&sample.ledger, &sample.season, &own)
                .filter(|figure| figure.stem() == "density.made")
                .map(|figure| figure.name.clone())
                .collect()
        };
        assert_eq!(held(&[]).len(), 100);
        let asking = format!("#let asked = \"{}\"", hidden[9]);
        let held = held(&[("/own/asking.typ", asking)]);
        assert!(held.contains(&format!("density.made/pass-1/{}", hidden[9])));
        assert!(held.len() < 110, "{held:?}");
    }

    #[test]
    fn of_very_many_sites_those_with_the_most_hours_are_shown() {
        let few = Recipe::new(100, 30).build();
        assert_eq!(super::sites(&few.season, &few.ledger).len(), 100);
        let mut many = Recipe::new(110, 30).build();
        let hours = |value: f64, site: &str| crate::figure::Figure {
            name: format!("effort.person-hours/{site}"),
            outturn: crate::figure::Outturn::Exact(value),
            ..many.ledger.get("effort.person-hours").unwrap().clone()
        };
        let mut ledger = crate::figure::Ledger::default();
        for (at, site) in many.season.ground.sites.iter().enumerate() {
            ledger.add(hours(at as f64, &site.id));
        }
        many.ledger = ledger;
        let shown = super::sites(&many.season, &many.ledger);
        let all = &many.season.ground.sites;
        assert_eq!(shown.len(), 100);
        assert_eq!(shown.first().map(|site| &site.id), Some(&all[10].id));
        assert_eq!(shown.last().map(|site| &site.id), Some(&all[109].id));
    }
}
