//! Reading season.toml part by part, with a problem for each slip.

use chrono::NaiveDate;
use chrono_tz::Tz;
use serde::de::DeserializeOwned;

use super::{Grant, MethodSettings, SETTINGS_FILE, Settings, UnitSettings};
use crate::place::Place;
use crate::season::problem::{Problem, ProblemKind};
use crate::season::value::nearest;
use crate::units::{Dimension, Unit};
use crate::words;
use crate::words::Words;
use crate::words::number;

/// The keys at the top of season.toml.
const KEYS: &[&str] = &[
    "programme",
    "title",
    "year",
    "starts",
    "ends",
    "time_zone",
    "species",
    "scientific_name",
    "notice",
    "seed_ripens",
    "units",
    "dates",
    "method",
    "grants",
    "rates",
    "privacy",
    "report",
    "headings",
    "names",
    "accepted",
    "previous",
    "absence",
    "seed_bank",
    "clocks",
];

/// Other spellings of keys that are read as ours.
const KEY_SYNONYMS: &[(&str, &str)] = &[
    ("program", "programme"),
    ("name", "programme"),
    ("timezone", "time_zone"),
    ("zone", "time_zone"),
    ("tz", "time_zone"),
    ("start", "starts"),
    ("end", "ends"),
    ("season_starts", "starts"),
    ("season_ends", "ends"),
    ("grant", "grants"),
    ("rate", "rates"),
    ("accept", "accepted"),
    ("clock", "clocks"),
];

/// Reads season.toml.
///
/// # Errors
/// The parser's message where the text is no TOML at all: nothing else in the folder can be understood then.
pub fn read(text: &str, problems: &mut Vec<Problem>) -> Result<Settings, String> {
    let mut table: toml::Table = toml::from_str(text).map_err(|error| error.to_string())?;
    for (theirs, ours) in KEY_SYNONYMS {
        if !table.contains_key(*ours)
            && let Some(value) = table.remove(*theirs)
        {
            table.insert((*ours).to_owned(), value);
        }
    }
    let mut reader = Reader { table, problems };
    let programme = reader.needed("programme", String::new());
    let year = reader.needed("year", 0i32);
    let zone_name: Option<String> = reader.optional("time_zone");
    let time_zone = reader.zone(zone_name);
    let starts = reader.day("starts");
    let ends = reader.day("ends");
    let settings = Settings {
        programme,
        title: reader.optional("title"),
        year,
        starts: starts
            .or(NaiveDate::from_ymd_opt(year, 1, 1))
            .unwrap_or_default(),
        ends: ends
            .or(NaiveDate::from_ymd_opt(year, 12, 31))
            .unwrap_or_default(),
        time_zone,
        species: reader.optional("species"),
        scientific_name: reader.optional("scientific_name"),
        notice: reader.optional("notice"),
        seed_ripens: reader.day("seed_ripens"),
        units: reader.units(),
        dates: reader.optional("dates").unwrap_or_default(),
        method: reader.optional("method").unwrap_or_default(),
        grants: with_ids(reader.list("grants")),
        rates: reader.list("rates"),
        privacy: reader.optional("privacy").unwrap_or_default(),
        report: reader.optional("report").unwrap_or_default(),
        headings: reader
            .optional::<std::collections::BTreeMap<String, String>>("headings")
            .unwrap_or_default()
            .into_iter()
            .collect(),
        names: reader
            .optional::<std::collections::BTreeMap<String, String>>("names")
            .unwrap_or_default()
            .into_iter()
            .collect(),
        accepted: reader.list("accepted"),
        previous: reader.optional("previous"),
        absence: reader.optional("absence"),
        seed_bank: reader.optional("seed_bank"),
        clocks: reader.list("clocks"),
    };
    reader.leftovers();
    let settings = Settings {
        method: checked_method(settings.method, problems),
        ..settings
    };
    check_units(&settings.units, problems);
    check_days(&settings, problems);
    Ok(settings)
}

