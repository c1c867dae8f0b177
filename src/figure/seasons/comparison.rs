//! Which sites and years can stand beside each other, and why others can't.
//!
//! Takes the seasons as gathered, gives the years that all compared sites have in common. Must not compute a rate.

use std::collections::{BTreeMap, BTreeSet};

use super::Seasons;
use super::recorded::Year;
use crate::figure::left_out::LeftOut;
use crate::words;

impl Seasons<'_> {
    /// The sites over which the seasons are compared as a whole: those of this season with as many years in common as three at
    /// least, where that can be had by leaving out the sites with the fewest years.
    pub fn boundary(&self) -> BTreeSet<&str> {
        let this_year = self.season.settings.year;
        let all: BTreeSet<&str> = self
            .by_site
            .iter()
            .filter(|(_, years)| years.contains_key(&this_year))
            .map(|(site, _)| site.as_str())
            .collect();
        // A trend needs this many seasons.
        const FEWEST: usize = 3;
        let mut sites = all.clone();
        while sites.len() > 1 && self.common_years(&sites).len() < FEWEST {
            let years_of = |site: &&str| self.by_site.get(*site).map_or(0, BTreeMap::len);
            match sites.iter().copied().min_by_key(years_of) {
                Some(fewest) => sites.remove(fewest),
                None => break,
            };
        }
        if self.common_years(&sites).len() < FEWEST {
            return all;
        }
        sites
    }

    fn common_years(&self, sites: &BTreeSet<&str>) -> BTreeSet<i32> {
        let mut of_sites = sites.iter().filter_map(|site| self.by_site.get(*site));
        let mut common: BTreeSet<i32> = of_sites
            .next()
            .map(|years| years.keys().copied().collect())
            .unwrap_or_default();
        for years in of_sites {
            common.retain(|year| years.contains_key(year));
        }
        common
    }

    /// The comparable seasons over some sites.
    pub fn comparable(&self, sites: &BTreeSet<&str>) -> BTreeMap<i32, Year> {
        self.common_years(sites)
            .into_iter()
            .map(|year| {
                let mut sum = Year::default();
                for of_site in sites.iter().filter_map(|site| self.by_site.get(*site)) {
                    if let Some(one) = of_site.get(&year) {
                        sum.add(one.amount, one.effort, one.places.iter().cloned());
                    }
                }
                (year, sum)
            })
            .collect()
    }

    /// What is left out of a comparison over some sites.
    pub(super) fn left_out(&self, sites: &BTreeSet<&str>, whole: bool) -> Vec<LeftOut> {
        let mut left_out: Vec<LeftOut> = self
            .left_out
            .iter()
            .filter(|(site, _)| match site {
                Some(site) => whole || sites.contains(site.as_str()),
                None => whole,
            })
            .map(|(_, out)| out.clone())
            .collect();
        if !whole {
            return left_out;
        }
        let common = self.common_years(sites);
        for (id, years) in &self.by_site {
            if !sites.contains(id.as_str()) {
                let name = self.site(id).map_or(id.as_str(), |site| &site.name);
                left_out.extend(years.values().flat_map(|year| &year.places).map(|place| {
                    LeftOut::new(
                        place.clone(),
                        words!(
                            "{name} has no figure in every season that is compared",
                            name
                        ),
                    )
                }));
                continue;
            }
            for (year, of_year) in years.iter().filter(|(year, _)| !common.contains(year)) {
                let lacking: Vec<&str> = sites
                    .iter()
                    .filter(|site| {
                        self.by_site
                            .get(**site)
                            .is_none_or(|years| !years.contains_key(year))
                    })
                    .map(|site| self.site(site).map_or(*site, |site| site.name.as_str()))
                    .collect();
                left_out.extend(of_year.places.iter().map(|place| {
                    LeftOut::new(
                        place.clone(),
                        words!(
                            "{year} has no figure for {sites}, so that it covers other water",
                            year = year.to_string(),
                            sites = lacking.join(", ")
                        ),
                    )
                }));
            }
        }
        left_out
    }
}
