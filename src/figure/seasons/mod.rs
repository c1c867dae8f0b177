//! This season beside earlier ones: the catch per person-hour year by year, and its trend.
//!
//! Only like is held against like: one unit, the same sites in every year, and no season that the group marked as not comparable.
//! What is left out is named with its reason.
//!
//! The way through: history, the `earlier` archive's ledger and this season's pulls are gathered by site and year (`gathering`); which
//! sites and years can stand beside each other is decided (`comparison`); their `rates` and `trend` are figures.

mod comparison;
mod earlier;
mod gathering;
mod rates;
mod recorded;
mod trend;

use std::collections::{BTreeMap, BTreeSet};

use super::core::Figure;
use super::left_out::LeftOut;
use super::removal::Removal;
use super::scope::Scope;
use crate::place::{Place, Spot};
use crate::season::{Season, Site};
use crate::words::Words;

pub use recorded::{Recorded, season_rows};
use recorded::{WHOLE, Year};

/// The seasons as they can be compared.
pub struct Seasons<'a> {
    season: &'a Season,
    pub recorded: Recorded,
    /// Site's id (or the whole) → year → what came out, this season included.
    by_site: BTreeMap<String, BTreeMap<i32, Year>>,
    /// Rows that can't go in, with the site that they name.
    left_out: Vec<(Option<String>, LeftOut)>,
    /// Years marked as not comparable that give a rate in the same unit all the same.
    apart: BTreeMap<String, BTreeMap<i32, (Year, Words)>>,
    removal: Option<&'a Removal<'a>>,
}

impl<'a> Seasons<'a> {
    fn site(&self, id: &str) -> Option<&'a Site> {
        self.season.ground.sites.iter().find(|site| site.id == id)
    }
}

/// A season's name for figures, and its scope.
fn scopes<'a>(seasons: &'a Seasons<'_>) -> Vec<(Option<&'a Site>, BTreeSet<&'a str>)> {
    let boundary = seasons.boundary();
    let mut scopes = vec![(None, boundary)];
    for id in seasons.by_site.keys().filter(|id| *id != WHOLE) {
        scopes.push((seasons.site(id), BTreeSet::from([id.as_str()])));
    }
    scopes
}

/// The rates of all seasons, and their trend, overall and by site.
pub fn figures(seasons: &Seasons<'_>) -> Vec<Figure> {
    scopes(seasons)
        .iter()
        .flat_map(|(site, sites)| of_scope(seasons, *site, sites))
        .collect()
}

fn of_scope(seasons: &Seasons<'_>, site: Option<&Site>, sites: &BTreeSet<&str>) -> Vec<Figure> {
    let scope = Scope {
        site,
        ..Scope::whole(seasons.season)
    };
    let years = seasons.comparable(sites);
    let mut figures = rates::figures(seasons, &scope, sites, &years);
    figures.extend(trend::figures(seasons, &scope, sites, &years));
    figures
}

/// Whether it stands in the ledger of an earlier archive.
fn is_figure(place: &Place) -> bool {
    matches!(place.spot, Spot::Figure(_))
}
