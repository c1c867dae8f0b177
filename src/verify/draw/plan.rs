//! How many items, why so many, and which.
//!
//! Takes a population and the auditor's wishes; gives the draw. Touches no file.

use serde::Serialize;

use super::by_size;
use super::population::{Item, Population};
use super::rule;
use super::{DrawError, Of};
use crate::archive::tree::{Hash, hex};
use crate::estimate::audit_size;

/// Letters that a seed may have: it has to be read aloud and typed again.
const LONGEST_SEED: usize = 100;

/// What the auditor wants.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Wish {
    /// Any text that the auditor names after the archive was sealed.
    pub seed: String,
    /// How sure to be: 0.95.
    pub confidence: f64,
    /// The share of wrong items, or of wrong size, that would still be borne: 0.05.
    pub tolerable: f64,
    /// Wrong items in the sample that must not yet spoil the proof.
    pub expected: u64,
    /// Chances in proportion to size.
    pub by_size: bool,
}

/// One drawn item.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Drawn {
    #[serde(flatten)]
    pub item: Item,
    /// SHA-256 of seed, bar and item, in hexadecimal digits.
    pub rank: String,
    /// How often it was hit; 1 where chances are equal.
    pub hits: u64,
}

/// A draw.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Draw {
    pub of: Of,
    #[serde(flatten)]
    pub wish: Wish,
    /// Of the archive that was drawn from, in hexadecimal digits.
    pub fingerprint: String,
    /// Items that could be drawn.
    pub population: u64,
    /// Their sizes together, in parts; only where chances go by size.
    pub total: Option<u64>,
    /// Items to draw, or hits where chances go by size.
    pub size: u64,
    /// Why so many, in words.
    pub reason: String,
    pub columns: Vec<String>,
    /// In the order of the rule.
    pub items: Vec<Drawn>,
    /// Items that can't be drawn by size, as they have none above nothing: to be looked at by themselves.
    pub left_out: Vec<String>,
}

/// Draws.
///
/// # Errors
/// [`DrawError::Unfit`] where the wishes can't be had from this population.
pub fn draw(mut population: Population, wish: Wish, fingerprint: &Hash) -> Result<Draw, DrawError> {
    check_seed(&wish.seed)?;
    let mut left_out = Vec::new();
    if wish.by_size {
        if population.of.part().is_none() {
            return Err(DrawError::Unfit(format!(
                "{} have no size to go by; draw them without --by-size",
                population.of.word()
            )));
        }
        population.items.retain(|item| {
            if item.size.is_none() {
                left_out.push(item.id.clone());
            }
            item.size.is_some()
        });
    }
    let count = population.items.len() as u64;
    if count == 0 {
        return Err(DrawError::Unfit(format!(
            "the archive holds no {} to draw from",
            population.of.word()
        )));
    }
    let order = rule::ordered(
        &wish.seed,
        population.items.iter().map(|item| item.id.as_str()),
    );
    let (size, total, reason, hits) = if wish.by_size {
        by_their_size(&population, &wish, &order)?
    } else {
        let size = audit_size(Some(count), wish.tolerable, wish.confidence, wish.expected)?;
        let hits = order
            .iter()
            .zip(0_u64..)
            .map(|(_, at)| u64::from(at < size));
        // `order` is sorted by rank, so that the first ones are the sample.
        let mut by_position = vec![0; population.items.len()];
        for ((_, position), hit) in order.iter().zip(hits) {
            if let Some(slot) = by_position.get_mut(*position) {
                *slot = hit;
            }
        }
        (
            size,
            None,
            reason(&wish, population.of, count, size),
            by_position,
        )
    };
    let mut items: Vec<Option<Item>> = population.items.into_iter().map(Some).collect();
    let drawn = order.iter().filter_map(|(rank, position)| {
        let hits = *hits.get(*position)?;
        let item = items.get_mut(*position)?.take()?;
        (hits > 0).then(|| Drawn {
            item,
            rank: hex(rank),
            hits,
        })
    });
    Ok(Draw {
        of: population.of,
        fingerprint: hex(fingerprint),
        population: count,
        total,
        size,
        reason,
        columns: population.columns.clone(),
        items: drawn.collect(),
        left_out,
        wish,
    })
}

fn check_seed(seed: &str) -> Result<(), DrawError> {
    let what = if seed.is_empty() {
        "the seed is empty; name any text, such as the date and a word of your own"
    } else if seed.chars().count() > LONGEST_SEED || seed.chars().any(char::is_control) {
        "the seed has to be one line of 100 letters at most, so that it can be noted down"
    } else if seed.trim() != seed {
        "the seed starts or ends in a blank, which nobody would see when noting it down"
    } else {
        return Ok(());
    };
    Err(DrawError::Unfit(what.into()))
}

type BySize = (u64, Option<u64>, String, Vec<u64>);

fn by_their_size(
    population: &Population,
    wish: &Wish,
    order: &[(Hash, usize)],
) -> Result<BySize, DrawError> {
    let sizes: Vec<u64> = population
        .items
        .iter()
        .map(|item| item.size.unwrap_or(0))
        .collect();
    // Bounded: an archive has at most 32 MiB of a list, and each size its own limit.
    let total = sizes
        .iter()
        .try_fold(0_u64, |sum, size| sum.checked_add(*size))
        .ok_or_else(|| DrawError::Unfit("the sizes together are beyond counting".into()))?;
    let size = audit_size(None, wish.tolerable, wish.confidence, wish.expected)?;
    let order: Vec<usize> = order.iter().map(|(_, position)| *position).collect();
    let hits = by_size::hits(&wish.seed, &order, &sizes, size);
    let items = hits.iter().filter(|count| **count > 0).count();
    let part = population.of.part().map_or("parts", |part| part.name);
    let reason = format!(
        "{size} of {total} {part} are hit, and they lie in {items} of the {} {}. Each of the {part} has the same chance, so a large \
         item is hit more often than a small one. If {} or more of the {part} were wrong, {size} hits would find {} with a probability \
         of {} % or more (binomial distribution).",
        population.items.len(),
        population.of.word(),
        per_cent(wish.tolerable),
        more_than(wish.expected),
        hundredfold(wish.confidence),
    );
    Ok((size, Some(total), reason, hits))
}

