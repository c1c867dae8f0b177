//! Evidence: how much of what the log says is borne out by photos, weighings and tracks.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;
use geo::BoundingRect;
use serde::Serialize;

use super::core::{Figure, Measure, Outturn};
use super::scope::Scope;
use crate::phrase;
use crate::place::Place;
use crate::season::{Basis, Pull, Season, Support, distance_to, value};
use crate::shared::Shared;
use crate::words;
use crate::words::Words;

/// How near a track has to come to a site's outline to have been there: a boat lands beside the bed, and a satellite receiver is a
/// few metres off (common practice, no source).
const TRACK_REACH_M: f64 = 50.0;

/// A degree of latitude is never shorter than this, and one of longitude never longer at the equator.
const METRES_A_DEGREE: f64 = 110_000.0;

/// What photos show of a pull, the strongest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum PhotoEvidence {
    /// A photo was taken at the pull's site on its day, by the photo's own position, or a track's at that moment.
    PositionAndTime,
    /// A photo was taken on the day and does not say where; or a person says that it belongs to the pull.
    TimeAlone,
    /// There is no photo.
    None,
}

impl PhotoEvidence {
    pub fn word(self) -> &'static str {
        match self {
            Self::PositionAndTime => phrase!("position and time"),
            Self::TimeAlone => phrase!("time alone"),
            Self::None => phrase!("none"),
        }
    }
}

/// How well a pull is borne out by something other than the log, the best first. The scale is this project's own.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub enum EvidenceGrade {
    /// Two kinds bear it out, one of them by place and time: a photo and a weighing, a photo and a track, a track and a weighing.
    A,
    /// One kind bears out place and time: a photo, or a track.
    B,
    /// Something bears it out, but not where: a photo by its time alone or by a person's word, or a weighing.
    C,
    /// The log alone.
    D,
}

impl EvidenceGrade {
    pub const ALL: [Self; 4] = [Self::A, Self::B, Self::C, Self::D];

    pub fn letter(self) -> &'static str {
        match self {
            Self::A => "A",
            Self::B => "B",
            Self::C => "C",
            Self::D => "D",
        }
    }

    /// What the letter means, for a legend.
    pub fn meaning(self) -> &'static str {
        match self {
            Self::A => {
                phrase!(
                    "place and time by a photo or a track, and a second kind of evidence beside it"
                )
            }
            Self::B => phrase!("place and time by a photo or a track alone"),
            Self::C => phrase!("a weighing, or photos that don't say where"),
            Self::D => phrase!("the log alone"),
        }
    }

    fn of(photo: PhotoEvidence, weighed: bool, tracked: bool) -> Self {
        let placed = photo == PhotoEvidence::PositionAndTime;
        if (placed && (weighed || tracked)) || (tracked && weighed) {
            Self::A
        } else if placed || tracked {
            Self::B
        } else if weighed || photo == PhotoEvidence::TimeAlone {
            Self::C
        } else {
            Self::D
        }
    }
}

/// What bears one pull out.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct PullEvidence {
    /// The pull's id.
    pub pull: String,
    pub grade: EvidenceGrade,
    pub photo: PhotoEvidence,
    /// Numbers of its photos in the season's list.
    pub photos: Vec<usize>,
    /// Was a container or a row of it weighed?
    pub weighed: bool,
    /// Files of tracks that came to the site on the day.
    pub tracks: Vec<String>,
}

/// The evidence of every pull that holds anything, in the order of the log.
pub fn pull_evidence(season: &Season) -> Vec<PullEvidence> {
    let backing = Backing::of(season);
    season
        .pulls
        .iter()
        .filter(|pull| !pull.is_empty())
        .map(|pull| backing.evidence(season, pull))
        .collect()
}

