//! sites.geojson: site outlines, photo stations and shorelines.

use std::collections::BTreeMap;
use std::ops::{Deref, DerefMut};
use std::sync::OnceLock;

use geo::{BoundingRect, GeodesicArea, LineString, MultiLineString, MultiPolygon, Point};
use geojson::{Feature, FeatureCollection, GeoJson, GeometryValue};

use super::problem::{Problem, ProblemKind};
use super::value::{fold, folds_to};
use crate::place::Place;
use crate::shared::Shared;
use crate::words;
use crate::words::Words;
use crate::words::number;

pub const SITES_FILE: &str = "sites.geojson";

/// A site's outline, in degrees, longitude before latitude (WGS 84).
#[derive(Debug, Clone, PartialEq)]
pub struct Site {
    pub id: Shared,
    pub name: String,
    pub waterbody: Option<String>,
    pub sensitive: bool,
    pub outline: MultiPolygon<f64>,
    pub place: Place,
}

impl Site {
    /// Area on the ellipsoid in square metres.
    pub fn area(&self) -> f64 {
        // Whichever way round a ring is drawn: older writers of GeoJSON don't mind the order.
        let ring = |ring: &LineString<f64>| {
            geo::Polygon::new(ring.clone(), Vec::new())
                .geodesic_area_signed()
                .abs()
        };
        self.outline
            .iter()
            .map(|polygon| {
                ring(polygon.exterior()) - polygon.interiors().iter().map(ring).sum::<f64>()
            })
            .sum()
    }
}

/// A marked point from which the same picture is taken again and again.
#[derive(Debug, Clone, PartialEq)]
pub struct Station {
    pub id: Shared,
    pub name: Option<String>,
    pub site: Option<String>,
    pub bearing: Option<f64>,
    pub point: Point<f64>,
    pub place: Place,
}

/// Sites in the order of their file, to be found by name: every row of every table asks for one, and every figure of a site asks every
/// row. Read as a slice; whatever may change a site makes the names be read anew.
#[derive(Debug, Clone, Default)]
pub struct Sites {
    list: Vec<Site>,
    /// Places in the list by folded id, and by folded name where no id is that; the first of each.
    by_name: OnceLock<BTreeMap<String, usize>>,
}

impl Sites {
    /// A site by its id or its name, without regard to case, spaces and punctuation.
    pub fn named(&self, name: &str) -> Option<&Site> {
        let by_name = self.by_name.get_or_init(|| {
            let mut by_name = BTreeMap::new();
            let ids = self.list.iter().map(|site| site.id.as_str());
            let names = self.list.iter().map(|site| site.name.as_str());
            for (index, name) in ids.enumerate().chain(names.enumerate()) {
                by_name.entry(fold(name)).or_insert(index);
            }
            by_name
        });
        self.list.get(*by_name.get(&fold(name))?)
    }

    fn push(&mut self, site: Site) {
        self.by_name.take();
        self.list.push(site);
    }
}

impl Deref for Sites {
    type Target = [Site];

    fn deref(&self) -> &[Site] {
        &self.list
    }
}

impl DerefMut for Sites {
    fn deref_mut(&mut self) -> &mut [Site] {
        self.by_name.take();
        &mut self.list
    }
}

impl FromIterator<Site> for Sites {
    fn from_iter<I: IntoIterator<Item = Site>>(sites: I) -> Self {
        Self {
            list: sites.into_iter().collect(),
            by_name: OnceLock::new(),
        }
    }
}

impl<'a> IntoIterator for &'a Sites {
    type Item = &'a Site;
    type IntoIter = std::slice::Iter<'a, Site>;

    fn into_iter(self) -> Self::IntoIter {
        self.list.iter()
    }
}

impl PartialEq for Sites {
    fn eq(&self, other: &Self) -> bool {
        self.list == other.list
    }
}

/// What sites.geojson holds.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Ground {
    pub sites: Sites,
    pub stations: Vec<Station>,
    pub shorelines: Vec<MultiLineString<f64>>,
}

impl Ground {
    /// A site by its id or its name, without regard to case, spaces and punctuation.
    pub fn site(&self, name: &str) -> Option<&Site> {
        self.sites.named(name)
    }

