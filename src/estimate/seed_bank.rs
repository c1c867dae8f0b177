//! What a stock of seeds may do in years to come: a scenario, never a measurement.
//!
//! Takes ranges for each parameter, draws from them, and follows the stock under three courses
//! of action. Gives quantiles of the draws, which are a range of scenarios and no confidence
//! interval. Parameters stay constant over the years within a draw, which is optimistic.

use super::Refusal;
use super::bootstrap::quantile;
use super::number::check_level;
use super::random::Random;
use crate::words;
use crate::words::Words;

/// Two ends of what a parameter may be; equal ends mean a fixed value.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    pub low: f64,
    pub high: f64,
}

/// The parameters of the yearly balance S' = S(1 − g)s + S g e (1 − c) f.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SeedBank {
    /// Live seeds at the start, in any unit (such as per square metre), zero or more: S.
    pub seeds: Range,
    /// Share that germinates in a year: g.
    pub germinating: Range,
    /// Share of buried seeds that lives through a year: s.
    pub surviving: Range,
    /// Share of seedlings that grow up: e.
    pub establishing: Range,
    /// Live seeds that a grown plant left alone adds: f, zero or more.
    pub seeds_per_plant: Range,
    /// Share of plants removed before they seed, where removal is done: c.
    pub removed: Range,
    /// Seeds beyond which crowding lets the stock grow no further; `None` for no such limit.
    pub ceiling: Option<f64>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Course {
    /// Nothing removed in any year, the years already past included.
    Never,
    /// The same share removed in every year.
    SameEffort,
    /// Removed in the years past, nothing from now on.
    StopNow,
}

/// Quantiles of the stock in one year over all draws.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SeedYear {
    /// Years after the start; 0 is the start.
    pub year: usize,
    pub low: f64,
    pub middle: f64,
    pub high: f64,
}

#[derive(Debug, Clone, PartialEq)]
pub struct Outlook {
    pub courses: Vec<(Course, Vec<SeedYear>)>,
    /// Plants that grow up in each year, S g e, in the unit of the seeds, before any is removed.
    pub plants: Vec<(Course, Vec<SeedYear>)>,
    /// Share to be removed each year that just keeps the stock from growing, low to high: 0
    /// where the stock falls by itself.
    pub holding: SeedYear,
    /// What every reader must be told with it.
    pub caution: Vec<Words>,
    pub draws: usize,
}

/// Follows the stock through `years_past` + `years_ahead` years in `draws` draws, each parameter
/// uniform between its ends; the middle `share` of draws lies between `low` and `high`.
///
/// `draws` from 100 to 20,000, at most 100 years. Refuses ends out of order, shares outside 0
/// to 1, negative numbers.
///
/// Source: balance of a seed bank as in Cohen 1966, "Optimizing reproduction in a randomly
/// varying environment", Journal of Theoretical Biology 12 (from memory), with removal added.
pub fn seed_bank_outlook(
    bank: &SeedBank,
    years_past: usize,
    years_ahead: usize,
    draws: usize,
    seed: u64,
    share: f64,
) -> Result<Outlook, Refusal> {
    check_level(share)?;
    check(bank)?;
    /// Longer outlooks mean nothing with constant parameters.
    const MOST_YEARS: usize = 100;
    if !(100..=20_000).contains(&draws) || years_past.saturating_add(years_ahead) > MOST_YEARS {
        return Err(Refusal::new(words!(
            "The outlook needs 100 to 20,000 draws and at most 100 years."
        )));
    }
    let years = years_past + years_ahead;
    let courses = [Course::Never, Course::SameEffort, Course::StopNow];
    let mut stocks = vec![vec![Vec::with_capacity(draws); years + 1]; courses.len()];
    let mut grown = stocks.clone();
    let mut holding = Vec::with_capacity(draws);
    let mut random = Random::seeded(seed);
    for _ in 0..draws {
        let drawn = Draw::of(bank, &mut random);
        holding.push(drawn.holding());
        for ((course, by_year), grown) in courses.iter().zip(&mut stocks).zip(&mut grown) {
            let mut stock = drawn.seeds;
            for (year, (values, plants)) in by_year.iter_mut().zip(grown).enumerate() {
                values.push(stock);
                plants.push(stock * drawn.germinating * drawn.establishing);
                let removed = match course {
                    Course::Never => 0.0,
                    Course::SameEffort => drawn.removed,
                    Course::StopNow if year < years_past => drawn.removed,
                    Course::StopNow => 0.0,
                };
                stock = drawn.next(stock, removed, bank.ceiling);
            }
        }
    }
    let summaries = |values: Vec<Vec<Vec<f64>>>| {
        courses
            .iter()
            .zip(values)
            .map(|(course, by_year)| {
                let years = by_year
                    .into_iter()
                    .enumerate()
                    .filter_map(|(year, values)| summary(year, values, share))
                    .collect();
                (*course, years)
            })
            .collect()
    };
    let holding = summary(years, holding, share)
        .ok_or_else(|| Refusal::new(words!("The ranges can't be computed with.")))?;
    Ok(Outlook {
        courses: summaries(stocks),
        plants: summaries(grown),
        holding,
        caution: vec![
            words!(
                "A range of scenarios from the ranges given, no measurement and no confidence \
             interval."
            ),
            words!(
                "The same shares are taken to hold every year, which is optimistic: bad years for \
             removal or good years for seed make it worse."
            ),
        ],
        draws,
    })
}

