//! Which stations to photograph again, and when.

use chrono::NaiveDate;

use crate::season::{Role, Season};

/// A station's plan.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StationPlan {
    pub id: String,
    pub name: Option<String>,
    /// The site's name.
    pub site: Option<String>,
    /// Whole degrees from true north.
    pub bearing: Option<u16>,
    /// Day of the earliest picture before, this season.
    pub before: Option<NaiveDate>,
    /// Day of the latest picture after, this season.
    pub after: Option<NaiveDate>,
    /// The latest picture of any kind.
    pub latest: Option<NaiveDate>,
}

pub fn plan(season: &Season) -> Vec<StationPlan> {
    season
        .ground
        .stations
        .iter()
        .map(|station| {
            let days = |role: Option<Role>| {
                season
                    .matches
                    .iter()
                    .filter(|one| one.station.as_deref() == Some(station.id.as_str()))
                    .filter(move |one| role.is_none() || one.role == role)
                    .filter_map(|one| one.local.map(|local| local.date()))
            };
            let site = station.site.as_deref();
            StationPlan {
                id: station.id.to_string(),
                name: station.name.clone(),
                site: site
                    .and_then(|site| season.ground.site(site))
                    .map(|site| site.name.clone())
                    .or_else(|| site.map(str::to_owned)),
                // Checked while reading to lie between 0 and 360.
                bearing: station.bearing.map(|degrees| degrees.round() as u16),
                before: days(Some(Role::Before)).min(),
                after: days(Some(Role::After)).max(),
                latest: days(None).max(),
            }
        })
        .collect()
}
