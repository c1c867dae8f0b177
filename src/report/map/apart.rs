//! Whether sites lie so far apart that one map can't show them, and which belong together.

use super::labels::Box2;
use super::projection::Projection;
use super::view::bounds;
use crate::season::Ground;

/// Groups farther from each other than this share of the whole ground are apart.
const GAP: f64 = 1.0 / 6.0;
/// Groups are drawn by themselves only if none is larger than this share of the whole: otherwise the one map shows enough.
const LARGEST: f64 = 0.2;
/// More maps than this belong into no report.
const MOST: usize = 6;

/// Sites, by their index, and the box about them in metres on the plane.
struct Group {
    sites: Vec<usize>,
    place: Box2,
}

/// The ground of each group, in the order of its first site, each with all shorelines; empty where one map does.
pub fn groups(ground: &Ground) -> Vec<Ground> {
    let sites = on_the_plane(ground);
    let corners: Vec<(f64, f64)> = sites
        .iter()
        .flat_map(|site| {
            [
                (site.place.left, site.place.top),
                (site.place.right, site.place.bottom),
            ]
        })
        .collect();
    let Some(whole) = bounds(&corners) else {
        return Vec::new();
    };
    let extent = size(&whole);
    let mut groups: Vec<Group> = Vec::new();
    for site in sites {
        let (near, far): (Vec<Group>, Vec<Group>) = groups
            .into_iter()
            .partition(|group| gap(&group.place, &site.place) <= extent * GAP);
        groups = far;
        groups.push(near.into_iter().fold(site, joined));
    }
    let small = groups
        .iter()
        .all(|group| size(&group.place) <= extent * LARGEST);
    if !(2..=MOST).contains(&groups.len()) || !small {
        return Vec::new();
    }
    for group in &mut groups {
        group.sites.sort_unstable();
    }
    groups.sort_by(|a, b| a.sites.cmp(&b.sites));
    groups.iter().map(|group| part(ground, group)).collect()
}

fn on_the_plane(ground: &Ground) -> Vec<Group> {
    let corners_of = |site: &crate::season::Site| -> Vec<(f64, f64)> {
        site.outline
            .iter()
            .flat_map(|polygon| {
                polygon
                    .exterior()
                    .0
                    .iter()
                    .map(|corner| (corner.x, corner.y))
            })
            .collect()
    };
    let all: Vec<(f64, f64)> = ground.sites.iter().flat_map(corners_of).collect();
    let Some(projection) = Projection::amid(&all) else {
        return Vec::new();
    };
    ground
        .sites
        .iter()
        .enumerate()
        .filter_map(|(index, site)| {
            let corners: Vec<(f64, f64)> = corners_of(site)
                .into_iter()
                .filter_map(|(longitude, latitude)| projection.project(longitude, latitude))
                .collect();
            Some(Group {
                sites: vec![index],
                place: bounds(&corners)?,
            })
        })
        .collect()
}

fn size(place: &Box2) -> f64 {
    (place.right - place.left).max(place.bottom - place.top)
}

/// Distance of two boxes; 0 where they touch.
fn gap(a: &Box2, b: &Box2) -> f64 {
    let across = (a.left - b.right).max(b.left - a.right).max(0.0);
    let along = (a.top - b.bottom).max(b.top - a.bottom).max(0.0);
    across.hypot(along)
}

fn joined(a: Group, b: Group) -> Group {
    Group {
        sites: [a.sites, b.sites].concat(),
        place: Box2 {
            left: a.place.left.min(b.place.left),
            top: a.place.top.min(b.place.top),
            right: a.place.right.max(b.place.right),
            bottom: a.place.bottom.max(b.place.bottom),
        },
    }
}

fn part(ground: &Ground, group: &Group) -> Ground {
    let sites: Vec<_> = group
        .sites
        .iter()
        .filter_map(|index| ground.sites.get(*index))
        .cloned()
        .collect();
    let stations = ground
        .stations
        .iter()
        .filter(|station| {
            let here = |id: &String| sites.iter().any(|site| site.id == *id);
            station.site.as_ref().is_some_and(here)
        })
        .cloned()
        .collect();
    Ground {
        sites: sites.into_iter().collect(),
        stations,
        shorelines: ground.shorelines.clone(),
    }
}

#[cfg(test)]
mod tests {
    use geo::{LineString, MultiPolygon, Polygon};

    use super::*;
    use crate::place::Place;
    use crate::season::Site;

    /// Squares of 0.002 degrees with their south-western corner at a longitude on the equator.
    fn ground(longitudes: &[f64]) -> Ground {
        let sites = longitudes
            .iter()
            .enumerate()
            .map(|(index, west)| {
                let ring: Vec<(f64, f64)> = [
                    (0.0, 0.0),
                    (0.002, 0.0),
                    (0.002, 0.002),
                    (0.0, 0.002),
                    (0.0, 0.0),
                ]
                .iter()
                .map(|(x, y)| (west + x, *y))
                .collect();
                Site {
                    id: format!("s{index}").into(),
                    name: format!("Site {index}"),
                    waterbody: None,
                    sensitive: false,
                    outline: MultiPolygon::new(vec![Polygon::new(LineString::from(ring), vec![])]),
                    place: Place::whole("sites.geojson"),
                }
            })
            .collect();
        Ground {
            sites,
            ..Ground::default()
        }
    }

    fn sizes(longitudes: &[f64]) -> Vec<usize> {
        groups(&ground(longitudes))
            .iter()
            .map(|group| group.sites.len())
            .collect()
    }

    #[test]
    fn neighbours_share_a_map_and_far_ones_get_their_own() {
        assert_eq!(sizes(&[0.0, 0.003, 0.5, 0.503, 0.506]), [2, 3]);
        // Across the date line.
        assert_eq!(sizes(&[179.999, -179.998, 179.0]), [2, 1]);
    }

    #[test]
    fn one_map_does_where_sites_are_close_or_one_fills_it() {
        assert!(sizes(&[0.0, 0.003, 0.006, 0.009]).is_empty());
        assert!(sizes(&[0.0]).is_empty());
        assert!(sizes(&[]).is_empty());
        // Seven lone sites: a map each would be no help.
        assert!(sizes(&[0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0]).is_empty());
    }
}
