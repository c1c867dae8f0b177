//! The story of the season: what the trust did, weighed, found and spent. All of it is invented.
//!
//! Gives plain values; `tables` writes them as files. Must not draw or compute anything.
//!
//! The honest troubles left in, each a doubt or an accepted finding:
//!
//! 1. P15 is P14 over again: both leaders logged the outing. Accepted in `season.toml`; the second log
//!    holds neither heads nor hours nor bags, so that nothing counts twice.
//! 2. One row of P18 holds three containers without their kind; its photo shows them.
//! 3. Phone B ran an hour fast on 2 August (P17), against its own satellite time.
//! 4. One photo of P18 has no position.
//! 5. One photo of P16 lies further outside Long Reach than its position error.
//! 6. Station LR2 has a picture from before the work and none from after.
//! 7. P20 has no photo.
//! 8. The few bags of ripe plants (P21, P22) were never weighed, so that they can't be turned into a mass.
//! 9. One row of P07 is a guess.

/// One crew at one site on one outing.
pub struct Pull {
    pub id: &'static str,
    pub date: &'static str,
    pub site: &'static str,
    pub pass: &'static str,
    pub start: &'static str,
    pub end: &'static str,
    pub staff: &'static str,
    pub volunteers: &'static str,
    pub staff_hours: &'static str,
    pub volunteer_hours: &'static str,
    pub travel_hours: &'static str,
    pub paid_by: &'static str,
    pub boats: &'static str,
    pub searched: &'static str,
    pub treated: &'static str,
    pub stage: &'static str,
    pub fruit: &'static str,
    pub level: &'static str,
    pub finished: &'static str,
    pub return_by: &'static str,
    pub disposal: &'static str,
    pub cleaned: &'static str,
    pub bloom: &'static str,
    pub other: &'static str,
    pub incident: &'static str,
    pub notes: &'static str,
    pub rows: &'static [Row],
}

/// What came out in one kind of container.
pub struct Row {
    pub container: &'static str,
    pub containers: &'static str,
    pub mass_lb: &'static str,
    pub plants: &'static str,
    pub basis: &'static str,
}

const fn counted(container: &'static str, containers: &'static str) -> Row {
    Row {
        container,
        containers,
        mass_lb: "",
        plants: "",
        basis: "counted",
    }
}

const fn counted_plants(
    container: &'static str,
    containers: &'static str,
    plants: &'static str,
) -> Row {
    Row {
        container,
        containers,
        mass_lb: "",
        plants,
        basis: "counted",
    }
}

const fn weighed(container: &'static str, containers: &'static str, mass_lb: &'static str) -> Row {
    Row {
        container,
        containers,
        mass_lb,
        plants: "",
        basis: "weighed",
    }
}

const fn guessed(container: &'static str, containers: &'static str, mass_lb: &'static str) -> Row {
    Row {
        container,
        containers,
        mass_lb,
        plants: "",
        basis: "guessed",
    }
}

const BLANK: Pull = Pull {
    id: "",
    date: "",
    site: "",
    pass: "",
    start: "",
    end: "",
    staff: "",
    volunteers: "",
    staff_hours: "",
    volunteer_hours: "",
    travel_hours: "",
    paid_by: "",
    boats: "",
    searched: "",
    treated: "",
    stage: "",
    fruit: "none",
    level: "",
    finished: "no",
    return_by: "",
    disposal: "compost at the Tallow Pond yard",
    cleaned: "yes",
    bloom: "no",
    other: "",
    incident: "",
    notes: "",
    rows: &[],
};

