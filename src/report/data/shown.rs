//! Which figures the funder edition prints, and so has to trace to their records.
//!
//! The ledger holds more: by month, by stage, by pass, and what follows from suppositions. Those stand in the attached ledger, unless
//! a promise or the coordinator's prose names one.

use std::collections::BTreeSet;

use crate::figure::{Figure, Ledger};
use crate::season::Season;

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
            usual(figure)
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
}
