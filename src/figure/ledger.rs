//! The ledger: all figures of a season by name. The report's numbers are looked up here and nowhere else.

use std::collections::BTreeMap;
use std::io;

use serde::ser::SerializeMap;
use serde::{Serialize, Serializer};
use serde_json::{Map, Value, json};

use super::core::{Deliverable, Figure, Outturn};
use super::left_out::LeftOuts;
use crate::hash::{Hash, hex};
use crate::place::Places;
use crate::season::value::nearest;

/// Format of `figures.json`; raised when a reader of the former one would misread it.
pub const LEDGER_FORMAT: u32 = 2;

/// All figures, sorted by name, and the deliverables that rest on them.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Ledger {
    figures: BTreeMap<String, Figure>,
    pub deliverables: Vec<Deliverable>,
    /// Root of the archive of an earlier season on which figures may rest.
    pub previous: Option<Hash>,
}

impl Ledger {
    /// Adds a figure. A name is used once: a second figure of the same name is a mistake in the figure room and is refused
    /// by keeping the first, so that no number changes silently.
    pub fn add(&mut self, figure: Figure) {
        debug_assert!(
            !self.figures.contains_key(&figure.name),
            "figure {} twice",
            figure.name
        );
        self.figures.entry(figure.name.clone()).or_insert(figure);
    }

    pub fn get(&self, name: &str) -> Option<&Figure> {
        self.figures.get(name)
    }

    /// The name nearest to one that is not there, if any is near enough to be meant.
    pub fn nearest(&self, name: &str) -> Option<&str> {
        nearest(name, self.figures.keys().map(String::as_str))
    }

    /// The names nearest to one that is not there, the nearest first; none where nothing is near enough to be meant.
    pub fn near_names(&self, name: &str, most: usize) -> Vec<&str> {
        let folded = name.to_lowercase();
        // The end of a long name may be left out, or a site be asked for that the figure does not have.
        let likeness = |known: &str| {
            let begins = known.starts_with(&folded) || folded.starts_with(known);
            strsim::jaro_winkler(known, &folded) + if begins { 1.0 } else { 0.0 }
        };
        /// Below this two names share hardly more than their theme.
        const LEAST: f64 = 0.85;
        let mut near: Vec<(f64, &str)> = self
            .figures
            .keys()
            .map(|known| (likeness(known), known.as_str()))
            .filter(|(likeness, _)| *likeness >= LEAST)
            .collect();
        near.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(b.1)));
        near.into_iter()
            .take(most)
            .map(|(_, known)| known)
            .collect()
    }

    /// All figures in the order of their names.
    pub fn figures(&self) -> impl Iterator<Item = &Figure> {
        self.figures.values()
    }

    /// All figures of a stem that belong to a part: `parts("removal.wet-mass")` gives those of the sites.
    pub fn parts<'a>(&'a self, stem: &'a str) -> impl Iterator<Item = &'a Figure> {
        self.figures
            .values()
            .filter(move |figure| figure.stem() == stem && figure.part().is_some())
    }

    /// The same figures without the records under them.
    #[must_use]
    pub fn without_records(&self) -> Self {
        let bare = |figure: &Figure| Figure {
            places: Places::default(),
            left_out: LeftOuts::default(),
            ..figure.clone()
        };
        let figures = self.figures.iter();
        Self {
            figures: figures
                .map(|(name, figure)| (name.clone(), bare(figure)))
                .collect(),
            deliverables: self.deliverables.clone(),
            previous: self.previous,
        }
    }

    /// Writes the ledger as JSON: sorted, two spaces, a line end at the end; the same ledger gives the same bytes.
    ///
    /// # Errors
    /// Those of `out`.
    pub fn write_json(&self, out: &mut dyn io::Write) -> io::Result<()> {
        serde_json::to_writer_pretty(&mut *out, &AsJson(self))?;
        out.write_all(b"\n")
    }

    /// The same as a text.
    pub fn to_json(&self) -> String {
        let mut bytes = Vec::new();
        // Neither fails: it is written to memory, and JSON is UTF-8.
        let written = self.write_json(&mut bytes);
        written
            .ok()
            .and_then(|()| String::from_utf8(bytes).ok())
            .unwrap_or_default()
    }

    /// The ledger as CSV, a row a figure.
    ///
    /// # Errors
    /// None in practice: the writer writes to memory.
    pub fn to_csv(&self) -> Result<String, csv::Error> {
        let mut bytes = Vec::new();
        self.write_csv(&mut bytes)?;
        Ok(String::from_utf8(bytes).unwrap_or_default())
    }

    /// Writes the same.
    ///
    /// # Errors
    /// Those of `out`.
    pub fn write_csv(&self, out: &mut dyn io::Write) -> Result<(), csv::Error> {
        let mut writer = csv::Writer::from_writer(out);
        writer.write_record([
            "figure",
            "label",
            "value",
            "unit",
            "standard_error",
            "degrees_of_freedom",
            "lower",
            "upper",
            "level",
            "supposed_lower",
            "supposed_upper",
            "refused",
            "method",
            "records",
            "left_out",
        ])?;
        for figure in self.figures.values() {
            let estimate = match &figure.outturn {
                Outturn::Estimated(estimate) => Some(estimate),
                _ => None,
            };
            let supposed = match &figure.outturn {
                Outturn::Supposed(supposed) => Some(supposed),
                _ => None,
            };
            let interval = figure.interval();
            writer.write_record([
                figure.name.clone(),
                figure.label.to_string(),
                value_text(figure),
                figure.measure.base_unit().to_owned(),
                number_text(figure.standard_error()),
                number_text(estimate.and_then(|estimate| estimate.degrees_of_freedom)),
                number_text(interval.map(|interval| interval.lower)),
                number_text(interval.map(|interval| interval.upper)),
                number_text(interval.map(|interval| interval.level)),
                number_text(supposed.map(|supposed| supposed.lower)),
                number_text(supposed.map(|supposed| supposed.upper)),
                figure
                    .refusal()
                    .map(ToString::to_string)
                    .unwrap_or_default(),
                figure.method.to_string(),
                figure.places.texts().join("; "),
                figure
                    .left_out
                    .by_reason()
                    .iter()
                    .map(|out| format!("{} ({})", out.records.texts().join("; "), out.why.told()))
                    .collect::<Vec<_>>()
                    .join("; "),
            ])?;
        }
        Ok(writer.flush()?)
    }
}