// Kept in dense lines: a pull is read as a row of the log.
#[rustfmt::skip]
pub const PULLS: [Pull; 23] = [
    Pull {
        id: "P01", date: "2025-05-17", site: "long-reach", start: "9:00", end: "12:00",
        staff: "2", volunteers: "5", staff_hours: "6", volunteer_hours: "15", travel_hours: "3.5",
        paid_by: "pond-fund", boats: "3", searched: "6.0", treated: "1.4", stage: "seedling",
        level: "high, at the top of the sluice board", return_by: "2025-06-19",
        notes: "Seedlings just under the surface along the fence. Cold water: dry suits for the two who waded.",
        rows: &[counted("basket", "4")], ..BLANK
    },
    Pull {
        id: "P02", date: "2025-05-24", site: "heron-bay", start: "9:00", end: "12:30",
        staff: "2", volunteers: "8", staff_hours: "7", volunteer_hours: "28", travel_hours: "5",
        paid_by: "pond-fund", boats: "4", searched: "9.0", treated: "2.6", stage: "seedling",
        level: "high", return_by: "2025-06-14",
        other: "yellow pond-lily, left standing", notes: "Thickest in the north-east corner, as last year.",
        rows: &[counted("basket", "9")], ..BLANK
    },
    Pull {
        id: "P03", date: "2025-05-31", site: "mill-cove", start: "9:00", end: "12:00",
        staff: "1", volunteers: "6", travel_hours: "3.5",
        paid_by: "own funds", boats: "3", searched: "7.5", treated: "1.6", stage: "seedling",
        level: "normal", return_by: "2025-06-21",
        notes: "Round the island first, then the sluice wall.",
        rows: &[counted("basket", "5")], ..BLANK
    },
    Pull {
        id: "P04", date: "2025-06-05", site: "otter-narrows", start: "8:30", end: "11:00",
        staff: "3", volunteers: "0", travel_hours: "3",
        paid_by: "partner", boats: "2", searched: "1.8", treated: "0.3", stage: "seedling",
        level: "normal", return_by: "2025-07-03",
        notes: "Kept to the west bank; the nesting side is closed until July.",
        rows: &[counted("basket", "3")], ..BLANK
    },
    Pull {
        id: "P05", date: "2025-06-14", site: "heron-bay", start: "8:30", end: "12:30",
        staff: "2", volunteers: "9", staff_hours: "8", volunteer_hours: "36", travel_hours: "5.5",
        paid_by: "pond-fund", boats: "5", searched: "9.5", treated: "3.4", stage: "rosette",
        level: "normal", return_by: "2025-06-28",
        notes: "First rosettes on the surface. Baskets in the shallows where the bags tore on the stones.",
        rows: &[counted("bag", "10"), weighed("basket", "3", "41.5")], ..BLANK
    },
    Pull {
        id: "P06", date: "2025-06-19", site: "long-reach", start: "8:00", end: "13:00",
        staff: "3", volunteers: "0", staff_hours: "15", volunteer_hours: "0", travel_hours: "3",
        paid_by: "shoreline-crew", boats: "2", searched: "7.0", treated: "2.7", stage: "rosette",
        level: "normal", return_by: "2025-07-12",
        notes: "Both banks down to the mooring ring.",
        rows: &[counted("bag", "9")], ..BLANK
    },
    Pull {
        id: "P07", date: "2025-06-21", site: "mill-cove", start: "9:00", end: "12:30",
        staff: "1", volunteers: "7", staff_hours: "3.5", volunteer_hours: "24.5", travel_hours: "4",
        paid_by: "own funds", boats: "3", searched: "7.5", treated: "2.5", stage: "rosette",
        level: "normal", return_by: "2025-07-19",
        notes: "The scale went back with the first canoe; the two baskets were guessed by hand.",
        rows: &[counted("bag", "8"), guessed("basket", "2", "30")], ..BLANK
    },
    Pull {
        id: "P08", date: "2025-06-28", site: "heron-bay", start: "8:30", end: "12:30",
        staff: "2", volunteers: "10", staff_hours: "8", volunteer_hours: "40", travel_hours: "6",
        paid_by: "pond-fund", boats: "5", searched: "10.0", treated: "4.1", stage: "rosette",
        level: "normal", return_by: "2025-07-26",
        notes: "Worked in a line from the dock towards the buoys.",
        rows: &[counted("bag", "13")], ..BLANK
    },
    Pull {
        id: "P09", date: "2025-07-03", site: "otter-narrows", start: "8:30", end: "11:30",
        staff: "3", volunteers: "0", staff_hours: "9", volunteer_hours: "0", travel_hours: "3",
        paid_by: "partner", boats: "2", searched: "1.8", treated: "0.6", stage: "rosette",
        level: "low", return_by: "2025-08-23",
        notes: "All four bags weighed at the landing.",
        rows: &[weighed("bag", "4", "88.5")], ..BLANK
    },
    Pull {
        id: "P10", date: "2025-07-12", site: "long-reach", start: "8:30", end: "12:30",
        staff: "2", volunteers: "8", staff_hours: "8", volunteer_hours: "32", travel_hours: "5",
        paid_by: "pond-fund", boats: "4", searched: "7.5", treated: "3.2", stage: "flowering",
        level: "low", return_by: "2025-07-31",
        other: "bladderwort between the rosettes, put back",
        notes: "First flowers seen. Two baskets from the stones weighed whole.",
        rows: &[counted("bag", "12"), weighed("basket", "2", "36")], ..BLANK
    },
    Pull {
        id: "P11", date: "2025-07-19", site: "mill-cove", pass: "1", start: "8:30", end: "10:00",
        staff: "2", volunteers: "6", staff_hours: "3", volunteer_hours: "9", travel_hours: "4",
        paid_by: "pond-fund", boats: "4", searched: "5.0", treated: "2.2", stage: "flowering",
        level: "low", notes: "First of three passes over the buoyed square, every rosette counted.",
        rows: &[counted_plants("bag", "11", "1208")], ..BLANK
    },
    Pull {
        id: "P12", date: "2025-07-19", site: "mill-cove", pass: "2", start: "10:15", end: "11:45",
        staff: "2", volunteers: "6", staff_hours: "3", volunteer_hours: "9", travel_hours: "0",
        paid_by: "pond-fund", boats: "4", searched: "5.0", treated: "2.2", stage: "flowering",
        level: "low", notes: "Second pass, same lines, same crew.",
        rows: &[counted_plants("bag", "6", "633")], ..BLANK
    },
    Pull {
        id: "P13", date: "2025-07-19", site: "mill-cove", pass: "3", start: "12:15", end: "13:45",
        staff: "2", volunteers: "6", staff_hours: "3", volunteer_hours: "9", travel_hours: "0",
        paid_by: "pond-fund", boats: "4", searched: "5.0", treated: "2.2", stage: "flowering",
        level: "low", return_by: "2025-08-07", notes: "Third pass. Mostly single rosettes under the lily pads.",
        rows: &[counted_plants("bag", "3", "297")], ..BLANK
    },
    Pull {
        id: "P14", date: "2025-07-26", site: "heron-bay", start: "8:30", end: "12:30",
        staff: "2", volunteers: "11", staff_hours: "8", volunteer_hours: "44", travel_hours: "6.5",
        paid_by: "pond-fund", boats: "6", searched: "10.0", treated: "4.4", stage: "flowering",
        level: "low", return_by: "2025-08-02",
        notes: "Largest turnout of the season. Two leaders, one on each side of the bay.",
        rows: &[counted("bag", "15")], ..BLANK
    },
    Pull {
        id: "P15", date: "2025-07-26", site: "heron-bay", start: "8:30", end: "12:30",
        stage: "flowering", level: "low", return_by: "2025-08-02",
        notes: "Same outing as P14, logged by both leaders; heads, hours, boats and bags stand under P14.",
        rows: &[Row { container: "", containers: "", mass_lb: "", plants: "", basis: "" }], ..BLANK
    },
    Pull {
        id: "P16", date: "2025-07-31", site: "long-reach", start: "8:00", end: "13:00",
        staff: "3", volunteers: "0", staff_hours: "15", volunteer_hours: "0", travel_hours: "3",
        paid_by: "shoreline-crew", boats: "2", searched: "7.5", treated: "2.9", stage: "flowering",
        level: "low", return_by: "2025-08-16", notes: "Open water in the middle; both margins still patchy.",
        rows: &[counted("bag", "9")], ..BLANK
    },
    Pull {
        id: "P17", date: "2025-08-02", site: "heron-bay", start: "8:30", end: "12:00",
        staff: "2", volunteers: "8", staff_hours: "7", volunteer_hours: "28", travel_hours: "5",
        paid_by: "pond-fund", boats: "4", searched: "10.0", treated: "3.1", stage: "fruiting", fruit: "green",
        level: "low", return_by: "2025-09-06",
        incident: "A seed spine went through a glove and pricked a palm. Washed, covered, no doctor needed. \
                   Thicker gloves since then for whoever fills the bags.",
        notes: "Green nuts under most rosettes.",
        rows: &[counted("bag", "10")], ..BLANK
    },
    Pull {
        id: "P18", date: "2025-08-07", site: "mill-cove", start: "8:30", end: "10:00",
        staff: "2", volunteers: "2", staff_hours: "3", volunteer_hours: "3", travel_hours: "2",
        paid_by: "own funds", boats: "2", searched: "3.0", treated: "1.1", stage: "fruiting", fruit: "green",
        level: "low", return_by: "2025-08-21", bloom: "yes",
        notes: "Green scum like paint drifted in along the sluice wall. Everybody out of the water at once, hands and \
                gear washed with tap water, dogs kept away, the sighting reported to the health office the same \
                morning. Nobody went in again until it had gone.",
        rows: &[counted("bag", "6"), counted("", "3")], ..BLANK
    },
    Pull {
        id: "P19", date: "2025-08-16", site: "long-reach", start: "8:30", end: "12:00",
        staff: "2", volunteers: "7", staff_hours: "7", volunteer_hours: "24.5", travel_hours: "4.5",
        paid_by: "pond-fund", boats: "4", searched: "8.0", treated: "2.8", stage: "fruiting", fruit: "green",
        level: "very low, mud at the landing", return_by: "2025-09-13",
        notes: "The wheelbarrow board over the mud saved many steps.",
        rows: &[counted("bag", "11"), weighed("basket", "1", "20.5")], ..BLANK
    },
    Pull {
        id: "P20", date: "2025-08-23", site: "otter-narrows", start: "8:30", end: "11:00",
        staff: "2", volunteers: "0", staff_hours: "5", volunteer_hours: "0", travel_hours: "2",
        paid_by: "partner", boats: "1", searched: "1.9", treated: "0.2", stage: "fruiting", fruit: "green",
        level: "very low", return_by: "2025-09-20",
        notes: "Two bags, weighed. Phone left ashore because of rain.",
        rows: &[weighed("bag", "2", "57.5")], ..BLANK
    },
    Pull {
        id: "P21", date: "2025-09-06", site: "heron-bay", start: "9:00", end: "12:00",
        staff: "1", volunteers: "6", staff_hours: "3", volunteer_hours: "18", travel_hours: "3.5",
        paid_by: "own funds", boats: "3", searched: "11.0", treated: "0.9", stage: "ripe", fruit: "ripe",
        level: "low", finished: "yes", return_by: "2026-05-23",
        notes: "Sweep for stragglers. Lifted slowly, with a net below, so that ripe nuts stayed in the bag. \
                The scale was at the maker's for repair.",
        rows: &[counted("bag", "2")], ..BLANK
    },
    Pull {
        id: "P22", date: "2025-09-13", site: "long-reach", start: "9:30", end: "12:00",
        staff: "1", volunteers: "4", travel_hours: "2.5",
        paid_by: "own funds", boats: "2", searched: "8.5", treated: "0.4", stage: "ripe", fruit: "ripe",
        level: "low", finished: "yes", return_by: "2026-05-16",
        notes: "Last sweep of both banks.",
        rows: &[counted("bag", "1")], ..BLANK
    },
    Pull {
        id: "P23", date: "2025-09-20", site: "otter-narrows", start: "9:00", end: "11:30",
        staff: "2", volunteers: "0", staff_hours: "5", volunteer_hours: "0", travel_hours: "2",
        paid_by: "partner", boats: "1", searched: "2.0", treated: "0", fruit: "none",
        level: "low", finished: "yes", return_by: "2026-06-04", disposal: "",
        notes: "Searched bank to bank, nothing found.",
        rows: &[counted("bag", "0")], ..BLANK
    },
];

