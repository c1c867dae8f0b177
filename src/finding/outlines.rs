//! Site outlines: whether they are shapes, lie apart, and lie where the season was.

use geo::{
    Area, BooleanOps, BoundingRect, Centroid, Distance, Geodesic, Intersects, Point, Validation,
};

use super::Check;
use super::core::{Finding, Grade};
use super::rule::Rule;
use crate::place::Place;
use crate::season::{Season, Site, distance_to, value};
use crate::words;
use crate::words::{number, quoted};

const OUTLINE_CROSSES_ITSELF: Rule = Rule {
    name: "outline-crosses-itself",
    grade: Grade::Error,
    title: "A site's outline crosses itself, or its parts overlap.",
    why: "Inside and outside can't be told: the site's area is wrong, and so is which photos lie in it.",
};
const OUTLINES_OVERLAP: Rule = Rule {
    name: "outlines-overlap",
    grade: Grade::Doubt,
    title: "Two sites' outlines overlap.",
    why: "Ground in both counts in both areas, and a photo taken there may go to the wrong site.",
};
const OUTLINE_SWAPPED: Rule = Rule {
    name: "outline-swapped",
    grade: Grade::Error,
    title: "A site or station lies where the others do if longitude and latitude change places.",
    why: "The map, the area and the matching of photos are wrong for it.",
};
const STATION_OUTSIDE_SITE: Rule = Rule {
    name: "station-outside-site",
    grade: Grade::Doubt,
    title: "A photo station stands far from its site.",
    why: "Photos are tied to stations by their position: this one's photos will be missed, or tied to the wrong site.",
};
const STATION_SITE_UNKNOWN: Rule = Rule {
    name: "station-site-unknown",
    grade: Grade::Error,
    title: "A photo station names a site that sites.geojson does not have.",
    why: "Its pairs of photos are shown for no site.",
};
const WATERS_UNLIKE: Rule = Rule {
    name: "waterbody-misspelt",
    grade: Grade::Doubt,
    title: "Two sites name their water almost alike.",
    why: "Two spellings make two waters: gear that was not cleaned between sites is judged by them.",
};

/// All rules of this theme, with their functions.
pub const RULES: &[(Rule, Check)] = &[
    (OUTLINE_CROSSES_ITSELF, outline_crosses_itself),
    (OUTLINES_OVERLAP, outlines_overlap),
    (OUTLINE_SWAPPED, outline_swapped),
    (STATION_OUTSIDE_SITE, station_outside_site),
    (STATION_SITE_UNKNOWN, station_site_unknown),
    (WATERS_UNLIKE, waterbody_misspelt),
];

fn outline_crosses_itself(season: &Season, findings: &mut Vec<Finding>) {
    for site in &season.ground.sites {
        if let Err(fault) = site.outline.check_validation() {
            findings.push(OUTLINE_CROSSES_ITSELF.at(
                site.place.clone(),
                words!(
                    "The outline of {site} crosses itself, or its parts overlap ({fault}).",
                    site = &site.name,
                    fault = fault.to_string()
                ),
                words!(
                    "Draw the corners in their order along the shore, in the program that made the outline, and export it again."
                ),
            ));
        }
    }
}

/// Borders drawn by hand cross a little: below this share of the smaller site an overlap is drawing (common practice, no source).
const DRAWN_SHARE: f64 = 0.02;

fn outlines_overlap(season: &Season, findings: &mut Vec<Finding>) {
    // A shape that crosses itself has been told, and has no area to compare.
    let sites: Vec<&Site> = season
        .ground
        .sites
        .iter()
        .filter(|site| site.outline.is_valid())
        .collect();
    for (index, site) in sites.iter().enumerate() {
        for other in sites.iter().take(index) {
            let (Some(a), Some(b)) = (site.outline.bounding_rect(), other.outline.bounding_rect())
            else {
                continue;
            };
            if !a.intersects(&b) {
                continue;
            }
            let common = site.outline.intersection(&other.outline).unsigned_area();
            let smaller = site
                .outline
                .unsigned_area()
                .min(other.outline.unsigned_area());
            if smaller > 0.0 && common > DRAWN_SHARE * smaller {
                findings.push(
                    OUTLINES_OVERLAP
                        .at(
                            site.place.clone(),
                            words!(
                                "{site} and {other} share {share} % of the smaller one.",
                                site = &site.name,
                                other = &other.name,
                                share = number(format!("{:.0}", 100.0 * common / smaller))
                            ),
                            words!(
                                "Draw the border between them anew; or accept the finding, if one site is meant to lie in the other."
                            ),
                        )
                        .with([other.place.clone()]),
                );
            }
        }
    }
}

/// A season's sites lie within a drive of its photos; beyond this nobody goes for a day's work (common practice, no source).
const A_DRIVE_M: f64 = 150_000.0;

/// What else says where the season was: photos and tracks; without them, the other sites and the stations.
fn witnesses(season: &Season, but: &Place) -> Vec<Point<f64>> {
    let mut points: Vec<Point<f64>> = season
        .photos
        .iter()
        .filter_map(|photo| photo.position)
        .map(|position| Point::new(position.longitude, position.latitude))
        .collect();
    // The first point of a track is as good a witness as all of them.
    points.extend(
        season
            .tracks
            .iter()
            .filter_map(|track| track.points.first())
            .map(|track| track.point),
    );
    if points.is_empty() {
        let sites = season.ground.sites.iter().filter(|site| site.place != *but);
        points.extend(sites.filter_map(|site| site.outline.centroid()));
        let stations = season
            .ground
            .stations
            .iter()
            .filter(|station| station.place != *but);
        points.extend(stations.map(|station| station.point));
    }
    points
}

