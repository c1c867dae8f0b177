//! season.toml: the programme, the year, the money, the choices.
//!
//! Each part is read by itself, so that a slip in one leaves the others standing and all slips are told at once.

use chrono::NaiveDate;
use chrono_tz::Tz;
use rust_decimal::Decimal;
use serde::Deserialize;
use serde::de::DeserializeOwned;

use super::problem::{Problem, ProblemKind};
use super::table::Conventions;
use super::value::{DateOrder, fold, nearest};
use crate::place::Place;
use crate::units::{Dimension, Unit};

pub const SETTINGS_FILE: &str = "season.toml";

/// All of season.toml, with defaults where it is silent.
#[derive(Debug, Clone, PartialEq)]
pub struct Settings {
    pub programme: String,
    pub title: Option<String>,
    pub year: i32,
    pub starts: NaiveDate,
    pub ends: NaiveDate,
    pub time_zone: Tz,
    pub species: Option<String>,
    pub scientific_name: Option<String>,
    pub notice: Option<String>,
    pub seed_ripens: Option<NaiveDate>,
    pub units: UnitSettings,
    pub dates: DateSettings,
    pub method: MethodSettings,
    pub grants: Vec<Grant>,
    pub rates: Vec<Rate>,
    pub privacy: PrivacySettings,
    pub headings: Vec<(String, String)>,
    pub accepted: Vec<Accepted>,
    pub previous: Option<Previous>,
    pub absence: Option<AbsenceSettings>,
    pub seed_bank: Option<SeedBankSettings>,
}

/// A range that the group supposes, with where it comes from: `{ low = 1, high = 3, source = "…" }`, or `[1, 3]`.
#[derive(Debug, Clone, PartialEq)]
pub struct Supposition {
    pub low: f64,
    pub high: f64,
    pub source: Option<String>,
}

impl<'de> Deserialize<'de> for Supposition {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        use serde::de::Error;
        let wrong = || {
            D::Error::custom(
                "a range is written as { low = 1, high = 3, source = \"where it comes from\" }, or as [1, 3], the lower end first",
            )
        };
        let number = |value: &toml::Value| match value {
            toml::Value::Integer(whole) => Some(*whole as f64),
            toml::Value::Float(number) => Some(*number),
            _ => None,
        };
        let (low, high, source) = match toml::Value::deserialize(deserializer)? {
            toml::Value::Array(ends) => match ends.as_slice() {
                [low, high] => (number(low), number(high), None),
                _ => return Err(wrong()),
            },
            toml::Value::Table(table) => (
                table.get("low").and_then(number),
                table.get("high").and_then(number),
                table
                    .get("source")
                    .and_then(toml::Value::as_str)
                    .map(str::to_owned),
            ),
            fixed => (number(&fixed), number(&fixed), None),
        };
        match (low, high) {
            (Some(low), Some(high)) if low.is_finite() && high.is_finite() && low <= high => {
                Ok(Self { low, high, source })
            }
            _ => Err(wrong()),
        }
    }
}

/// What the group supposes where a search found nothing.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct AbsenceSettings {
    /// Finds per person-hour of search that the least presence that matters would bring.
    pub finds_per_hour: Supposition,
    /// Chance, 0 to 1, that plants were there before the searches.
    pub chance_before: Supposition,
}

/// What the group supposes of the seeds in the mud.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct SeedBankSettings {
    /// The first year of pulling.
    pub began: i32,
    /// Live seeds a square metre when pulling began.
    pub seeds_per_m2: Supposition,
    /// Share of seeds that germinates in a year.
    pub germinating: Supposition,
    /// Share of buried seeds that lives through a year.
    pub surviving: Supposition,
    /// Share of seedlings that grows up.
    pub establishing: Supposition,
    /// Live seeds that a rosette left alone adds.
    pub seeds_per_rosette: Supposition,
    /// Share of rosettes pulled before they seed.
    pub removed: Supposition,
    /// Live seeds a square metre beyond which crowding lets the stock grow no further.
    #[serde(default)]
    pub most_seeds_per_m2: Option<f64>,
    #[serde(default = "default_years_ahead")]
    pub years_ahead: u32,
    /// Start of the random draws; the same number gives the same scenarios.
    #[serde(default = "default_seed")]
    pub seed: u64,
}