/// Weighed containers: pull, kind, pounds, rosettes in it, note.
pub const WEIGHINGS: [(&str, &str, &str, &str, &str); 18] = [
    ("P01", "basket", "7.5", "514", ""),
    ("P02", "basket", "9.0", "602", ""),
    ("P02", "basket", "11.5", "731", "some mud"),
    ("P03", "basket", "8.0", "548", ""),
    ("P05", "bag", "18.5", "163", ""),
    ("P05", "bag", "24.0", "201", ""),
    ("P06", "bag", "21.5", "", ""),
    ("P08", "bag", "20.0", "151", ""),
    ("P08", "bag", "27.5", "", "filled to the tie"),
    ("P10", "bag", "23.5", "117", ""),
    ("P10", "bag", "29.0", "", ""),
    ("P11", "bag", "25.0", "108", ""),
    ("P14", "bag", "33.5", "134", ""),
    ("P14", "bag", "26.0", "", "drained for ten minutes"),
    ("P17", "bag", "31.0", "96", ""),
    ("P17", "bag", "27.5", "", ""),
    ("P19", "bag", "35.0", "103", "nuts and all"),
    ("P19", "bag", "28.5", "", ""),
];

/// Cover plots: site, plot, station, class before and after, rosettes in a square metre before and after.
pub struct Plot {
    pub site: &'static str,
    pub plot: &'static str,
    pub station: &'static str,
    pub class: (u8, u8),
    pub plants: Option<(u32, u32)>,
}

