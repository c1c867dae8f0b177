//! season.toml with a word on every setting.

use super::{Choices, usual_order};
use crate::season::value::DateOrder;
use crate::season::{Paper, PrintUnits};

/// Zones of the United States, where pounds, acres and Letter paper are usual. From memory of the IANA time zone database's
/// zone1970.tab; a zone that is missing here only means that `--units us` has to be said.
const US_ZONES: &[&str] = &[
    "America/Adak",
    "America/Anchorage",
    "America/Boise",
    "America/Chicago",
    "America/Denver",
    "America/Detroit",
    "America/Juneau",
    "America/Los_Angeles",
    "America/Menominee",
    "America/New_York",
    "America/Nome",
    "America/Phoenix",
    "America/Sitka",
    "America/Yakutat",
    "Pacific/Honolulu",
];

/// Zones that lie in the United States as a whole.
const US_PREFIXES: &[&str] = &[
    "America/Indiana/",
    "America/Kentucky/",
    "America/North_Dakota/",
    "US/",
];

/// Are US units usual where this zone holds?
pub fn is_us_zone(zone: &str) -> bool {
    US_ZONES.contains(&zone) || US_PREFIXES.iter().any(|prefix| zone.starts_with(prefix))
}

/// A text as TOML has it between quotation marks.
pub fn quoted(text: &str) -> String {
    toml::Value::String(text.to_owned()).to_string()
}

