//! Which photos are printed, and where pulls stand on the map.
//!
//! Takes a season with its matches. Station pairs come first; then what photos.csv asks for; where it asks for nothing, one catch, one
//! crew and one disposal photo a site. Never a photo that is withheld, or whose people did not consent.

use std::collections::BTreeSet;

use geo::{Centroid, Distance, Geodesic, Point};

use super::input::{Pair, PairGrade, Plates, PullMark, Shot, Single};
use crate::photo::Photo;
use crate::season::{
    ASSUMED_POSITION_ERROR_M, Consent, PhotoMatch, Role, STATION_BEARING_DEGREES, Season,
    bearing_difference, station_pairs,
};

/// May the photo be printed at all?
fn may_be_shown(season: &Season, photo: &Photo) -> bool {
    season
        .note_on(&photo.path)
        .is_none_or(|note| !note.withheld && note.consent != Some(Consent::No))
}

/// Does photos.csv keep the photo out of print?
fn kept_out(season: &Season, photo: &Photo) -> bool {
    season
        .note_on(&photo.path)
        .is_some_and(|note| note.plate == Some(false))
}

fn taken(one: &PhotoMatch) -> Option<String> {
    one.local
        .map(|local| local.format("%-d %B %Y, %H:%M").to_string())
}

fn caption(season: &Season, photo: &Photo) -> Option<String> {
    season.note_on(&photo.path)?.caption.clone()
}

/// The photos to print.
pub fn plates(season: &Season) -> Plates {
    let mut plates = Plates::default();
    let mut used = BTreeSet::new();
    for found in station_pairs(season) {
        let (Some(before), Some(after)) = (found.before, found.after) else {
            continue;
        };
        let Some(pair) = pair(season, &found.station, before, after) else {
            continue;
        };
        used.insert(before);
        used.insert(after);
        plates.pairs.push(pair);
    }
    plates.singles = singles(season, &used);
    plates
}

fn pair(season: &Season, station: &str, before: usize, after: usize) -> Option<Pair> {
    let (photo_before, photo_after) = (season.photos.get(before)?, season.photos.get(after)?);
    let shown = |photo| may_be_shown(season, photo) && !kept_out(season, photo);
    if !shown(photo_before) || !shown(photo_after) {
        return None;
    }
    let shot = |photo: &Photo, one: &PhotoMatch| Shot {
        photo: photo.path.clone(),
        taken: taken(one).unwrap_or_default(),
        bearing: photo.bearing.map(|bearing| bearing.degrees),
    };
    let (match_before, match_after) = (season.matches.get(before)?, season.matches.get(after)?);
    let point = |photo: &Photo| {
        photo
            .position
            .map(|position| Point::new(position.longitude, position.latitude))
    };
    let distance = point(photo_before)
        .zip(point(photo_after))
        .map(|(a, b)| Geodesic.distance(a, b));
    let (grade, reason) = grade(photo_before, photo_after, distance);
    let captions: Vec<String> = [photo_before, photo_after]
        .iter()
        .filter_map(|photo| caption(season, photo))
        .collect();
    Some(Pair {
        station: station.to_owned(),
        site: match_before.site.clone().or(match_after.site.clone()),
        before: shot(photo_before, match_before),
        after: shot(photo_after, match_after),
        distance,
        grade,
        reason,
        caption: (!captions.is_empty()).then(|| captions.join(". ")),
    })
}

