//! Comparing a packed ledger with one that was worked out again: each figure, each field, both values.
//!
//! Takes two values of figures.json; gives the differences. Pure: it neither reads archives nor computes figures, and
//! knows of the ledger only that it is JSON with the fields `figures` and `deliverables`.

use serde::Serialize;
use serde_json::Value;

/// Two numbers that differ by less than this share of the larger are one number: the last digits of a floating-point sum
/// may depend on the processor.
const SAME_WITHIN: f64 = 1e-9;
/// Differences listed at most: an altered log can touch every field of every figure.
const MOST_LISTED: usize = 1000;
/// Letters of a value that are shown.
const LONGEST_SHOWN: usize = 200;
/// How deep fields may lie within each other; the ledger's own need five.
const DEEPEST: usize = 16;

/// The fields of a figure that another version must give the same. Its words may have been rephrased meanwhile.
const FIGURE_FIELDS: [&str; 7] = [
    "value",
    "unit",
    "exact",
    "standard_error",
    "interval",
    "supposed",
    "observations",
];

/// What is compared.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Depth {
    /// Everything: the same version wrote both.
    Everything,
    /// What is a number or decides on one: another version wrote the packed one.
    FiguresOnly,
}

/// One field that differs.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Difference {
    /// Name of the figure, or `deliverables`, `format` or `previous`.
    pub figure: String,
    /// Which of its fields: `value`, `interval/lower`; empty for all of it.
    pub field: String,
    /// What the archive says; None if it has no such thing.
    pub packed: Option<String>,
    /// What the records give; None if they give no such thing.
    pub derived: Option<String>,
}

/// What the comparison of two ledgers gave.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Comparison {
    /// Figures in the packed ledger.
    pub figures: usize,
    /// Sorted by the name of the figure.
    pub differences: Vec<Difference>,
    /// Differences beyond the listed ones.
    pub differences_left_out: usize,
}

/// Compares two ledgers.
pub fn compare(packed: &Value, derived: &Value, depth: Depth) -> Comparison {
    let mut found = Comparison::default();
    let nothing = serde_json::Map::new();
    let figures = |ledger: &Value| ledger.get("figures").and_then(Value::as_object).cloned();
    let ours = figures(packed).unwrap_or_else(|| nothing.clone());
    let theirs = figures(derived).unwrap_or(nothing);
    found.figures = ours.len();
    let mut names: Vec<&String> = ours.keys().chain(theirs.keys()).collect();
    names.sort();
    names.dedup();
    for name in names {
        let (one, two) = (ours.get(name), theirs.get(name));
        match (one, two, depth) {
            (Some(one), Some(two), Depth::FiguresOnly) => {
                for field in FIGURE_FIELDS {
                    walk(name, field, one.get(field), two.get(field), 1, &mut found);
                }
                // Whether there is a figure at all counts; how its absence is worded doesn't.
                let refused =
                    |figure: &Value| figure.get("refused").is_some_and(|why| !why.is_null());
                if refused(one) != refused(two) {
                    walk(
                        name,
                        "refused",
                        one.get("refused"),
                        two.get("refused"),
                        1,
                        &mut found,
                    );
                }
            }
            // A figure that only the newer version knows is no difference.
            (None, Some(_), Depth::FiguresOnly) => {}
            _ => walk(name, "", one, two, 0, &mut found),
        }
    }
    if depth == Depth::Everything {
        for other in ["format", "deliverables", "previous"] {
            walk(
                other,
                "",
                packed.get(other),
                derived.get(other),
                0,
                &mut found,
            );
        }
    }
    found
}

/// Goes down into two values and adds what differs.
fn walk(
    figure: &str,
    field: &str,
    packed: Option<&Value>,
    derived: Option<&Value>,
    depth: usize,
    found: &mut Comparison,
) {
    let below = |part: &str| {
        if field.is_empty() {
            part.to_owned()
        } else {
            format!("{field}/{part}")
        }
    };
    match (packed, derived) {
        (Some(Value::Object(one)), Some(Value::Object(two))) if depth < DEEPEST => {
            let mut keys: Vec<&String> = one.keys().chain(two.keys()).collect();
            keys.sort();
            keys.dedup();
            for key in keys {
                walk(
                    figure,
                    &below(key),
                    one.get(key),
                    two.get(key),
                    depth + 1,
                    found,
                );
            }
        }
        (Some(Value::Array(one)), Some(Value::Array(two))) if depth < DEEPEST => {
            for at in 0..one.len().max(two.len()) {
                let part = below(&at.to_string());
                walk(figure, &part, one.get(at), two.get(at), depth + 1, found);
            }
        }
        _ => {
            if !same(packed, derived) {
                if found.differences.len() >= MOST_LISTED {
                    found.differences_left_out += 1;
                    return;
                }
                found.differences.push(Difference {
                    figure: figure.to_owned(),
                    field: field.to_owned(),
                    packed: packed.map(shown),
                    derived: derived.map(shown),
                });
            }
        }
    }
}

