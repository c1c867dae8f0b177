//! The field's figures, built from estimates, and the ledger that holds them.
//!
//! Takes a [`Season`], gives a [`Ledger`]. Every figure holds the places of the records it used and names those it could not use.
//! The arithmetic of uncertainty is in the estimate room; here it is decided which records go into it.

mod absence;
mod area;
mod chance;
mod containers;
mod core;
mod cover;
mod deliverables;
mod density;
mod effort;
mod evidence;
mod gaps;
mod ledger;
mod left_out;
mod money;
mod outlook;
mod parts;
mod passes;
mod photo_index;
mod prose;
mod removal;
mod scope;
mod seasons;
mod stakes;
mod workings;

pub use self::core::{Deliverable, Figure, Measure, Outturn, Standing, Supposed};
pub use evidence::{EvidenceGrade, PhotoEvidence, PullEvidence, pull_evidence};
pub use ledger::{LEDGER_FORMAT, Ledger};
pub use left_out::{LeftOut, LeftOuts};
pub use money::line_name;
pub use photo_index::photo_index;
pub use workings::{PhotoOfPull, Record, Workings, workings};

use crate::finding::{self, Finding, Rule};
use crate::season::Season;
use removal::Removal;
use scope::Scope;
use seasons::Seasons;

/// All figures of a season.
pub fn compute(season: &Season) -> Ledger {
    let mut ledger = Ledger::default();
    ledger.previous = season.earlier_record().map(|(_, _, record)| record.root);
    let mass = Removal::mass(season);
    let plants = Removal::plants(season);
    let backing = evidence::Backing::of(season);
    let forecast = outlook::Forecast::of(season);
    for scope in Scope::all(season) {
        let themes = [
            effort::figures(&scope),
            gaps::hours(&scope).into_iter().collect(),
            parts::effort(&scope),
            vec![parts::effort_before_seed(&scope)],
            containers::figures(&scope),
            mass.figures(&scope),
            gaps::mass(&mass, &scope).into_iter().collect(),
            parts::removal(&mass, &scope),
            parts::removal_before_seed(&mass, &scope),
            plants.figures(&scope),
            passes::figures(&mass, &plants, &scope),
            cover::figures(&scope),
            density::figures(&scope),
            area::figures(&scope),
            evidence::figures(&scope, &backing),
            absence::figures(&mass, &scope),
            forecast.figures(&plants, &scope),
        ];
        for figure in themes.into_iter().flatten() {
            ledger.add(figure);
        }
    }
    let whole = Scope::whole(season);
    for figure in mass
        .stratum_figures(&whole)
        .into_iter()
        .chain(plants.stratum_figures(&whole))
        .chain(parts::removal(&plants, &whole))
        .chain(money::figures(season))
    {
        ledger.add(figure);
    }
    if let Some(seasons) = Seasons::of(season, &mass, &plants) {
        for figure in seasons::figures(&seasons) {
            ledger.add(figure);
        }
    }
    ledger.deliverables = deliverables::judge(season, &ledger);
    for figure in chance::figures(&ledger) {
        ledger.add(figure);
    }
    ledger
}

/// The rules that need the ledger: deliverables that no figure answers, and numbers typed into prose.
pub fn rules() -> Vec<Rule> {
    [deliverables::RULES, prose::RULES].concat()
}

/// All findings of a season, each with what hangs on it, the gravest first. `later` holds those of rooms that know more than the season.
pub fn findings(season: &Season, ledger: &Ledger, later: Vec<Finding>) -> Vec<Finding> {
    let mut more = later;
    more.extend(deliverables::findings(season, ledger));
    more.extend(prose::findings(season, ledger));
    let mut findings = finding::find(season, more);
    stakes::weigh(season, ledger, &mut findings);
    finding::sort(&mut findings);
    findings
}
