//! Eight messy folders, as a coordinator meets them on an evening: each fault is found where it is, hardly anything else is told, and
//! once the proposed mends are in, the figures are those of the clean folder.

use windrow::figure::{Ledger, Outturn};
use windrow::finding::{Finding, Grade};

use super::findings::{accept, with_columns};
use super::support::folder::Folder;

type Change = fn(&Folder);

struct Evening {
    what: &'static str,
    /// What the folder has beside the clean one, and is right.
    base: Change,
    plant: Change,
    /// Each fault as the rule that tells it and the place where it stands.
    faults: &'static [(&'static str, &'static str)],
    mend: Change,
}

/// Other findings of grade error or doubt that may come along.
const MOST_OTHERS: usize = 1;

fn nothing(_: &Folder) {}

const EVENINGS: &[Evening] = &[
    Evening {
        what: "names as people spell them",
        base: nothing,
        plant: |folder| {
            folder
                .replace("pulls.csv", "2025-06-21,south", "2025-06-21,soth")
                .replace(
                    "pulls.csv",
                    "bag,10,,,counted,rosette",
                    "bag,10,,,counted,rossette",
                )
                .replace("pulls.csv", "2,6,fund", "2,6,fudn");
        },
        faults: &[
            ("site-unknown", "pulls.csv row 3, site"),
            ("stage-unknown", "pulls.csv row 2, stage"),
            ("payer-unknown", "pulls.csv row 3, paid_by"),
        ],
        mend: |folder| {
            folder
                .replace("pulls.csv", "soth", "south")
                .replace("pulls.csv", "rossette", "rosette")
                .replace("pulls.csv", "fudn", "fund");
        },
    },
    Evening {
        what: "clock and hours",
        base: nothing,
        plant: |folder| {
            folder
                .replace("pulls.csv", "9:00,12:00,1,4", "9:00,1:00,1,4")
                .replace("pulls.csv", "1,3,2,6", "1,3,2,2")
                .replace("pulls.csv", "9:00,10:00", "9:00,22:00")
                .replace("pulls.csv", "bag,8", "bag,~8");
        },
        faults: &[
            ("end-before-start", "pulls.csv row 2, end"),
            ("heads-against-hours", "pulls.csv row 3, volunteer_hours"),
            ("pull-in-the-dark", "pulls.csv row 6, end"),
            ("number-doubtful", "pulls.csv row 4, containers"),
        ],
        mend: |folder| {
            folder
                .replace("pulls.csv", "9:00,1:00,1,4", "9:00,12:00,1,4")
                .replace("pulls.csv", "1,3,2,2", "1,3,2,6")
                .replace("pulls.csv", "9:00,22:00", "9:00,10:00");
            accept(folder, "number-doubtful", "pulls.csv row 4, containers");
        },
    },
    Evening {
        what: "weights",
        base: nothing,
        plant: |folder| {
            folder
                .replace("pulls.csv", "basket,2,9.5", "basket,2,950")
                .replace("weighings.csv", "11.2", "24.7")
                .replace("weighings.csv", "P2,bag,12.1", "P9,bag,12.1");
        },
        faults: &[
            ("container-too-heavy", "pulls.csv row 5, mass_kg"),
            ("weighing-far-out", "weighings.csv row 2, mass_kg"),
            ("weighing-without-pull", "weighings.csv row 5, pull"),
        ],
        mend: |folder| {
            folder
                .replace("pulls.csv", "basket,2,950", "basket,2,9.5")
                .replace("weighings.csv", "24.7", "11.2")
                .replace("weighings.csv", "P9,bag,12.1", "P2,bag,12.1");
        },
    },
    Evening {
        what: "the map",
        base: nothing,
        plant: |folder| {
            folder
                .replace(
                    "sites.geojson",
                    "[[[-45.001, 38.49], [-45.0, 38.49], [-45.0, 38.491], [-45.001, 38.491], [-45.001, 38.49]]]",
                    "[[[38.49, -45.001], [38.49, -45.0], [38.491, -45.0], [38.491, -45.001], [38.49, -45.001]]]",
                )
                .replace("sites.geojson", "\"site\": \"north\"", "\"site\": \"nroth\"")
                .replace(
                    "sites.geojson",
                    "\"South Cove\", \"waterbody\": \"Test Pond\"",
                    "\"South Cove\", \"waterbody\": \"Test Pnod\"",
                );
        },
        faults: &[
            ("outline-swapped", "sites.geojson feature south"),
            ("station-site-unknown", "sites.geojson feature S1"),
            ("waterbody-misspelt", "sites.geojson feature south"),
        ],
        mend: |folder| {
            folder
                .replace(
                    "sites.geojson",
                    "[[[38.49, -45.001], [38.49, -45.0], [38.491, -45.0], [38.491, -45.001], [38.49, -45.001]]]",
                    "[[[-45.001, 38.49], [-45.0, 38.49], [-45.0, 38.491], [-45.001, 38.491], [-45.001, 38.49]]]",
                )
                .replace("sites.geojson", "nroth", "north")
                .replace("sites.geojson", "Test Pnod", "Test Pond");
        },
    },
    Evening {
        what: "money",
        base: |folder| {
            folder.append(
                "spending.csv",
                "2025-07-31,fund,wages,120.00,july.txt,cash\n",
            );
            folder.write("papers/july.txt", "Invented receipt over 120.00\n");
        },
        plant: |folder| {
            folder
                .replace("spending.csv", "wages,450.25", "wagse,450.25")
                .replace("spending.csv", "july.txt", "juli.txt")
                .replace(
                    "season.toml",
                    "id = \"fund\"",
                    "id = \"fund\"\nends = 2025-06-30",
                )
                .append(
                    "spending.csv",
                    "2025-06-30,fund,wages,450.25,june.txt,cash\n",
                );
        },
        faults: &[
            ("spending-line-unknown", "spending.csv row 2, line"),
            ("receipt-not-there", "spending.csv row 3, receipt"),
            ("receipt-outside-grant", "spending.csv row 3, date"),
            ("spending-booked-twice", "spending.csv row 4, amount"),
        ],
        mend: |folder| {
            folder
                .replace(
                    "spending.csv",
                    "2025-06-30,fund,wages,450.25,june.txt,cash\n",
                    "",
                )
                .replace("spending.csv", "wagse", "wages")
                .replace("spending.csv", "juli.txt", "july.txt");
            accept(folder, "receipt-outside-grant", "spending.csv row 3, date");
        },
    },
    Evening {
        what: "care",
        base: |folder| {
            with_columns(
                folder,
                "gear_cleaned,bloom_seen,disposal,notes",
                "yes,no,compost yard,",
            );
            let filled: Vec<String> = folder
                .read("pulls.csv")
                .lines()
                .map(|line| {
                    line.strip_suffix(",,,,")
                        .map_or(line.to_owned(), |row| format!("{row},yes,no,compost yard,"))
                })
                .collect();
            folder.write("pulls.csv", filled.join("\n") + "\n").replace(
                "sites.geojson",
                "\"South Cove\", \"waterbody\": \"Test Pond\"",
                "\"South Cove\", \"waterbody\": \"Mill Race\"",
            );
        },
        plant: |folder| {
            folder
                .replace(
                    "pulls.csv",
                    "rosette,yes,no,compost yard,",
                    "rosette,no,no,unknown,",
                )
                .replace(
                    "pulls.csv",
                    "rosette,yes,no,compost yard,",
                    "rosette,yes,yes,compost yard,Green scum.",
                )
                .replace(
                    "pulls.csv",
                    "flowering,yes,no,compost yard,",
                    "flowering,yes,no,floodplain by the landing,",
                );
        },
        faults: &[
            ("gear-not-cleaned", "pulls.csv row 2, gear_cleaned"),
            ("disposal-unknown", "pulls.csv row 2, disposal"),
            ("bloom-and-went-on", "pulls.csv row 3, bloom_seen"),
            ("disposal-on-flood-plain", "pulls.csv row 4, disposal"),
        ],
        mend: |folder| {
            folder
                .replace("pulls.csv", "no,no,unknown,", "no,no,compost yard,")
                .replace(
                    "pulls.csv",
                    "Green scum.",
                    "Green scum. Everybody left the water at 10:30.",
                )
                .replace("pulls.csv", "floodplain by the landing", "compost yard");
            accept(folder, "gear-not-cleaned", "pulls.csv row 2");
        },
    },
    Evening {
        what: "twice, and dates",
        base: nothing,
        plant: |folder| {
            folder
                .replace("pulls.csv", "P3,2025-07-12,North", "P3,7/12/2025,North")
                .replace("pulls.csv", "P3,2025-07-12,north", "P3,7/12/2025,north")
                .append(
                    "pulls.csv",
                    "P5,2025-06-14,north,9:00,12:00,1,4,3,12,fund,bag,10,,,counted,rosette\n",
                )
                .append(
                    "pulls.csv",
                    "P2,2025-06-21,south,,,,,,,,bag,6,,,counted,rosette\n",
                );
        },
        faults: &[
            ("date-ambiguous", "pulls.csv row 4, date"),
            ("date-ambiguous", "pulls.csv row 5, date"),
            ("pull-logged-twice", "pulls.csv row 7"),
            ("row-logged-twice", "pulls.csv row 8"),
        ],
        mend: |folder| {
            folder
                .replace(
                    "season.toml",
                    "[units]",
                    "[dates]\norder = \"mdy\"\n[units]",
                )
                .replace(
                    "pulls.csv",
                    "P5,2025-06-14,north,9:00,12:00,1,4,3,12,fund,bag,10,,,counted,rosette\n",
                    "",
                )
                .replace(
                    "pulls.csv",
                    "P2,2025-06-21,south,,,,,,,,bag,6,,,counted,rosette\n",
                    "",
                );
        },
    },
    Evening {
        what: "units, prose and notes on photos",
        base: |folder| {
            folder
                .write("photos.csv", "file,caption\nphotos/p1.jpg,Ten bags\n")
                .write("narrative/summary.typ", "A good season.\nIt went well.\n");
        },
        plant: |folder| {
            folder
                .replace("pulls.csv", "mass_kg", "mass")
                .replace("photos.csv", "p1.jpg", "p11.jpg")
                .replace(
                    "narrative/summary.typ",
                    "It went well.",
                    "We took out 1,250 kg with 44 person-hours.",
                )
                .replace("pulls.csv", "2025-08-02", "2024-08-02");
        },
        faults: &[
            ("unit-missing", "pulls.csv heading mass"),
            ("photo-note-stray", "photos.csv row 2, file"),
            ("prose-number-unbacked", "narrative/summary.typ line 2"),
            ("prose-number-typed", "narrative/summary.typ line 2"),
            ("date-outside-season", "pulls.csv row 6, date"),
        ],
        mend: |folder| {
            folder
                .replace("season.toml", "[units]", "[units]\nmass = \"kg\"")
                .replace("photos.csv", "p11.jpg", "p1.jpg")
                .replace(
                    "narrative/summary.typ",
                    "1,250 kg",
                    "#figure-text(\"removal.wet-mass\")",
                )
                .replace(
                    "narrative/summary.typ",
                    "44 person-hours",
                    "#figure-text(\"effort.person-hours\")",
                )
                .replace("pulls.csv", "2024-08-02", "2025-08-02");
        },
    },
];

