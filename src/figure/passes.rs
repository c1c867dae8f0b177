//! Repeated passes over one site on one day or on days that follow each other: how many plants there were, and what share the
//! passes took.
//!
//! A part's name is the site's id and the day of the first pass: `passes.initial/mill-cove/2025-07-19`.

use std::collections::BTreeSet;

use chrono::NaiveDate;

use super::core::{Figure, Measure, Outturn};
use super::density::whole;
use super::left_out::{LeftOut, LeftOuts};
use super::parts::scaled;
use super::removal::Removal;
use super::scope::Scope;
use crate::estimate::{self, CatchEffort, Estimate};
use crate::phrase;
use crate::place::Place;
use crate::season::{Basis, Known, Pull};
use crate::words;
use crate::words::Words;

/// Passes whose hours differ by no more than this share count as equal effort (common practice, no source: nobody stops to the
/// minute).
const EVEN: f64 = 1.1;

/// The fall from pass to pass under which the number is given once more, as a what-if: a seventh less, which the benchmark of the
/// estimators used too.
const FALL: f64 = 0.85;

/// One pass: the pulls of one number.
pub struct Pass<'a> {
    pub number: u32,
    pub pulls: Vec<(usize, &'a Pull)>,
}

impl Pass<'_> {
    fn indices(&self) -> BTreeSet<usize> {
        self.pulls.iter().map(|(index, _)| *index).collect()
    }

    /// Person-hours, where those of all its pulls are known.
    pub fn effort(&self) -> Option<f64> {
        let hours: Option<Vec<f64>> = self
            .pulls
            .iter()
            .map(|(_, pull)| pull.person_hours())
            .collect();
        hours.map(estimate::sum)
    }
}

/// Passes 1, 2, … that follow each other at a site.
pub struct Run<'a> {
    pub first_day: NaiveDate,
    pub passes: Vec<Pass<'a>>,
}

/// What was counted pass by pass.
pub struct Counts {
    pub catches: Vec<u64>,
    /// `plants`, or a kind of container.
    pub of: Words,
}

/// All runs of two passes or more at a scope's site, and the pulls whose pass fits into none.
pub fn runs<'a>(scope: &Scope<'a>) -> (Vec<Run<'a>>, Vec<LeftOut>) {
    let mut dated: Vec<(NaiveDate, u32, usize, &Pull)> = scope
        .pulls
        .iter()
        .filter_map(|(index, pull)| Some((pull.date()?, pull.pass()?, *index, *pull)))
        .collect();
    dated.sort_by_key(|(date, pass, index, pull)| (*date, *pass, pull.start(), *index));
    let mut runs: Vec<Run<'a>> = Vec::new();
    let mut left_out = Vec::new();
    let mut last_day = None;
    for (date, number, index, pull) in dated {
        let follows = last_day.is_some_and(|last: NaiveDate| (date - last).num_days() <= 1);
        let current = runs.last_mut().filter(|_| follows).and_then(|run| {
            run.passes
                .last()
                .map(|pass| pass.number)
                .map(|last| (run, last))
        });
        match current {
            Some((run, last)) if number == last => {
                if let Some(pass) = run.passes.last_mut() {
                    pass.pulls.push((index, pull));
                }
            }
            Some((run, last)) if number == last.saturating_add(1) => run.passes.push(Pass {
                number,
                pulls: vec![(index, pull)],
            }),
            _ if number == 1 => runs.push(Run {
                first_day: date,
                passes: vec![Pass {
                    number,
                    pulls: vec![(index, pull)],
                }],
            }),
            _ => {
                left_out.push(LeftOut::of_pull(
                    pull,
                    words!(
                        "pass {number} follows no pass {former} of the same day or the day before",
                        number,
                        former = number.saturating_sub(1)
                    ),
                ));
                continue;
            }
        }
        last_day = Some(date);
    }
    runs.retain(|run| run.passes.len() > 1);
    (runs, left_out)
}

/// Plants where every row of every pass is counted, else whole containers of one kind.
pub fn counts(plants: &Removal<'_>, run: &Run<'_>) -> Result<Counts, Words> {
    let by_plants: Option<Vec<u64>> = run
        .passes
        .iter()
        .map(|pass| {
            let rows = plants.rows_of(&pass.indices());
            let counted: Option<Vec<f64>> = rows
                .iter()
                .map(|row| match plants.known(*row) {
                    Some(Known::Counted(number)) => Some(*number),
                    Some(Known::Zero) => Some(0.0),
                    _ => None,
                })
                .collect();
            counted.map(estimate::sum).and_then(whole)
        })
        .collect();
    if let Some(catches) = by_plants {
        return Ok(Counts {
            catches,
            of: words!("plants"),
        });
    }
    let kinds: BTreeSet<&str> = rows(run)
        .filter(|row| row.containers != Some(0.0))
        .filter_map(|row| row.container.as_deref())
        .collect();
    let mut kinds = kinds.into_iter();
    let (Some(kind), None) = (kinds.next(), kinds.next()) else {
        return Err(words!(
            "Neither were plants counted in every pass, nor did all passes fill one kind of container."
        ));
    };
    let catches: Option<Vec<u64>> = run
        .passes
        .iter()
        .map(|pass| {
            let containers: Option<Vec<f64>> = pass
                .pulls
                .iter()
                .flat_map(|(_, pull)| &pull.rows)
                .map(|row| {
                    row.containers
                        .filter(|_| row.basis != Some(Basis::Guessed))
                        .filter(|containers| *containers == 0.0 || row.container.is_some())
                })
                .collect();
            containers.map(estimate::sum).and_then(whole)
        })
        .collect();
    match catches {
        Some(catches) => Ok(Counts {
            catches,
            of: Words::own(kind),
        }),
        None => Err(words!(
            "Neither were plants counted in every pass, nor is the number of containers ({kind}) a whole number in every pass.",
            kind
        )),
    }
}

