//! Which figures the funder edition prints, and so has to trace to their records.
//!
//! The ledger holds more: by month, by stage, by pass, and what follows from suppositions. Those stand in the attached ledger, unless
//! a promise or the coordinator's prose names one.

use std::collections::BTreeSet;

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

/// The figures that the edition prints, in the order of their names.
pub fn figures<'a>(ledger: &'a Ledger, season: &Season) -> Vec<&'a Figure> {
    let promised: BTreeSet<&str> = ledger
        .deliverables
        .iter()
        .map(|deliverable| deliverable.figure.as_str())
        .collect();
    ledger
        .figures()
        .filter(|figure| {
            usual(figure) && !unprinted_of_site(figure, season)
                || promised.contains(figure.name.as_str())
                || season
                    .narrative
                    .iter()
                    .any(|section| section.text.contains(&format!("\"{}\"", figure.name)))
        })
        .collect()
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
        let shown = super::figures(&sample.ledger, &sample.season);
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
