//! How much hangs on a finding: the reverse look-up from the records of a finding to the figures that rest on them.
//!
//! Takes findings and the ledger; writes the stake into each finding. Judges nothing and makes no finding.

use std::borrow::Cow;
use std::collections::{BTreeSet, HashMap, HashSet};

use rust_decimal::prelude::ToPrimitive;

use super::core::Measure;
use super::ledger::Ledger;
use super::removal::Removal;
use crate::finding::{Finding, Share, Stake};
use crate::place::{Place, Spot};
use crate::season::{Row, RowIndex, Season, value};
use crate::shared::Shared;

const HOURS: &str = "effort.person-hours";

/// Columns that tell of effort alone; a finding in one of them touches no mass.
const OF_EFFORT: &[&str] = &[
    "start",
    "end",
    "staff",
    "volunteers",
    "staff_hours",
    "volunteer_hours",
    "travel_hours",
    "boats",
];

/// Columns that tell of the catch alone.
const OF_CATCH: &[&str] = &["container", "containers", "mass", "plants", "basis"];

/// Writes into each finding what hangs on its records.
pub fn weigh(season: &Season, ledger: &Ledger, findings: &mut [Finding]) {
    if findings.is_empty() {
        return;
    }
    let stakes = Stakes::of(season, ledger, findings);
    for finding in findings {
        let stake = stakes.of_finding(finding);
        if stake != Stake::default() {
            finding.stake = Some(Box::new(stake));
        }
    }
}

struct Stakes<'a> {
    season: &'a Season,
    ledger: &'a Ledger,
    mass: Removal<'a>,
    /// Where each row of the log stands. Only looked up, never walked through.
    pulls: HashMap<Place, RowIndex>,
    weighings: HashMap<Place, usize>,
    /// Rows that each stratum's weighings convert, …
    strata: Vec<Vec<RowIndex>>,
    /// … and the strata that a weighing belongs to.
    strata_of: HashMap<usize, Vec<usize>>,
    spending: HashMap<Place, usize>,
    /// Stems of the figures, each once.
    stems: Vec<Shared>,
    /// The figures that rest on a record, and those that leave it out, by the places of their stems in the list.
    resting: HashMap<Place, Vec<usize>>,
    left_out: HashMap<Place, Vec<usize>>,
}

impl<'a> Stakes<'a> {
    fn of(season: &'a Season, ledger: &'a Ledger, findings: &[Finding]) -> Self {
        let mut wanted: HashSet<Cow<'_, Place>> = HashSet::new();
        for finding in findings {
            // No figure rests on a tag, and there may be one for every photo.
            let rested = records(finding).filter(|place| !matches!(place.spot, Spot::Tag(_)));
            wanted.extend(rested.map(Place::of_row));
        }
        let mut stems: Vec<Shared> = Vec::new();
        let mut resting: HashMap<Place, Vec<usize>> = HashMap::new();
        let mut left_out: HashMap<Place, Vec<usize>> = HashMap::new();
        let enter = |among: &mut HashMap<Place, Vec<usize>>, place: Place, stem: usize| {
            if wanted.contains(&place) {
                let known = among.entry(place).or_default();
                if !known.contains(&stem) {
                    known.push(stem);
                }
            }
        };
        // A site's figure says nothing that the season's does not, where there is one.
        let whole = ledger.figures().filter(|figure| {
            let of_season = figure.part().is_none() || ledger.get(figure.stem()).is_none();
            // Breakdowns, chances and scenarios follow from the figures that they break down or rest on.
            let follows = figure.stem().contains("-by-")
                || figure.name.starts_with("outlook.")
                || figure.name.starts_with("deliverable.");
            of_season && !follows
        });
        for figure in whole {
            let known = stems.iter().position(|stem| **stem == *figure.stem());
            let stem = known.unwrap_or_else(|| {
                stems.push(figure.stem().into());
                stems.len() - 1
            });
            for place in figure.places.iter() {
                enter(&mut resting, place, stem);
            }
            for place in figure.left_out.places() {
                enter(&mut left_out, place, stem);
            }
        }
        let mut pulls = HashMap::new();
        for (pull, of) in season.pulls.iter().enumerate() {
            for (row, one) in of.rows.iter().enumerate() {
                pulls.insert(one.row.place(), RowIndex { pull, row });
            }
        }
        let weighings = numbered(season.weighings.iter().map(|weighing| &weighing.row));
        let spending = numbered(season.spending.iter().map(|row| &row.row));
        let mass = Removal::mass(season);
        let mut strata: Vec<Vec<RowIndex>> = Vec::new();
        let mut strata_of: HashMap<usize, Vec<usize>> = HashMap::new();
        for (number, (_, records, _)) in mass.all_strata().enumerate() {
            for weighing in &records.weighings {
                strata_of.entry(*weighing).or_default().push(number);
            }
            strata.push(records.rows.to_vec());
        }
        Self {
            season,
            ledger,
            mass,
            pulls,
            weighings,
            strata,
            strata_of,
            spending,
            stems,
            resting,
            left_out,
        }
    }

