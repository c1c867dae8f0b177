//! What is known of each season, by site and year: from the rows of history, the ledger of the earlier archive, and this season's
//! pulls.
//!
//! Takes a season with its removal, gives [`Seasons`]. A row that can't go in is kept with its reason; which of the others can be
//! compared is decided elsewhere.

use std::collections::{BTreeMap, BTreeSet};

use super::recorded::{Recorded, WHOLE, Year};
use super::{Seasons, earlier};
use crate::estimate::{self, Cluster};
use crate::figure::left_out::LeftOut;
use crate::figure::removal::Removal;
use crate::figure::scope::Scope;
use crate::place::Place;
use crate::season::{Basis, HistoryRow, Pull, Season};
use crate::words;
use crate::words::Words;

impl<'a> Seasons<'a> {
    /// Nothing where there is no history at all, and no earlier archive to take it from.
    pub fn of(season: &'a Season, mass: &'a Removal<'a>, plants: &'a Removal<'a>) -> Option<Self> {
        if season.history.is_empty() && season.earlier_record().is_none() {
            return None;
        }
        let recorded = commonest(season);
        let removal = match recorded {
            Recorded::Mass => Some(mass),
            Recorded::Plants => Some(plants),
            Recorded::Containers(_) => None,
        };
        let mut seasons = Self {
            season,
            recorded,
            by_site: BTreeMap::new(),
            left_out: Vec::new(),
            apart: BTreeMap::new(),
            removal,
        };
        for row in &season.history {
            seasons.take(row);
        }
        seasons.take_ledger();
        let by_site = seasons.by_site.keys().any(|site| site != WHOLE);
        if by_site {
            if let Some(whole) = seasons.by_site.remove(WHOLE) {
                for place in whole.into_values().flat_map(|year| year.places) {
                    seasons.left_out.push((
                        None,
                        LeftOut::new(place, words!("it gives no site, and other rows do")),
                    ));
                }
            }
            for site in &season.ground.sites {
                seasons.add_this_season(&site.id, &Scope::of_site(season, site));
            }
        } else {
            seasons.add_this_season(WHOLE, &Scope::whole(season));
        }
        Some(seasons)
    }

    fn take(&mut self, row: &HistoryRow) {
        let site = match row.site.as_deref() {
            None => Ok(WHOLE.to_owned()),
            Some(name) => self
                .season
                .ground
                .site(name)
                .map(|site| site.id.to_string())
                .ok_or(name),
        };
        let id = site.as_ref().ok().filter(|id| *id != WHOLE).cloned();
        let mut out = |reason: Words| {
            self.left_out
                .push((id.clone(), LeftOut::new(row.row.place(), reason)));
        };
        let site = match site {
            Ok(site) => site,
            Err(name) => return out(words!("{name} is no site of sites.geojson", name)),
        };
        let Some(year) = row.year else {
            return out(words!("its year can't be read"));
        };
        let unit = row.unit.as_deref().map(Recorded::of);
        let why_apart = || {
            words!(
                "{year} is marked as not comparable: {reason}",
                year = year.to_string(),
                reason = match row.reason.as_deref() {
                    Some(reason) => Words::own(reason),
                    None => words!("no reason given"),
                }
            )
        };
        let (Some((kind, factor)), Some(amount), Some(effort)) = (unit, row.removed, row.effort)
        else {
            return out(words!(
                "{year}: what was removed, its unit or the hours are not recorded",
                year = year.to_string()
            ));
        };
        if kind != self.recorded {
            let mut reason = words!(
                "{year} was recorded in {unit}, the other seasons in {others}",
                year = year.to_string(),
                unit = kind.words(),
                others = self.recorded.words()
            );
            if !row.comparable
                && let Some(own) = row.reason.as_deref()
            {
                reason = reason.then("; ", own);
            }
            return out(reason);
        }
        if year >= self.season.settings.year {
            return out(words!(
                "{year} is not before this season",
                year = year.to_string()
            ));
        }
        if effort <= 0.0 {
            return out(words!("{year}: it took no hours", year = year.to_string()));
        }
        let place = row.row.place();
        if row.comparable {
            self.by_site
                .entry(site)
                .or_default()
                .entry(year)
                .or_default()
                .add(amount * factor, effort, [place]);
        } else {
            out(why_apart());
            let apart = self.apart.entry(site).or_default().entry(year);
            let (known, _) = apart.or_insert_with(|| (Year::default(), why_apart()));
            known.add(amount * factor, effort, [place]);
        }
    }

