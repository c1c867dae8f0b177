//! This season beside earlier ones: the catch per person-hour year by year, and its trend.
//!
//! Only like is held against like: one unit, the same sites in every year, and no season that the group marked as not comparable.
//! What is left out is named with its reason.

use std::collections::{BTreeMap, BTreeSet};

use super::core::{Figure, LeftOut, Measure, Outturn};
use super::earlier;
use super::removal::Removal;
use super::scope::Scope;
use crate::estimate::{self, Cluster, SeasonRow};
use crate::phrase;
use crate::place::{Place, Spot};
use crate::season::{Basis, HistoryRow, Pull, Season, Site, singular};
use crate::units::{Dimension, Unit};
use crate::words;
use crate::words::Words;

/// In what the seasons were recorded.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Recorded {
    Mass,
    Plants,
    Containers(String),
}

impl Recorded {
    /// The kind and the factor to its base unit.
    pub fn of(unit: &str) -> (Self, f64) {
        if let Some(unit) = Unit::named(unit).filter(|unit| unit.dimension() == Dimension::Mass) {
            return (Recorded::Mass, unit.factor());
        }
        match singular(unit).as_str() {
            "plant" | "rosette" => (Recorded::Plants, 1.0),
            kind => (Recorded::Containers(kind.to_owned()), 1.0),
        }
    }

    pub fn words(&self) -> Words {
        match self {
            Recorded::Mass => words!("a mass"),
            Recorded::Plants => words!("plants"),
            Recorded::Containers(kind) => words!("containers ({kind})", kind),
        }
    }

    /// The ledger's figure of it.
    pub fn figure(&self) -> String {
        match self {
            Recorded::Mass => "removal.wet-mass".into(),
            Recorded::Plants => "removal.plants".into(),
            Recorded::Containers(kind) => format!("removal.containers/{kind}"),
        }
    }

    fn label(&self) -> Words {
        match self {
            Recorded::Mass => words!("Wet mass per person-hour"),
            Recorded::Plants => words!("Plants per person-hour"),
            Recorded::Containers(kind) => words!("Containers ({kind}) per person-hour", kind),
        }
    }

    fn measure(&self) -> Measure {
        match self {
            Recorded::Mass => Measure::MassPerTime,
            _ => Measure::CountPerTime,
        }
    }
}

/// What came out in a year, and in how many hours.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Year {
    pub amount: f64,
    pub effort: f64,
    pub places: Vec<Place>,
}

impl Year {
    fn add(&mut self, amount: f64, effort: f64, places: impl IntoIterator<Item = Place>) {
        self.amount += amount;
        self.effort += effort;
        self.places.extend(places);
    }
}

/// Where rows without a site stand: the whole programme.
pub const WHOLE: &str = "";

/// The seasons as they can be compared.
pub struct Seasons<'a> {
    season: &'a Season,
    pub recorded: Recorded,
    /// Site's id (or the whole) → year → what came out, this season included.
    by_site: BTreeMap<String, BTreeMap<i32, Year>>,
    /// Rows that can't go in, with the site that they name.
    left_out: Vec<(Option<String>, LeftOut)>,
    /// Years marked as not comparable that give a rate in the same unit all the same.
    apart: BTreeMap<String, BTreeMap<i32, (Year, Words)>>,
    removal: Option<&'a Removal<'a>>,
}

impl<'a> Seasons<'a> {
    /// Nothing where there is no history at all, and no earlier archive to take it from.
    pub fn of(season: &'a Season, mass: &'a Removal<'a>, plants: &'a Removal<'a>) -> Option<Self> {
        if season.history.is_empty() && season.earlier_record().is_none() {
            return None;
        }
        let recorded = commonest(season);
        let removal = match recorded {
            Recorded::Mass => Some(mass),
            Recorded::Plants => Some(plants),
            Recorded::Containers(_) => None,
        };
        let mut seasons = Self {
            season,
            recorded,
            by_site: BTreeMap::new(),
            left_out: Vec::new(),
            apart: BTreeMap::new(),
            removal,
        };
        for row in &season.history {
            seasons.take(row);
        }
        seasons.take_ledger();
        let by_site = seasons.by_site.keys().any(|site| site != WHOLE);
        if by_site {
            if let Some(whole) = seasons.by_site.remove(WHOLE) {
                for place in whole.into_values().flat_map(|year| year.places) {
                    seasons.left_out.push((
                        None,
                        LeftOut::new(place, words!("it gives no site, and other rows do")),
                    ));
                }
            }
            for site in &season.ground.sites {
                seasons.add_this_season(&site.id, &Scope::of_site(season, site));
            }
        } else {
            seasons.add_this_season(WHOLE, &Scope::whole(season));
        }
        Some(seasons)
    }

