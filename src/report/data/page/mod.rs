//! What the page in HTML shows: the same texts as the printed editions, and shapes for its map and its chart of the season.
//!
//! Takes the input, gives one JSON value in which every number is text. Pictures stand in it by their path.

mod ground;
mod season;

use std::collections::BTreeMap;

use serde_json::{Value, json};

use super::{board, care, figures, grants, limits, plates};
use crate::report::counted;
use crate::report::edition;
use crate::report::input::Input;
use crate::report::number::Style;
use crate::report::own::Own;
use crate::report::pictures::Picture;
use crate::season::{Edition, Paper};

/// Whole value of the page.
pub fn build(
    input: &Input<'_>,
    style: &Style,
    pictures: &BTreeMap<String, Picture>,
    own: &Own,
) -> Value {
    let settings = &input.season.settings;
    let public = input.edition == Edition::Public;
    let board = board::all(input, style);
    let care = care::all(
        input.season,
        &counted::pulls(input.season, input.ledger),
        public,
        style,
    );
    let mut value = json!({
        "language": style.language.code(),
        "look": {
            "paper": match settings.paper() { Paper::A4 => "A4", Paper::Letter => "letter" },
            "colours": super::colours(own),
            "logo": super::logo(own),
        },
        "public": public,
        "edition": style.language.of(edition::title(input.edition)),
        "key": key(input, style),
        "done": board["done"],
        "worked": board["worked"],
        "sure": board["sure"],
        "cautions": board["cautions"],
        "standing": board["standing"],
        // What the board has to decide, and where its crews have to be, is its own affair.
        "asks": if public { json!([]) } else { board["asks"].clone() },
        "returns": if public { Value::Null } else { board["returns"].clone() },
        "draft": super::findings::all(input.findings, public, style)["draft"],
        "grants": promises(input, style),
        "limits": limits::all(input, style),
        "pairs": plates::all(input, pictures, style)["pairs"],
        "blooms": care["blooms"].as_array().is_some_and(|blooms| !blooms.is_empty()),
        "grid": public.then(|| super::grid(input, style)),
    });
    if let Value::Object(map) = &mut value {
        map.extend(super::opening(input, style));
        map.insert("ground".into(), ground::all(input, style));
        map.insert("season".into(), season::all(input, style));
    }
    super::recolour(&mut value, &own.colours);
    super::make_settable(&mut value);
    value
}

/// The opening figures, in their order.
fn key(input: &Input<'_>, style: &Style) -> Value {
    figures::key(input.ledger)
        .as_array()
        .into_iter()
        .flatten()
        .filter_map(|name| figures::named(input.ledger, name.as_str()?, style))
        .collect()
}

/// Grants with something promised, each promise beside its figure.
fn promises(input: &Input<'_>, style: &Style) -> Value {
    let Value::Array(grants) = grants::all(input, style) else {
        return json!([]);
    };
    grants
        .into_iter()
        .filter_map(|mut grant| {
            let promises = grant.get_mut("deliverables")?.as_array_mut()?;
            for promise in promises.iter_mut() {
                let name = promise["figure"].as_str().unwrap_or_default();
                promise["reached"] = figures::named(input.ledger, name, style).into();
            }
            let mut names = ["title", "id"].into_iter().map(|key| &grant[key]);
            let name = names.find(|name| !name.is_null());
            let kept = json!({
                "name": name,
                "funder": grant["funder"],
                "period": grant["period"],
                "deliverables": grant["deliverables"],
            });
            grant["deliverables"]
                .as_array()
                .is_some_and(|promises| !promises.is_empty())
                .then_some(kept)
        })
        .collect()
}