    pub fn station(&self, id: &str) -> Option<&Station> {
        let folded = fold(id);
        self.stations
            .iter()
            .find(|station| folds_to(&station.id, &folded))
    }
}

/// Sites and stations that are read of each: many times what a season has, and a site has a hundred figures.
const MOST_FEATURES: usize = 350;

/// Reads the GeoJSON text.
pub fn read(text: &str, problems: &mut Vec<Problem>) -> Ground {
    let mut ground = Ground::default();
    let features = match text.parse::<GeoJson>() {
        Ok(GeoJson::FeatureCollection(FeatureCollection { features, .. })) => features,
        Ok(GeoJson::Feature(feature)) => vec![feature],
        Ok(GeoJson::Geometry(_)) => {
            report(
                problems,
                Place::whole(SITES_FILE),
                ProblemKind::FileUnreadable {
                    reason: words!(
                        "it holds a bare geometry; a FeatureCollection with ids and names is needed"
                    ),
                },
            );
            return ground;
        }
        Err(error) => {
            report(
                problems,
                Place::whole(SITES_FILE),
                ProblemKind::FileUnreadable {
                    reason: error.to_string().into(),
                },
            );
            return ground;
        }
    };
    for (index, feature) in features.into_iter().enumerate() {
        if ground.sites.len().max(ground.stations.len()) >= MOST_FEATURES {
            let reason = words!(
                "{features} sites or stations stand before it, and no more are read",
                features = number(MOST_FEATURES.to_string())
            );
            report(
                problems,
                Place::feature(SITES_FILE, (index + 1).to_string()),
                ProblemKind::FeatureWrong { reason },
            );
            break;
        }
        let label = word(&feature, "id")
            .or_else(|| feature.id.as_ref().map(id_text))
            .unwrap_or_else(|| (index + 1).to_string());
        let place = Place::feature(SITES_FILE, &label);
        if let Err(reason) = take(feature, &place, &mut ground) {
            report(problems, place, ProblemKind::FeatureWrong { reason });
        }
    }
    ground
}

fn report(problems: &mut Vec<Problem>, place: Place, kind: ProblemKind) {
    problems.push(Problem {
        place,
        kind,
        row: None,
    });
}

fn id_text(id: &geojson::feature::Id) -> String {
    match id {
        geojson::feature::Id::String(text) => text.clone(),
        geojson::feature::Id::Number(number) => number.to_string(),
    }
}

/// A property as text, whatever its type.
fn word(feature: &Feature, name: &str) -> Option<String> {
    let value = feature.property(name)?;
    match value {
        serde_json::Value::String(text) if text.trim().is_empty() => None,
        serde_json::Value::String(text) => Some(text.trim().to_owned()),
        serde_json::Value::Number(number) => Some(number.to_string()),
        serde_json::Value::Bool(truth) => Some(truth.to_string()),
        _ => None,
    }
}

