//! Phrases that several themes of tables have in common: lists, choices, how a sentence ends, and a heading as season.toml has it.

use crate::words::Words;
use crate::{phrase, words};

pub const NOTHING_IF_SO: &str = phrase!("Nothing, if that is right.");

/// `2, 3 and 5`; more than a few are counted.
pub fn listed<T: ToString>(items: &[T]) -> Vec<Words> {
    const NAMED: usize = 8;
    let first = items.iter().take(NAMED);
    let more = items.len().saturating_sub(NAMED);
    let more = (more > 0).then(|| words!("{more} more", more));
    first
        .map(|item| Words::own(item.to_string()))
        .chain(more)
        .collect()
}

/// `a or b or c`.
pub fn one_of<T: ToString>(items: &[T]) -> Words {
    let mut items = items.iter().map(|item| Words::own(item.to_string()));
    let first = items.next().unwrap_or_default();
    items.fold(first, |one, other| words!("{one} or {other}", one, other))
}

/// A sentence's end where other cells of the column are as the one that it tells of.
pub fn and_more(told: Words, more: usize) -> Words {
    match more {
        0 => words!("{told}.", told),
        more => words!(
            "{told}, and so {more:does|do} {more} more {more:cell|cells} under the same heading.",
            told,
            more
        ),
    }
}

/// A heading as a key of season.toml, in quotes as TOML wants them.
pub fn key(heading: &str) -> String {
    let plain: String = heading
        .chars()
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect();
    format!("\"{}\"", plain.replace('\\', "\\\\").replace('"', "\\\""))
}