fn same(one: Option<&Value>, two: Option<&Value>) -> bool {
    if let (Some(Value::Number(one)), Some(Value::Number(two))) = (one, two)
        && let (Some(one), Some(two)) = (one.as_f64(), two.as_f64())
    {
        return same_number(one, two);
    }
    one == two
}

/// Whether two numbers are one, but for the last digits of a floating-point sum.
pub fn same_number(one: f64, two: f64) -> bool {
    one == two || (one - two).abs() <= SAME_WITHIN * one.abs().max(two.abs())
}

/// Figures that compare seasons: they may rest on the ledger of an earlier archive.
const OF_SEASONS: [&str; 2] = ["history.", "trend."];
/// What is said of a promise, by its grant and id.
const OF_PROMISES: &str = "deliverable.";

/// Takes out of a ledger what may rest on an earlier archive: figures that compare seasons, and promises that such a figure
/// answers. The names of the figures taken out.
pub fn set_seasons_aside(ledger: &mut Value) -> Vec<String> {
    let of_seasons = |name: &str| OF_SEASONS.iter().any(|stem| name.starts_with(stem));
    let mut promises = Vec::new();
    if let Some(list) = ledger.get_mut("deliverables").and_then(Value::as_array_mut) {
        list.retain(|promise| {
            let text = |field: &str| {
                promise
                    .get(field)
                    .and_then(Value::as_str)
                    .unwrap_or_default()
            };
            let aside = of_seasons(text("figure"));
            if aside {
                promises.push(format!("/{}/{}", text("grant"), text("id")));
            }
            !aside
        });
    }
    let mut taken = Vec::new();
    if let Some(figures) = ledger.get_mut("figures").and_then(Value::as_object_mut) {
        figures.retain(|name, _| {
            let of_promise = name.starts_with(OF_PROMISES)
                && promises
                    .iter()
                    .any(|promise| name.ends_with(promise.as_str()));
            let aside = of_seasons(name) || of_promise;
            if aside {
                taken.push(name.clone());
            }
            !aside
        });
    }
    if let Some(object) = ledger.as_object_mut() {
        object.remove("previous");
    }
    taken
}