struct Reader<'a> {
    table: toml::Table,
    problems: &'a mut Vec<Problem>,
}

impl Reader<'_> {
    fn report(&mut self, key: &str, kind: ProblemKind) {
        self.problems.push(Problem {
            place: Place::key(SETTINGS_FILE, key),
            kind,
            row: None,
        });
    }

    fn typed<T: DeserializeOwned>(&mut self, key: &str, value: toml::Value) -> Option<T> {
        let mut unknown = Vec::new();
        let result: Result<T, _> =
            serde_ignored::deserialize(value, |path| unknown.push(path.to_string()));
        for path in unknown {
            self.report(
                &format!("{key}.{path}"),
                ProblemKind::KeyUnknown {
                    key: path,
                    nearest: None,
                },
            );
        }
        result
            .map_err(|error| {
                let reason = error.to_string().trim().replace('\n', " ");
                self.report(
                    key,
                    ProblemKind::KeyWrong {
                        key: key.to_owned(),
                        reason: reason.into(),
                    },
                );
            })
            .ok()
    }

    fn optional<T: DeserializeOwned>(&mut self, key: &str) -> Option<T> {
        let value = self.table.remove(key)?;
        self.typed(key, value)
    }

    fn needed<T: DeserializeOwned>(&mut self, key: &'static str, otherwise: T) -> T {
        if !self.table.contains_key(key) {
            self.report(key, ProblemKind::KeyMissing { key });
            return otherwise;
        }
        self.optional(key).unwrap_or(otherwise)
    }

    /// A list of tables, each read by itself; a single table counts as a list of one.
    fn list<T: DeserializeOwned>(&mut self, key: &str) -> Vec<T> {
        let items = match self.table.remove(key) {
            None => Vec::new(),
            Some(toml::Value::Array(items)) => items,
            Some(other) => vec![other],
        };
        items
            .into_iter()
            .enumerate()
            .filter_map(|(index, item)| {
                let name = item
                    .get("id")
                    .and_then(toml::Value::as_str)
                    .map_or_else(|| (index + 1).to_string(), str::to_owned);
                self.typed(&format!("{key}.{name}"), item)
            })
            .collect()
    }

    fn day(&mut self, key: &'static str) -> Option<NaiveDate> {
        let value = self.table.remove(key)?;
        let text = match &value {
            toml::Value::Datetime(stamp) => stamp.to_string(),
            toml::Value::String(text) => text.clone(),
            other => other.to_string(),
        };
        let date = text
            .get(..10)
            .and_then(|day| NaiveDate::parse_from_str(day, "%Y-%m-%d").ok());
        if date.is_none() {
            self.report(
                key,
                ProblemKind::KeyWrong {
                    key: key.to_owned(),
                    reason: words!("{text} is no date; write it as 2025-07-04", text),
                },
            );
        }
        date
    }

    fn zone(&mut self, name: Option<String>) -> Tz {
        match name {
            None => {
                self.report("time_zone", ProblemKind::KeyMissing { key: "time_zone" });
                Tz::UTC
            }
            Some(name) => name.parse().unwrap_or_else(|_| {
                self.report(
                    "time_zone",
                    ProblemKind::KeyWrong {
                        key: "time_zone".into(),
                        reason: words!(
                            "{name} is no IANA time zone; one looks like America/New_York",
                            name = &name
                        ),
                    },
                );
                Tz::UTC
            }),
        }
    }

    /// `[units]`, or the one word `units = "us"`.
    fn units(&mut self) -> UnitSettings {
        match self.table.remove("units") {
            None => UnitSettings::default(),
            Some(word @ toml::Value::String(_)) => UnitSettings {
                print: self.typed("units", word).unwrap_or_default(),
                ..UnitSettings::default()
            },
            Some(table) => self.typed("units", table).unwrap_or_default(),
        }
    }

    fn leftovers(&mut self) {
        let unknown: Vec<String> = self.table.keys().cloned().collect();
        for key in unknown {
            let nearest = nearest(&key, KEYS.iter().copied()).map(str::to_owned);
            self.report(
                &key,
                ProblemKind::KeyUnknown {
                    key: key.clone(),
                    nearest,
                },
            );
        }
    }
}

