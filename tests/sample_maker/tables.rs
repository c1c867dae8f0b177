//! The story as files: CSV tables and `sites.geojson`.
//!
//! Takes `scenario`, `places` and `shots`; gives texts. Must not invent a value of its own.

use crate::outlines::Point;
use crate::scenario::{HISTORY, PLOTS, PULLS, SPENDING, WEIGHINGS, visits};
use crate::{places, shots};

/// One line of CSV (RFC 4180, but with a plain line feed), quoted where it must be.
fn line(cells: &[&str]) -> String {
    let quoted = |cell: &&str| {
        if cell.contains([',', '"', '\n']) {
            format!("\"{}\"", cell.replace('"', "\"\""))
        } else {
            (*cell).to_string()
        }
    };
    cells.iter().map(quoted).collect::<Vec<_>>().join(",") + "\n"
}

pub fn pulls() -> String {
    let mut out = line(&[
        "pull",
        "date",
        "site",
        "pass",
        "start",
        "end",
        "staff",
        "volunteers",
        "staff_hours",
        "volunteer_hours",
        "travel_hours",
        "paid_by",
        "boats",
        "searched_area_acre",
        "treated_area_acre",
        "container",
        "containers",
        "mass_lb",
        "plants",
        "basis",
        "stage",
        "fruit",
        "water_level",
        "finished",
        "return_by",
        "disposal",
        "gear_cleaned",
        "bloom_seen",
        "other_species",
        "incident",
        "notes",
    ]);
    for pull in &PULLS {
        for (index, row) in pull.rows.iter().enumerate() {
            // What belongs to the outing stands in its first row alone, as a coordinator would write it.
            let once = |value: &'static str| if index == 0 { value } else { "" };
            out += &line(&[
                pull.id,
                pull.date,
                pull.site,
                pull.pass,
                once(pull.start),
                once(pull.end),
                once(pull.staff),
                once(pull.volunteers),
                once(pull.staff_hours),
                once(pull.volunteer_hours),
                once(pull.travel_hours),
                once(pull.paid_by),
                once(pull.boats),
                once(pull.searched),
                once(pull.treated),
                row.container,
                row.containers,
                row.mass_lb,
                row.plants,
                row.basis,
                pull.stage,
                pull.fruit,
                once(pull.level),
                once(pull.finished),
                once(pull.return_by),
                pull.disposal,
                once(pull.cleaned),
                once(pull.bloom),
                once(pull.other),
                once(pull.incident),
                once(pull.notes),
            ]);
        }
    }
    out
}

pub fn weighings() -> String {
    let mut out = line(&["pull", "container", "mass_lb", "plants", "notes"]);
    for (pull, container, mass, plants, notes) in WEIGHINGS {
        out += &line(&[pull, container, mass, plants, notes]);
    }
    out
}

pub fn cover() -> String {
    let mut out = line(&[
        "date",
        "site",
        "plot",
        "station",
        "when",
        "class",
        "plants",
        "plot_area_m2",
    ]);
    for after in [false, true] {
        for plot in &PLOTS {
            let (first, second) = visits(plot.site);
            let (date, when) = if after {
                (second, "after")
            } else {
                (first, "before")
            };
            let class = if after { plot.class.1 } else { plot.class.0 }.to_string();
            let plants = plot
                .plants
                .map(|(before, later)| if after { later } else { before });
            let plants = plants.map(|count| count.to_string()).unwrap_or_default();
            let area = if plot.plants.is_some() { "1" } else { "" };
            out += &line(&[
                date,
                plot.site,
                plot.plot,
                plot.station,
                when,
                &class,
                &plants,
                area,
            ]);
        }
    }
    out
}

pub fn history() -> String {
    let mut out = line(&[
        "year",
        "site",
        "effort_hours",
        "removed",
        "unit",
        "comparable",
        "reason",
    ]);
    for (year, site, hours, removed, unit, comparable, reason) in HISTORY {
        out += &line(&[year, site, hours, removed, unit, comparable, reason]);
    }
    out
}

pub fn spending() -> String {
    let mut out = line(&[
        "date", "grant", "line", "amount", "receipt", "kind", "notes",
    ]);
    for (date, grant, budget, amount, receipt, kind, notes) in SPENDING {
        out += &line(&[date, grant, budget, amount, receipt, kind, notes]);
    }
    out
}

pub fn photos() -> String {
    let mut out = line(&[
        "file", "site", "station", "role", "caption", "consent", "withheld", "reason", "plate",
        "pull",
    ]);
    for photo in shots::all() {
        if let Some(word) = &photo.word {
            out += &line(&[
                &photo.path,
                word.site,
                word.station,
                word.role,
                &word.caption,
                word.consent,
                word.withheld,
                word.reason,
                word.plate,
                word.pull,
            ]);
        }
    }
    out
}

/// RFC 7946, one feature a line. Seven decimals are a centimetre; the outline was never known that well,
/// and six keep a tenth of a metre.
pub fn sites() -> String {
    let mut features = Vec::new();
    let shore = feature(
        "\"kind\": \"shoreline\", \"name\": \"Lantern Ponds (invented)\"",
        &format!(
            "{{\"type\": \"Polygon\", \"coordinates\": {}}}",
            rings(
                &places::shore(),
                &[places::island().into_iter().rev().collect()]
            )
        ),
    );
    features.push(shore);
    for site in places::sites() {
        let parts: Vec<String> = site
            .parts
            .iter()
            .map(|(outer, holes)| rings(outer, holes))
            .collect();
        let geometry = match parts.as_slice() {
            [only] => format!("{{\"type\": \"Polygon\", \"coordinates\": {only}}}"),
            more => {
                format!(
                    "{{\"type\": \"MultiPolygon\", \"coordinates\": [{}]}}",
                    more.join(", ")
                )
            }
        };
        let properties = format!(
            "\"id\": \"{}\", \"name\": \"{}\", \"waterbody\": \"{}\", \"sensitive\": {}",
            site.id, site.name, site.waterbody, site.sensitive
        );
        features.push(feature(&properties, &geometry));
    }
    for station in places::stations() {
        let properties = format!(
            "\"id\": \"{}\", \"site\": \"{}\", \"bearing\": {}, \"name\": \"{}\"",
            station.id, station.site, station.bearing, station.name
        );
        let geometry = format!(
            "{{\"type\": \"Point\", \"coordinates\": {}}}",
            position(station.at)
        );
        features.push(feature(&properties, &geometry));
    }
    format!(
        "{{\"type\": \"FeatureCollection\", \"features\": [\n{}\n]}}\n",
        features.join(",\n")
    )
}

fn feature(properties: &str, geometry: &str) -> String {
    format!("{{\"type\": \"Feature\", \"properties\": {{{properties}}}, \"geometry\": {geometry}}}")
}

fn position(point: Point) -> String {
    let (east, north) = places::degrees(point);
    format!("[{east:.6}, {north:.6}]")
}

fn rings(outer: &[Point], holes: &[Vec<Point>]) -> String {
    let ring = |points: &[Point]| {
        let closed: Vec<String> = points
            .iter()
            .chain(points.first())
            .map(|point| position(*point))
            .collect();
        format!("[{}]", closed.join(", "))
    };
    let all: Vec<String> = std::iter::once(ring(outer))
        .chain(holes.iter().map(|hole| ring(hole)))
        .collect();
    format!("[{}]", all.join(", "))
}
