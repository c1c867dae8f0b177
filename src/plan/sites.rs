//! Where to go, from when, and by when to be done.

use chrono::NaiveDate;

use super::a_year_on;
use crate::estimate::{self, Refusal};
use crate::figure::{Figure, Ledger, Measure, Outturn};
use crate::season::value::fold;
use crate::season::{Fruit, Pull, PullRow, Season, Site};
use crate::words;

/// What the log says of seed at a site.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SeedSet {
    /// Ripe or dropped fruit was first logged on this day: seed of this season may lie in the mud.
    Seen(NaiveDate),
    /// Fruit was looked at, and none was ripe when last looked.
    NotSeen(NaiveDate),
    /// Nobody logged the fruit.
    NotLogged,
}

/// A site's plan.
#[derive(Debug, Clone, PartialEq)]
pub struct SitePlan {
    pub id: String,
    pub name: String,
    /// Outings there this season; 0 where nobody covered it.
    pub outings: usize,
    /// The log's last visit.
    pub last_visit: Option<NaiveDate>,
    /// The day that the log itself gives for coming back, where it lies after the last visit.
    pub return_by: Option<NaiveDate>,
    /// The day by which to be there first.
    pub from: Option<NaiveDate>,
    /// Where `from` comes from: plants were first found a year before, or somebody was first there.
    pub found: Option<NaiveDate>,
    /// To be done before this day, a year after the first ripe seed.
    pub before: Option<NaiveDate>,
    /// Was the first ripe seed seen here, or elsewhere in the season?
    pub ripe_here: bool,
    pub seed: SeedSet,
    pub finished: Option<bool>,
    /// Person-hours for as much again, or to search until the chance of plants is one in twenty.
    pub hours: Figure,
    /// Person-hours of this season.
    pub spent: Option<Figure>,
    /// Catch per hour from year to year.
    pub trend: Option<Figure>,
    /// Where the last visits found nothing: the chance that plants remain.
    pub remaining: Option<Figure>,
}

pub fn plan(season: &Season, ledger: &Ledger) -> Vec<SitePlan> {
    let settings = &season.settings;
    let anywhere = season
        .pulls
        .iter()
        .filter_map(first_ripe)
        .chain(settings.seed_ripens)
        .min();
    let mut sites: Vec<SitePlan> = season
        .ground
        .sites
        .iter()
        .map(|site| one(season, ledger, site, anywhere))
        .collect();
    // Nobody was there: first of all. Then by the day to go.
    sites.sort_by(|a, b| (a.outings > 0, a.from, &a.name).cmp(&(b.outings > 0, b.from, &b.name)));
    sites
}

fn one(season: &Season, ledger: &Ledger, site: &Site, anywhere: Option<NaiveDate>) -> SitePlan {
    let pulls: Vec<&Pull> = season
        .pulls
        .iter()
        .filter(|pull| !pull.is_empty())
        .filter(|pull| season.site_of(pull).is_some_and(|of| of.id == site.id))
        .collect();
    let days = |keep: fn(&Pull) -> bool| {
        let kept = pulls.iter().filter(move |pull| keep(pull));
        kept.filter_map(|pull| pull.date())
    };
    let found = days(|pull| pull.rows.iter().any(found_something)).min();
    let first = found.or_else(|| days(|_| true).min());
    let last_visit = days(|_| true).max();
    let ripe = pulls.iter().filter_map(|pull| first_ripe(pull)).min();
    let last = pulls.iter().max_by_key(|pull| pull.date());
    let return_by = last
        .and_then(|pull| pull.rows.iter().filter_map(|row| row.return_by).max())
        .filter(|day| last_visit.is_none_or(|last| *day > last));
    let next_begins = a_year_on(season.settings.starts);
    let figure = |stem: &str| ledger.get(&format!("{stem}/{}", site.id));
    SitePlan {
        id: site.id.to_string(),
        name: site.name.clone(),
        outings: pulls.len(),
        last_visit,
        return_by,
        // A day in the season to come that the crew itself named goes before any reckoning.
        from: return_by
            .filter(|day| *day >= next_begins)
            .or_else(|| first.map(a_year_on))
            .or(Some(next_begins)),
        found,
        before: ripe.or(anywhere).map(a_year_on),
        ripe_here: ripe.is_some(),
        seed: seed_set(&pulls, ripe),
        finished: last.and_then(|pull| pull.rows.iter().rev().find_map(|row| row.finished)),
        hours: hours(ledger, site),
        spent: figure("effort.person-hours").cloned(),
        trend: figure("trend.rate")
            .filter(|figure| figure.refusal().is_none())
            .cloned(),
        remaining: figure("absence.chance-remaining").cloned(),
    }
}