/// Gives an id to each grant and deliverable that has none, so that figures and findings can name it.
fn with_ids(mut grants: Vec<Grant>) -> Vec<Grant> {
    for (number, grant) in grants.iter_mut().enumerate() {
        if grant.id.trim().is_empty() {
            grant.id = format!("grant-{}", number + 1);
        }
        for (number, promise) in grant.deliverables.iter_mut().enumerate() {
            if promise.id.trim().is_empty() {
                promise.id = (number + 1).to_string();
            }
            if promise.text.trim().is_empty() {
                promise.text.clone_from(&promise.figure);
            }
        }
    }
    grants
}

/// A level outside the sensible would make every interval nonsense.
fn checked_method(method: MethodSettings, problems: &mut Vec<Problem>) -> MethodSettings {
    if method.level > 0.5 && method.level < 1.0 {
        return method;
    }
    problems.push(Problem {
        place: Place::key(SETTINGS_FILE, "method.level"),
        kind: ProblemKind::KeyWrong {
            key: "method.level".into(),
            reason: words!(
                "{level} is no confidence level; {usual} is usual, and {usual} is used",
                level = number(method.level.to_string()),
                usual = number("0.95")
            ),
        },
        row: None,
    });
    MethodSettings {
        level: MethodSettings::default().level,
        ..method
    }
}

/// Years of which anybody keeps such a log.
const YEARS: std::ops::RangeInclusive<i32> = 1900..=2200;

fn check_days(settings: &Settings, problems: &mut Vec<Problem>) {
    let mut wrong = |key: &str, reason: Words| {
        problems.push(Problem {
            place: Place::key(SETTINGS_FILE, key),
            kind: ProblemKind::KeyWrong {
                key: key.to_owned(),
                reason,
            },
            row: None,
        });
    };
    // A missing year has been told as such.
    if settings.year != 0 && !YEARS.contains(&settings.year) {
        wrong(
            "year",
            words!(
                "{year} is no year of a season",
                year = settings.year.to_string()
            ),
        );
    }
    if settings.ends < settings.starts {
        wrong(
            "ends",
            words!(
                "the season ends on {ends} and starts on {starts}",
                ends = settings.ends.to_string(),
                starts = settings.starts.to_string()
            ),
        );
    }
}