fn reason(wish: &Wish, of: Of, count: u64, size: u64) -> String {
    if size == count {
        return format!(
            "All {count} {} are to be checked: with so few of them, no smaller sample could rule out that {} are wrong.",
            of.word(),
            per_cent(wish.tolerable)
        );
    }
    // As `audit_size` counts: the product's last bits are forgiven.
    let wrong = (wish.tolerable * count as f64 - 1e-9 * count as f64).ceil();
    format!(
        "{size} of the {count} {} are drawn. If {} or more of them were wrong (that is {wrong} or more: {count} times the share, rounded \
         up), a sample of {size} would find {} with a probability of {} % or more; {} would not (hypergeometric distribution, as nothing \
         is drawn twice).",
        of.word(),
        per_cent(wish.tolerable),
        more_than(wish.expected),
        hundredfold(wish.confidence),
        size - 1,
    )
}

fn more_than(expected: u64) -> String {
    match expected {
        0 => "at least one".into(),
        expected => format!("more than {expected}"),
    }
}

/// A share as per cent, without the last bits of a product.
pub(super) fn per_cent(share: f64) -> String {
    format!("{} %", hundredfold(share))
}

fn hundredfold(share: f64) -> f64 {
    (share * 1e6).round() / 1e4
}

#[cfg(test)]
mod tests {
    use super::*;

    fn population(of: Of, items: u64) -> Population {
        Population {
            of,
            columns: vec!["mass_kg".into()],
            items: (1..=items)
                .map(|row| Item {
                    id: format!("weighings.csv row {row}"),
                    size: (row > 1).then_some(row * 100),
                    particulars: vec![row.to_string()],
                })
                .collect(),
        }
    }

    fn wish(seed: &str) -> Wish {
        Wish {
            seed: seed.into(),
            confidence: 0.95,
            tolerable: 0.05,
            expected: 0,
            by_size: false,
        }
    }

    /// Sizes by R phyper, as in `estimate::audit`: 95 %, 5 % tolerable, none expected.
    #[test]
    fn as_many_are_drawn_as_published_and_the_reason_says_so() {
        for (items, size) in [(50, 31), (100, 45), (200, 51), (500, 56), (1000, 57)] {
            let draw = draw(population(Of::Weighings, items), wish("s"), &[7; 32]).unwrap();
            assert_eq!(draw.items.len(), size);
            assert_eq!(draw.size, size as u64);
            assert!(
                draw.reason
                    .starts_with(&format!("{size} of the {items} weighings"))
            );
        }
        let few = draw(population(Of::Pulls, 9), wish("s"), &[7; 32]).unwrap();
        assert_eq!(few.items.len(), 9);
        assert!(few.reason.starts_with("All 9 pulls"));
    }

    /// AICPA 2017, Audit Guide: Audit Sampling, table A-1: 59 hits at 95 % and 5 %, whatever the number of items.
    #[test]
    fn by_size_as_many_parts_are_hit_as_published() {
        let by_size = Wish {
            by_size: true,
            ..wish("s")
        };
        let draw = draw(population(Of::Weighings, 300), by_size, &[7; 32]).unwrap();
        assert_eq!(draw.size, 59);
        assert_eq!(draw.items.iter().map(|drawn| drawn.hits).sum::<u64>(), 59);
        assert_eq!(draw.left_out, ["weighings.csv row 1"]);
        assert_eq!(draw.population, 299);
        assert_eq!(draw.total, Some((2..=300).map(|row| row * 100).sum()));
    }

    #[test]
    fn the_same_seed_draws_the_same_and_another_seed_others() {
        let of = |seed| draw(population(Of::Pulls, 200), wish(seed), &[7; 32]).unwrap();
        assert_eq!(of("one"), of("one"));
        assert_ne!(of("one").items, of("two").items);
        let ranks: Vec<String> = of("one")
            .items
            .into_iter()
            .map(|drawn| drawn.rank)
            .collect();
        assert!(ranks.is_sorted());
    }

    #[test]
    fn wishes_that_can_t_be_had_are_refused_in_words() {
        let refused = |wish: Wish, population: Population| {
            let DrawError::Unfit(what) = draw(population, wish, &[7; 32]).unwrap_err() else {
                panic!("not refused as unfit");
            };
            what
        };
        for seed in ["", " x", "x\n", "a\u{7}b", &"x".repeat(101)] {
            assert!(refused(wish(seed), population(Of::Pulls, 9)).contains("seed"));
        }
        let by_size = Wish {
            by_size: true,
            ..wish("s")
        };
        assert!(refused(by_size, population(Of::Photos, 9)).contains("no size"));
        assert!(refused(wish("s"), population(Of::Pulls, 0)).contains("no pulls"));
        for share in [0.0, 1.0, f64::NAN] {
            let wish = Wish {
                tolerable: share,
                ..wish("s")
            };
            refused(wish, population(Of::Pulls, 9));
        }
        let wish = Wish {
            expected: 9,
            ..wish("s")
        };
        refused(wish, population(Of::Pulls, 9));
    }
}
