//! The field's figures, built from estimates, and the ledger that holds them.
//!
//! Takes a [`Season`], gives a [`Ledger`]. Every figure holds the places of the records it used and names those it could not use.
//! The arithmetic of uncertainty is in the estimate room; here it is decided which records go into it.

mod area;
mod core;
mod cover;
mod deliverables;
mod effort;
mod evidence;
mod ledger;
mod money;
mod photo_index;
mod removal;
mod scope;

pub use self::core::{Deliverable, Figure, LeftOut, Measure, Outturn, Standing};
pub use deliverables::RULES;
pub use ledger::{LEDGER_FORMAT, Ledger};
pub use money::line_name;
pub use photo_index::photo_index;

use crate::finding::Finding;
use crate::season::Season;
use removal::Removal;
use scope::Scope;

/// All figures of a season.
pub fn compute(season: &Season) -> Ledger {
    let mut ledger = Ledger::default();
    let mass = Removal::mass(season);
    let plants = Removal::plants(season);
    for scope in Scope::all(season) {
        let themes = [
            effort::figures(&scope),
            removal::containers(&scope),
            mass.figures(&scope),
            plants.figures(&scope),
            cover::figures(&scope),
            area::figures(&scope),
            evidence::figures(&scope),
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
        .chain(money::figures(season))
    {
        ledger.add(figure);
    }
    ledger.deliverables = deliverables::judge(season, &ledger);
    ledger
}

/// What only the ledger can find wrong: deliverables that no figure answers.
pub fn findings(season: &Season, ledger: &Ledger) -> Vec<Finding> {
    deliverables::findings(season, ledger)
}