fn check_units(units: &UnitSettings, problems: &mut Vec<Problem>) {
    for (key, name, dimension) in [
        ("units.mass", &units.mass, Dimension::Mass),
        ("units.area", &units.area, Dimension::Area),
    ] {
        let Some(name) = name else { continue };
        if Unit::named(name).is_none_or(|unit| unit.dimension() != dimension) {
            problems.push(Problem {
                place: Place::key(SETTINGS_FILE, key),
                kind: ProblemKind::UnitUnknown {
                    unit: name.clone(),
                    dimension,
                },
                row: None,
            });
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::season::settings::Paper;

    #[test]
    fn slips_are_told_all_at_once_and_the_rest_stands() {
        let mut problems = Vec::new();
        let settings = read(
            "programme = \"P\"\nyear = 2025\ntime_zone = \"Nowhere/Land\"\nspecis = \"x\"\n\
             [units]\nprint = \"imperial\"\n[[grants]]\nid = \"g\"\nfederl = true\n\
             [[rates]]\nkind = \"volunteer\"\nper_hour = 31.8\n",
            &mut problems,
        )
        .unwrap();
        let keys: Vec<String> = problems
            .iter()
            .map(|problem| problem.place.to_string())
            .collect();
        assert_eq!(
            keys,
            [
                "season.toml key time_zone",
                "season.toml key units",
                "season.toml key grants.g.federl",
                "season.toml key specis",
            ]
        );
        assert_eq!(settings.year, 2025);
        assert_eq!(settings.rates[0].per_hour.to_string(), "31.8");
    }

    #[test]
    fn suppositions_are_ranges_with_their_source() {
        let mut problems = Vec::new();
        let settings = read(
            "programme = \"P\"\nyear = 2025\ntime_zone = \"UTC\"\n[absence]\nfinds_per_hour = [0.2, 1]\n\
             chance_before = { low = 0.5, high = 0.9, source = \"the group\" }\n",
            &mut problems,
        )
        .unwrap();
        let absence = settings.absence.unwrap();
        assert_eq!(absence.finds_per_hour.high, 1.0);
        assert_eq!(absence.chance_before.source.as_deref(), Some("the group"));
        assert_eq!(problems, []);
        let wrong = "programme = \"P\"\nyear = 2025\ntime_zone = \"UTC\"\n[absence]\nfinds_per_hour = [2, 1]\nchance_before = 1\n";
        assert_eq!(read(wrong, &mut problems).unwrap().absence, None);
        assert_eq!(problems.len(), 1);
    }

    #[test]
    fn clocks_are_corrected_from_one_moment_to_another() {
        let mut problems = Vec::new();
        let settings = read(
            "programme = \"P\"\nyear = 2025\ntime_zone = \"UTC\"\n[[clocks]]\ncamera = \"Invented Phone B\"\n\
             from = \"2025-08-02 09:00\"\nuntil = 2025-08-03\ncorrection = \"-1:00:00\"\n",
            &mut problems,
        )
        .unwrap();
        assert_eq!(problems, []);
        let clock = &settings.clocks[0];
        assert_eq!(clock.correction, -3600);
        let holds = |camera: &str, local: &str| clock.holds_for(camera, local.parse().unwrap());
        assert!(holds("invented phone b", "2025-08-02T09:00:00"));
        assert!(holds("Invented Phone B", "2025-08-03T23:59:59"));
        assert!(!holds("Invented Phone B", "2025-08-04T00:00:00"));
        assert!(!holds("Invented Phone B", "2025-08-02T08:59:59"));
        assert!(!holds("Invented Phone A", "2025-08-02T10:00:00"));
        let wrong = "programme = \"P\"\nyear = 2025\ntime_zone = \"UTC\"\n[[clocks]]\ncamera = \"B\"\ncorrection = \"an hour\"\n";
        assert!(read(wrong, &mut problems).unwrap().clocks.is_empty());
        assert_eq!(problems.len(), 1);
    }

    #[test]
    fn grants_and_promises_without_ids_are_numbered() {
        let mut problems = Vec::new();
        let settings = read(
            "programme=\"P\"\nyear=2025\ntime_zone=\"UTC\"\n[[grants]]\nname=\"G\"\n[[grants.deliverables]]\n\
             figure=\"effort.pulls\"\nat_least=3\n",
            &mut problems,
        )
        .unwrap();
        assert_eq!(problems, []);
        assert_eq!(settings.grants[0].id, "grant-1");
        assert_eq!(settings.grants[0].deliverables[0].id, "1");
        assert_eq!(settings.grants[0].deliverables[0].text, "effort.pulls");
    }

    #[test]
    fn no_toml_is_an_error_with_the_parsers_words() {
        assert!(read("year = = 2025", &mut Vec::new()).is_err());
    }

    #[test]
    fn paper_follows_the_units_unless_said() {
        let mut problems = Vec::new();
        let read_paper = |units: &str, problems: &mut Vec<Problem>| {
            read(
                &format!("programme=\"P\"\nyear=2025\ntime_zone=\"UTC\"\n{units}"),
                problems,
            )
            .unwrap()
            .paper()
        };
        assert_eq!(read_paper("units=\"us\"", &mut problems), Paper::Letter);
        assert_eq!(read_paper("", &mut problems), Paper::A4);
        assert_eq!(
            read_paper("[units]\nprint=\"us\"\npaper=\"a4\"", &mut problems),
            Paper::A4
        );
        assert_eq!(problems, []);
    }
}
