//! Proposals for a name that nothing in the season bears: the nearest one that something does, and the line that settles it for all rows.

use super::tables::key;
use crate::season::Season;
use crate::season::value::{self, fold};
use crate::words;
use crate::words::{Words, quoted};

/// How often a rule may still look for the name that is meant. A renamed folder makes a stray of every note, and each is held against all
/// files: behind the first few hundred the slip is plain.
pub(super) struct Proposals(usize);

impl Default for Proposals {
    fn default() -> Self {
        Self(200)
    }
}

impl Proposals {
    /// The nearest name, as long as one may be looked for.
    pub fn nearest<'a>(
        &mut self,
        found: &str,
        known: impl IntoIterator<Item = &'a str>,
    ) -> Option<&'a str> {
        self.0 = self.0.checked_sub(1)?;
        nearest(found, known)
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

/// The one name that is meant, if a single one is near enough. Names that differ in a number are two names.
pub(super) fn nearest<'a>(
    found: &str,
    known: impl IntoIterator<Item = &'a str>,
) -> Option<&'a str> {
    let known: Vec<&str> = known.into_iter().collect();
    let own = parts(found);
    let only = |fits: &dyn Fn(&[String]) -> bool| -> Option<&'a str> {
        let mut fitting = known.iter().filter(|name| fits(&parts(name)));
        let first = fitting.next()?;
        // A site's id and its name are one.
        fitting
            .all(|other| {
                abbreviates(&parts(other), &parts(first))
                    || abbreviates(&parts(first), &parts(other))
            })
            .then_some(*first)
    };
    let like = |least: f64| {
        known
            .iter()
            .filter(|name| figures(&parts(name)) == figures(&own))
            .map(|name| {
                let alike = strsim::normalized_damerau_levenshtein(&fold(found), &fold(name));
                (*name, alike)
            })
            .filter(|(_, alike)| *alike >= least)
            .max_by(|a, b| a.1.total_cmp(&b.1))
            .map(|(name, _)| name)
    };
    only(&|parts| parts == own)
        // `7` for `P07`.
        .or_else(|| {
            only(&|parts| {
                let numbers = figures(parts);
                !numbers.is_empty() && numbers == figures(&own) && figures(&own).len() == own.len()
            })
        })
        .or_else(|| like(ONE_SLIP))
        .or_else(|| only(&|parts| figures(parts) == figures(&own) && abbreviates(&own, parts)))
        .or_else(|| only(&|parts| figures(parts) == figures(&own) && abbreviates(parts, &own)))
        .or_else(|| like(value::NEAR_ENOUGH))
}

/// Share of letters that agree where a single one is left out, doubled or changed in a word of five.
const ONE_SLIP: f64 = 0.8;

/// How to settle an unknown name: a line for season.toml with the nearest known one, or the names to choose from. `listed` are the
/// names that a message lists, `also` others that are known; `otherwise` says what to do if it is a new one.
pub(super) fn mend<'a>(
    found: &str,
    listed: &[&'a str],
    also: &[&'a str],
    otherwise: Words,
) -> Words {
    let line = |ours: &str| format!("{} = {}", key(found), key(ours));
    let known = listed.iter().chain(also).copied();
    let more = match (nearest(found, known), listed.is_empty()) {
        (Some(near), _) => words!(
            "If {near} is meant, add to season.toml, below [names]: {line}",
            near,
            line = line(near)
        ),
        (None, true) => return otherwise,
        (None, false) => words!(
            "If it is one of {names}, add to season.toml, with the one that is meant, below [names]: {line}",
            names = shown(listed),
            line = format!("{} = \"…\"", key(found))
        ),
    };
    otherwise.then(" ", more)
}

/// What is said of a photo station that sites.geojson does not have, and its mend.
pub(super) fn station_unknown(season: &Season, station: &str) -> (Words, Words) {
    let known = &season.ground.stations;
    let ids: Vec<&str> = known.iter().map(|one| one.id.as_str()).collect();
    let names: Vec<&str> = known.iter().filter_map(|one| one.name.as_deref()).collect();
    let otherwise = words!("If it is new, add the station to sites.geojson.");
    (
        words!(
            "sites.geojson has no station {station}.",
            station = quoted(station)
        ),
        mend(station, &ids, &names, otherwise),
    )
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
            assert_eq!(nearest(found, sites), meant, "{found}");
        }
        let pulls = ["P01", "P02", "P11"];
        for (found, meant) in [
            ("P1", Some("P01")),
            ("p-2", Some("P02")),
            ("11", Some("P11")),
            ("P3", None),
            ("P12", None),
        ] {
            assert_eq!(nearest(found, pulls), meant, "{found}");
        }
    }
}