/// What bears the pulls of a season out.
pub struct Backing {
    /// Numbers of the photos of each pull, by its id, folded.
    photos: BTreeMap<String, Vec<usize>>,
    /// Ids, folded, of pulls of which a photo was taken at the site on the day, by its own position and time.
    photographed: BTreeSet<String>,
    /// Ids, folded, of pulls of which a container or a row was weighed.
    weighed: BTreeSet<String>,
    /// Sites and days on which a track with times came to the site, with the track's file.
    tracked: BTreeSet<(Shared, NaiveDate, Shared)>,
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
        let mut photos: BTreeMap<String, Vec<usize>> = BTreeMap::new();
        for one in season.matches.iter() {
            if let Some(pull) = one.pull.as_deref() {
                photos.entry(value::fold(pull)).or_default().push(one.photo);
            }
        }
        Self {
            photos,
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

    /// All that bears a pull out, with its grade.
    pub fn evidence(&self, season: &Season, pull: &Pull) -> PullEvidence {
        let mut tracks: Vec<String> = self
            .tracks(season, pull)
            .into_iter()
            .map(str::to_owned)
            .collect();
        tracks.dedup();
        let photos = self
            .photos
            .get(&value::fold(&pull.id))
            .cloned()
            .unwrap_or_default();
        let photo = if self.photographed(pull) {
            PhotoEvidence::PositionAndTime
        } else if photos.is_empty() {
            PhotoEvidence::None
        } else {
            PhotoEvidence::TimeAlone
        };
        let weighed = self.weighed(pull);
        PullEvidence {
            pull: pull.id.to_string(),
            grade: EvidenceGrade::of(photo, weighed, !tracks.is_empty()),
            photo,
            photos,
            weighed,
            tracks,
        }
    }

    /// The files of the tracks that bear a pull out.
    pub fn tracks(&self, season: &Season, pull: &Pull) -> Vec<&str> {
        let (Some(site), Some(date)) = (season.site_of(pull), pull.date()) else {
            return Vec::new();
        };
        self.tracked
            .range((site.id.clone(), date, Shared::default())..)
            .take_while(|(id, day, _)| *id == site.id && *day == date)
            .map(|(_, _, file)| file.as_str())
            .collect()
    }
}

fn tracks(season: &Season) -> BTreeSet<(Shared, NaiveDate, Shared)> {
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
        Outturn::Refused(words!("There are no person-hours to take a share of."))
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
    let mut figures = vec![
        scope.figure(
            "evidence.photos",
            words!("Photos"),
            Measure::Count,
            count(photos),
            words!("Count of picture files below photos/."),
        ),
        scope
            .figure(
                "evidence.pulls-with-photo",
                words!("Pulls with a photo in place and time"),
                Measure::Count,
                count(with_photo.len()),
                words!("Pulls of which a photo was taken at the site on the day, by the photo's own position and time."),
            )
            .resting_on(places(&with_photo)),
        scope
            .figure(
                "evidence.pulls-with-track",
                words!("Pulls with a track in place and time"),
                Measure::Count,
                count(with_track.len()),
                words!("Pulls on whose day a track with times came within 50 m of the site."),
            )
            .resting_on(places(&with_track).into_iter().chain(track_files)),
        scope
            .figure(
                "evidence.effort-share",
                words!("Share of person-hours backed by a photo, a weighing or a track"),
                Measure::Percent,
                share,
                words!("Person-hours of pulls with a photo in place and time, with a weighing, or with a track in place and time, over all \
                 person-hours."),
            )
            .resting_on(places(&backed)),
    ];
    figures.extend(EvidenceGrade::ALL.map(|grade| {
        let pulls = of(&|pull| backing.evidence(season, pull).grade == grade);
        scope
            .figure(
                &format!("evidence.pulls-grade-{}", grade.letter().to_lowercase()),
                words!("Pulls of evidence grade {letter}", letter = grade.letter()),
                Measure::Count,
                count(pulls.len()),
                words!(
                    "Pulls that are borne out by: {meaning}.",
                    meaning = Words::fixed(grade.meaning())
                ),
            )
            .resting_on(places(&pulls))
    }));
    figures
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_kinds_are_better_than_one_and_place_is_better_than_time() {
        use EvidenceGrade::{A, B, C, D};
        use PhotoEvidence::{None, PositionAndTime, TimeAlone};
        for (photo, weighed, tracked, expected) in [
            (PositionAndTime, true, true, A),
            (PositionAndTime, true, false, A),
            (PositionAndTime, false, true, A),
            (TimeAlone, true, true, A),
            (PositionAndTime, false, false, B),
            (None, false, true, B),
            (TimeAlone, false, true, B),
            (TimeAlone, true, false, C),
            (TimeAlone, false, false, C),
            (None, true, false, C),
            (None, false, false, D),
        ] {
            assert_eq!(EvidenceGrade::of(photo, weighed, tracked), expected);
        }
    }
}