fn rows<'a>(run: &'a Run<'_>) -> impl Iterator<Item = &'a crate::season::PullRow> {
    run.passes
        .iter()
        .flat_map(|pass| &pass.pulls)
        .flat_map(|(_, pull)| &pull.rows)
}

/// Mass and hours pass by pass, where all of both are known.
pub fn mass_and_hours(mass: &Removal<'_>, run: &Run<'_>, level: f64) -> Option<Vec<CatchEffort>> {
    run.passes
        .iter()
        .map(|pass| {
            let part = mass.rows_of(&pass.indices());
            let tally = mass.tally(&part);
            if !tally.is_complete() {
                return None;
            }
            Some(CatchEffort {
                amount: mass.total(&tally, &part, level).ok()?.value,
                effort: pass.effort()?,
            })
        })
        .collect()
}

/// Are the hours of all passes nearly the same?
fn even(efforts: &[f64]) -> bool {
    let least = efforts.iter().copied().fold(f64::INFINITY, f64::min);
    let most = efforts.iter().copied().fold(0.0, f64::max);
    most <= EVEN * least
}

/// Figures of all runs at a site.
pub fn figures(mass: &Removal<'_>, plants: &Removal<'_>, scope: &Scope<'_>) -> Vec<Figure> {
    if scope.site.is_none() {
        return Vec::new();
    }
    let (runs, strays) = runs(scope);
    runs.iter()
        .flat_map(|run| {
            let mut figures = by_counts(plants, scope, run, &strays);
            figures.extend(by_mass(mass, scope, run, &strays));
            figures
        })
        .collect()
}

struct Maker<'a, 'b> {
    scope: &'a Scope<'b>,
    day: String,
    places: Vec<Place>,
    strays: &'a [LeftOut],
}

impl Maker<'_, '_> {
    fn figure(
        &self,
        what: &str,
        label: Words,
        measure: Measure,
        outturn: Outturn,
        method: impl Into<Words>,
    ) -> Figure {
        let stem = format!("passes.{what}");
        let mut figure = self.scope.figure(&stem, label, measure, outturn, method);
        figure.name = format!("{}/{}", figure.name, self.day);
        figure.label = figure.label.then(", ", self.day.as_str());
        figure
            .resting_on(self.places.iter().cloned())
            .without(self.strays.iter().cloned())
    }
}

fn maker<'a, 'b>(scope: &'a Scope<'b>, run: &Run<'_>, strays: &'a [LeftOut]) -> Maker<'a, 'b> {
    Maker {
        scope,
        day: run.first_day.to_string(),
        places: rows(run).map(|row| row.row.place()).collect(),
        strays,
    }
}

const CLOSED: &str = phrase!("Between the passes nothing grew, drifted in or out.");
const SAME_CHANCE: &str =
    phrase!("Every plant has the same chance of being taken, the same in every pass.");

fn pass_of(pass: &Pass<'_>) -> Words {
    words!("pass {number}", number = pass.number.to_string())
}

