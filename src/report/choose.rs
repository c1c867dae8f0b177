//! Which photos are printed, and where pulls stand on the map.
//!
//! Takes a season with its matches. Station pairs come first; then what photos.csv asks for; where it asks for nothing, one catch, one
//! crew and one disposal photo a site, by sharpness, exposure and spread over the season. Never a photo that is withheld, whose people
//! did not consent, or that shows people under age without consent.

use std::collections::BTreeSet;

use geo::{Centroid, Point};
use rayon::prelude::*;

use super::input::{Pair, PairGrade, Plates, PullMark, Shot, Single};
use crate::photo::Photo;
use crate::photo::quality::{self, Quality};
use crate::season::{
    PairDifference, PhotoMatch, Role, STATION_BEARING_DEGREES, Season, StationPair,
    pair_difference, showing, station_pairs,
};
use crate::words;
use crate::words::{Words, number};

/// So many photos the auditor edition lists and shows at most: a hundred pages. Each takes the typesetter 180 kB, so that 20,000 of them
/// would not fit into a small computer, nor their thousand pages into a week.
const MOST_PHOTOS: usize = 2_000;

/// One in how many photos is listed and shown, counted from the first.
pub fn one_in(photos: usize) -> usize {
    photos.div_ceil(MOST_PHOTOS).max(1)
}

/// May the photo be printed at all?
fn may_be_shown(season: &Season, photo: &Photo) -> bool {
    showing(season, &photo.path, None).in_closed_editions()
}

/// Does photos.csv keep the photo out of print?
fn kept_out(season: &Season, photo: &Photo) -> bool {
    season
        .note_on(&photo.path)
        .is_some_and(|note| note.plate == Some(false))
}

/// When it was taken, in the season's language; a caption's line may break at any of its spaces.
fn taken(season: &Season, one: &PhotoMatch) -> Option<String> {
    let language = season.settings.report.language;
    one.local.map(|local| {
        let day = words::day(local.date(), language).replace('\u{a0}', " ");
        format!("{day}, {}", local.format("%H:%M"))
    })
}

fn caption(season: &Season, photo: &Photo) -> Option<String> {
    season.note_on(&photo.path)?.caption.clone()
}

/// The caption of a single plate; it says where the place is not the photo's own word.
fn single_caption(season: &Season, photo: &Photo, one: &PhotoMatch) -> Option<String> {
    let by_track = one
        .placed
        .as_ref()
        .is_some_and(|placed| !placed.is_measured())
        .then(|| {
            words!("The place is that of the boat's track at the moment")
                .say(season.settings.report.language)
        });
    let parts: Vec<String> = caption(season, photo).into_iter().chain(by_track).collect();
    (!parts.is_empty()).then(|| parts.join(". "))
}

/// The photos to print.
pub fn plates(season: &Season) -> Plates {
    let mut plates = Plates::default();
    let mut used = BTreeSet::new();
    for found in station_pairs(season) {
        let (Some(before), Some(after)) = (found.before, found.after) else {
            continue;
        };
        let Some(pair) = pair(season, &found, before, after) else {
            continue;
        };
        used.insert(before);
        used.insert(after);
        used.extend(found.other_years.iter().copied());
        plates.pairs.push(pair);
    }
    (plates.singles, plates.by_rule) = singles(season, &used);
    plates
}

