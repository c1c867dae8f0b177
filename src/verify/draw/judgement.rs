//! What the checks prove: from the results, the highest share of wrong items that is still possible.
//!
//! Takes a filled worksheet; gives numbers. What was not checked counts as wrong, as the auditors' guide wants it
//! (AICPA 2017, Audit Guide: Audit Sampling, on items that can't be examined; from memory).

use serde::Serialize;

use super::DrawError;
use super::filled::{Filled, Outcome};
use crate::estimate::audit_bound;

/// What the sample says of all items.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Judgement {
    /// Items in the sheet, or hits where chances went by size.
    pub checked: u64,
    /// Of them wrong: differing, not found, or without a result.
    pub wrong: u64,
    /// Of the wrong ones, those without a result.
    pub unfilled: u64,
    /// Share wrong in the sample; by size, weighted with how far each was wrong.
    pub share: f64,
    /// The highest share in the whole that is still possible, at the confidence.
    pub upper: f64,
    pub confidence: f64,
    pub tolerable: f64,
    /// Whether `upper` is below the tolerable share, or all items were checked and no more are wrong.
    pub kept: bool,
    pub method: &'static str,
}

/// Judges.
///
/// # Errors
/// [`DrawError::Unfit`] where the sheet's numbers make no sense together.
pub fn judge(filled: &Filled) -> Result<Judgement, DrawError> {
    let mut checked = 0_u64;
    let mut unfilled = 0_u64;
    // Shares by which hits were wrong, one for each hit.
    let mut taints: Vec<(f64, u64)> = Vec::new();
    for row in &filled.rows {
        checked = checked.saturating_add(row.hits);
        match row.outcome {
            Some(Outcome::Agrees) => {}
            Some(Outcome::Differs(share)) => taints.push((share, row.hits)),
            Some(Outcome::NotFound) => taints.push((1.0, row.hits)),
            None => {
                unfilled = unfilled.saturating_add(row.hits);
                taints.push((1.0, row.hits));
            }
        }
    }
    let wrong: u64 = taints
        .iter()
        .map(|(_, hits)| hits)
        .fold(0, |a, b| a.saturating_add(*b));
    let confidence = filled.wish.confidence;
    let tolerable = filled.wish.tolerable;
    let (share, upper, method) = if filled.wish.by_size {
        let (share, upper) = stringer(checked, taints, confidence)?;
        (
            share,
            upper,
            "share of the size; upper bound of Stringer, with the bounds of Clopper and Pearson",
        )
    } else {
        let estimate = audit_bound(Some(filled.population), checked, wrong, confidence)?;
        let upper = estimate.interval.map_or(1.0, |interval| interval.upper);
        (
            estimate.value,
            upper,
            "share of the items; upper bound by inversion of the hypergeometric distribution",
        )
    };
    Ok(Judgement {
        checked,
        wrong,
        unfilled,
        share,
        upper,
        confidence,
        tolerable,
        kept: upper < tolerable || (upper == 0.0 && wrong == 0),
        method,
    })
}

/// Most hits that a sheet by size may have: more than any tolerable share asks for.
const MOST_HITS: u64 = 1_000_000;

/// The mean taint of all hits, and Stringer's upper bound of the share of size that is wrong.
///
/// p(0) + Σ (p(j) − p(j−1)) t(j) over the wrong hits, the most tainted first; p(j) is the upper bound of Clopper and
/// Pearson for j of n. Source: K. Stringer 1963, Practical aspects of statistical sampling in auditing, Proceedings of the
/// Business and Economic Statistics Section, American Statistical Association; S. Bickel 1992, Inference and auditing: the
/// Stringer bound, International Statistical Review 60 (from memory).
fn stringer(
    checked: u64,
    mut taints: Vec<(f64, u64)>,
    confidence: f64,
) -> Result<(f64, f64), DrawError> {
    if checked > MOST_HITS {
        return Err(DrawError::Unfit(
            "the worksheet says more hits than any draw has".into(),
        ));
    }
    let bound = |wrong: u64| {
        audit_bound(None, checked, wrong, confidence)
            .map(|estimate| estimate.interval.map_or(1.0, |interval| interval.upper))
    };
    taints.sort_by(|one, other| other.0.total_cmp(&one.0));
    let mut before = bound(0)?;
    let mut upper = before;
    let mut wrong = 0;
    let mut sum = 0.0;
    for (taint, hits) in taints {
        // Hits of one item share their taint, so that only the ends count.
        wrong += hits;
        let after = bound(wrong)?;
        upper += (after - before) * taint;
        sum += taint * hits as f64;
        before = after;
    }
    Ok((sum / checked as f64, upper.min(1.0)))
}