    fn take(&mut self, row: &HistoryRow) {
        let site = match row.site.as_deref() {
            None => Ok(WHOLE.to_owned()),
            Some(name) => self
                .season
                .ground
                .site(name)
                .map(|site| site.id.clone())
                .ok_or(name),
        };
        let id = site.as_ref().ok().filter(|id| *id != WHOLE).cloned();
        let mut out = |reason: Words| {
            self.left_out
                .push((id.clone(), LeftOut::new(row.row.place(), reason)));
        };
        let site = match site {
            Ok(site) => site,
            Err(name) => return out(words!("{name} is no site of sites.geojson", name)),
        };
        let Some(year) = row.year else {
            return out(words!("its year can't be read"));
        };
        let unit = row.unit.as_deref().map(Recorded::of);
        let why_apart = || {
            words!(
                "{year} is marked as not comparable: {reason}",
                year = year.to_string(),
                reason = match row.reason.as_deref() {
                    Some(reason) => Words::own(reason),
                    None => words!("no reason given"),
                }
            )
        };
        let (Some((kind, factor)), Some(amount), Some(effort)) = (unit, row.removed, row.effort)
        else {
            return out(words!(
                "{year}: what was removed, its unit or the hours are not recorded",
                year = year.to_string()
            ));
        };
        if kind != self.recorded {
            let mut reason = words!(
                "{year} was recorded in {unit}, the other seasons in {others}",
                year = year.to_string(),
                unit = kind.words(),
                others = self.recorded.words()
            );
            if !row.comparable
                && let Some(own) = row.reason.as_deref()
            {
                reason = reason.then("; ", own);
            }
            return out(reason);
        }
        if year >= self.season.settings.year {
            return out(words!(
                "{year} is not before this season",
                year = year.to_string()
            ));
        }
        if effort <= 0.0 {
            return out(words!("{year}: it took no hours", year = year.to_string()));
        }
        let place = row.row.place();
        if row.comparable {
            self.by_site
                .entry(site)
                .or_default()
                .entry(year)
                .or_default()
                .add(amount * factor, effort, [place]);
        } else {
            out(why_apart());
            let apart = self.apart.entry(site).or_default().entry(year);
            let (known, _) = apart.or_insert_with(|| (Year::default(), why_apart()));
            known.add(amount * factor, effort, [place]);
        }
    }

    /// What the ledger of the earlier archive gives where no row does.
    fn take_ledger(&mut self) {
        for one in earlier::of(self.season, &self.recorded) {
            match one.outcome {
                Ok(given) => self
                    .by_site
                    .entry(one.site)
                    .or_default()
                    .entry(one.year)
                    .or_default()
                    .add(given.amount, given.effort, given.places),
                Err(out) => {
                    let site = (one.site != WHOLE).then_some(one.site);
                    self.left_out.push((site, out));
                }
            }
        }
    }

    fn add_this_season(&mut self, site: &str, scope: &Scope<'_>) {
        let (clusters, places, left_out) = self.this_season(scope);
        let year = self.season.settings.year;
        let id = (site != WHOLE).then(|| site.to_owned());
        self.left_out
            .extend(left_out.into_iter().map(|out| (id.clone(), out)));
        let effort = estimate::sum(clusters.iter().map(|cluster| cluster.effort));
        if effort > 0.0 {
            let amount = estimate::sum(clusters.iter().map(|cluster| cluster.amount));
            self.by_site
                .entry(site.to_owned())
                .or_default()
                .entry(year)
                .or_default()
                .add(amount, effort, places);
        }
    }

    /// The season's pulls of which both what came out and the hours are known.
    fn this_season(&self, scope: &Scope<'_>) -> (Vec<Cluster>, Vec<Place>, Vec<LeftOut>) {
        if let Some(removal) = self.removal {
            let clusters = removal.clusters(scope);
            return (
                clusters.of_pulls.into_iter().map(|(_, one)| one).collect(),
                clusters.places,
                clusters.left_out,
            );
        }
        let mut clusters = Vec::new();
        let mut places = Vec::new();
        let mut left_out = Vec::new();
        for (_, pull) in &scope.pulls {
            match (self.containers(pull), pull.person_hours()) {
                (Some(amount), Some(effort)) if effort > 0.0 => {
                    clusters.push(Cluster { amount, effort });
                    places.extend(pull.places());
                }
                _ => left_out.push(LeftOut::of_pull(
                    pull,
                    words!("its hours or its containers are not recorded"),
                )),
            }
        }
        (clusters, places, left_out)
    }