fn pair(season: &Season, found: &StationPair, before: usize, after: usize) -> Option<Pair> {
    let (photo_before, photo_after) = (season.photos.get(before)?, season.photos.get(after)?);
    let shown = |photo| may_be_shown(season, photo) && !kept_out(season, photo);
    if !shown(photo_before) || !shown(photo_after) {
        return None;
    }
    let shot = |photo: &Photo, one: &PhotoMatch| Shot {
        photo: photo.path.to_string(),
        taken: taken(season, one).unwrap_or_default(),
        bearing: photo.bearing.map(|bearing| bearing.degrees),
        position: photo
            .position
            .filter(|_| !is_sensitive(season, one))
            .map(|position| (position.latitude, position.longitude)),
    };
    let other_years = found
        .other_years
        .iter()
        .filter_map(|index| season.photos.get(*index).zip(season.matches.get(*index)))
        .filter(|(photo, _)| shown(photo))
        .map(|(photo, one)| shot(photo, one))
        .collect();
    let (match_before, match_after) = (season.matches.get(before)?, season.matches.get(after)?);
    let difference = pair_difference(season, before, after)?;
    let (grade, reason) = grade(&difference);
    let captions: Vec<String> = [photo_before, photo_after]
        .iter()
        .filter_map(|photo| caption(season, photo))
        .collect();
    Some(Pair {
        station: found.station.clone(),
        site: match_before
            .site
            .as_ref()
            .or(match_after.site.as_ref())
            .map(String::from),
        before: shot(photo_before, match_before),
        after: shot(photo_after, match_after),
        distance: difference.apart_m,
        grade,
        reason,
        caption: (!captions.is_empty()).then(|| captions.join(". ")),
        other_years,
    })
}

/// A pair is matched when both photos say the same place and the same view, partial when one of the two can't be told or is a
/// little off, illustrative when they differ.
fn grade(difference: &PairDifference) -> (PairGrade, Words) {
    let reach = difference.error_m;
    let (turned, distance) = (difference.turned, difference.apart_m);
    match (turned, distance) {
        (Some(turned), _) if turned > STATION_BEARING_DEGREES => (
            PairGrade::Illustrative,
            words!(
                "The two look {degrees} degrees apart.",
                degrees = number(format!("{turned:.0}"))
            ),
        ),
        (_, Some(distance)) if distance > 2.0 * reach => (
            PairGrade::Illustrative,
            words!(
                "The two were taken {distance} apart, and their positions may be off by {reach} together.",
                distance = number(format!("{distance:.0} m")),
                reach = number(format!("{reach:.0} m"))
            ),
        ),
        (Some(_), Some(distance)) if distance <= reach => (
            PairGrade::Matched,
            words!("Same mark within the positions' own error, same direction."),
        ),
        (Some(_), Some(distance)) => (
            PairGrade::Partial,
            words!(
                "Same direction; taken {distance} apart, more than the positions' own error of {reach}.",
                distance = number(format!("{distance:.0} m")),
                reach = number(format!("{reach:.0} m"))
            ),
        ),
        (None, Some(_)) => (
            PairGrade::Partial,
            words!("The direction is not recorded in both photos."),
        ),
        (_, None) => (
            PairGrade::Partial,
            words!("The position is not recorded in both photos."),
        ),
    }
}

/// Roles that stand by themselves, in the order of printing.
const SINGLE_ROLES: [Role; 3] = [Role::Catch, Role::Crew, Role::Disposal];

/// The photos to print by themselves, and whether they were picked by rule.
fn singles(season: &Season, used: &BTreeSet<usize>) -> (Vec<Single>, bool) {
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
    // Station pairs that photos.csv asks for are a choice as well: who names plates there wants no others.
    let names_any = season
        .photo_notes
        .iter()
        .any(|note| note.plate == Some(true));
    let by_rule = asked.is_empty() && !names_any;
    let chosen = if by_rule {
        by_rule_of(season, &candidates)
    } else {
        asked
    };
    let chosen = chosen
        .into_iter()
        .filter_map(|one| {
            let photo = season.photos.get(one.photo)?;
            Some(Single {
                photo: photo.path.to_string(),
                taken: taken(season, one),
                site: one.site.as_ref().map(String::from),
                role: one.role,
                caption: single_caption(season, photo, one),
            })
        })
        .collect();
    (chosen, by_rule)
}

/// Paths of the single plates, where the rule picks them.
pub fn chosen_by_rule(season: &Season) -> Vec<String> {
    let plates = plates(season);
    if !plates.by_rule {
        return Vec::new();
    }
    plates.singles.into_iter().map(|one| one.photo).collect()
}