    /// The stems that are entered for a place.
    fn stems<'s>(
        &'s self,
        among: &'s HashMap<Place, Vec<usize>>,
        place: &Place,
    ) -> impl Iterator<Item = &'s Shared> {
        let stems = among.get(place).into_iter().flatten();
        stems.filter_map(|at| self.stems.get(*at))
    }

    fn of_finding(&self, finding: &Finding) -> Stake {
        let mut stake = Stake::default();
        let mut figures: BTreeSet<&Shared> = BTreeSet::new();
        let mut left_out: BTreeSet<&Shared> = BTreeSet::new();
        for place in records(finding).map(Place::row_only) {
            figures.extend(self.stems(&self.resting, &place));
            left_out.extend(self.stems(&self.left_out, &place));
        }
        left_out.retain(|name| !figures.contains(name));
        let column = self.column(finding);
        let touches = |columns: &[&str]| column.is_some_and(|column| columns.contains(&column));
        let theme =
            |name: &str, themes: &[&str]| themes.iter().any(|theme| name.starts_with(theme));
        for names in [&mut figures, &mut left_out] {
            if touches(OF_CATCH) {
                names.retain(|name| {
                    theme(
                        name,
                        &[
                            "removal.", "rate.", "stratum.", "trend.", "history.", "density.",
                        ],
                    )
                });
            } else if touches(OF_EFFORT) {
                names.retain(|name| {
                    theme(
                        name,
                        &[
                            "effort.",
                            "rate.",
                            "match.",
                            "trend.",
                            "history.",
                            "evidence.",
                        ],
                    )
                });
            }
        }
        let owned = |names: BTreeSet<&Shared>| names.into_iter().cloned().collect();
        stake.figures = owned(figures);
        stake.left_out_of = owned(left_out);
        let rows: BTreeSet<RowIndex> = self.rows(finding);
        if !touches(OF_CATCH) {
            stake.shares.extend(self.hours(&rows));
        }
        if !touches(OF_EFFORT) {
            let mut rows = rows;
            rows.extend(self.converted_by(finding));
            stake.shares.extend(self.kilograms(&rows));
        }
        stake.shares.extend(self.money(finding));
        stake
    }

    /// Our name of the column that the finding's cell or heading stands in.
    fn column(&self, finding: &Finding) -> Option<&'static str> {
        let (Spot::Cell(cell) | Spot::Heading(cell)) = &finding.place.spot else {
            return None;
        };
        let head = &self.season.pulls.first()?.rows.first()?.row.head;
        if head.file != finding.place.file {
            return None;
        }
        head.headings
            .iter()
            .find(|known| cell.heading == known.text)?
            .column
    }

    /// Rows of the log that the finding is about: all of them, where it is about a column or the table.
    fn rows(&self, finding: &Finding) -> BTreeSet<RowIndex> {
        let of_log = |file: &str| {
            let first = self.season.pulls.first().and_then(|pull| pull.rows.first());
            first.is_some_and(|first| first.row.head.file == file)
        };
        if matches!(finding.place.spot, Spot::Heading(_) | Spot::Whole)
            && of_log(&finding.place.file)
        {
            return self.pulls.values().copied().collect();
        }
        records(finding)
            .filter_map(|place| self.pulls.get(&place.row_only()).copied())
            .collect()
    }

    /// Rows whose containers are converted by the weighings that the finding is about.
    fn converted_by(&self, finding: &Finding) -> BTreeSet<RowIndex> {
        let strata: BTreeSet<usize> = records(finding)
            .filter_map(|place| self.weighings.get(&place.row_only()))
            .filter_map(|weighing| self.strata_of.get(weighing))
            .flatten()
            .copied()
            .collect();
        strata
            .into_iter()
            .filter_map(|stratum| self.strata.get(stratum))
            .flatten()
            .copied()
            .collect()
    }

    fn share(&self, name: &str, part: f64, measure: Measure) -> Option<Share> {
        let whole = self.ledger.get(name)?.value()?;
        (part > 0.0 && whole > 0.0).then(|| Share {
            figure: name.to_owned(),
            part,
            whole,
            unit: measure.base_unit(),
        })
    }

    fn hours(&self, rows: &BTreeSet<RowIndex>) -> Option<Share> {
        let pulls: BTreeSet<usize> = rows.iter().map(|row| row.pull).collect();
        let hours = pulls
            .iter()
            .filter_map(|index| self.season.pulls.get(*index))
            .filter(|pull| !pull.is_empty())
            .filter_map(crate::season::Pull::person_hours);
        self.share(HOURS, crate::estimate::sum(hours), Measure::Time)
    }

    fn kilograms(&self, rows: &BTreeSet<RowIndex>) -> Option<Share> {
        if rows.is_empty() {
            return None;
        }
        let part = self.mass.rows_among(rows);
        let tally = self.mass.tally(&part);
        let level = self.season.settings.method.level;
        let amount = self.mass.total(&tally, &part, level).ok()?.value;
        self.share(self.mass.stem(), amount, Measure::Mass)
    }

    fn money(&self, finding: &Finding) -> Option<Share> {
        let indices: BTreeSet<usize> = records(finding)
            .filter_map(|place| self.spending.get(&place.row_only()).copied())
            .collect();
        let rows: Vec<_> = indices
            .into_iter()
            .filter_map(|index| self.season.spending.get(index))
            .collect();
        let first = rows.first()?;
        let grant = self.season.settings.grant(first.grant.as_deref()?)?;
        let of_grant = rows.iter().filter(|row| {
            row.kind == first.kind
                && row
                    .grant
                    .as_deref()
                    .is_some_and(|id| value::fold(id) == value::fold(&grant.id))
        });
        let sum: f64 = of_grant.filter_map(|row| row.amount?.to_f64()).sum();
        let stem = match first.kind {
            crate::season::SpendingKind::Cash => "spending.cash",
            crate::season::SpendingKind::InKind => "spending.in-kind",
        };
        self.share(&format!("{stem}/{}", grant.id), sum, Measure::Money)
    }
}

/// The place of each row, with its number in the list.
fn numbered<'r>(rows: impl Iterator<Item = &'r Row>) -> HashMap<Place, usize> {
    rows.map(Row::place).zip(0..).collect()
}

/// The finding's own place and those that belong to it.
fn records(finding: &Finding) -> impl Iterator<Item = &Place> {
    std::iter::once(&finding.place).chain(&finding.also)
}
