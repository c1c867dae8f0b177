//! Area searched and treated: each square metre once, however often a crew came back.

use crate::place::Place;
use crate::season::{Pull, Season, Site};
use crate::words;
use crate::words::Words;

use super::core::{Figure, Measure, Outturn};
use super::left_out::LeftOut;
use super::scope::Scope;

/// Figures of area of a scope.
pub fn figures(scope: &Scope<'_>) -> Vec<Figure> {
    vec![
        area(
            scope,
            "area.searched",
            words!("Area searched"),
            Pull::searched_area,
        ),
        area(
            scope,
            "area.treated",
            words!("Area treated"),
            Pull::treated_area,
        ),
    ]
}

/// The largest area of any pull at the site, and the rows of the pulls that give one.
pub(super) fn largest(
    season: &Season,
    site: &Site,
    of: fn(&Pull) -> Option<f64>,
) -> Option<(f64, Vec<Place>)> {
    let given: Vec<(f64, &Pull)> = season
        .pulls
        .iter()
        .filter(|pull| season.site_of(pull).is_some_and(|at| at.id == site.id))
        .filter_map(|pull| of(pull).map(|area| (area, pull)))
        .collect();
    let most = given.iter().map(|(area, _)| *area).max_by(f64::total_cmp)?;
    let places = given.iter().flat_map(|(_, pull)| pull.places()).collect();
    Some((most, places))
}

fn area(scope: &Scope<'_>, stem: &str, label: Words, of: fn(&Pull) -> Option<f64>) -> Figure {
    let sites: Vec<&Site> = match scope.site {
        Some(site) => vec![site],
        None => scope.season.ground.sites.iter().collect(),
    };
    let mut sum = 0.0;
    let mut places = Vec::new();
    let mut left_out = Vec::new();
    let mut any = false;
    for site in sites {
        match largest(scope.season, site, of) {
            Some((area, of_site)) => {
                any = true;
                sum += area;
                places.extend(of_site);
            }
            None => left_out.push(LeftOut::new(
                site.place.clone(),
                words!("no pull at {site} gives it", site = &site.name),
            )),
        }
    }
    let outturn = if any {
        Outturn::Exact(sum)
    } else {
        Outturn::Refused(words!("No pull gives it."))
    };
    scope
        .figure(
            stem,
            label,
            Measure::Area,
            outturn,
            words!("For each site the largest area that any of its pulls gives, so that repeat visits are not added up."),
        )
        .assuming(words!("Later visits to a site went over the same water."))
        .resting_on(places)
        .without(left_out)
}