fn take(feature: Feature, place: &Place, ground: &mut Ground) -> Result<(), Words> {
    let id = word(&feature, "id").or_else(|| feature.id.as_ref().map(id_text));
    let shoreline = word(&feature, "kind").is_some_and(|kind| fold(&kind) == "shoreline");
    let Some(geometry) = feature.geometry.as_ref() else {
        return Err(words!("the feature has no geometry"));
    };
    let shape: geo::Geometry<f64> = geometry
        .value
        .clone()
        .try_into()
        .map_err(|error: geojson::Error| Words::own(error.to_string()))?;
    check_positions(&shape)?;
    if shoreline {
        ground.shorelines.push(lines(shape));
        return Ok(());
    }
    let id = id.ok_or_else(|| words!("the feature has no property id"))?;
    match shape {
        geo::Geometry::Polygon(_) | geo::Geometry::MultiPolygon(_) => {
            let outline = match shape {
                geo::Geometry::Polygon(polygon) => MultiPolygon::new(vec![polygon]),
                geo::Geometry::MultiPolygon(many) => many,
                _ => return Err(words!("it is no polygon")),
            };
            if outline.iter().any(|polygon| polygon.exterior().0.len() < 4) {
                return Err(words!(
                    "an outline needs at least three corners and has to close"
                ));
            }
            if ground.sites.iter().any(|site| fold(&site.id) == fold(&id)) {
                return Err(words!("the site id {id} is there already", id));
            }
            ground.sites.push(Site {
                name: word(&feature, "name").unwrap_or_else(|| id.clone()),
                waterbody: word(&feature, "waterbody"),
                sensitive: word(&feature, "sensitive")
                    .is_some_and(|text| matches!(fold(&text).as_str(), "true" | "yes" | "1")),
                id: id.into(),
                outline,
                place: place.clone(),
            });
        }
        geo::Geometry::Point(point) => {
            if ground
                .stations
                .iter()
                .any(|station| fold(&station.id) == fold(&id))
            {
                return Err(words!("the station id {id} is there already", id));
            }
            let bearing = word(&feature, "bearing").and_then(|text| text.parse::<f64>().ok());
            if let Some(degrees) = bearing
                && !(0.0..=360.0).contains(&degrees)
            {
                return Err(words!(
                    "the bearing {degrees} is not between 0 and 360 degrees",
                    degrees = number(degrees.to_string())
                ));
            }
            ground.stations.push(Station {
                name: word(&feature, "name"),
                site: word(&feature, "site"),
                bearing,
                id: id.into(),
                point,
                place: place.clone(),
            });
        }
        _ => {
            let kind = kind_of(&geometry.value);
            return Err(words!(
                "a {kind} is neither an outline nor a station; give it kind \"shoreline\" if it is a shore",
                kind
            ));
        }
    }
    Ok(())
}

fn kind_of(value: &GeometryValue) -> &'static str {
    value.type_name()
}

/// Longitude and latitude in their ranges; an empty shape has none.
fn check_positions(shape: &geo::Geometry<f64>) -> Result<(), Words> {
    let bounds = shape
        .bounding_rect()
        .ok_or_else(|| words!("the geometry is empty"))?;
    let (low, high) = (bounds.min(), bounds.max());
    let finite = [low.x, low.y, high.x, high.y]
        .iter()
        .all(|value| value.is_finite());
    if !finite || low.x < -180.0 || high.x > 180.0 || low.y < -90.0 || high.y > 90.0 {
        return Err(words!(
            "a position is outside −180 to 180 degrees of longitude and −90 to 90 of latitude; GeoJSON puts longitude first"
        ));
    }
    Ok(())
}

fn lines(shape: geo::Geometry<f64>) -> MultiLineString<f64> {
    let of_polygon = |polygon: geo::Polygon<f64>| -> Vec<LineString<f64>> {
        let (outer, inner) = polygon.into_inner();
        std::iter::once(outer).chain(inner).collect()
    };
    MultiLineString::new(match shape {
        geo::Geometry::LineString(line) => vec![line],
        geo::Geometry::MultiLineString(many) => many.0,
        geo::Geometry::Polygon(polygon) => of_polygon(polygon),
        geo::Geometry::MultiPolygon(many) => many.into_iter().flat_map(of_polygon).collect(),
        _ => Vec::new(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn more_sites_than_any_season_has_are_told_once() {
        let feature = |number: usize| {
            serde_json::json!({
                "type": "Feature",
                "properties": {"id": format!("s{number}")},
                "geometry": {"type": "Polygon", "coordinates": [[[0.0, 0.0], [0.0, 1.0], [1.0, 1.0], [0.0, 0.0]]]},
            })
        };
        let read_so_many = |number: usize| {
            let features: Vec<_> = (0..number).map(feature).collect();
            let text = serde_json::json!({"type": "FeatureCollection", "features": features});
            let mut problems = Vec::new();
            let ground = read(&text.to_string(), &mut problems);
            (ground.sites.len(), problems)
        };
        let (sites, problems) = read_so_many(MOST_FEATURES);
        assert_eq!((sites, problems.len()), (350, 0));
        let (sites, problems) = read_so_many(MOST_FEATURES + 20);
        assert_eq!((sites, problems.len()), (350, 1));
        assert_eq!(problems[0].place.to_string(), "sites.geojson feature 351");
    }
}
