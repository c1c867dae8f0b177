//! Areas and cover against each other and against the outlines; earlier seasons.

use std::collections::BTreeMap;

use super::core::{Finding, Grade};
use super::naming::Stations;
use super::rule::Rule;
use super::{Check, rows};
use crate::season::{HistoryRow, Season, value};
use crate::words;
use crate::words::number;

const TREATED_BEYOND_SEARCHED: Rule = Rule {
    name: "treated-beyond-searched",
    grade: Grade::Doubt,
    title: "A larger area was treated than searched.",
    why: "Plants are pulled where they were searched for: one of the two areas is too small or too large.",
};
const AREA_BEYOND_SITE: Rule = Rule {
    name: "area-beyond-site",
    grade: Grade::Doubt,
    title: "An area of a pull is larger than its site.",
    why: "Area searched or treated would be too large: a slip of the unit, or an outline that does not hold the place that was worked.",
};
const COVER_IMPOSSIBLE: Rule = Rule {
    name: "cover-impossible",
    grade: Grade::Error,
    title: "A plot is covered by more than all of it.",
    why: "The change of cover would be wrong by it.",
};
const COVER_EMPTY: Rule = Rule {
    name: "cover-empty",
    grade: Grade::Doubt,
    title: "A look at a plot says nothing of what was there.",
    why: "The plot is left out of the change of cover.",
};
const WEIGHING_ANOTHER_DAY: Rule = Rule {
    name: "weighing-on-another-day",
    grade: Grade::Doubt,
    title: "A weighing has another day than its pull.",
    why: "Plants lose water from day to day; or the weighing belongs to another pull and so to another stage.",
};
const HISTORY_NOT_EARLIER: Rule = Rule {
    name: "history-not-earlier",
    grade: Grade::Error,
    title: "The history holds a season that is not an earlier one.",
    why: "This season would count twice in the trend, or one to come would.",
};
const HISTORY_TWICE: Rule = Rule {
    name: "history-twice",
    grade: Grade::Error,
    title: "The history holds a season of a site twice.",
    why: "Its effort and removal would count twice in the trend.",
};

const COVER_STATION_UNKNOWN: Rule = Rule {
    name: "cover-station-unknown",
    grade: Grade::Remark,
    title: "A look at a plot names a photo station that sites.geojson does not have.",
    why: "No figure counts by it; who looks for the plot by its station next year will not find it.",
};

/// All rules of this theme, with their functions.
pub const RULES: &[(Rule, Check)] = &[
    (TREATED_BEYOND_SEARCHED, treated_beyond_searched),
    (AREA_BEYOND_SITE, area_beyond_site),
    (COVER_IMPOSSIBLE, cover_impossible),
    (COVER_EMPTY, cover_empty),
    (COVER_STATION_UNKNOWN, cover_station_unknown),
    (WEIGHING_ANOTHER_DAY, weighing_another_day),
    (HISTORY_NOT_EARLIER, history_not_earlier),
    (HISTORY_TWICE, history_twice),
];

/// Areas are paced or read from a map: a part in a hundred is rounding.
const ROUNDING: f64 = 1.01;

fn treated_beyond_searched(season: &Season, findings: &mut Vec<Finding>) {
    for (_, row) in rows(season) {
        if let (Some(treated), Some(searched)) = (row.treated_area, row.searched_area)
            && treated > ROUNDING * searched
        {
            findings.push(TREATED_BEYOND_SEARCHED.on(
                &row.row,
                Some("treated_area"),
                words!(
                    "{treated} m² were treated and {searched} m² searched.",
                    treated = number(format!("{treated:.0}")),
                    searched = number(format!("{searched:.0}"))
                ),
                words!("Correct the one that is wrong; the two may have changed columns."),
            ));
        }
    }
}

/// Crews search a strip around an outline, and estimate: up to half as much again is told by no rule (common practice, no source).
const AROUND_THE_SITE: f64 = 1.5;

