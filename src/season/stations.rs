//! Photos from fixed stations: before and after of this season, and the same view in other years.
//!
//! Takes a season, gives numbers of photos. Which photo belongs to which station is the matching's to say. Must not judge a pair.

use std::collections::BTreeMap;

use chrono::{Datelike, NaiveDateTime};
use geo::{Distance, Geodesic};
use serde::Serialize;

use super::matching::{STATION_BEARING_DEGREES, bearing_difference};
use super::{PhotoMatch, Role, Season};

/// The photos of one station that tell before from after.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StationPair {
    /// The station's id.
    pub station: String,
    /// Numbers into the season's matches: the earliest *before*, the latest *after*, both of the season's year.
    pub before: Option<usize>,
    pub after: Option<usize>,
    /// The same view in other years, a photo a year, in the order of years: the one whose day of the year is nearest to that of the
    /// *after*, or else of the *before*.
    pub other_years: Vec<usize>,
}

/// The pairs of all stations that have any photo, in the order of sites.geojson.
pub fn station_pairs(season: &Season) -> Vec<StationPair> {
    season
        .ground
        .stations
        .iter()
        .filter_map(|station| {
            let own: Vec<(NaiveDateTime, &PhotoMatch)> = season
                .matches
                .iter()
                .filter(|one| one.station.as_deref() == Some(station.id.as_str()))
                .filter_map(|one| one.local.map(|local| (local, one)))
                .collect();
            let of_role = |role: Role| {
                own.iter()
                    .filter(move |(local, one)| {
                        one.role == Some(role) && is_of_season(season, *local)
                    })
                    .map(|(local, one)| (*local, one.photo))
            };
            let before = of_role(Role::Before).min();
            let after = of_role(Role::After).max();
            if before.is_none() && after.is_none() {
                return None;
            }
            let like = after.or(before).map(|(local, _)| local)?;
            Some(StationPair {
                station: station.id.to_string(),
                before: before.map(|(_, photo)| photo),
                after: after.map(|(_, photo)| photo),
                other_years: other_years(season, &own, like),
            })
        })
        .collect()
}

/// Was it taken in the season's year? A season may run over the turn of a year.
fn is_of_season(season: &Season, local: NaiveDateTime) -> bool {
    let settings = &season.settings;
    (settings.starts.year()..=settings.ends.year()).contains(&local.year())
}

fn other_years(
    season: &Season,
    own: &[(NaiveDateTime, &PhotoMatch)],
    like: NaiveDateTime,
) -> Vec<usize> {
    let mut years: BTreeMap<i32, (u32, usize)> = BTreeMap::new();
    for (local, one) in own {
        if is_of_season(season, *local) {
            continue;
        }
        let apart = local.ordinal().abs_diff(like.ordinal());
        let candidate = (apart.min(365u32.abs_diff(apart)), one.photo);
        years
            .entry(local.year())
            .and_modify(|best| *best = candidate.min(*best))
            .or_insert(candidate);
    }
    years.into_values().map(|(_, photo)| photo).collect()
}

/// How two photos of one station differ in place and direction.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PairDifference {
    /// Metres between the two positions that the photos state.
    pub apart_m: Option<f64>,
    /// What both positions may be off together.
    pub error_m: f64,
    /// Degrees between the two directions.
    pub turned: Option<f64>,
}

impl PairDifference {
    pub fn is_apart(&self) -> bool {
        self.apart_m.is_some_and(|apart| apart > self.error_m)
    }

    pub fn is_turned(&self) -> bool {
        self.turned
            .is_some_and(|turned| turned > STATION_BEARING_DEGREES)
    }
}

/// Compares two photos by their numbers. Only positions that the photos state themselves count.
pub fn pair_difference(season: &Season, a: usize, b: usize) -> Option<PairDifference> {
    let placed = |index: usize| {
        let placed = season.matches.get(index)?.placed.as_ref()?;
        placed.is_measured().then_some(placed)
    };
    let bearing = |index: usize| {
        let bearing = season.photos.get(index)?.bearing?;
        Some(bearing.degrees)
    };
    season.matches.get(a)?;
    season.matches.get(b)?;
    let both = placed(a).zip(placed(b));
    Some(PairDifference {
        apart_m: both.map(|(a, b)| Geodesic.distance(a.point(), b.point())),
        error_m: both.map_or(0.0, |(a, b)| a.error_m + b.error_m),
        turned: bearing(a)
            .zip(bearing(b))
            .map(|(a, b)| bearing_difference(a, b)),
    })
}
