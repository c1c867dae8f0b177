//! season.toml: the programme, the year, the money, the choices.
//!
//! Each part is read by itself, so that a slip in one leaves the others standing and all slips are told at once.

mod forms;
mod read;

use chrono::{NaiveDate, NaiveDateTime};
use chrono_tz::Tz;
use rust_decimal::Decimal;
use serde::Deserialize;

pub use read::read;

use super::table::Conventions;
use super::value::{DateHabits, DateOrder, Points, fold};
use crate::units::{Dimension, Unit};
use crate::words::Language;

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
    pub report: ReportSettings,
    pub headings: Vec<(String, String)>,
    /// The group's own words in cells, to ours.
    pub names: Vec<(String, String)>,
    pub accepted: Vec<Accepted>,
    pub previous: Option<Previous>,
    pub absence: Option<AbsenceSettings>,
    pub seed_bank: Option<SeedBankSettings>,
    pub clocks: Vec<ClockSetting>,
}

/// A camera's clock that a person found to be off: its photos are read with this correction.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct ClockSetting {
    /// The camera as check names it: make, model, and serial number in brackets where it writes one.
    pub camera: String,
    /// First and last moment on the camera's own clock for which it holds; always where absent.
    #[serde(default, with = "forms::since")]
    pub from: Option<NaiveDateTime>,
    #[serde(default, with = "forms::until")]
    pub until: Option<NaiveDateTime>,
    /// Seconds to add to the camera's time.
    #[serde(with = "forms::correction")]
    pub correction: i64,
    #[serde(default)]
    pub reason: Option<String>,
}

impl ClockSetting {
    /// Does it speak of a photo that this camera took at this moment of its own clock?
    pub fn holds_for(&self, camera: &str, local: NaiveDateTime) -> bool {
        fold(&self.camera) == fold(camera)
            && self.from.is_none_or(|from| local >= from)
            && self.until.is_none_or(|until| local <= until)
    }
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
    /// What covers of a column of numbers between 0 and 1 are.
    pub cover: Option<CoverScale>,
}

/// How cover is written as a number.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum CoverScale {
    /// 30 for 30 %.
    Percent,
    /// 0.3 for 30 %.
    Share,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize)]
#[serde(default)]
pub struct DateSettings {
    pub order: DateOrder,
    /// Is 9.25 a time of day at 9:25 (`clock`) or 9:15 (`decimal`)?
    pub times: Option<Points>,
    /// Are 2.30 hours two and a half (`clock`)?
    pub hours: Option<Points>,
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
    #[serde(default, with = "forms::day")]
    pub starts: Option<NaiveDate>,
    #[serde(default, with = "forms::day")]
    pub ends: Option<NaiveDate>,
    #[serde(default, with = "forms::money_option", alias = "match")]
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
    #[serde(with = "forms::money", alias = "planned", alias = "budget")]
    pub amount: Decimal,
}

/// Value of an hour given in kind.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Rate {
    /// `volunteer`, or `staff` for hours paid from own funds or by a partner.
    pub kind: RateKind,
    #[serde(with = "forms::money", alias = "rate", alias = "amount")]
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

/// For whom a report is set.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Edition {
    /// Everything.
    Funder,
    /// Two pages that stand alone.
    Board,
    /// Schedules: every record with its place.
    Auditor,
    /// What anybody may see.
    Public,
}

impl Edition {
    pub const ALL: [Edition; 4] = [
        Edition::Funder,
        Edition::Board,
        Edition::Auditor,
        Edition::Public,
    ];

    /// As the command line and season.toml call it.
    pub fn word(self) -> &'static str {
        match self {
            Edition::Funder => "funder",
            Edition::Board => "board",
            Edition::Auditor => "auditor",
            Edition::Public => "public",
        }
    }
}

/// Which editions the close-out sets and the archive holds.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(default)]
pub struct ReportSettings {
    /// The funder edition is always among them: the archive's figures are told nowhere else in full.
    pub editions: Vec<Edition>,
    /// Whether the board edition, and the public one if it is among them, come as a page in HTML too.
    pub page: bool,
    /// Of the report and of what `check` says.
    pub language: Language,
}

impl Default for ReportSettings {
    fn default() -> Self {
        Self {
            editions: vec![Edition::Funder, Edition::Board],
            page: false,
            language: Language::English,
        }
    }
}

impl ReportSettings {
    /// The editions in their order, each once.
    pub fn all(&self) -> Vec<Edition> {
        Edition::ALL
            .into_iter()
            .filter(|edition| *edition == Edition::Funder || self.editions.contains(edition))
            .collect()
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
    #[serde(default, with = "forms::day")]
    pub on: Option<NaiveDate>,
    /// Short hash of what stood at the place when it was accepted; the acceptance lapses when it changes.
    #[serde(default)]
    pub hash: Option<String>,
    /// The row as it stood, for telling what changed.
    #[serde(default)]
    pub row: Option<String>,
}

/// The archive of an earlier season, on which this one builds.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
pub struct Previous {
    /// Its path, relative to the season folder; it may lie outside.
    pub archive: String,
    /// Its root as that season's report prints it, in digits or words, to be compared.
    #[serde(default)]
    pub root: Option<String>,
}

impl Grant {
    /// Does it ask for more than nothing?
    pub fn asks_for_match(&self) -> bool {
        self.match_required
            .is_some_and(|required| required > Decimal::ZERO)
    }
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
            dates: DateHabits {
                order: self.dates.order,
                year: Some(self.year),
                times: self.dates.times,
                hours: self.dates.hours,
            },
            containers: self.method.containers.clone(),
        }
    }

    pub fn grant(&self, id: &str) -> Option<&Grant> {
        self.grants.iter().find(|grant| fold(&grant.id) == fold(id))
    }

    /// Is there a rate by which the hours of volunteers count for the grant?
    pub fn rates_volunteers(&self, grant: &Grant) -> bool {
        self.rates.iter().any(|rate| {
            rate.kind == RateKind::Volunteer
                && rate
                    .grant
                    .as_deref()
                    .is_none_or(|of| fold(of) == fold(&grant.id))
        })
    }
}