/// As long as seeds are said to live (common practice, no source).
fn default_years_ahead() -> u32 {
    12
}

/// Any number serves, as long as it stays the same.
fn default_seed() -> u64 {
    1
}

/// Units in which the report is printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum PrintUnits {
    #[default]
    Metric,
    #[serde(alias = "US")]
    Us,
}

/// Paper of the report.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Paper {
    #[default]
    #[serde(alias = "A4")]
    A4,
    #[serde(alias = "Letter", alias = "us-letter")]
    Letter,
}

#[derive(Debug, Clone, PartialEq, Default, Deserialize)]
#[serde(default)]
pub struct UnitSettings {
    pub print: PrintUnits,
    /// Letter with US units, A4 with metric ones where nothing is said.
    pub paper: Option<Paper>,
    /// Unit of columns named just `mass`.
    pub mass: Option<String>,
    /// Unit of columns named just `searched_area` or `treated_area`.
    pub area: Option<String>,
    pub currency: Option<String>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize)]
#[serde(default)]
pub struct DateSettings {
    pub order: DateOrder,
}

#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(default)]
pub struct MethodSettings {
    /// Confidence level of all intervals.
    pub level: f64,
    /// Kinds of container in use, where the group names them.
    pub containers: Vec<String>,
    pub stages: Vec<String>,
    pub cover_classes: String,
}

impl Default for MethodSettings {
    fn default() -> Self {
        Self {
            level: 0.95,
            containers: Vec::new(),
            stages: [
                "seedling",
                "rosette",
                "flowering",
                "fruiting",
                "ripe",
                "dropped",
            ]
            .map(str::to_owned)
            .to_vec(),
            cover_classes: "daubenmire-1959".to_owned(),
        }
    }
}

#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Grant {
    /// Where season.toml gives none: its number.
    #[serde(default)]
    pub id: String,
    #[serde(default)]
    pub funder: Option<String>,
    #[serde(default, alias = "name")]
    pub title: Option<String>,
    #[serde(default)]
    pub federal: bool,
    #[serde(default, with = "day")]
    pub starts: Option<NaiveDate>,
    #[serde(default, with = "day")]
    pub ends: Option<NaiveDate>,
    #[serde(default, with = "money_option", alias = "match")]
    pub match_required: Option<Decimal>,
    #[serde(default)]
    pub deliverables: Vec<DeliverableSetting>,
    #[serde(default)]
    pub budget: Vec<BudgetLine>,
}

#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct DeliverableSetting {
    /// Where season.toml gives none: its number in the grant.
    #[serde(default)]
    pub id: String,
    /// Where season.toml gives none: the figure's name.
    #[serde(default, alias = "name", alias = "title", alias = "description")]
    pub text: String,
    /// Name of a figure in the ledger.
    pub figure: String,
    #[serde(default, alias = "target")]
    pub at_least: Option<f64>,
    #[serde(default)]
    pub at_most: Option<f64>,
    /// Unit of the target; the figure's base unit where absent.
    #[serde(default)]
    pub unit: Option<String>,
}

#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct BudgetLine {
    #[serde(alias = "name", alias = "id")]
    pub line: String,
    #[serde(with = "money", alias = "planned", alias = "budget")]
    pub amount: Decimal,
}

/// Value of an hour given in kind.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Rate {
    /// `volunteer`, or `staff` for hours paid from own funds or by a partner.
    pub kind: RateKind,
    #[serde(with = "money", alias = "rate", alias = "amount")]
    pub per_hour: Decimal,
    #[serde(default)]
    pub year: Option<i32>,
    #[serde(default)]
    pub source: Option<String>,
    #[serde(default)]
    pub authority: Option<String>,
    /// The grant it holds for; all where absent.
    #[serde(default)]
    pub grant: Option<String>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum RateKind {
    #[serde(alias = "volunteers", alias = "Volunteer")]
    Volunteer,
    #[serde(alias = "Staff")]
    Staff,
}

#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(default)]
pub struct PrivacySettings {
    /// Grid, in metres, to which sensitive positions are coarsened.
    pub coarsen_to_m: f64,
}

impl Default for PrivacySettings {
    fn default() -> Self {
        // A kilometre hides a cove and still names the pond.
        Self {
            coarsen_to_m: 1000.0,
        }
    }
}

