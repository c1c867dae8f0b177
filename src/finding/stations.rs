//! Photos from fixed stations: pairs that lack one half, or whose halves show two views.

use super::Check;
use super::core::{Finding, Grade};
use super::rule::Rule;
use crate::place::Place;
use crate::season::{Season, pair_difference, station_pairs};
use crate::words;
use crate::words::number;

const STATION_WITHOUT_AFTER: Rule = Rule {
    name: "station-without-after",
    grade: Grade::Doubt,
    title: "A station has a photo from before and none from after.",
    why: "The report can show no pair for it.",
};
const STATION_PAIR_TURNED: Rule = Rule {
    name: "station-pair-turned",
    grade: Grade::Doubt,
    title: "The two photos of a station look in different directions.",
    why: "The pair shows two views, not a change; the report calls it illustrative.",
};
const STATION_PAIR_APART: Rule = Rule {
    name: "station-pair-apart",
    grade: Grade::Doubt,
    title: "The two photos of a station were taken farther apart than their positions may be off.",
    why: "The pair may show two views, not a change; the report says how far they lie apart.",
};

/// All rules of this theme, with their functions.
pub const RULES: &[(Rule, Check)] = &[
    (STATION_WITHOUT_AFTER, station_without_after),
    (STATION_PAIR_TURNED, station_pair_turned),
    (STATION_PAIR_APART, station_pair_apart),
];

fn station_without_after(season: &Season, findings: &mut Vec<Finding>) {
    for pair in station_pairs(season) {
        if let (Some(before), None) = (pair.before, pair.after)
            && let Some(photo) = season.photos.get(before)
        {
            findings.push(
                STATION_WITHOUT_AFTER
                    .at(
                        Place::whole(&photo.path),
                        words!(
                            "Station {station} has a photo from before and none from after.",
                            station = &pair.station
                        ),
                        words!(
                            "Look for the photo from after; name its station and role in photos.csv."
                        ),
                    )
                    .with(
                        season
                            .ground
                            .station(&pair.station)
                            .map(|station| station.place.clone()),
                    ),
            );
        }
    }
}

fn station_pair_turned(season: &Season, findings: &mut Vec<Finding>) {
    for (station, before, after) in both(season) {
        let Some(difference) = pair_difference(season, before, after) else {
            continue;
        };
        let photos = season.photos.get(before).zip(season.photos.get(after));
        if let (Some((before, after)), Some(turned), true) =
            (photos, difference.turned, difference.is_turned())
        {
            findings.push(
                STATION_PAIR_TURNED
                    .at(
                        Place::tag(&after.path, "GPSImgDirection"),
                        words!(
                            "At station {station} the two photos look {turned} degrees apart.",
                            station,
                            turned = number(format!("{turned:.0}"))
                        ),
                        words!(
                            "Choose another photo in photos.csv; next season take last year's print along."
                        ),
                    )
                    .with([Place::tag(&before.path, "GPSImgDirection")]),
            );
        }
    }
}

fn station_pair_apart(season: &Season, findings: &mut Vec<Finding>) {
    for (station, before, after) in both(season) {
        let Some(difference) = pair_difference(season, before, after) else {
            continue;
        };
        let photos = season.photos.get(before).zip(season.photos.get(after));
        if let (Some((before, after)), Some(apart), true) =
            (photos, difference.apart_m, difference.is_apart())
        {
            findings.push(
                STATION_PAIR_APART
                    .at(
                        Place::tag(&after.path, "GPSLatitude"),
                        words!(
                            "At station {station} the two photos were taken {apart} m apart, and their positions may be off by {error} m \
                             together.",
                            station,
                            apart = number(format!("{apart:.0}")),
                            error = number(format!("{:.0}", difference.error_m))
                        ),
                        words!(
                            "Choose another photo in photos.csv; mark the station on the ground, so that the next photo is taken from it."
                        ),
                    )
                    .with([Place::tag(&before.path, "GPSLatitude")]),
            );
        }
    }
}

/// Stations with both photos, by their numbers.
fn both(season: &Season) -> Vec<(String, usize, usize)> {
    station_pairs(season)
        .into_iter()
        .filter_map(|pair| Some((pair.station, pair.before?, pair.after?)))
        .collect()
}
