//! Which photo was taken when, where, by which phone, of what.
//!
//! Takes the scenario; gives a list that `photos` turns into files and `tables` into photos.csv.
//! Must not draw.

use crate::places;
use crate::scenario::{self, Pull};
use crate::seed::Chance;

/// What is in the picture.
#[derive(Clone, Copy, PartialEq)]
pub enum Scene {
    /// A station's view: before, after, or just later in the year.
    Station(&'static str, Moment),
    /// Bags and baskets on the landing.
    Catch,
    /// A canoe and its crew at work.
    Crew,
    /// Rosettes from close by.
    Close,
    /// The heap at the compost yard's trailer.
    Heap,
}

#[derive(Clone, Copy, PartialEq)]
pub enum Moment {
    Before,
    After,
    Later,
}

/// What is wrong with a photo, for once.
#[derive(Clone, Copy, PartialEq)]
pub enum Trouble {
    None,
    NoPosition,
    Outside,
    HourFast,
}

#[derive(Clone, Copy, PartialEq)]
pub enum Phone {
    A,
    B,
    C,
}

struct Plan {
    pull: &'static str,
    /// Minutes after the pull's start.
    minute: u32,
    phone: Phone,
    scene: Scene,
    /// EXIF orientation.
    turn: u16,
    trouble: Trouble,
    /// Caption of a row in photos.csv; an empty one means no row.
    caption: &'static str,
    plate: bool,
}

/// A row of photos.csv, but for the file's name.
pub struct Word {
    pub site: &'static str,
    pub station: &'static str,
    pub role: &'static str,
    pub caption: String,
    pub consent: &'static str,
    pub withheld: &'static str,
    pub reason: &'static str,
    pub plate: &'static str,
    /// The pull, where two of them share day, site and hours.
    pub pull: &'static str,
}

pub struct Shot {
    /// Below the season folder.
    pub path: String,
    pub pull: &'static Pull,
    /// Seconds after local midnight, as the sky saw it.
    pub second: u32,
    pub phone: Phone,
    pub scene: Scene,
    pub turn: u16,
    pub trouble: Trouble,
    pub word: Option<Word>,
}

use Moment::{After, Before, Later};
use Phone::{A, B, C};
use Scene::{Catch, Close, Crew, Heap, Station};

const fn plan(pull: &'static str, minute: u32, phone: Phone, scene: Scene) -> Plan {
    Plan {
        pull,
        minute,
        phone,
        scene,
        turn: 1,
        trouble: Trouble::None,
        caption: "",
        plate: false,
    }
}

const fn plate(plan: Plan, caption: &'static str) -> Plan {
    Plan {
        caption,
        plate: true,
        ..plan
    }
}

const fn told(plan: Plan, caption: &'static str) -> Plan {
    Plan { caption, ..plan }
}

const fn turned(plan: Plan, turn: u16) -> Plan {
    Plan { turn, ..plan }
}

const fn troubled(plan: Plan, trouble: Trouble) -> Plan {
    Plan { trouble, ..plan }
}

// Kept a photo a line.
#[rustfmt::skip]
const PLANS: [Plan; 58] = [
    told(plan("P01", 42, A, Crew), "First outing of the year, dry suits on"),
    plate(plan("P01", 96, A, Close), "Seedlings on their way to the surface"),
    plan("P01", 168, A, Catch),
    told(plan("P02", 38, A, Crew), "Four canoes in a line"),
    turned(plan("P02", 90, C, Close), 6),
    plan("P02", 193, A, Catch),
    told(plan("P03", 55, A, Crew), "Round the island"),
    plan("P03", 170, A, Catch),
    plan("P04", 46, C, Close),
    plan("P04", 135, C, Catch),
    told(plan("P05", 64, A, Crew), "Heron Bay, the first green on the surface"),
    turned(plan("P05", 118, A, Close), 6),
    plan("P05", 226, B, Catch),
    plan("P06", 12, C, Station("LR2", Before)),
    told(plan("P06", 128, C, Crew), "Two canoes on the north bank"),
    plan("P06", 284, C, Catch),
    told(plan("P07", 66, A, Crew), "Mill Cove, off the sluice wall"),
    plan("P07", 188, A, Catch),
    told(turned(plan("P07", 203, B, Heap), 3), "Loaded for the compost yard"),
    plate(plan("P08", 7, A, Station("HB1", Before)), "Heron Bay from the dock, first thing"),
    plate(plan("P08", 95, B, Crew), "Ten volunteers and two staff, from the dock to the buoys"),
    plate(plan("P08", 214, A, Catch), "Thirteen bags from one morning"),
    plate(plan("P08", 233, A, Station("HB1", After)), "The same view, four hours later"),
    plan("P09", 9, C, Station("ON1", Before)),
    plan("P09", 92, C, Close),
    plan("P09", 166, C, Catch),
    plate(plan("P10", 6, A, Station("LR1", Before)), "Long Reach, south bank"),
    told(plan("P10", 88, B, Crew), "Pulling along the fence"),
    turned(plan("P10", 131, A, Close), 6),
    plan("P10", 218, A, Catch),
    plate(plan("P10", 234, A, Station("LR1", After)), "The same view at noon"),
    plate(plan("P11", 5, A, Station("MC1", Before)), "Mill Cove before the first pass"),
    told(plan("P11", 48, B, Crew), "First pass"),
    plan("P11", 86, A, Catch),
    plan("P12", 82, A, Catch),
    plan("P13", 70, B, Catch),
    plate(plan("P13", 85, A, Station("MC1", After)), "Mill Cove after the third pass"),
    plate(plan("P14", 6, A, Station("HB2", Before)), "Heron Bay from the flat rock"),
    plate(plan("P14", 75, B, Crew), "The largest turnout of the season"),
    told(plan("P14", 140, A, Crew), "Hauling in at the buoys"),
    told(plan("P14", 221, A, Catch), "Fifteen bags on the landing"),
    plate(plan("P14", 236, A, Station("HB2", After)), "The same view after fifteen bags"),
    troubled(told(plan("P16", 74, C, Crew), "Between the two banks"), Trouble::Outside),
    plan("P16", 276, C, Catch),
    troubled(told(plan("P17", 31, B, Crew), "West side of the bay"), Trouble::HourFast),
    troubled(plan("P17", 58, B, Close), Trouble::HourFast),
    troubled(turned(plan("P17", 112, B, Close), 6), Trouble::HourFast),
    troubled(plan("P17", 138, B, Catch), Trouble::HourFast),
    troubled(plan("P18", 28, A, Close), Trouble::NoPosition),
    plan("P18", 64, A, Catch),
    told(plan("P19", 52, A, Crew), "Low water, long carries"),
    plan("P19", 187, A, Catch),
    plate(turned(plan("P19", 198, B, Heap), 8), "The last large load of the year"),
    plate(plan("P21", 61, A, Station("HB1", Later)), "Heron Bay in September"),
    plan("P21", 160, A, Catch),
    told(plan("P22", 70, A, Crew), "Last sweep of Long Reach"),
    plate(plan("P23", 24, C, Station("ON1", After)), "Otter Narrows, searched and found clear"),
    told(plan("P23", 95, C, Crew), "Searching from bank to bank"),
];

/// The one crew picture that stays out of every edition.
const WITHHELD: (&str, u32) = ("P14", 140);

/// All shots in the order of their names.
pub fn all() -> Vec<Shot> {
    let mut chance = Chance::named("file numbers");
    let mut counters = [412, 1_187, 88];
    let mut shots: Vec<Shot> = PLANS
        .iter()
        .filter_map(|plan| {
            let pull = scenario::pull(plan.pull)?;
            let counter = &mut counters[plan.phone as usize];
            *counter += chance.whole(1, 7);
            let second =
                scenario::minutes(pull.start) * 60 + plan.minute * 60 + chance.whole(0, 59);
            Some(Shot {
                path: format!("photos/{}/IMG_{:04}.jpg", pull.date, counter),
                pull,
                second,
                phone: plan.phone,
                scene: plan.scene,
                turn: plan.turn,
                trouble: plan.trouble,
                word: word(plan, pull),
            })
        })
        .collect();
    shots.sort_by(|a, b| a.path.cmp(&b.path));
    shots
}

fn word(plan: &Plan, pull: &'static Pull) -> Option<Word> {
    let station = match plan.scene {
        Station(id, _) => id,
        _ => "",
    };
    if plan.caption.is_empty() && station.is_empty() {
        return None;
    }
    let withheld = (plan.pull, plan.minute) == WITHHELD;
    let caption = match (
        plan.caption,
        places::stations().iter().find(|s| s.id == station),
    ) {
        ("", Some(station)) => station.name.to_string(),
        (caption, _) => caption.to_string(),
    };
    Some(Word {
        site: pull.site,
        station,
        role: match plan.scene {
            Station(_, Before) => "before",
            Station(_, After) => "after",
            Catch => "catch",
            Crew => "crew",
            Heap => "disposal",
            Station(_, Later) | Close => "other",
        },
        caption,
        consent: match (plan.scene, withheld) {
            (Crew, true) => "no",
            (Crew, false) => "yes",
            _ => "",
        },
        withheld: if withheld { "yes" } else { "" },
        reason: if withheld {
            "Someone in the second canoe asked not to be shown"
        } else {
            ""
        },
        plate: if plan.plate { "yes" } else { "" },
        // Each leader's phone goes with the leader's own log.
        pull: match (plan.pull, plan.phone) {
            ("P14", B) => "P15",
            ("P14", _) => "P14",
            _ => "",
        },
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn every_shot_lies_within_its_pull_and_has_its_own_name() {
        let shots = all();
        let names: BTreeSet<&str> = shots.iter().map(|shot| shot.path.as_str()).collect();
        assert_eq!(names.len(), PLANS.len());
        for shot in &shots {
            // A phone that runs an hour fast still has to show a time within the outing.
            let fast = if shot.trouble == Trouble::HourFast {
                3_600
            } else {
                0
            };
            assert!(
                shot.second + fast < scenario::minutes(shot.pull.end) * 60,
                "{}",
                shot.path
            );
        }
    }

    #[test]
    fn one_pull_of_its_own_lacks_a_photo() {
        let without: Vec<&str> = scenario::PULLS
            .iter()
            .map(|pull| pull.id)
            .filter(|id| !PLANS.iter().any(|plan| plan.pull == *id))
            .collect();
        assert_eq!(without, ["P15", "P20"]);
    }
}