const fn plot(
    site: &'static str,
    plot: &'static str,
    station: &'static str,
    class: (u8, u8),
) -> Plot {
    Plot {
        site,
        plot,
        station,
        class,
        plants: None,
    }
}

pub const PLOTS: [Plot; 11] = [
    Plot {
        plants: Some((38, 1)),
        ..plot("heron-bay", "HB-a", "HB1", (6, 1))
    },
    Plot {
        plants: Some((31, 0)),
        ..plot("heron-bay", "HB-b", "HB1", (5, 1))
    },
    Plot {
        plants: Some((29, 2)),
        ..plot("heron-bay", "HB-c", "HB2", (5, 2))
    },
    Plot {
        plants: Some((22, 0)),
        ..plot("heron-bay", "HB-d", "HB2", (4, 1))
    },
    Plot {
        plants: Some((16, 1)),
        ..plot("heron-bay", "HB-e", "", (4, 1))
    },
    Plot {
        plants: Some((9, 0)),
        ..plot("heron-bay", "HB-f", "", (3, 1))
    },
    plot("mill-cove", "MC-a", "MC1", (5, 2)),
    plot("mill-cove", "MC-b", "MC1", (4, 1)),
    plot("mill-cove", "MC-c", "", (4, 2)),
    plot("mill-cove", "MC-d", "", (3, 2)),
    plot("mill-cove", "MC-e", "", (2, 1)),
];

