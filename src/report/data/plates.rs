//! Plates for print: captions and the paths of pictures in the report's world.

use std::collections::BTreeMap;

use serde_json::{Value, json};

use crate::report::digits;
use crate::report::input::{Input, Pair, Shot, Single};
use crate::report::number::Style;
use crate::report::pictures::Picture;
use crate::report::words::sentence;
use crate::season::{PrintUnits, Role, Season};
use crate::words::Words;
use crate::{phrase, words};

/// Feet in a metre, by the exact foot of 0.3048 m.
const FEET: f64 = 1.0 / 0.304_8;

/// Where the picture of a number lies in the report's world. Numbers, so that the compiler's list of paths does not grow with every
/// season set in one process.
pub fn path(number: usize) -> String {
    format!("/plates/{number}.jpg")
}

/// Pairs and single plates. Pictures are numbered in the order of their paths.
pub fn all(input: &Input<'_>, pictures: &BTreeMap<String, Picture>, style: &Style) -> Value {
    let maker = Maker {
        input,
        pictures,
        style,
    };
    json!({
        "by_rule": input.plates.by_rule,
        "pairs": input.plates.pairs.iter().map(|pair| maker.pair(pair)).collect::<Vec<_>>(),
        "singles": input.plates.singles.iter().filter_map(|single| maker.single(single)).collect::<Vec<_>>(),
    })
}

struct Maker<'a> {
    input: &'a Input<'a>,
    pictures: &'a BTreeMap<String, Picture>,
    style: &'a Style,
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
            "before": self.shot(&pair.before, words!("Before"), &pair.station, site.as_deref()),
            "after": self.shot(&pair.after, words!("After"), &pair.station, site.as_deref()),
            "other_years": pair.other_years.iter().map(|shot| self.shot(shot, words!("Another year"), &pair.station, site.as_deref())).collect::<Vec<_>>(),
            "distance": pair.distance.map(|metres| distance(metres, self.style)),
            "grade": pair.grade.word(),
            "grade-word": self.style.language.of(pair.grade.word()),
            "reason": sentence(&self.style.say(&pair.reason)),
            "caption": pair.caption.as_deref().map(sentence),
        })
    }

    fn shot(&self, shot: &Shot, when: Words, station: &str, site: Option<&str>) -> Value {
        let bearing = shot.bearing.map(degrees);
        let mut alt = words!("{when}: photo from station {station}", when, station);
        if let Some(site) = site {
            alt = words!("{photo} at {site}", photo = alt, site);
        }
        if !shot.taken.is_empty() {
            alt = words!(
                "{photo}, taken {taken}",
                photo = alt,
                taken = shot.taken.as_str()
            );
        }
        if let Some(bearing) = &bearing {
            alt = words!("{photo}, looking towards {bearing}", photo = alt, bearing);
        }
        json!({
            "taken": shot.taken,
            "bearing": bearing,
            "position": shot.position.map(|(latitude, longitude)| position(latitude, longitude, self.style)),
            "picture": self.picture(&shot.photo),
            "alt": sentence(&self.style.say(alt)),
        })
    }

    /// A single plate that can't be shown is left out: there is nothing to compare it with.
    fn single(&self, single: &Single) -> Option<Value> {
        let picture = self.picture(&single.photo);
        picture.get("path")?;
        let season = self.input.season;
        let site = site_name(season, single.site.as_deref());
        let role = single
            .role
            .map(|role| self.style.language.of(role_word(role)));
        let mut alt = role.map_or_else(|| words!("Photo"), Words::own);
        if let Some(site) = &site {
            alt = words!("{photo} at {site}", photo = alt, site);
        }
        if let Some(taken) = &single.taken {
            alt = words!("{photo}, taken {taken}", photo = alt, taken);
        }
        if let Some(caption) = &single.caption {
            alt = words!("{photo}: {caption}", photo = alt, caption);
        }
        Some(json!({
            "picture": picture,
            "site": site,
            "role": role,
            "taken": single.taken,
            "caption": single.caption.as_deref().map(sentence),
            "alt": sentence(&self.style.say(alt)),
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
            (_, Some(Picture::Absent(reason))) => {
                json!({"absent": sentence(&self.style.say(reason))})
            }
            _ => json!({"absent": self.style.say(words!("This picture was not read."))}),
        }
    }
}

fn role_word(role: Role) -> &'static str {
    match role {
        Role::Before => phrase!("Before"),
        Role::After => phrase!("After"),
        Role::Catch => phrase!("The catch"),
        Role::Crew => phrase!("The crew"),
        Role::Disposal => phrase!("Disposal"),
        Role::Other => phrase!("Photo"),
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
fn position(latitude: f64, longitude: f64, style: &Style) -> String {
    // The letters of the four winds as the language has them.
    let half = |degrees: f64, plus: &'static str, minus: &'static str| {
        let letter = if degrees < 0.0 { minus } else { plus };
        let digits = style.digits(&format!("{:.5}", degrees.abs()));
        format!("{digits}°\u{a0}{}", style.language.of(letter))
    };
    format!(
        "{}, {}",
        half(latitude, phrase!("N##north"), phrase!("S##south")),
        half(longitude, phrase!("E##east"), phrase!("W##west"))
    )
}

/// A bearing as three figures, as a compass is read.
pub fn degrees(bearing: f64) -> String {
    if !bearing.is_finite() {
        return "–".to_owned();
    }
    let whole = bearing.rem_euclid(360.0).round() % 360.0;
    format!("{whole:03.0}°")
}

/// How far two positions lie apart. A phone's fix is good to a few metres at best: common practice, no source; so no decimals.
fn distance(metres: f64, style: &Style) -> String {
    let whole = |value| style.digits(&digits::rounded(value, 0));
    match style.units {
        PrintUnits::Metric => format!("{}\u{a0}m", whole(metres)),
        PrintUnits::Us => format!("{}\u{a0}ft", whole(metres * FEET)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::words::Language;

    #[test]
    fn bearings_and_distances() {
        assert_eq!(degrees(7.4), "007°");
        assert_eq!(degrees(359.7), "000°");
        assert_eq!(degrees(f64::NAN), "–");
        let style = |units, language| Style {
            units,
            currency: String::new(),
            language,
        };
        let metric = style(PrintUnits::Metric, Language::English);
        assert_eq!(
            position(-38.500_5, 45.25, &metric),
            "38.50050°\u{a0}S, 45.25000°\u{a0}E"
        );
        let french = style(PrintUnits::Metric, Language::French);
        assert!(position(-38.500_5, 45.25, &french).starts_with("38,50050°"));
        assert_eq!(distance(3.2, &metric), "3\u{a0}m");
        let us = style(PrintUnits::Us, Language::English);
        assert_eq!(distance(3.2, &us), "10\u{a0}ft");
    }
}