    /// Containers of the kind that a pull filled; nothing where that is not known for certain.
    fn containers(&self, pull: &Pull) -> Option<f64> {
        let Recorded::Containers(kind) = &self.recorded else {
            return None;
        };
        let mut sum = 0.0;
        for row in &pull.rows {
            let containers = row.containers?;
            if containers > 0.0 && (row.basis == Some(Basis::Guessed) || row.container.is_none()) {
                return None;
            }
            if row.container.as_deref() == Some(kind) {
                sum += containers;
            }
        }
        Some(sum)
    }

    /// The sites over which the seasons are compared as a whole: those of this season with as many years in common as three at
    /// least, where that can be had by leaving out the sites with the fewest years.
    pub fn boundary(&self) -> BTreeSet<&str> {
        let this_year = self.season.settings.year;
        let all: BTreeSet<&str> = self
            .by_site
            .iter()
            .filter(|(_, years)| years.contains_key(&this_year))
            .map(|(site, _)| site.as_str())
            .collect();
        // A trend needs this many seasons.
        const FEWEST: usize = 3;
        let mut sites = all.clone();
        while sites.len() > 1 && self.common_years(&sites).len() < FEWEST {
            let years_of = |site: &&str| self.by_site.get(*site).map_or(0, BTreeMap::len);
            match sites.iter().copied().min_by_key(years_of) {
                Some(fewest) => sites.remove(fewest),
                None => break,
            };
        }
        if self.common_years(&sites).len() < FEWEST {
            return all;
        }
        sites
    }

    fn common_years(&self, sites: &BTreeSet<&str>) -> BTreeSet<i32> {
        let mut of_sites = sites.iter().filter_map(|site| self.by_site.get(*site));
        let mut common: BTreeSet<i32> = of_sites
            .next()
            .map(|years| years.keys().copied().collect())
            .unwrap_or_default();
        for years in of_sites {
            common.retain(|year| years.contains_key(year));
        }
        common
    }

    /// The comparable seasons over some sites.
    pub fn comparable(&self, sites: &BTreeSet<&str>) -> BTreeMap<i32, Year> {
        self.common_years(sites)
            .into_iter()
            .map(|year| {
                let mut sum = Year::default();
                for of_site in sites.iter().filter_map(|site| self.by_site.get(*site)) {
                    if let Some(one) = of_site.get(&year) {
                        sum.add(one.amount, one.effort, one.places.iter().cloned());
                    }
                }
                (year, sum)
            })
            .collect()
    }

    fn site(&self, id: &str) -> Option<&'a Site> {
        self.season.ground.sites.iter().find(|site| site.id == id)
    }

    /// What is left out of a comparison over some sites.
    fn left_out(&self, sites: &BTreeSet<&str>, whole: bool) -> Vec<LeftOut> {
        let mut left_out: Vec<LeftOut> = self
            .left_out
            .iter()
            .filter(|(site, _)| match site {
                Some(site) => whole || sites.contains(site.as_str()),
                None => whole,
            })
            .map(|(_, out)| out.clone())
            .collect();
        if !whole {
            return left_out;
        }
        let common = self.common_years(sites);
        for (id, years) in &self.by_site {
            if !sites.contains(id.as_str()) {
                let name = self.site(id).map_or(id.as_str(), |site| &site.name);
                left_out.extend(years.values().flat_map(|year| &year.places).map(|place| {
                    LeftOut::new(
                        place.clone(),
                        words!(
                            "{name} has no figure in every season that is compared",
                            name
                        ),
                    )
                }));
                continue;
            }
            for (year, of_year) in years.iter().filter(|(year, _)| !common.contains(year)) {
                let lacking: Vec<&str> = sites
                    .iter()
                    .filter(|site| {
                        self.by_site
                            .get(**site)
                            .is_none_or(|years| !years.contains_key(year))
                    })
                    .map(|site| self.site(site).map_or(*site, |site| site.name.as_str()))
                    .collect();
                left_out.extend(of_year.places.iter().map(|place| {
                    LeftOut::new(
                        place.clone(),
                        words!(
                            "{year} has no figure for {sites}, so that it covers other water",
                            year = year.to_string(),
                            sites = lacking.join(", ")
                        ),
                    )
                }));
            }
        }
        left_out
    }
}

