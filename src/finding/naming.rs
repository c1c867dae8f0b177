//! Proposals for a name that nothing in the season bears: the nearest one that something does, and the line that settles it for all rows.

use std::cell::{Cell, LazyCell};
use std::hash::{DefaultHasher, Hash, Hasher};

use super::tables::key;
use crate::season::Season;
use crate::season::value::{self, fold};
use crate::words;
use crate::words::{Words, quoted};

/// Names that something in the season bears, for others to be held against them. Nothing is done before the first is.
pub(super) struct Known<'a> {
    index: LazyCell<Index<'a>, Box<dyn FnOnce() -> Index<'a> + 'a>>,
    /// Names that may still be looked at closely.
    left: Cell<usize>,
}

struct Index<'a> {
    names: Vec<&'a str>,
    /// A hash of each name's numbers with its place in `names`, sorted. Names that differ in a number are two names, so that no others
    /// need a closer look.
    by_figures: Vec<(u64, usize)>,
}

impl<'a> Index<'a> {
    fn of(names: impl IntoIterator<Item = &'a str>) -> Self {
        let names: Vec<&str> = names.into_iter().collect();
        let hashes = names.iter().map(|name| hash_of_figures(&parts(name)));
        let mut by_figures: Vec<(u64, usize)> = hashes.zip(0..).collect();
        by_figures.sort_unstable();
        Self { names, by_figures }
    }

    /// The names with the numbers that these parts have, in their order.
    fn with_figures_of(&self, parts: &[String]) -> Vec<&'a str> {
        let wanted = hash_of_figures(parts);
        let first = self.by_figures.partition_point(|(hash, _)| *hash < wanted);
        self.by_figures
            .iter()
            .skip(first)
            .take_while(|(hash, _)| *hash == wanted)
            .filter_map(|(_, index)| self.names.get(*index).copied())
            .collect()
    }
}

/// Names that are looked at closely on behalf of one rule: a second's work. Whatever number of slips a log holds against whatever number
/// of names, behind the first few hundred the slip is plain.
const MOST_LOOKS: usize = 200_000;

impl<'a> Known<'a> {
    pub fn new(names: impl IntoIterator<Item = &'a str> + 'a) -> Self {
        Self {
            index: LazyCell::new(Box::new(|| Index::of(names))),
            left: Cell::new(MOST_LOOKS),
        }
    }

    /// The one name that is meant, if a single one is near enough.
    pub fn nearest(&self, found: &str) -> Option<&'a str> {
        let own = parts(found);
        let close = self.index.with_figures_of(&own);
        self.left.set(self.left.get().checked_sub(close.len())?);
        nearest(found, &own, &close)
    }
}

/// As many proposals as a person reads: a renamed folder makes a stray of every note.
pub(super) struct Proposals<'a> {
    known: Known<'a>,
    left: usize,
}

impl<'a> Proposals<'a> {
    pub fn of(known: Known<'a>) -> Self {
        Self { known, left: 200 }
    }

    /// The nearest name, as long as one may be proposed.
    pub fn nearest(&mut self, found: &str) -> Option<&'a str> {
        self.left = self.left.checked_sub(1)?;
        self.known.nearest(found)
    }
}

/// A name's words and numbers, folded, numbers without zeros in front: `P-07` is `p`, `7`.
fn parts(name: &str) -> Vec<String> {
    let mut parts: Vec<String> = Vec::new();
    let mut last = None;
    for letter in name.chars() {
        let class = if letter.is_ascii_digit() {
            Some(true)
        } else if letter.is_alphanumeric() {
            Some(false)
        } else {
            None
        };
        if class.is_some() && class == last {
            if let Some(part) = parts.last_mut() {
                part.push(letter);
            }
        } else if class.is_some() {
            parts.push(letter.to_string());
        }
        last = class;
    }
    parts
        .iter()
        .map(|part| {
            let folded = fold(part);
            let bare = folded.trim_start_matches('0');
            if bare.is_empty() {
                folded
            } else {
                bare.to_owned()
            }
        })
        .collect()
}

fn figures(parts: &[String]) -> Vec<&String> {
    parts
        .iter()
        .filter(|part| part.starts_with(|c: char| c.is_ascii_digit()))
        .collect()
}

/// Is the one an abbreviation of the other: `N Cove`, `Cove North`, `North`, `NC` for `North Cove`?
fn abbreviates(short: &[String], long: &[String]) -> bool {
    if short.is_empty() || long.is_empty() {
        return false;
    }
    let mut left: Vec<&String> = long.iter().collect();
    let each_begins = short.iter().all(|word| {
        let found = left
            .iter()
            .position(|other| other.starts_with(word.as_str()));
        found.map(|at| left.remove(at)).is_some()
    });
    let initials: String = long.iter().filter_map(|word| word.chars().next()).collect();
    each_begins || long.len() > 1 && short.concat() == initials
}

fn hash_of_figures(parts: &[String]) -> u64 {
    let mut hasher = DefaultHasher::new();
    figures(parts).hash(&mut hasher);
    hasher.finish()
}

