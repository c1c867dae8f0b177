//! The pulls that the ledger counts: what the report tells of pulls must agree with its own figure of them.

use std::collections::BTreeSet;

use crate::figure::Ledger;
use crate::place::Place;
use crate::season::{Pull, Season};

/// The season's pulls without those that the figure `effort.pulls` left out, such as one that was logged twice.
pub fn pulls<'a>(season: &'a Season, ledger: &Ledger) -> Vec<&'a Pull> {
    let left_out: BTreeSet<Place> = ledger
        .get("effort.pulls")
        .map(|figure| {
            let places = figure.left_out.places();
            places.map(|place| place.row_only()).collect()
        })
        .unwrap_or_default();
    season
        .pulls
        .iter()
        .filter(|pull| !left_out.contains(&pull.place().row_only()))
        .collect()
}

#[cfg(test)]
mod tests {
    use crate::report::tests::sample::Recipe;

    #[test]
    fn a_pull_that_the_ledger_leaves_out_is_not_told_of() {
        // The sample's figures leave out row 15 of the log, which is the fourteenth pull.
        let sample = Recipe::new(2, 18).build();
        let pulls = super::pulls(&sample.season, &sample.ledger);
        assert_eq!(pulls.len(), 17);
        assert!(pulls.iter().all(|pull| pull.id != "P14"));
    }
}