/// What most seasons that may be compared were recorded in; of equals a mass before plants before containers.
fn commonest(season: &Season) -> Recorded {
    let mut years: BTreeMap<Recorded, BTreeSet<i32>> = BTreeMap::new();
    for row in season.history.iter().filter(|row| row.comparable) {
        if let (Some(unit), Some(year)) = (row.unit.as_deref(), row.year) {
            years.entry(Recorded::of(unit).0).or_default().insert(year);
        }
    }
    years
        .into_iter()
        // The first of equals: `max_by_key` gives the last.
        .rev()
        .max_by_key(|(_, years)| years.len())
        .map_or(Recorded::Mass, |(kind, _)| kind)
}

/// A season's name for figures, and its scope.
fn scopes<'a>(seasons: &'a Seasons<'_>) -> Vec<(Option<&'a Site>, BTreeSet<&'a str>)> {
    let boundary = seasons.boundary();
    let mut scopes = vec![(None, boundary)];
    for id in seasons.by_site.keys().filter(|id| *id != WHOLE) {
        scopes.push((seasons.site(id), BTreeSet::from([id.as_str()])));
    }
    scopes
}

/// The rates of all seasons, and their trend, overall and by site.
pub fn figures(seasons: &Seasons<'_>) -> Vec<Figure> {
    scopes(seasons)
        .iter()
        .flat_map(|(site, sites)| of_scope(seasons, *site, sites))
        .collect()
}

fn of_scope(seasons: &Seasons<'_>, site: Option<&Site>, sites: &BTreeSet<&str>) -> Vec<Figure> {
    let season = seasons.season;
    let scope = Scope {
        site,
        ..Scope::whole(season)
    };
    let years = seasons.comparable(sites);
    let mut figures = rates(seasons, &scope, sites, &years);
    let rows: Vec<SeasonRow> = years
        .iter()
        .map(|(year, of_year)| SeasonRow {
            time: f64::from(*year),
            amount: of_year.amount,
            effort: of_year.effort,
        })
        .collect();
    let places: Vec<Place> = years
        .values()
        .flat_map(|year| &year.places)
        .cloned()
        .collect();
    let left_out = seasons.left_out(sites, site.is_none());
    let counts = seasons.recorded != Recorded::Mass;
    let level = scope.level();
    let label = seasons.recorded.label();
    let make = |stem: &str, label: Words, outturn: Outturn, method: Words| {
        let figure = scope
            .figure(stem, label, Measure::PercentPerYear, outturn, method)
            .assuming(words!("The seasons compared were worked and recorded alike; whatever else changed between them is in the trend too."))
            .resting_on(places.clone())
            .without(left_out.clone());
        if places.iter().any(is_figure) {
            figure.assuming(Words::fixed(FROM_LEDGER))
        } else {
            figure
        }
    };
    let mut line = Vec::new();
    let outturn = match estimate::trend_quasi_poisson(&rows, level) {
        Ok(trend) => {
            line = trend.line;
            let mut change = trend.change;
            if counts {
                change.caution.push(words!("The seasons vary about the trend {dispersion} times as much as chance alone makes counts vary.", dispersion = words::number(format!("{:.1}", trend.dispersion))));
            }
            Outturn::Estimated(change)
        }
        Err(refusal) => Outturn::Refused(refusal.reason),
    };
    figures.push(make(
        "trend.rate",
        words!("{label}, change from season to season", label = &label),
        outturn,
        words!(
            "Log-linear trend of what came out over the seasons, with the person-hours as offset."
        ),
    ));
    for (time, rate) in line {
        // Times are the years above.
        let year = time as i32;
        let mut figure = make(
            &format!("trend.line/{year}"),
            words!(
                "{label}, the trend's line in {year}",
                label = &label,
                year = year.to_string()
            ),
            Outturn::Estimated(rate),
            words!(
                "The log-linear trend's own rate in that year; the interval is for the line, not for a season's rate about it."
            ),
        );
        figure.measure = seasons.recorded.measure();
        figures.push(figure.of_kind(words!("{label}, the trend's line in …", label = &label)));
    }
    if counts {
        figures.push(make(
            "trend.rate-negative-binomial",
            words!(
                "{label}, change from season to season by the negative binomial",
                label = &label
            ),
            match estimate::trend_negative_binomial(&rows, level) {
                Ok(trend) => Outturn::Estimated(trend.change),
                Err(refusal) => Outturn::Refused(refusal.reason),
            },
            words!("The same trend for counts that stand in clumps; to be held beside the other."),
        ));
    }
    figures
}