fn value_text(figure: &Figure) -> String {
    match &figure.outturn {
        Outturn::Amount(amount) => amount.to_string(),
        _ => number_text(figure.value()),
    }
}

/// The shortest text that reads back as the same number.
fn number_text(number: Option<f64>) -> String {
    match number {
        Some(number) if number == f64::INFINITY => "infinite".to_owned(),
        Some(number) => number.to_string(),
        None => String::new(),
    }
}

/// The whole, key by key in the order of the keys, each figure when its turn comes: as values of JSON all of them at once would take ten
/// times the memory of the text that they become.
struct AsJson<'a>(&'a Ledger);

impl Serialize for AsJson<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut whole = serializer.serialize_map(None)?;
        whole.serialize_entry("deliverables", &to_value(&self.0.deliverables))?;
        whole.serialize_entry("figures", &FiguresAsJson(&self.0.figures))?;
        whole.serialize_entry("format", &LEDGER_FORMAT)?;
        if let Some(root) = &self.0.previous {
            whole.serialize_entry("previous", &hex(root))?;
        }
        whole.end()
    }
}

struct FiguresAsJson<'a>(&'a BTreeMap<String, Figure>);

impl Serialize for FiguresAsJson<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_map(
            self.0
                .iter()
                .map(|(name, figure)| (name, figure_json(figure))),
        )
    }
}

fn to_value<T: Serialize>(value: &T) -> Value {
    serde_json::to_value(value).unwrap_or(Value::Null)
}

/// JSON has no infinity.
fn upper_end(upper: f64) -> Value {
    if upper.is_finite() {
        json!(upper)
    } else {
        json!("infinite")
    }
}

fn figure_json(figure: &Figure) -> Value {
    let mut object = Map::new();
    object.insert("label".into(), to_value(&figure.label));
    object.insert("unit".into(), figure.measure.base_unit().into());
    match &figure.outturn {
        Outturn::Exact(value) => {
            object.insert("value".into(), json!(value));
            object.insert("exact".into(), true.into());
        }
        Outturn::Amount(amount) => {
            // A text, so that no cent is lost to binary fractions.
            object.insert("value".into(), amount.to_string().into());
            object.insert("exact".into(), true.into());
        }
        Outturn::Estimated(estimate) => {
            object.insert("value".into(), json!(estimate.value));
            object.insert("standard_error".into(), json!(estimate.standard_error));
            object.insert(
                "degrees_of_freedom".into(),
                json!(estimate.degrees_of_freedom),
            );
            object.insert(
                "interval".into(),
                match estimate.interval {
                    Some(interval) => json!({
                        "lower": interval.lower,
                        "upper": upper_end(interval.upper),
                        "level": interval.level,
                    }),
                    None => Value::Null,
                },
            );
            object.insert("observations".into(), json!(estimate.observations));
            object.insert("population".into(), json!(estimate.population));
            object.insert("estimator".into(), to_value(&estimate.method));
            object.insert("cautions".into(), json!(estimate.caution));
        }
        Outturn::Supposed(supposed) => {
            object.insert("value".into(), json!(supposed.middle));
            object.insert(
                "supposed".into(),
                json!({
                    "lower": supposed.lower,
                    "upper": upper_end(supposed.upper),
                    "share_of_scenarios": supposed.share,
                }),
            );
            object.insert("cautions".into(), json!(supposed.caution));
        }
        Outturn::Refused(reason) => {
            object.insert("value".into(), Value::Null);
            object.insert("refused".into(), to_value(reason));
        }
    }
    object.insert("method".into(), to_value(&figure.method));
    object.insert("assumptions".into(), json!(figure.assumptions));
    object.insert("records".into(), to_value(&figure.places));
    object.insert("left_out".into(), to_value(&figure.left_out));
    Value::Object(object)
}