fn found_something(row: &PullRow) -> bool {
    [row.containers, row.mass, row.plants]
        .into_iter()
        .flatten()
        .any(|amount| amount > 0.0)
}

/// Does the row tell of ripe seed?
fn is_ripe(row: &PullRow) -> bool {
    matches!(row.fruit, Some(Fruit::Ripe | Fruit::Dropped))
        || row
            .stage
            .as_deref()
            .is_some_and(|stage| matches!(fold(stage).as_str(), "ripe" | "dropped"))
}

fn first_ripe(pull: &Pull) -> Option<NaiveDate> {
    let rows = pull.rows.iter().filter(|row| is_ripe(row));
    rows.filter_map(|row| row.date.or(pull.date())).min()
}

fn seed_set(pulls: &[&Pull], ripe: Option<NaiveDate>) -> SeedSet {
    if let Some(day) = ripe {
        return SeedSet::Seen(day);
    }
    let looked = pulls
        .iter()
        .filter(|pull| pull.rows.iter().any(|row| row.fruit.is_some()))
        .filter_map(|pull| pull.date())
        .max();
    looked.map_or(SeedSet::NotLogged, SeedSet::NotSeen)
}

/// Hours of search where the last visits found nothing; else what as much again would take at this season's rate.
fn hours(ledger: &Ledger, site: &Site) -> Figure {
    let of = |stem: &str| ledger.get(&format!("{stem}/{}", site.id));
    // Where season.toml supposes nothing of searches, this season's work is the better guide.
    if let Some(search) = of("absence.hours-needed").filter(|it| it.refusal().is_none()) {
        return search.clone();
    }
    // A site where only plants were counted is planned by plants.
    let ways = [
        ("removal.wet-mass", "rate.mass-per-hour"),
        ("removal.plants", "rate.plants-per-hour"),
    ];
    let (amount, rate) = ways
        .into_iter()
        .map(|(amount, rate)| (of(amount), of(rate)))
        .find(|(amount, _)| amount.is_some_and(|figure| figure.value().is_some()))
        .unwrap_or((None, None));
    let outturn = match (
        amount.and_then(Figure::value),
        rate.map(|rate| &rate.outturn),
    ) {
        (Some(amount), Some(Outturn::Estimated(rate))) => {
            Outturn::from(estimate::effort_needed(amount, rate))
        }
        (_, Some(Outturn::Refused(reason))) => Outturn::Refused(reason.clone()),
        _ => Outturn::from(Err(Refusal::new(words!(
            "What came out here, or in how many hours, is not known."
        )))),
    };
    let kind = words!("Person-hours for as much again");
    Figure {
        name: format!("plan.hours/{}", site.id),
        label: kind.clone().then(", ", site.name.as_str()),
        kind,
        counts: None,
        measure: Measure::Time,
        outturn,
        method: words!(
            "What was removed here this season divided by this season's catch per hour here; the interval's ends by the rate's own."
        ),
        assumptions: vec![words!(
            "As much grows again, and an hour brings as much as this season."
        )],
        places: amount
            .map(|figure| figure.places.clone())
            .unwrap_or_default(),
        left_out: amount
            .map(|figure| figure.left_out.clone())
            .unwrap_or_default(),
    }
}
