//! Counts how often intervals hold the truth, and prints the rows.

use std::collections::BTreeMap;

use windrow::estimate::Interval;

#[derive(Default)]
struct Count {
    /// How often the method was tried; slow ones are not tried on every draw.
    tried: u32,
    given: u32,
    held: u32,
    /// Truth below the interval.
    too_high: u32,
    /// Truth above the interval.
    too_low: u32,
    spans: Vec<f64>,
}

/// One design: methods in the order of their first mention.
pub struct Tally {
    design: String,
    order: Vec<&'static str>,
    counts: BTreeMap<&'static str, Count>,
}

impl Tally {
    pub fn new(design: impl Into<String>) -> Self {
        Self {
            design: design.into(),
            order: Vec::new(),
            counts: BTreeMap::new(),
        }
    }

    pub fn note(&mut self, method: &'static str, truth: f64, interval: Option<Interval>) {
        if !self.order.contains(&method) {
            self.order.push(method);
        }
        let count = self.counts.entry(method).or_default();
        count.tried += 1;
        let Some(interval) = interval else {
            return;
        };
        count.given += 1;
        if truth < interval.lower {
            count.too_high += 1;
        } else if truth > interval.upper {
            count.too_low += 1;
        } else {
            count.held += 1;
        }
        count
            .spans
            .push((interval.upper - interval.lower) / truth.abs());
    }

    /// Prints one row a method: coverage among intervals given, misses on either side, median
    /// width as a share of the truth, and how often there was no interval.
    pub fn print(mut self) {
        for method in &self.order {
            let Some(count) = self.counts.get_mut(method) else {
                continue;
            };
            count.spans.sort_by(f64::total_cmp);
            let width = count.spans.get(count.spans.len() / 2).copied();
            let share = |part: u32| f64::from(part) / f64::from(count.given.max(1));
            println!(
                "| {} | {} | {:.3} | {:.3} | {:.3} | {} | {:.3} |",
                self.design,
                method,
                share(count.held),
                share(count.too_low),
                share(count.too_high),
                width.map_or("–".into(), |w| if w.is_finite() {
                    format!("{w:.2}")
                } else {
                    "endless".into()
                }),
                1.0 - f64::from(count.given) / f64::from(count.tried.max(1)),
            );
        }
    }
}

pub fn heading(title: &str) {
    println!("\n### {title}\n");
    println!(
        "| design | interval | covered | truth above | truth below | median width ÷ truth | none given |"
    );
    println!("| --- | --- | --- | --- | --- | --- | --- |");
}