    /// What the ledger of the earlier archive gives where no row does.
    fn take_ledger(&mut self) {
        for one in earlier::of(self.season, &self.recorded) {
            match one.outcome {
                Ok(given) => self
                    .by_site
                    .entry(one.site)
                    .or_default()
                    .entry(one.year)
                    .or_default()
                    .add(given.amount, given.effort, given.places),
                Err(out) => {
                    let site = (one.site != WHOLE).then_some(one.site);
                    self.left_out.push((site, out));
                }
            }
        }
    }

    fn add_this_season(&mut self, site: &str, scope: &Scope<'_>) {
        let (clusters, places, left_out) = self.this_season(scope);
        let year = self.season.settings.year;
        let id = (site != WHOLE).then(|| site.to_owned());
        self.left_out
            .extend(left_out.into_iter().map(|out| (id.clone(), out)));
        let effort = estimate::sum(clusters.iter().map(|cluster| cluster.effort));
        if effort > 0.0 {
            let amount = estimate::sum(clusters.iter().map(|cluster| cluster.amount));
            self.by_site
                .entry(site.to_owned())
                .or_default()
                .entry(year)
                .or_default()
                .add(amount, effort, places);
        }
    }

    /// The season's pulls of which both what came out and the hours are known.
    pub(super) fn this_season(
        &self,
        scope: &Scope<'_>,
    ) -> (Vec<Cluster>, Vec<Place>, Vec<LeftOut>) {
        if let Some(removal) = self.removal {
            let clusters = removal.clusters(scope);
            return (
                clusters.of_pulls.into_iter().map(|(_, one)| one).collect(),
                clusters.places,
                clusters.left_out,
            );
        }
        let mut clusters = Vec::new();
        let mut places = Vec::new();
        let mut left_out = Vec::new();
        for (_, pull) in &scope.pulls {
            match (self.containers(pull), pull.person_hours()) {
                (Some(amount), Some(effort)) if effort > 0.0 => {
                    clusters.push(Cluster { amount, effort });
                    places.extend(pull.places());
                }
                _ => left_out.push(LeftOut::of_pull(
                    pull,
                    words!("its hours or its containers are not recorded"),
                )),
            }
        }
        (clusters, places, left_out)
    }

    /// Containers of the kind that a pull filled; nothing where that is not known for certain.
    fn containers(&self, pull: &Pull) -> Option<f64> {
        let Recorded::Containers(kind) = &self.recorded else {
            return None;
        };
        let mut sum = 0.0;
        for row in &pull.rows {
            let containers = row.containers?;
            if containers > 0.0 && (row.basis == Some(Basis::Guessed) || row.container.is_none()) {
                return None;
            }
            if row.container.as_deref() == Some(kind) {
                sum += containers;
            }
        }
        Some(sum)
    }
}

/// What most seasons that may be compared were recorded in; of equals a mass before plants before containers.
fn commonest(season: &Season) -> Recorded {
    let mut years: BTreeMap<Recorded, BTreeSet<i32>> = BTreeMap::new();
    for row in season.history.iter().filter(|row| row.comparable) {
        if let (Some(unit), Some(year)) = (row.unit.as_deref(), row.year) {
            years.entry(Recorded::of(unit).0).or_default().insert(year);
        }
    }
    years
        .into_iter()
        // The first of equals: `max_by_key` gives the last.
        .rev()
        .max_by_key(|(_, years)| years.len())
        .map_or(Recorded::Mass, |(kind, _)| kind)
}