/// Is the photo's site one whose place is not told?
fn is_sensitive(season: &Season, one: &PhotoMatch) -> bool {
    one.site
        .as_deref()
        .and_then(|site| season.ground.site(site))
        .is_some_and(|site| site.sensitive)
}

/// Photos of one site and role that are measured: as many as are worth the time of drawing them, evenly over the season.
const MEASURED: usize = 4;

/// A plate this many days from every other one is as good as any farther away.
const SPREAD_DAYS: f64 = 30.0;

/// One photo of each role a site; where a site has none of any role, one of its others. Sharper and better exposed ones first, and
/// those far in time from what is chosen already.
fn by_rule_of<'a>(season: &Season, candidates: &[&'a PhotoMatch]) -> Vec<&'a PhotoMatch> {
    let mut chosen: Vec<&'a PhotoMatch> = Vec::new();
    for site in &season.ground.sites {
        let of_site: Vec<&'a PhotoMatch> = candidates
            .iter()
            .copied()
            .filter(|one| one.site.as_deref() == Some(site.id.as_str()) && one.local.is_some())
            .collect();
        let before = chosen.len();
        for role in SINGLE_ROLES {
            let slot = of_site.iter().copied().filter(|one| one.role == Some(role));
            let best = best(season, slot.collect(), &chosen);
            chosen.extend(best);
        }
        if chosen.len() == before {
            let slot = of_site.iter().copied().filter(|one| one.role.is_none());
            let best = best(season, slot.collect(), &chosen);
            chosen.extend(best);
        }
    }
    chosen
}

fn best<'a>(
    season: &Season,
    mut slot: Vec<&'a PhotoMatch>,
    chosen: &[&PhotoMatch],
) -> Option<&'a PhotoMatch> {
    slot.sort_by_key(|one| (one.local, one.photo));
    let measured: Vec<(&'a PhotoMatch, Quality)> = evenly(&slot, MEASURED)
        .into_par_iter()
        .filter_map(|one| Some((one, measure(season, one)?)))
        .collect();
    let points = |(one, quality): &(&PhotoMatch, Quality)| {
        let days = chosen
            .iter()
            .filter_map(|other| Some((one.local? - other.local?).num_hours().abs() as f64 / 24.0))
            .fold(SPREAD_DAYS, f64::min);
        // Twice as sharp is worth half a month; a tenth of the picture clipped costs as much.
        quality.sharpness.max(1e-3).log2() * 0.5 - 5.0 * quality.clipped + days / SPREAD_DAYS
    };
    measured
        .iter()
        .map(|measured| (measured.0, points(measured)))
        // The first among equals.
        .rev()
        .max_by(|a, b| a.1.total_cmp(&b.1))
        .map(|(one, _)| one)
}

/// At most `count` of a list, evenly spaced, its first among them.
fn evenly<'a>(list: &[&'a PhotoMatch], count: usize) -> Vec<&'a PhotoMatch> {
    if list.len() <= count {
        return list.to_vec();
    }
    (0..count)
        .filter_map(|step| list.get(step * (list.len() - 1) / (count - 1)).copied())
        .collect()
}

fn measure(season: &Season, one: &PhotoMatch) -> Option<Quality> {
    let photo = season.photos.get(one.photo)?;
    let file = season.file(&photo.path)?;
    quality::quality(&file.on_disk(), photo.orientation).ok()
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
                pull: pull.id.to_string(),
                site: site.map(|site| site.id.to_string()),
                latitude: middle.y(),
                longitude: middle.x(),
            })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn many_photos_are_listed_evenly_and_never_more_than_fit() {
        for (photos, wanted) in [
            (0, 1),
            (1, 1),
            (2_000, 1),
            (2_001, 2),
            (4_000, 2),
            (4_001, 3),
            (99_900, 50),
        ] {
            assert_eq!(one_in(photos), wanted, "{photos}");
            let listed = (0..photos).step_by(one_in(photos)).count();
            assert!(
                listed <= MOST_PHOTOS && listed >= photos.min(MOST_PHOTOS) / 2,
                "{photos}: {listed}"
            );
        }
    }
}
