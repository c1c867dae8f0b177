//! The columns of the log, and how people head them.

use crate::season::table::{Column, Sums, must, quantity, text};
use crate::units::Dimension;

pub const COLUMNS: &[Column] = &[
    must(
        "pull",
        &[
            "pull id",
            "pull no",
            "pull number",
            "outing",
            "outing id",
            "outing no",
            "trip",
            "trip id",
            "trip no",
            "event id",
            "event no",
        ],
    ),
    must(
        "date",
        &[
            "day",
            "pull date",
            "date of pull",
            "event date",
            "work date",
            "outing date",
            "trip date",
        ],
    ),
    must(
        "site",
        &[
            "location",
            "site name",
            "site id",
            "location name",
            "place",
            "reach",
            "cove",
        ],
    ),
    text("pass", &["pass no", "pass number"]),
    text(
        "start",
        &[
            "start time",
            "time in",
            "began",
            "time start",
            "time started",
            "started",
            "on water",
            "begin",
        ],
    ),
    text(
        "end",
        &[
            "end time",
            "time out",
            "stop",
            "stop time",
            "time end",
            "time ended",
            "ended",
            "finish time",
            "off water",
        ],
    ),
    text(
        "staff",
        &[
            "staff heads",
            "paid staff",
            "staff count",
            "no of staff",
            "number of staff",
            "paid crew",
        ],
    ),
    text(
        "volunteers",
        &[
            "volunteer heads",
            "vols",
            "volunteer count",
            "no of volunteers",
            "number of volunteers",
            "no of vols",
        ],
    ),
    quantity(
        "staff_hours",
        Dimension::Time,
        &[
            "paid hours",
            "staff hrs",
            "paid hrs",
            "staff time",
            "paid staff hours",
        ],
    ),
    quantity(
        "volunteer_hours",
        Dimension::Time,
        &[
            "vol hours",
            "vol hrs",
            "vols hours",
            "vols hrs",
            "volunteer hrs",
            "volunteers hours",
            "volunteer time",
            "donated hours",
        ],
    ),
    quantity(
        "travel_hours",
        Dimension::Time,
        &["travel", "travel hrs", "travel time", "drive time"],
    ),
    text("paid_by", &["payer", "funded by", "paid from", "funding"]),
    text(
        "boats",
        &[
            "canoes",
            "kayaks",
            "boat count",
            "no of boats",
            "number of boats",
        ],
    ),
    text("crew", &["team", "party", "crew id", "crew no"]),
    quantity(
        "searched_area",
        Dimension::Area,
        &[
            "area searched",
            "searched",
            "search area",
            "area surveyed",
            "surveyed",
        ],
    ),
    quantity(
        "treated_area",
        Dimension::Area,
        &[
            "area treated",
            "treated",
            "area pulled",
            "area cleared",
            "treatment area",
        ],
    ),
    text(
        "container",
        &[
            "container kind",
            "container type",
            "kind of container",
            "type of container",
            "bag type",
        ],
    ),
    text(
        "containers",
        &[
            "container count",
            "containers count",
            "number of containers",
            "no of containers",
        ],
    )
    .summing(Sums::PerRow),
    quantity(
        "mass",
        Dimension::Mass,
        &[
            "wet mass",
            "weight",
            "wet weight",
            "total weight",
            "biomass",
            "wet biomass",
            "wt",
            "weight removed",
            "weight pulled",
            "removed",
        ],
    ),
    text(
        "plants",
        &[
            "rosettes",
            "plant count",
            "rosette count",
            "plants pulled",
            "plants removed",
            "no of plants",
            "number of plants",
            "no of rosettes",
            "number of rosettes",
        ],
    )
    .summing(Sums::PerRow),
    text(
        "basis",
        &["how known", "how measured", "counted or guessed"],
    ),
    text(
        "stage",
        &["growth stage", "plant stage", "life stage", "phenology"],
    ),
    text("fruit", &["fruits", "nuts", "seeds", "fruit stage"]),
    text("water_level", &["lake level", "pond level", "gauge"]),
    text(
        "finished",
        &[
            "done",
            "site done",
            "site finished",
            "complete",
            "completed",
        ],
    ),
    text(
        "return_by",
        &[
            "return",
            "return date",
            "next visit",
            "revisit by",
            "come back by",
        ],
    ),
    text(
        "disposal",
        &[
            "disposed",
            "disposed at",
            "disposal site",
            "disposal place",
            "compost site",
        ],
    ),
    text(
        "gear_cleaned",
        &[
            "gear clean",
            "boats cleaned",
            "boat cleaned",
            "clean drain dry",
        ],
    ),
    text("bloom_seen", &["bloom", "algal bloom", "algae bloom"]),
    text("other_species", &["other plants", "other invasives"]),
    text(
        "incident",
        &["incidents", "accident", "accidents", "injuries"],
    ),
    text(
        "notes",
        &[
            "note",
            "remark",
            "remarks",
            "comment",
            "comments",
            "observations",
        ],
    ),
];