fn shown(value: &Value) -> String {
    let text = match value {
        Value::String(text) => text.clone(),
        other => other.to_string(),
    };
    if text.chars().count() > LONGEST_SHOWN {
        text.chars().take(LONGEST_SHOWN).chain(['…']).collect()
    } else {
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    fn ledger() -> Value {
        json!({
            "format": 1,
            "figures": {
                "effort.person-hours": {"label": "Hours", "value": 120.5, "unit": "h", "records": ["pulls.csv:2"]},
                "removal.wet-mass": {
                    "label": "Mass", "value": 1000.0, "unit": "kg", "standard_error": 12.0,
                    "interval": {"lower": 970.0, "upper": 1030.0, "level": 0.95},
                },
            },
            "deliverables": [{"id": "hours", "standing": "met"}],
        })
    }

    fn told(found: &Comparison) -> Vec<String> {
        let list = found.differences.iter();
        list.map(|one| format!("{} {}", one.figure, one.field))
            .collect()
    }

    #[test]
    fn the_same_ledger_has_no_differences() {
        for depth in [Depth::Everything, Depth::FiguresOnly] {
            let found = compare(&ledger(), &ledger(), depth);
            assert_eq!((found.figures, found.differences), (2, vec![]));
        }
    }

    #[test]
    fn each_difference_is_named_with_both_values() {
        let mut other = ledger();
        other["figures"]["removal.wet-mass"]["interval"]["lower"] = json!(960);
        other["figures"]["effort.person-hours"]["label"] = json!("Stunden");
        other["figures"]["effort.person-hours"]["records"] = json!([]);
        other["deliverables"][0]["standing"] = json!("missed");
        let found = compare(&ledger(), &other, Depth::Everything);
        assert_eq!(
            told(&found),
            [
                "effort.person-hours label",
                "effort.person-hours records/0",
                "removal.wet-mass interval/lower",
                "deliverables 0/standing",
            ]
        );
        assert_eq!(found.differences[2].packed.as_deref(), Some("970.0"));
        assert_eq!(found.differences[2].derived.as_deref(), Some("960"));
        assert_eq!(found.differences[1].derived, None);
        // Words may have changed between versions; numbers may not.
        let found = compare(&ledger(), &other, Depth::FiguresOnly);
        assert_eq!(told(&found), ["removal.wet-mass interval/lower"]);
    }

    #[test]
    fn numbers_count_as_equal_to_a_billionth_and_no_further() {
        for (value, equal) in [
            (120.5 * (1.0 + 5e-10), true),
            (120.5 * (1.0 + 5e-9), false),
            (0.0, false),
        ] {
            let mut other = ledger();
            other["figures"]["effort.person-hours"]["value"] = json!(value);
            let found = compare(&ledger(), &other, Depth::Everything);
            assert_eq!(found.differences.is_empty(), equal, "{value}");
        }
        let mut exact = ledger();
        exact["figures"]["removal.wet-mass"]["value"] = json!(1000);
        assert_eq!(
            compare(&ledger(), &exact, Depth::Everything).differences,
            []
        );
        // A sum of money is a text and has to be the same to the letter.
        assert!(!same(Some(&json!("12.50")), Some(&json!("12.5"))));
    }

    #[test]
    fn figures_that_came_or_went_are_told() {
        let mut other = ledger();
        let figures = other["figures"].as_object_mut().unwrap();
        figures.remove("effort.person-hours");
        figures.insert("new".into(), json!({"value": 1}));
        let found = compare(&ledger(), &other, Depth::Everything);
        assert_eq!(told(&found), ["effort.person-hours ", "new "]);
        assert_eq!(found.differences[0].derived, None);
        let found = compare(&ledger(), &other, Depth::FiguresOnly);
        assert_eq!(told(&found), ["effort.person-hours "]);
        // A figure that was refused and now has a value, and the other way round.
        let mut refused = ledger();
        refused["figures"]["effort.person-hours"] =
            json!({"value": null, "unit": "h", "refused": "no hours"});
        let found = compare(&ledger(), &refused, Depth::FiguresOnly);
        assert_eq!(
            told(&found),
            ["effort.person-hours value", "effort.person-hours refused"]
        );
    }

    #[test]
    fn nonsense_is_compared_without_harm_and_without_end() {
        for value in [
            json!(null),
            json!([]),
            json!({"figures": 3}),
            json!({"figures": {"a": 1}}),
        ] {
            compare(&value, &ledger(), Depth::Everything);
            compare(&ledger(), &value, Depth::FiguresOnly);
        }
        let many = |value: usize| {
            let figures: serde_json::Map<String, Value> = (0..MOST_LISTED + 5)
                .map(|number| (number.to_string(), json!({"value": value})))
                .collect();
            json!({ "figures": figures })
        };
        let found = compare(&many(1), &many(2), Depth::Everything);
        assert_eq!(
            (found.differences.len(), found.differences_left_out),
            (MOST_LISTED, 5)
        );
        let long = json!({"figures": {"a": "x".repeat(10_000)}});
        let found = compare(&long, &json!({}), Depth::Everything);
        assert!(
            found.differences[0]
                .packed
                .as_ref()
                .unwrap()
                .chars()
                .count()
                <= LONGEST_SHOWN + 1
        );
    }

    #[test]
    fn what_may_rest_on_an_earlier_archive_is_set_aside_and_nothing_else() {
        let mut ledger = json!({
            "figures": {
                "effort.person-hours": {}, "history.rate/2024": {}, "trend.rate": {}, "trend.rate/north": {},
                "deliverable.chance/fund/less": {}, "deliverable.chance/fund/hours": {},
            },
            "deliverables": [
                {"grant": "fund", "id": "less", "figure": "trend.rate"},
                {"grant": "fund", "id": "hours", "figure": "effort.person-hours"},
            ],
            "previous": "abc",
        });
        let taken = set_seasons_aside(&mut ledger);
        assert_eq!(
            taken,
            [
                "deliverable.chance/fund/less",
                "history.rate/2024",
                "trend.rate",
                "trend.rate/north"
            ]
        );
        assert_eq!(
            ledger,
            json!({
                "figures": {"effort.person-hours": {}, "deliverable.chance/fund/hours": {}},
                "deliverables": [{"grant": "fund", "id": "hours", "figure": "effort.person-hours"}],
            })
        );
        for mut nonsense in [
            json!(null),
            json!([]),
            json!({"figures": 3, "deliverables": {}}),
        ] {
            assert!(set_seasons_aside(&mut nonsense).is_empty());
        }
    }
}