#[cfg(test)]
mod tests {
    use super::super::Of;
    use super::super::filled::FilledRow;
    use super::super::plan::Wish;
    use super::*;

    fn filled(population: u64, checked: u64, wrong: &[Option<Outcome>], by_size: bool) -> Filled {
        let row = |number: u64| FilledRow {
            item: format!("pulls.csv row {number}"),
            hits: 1,
            outcome: match wrong.get(usize::try_from(number).unwrap()) {
                Some(outcome) => *outcome,
                None => Some(Outcome::Agrees),
            },
        };
        Filled {
            of: Of::Weighings,
            fingerprint: String::new(),
            wish: Wish {
                seed: "s".into(),
                confidence: 0.95,
                tolerable: 0.05,
                expected: 0,
                by_size,
            },
            population,
            size: checked,
            rows: (0..checked).map(row).collect(),
            odd: Vec::new(),
        }
    }

    /// R phyper: 60 of 200 checked, 0 to 3 wrong: at most 8, 13, 18, 22 in all. All three ways of being wrong count alike.
    #[test]
    fn bounds_of_items_are_the_published_ones() {
        let ways = [Some(Outcome::Differs(1.0)), Some(Outcome::NotFound), None];
        for (wrong, most) in [(0, 8.0), (1, 13.0), (2, 18.0), (3, 22.0)] {
            let judged = judge(&filled(200, 60, &ways[..wrong], false)).unwrap();
            assert!((judged.upper * 200.0 - most).abs() < 1e-9, "{wrong}");
            assert_eq!(judged.wrong, wrong as u64);
            assert_eq!(judged.kept, most < 10.0);
            assert_eq!(judged.unfilled, u64::from(wrong == 3));
        }
    }

    /// With hits that are wrong altogether, Stringer's bound is that of Clopper and Pearson: AICPA 2017, Audit Guide:
    /// Audit Sampling, table A-3 for 60 checked, 95 %: 4.9, 7.7, 10.2, 12.5 %, rounded up to a tenth.
    #[test]
    fn bounds_by_size_are_the_published_ones_for_whole_errors() {
        for (wrong, printed) in [4.9, 7.7, 10.2, 12.5].into_iter().enumerate() {
            let ways = vec![Some(Outcome::NotFound); wrong];
            let judged = judge(&filled(1, 60, &ways, true)).unwrap();
            let upper = 100.0 * judged.upper;
            assert!(
                upper <= printed + 1e-9 && upper > printed - 0.1,
                "{wrong}: {upper}"
            );
        }
    }

    #[test]
    fn a_hit_wrong_by_a_tenth_adds_a_tenth_of_its_step() {
        let upper = |ways: &[Option<Outcome>]| judge(&filled(1, 60, ways, true)).unwrap().upper;
        let none = upper(&[]);
        let whole = upper(&[Some(Outcome::NotFound)]);
        let tenth = upper(&[Some(Outcome::Differs(0.1))]);
        assert!((tenth - (none + 0.1 * (whole - none))).abs() < 1e-12);
        // The order in the sheet changes nothing.
        let mixed = [Some(Outcome::Differs(0.1)), Some(Outcome::NotFound)];
        let turned = [Some(Outcome::NotFound), Some(Outcome::Differs(0.1))];
        assert_eq!(upper(&mixed), upper(&turned));
    }

    #[test]
    fn a_full_check_without_a_fault_proves_even_a_tiny_share() {
        let mut all = filled(9, 9, &[], false);
        all.wish.tolerable = 0.01;
        assert!(judge(&all).unwrap().kept);
        // A sheet without rows, or with more than there are, proves nothing.
        assert!(judge(&filled(9, 0, &[], false)).is_err());
        assert!(judge(&filled(9, 10, &[], false)).is_err());
        assert!(judge(&filled(9, 0, &[], true)).is_err());
    }
}
