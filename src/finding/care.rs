//! Where the work can hurt someone or carry the plant on: blooms, gear, disposal.
//!
//! The mends carry the usual caution and defer to local rules; they are no advice on health.

use super::core::{Finding, Grade};
use super::rule::Rule;
use super::{Check, brought_something};
use crate::season::{Pull, Season, value};
use crate::words;
use crate::words::quoted;

const BLOOM_AND_WENT_ON: Rule = Rule {
    name: "bloom-and-went-on",
    grade: Grade::Doubt,
    title: "A bloom was seen, and the log does not say that everybody left the water.",
    why: "Some blooms are poisonous. The pull's hours count as effort; a funder or an inspector will ask what was done.",
};
const GEAR_NOT_CLEANED: Rule = Rule {
    name: "gear-not-cleaned",
    grade: Grade::Doubt,
    title: "Gear was not cleaned, and the next pull was in another water.",
    why: "Plants, seeds and fragments travel on boats and boots: a site of the second water may owe its plants to it.",
};
const DISPOSAL_UNKNOWN: Rule = Rule {
    name: "disposal-unknown",
    grade: Grade::Doubt,
    title: "A pull brought something in and does not say where it went.",
    why: "Removed counts as gone for good only where the place is known; permits ask for it.",
};
const DISPOSAL_ON_FLOOD_PLAIN: Rule = Rule {
    name: "disposal-on-flood-plain",
    grade: Grade::Doubt,
    title: "Plants were left where high water reaches them.",
    why: "Rosettes live on and seeds float off: what counts as removed may come back with the next flood.",
};

/// All rules of this theme, with their functions.
pub const RULES: &[(Rule, Check)] = &[
    (BLOOM_AND_WENT_ON, bloom_and_went_on),
    (GEAR_NOT_CLEANED, gear_not_cleaned),
    (DISPOSAL_UNKNOWN, disposal_unknown),
    (DISPOSAL_ON_FLOOD_PLAIN, disposal_on_flood_plain),
];

/// Ways of writing that people left the water, or never went in.
const LEFT_THE_WATER: &[&str] = &[
    "abandon",
    "ashore",
    "broke off",
    "broken off",
    "called off",
    "called it off",
    "cancelled",
    "canceled",
    "cut short",
    "ended early",
    "everyone out",
    "everybody out",
    "got out",
    "left the water",
    "nobody in the water",
    "nobody went in",
    "no one went in",
    "out of the water",
    "sent home",
    "stayed out",
    "stopped",
    "went home",
];

fn bloom_and_went_on(season: &Season, findings: &mut Vec<Finding>) {
    for pull in &season.pulls {
        let Some(seen) = pull.rows.iter().find(|row| row.bloom_seen == Some(true)) else {
            continue;
        };
        let went_in = pull.person_hours().is_none_or(|hours| hours > 0.0);
        let said = pull
            .rows
            .iter()
            .flat_map(|row| [row.notes.as_deref(), row.incident.as_deref()])
            .flatten()
            .map(str::to_lowercase)
            .any(|text| LEFT_THE_WATER.iter().any(|words| text.contains(words)));
        if went_in && !said && !pull.is_empty() {
            findings.push(BLOOM_AND_WENT_ON.on(
                &seen.row,
                Some("bloom_seen"),
                words!(
                    "Pull {pull} saw a bloom; neither notes nor incident says that it was broken off.",
                    pull = &pull.id
                ),
                words!("Write in notes when everybody left the water, or that the pull went on. A suspected bloom: stay out, keep dogs out, wash, \
                 report it. The local health office decides when the water is open again."),
            ));
        }
    }
}

/// The pulls in the order of day and hour, those without a date left out.
fn in_order(season: &Season) -> Vec<&Pull> {
    let mut pulls: Vec<&Pull> = season
        .pulls
        .iter()
        .filter(|pull| pull.date().is_some() && !pull.is_empty())
        .collect();
    pulls.sort_by_key(|pull| (pull.date(), pull.start()));
    pulls
}