/// The one of the names that is meant by `found`, which has these parts. Names that differ in a number are two names.
fn nearest<'a>(found: &str, own: &[String], known: &[&'a str]) -> Option<&'a str> {
    let numbers = figures(own);
    let known = known.iter().map(|name| (*name, parts(name)));
    let known: Vec<(&'a str, Vec<String>)> = known
        .filter(|(_, parts)| figures(parts) == numbers)
        .collect();
    let folded = fold(found);
    let only = |fits: &dyn Fn(&[String]) -> bool| -> Option<&'a str> {
        let mut fitting = known.iter().filter(|(_, parts)| fits(parts));
        let (first, parts) = fitting.next()?;
        // A site's id and its name are one.
        fitting
            .all(|(_, other)| abbreviates(other, parts) || abbreviates(parts, other))
            .then_some(*first)
    };
    let like = |least: f64| {
        known
            .iter()
            .map(|(name, _)| {
                let alike = strsim::normalized_damerau_levenshtein(&folded, &fold(name));
                (*name, alike)
            })
            .filter(|(_, alike)| *alike >= least)
            .max_by(|a, b| a.1.total_cmp(&b.1))
            .map(|(name, _)| name)
    };
    let is_a_number = !own.is_empty() && numbers.len() == own.len();
    only(&|parts| parts == own)
        // `7` for `P07`.
        .or_else(|| only(&|_| is_a_number))
        .or_else(|| like(ONE_SLIP))
        .or_else(|| only(&|parts| abbreviates(own, parts)))
        .or_else(|| only(&|parts| abbreviates(parts, own)))
        .or_else(|| like(value::NEAR_ENOUGH))
}

/// Share of letters that agree where a single one is left out, doubled or changed in a word of five.
const ONE_SLIP: f64 = 0.8;

/// How to settle an unknown name: a line for season.toml with the nearest known one, or the names to choose from. `listed` are the
/// names that a message lists; `otherwise` says what to do if it is a new one.
pub(super) fn mend(found: &str, known: &Known<'_>, listed: &[&str], otherwise: Words) -> Words {
    match known.nearest(found) {
        Some(near) => line_for(found, near, otherwise),
        None if listed.is_empty() => otherwise,
        None => otherwise.then(
            " ",
            words!(
                "If it is one of {names}, add to season.toml, with the one that is meant, below [names]: {line}",
                names = shown(listed),
                line = format!("{} = \"…\"", key(found))
            ),
        ),
    }
}

/// How to settle an unknown name where a known one may be meant.
pub(super) fn line_for(found: &str, near: &str, otherwise: Words) -> Words {
    otherwise.then(
        " ",
        words!(
            "If {near} is meant, add to season.toml, below [names]: {line}",
            near,
            line = format!("{} = {}", key(found), key(near))
        ),
    )
}

/// The photo stations of sites.geojson.
pub(super) struct Stations<'a> {
    known: Known<'a>,
    ids: Vec<&'a str>,
}

impl<'a> Stations<'a> {
    pub fn of(season: &'a Season) -> Self {
        let stations = &season.ground.stations;
        let ids = || stations.iter().map(|one| one.id.as_str());
        let names = stations.iter().filter_map(|one| one.name.as_deref());
        Self {
            known: Known::new(ids().chain(names)),
            ids: ids().collect(),
        }
    }

    /// What is said of a station that is none of them, and its mend.
    pub fn unknown(&self, station: &str) -> (Words, Words) {
        let otherwise = words!("If it is new, add the station to sites.geojson.");
        (
            words!(
                "sites.geojson has no station {station}.",
                station = quoted(station)
            ),
            mend(station, &self.known, &self.ids, otherwise),
        )
    }
}

/// The names that a message lists.
fn shown(listed: &[&str]) -> String {
    /// As many as a person reads at a glance.
    const MOST: usize = 12;
    let names: Vec<&str> = listed.iter().take(MOST).copied().collect();
    let more = if listed.len() > MOST { ", …" } else { "" };
    format!("{}{more}", names.join(", "))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_nearest_name_is_proposed_where_there_is_one() {
        let sites = [
            "north",
            "North Cove",
            "south",
            "South Cove",
            "inlet2",
            "Mill Inlet 2",
        ];
        for (found, meant) in [
            ("N Cove", Some("North Cove")),
            ("N. Cove", Some("North Cove")),
            ("NC", Some("North Cove")),
            ("Nroth Cove", Some("North Cove")),
            ("north cv", Some("north")),
            ("Noth Cove", Some("North Cove")),
            ("Cove (south)", Some("South Cove")),
            ("Inlet", None),
            ("Inlet 3", None),
            ("Cove", None),
            ("The Narrows", None),
        ] {
            assert_eq!(Known::new(sites).nearest(found), meant, "{found}");
        }
        let pulls = ["P01", "P02", "P11"];
        for (found, meant) in [
            ("P1", Some("P01")),
            ("p-2", Some("P02")),
            ("11", Some("P11")),
            ("P3", None),
            ("P12", None),
        ] {
            assert_eq!(Known::new(pulls).nearest(found), meant, "{found}");
        }
    }

    #[test]
    fn a_log_full_of_slips_is_not_held_against_all_names_for_hours() {
        // Only those with its number are looked at, so that each of ten thousand slips has its proposal.
        let pulls: Vec<String> = (1..10_000).map(|number| format!("P{number:05}")).collect();
        let known = Known::new(pulls.iter().map(String::as_str));
        for (number, pull) in (1..).zip(&pulls) {
            assert_eq!(known.nearest(&format!("p {number}")), Some(pull.as_str()));
        }
        // Names without a number are looked at one by one, and not for ever.
        let word = |number: usize| -> String {
            let letter = |place| char::from(b'a' + (number / place % 26) as u8);
            [1, 26, 676, 17_576].map(letter).iter().collect::<String>() + "heron"
        };
        let sites: Vec<String> = (0..1_000).map(|number| word(number * 97)).collect();
        let known = Known::new(sites.iter().map(String::as_str));
        let slip = |site: &String| site.replace("heron", "hreon");
        let proposals = sites.iter().map(|site| known.nearest(&slip(site)));
        let found: Vec<bool> = proposals.map(|near| near.is_some()).collect();
        let most = MOST_LOOKS / sites.len();
        assert!(found[..most].iter().all(|found| *found));
        assert!(!found[most..].iter().any(|found| *found));
    }
}