/// A finding that a person lets stand.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Accepted {
    pub finding: String,
    pub place: String,
    pub reason: String,
    #[serde(default)]
    pub by: Option<String>,
    #[serde(default, with = "day")]
    pub on: Option<NaiveDate>,
}

#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Previous {
    pub archive: String,
}

impl Settings {
    pub fn paper(&self) -> Paper {
        self.units.paper.unwrap_or(match self.units.print {
            PrintUnits::Us => Paper::Letter,
            PrintUnits::Metric => Paper::A4,
        })
    }

    /// Does the group name its own growth stages?
    pub fn names_stages(&self) -> bool {
        self.method.stages != MethodSettings::default().stages
    }

    /// What the tables' reader has to know.
    pub fn conventions(&self) -> Conventions {
        let unit = |name: &Option<String>, dimension| {
            name.as_deref()
                .and_then(Unit::named)
                .filter(|unit| unit.dimension() == dimension)
        };
        Conventions {
            headings: self
                .headings
                .iter()
                .map(|(theirs, ours)| (fold(theirs), ours.clone()))
                .collect(),
            mass: unit(&self.units.mass, Dimension::Mass),
            area: unit(&self.units.area, Dimension::Area),
            order: self.dates.order,
        }
    }

    pub fn grant(&self, id: &str) -> Option<&Grant> {
        self.grants.iter().find(|grant| fold(&grant.id) == fold(id))
    }
}

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
    "headings",
    "accepted",
    "previous",
    "absence",
    "seed_bank",
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
        headings: reader
            .optional::<std::collections::BTreeMap<String, String>>("headings")
            .unwrap_or_default()
            .into_iter()
            .collect(),
        accepted: reader.list("accepted"),
        previous: reader.optional("previous"),
        absence: reader.optional("absence"),
        seed_bank: reader.optional("seed_bank"),
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
                        reason,
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
                    reason: format!("{text} is no date; write it as 2025-07-04"),
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
                        reason: format!(
                            "{name} is no IANA time zone; one looks like America/New_York"
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
            reason: format!(
                "{} is no confidence level; 0.95 is usual, and 0.95 is used",
                method.level
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
    let mut wrong = |key: &str, reason: String| {
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
        wrong("year", format!("{} is no year of a season", settings.year));
    }
    if settings.ends < settings.starts {
        wrong(
            "ends",
            format!(
                "the season ends on {} and starts on {}",
                settings.ends, settings.starts
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

/// A date written as a TOML date or as a text.
mod day {
    use chrono::NaiveDate;
    use serde::{Deserialize, Deserializer, de::Error};

    pub fn deserialize<'de, D: Deserializer<'de>>(
        deserializer: D,
    ) -> Result<Option<NaiveDate>, D::Error> {
        let value = toml::Value::deserialize(deserializer)?;
        let text = match &value {
            toml::Value::Datetime(stamp) => stamp.to_string(),
            toml::Value::String(text) => text.clone(),
            other => other.to_string(),
        };
        text.get(..10)
            .and_then(|day| NaiveDate::parse_from_str(day, "%Y-%m-%d").ok())
            .map(Some)
            .ok_or_else(|| D::Error::custom(format!("{text} is no date; write it as 2025-07-04")))
    }
}

/// Money: a text in quotes, or a whole number of units.
mod money {
    use rust_decimal::Decimal;
    use serde::{Deserialize, Deserializer, de::Error};

    pub fn deserialize<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Decimal, D::Error> {
        let value = toml::Value::deserialize(deserializer)?;
        let text = match &value {
            toml::Value::String(text) => text.replace([',', ' '], ""),
            toml::Value::Integer(number) => number.to_string(),
            // The shortest text of a binary fraction is what was typed.
            toml::Value::Float(number) => number.to_string(),
            other => other.to_string(),
        };
        text.trim_start_matches(['$', '€', '£'])
            .parse()
            .map_err(|_| {
                D::Error::custom(format!(
                    "{text} is no amount of money; write it as \"1250.00\""
                ))
            })
    }
}

mod money_option {
    use rust_decimal::Decimal;
    use serde::Deserializer;

    pub fn deserialize<'de, D: Deserializer<'de>>(
        deserializer: D,
    ) -> Result<Option<Decimal>, D::Error> {
        super::money::deserialize(deserializer).map(Some)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

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