fn outline_swapped(season: &Season, findings: &mut Vec<Finding>) {
    let sites = season
        .ground
        .sites
        .iter()
        .filter_map(|site| Some((&site.place, site.name.as_str(), site.outline.centroid()?)));
    let stations = season
        .ground
        .stations
        .iter()
        .map(|station| (&station.place, station.id.as_str(), station.point));
    for (place, name, point) in sites.chain(stations) {
        let swapped = Point::new(point.y(), point.x());
        if !(-90.0..=90.0).contains(&swapped.y()) {
            continue;
        }
        let witnesses = witnesses(season, place);
        let near = |point: Point<f64>| {
            witnesses
                .iter()
                .filter(|witness| Geodesic.distance(point, **witness) <= A_DRIVE_M)
                .count()
        };
        if near(point) == 0 && near(swapped) > 0 {
            findings.push(OUTLINE_SWAPPED.at(
                place.clone(),
                words!(
                    "{name} lies at latitude {latitude}, longitude {longitude}, far from everything else; the other way round it lies among it.",
                    name,
                    latitude = number(format!("{:.2}", point.y())),
                    longitude = number(format!("{:.2}", point.x()))
                ),
                words!(
                    "GeoJSON puts longitude first: change the two numbers of each corner, or export the outline again as GeoJSON (WGS 84)."
                ),
            ));
        }
    }
}

/// Stations stand on the shore and look at the site: beyond this they look at something else (common practice, no source).
const FARTHEST_STATION_M: f64 = 2000.0;

fn station_outside_site(season: &Season, findings: &mut Vec<Finding>) {
    for station in &season.ground.stations {
        let Some(site) = station
            .site
            .as_deref()
            .and_then(|site| season.ground.site(site))
        else {
            continue;
        };
        let distance = distance_to(&site.outline, station.point);
        // Farther than a drive away, it is no slip of the pen but of the axes, or the outline's; that is told by another rule.
        if distance > FARTHEST_STATION_M && distance <= A_DRIVE_M {
            findings.push(
                STATION_OUTSIDE_SITE
                    .at(
                        station.place.clone(),
                        words!(
                            "Station {station} stands {distance} km from {site}.",
                            station = &station.id,
                            distance = number(format!("{:.1}", distance / 1000.0)),
                            site = &site.name
                        ),
                        words!("Correct the station's position or its site in sites.geojson."),
                    )
                    .with([site.place.clone()]),
            );
        }
    }
}

fn station_site_unknown(season: &Season, findings: &mut Vec<Finding>) {
    for station in &season.ground.stations {
        let Some(site) = station.site.as_deref() else {
            continue;
        };
        if season.ground.site(site).is_some() {
            continue;
        }
        let known = season
            .ground
            .sites
            .iter()
            .flat_map(|known| [known.id.as_str(), known.name.as_str()]);
        findings.push(STATION_SITE_UNKNOWN.at(
            station.place.clone(),
            words!(
                "Station {station} names the site {site}, which is not there.",
                station = &station.id,
                site = quoted(site)
            ),
            match value::nearest(site, known) {
                Some(nearest) => words!(
                    "In sites.geojson, write \"site\": \"{nearest}\" at this station, if that is meant.",
                    nearest
                ),
                None => words!("Name one of the sites of sites.geojson."),
            },
        ));
    }
}

fn waterbody_misspelt(season: &Season, findings: &mut Vec<Finding>) {
    let sites = &season.ground.sites;
    for (index, site) in sites.iter().enumerate() {
        let Some(water) = site.waterbody.as_deref() else {
            continue;
        };
        let twin = sites.iter().take(index).find(|other| {
            other.waterbody.as_deref().is_some_and(|other| {
                value::fold(other) != value::fold(water)
                    && one_slip(&value::fold(other), &value::fold(water))
            })
        });
        if let Some(twin) = twin {
            findings.push(
                WATERS_UNLIKE
                    .at(
                        site.place.clone(),
                        words!(
                            "{water} and {twin} differ by a letter or two.",
                            water = quoted(water),
                            twin = quoted(twin.waterbody.as_deref().unwrap_or_default())
                        ),
                        words!(
                            "Write the water's name the same way at all its sites; accept the finding, if these are two waters."
                        ),
                    )
                    .with([twin.place.clone()]),
            );
        }
    }
}

/// Are two names one but for a slip? Names that differ in a figure, as ponds 1 and 2, are two.
fn one_slip(a: &str, b: &str) -> bool {
    let figures = |text: &str| {
        text.chars()
            .filter(char::is_ascii_digit)
            .collect::<String>()
    };
    /// A letter left out, doubled or changed, or two of them changed places.
    const SLIP: usize = 1;
    // In a short name one letter makes another name.
    a.chars().count() >= 6 && figures(a) == figures(b) && strsim::osa_distance(a, b) <= SLIP
}