fn rates(
    seasons: &Seasons<'_>,
    scope: &Scope<'_>,
    sites: &BTreeSet<&str>,
    years: &BTreeMap<i32, Year>,
) -> Vec<Figure> {
    let season = seasons.season;
    let this_year = season.settings.year;
    let make = |year: i32, outturn: Outturn, places: Vec<Place>, method: Words| {
        let stem = format!("history.rate/{year}");
        scope
            .figure(
                &stem,
                seasons.recorded.label().then(", ", year.to_string()),
                seasons.recorded.measure(),
                outturn,
                method,
            )
            .of_kind(seasons.recorded.label())
            .resting_on(places)
    };
    let recorded = words!("What came out over the person-hours, as history records both.");
    let from_ledger = words!(
        "What came out over the person-hours, as the ledger of the earlier archive gives both."
    );
    let from_both = words!(
        "What came out over the person-hours, as history and the ledger of the earlier archive give both."
    );
    let mut figures = Vec::new();
    for (year, of_year) in years {
        let outturn = if *year == this_year {
            now(seasons, sites)
        } else {
            Outturn::Exact(of_year.amount / of_year.effort)
        };
        let method = if *year == this_year {
            words!(
                "What came out over the person-hours, over pulls of this season of which both are known."
            )
        } else {
            match of_year
                .places
                .iter()
                .filter(|place| is_figure(place))
                .count()
            {
                0 => recorded.clone(),
                all if all == of_year.places.len() => from_ledger.clone(),
                _ => from_both.clone(),
            }
        };
        figures.push(make(*year, outturn, of_year.places.clone(), method));
    }
    // Seasons apart: drawn beside the others, and in no trend.
    let mut apart: BTreeMap<i32, (Year, Words)> = BTreeMap::new();
    for of_site in sites.iter().filter_map(|site| seasons.apart.get(*site)) {
        for (year, (one, reason)) in of_site {
            let (sum, _) = apart
                .entry(*year)
                .or_insert_with(|| (Year::default(), reason.clone()));
            sum.add(one.amount, one.effort, one.places.iter().cloned());
        }
    }
    for (year, (sum, reason)) in apart {
        if !years.contains_key(&year) {
            let outturn = Outturn::Exact(sum.amount / sum.effort);
            figures.push(
                make(year, outturn, sum.places, recorded.clone()).assuming(reason.as_sentence()),
            );
        }
    }
    // Seasons of which there is something, but no rate that could stand beside the others.
    let known: BTreeSet<i32> = figures
        .iter()
        .filter_map(|figure| figure.part()?.split('/').next()?.parse().ok())
        .collect();
    let mut refused: BTreeMap<i32, (Words, Vec<Place>)> = BTreeMap::new();
    let left_out = seasons.left_out(sites, scope.site.is_none());
    let rows = season.history.iter();
    let mut of_year: Vec<(i32, Place)> = rows
        .filter_map(|row| Some((row.year?, row.row.place())))
        .collect();
    if let Some((year, ..)) = season.earlier_record() {
        let figures = left_out.iter().map(|out| &out.place);
        of_year.extend(
            figures
                .filter(|place| is_figure(place))
                .map(|place| (year, place.clone())),
        );
    }
    for (year, place) in of_year {
        if known.contains(&year) || year >= this_year {
            continue;
        }
        if let Some(out) = left_out.iter().find(|out| out.place == place) {
            let entry = refused
                .entry(year)
                .or_insert_with(|| (out.told().as_sentence(), Vec::new()));
            entry.1.push(place);
        }
    }
    for (year, (reason, places)) in refused {
        figures.push(make(
            year,
            Outturn::Refused(reason),
            places,
            recorded.clone(),
        ));
    }
    figures
}

/// This season's rate over some sites, with its interval.
fn now(seasons: &Seasons<'_>, sites: &BTreeSet<&str>) -> Outturn {
    let season = seasons.season;
    let whole = sites.contains(WHOLE);
    let scope = Scope::whole(season).only(|pull| {
        whole
            || season
                .site_of(pull)
                .is_some_and(|site| sites.contains(site.id.as_str()))
    });
    let level = scope.level();
    match seasons.removal {
        Some(removal) => removal.clusters(&scope).rate(level).into(),
        None => {
            let (clusters, _, _) = seasons.this_season(&scope);
            estimate::rate(&clusters, 0.0, level).into()
        }
    }
}

/// What has to be told of a comparison into which the ledger of an earlier archive goes.
const FROM_LEDGER: &str = phrase!(
    "What the ledger of the earlier archive gives is taken as it stands: without an uncertainty of its own, and over the hours \
                           of all pulls, those without a recorded catch among them."
);

/// Whether it stands in the ledger of an earlier archive.
fn is_figure(place: &Place) -> bool {
    matches!(place.spot, Spot::Figure(_))
}