fn values(ledger: &Ledger) -> Vec<(&str, &Outturn)> {
    ledger
        .figures()
        .map(|figure| (figure.name.as_str(), &figure.outturn))
        .collect()
}

fn open(findings: &[Finding]) -> Vec<String> {
    findings
        .iter()
        .filter(|finding| finding.accepted.is_none() && finding.grade != Grade::Remark)
        .map(|finding| format!("{} at {}: {}", finding.name, finding.place, finding.message))
        .collect()
}

#[test]
fn each_fault_is_found_and_placed_and_the_mends_bring_back_the_figures() {
    let mut wrong = Vec::new();
    for evening in EVENINGS {
        let clean = Folder::clean();
        (evening.base)(&clean);
        let before = open(&clean.findings());
        if !before.is_empty() {
            wrong.push(format!(
                "{}: the base is not clean: {before:?}",
                evening.what
            ));
        }
        let folder = Folder::clean();
        (evening.base)(&folder);
        (evening.plant)(&folder);
        let findings = folder.findings();
        // A slip of a whole column is told once, with all its places.
        let tells = |finding: &Finding, (rule, place): &(&str, &str)| {
            finding.name == *rule
                && std::iter::once(&finding.place)
                    .chain(&finding.also)
                    .any(|at| at.to_string() == *place)
        };
        let is_planted =
            |finding: &Finding| evening.faults.iter().any(|fault| tells(finding, fault));
        for fault in evening.faults {
            let (rule, place) = fault;
            if !findings.iter().any(|finding| tells(finding, fault)) {
                wrong.push(format!("{}: {rule} is not found at {place}", evening.what));
            }
        }
        let others: Vec<Finding> = findings
            .iter()
            .filter(|finding| !is_planted(finding))
            .cloned()
            .collect();
        let others = open(&others);
        if others.len() > MOST_OTHERS {
            wrong.push(format!("{}: told besides: {others:?}", evening.what));
        }
        (evening.mend)(&folder);
        let after = open(&folder.findings());
        if !after.is_empty() {
            wrong.push(format!("{}: open after the mends: {after:?}", evening.what));
        }
        if values(&folder.ledger()) != values(&clean.ledger()) {
            wrong.push(format!(
                "{}: the figures are not those of the clean folder",
                evening.what
            ));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