fn by_counts(
    plants: &Removal<'_>,
    scope: &Scope<'_>,
    run: &Run<'_>,
    strays: &[LeftOut],
) -> Vec<Figure> {
    let maker = maker(scope, run, strays);
    let counts = counts(plants, run);
    let mut figures = Vec::new();
    if let Ok(counts) = &counts {
        for (pass, caught) in run.passes.iter().zip(&counts.catches) {
            let mut figure = maker.figure(
                "catch",
                words!("Taken in one pass, {of}", of = &counts.of),
                Measure::Count,
                // Whole and far below the limit of exact doubles.
                Outturn::Exact(*caught as f64),
                words!("Sum of the pass's rows."),
            );
            figure.name = format!("{}/{}", figure.name, pass.number);
            figure.label = figure.label.then(", ", pass_of(pass));
            figure.places = pass
                .pulls
                .iter()
                .flat_map(|(_, pull)| pull.places())
                .collect();
            figure.left_out = LeftOuts::default();
            figure.counts = Some(counts.of.clone());
            figures.push(figure);
        }
    }
    let efforts: Option<Vec<f64>> = run.passes.iter().map(Pass::effort).collect();
    let uneven = efforts.filter(|efforts| !even(efforts)).map(|efforts| -> Words {
        let hours: Vec<String> = efforts.iter().map(f64::to_string).collect();
        words!("The passes took different hours ({hours}), so that a falling catch need not mean that fewer were left; the mass per hour of three \
             passes or more can show it.", hours = words::number(hours.join(", ")))
    });
    let of = counts
        .as_ref()
        .map_or_else(|_| words!("plants"), |counts| counts.of.clone());
    let found = match (counts, uneven) {
        (Err(reason), _) | (Ok(_), Some(reason)) => Err(reason),
        (Ok(counts), None) => estimate::removal(&counts.catches, scope.level())
            .map(|removal| (removal, counts))
            .map_err(|refusal| refusal.reason),
    };
    let part =
        |estimate: &Estimate, factor: f64| Outturn::Estimated(scaled(estimate.clone(), factor));
    if let Ok((removal, _)) = &found {
        for (pass, expected) in run.passes.iter().zip(&removal.expected) {
            let mut figure = maker.figure(
                "expected",
                words!("Expected in one pass by the fitted fall, {of}", of = &of),
                Measure::Count,
                Outturn::Estimated(expected.clone()),
                words!("What was there before the first pass, times the chance that a pass takes a plant, times the share that earlier passes left."),
            );
            figure.name = format!("{}/{}", figure.name, pass.number);
            figure.label = figure.label.then(", ", pass_of(pass));
            figures.push(
                figure
                    .assuming(Words::fixed(CLOSED))
                    .assuming(Words::fixed(SAME_CHANCE)),
            );
        }
    }
    let (initial, capture, share, falling) = match &found {
        Ok((removal, counts)) => (
            part(&removal.initial, 1.0),
            part(&removal.capture_probability, 100.0),
            part(&removal.share_removed, 100.0),
            estimate::removal_if_falling(&counts.catches, FALL).into(),
        ),
        Err(reason) => {
            let refused = || Outturn::Refused(reason.clone());
            (refused(), refused(), refused(), refused())
        }
    };
    let method = words!("From the fall of the catch over passes of equal effort.");
    for (what, kind, told, measure, outturn) in [
        (
            "initial",
            words!("There before the first pass"),
            Some(&of),
            Measure::Count,
            initial,
        ),
        (
            "capture",
            words!("Chance that one pass takes a plant"),
            None,
            Measure::Percent,
            capture,
        ),
        (
            "share-removed",
            words!("Share that all passes took"),
            None,
            Measure::Percent,
            share,
        ),
        (
            "initial-if-falling",
            words!(
                "There before the first pass if each pass took {fall} of the share of the one before",
                fall = FALL
            ),
            Some(&of),
            Measure::Count,
            falling,
        ),
    ] {
        let label = match told {
            Some(of) => kind.clone().then(", ", of),
            None => kind.clone(),
        };
        figures.push(
            maker
                .figure(what, label, measure, outturn, &method)
                .of_kind(kind)
                .assuming(Words::fixed(CLOSED))
                .assuming(Words::fixed(SAME_CHANCE)),
        );
    }
    figures
}

fn by_mass(
    mass: &Removal<'_>,
    scope: &Scope<'_>,
    run: &Run<'_>,
    strays: &[LeftOut],
) -> Vec<Figure> {
    let maker = maker(scope, run, strays);
    let visits = mass_and_hours(mass, run, scope.level());
    let efforts: Option<Vec<f64>> = run.passes.iter().map(Pass::effort).collect();
    // Two passes of equal effort are served by counts; three points at least make a line.
    if run.passes.len() < 3 && efforts.is_some_and(|efforts| even(&efforts)) {
        return Vec::new();
    }
    let found = match visits {
        None => Err(words!("The mass or the hours of a pass are not known.")),
        Some(visits) => {
            estimate::leslie(&visits, false, scope.level()).map_err(|refusal| refusal.reason)
        }
    };
    let (initial, share, catchability) = match found {
        Ok(leslie) => (
            Outturn::Estimated(leslie.initial),
            Outturn::Estimated(scaled(leslie.share_removed, 100.0)),
            Outturn::Estimated(scaled(leslie.catchability, 100.0)),
        ),
        Err(reason) => {
            let refused = || Outturn::Refused(reason.clone());
            (refused(), refused(), refused())
        }
    };
    [
        ("initial-mass", words!("Wet mass there before the first pass"), Measure::Mass, initial),
        ("share-of-mass-removed", words!("Share of the wet mass that all passes took"), Measure::Percent, share),
        ("share-an-hour", words!("Share of what is there that a person-hour takes"), Measure::PercentPerHour, catchability),
    ]
    .into_iter()
    .map(|(what, label, measure, outturn)| {
        maker
            .figure(
                what,
                label,
                measure,
                outturn,
                words!("Straight line of the mass per person-hour on what was taken before; where it meets zero, all would be taken."),
            )
            .assuming(Words::fixed(CLOSED))
            .assuming(words!("The same effort takes the same share of what is left."))
            .assuming(words!("The error of converting containers is not in the interval."))
    })
    .collect()
}