fn gear_not_cleaned(season: &Season, findings: &mut Vec<Finding>) {
    let pulls = in_order(season);
    for (index, pull) in pulls.iter().enumerate() {
        let Some(not) = pull.rows.iter().find(|row| row.gear_cleaned == Some(false)) else {
            continue;
        };
        // Where crews are named, each has gear of its own; else the next pull may have had the same.
        let next = pulls
            .iter()
            .skip(index + 1)
            .find(|next| match (pull.crew(), next.crew()) {
                (Some(own), Some(other)) => value::fold(own) == value::fold(other),
                _ => true,
            });
        let Some(next) = next else { continue };
        let water = |pull: &Pull| {
            season
                .site_of(pull)
                .and_then(|site| site.waterbody.as_deref())
        };
        if let (Some(here), Some(there)) = (water(pull), water(next))
            && value::fold(here) != value::fold(there)
        {
            findings.push(
                GEAR_NOT_CLEANED
                    .on(
                        &not.row,
                        Some("gear_cleaned"),
                        words!(
                            "Gear of pull {pull} in {here} was not cleaned; pull {next} went to {there}.",
                            pull = &pull.id,
                            here,
                            next = &next.id,
                            there
                        ),
                        words!("Ask the crew. If it was cleaned, or other gear was used, say so in the log; if not, search the landing of the second \
                         water. Clean, drain and dry between waters, as local rules ask."),
                    )
                    .with([next.place()]),
            );
        }
    }
}

/// Ways of writing that nobody knows.
const NOT_KNOWN: &[&str] = &[
    "unknown",
    "notknown",
    "dontknow",
    "unclear",
    "unsure",
    "notsure",
    "tbd",
    "nobodyknows",
];

fn disposal_unknown(season: &Season, findings: &mut Vec<Finding>) {
    for pull in &season.pulls {
        let Some(first) = pull.rows.first() else {
            continue;
        };
        // Without the column the group does not log it; that is its choice.
        if !first.row.has("disposal") || !brought_something(pull) {
            continue;
        }
        let said = pull
            .rows
            .iter()
            .find_map(|row| row.disposal.as_deref().map(|place| (row, place)));
        let (row, message) = match said {
            None => (
                first,
                words!(
                    "Pull {pull} does not say where its plants went.",
                    pull = &pull.id
                ),
            ),
            Some((row, place)) if NOT_KNOWN.contains(&value::fold(place).as_str()) => (
                row,
                words!(
                    "The disposal of pull {pull} is {place}.",
                    pull = &pull.id,
                    place = quoted(place)
                ),
            ),
            Some(_) => continue,
        };
        findings.push(DISPOSAL_UNKNOWN.on(
            &row.row,
            Some("disposal"),
            message,
            words!(
                "Ask the crew and fill in the place. Compost off the flood plain with the owner's leave; carrying listed plants may need a permit."
            ),
        ));
    }
}

/// Places that high water reaches.
const FLOODED: &[&str] = &[
    "flood plain",
    "floodplain",
    "flood-plain",
    "flood meadow",
    "flood zone",
    "below high water",
    "below the high-water",
    "on the bank",
    "on the shore",
    "on shore",
    "riverbank",
    "river bank",
    "stream bank",
    "at the water's edge",
    "back in the water",
    "into the water",
    "left floating",
];

/// Words before such a place that take it back: `off the flood plain`.
const NOT_THERE: &[&str] = &[
    "off",
    "above",
    "outside",
    "not",
    "away from",
    "out of",
    "beyond",
    "no",
];

/// Does a text name a place that high water reaches, and not say that it is off it?
fn flooded(text: &str) -> bool {
    let text = text.to_lowercase();
    FLOODED.iter().any(|place| {
        text.find(place).is_some_and(|at| {
            let before = text.get(..at).unwrap_or_default();
            let before = before
                .trim_end()
                .trim_end_matches(" the")
                .trim_end_matches(" on")
                .trim_end_matches(" in")
                .trim_end();
            let before = if before == "the" { "" } else { before };
            !NOT_THERE.iter().any(|word| {
                before
                    .strip_suffix(word)
                    .is_some_and(|rest| rest.is_empty() || rest.ends_with([' ', ',', ';', '(']))
            })
        })
    })
}

fn disposal_on_flood_plain(season: &Season, findings: &mut Vec<Finding>) {
    for pull in season.pulls.iter().filter(|pull| brought_something(pull)) {
        let place = pull.rows.iter().find_map(|row| {
            row.disposal
                .as_deref()
                .filter(|place| flooded(place))
                .map(|place| (row, place))
        });
        if let Some((row, place)) = place {
            findings.push(DISPOSAL_ON_FLOOD_PLAIN.on(
                &row.row,
                Some("disposal"),
                words!(
                    "Pull {pull} left its plants at {place}.",
                    pull = &pull.id,
                    place = quoted(place)
                ),
                words!("If they lie there still, carry them to high ground, gloves on, with the owner's leave and the permit that local rules ask for; \
                 write where they are now."),
            ));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::flooded;

    #[test]
    fn off_the_flood_plain_is_not_on_it() {
        assert!(flooded("heap on the flood plain by the landing"));
        assert!(flooded("Floodplain"));
        assert!(!flooded("compost off the flood plain"));
        assert!(!flooded("yard above the floodplain"));
        assert!(!flooded("not on the bank, taken to the yard"));
        assert!(!flooded("compost yard"));
    }
}