/// The days of the two visits to the plots of a site.
pub fn visits(site: &str) -> (&'static str, &'static str) {
    if site == "heron-bay" {
        ("2025-06-28", "2025-08-02")
    } else {
        ("2025-07-19", "2025-08-07")
    }
}

/// Earlier seasons: year, site, person-hours, removed, unit, comparable, reason.
pub const HISTORY: [(&str, &str, &str, &str, &str, &str, &str); 15] = [
    ("2021", "heron-bay", "118", "131", "bag", "no", UNWEIGHED),
    ("2021", "long-reach", "64", "58", "bag", "no", UNWEIGHED),
    ("2021", "mill-cove", "71", "66", "bag", "no", UNWEIGHED),
    ("2022", "heron-bay", "152", "2240", "lb", "yes", ""),
    ("2022", "long-reach", "88", "1015", "lb", "yes", ""),
    ("2022", "mill-cove", "90", "1120", "lb", "yes", ""),
    ("2022", "otter-narrows", "16", "262", "lb", "yes", ""),
    ("2023", "heron-bay", "186", "2165", "lb", "yes", ""),
    ("2023", "long-reach", "104", "1080", "lb", "yes", ""),
    ("2023", "mill-cove", "97", "988", "lb", "yes", ""),
    ("2023", "otter-narrows", "21", "240", "lb", "yes", ""),
    ("2024", "heron-bay", "201", "1790", "lb", "yes", ""),
    ("2024", "long-reach", "122", "1045", "lb", "yes", ""),
    ("2024", "mill-cove", "110", "905", "lb", "yes", ""),
    ("2024", "otter-narrows", "23", "171", "lb", "yes", ""),
];
const UNWEIGHED: &str = "Bags were counted but none was weighed, and the bags were half the size";