fn area_beyond_site(season: &Season, findings: &mut Vec<Finding>) {
    for (pull, row) in rows(season) {
        let Some(site) = season.site_of(pull) else {
            continue;
        };
        let whole = site.area();
        for (column, area) in [
            ("searched_area", row.searched_area),
            ("treated_area", row.treated_area),
        ] {
            let Some(area) = area.filter(|area| whole > 0.0 && *area > AROUND_THE_SITE * whole)
            else {
                continue;
            };
            findings.push(
                AREA_BEYOND_SITE
                    .on(
                        &row.row,
                        Some(column),
                        words!(
                            "{area} m²; the outline of {site} holds {whole} m².",
                            area = number(format!("{area:.0}")),
                            site = &site.name,
                            whole = number(format!("{whole:.0}"))
                        ),
                        words!(
                            "Correct the area or its unit in the heading; widen the outline, if the place that was worked is larger."
                        ),
                    )
                    .with([site.place.clone()]),
            );
            // Both columns tell of one slip in the outline.
            break;
        }
    }
}

fn cover_impossible(season: &Season, findings: &mut Vec<Finding>) {
    for row in &season.cover {
        if let Some(percent) = row.percent.filter(|percent| *percent > 100.0) {
            findings.push(COVER_IMPOSSIBLE.on(
                &row.row,
                Some("percent"),
                words!(
                    "{percent} % of the plot.",
                    percent = number(percent.to_string())
                ),
                words!("Correct it from the field sheet; at most 100."),
            ));
        }
    }
}

fn cover_station_unknown(season: &Season, findings: &mut Vec<Finding>) {
    let stations = Stations::of(season);
    for row in &season.cover {
        let Some(station) = row.station.as_deref() else {
            continue;
        };
        if season.ground.station(station).is_some() {
            continue;
        }
        let (message, mend) = stations.unknown(station);
        findings.push(COVER_STATION_UNKNOWN.on(&row.row, Some("station"), message, mend));
    }
}

fn cover_empty(season: &Season, findings: &mut Vec<Finding>) {
    for row in &season.cover {
        let unread = ["class", "percent", "plants"]
            .iter()
            .any(|column| row.row.text(column).is_some());
        if row.class.is_none() && row.percent.is_none() && row.plants.is_none() && !unread {
            findings.push(COVER_EMPTY.on(
                &row.row,
                None,
                words!("Neither class, percent nor plants."),
                words!("Fill in what was seen, 0 where nothing was; or take the row out."),
            ));
        }
    }
}

fn weighing_another_day(season: &Season, findings: &mut Vec<Finding>) {
    let pulls = season.pulls_by_id();
    for weighing in &season.weighings {
        let id = weighing.pull.as_deref().map(value::fold);
        let pull = id.and_then(|id| pulls.get(&id));
        if let (Some(on), Some(pull)) = (weighing.date, pull)
            && let Some(date) = pull.date()
            && on != date
        {
            findings.push(
                WEIGHING_ANOTHER_DAY
                    .on(
                        &weighing.row,
                        Some("date"),
                        words!(
                            "Weighed on {on}; pull {pull} was on {date}.",
                            on = on.to_string(),
                            pull = &pull.id,
                            date = date.to_string()
                        ),
                        words!(
                            "Correct date or pull; if the containers were weighed a day later, say so and accept the finding."
                        ),
                    )
                    .with([pull.place()]),
            );
        }
    }
}

fn history_not_earlier(season: &Season, findings: &mut Vec<Finding>) {
    for row in &season.history {
        if let Some(year) = row.year
            && season.settings.year != 0
            && year >= season.settings.year
        {
            findings.push(HISTORY_NOT_EARLIER.on(
                &row.row,
                Some("year"),
                words!(
                    "The year is {year}, and this season is {season}.",
                    year = year.to_string(),
                    season = season.settings.year.to_string()
                ),
                words!(
                    "Correct the year; take the row out, if it is of this season: the log has it."
                ),
            ));
        }
    }
}

fn history_twice(season: &Season, findings: &mut Vec<Finding>) {
    let mut first: BTreeMap<_, &HistoryRow> = BTreeMap::new();
    for row in &season.history {
        let Some(year) = row.year else { continue };
        let site = row.site.as_deref().map(|site| {
            season
                .ground
                .site(site)
                .map_or_else(|| value::fold(site), |site| site.id.to_string())
        });
        let key = (year, site, row.unit.as_deref().map(value::fold));
        let twin = *first.entry(key).or_insert(row);
        if !std::ptr::eq(twin, row) {
            findings.push(
                HISTORY_TWICE
                    .on(
                        &row.row,
                        None,
                        words!(
                            "Row {row} has the same year, site and unit.",
                            row = twin.row.number.to_string()
                        ),
                        words!("Take one of the two out, or correct year, site or unit."),
                    )
                    .with([twin.row.place()]),
            );
        }
    }
}
