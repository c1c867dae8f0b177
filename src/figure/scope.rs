//! Whose figures: the season's, or one site's.

use crate::place::{Place, Places};
use crate::season::{Pull, Season, Site};
use crate::words::Words;

use super::core::{Figure, Measure, Outturn};
use super::left_out::{LeftOut, LeftOuts};

/// The pulls that a set of figures is about.
pub struct Scope<'a> {
    pub season: &'a Season,
    pub site: Option<&'a Site>,
    /// Pulls with their numbers in the season's list; those that the log left empty are none.
    pub pulls: Vec<(usize, &'a Pull)>,
}

impl<'a> Scope<'a> {
    pub fn whole(season: &'a Season) -> Self {
        Self {
            season,
            site: None,
            pulls: season
                .pulls
                .iter()
                .enumerate()
                .filter(|(_, pull)| !pull.is_empty())
                .collect(),
        }
    }

    pub fn of_site(season: &'a Season, site: &'a Site) -> Self {
        Self {
            season,
            site: Some(site),
            pulls: season
                .pulls
                .iter()
                .enumerate()
                .filter(|(_, pull)| {
                    !pull.is_empty() && season.site_of(pull).is_some_and(|of| of.id == site.id)
                })
                .collect(),
        }
    }

    /// The season and then its sites in the order of sites.geojson.
    pub fn all(season: &'a Season) -> Vec<Self> {
        std::iter::once(Self::whole(season))
            .chain(
                season
                    .ground
                    .sites
                    .iter()
                    .map(|site| Self::of_site(season, site)),
            )
            .collect()
    }

    /// The same scope with some of its pulls only.
    pub fn only(&self, keep: impl Fn(&Pull) -> bool) -> Self {
        Self {
            season: self.season,
            site: self.site,
            pulls: self
                .pulls
                .iter()
                .filter(|(_, pull)| keep(pull))
                .copied()
                .collect(),
        }
    }

    /// The same scope with the pulls of some numbers only.
    pub fn only_numbers(&self, numbers: &std::collections::BTreeSet<usize>) -> Self {
        Self {
            season: self.season,
            site: self.site,
            pulls: self
                .pulls
                .iter()
                .filter(|(index, _)| numbers.contains(index))
                .copied()
                .collect(),
        }
    }

    pub fn level(&self) -> f64 {
        self.season.settings.method.level
    }

    /// A figure of this scope, still without records.
    pub fn figure(
        &self,
        stem: &str,
        label: impl Into<Words>,
        measure: Measure,
        outturn: Outturn,
        method: impl Into<Words>,
    ) -> Figure {
        let label = label.into();
        let kind = label.clone();
        let (name, label) = match self.site {
            Some(site) => (
                format!("{stem}/{}", site.id),
                label.clone().then(", ", site.name.as_str()),
            ),
            None => (stem.to_owned(), label.clone()),
        };
        Figure {
            name,
            label,
            kind,
            counts: None,
            measure,
            outturn,
            method: method.into(),
            assumptions: Vec::new(),
            places: Places::default(),
            left_out: LeftOuts::default(),
        }
    }
}

impl Figure {
    /// What it and its kin are called together, where its label says more than that.
    pub fn of_kind(mut self, kind: impl Into<Words>) -> Self {
        self.kind = kind.into();
        self
    }

    pub fn resting_on(mut self, places: impl IntoIterator<Item = Place>) -> Self {
        self.places.extend(places);
        self
    }

    pub fn assuming(mut self, assumption: impl Into<Words>) -> Self {
        self.assumptions.push(assumption.into());
        self
    }

    pub fn without(mut self, left_out: impl IntoIterator<Item = LeftOut>) -> Self {
        self.left_out.extend(left_out);
        self
    }
}