fn check(bank: &SeedBank) -> Result<(), Refusal> {
    let ordered = |range: &Range| {
        range.low.is_finite()
            && range.high.is_finite()
            && 0.0 <= range.low
            && range.low <= range.high
    };
    for (name, range) in [
        (words!("The share that germinates"), bank.germinating),
        (
            words!("The share of buried seeds that survives"),
            bank.surviving,
        ),
        (
            words!("The share of seedlings that grow up"),
            bank.establishing,
        ),
        (words!("The share removed"), bank.removed),
    ] {
        if !ordered(&range) || range.high > 1.0 {
            return Err(Refusal::new(words!(
                "{name} needs two ends between 0 and 1, the lower one first.",
                name
            )));
        }
    }
    for (name, range) in [
        (words!("The number of seeds"), bank.seeds),
        (
            words!("The number of seeds a plant adds"),
            bank.seeds_per_plant,
        ),
    ] {
        /// More seeds than any unit of area holds; keeps a century of growth within doubles.
        const MOST: f64 = 1e12;
        if !ordered(&range) || range.high > MOST {
            return Err(Refusal::new(words!(
                "{name} needs two ends of zero or more, the lower one first.",
                name
            )));
        }
    }
    match bank.ceiling {
        Some(ceiling) if !ceiling.is_finite() || ceiling < bank.seeds.high => Err(Refusal::new(
            words!("The limit of crowding must not lie below the seeds at the start."),
        )),
        _ => Ok(()),
    }
}

/// One set of parameters.
struct Draw {
    seeds: f64,
    germinating: f64,
    surviving: f64,
    establishing: f64,
    seeds_per_plant: f64,
    removed: f64,
}

impl Draw {
    fn of(bank: &SeedBank, random: &mut Random) -> Self {
        let mut from = |range: Range| random.between(range.low, range.high);
        Self {
            seeds: from(bank.seeds),
            germinating: from(bank.germinating),
            surviving: from(bank.surviving),
            establishing: from(bank.establishing),
            seeds_per_plant: from(bank.seeds_per_plant),
            removed: from(bank.removed),
        }
    }

    fn next(&self, stock: f64, removed: f64, ceiling: Option<f64>) -> f64 {
        let kept = stock * (1.0 - self.germinating) * self.surviving;
        let grown = stock * self.germinating * self.establishing;
        let stock = kept + grown * (1.0 - removed) * self.seeds_per_plant;
        // Without a limit a century of growth could leave the doubles: hold it at the largest.
        stock.min(ceiling.unwrap_or(f64::MAX))
    }

    /// c* = 1 − (1 − (1 − g)s) ÷ (g e f), not below 0.
    fn holding(&self) -> f64 {
        let loss = 1.0 - (1.0 - self.germinating) * self.surviving;
        let gain = self.germinating * self.establishing * self.seeds_per_plant;
        if gain <= loss { 0.0 } else { 1.0 - loss / gain }
    }
}