/// The text of a season's settings, with comments.
pub fn fresh(choices: &Choices) -> String {
    let us = choices.units == PrintUnits::Us;
    let (print, mass, area, currency) = if us {
        ("us", "lb", "acre", "USD")
    } else {
        ("metric", "kg", "ha", "EUR")
    };
    let paper = match choices.paper {
        Some(Paper::Letter) => "letter",
        Some(Paper::A4) => "a4",
        None if us => "letter",
        None => "a4",
    };
    let order = match usual_order(choices.units) {
        DateOrder::Mdy => "mdy",
        _ => "dmy",
    };
    let currency_line = if us {
        format!("currency = \"{currency}\"                      # ISO 4217 code")
    } else {
        format!("# currency = \"{currency}\"                    # ISO 4217 code")
    };
    let (year, programme, zone) = (
        choices.year,
        quoted(&choices.programme),
        quoted(&choices.time_zone),
    );
    format!(
        r#"# The season's settings. A line that begins with # is a comment and does nothing; take the # away to use what stands behind it.
# Save, then run `windrow check` on this folder: it tells what it does not understand, and how to mend it.
# The text is TOML: texts stand in quotation marks, dates as {year}-05-01, amounts of money in quotation marks.

programme = {programme}
# title = "A title for the report"
year = {year}
# The first and the last day of work; without them, the whole year.
# starts = {year}-05-01
# ends = {year}-09-30
# Where the water is, so that photos and logs agree on the hour. A name of the IANA time zone database.
time_zone = {zone}
species = "water chestnut"
scientific_name = "Trapa natans"
# The day on which the first ripe seed was seen. It parts the season's work into before and after.
# seed_ripens = {year}-08-15
# A line that every page of the report bears.
# notice = "Draft"

[units]
print = "{print}"                           # us (lb, acres) or metric (kg, ha): what the report prints
paper = "{paper}"                       # letter or a4
mass = "{mass}"                            # the unit of a column that is headed just `mass`
area = "{area}"                          # the unit of a column that is headed just `searched_area` or `treated_area`
{currency_line}

[dates]
# How 7/4/{year} is read. With "ymd" such a date is a doubt; "{order}" settles it. Dates written as {year}-07-04 are always clear.
order = "ymd"

[method]
# How sure the intervals are: 0.95 leaves one in twenty outside.
level = 0.95
# The kinds of container in use. A kind that is not in this list is a doubt, so that a slip of the pen is found.
containers = ["bag", "basket"]
# Growth stages, in their order. Containers are only ever converted by weighed ones of the same kind and stage.
stages = ["seedling", "rosette", "flowering", "fruiting", "ripe", "dropped"]
# The table of cover classes that cover's column `class` uses.
cover_classes = "daubenmire-1959"

[privacy]
# Positions of sensitive sites are moved to a grid of so many metres in what is handed to the public.
coarsen_to_m = 1000

# --- Grants -----------------------------------------------------------------------------------------------------------------------
# One [[grants]] for each, with what was promised and the budget. `figure` is a name that `windrow figures` lists.
#
# [[grants]]
# id = "pond-fund"                      # what pulls call it in paid_by, and spending in grant
# funder = "The funder's name"
# title = "What the grant is for"
# federal = false
# starts = {year}-04-01
# ends = {year}-12-31
# match_required = "6000.00"
#
# [[grants.deliverables]]
# id = "hours"
# text = "At least 400 person-hours of hand-pulling"
# figure = "effort.person-hours"
# at_least = 400                        # or at_most
# unit = "h"                            # h, kg, lb, short_ton, m2, acre, ha, percent, count
#
# [[grants.budget]]
# line = "wages"
# amount = "9000.00"

# --- What an hour given is worth ----------------------------------------------------------------------------------------------------
# Only needed where hours count as match. Take a published or agreed rate, and say where it stands and who approved it.
#
# [[rates]]
# kind = "volunteer"                    # volunteer, or staff paid from own funds or by a partner
# per_hour = "30.00"
# year = {year}
# source = "Where the rate comes from"
# authority = "Who approved it, and when"

# --- Your own headings --------------------------------------------------------------------------------------------------------------
# Where your spreadsheet calls a column otherwise: theirs on the left, ours on the right. `windrow check` proposes the line.
#
# [headings]
# "Bags out" = "containers"
#
# --- Your own names -----------------------------------------------------------------------------------------------------------------
# Where cells call a site, a kind of container, a payer or the like otherwise: theirs on the left, ours on the right.
#
# [names]
# "The Narrows" = "north"

# --- What was checked and may stand ---------------------------------------------------------------------------------------------------
# `windrow check` gives a finding's name and place. The report prints it with your reason.
#
# [[accepted]]
# finding = "pull-logged-twice"
# place = "pulls.csv row 14"
# reason = "Why it may stand"
# by = "coordinator"
# on = {year}-12-02

# --- Last year's archive --------------------------------------------------------------------------------------------------------------
# Ties this season to the one before. `windrow new NEXT --from ARCHIVE` writes it.
#
# [previous]
# archive = "{last_year}-evidence.zip"

# --- Suppositions, each a range with its source -------------------------------------------------------------------------------------------
# What a search that finds nothing is worth. Without it, the chance that plants remain is not known.
#
# [absence]
# finds_per_hour = {{ low = 0.3, high = 1.5, source = "Where the range comes from" }}
# chance_before = {{ low = 0.6, high = 0.95, source = "Where the range comes from" }}
#
# Seeds in the mud: how many years of follow-up to reckon with. docs/season-folder.md tells what each means.
#
# [seed_bank]
# began = {year}
# seeds_per_m2 = {{ low = 67, high = 80, source = "…" }}
# germinating = {{ low = 0.60, high = 0.87, source = "…" }}
# surviving = {{ low = 0.2, high = 0.6, source = "…" }}
# establishing = {{ low = 0.6, high = 0.8, source = "…" }}
# seeds_per_rosette = {{ low = 2, high = 5, source = "…" }}
# removed = {{ low = 0.80, high = 0.95, source = "…" }}
"#,
        last_year = choices.year - 1,
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::season::read_settings;

    fn choices(units: PrintUnits) -> Choices {
        Choices {
            programme: "Marsh \"Friends\" \\ invented".into(),
            year: 2026,
            time_zone: "America/New_York".into(),
            units,
            paper: None,
            csv: false,
        }
    }

    #[test]
    fn the_text_reads_back_as_chosen() {
        for (units, paper) in [
            (PrintUnits::Us, Paper::Letter),
            (PrintUnits::Metric, Paper::A4),
        ] {
            let settings = read_settings(&fresh(&choices(units))).unwrap();
            assert_eq!(settings.programme, "Marsh \"Friends\" \\ invented");
            assert_eq!(settings.units.print, units);
            assert_eq!(settings.paper(), paper);
        }
    }

    /// Every comment that shows a setting has to be right once its # is taken away.
    #[test]
    fn the_examples_in_the_comments_are_read_without_a_problem() {
        let text = fresh(&choices(PrintUnits::Us));
        let lines: Vec<&str> = text
            .lines()
            .map(|line| match line.strip_prefix("# ") {
                Some(rest) if rest.contains(" = ") || rest.starts_with('[') => rest,
                _ => line,
            })
            .collect();
        let settings = read_settings(&lines.join("\n")).unwrap();
        assert_eq!(settings.grants.len(), 1);
        assert_eq!(settings.rates.len(), 1);
        assert!(settings.absence.is_some() && settings.seed_bank.is_some());
    }

    #[test]
    fn zones_tell_which_units_are_usual() {
        assert!(is_us_zone("America/Indiana/Knox"));
        assert!(!is_us_zone("America/Toronto"));
        assert!(!is_us_zone("Europe/Vienna"));
    }
}
