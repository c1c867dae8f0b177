//! Plates for print: captions and the paths of pictures in the report's world.

use std::collections::BTreeMap;

use serde_json::{Value, json};

use crate::report::digits;
use crate::report::input::{Input, Pair, Shot, Single};
use crate::report::pictures::Picture;
use crate::report::words::sentence;
use crate::season::{PrintUnits, Role, Season};

/// Feet in a metre, by the exact foot of 0.3048 m.
const FEET: f64 = 1.0 / 0.304_8;

/// Where the picture of a number lies in the report's world. Numbers, so that the compiler's list of paths does not grow with every
/// season set in one process.
pub fn path(number: usize) -> String {
    format!("/plates/{number}.jpg")
}

/// Pairs and single plates. Pictures are numbered in the order of their paths.
pub fn all(input: &Input<'_>, pictures: &BTreeMap<String, Picture>) -> Value {
    let maker = Maker { input, pictures };
    json!({
        "by_rule": input.plates.by_rule,
        "pairs": input.plates.pairs.iter().map(|pair| maker.pair(pair)).collect::<Vec<_>>(),
        "singles": input.plates.singles.iter().filter_map(|single| maker.single(single)).collect::<Vec<_>>(),
    })
}

struct Maker<'a> {
    input: &'a Input<'a>,
    pictures: &'a BTreeMap<String, Picture>,
}

impl Maker<'_> {
    fn pair(&self, pair: &Pair) -> Value {
        let season = self.input.season;
        let site = site_name(season, pair.site.as_deref());
        let planned = season
            .ground
            .station(&pair.station)
            .and_then(|station| station.bearing)
            .map(degrees);
        json!({
            "station": pair.station,
            "site": site,
            "planned": planned,
            "before": self.shot(&pair.before, "Before", &pair.station, site.as_deref()),
            "after": self.shot(&pair.after, "After", &pair.station, site.as_deref()),
            "other_years": pair.other_years.iter().map(|shot| self.shot(shot, "Another year", &pair.station, site.as_deref())).collect::<Vec<_>>(),
            "distance": pair.distance.map(|metres| distance(metres, season.settings.units.print)),
            "grade": pair.grade.word(),
            "grade-word": pair.grade.word(),
            "reason": sentence(&pair.reason),
            "caption": pair.caption.as_deref().map(sentence),
        })
    }

    fn shot(&self, shot: &Shot, when: &str, station: &str, site: Option<&str>) -> Value {
        let bearing = shot.bearing.map(degrees);
        let mut alt = format!("{when}: photo from station {station}");
        if let Some(site) = site {
            alt.push_str(&format!(" at {site}"));
        }
        if !shot.taken.is_empty() {
            alt.push_str(&format!(", taken {}", shot.taken));
        }
        if let Some(bearing) = &bearing {
            alt.push_str(&format!(", looking towards {bearing}"));
        }
        alt.push('.');
        json!({
            "taken": shot.taken,
            "bearing": bearing,
            "position": shot.position.map(|(latitude, longitude)| position(latitude, longitude)),
            "picture": self.picture(&shot.photo),
            "alt": alt,
        })
    }

    /// A single plate that can't be shown is left out: there is nothing to compare it with.
    fn single(&self, single: &Single) -> Option<Value> {
        let picture = self.picture(&single.photo);
        picture.get("path")?;
        let season = self.input.season;
        let site = site_name(season, single.site.as_deref());
        let role = single.role.map(role_word);
        let mut alt = capital_or(role, "Photo").to_owned();
        if let Some(site) = &site {
            alt.push_str(&format!(" at {site}"));
        }
        if let Some(taken) = &single.taken {
            alt.push_str(&format!(", taken {taken}"));
        }
        if let Some(caption) = &single.caption {
            alt.push_str(&format!(": {caption}"));
        }
        Some(json!({
            "picture": picture,
            "site": site,
            "role": role,
            "taken": single.taken,
            "caption": single.caption.as_deref().map(sentence),
            "alt": sentence(&alt),
        }))
    }

    fn picture(&self, photo: &str) -> Value {
        let number = self.pictures.keys().position(|path| path == photo);
        match (number, self.pictures.get(photo)) {
            (Some(number), Some(Picture::Shown { width, height, .. })) => json!({
                "path": path(number),
                // A tall picture is set within the same frame as a wide one.
                "tall": height > width,
            }),
            (_, Some(Picture::Absent(reason))) => json!({"absent": sentence(reason)}),
            _ => json!({"absent": "This picture was not read."}),
        }
    }
}

fn capital_or(role: Option<&'static str>, other: &'static str) -> &'static str {
    role.unwrap_or(other)
}

fn role_word(role: Role) -> &'static str {
    match role {
        Role::Before => "Before",
        Role::After => "After",
        Role::Catch => "The catch",
        Role::Crew => "The crew",
        Role::Disposal => "Disposal",
        Role::Other => "Photo",
    }
}

fn site_name(season: &Season, id: Option<&str>) -> Option<String> {
    let id = id?;
    Some(
        season
            .ground
            .site(id)
            .map_or_else(|| id.to_owned(), |site| site.name.clone()),
    )
}

/// A position to a hundred-thousandth of a degree, about a metre.
fn position(latitude: f64, longitude: f64) -> String {
    let half = |degrees: f64, plus: char, minus: char| {
        let letter = if degrees < 0.0 { minus } else { plus };
        format!("{:.5}°\u{a0}{letter}", degrees.abs())
    };
    format!(
        "{}, {}",
        half(latitude, 'N', 'S'),
        half(longitude, 'E', 'W')
    )
}

/// A bearing as three figures, as a compass is read.
fn degrees(bearing: f64) -> String {
    if !bearing.is_finite() {
        return "–".to_owned();
    }
    let whole = bearing.rem_euclid(360.0).round() % 360.0;
    format!("{whole:03.0}°")
}

/// How far two positions lie apart. A phone's fix is good to a few metres at best: common practice, no source; so no decimals.
fn distance(metres: f64, units: PrintUnits) -> String {
    match units {
        PrintUnits::Metric => format!("{}\u{a0}m", digits::rounded(metres, 0)),
        PrintUnits::Us => format!("{}\u{a0}ft", digits::rounded(metres * FEET, 0)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bearings_and_distances() {
        assert_eq!(degrees(7.4), "007°");
        assert_eq!(degrees(359.7), "000°");
        assert_eq!(degrees(f64::NAN), "–");
        assert_eq!(
            position(-38.500_5, 45.25),
            "38.50050°\u{a0}S, 45.25000°\u{a0}E"
        );
        assert_eq!(distance(3.2, PrintUnits::Metric), "3\u{a0}m");
        assert_eq!(distance(3.2, PrintUnits::Us), "10\u{a0}ft");
    }
}