/// Money: date, grant, budget line, amount, receipt below `papers/`, kind, notes.
#[rustfmt::skip]
pub const SPENDING: [(&str, &str, &str, &str, &str, &str, &str); 16] = [
    ("2025-04-22", "pond-fund", "supplies", "318.40", "receipts/2025-04-22-bags-and-baskets.pdf", "cash", "mesh bags and baskets"),
    ("2025-05-02", "pond-fund", "supplies", "146.75", "receipts/2025-05-02-gloves.pdf", "cash", "gloves"),
    ("2025-05-09", "pond-fund", "supplies", "89.00", "receipts/2025-05-09-hanging-scale.pdf", "cash", "hanging scale"),
    ("2025-05-30", "pond-fund", "wages", "1468.00", "receipts/2025-05-30-payroll.txt", "cash", "crew leaders, May"),
    ("2025-05-30", "pond-fund", "boats and travel", "212.60", "receipts/2025-05-30-mileage.txt", "cash", "trailer, May"),
    ("2025-06-30", "pond-fund", "wages", "2216.50", "receipts/2025-06-30-payroll.txt", "cash", "crew leaders, June"),
    ("2025-06-30", "shoreline-crew", "wages", "405.00", "receipts/2025-06-30-shoreline-crew.txt", "cash", "three members, one day"),
    ("2025-06-30", "pond-fund", "boats and travel", "264.15", "receipts/2025-06-30-mileage.txt", "cash", "trailer, June"),
    ("2025-07-11", "pond-fund", "disposal", "240.00", "receipts/2025-07-11-compost-yard.pdf", "cash", "six loads"),
    ("2025-07-31", "pond-fund", "wages", "2590.25", "receipts/2025-07-31-payroll.txt", "cash", "crew leaders, July"),
    ("2025-07-31", "shoreline-crew", "wages", "405.00", "receipts/2025-07-31-shoreline-crew.txt", "cash", "three members, one day"),
    ("2025-08-05", "pond-fund", "supplies", "131.90", "receipts/2025-08-05-thick-gloves.pdf", "cash", "thicker gloves after the pierced one"),
    ("2025-08-15", "pond-fund", "boats and travel", "180.00", "receipts/2025-08-15-canoe-loan.txt", "in-kind", "partner's two canoes, nine days"),
    ("2025-08-29", "pond-fund", "wages", "1504.75", "receipts/2025-08-29-payroll.txt", "cash", "crew leaders, August"),
    ("2025-09-12", "pond-fund", "disposal", "200.00", "receipts/2025-09-12-compost-yard.pdf", "cash", "five loads"),
    ("2025-09-26", "pond-fund", "boats and travel", "297.30", "receipts/2025-09-26-mileage.txt", "cash", "trailer, July to September"),
];

pub const NARRATIVE: [(&str, &str); 5] = [
    ("summary", include_str!("text/summary.typ")),
    ("methods", include_str!("text/methods.typ")),
    ("changes", include_str!("text/changes.typ")),
    ("lessons", include_str!("text/lessons.typ")),
    ("next", include_str!("text/next.typ")),
];

/// `season.toml`, with the row of the second log filled in.
pub fn settings() -> String {
    let row = row_of("P15");
    include_str!("text/season.toml").replace("{row of P15}", &row.to_string())
}

/// The row of a pull's first line in `pulls.csv`, as a spreadsheet numbers it; the headings are row 1.
fn row_of(pull: &str) -> usize {
    2 + PULLS
        .iter()
        .take_while(|other| other.id != pull)
        .map(|other| other.rows.len())
        .sum::<usize>()
}

pub fn pull(id: &str) -> Option<&'static Pull> {
    PULLS.iter().find(|pull| pull.id == id)
}

/// Minutes after midnight of a time such as `9:30`.
pub fn minutes(time: &str) -> u32 {
    let (hours, minutes) = time.split_once(':').unwrap_or((time, "0"));
    hours.parse::<u32>().unwrap_or(0) * 60 + minutes.parse::<u32>().unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A stratum with converted containers has three weighings or more, but for the ripe bags, which have none.
    #[test]
    fn every_stratum_but_one_is_weighed() {
        for pull in &PULLS {
            for row in pull.rows.iter().filter(|row| row.mass_lb.is_empty()) {
                if row.container.is_empty() || row.containers == "0" {
                    continue;
                }
                let weighed = WEIGHINGS
                    .iter()
                    .filter(|(id, kind, ..)| {
                        *kind == row.container
                            && self::pull(id).is_some_and(|other| other.stage == pull.stage)
                    })
                    .count();
                assert_eq!(
                    weighed < 3,
                    pull.stage == "ripe",
                    "{} {}",
                    pull.id,
                    row.container
                );
            }
        }
    }

    #[test]
    fn given_hours_agree_with_heads_and_times() {
        for pull in PULLS.iter().filter(|pull| !pull.staff_hours.is_empty()) {
            let span = f64::from(minutes(pull.end) - minutes(pull.start)) / 60.0;
            for (heads, hours) in [
                (pull.staff, pull.staff_hours),
                (pull.volunteers, pull.volunteer_hours),
            ] {
                let heads: f64 = heads.parse().unwrap();
                assert_eq!(hours.parse::<f64>().unwrap(), heads * span, "{}", pull.id);
            }
        }
    }
}