fn summary(year: usize, mut values: Vec<f64>, share: f64) -> Option<SeedYear> {
    values.sort_by(f64::total_cmp);
    let tail = 0.5 * (1.0 - share);
    Some(SeedYear {
        year,
        low: quantile(&values, tail)?,
        middle: quantile(&values, 0.5)?,
        high: quantile(&values, 1.0 - tail)?,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fixed(value: f64) -> Range {
        Range {
            low: value,
            high: value,
        }
    }

    /// Germination and seedling losses as counted by Kurihara & Ikusima 1991, Vegetatio 97:
    /// 60 to 87 % germinate, about 30 % of seedlings die, under 3 seeds a rosette.
    fn counted() -> SeedBank {
        SeedBank {
            seeds: fixed(70.0),
            germinating: fixed(0.7),
            surviving: fixed(0.5),
            establishing: fixed(0.7),
            seeds_per_plant: fixed(2.9),
            removed: fixed(1.0),
            ceiling: None,
        }
    }

    /// The balance by hand: all removed, the stock falls by (1 − g)s = 0.15 a year; none removed,
    /// it grows by 0.15 + 0.7 · 0.7 · 2.9 = 1.571.
    #[test]
    fn fixed_parameters_follow_the_balance() {
        let found = seed_bank_outlook(&counted(), 1, 1, 100, 1, 0.9).unwrap();
        let stock = |course: usize, year: usize| found.courses[course].1[year].middle;
        assert!((stock(1, 2) - 70.0 * 0.15 * 0.15).abs() < 1e-9);
        assert!((stock(0, 1) - 70.0 * 1.571).abs() < 1e-9);
        assert!((stock(2, 2) - 70.0 * 0.15 * 1.571).abs() < 1e-9);
        assert!((found.holding.middle - (1.0 - 0.85 / 1.421)).abs() < 1e-9);
        // Of 70 seeds 0.7 germinate, of these 0.7 grow up.
        assert!((found.plants[2].1[0].middle - 34.3).abs() < 1e-9);
        assert!((found.plants[2].1[1].middle - 34.3 * 0.15).abs() < 1e-9);
    }

    #[test]
    fn removing_the_holding_share_keeps_the_stock() {
        let mut bank = counted();
        bank.removed = fixed(1.0 - 0.85 / 1.421);
        let found = seed_bank_outlook(&bank, 0, 5, 100, 1, 0.9).unwrap();
        assert!((found.courses[1].1[5].middle - 70.0).abs() < 1e-9);
    }

    #[test]
    fn ranges_widen_and_the_seed_decides() {
        let mut bank = counted();
        bank.surviving = Range {
            low: 0.3,
            high: 0.9,
        };
        bank.removed = Range {
            low: 0.6,
            high: 0.95,
        };
        let one = seed_bank_outlook(&bank, 2, 5, 500, 9, 0.8).unwrap();
        assert_eq!(one, seed_bank_outlook(&bank, 2, 5, 500, 9, 0.8).unwrap());
        let last = one.courses[1].1[7];
        assert!(last.low < last.middle && last.middle < last.high);
    }

    #[test]
    fn endless_growth_stays_a_number() {
        let mut bank = counted();
        bank.seeds_per_plant = fixed(1e12);
        let found = seed_bank_outlook(&bank, 0, 100, 100, 1, 0.9).unwrap();
        assert!(found.courses[0].1[100].high.is_finite());
        bank.ceiling = Some(500.0);
        let found = seed_bank_outlook(&bank, 0, 100, 100, 1, 0.9).unwrap();
        assert_eq!(found.courses[0].1[100].high, 500.0);
    }

    #[test]
    fn impossible_ranges_are_refused() {
        for spoil in [
            |bank: &mut SeedBank| bank.germinating = fixed(1.2),
            |bank: &mut SeedBank| bank.surviving = fixed(f64::NAN),
            |bank: &mut SeedBank| bank.seeds = fixed(-1.0),
            |bank: &mut SeedBank| bank.ceiling = Some(1.0),
            |bank: &mut SeedBank| {
                bank.removed = Range {
                    low: 0.9,
                    high: 0.1,
                }
            },
        ] {
            let mut bank = counted();
            spoil(&mut bank);
            assert!(seed_bank_outlook(&bank, 0, 5, 100, 1, 0.9).is_err());
        }
    }
}