/// A pair is matched when both photos say the same place and the same view, partial when one of the two can't be told or is a
/// little off, illustrative when they differ.
fn grade(before: &Photo, after: &Photo, distance: Option<f64>) -> (PairGrade, String) {
    let turned = before
        .bearing
        .zip(after.bearing)
        .map(|(a, b)| bearing_difference(a.degrees, b.degrees));
    let error = |photo: &Photo| {
        photo
            .position
            .and_then(|position| position.error_m)
            .unwrap_or(ASSUMED_POSITION_ERROR_M)
    };
    let reach = error(before) + error(after);
    match (turned, distance) {
        (Some(turned), _) if turned > STATION_BEARING_DEGREES => (
            PairGrade::Illustrative,
            format!("The two look {turned:.0} degrees apart."),
        ),
        (_, Some(distance)) if distance > 2.0 * reach => (
            PairGrade::Illustrative,
            format!(
                "The two were taken {distance:.0} m apart, and their positions may be off by {reach:.0} m together."
            ),
        ),
        (Some(_), Some(distance)) if distance <= reach => (
            PairGrade::Matched,
            "Same mark within the positions' own error, same direction.".to_owned(),
        ),
        (Some(_), Some(distance)) => (
            PairGrade::Partial,
            format!(
                "Same direction; taken {distance:.0} m apart, more than the positions' own error of {reach:.0} m."
            ),
        ),
        (None, Some(_)) => (
            PairGrade::Partial,
            "The direction is not recorded in both photos.".to_owned(),
        ),
        (_, None) => (
            PairGrade::Partial,
            "The position is not recorded in both photos.".to_owned(),
        ),
    }
}

/// Roles that stand by themselves, in the order of printing.
const SINGLE_ROLES: [Role; 3] = [Role::Catch, Role::Crew, Role::Disposal];

fn singles(season: &Season, used: &BTreeSet<usize>) -> Vec<Single> {
    let candidates: Vec<&PhotoMatch> = season
        .matches
        .iter()
        .filter(|one| !used.contains(&one.photo))
        .filter(|one| {
            season
                .photos
                .get(one.photo)
                .is_some_and(|photo| may_be_shown(season, photo) && !kept_out(season, photo))
        })
        .collect();
    let asked: Vec<&PhotoMatch> = candidates
        .iter()
        .copied()
        .filter(|one| {
            season
                .photos
                .get(one.photo)
                .and_then(|photo| season.note_on(&photo.path))
                .is_some_and(|note| note.plate == Some(true))
        })
        .collect();
    let chosen = if asked.is_empty() {
        by_rule(season, &candidates)
    } else {
        asked
    };
    chosen
        .into_iter()
        .filter_map(|one| {
            let photo = season.photos.get(one.photo)?;
            Some(Single {
                photo: photo.path.clone(),
                taken: taken(one),
                site: one.site.clone(),
                role: one.role,
                caption: caption(season, photo),
            })
        })
        .collect()
}

/// One photo of each role a site: the first in time, so that a second run chooses the same.
fn by_rule<'a>(season: &Season, candidates: &[&'a PhotoMatch]) -> Vec<&'a PhotoMatch> {
    let mut chosen = Vec::new();
    for site in &season.ground.sites {
        for role in SINGLE_ROLES {
            let first = candidates
                .iter()
                .copied()
                .filter(|one| {
                    one.site.as_deref() == Some(site.id.as_str()) && one.role == Some(role)
                })
                .min_by_key(|one| (one.local, one.photo));
            chosen.extend(first);
        }
    }
    chosen
}

/// Where each pull stands on the map: the middle of its photos' positions, or else of its site's outline.
pub fn marks(season: &Season) -> Vec<PullMark> {
    season
        .pulls
        .iter()
        .filter(|pull| !pull.is_empty())
        .filter_map(|pull| {
            let site = season.site_of(pull);
            let positions: Vec<Point<f64>> = season
                .matches
                .iter()
                // Only a photo taken in place says where the crew was.
                .filter(|one| {
                    one.pull.as_deref() == Some(pull.id.as_str())
                        && one.distance_m.is_some_and(|distance| distance <= 0.0)
                })
                .filter_map(|one| season.photos.get(one.photo)?.position)
                .map(|position| Point::new(position.longitude, position.latitude))
                .collect();
            let middle = if positions.is_empty() {
                site?.outline.centroid()?
            } else {
                geo::MultiPoint::new(positions).centroid()?
            };
            Some(PullMark {
                pull: pull.id.clone(),
                site: site.map(|site| site.id.clone()),
                latitude: middle.y(),
                longitude: middle.x(),
            })
        })
        .collect()
}
