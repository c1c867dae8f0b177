//! Evidence: how much of what the log says is borne out by photos, weighings and tracks.

use std::collections::BTreeSet;

use chrono::NaiveDate;
use geo::BoundingRect;

use super::core::{Figure, Measure, Outturn};
use super::scope::Scope;
use crate::place::Place;
use crate::season::{Basis, Pull, Season, Support, distance_to, value};

/// How near a track has to come to a site's outline to have been there: a boat lands beside the bed, and a satellite receiver is a
/// few metres off (common practice, no source).
const TRACK_REACH_M: f64 = 50.0;

/// A degree of latitude is never shorter than this, and one of longitude never longer at the equator.
const METRES_A_DEGREE: f64 = 110_000.0;

/// What bears the pulls of a season out.
pub struct Backing {
    /// Ids, folded, of pulls of which a photo was taken at the site on the day, by its own position and time.
    photographed: BTreeSet<String>,
    /// Ids, folded, of pulls of which a container or a row was weighed.
    weighed: BTreeSet<String>,
    /// Sites and days on which a track with times came to the site, with the track's file.
    tracked: BTreeSet<(String, NaiveDate, String)>,
}

impl Backing {
    pub fn of(season: &Season) -> Self {
        let photographed = season
            .matches
            .iter()
            .filter(|one| one.support == Support::PositionAndTime)
            .filter_map(|one| one.pull.as_deref())
            .map(value::fold)
            .collect();
        let weighed_containers = season
            .weighings
            .iter()
            .filter_map(|weighing| weighing.pull.as_deref());
        let weighed_rows = season
            .pulls
            .iter()
            .filter(|pull| {
                pull.rows
                    .iter()
                    .any(|row| row.basis == Some(Basis::Weighed))
            })
            .map(|pull| pull.id.as_str());
        Self {
            photographed,
            weighed: weighed_containers
                .chain(weighed_rows)
                .map(value::fold)
                .collect(),
            tracked: tracks(season),
        }
    }

    pub fn photographed(&self, pull: &Pull) -> bool {
        self.photographed.contains(&value::fold(&pull.id))
    }

    pub fn weighed(&self, pull: &Pull) -> bool {
        self.weighed.contains(&value::fold(&pull.id))
    }

    /// The files of the tracks that bear a pull out.
    pub fn tracks(&self, season: &Season, pull: &Pull) -> Vec<&str> {
        let (Some(site), Some(date)) = (season.site_of(pull), pull.date()) else {
            return Vec::new();
        };
        self.tracked
            .range((site.id.clone(), date, String::new())..)
            .take_while(|(id, day, _)| *id == site.id && *day == date)
            .map(|(_, _, file)| file.as_str())
            .collect()
    }
}

fn tracks(season: &Season) -> BTreeSet<(String, NaiveDate, String)> {
    let mut found = BTreeSet::new();
    for site in &season.ground.sites {
        let Some(bounds) = site.outline.bounding_rect() else {
            continue;
        };
        // A box around the outline, wide enough at any latitude: most points are told by it alone.
        let up = TRACK_REACH_M / METRES_A_DEGREE;
        let middle = 0.5 * (bounds.min().y + bounds.max().y);
        let across = up / middle.to_radians().cos().max(1e-3);
        for track in &season.tracks {
            for point in &track.points {
                let (x, y) = (point.point.x(), point.point.y());
                let near = x >= bounds.min().x - across
                    && x <= bounds.max().x + across
                    && y >= bounds.min().y - up
                    && y <= bounds.max().y + up;
                let Some(time) = point.time.filter(|_| near) else {
                    continue;
                };
                let day = time.with_timezone(&season.settings.time_zone).date_naive();
                let visit = (site.id.clone(), day, track.file.clone());
                if !found.contains(&visit)
                    && distance_to(&site.outline, point.point) <= TRACK_REACH_M
                {
                    found.insert(visit);
                }
            }
        }
    }
    found
}

/// Figures of evidence of a scope.
pub fn figures(scope: &Scope<'_>, backing: &Backing) -> Vec<Figure> {
    let season = scope.season;
    let of = |wanted: &dyn Fn(&Pull) -> bool| -> Vec<&Pull> {
        scope
            .pulls
            .iter()
            .map(|(_, pull)| *pull)
            .filter(|pull| wanted(pull))
            .collect()
    };
    let places =
        |pulls: &[&Pull]| -> Vec<Place> { pulls.iter().flat_map(|pull| pull.places()).collect() };
    let hours =
        |pulls: &[&Pull]| crate::estimate::sum(pulls.iter().filter_map(|pull| pull.person_hours()));
    let with_photo = of(&|pull| backing.photographed(pull));
    let with_track = of(&|pull| !backing.tracks(season, pull).is_empty());
    let backed = of(&|pull| {
        backing.photographed(pull)
            || backing.weighed(pull)
            || !backing.tracks(season, pull).is_empty()
    });
    let track_files = with_track
        .iter()
        .flat_map(|pull| backing.tracks(season, pull))
        .map(Place::whole);
    let all = hours(&of(&|_| true));
    let share = if all > 0.0 {
        Outturn::Exact(100.0 * hours(&backed) / all)
    } else {
        Outturn::Refused("There are no person-hours to take a share of.".into())
    };
    let photos = season
        .matches
        .iter()
        .filter(|one| match scope.site {
            Some(site) => one.site.as_deref() == Some(site.id.as_str()),
            None => true,
        })
        .count();
    // Exact for any number of files and pulls.
    let count = |number: usize| Outturn::Exact(number as f64);
    vec![
        scope.figure(
            "evidence.photos",
            "Photos",
            Measure::Count,
            count(photos),
            "Count of picture files below photos/.",
        ),
        scope
            .figure(
                "evidence.pulls-with-photo",
                "Pulls with a photo in place and time",
                Measure::Count,
                count(with_photo.len()),
                "Pulls of which a photo was taken at the site on the day, by the photo's own position and time.",
            )
            .resting_on(places(&with_photo)),
        scope
            .figure(
                "evidence.pulls-with-track",
                "Pulls with a track in place and time",
                Measure::Count,
                count(with_track.len()),
                "Pulls on whose day a track with times came within 50 m of the site.",
            )
            .resting_on(places(&with_track).into_iter().chain(track_files)),
        scope
            .figure(
                "evidence.effort-share",
                "Share of person-hours backed by a photo, a weighing or a track",
                Measure::Percent,
                share,
                "Person-hours of pulls with a photo in place and time, with a weighing, or with a track in place and time, over all \
                 person-hours.",
            )
            .resting_on(places(&backed)),
    ]
}
