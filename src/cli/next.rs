//! `windrow next`: the plan for next season, as a table, as JSON, or as a page to print.

use chrono::{Datelike, NaiveDate};
use serde_json::{Value, json};

use super::args::Next;
use super::check::exit_for;
use super::exit::{Exit, Failure};
use super::findings;
use super::inside::{self, Inside};
use super::printer::{BOLD, Printer, QUIET, styled};
use super::stages::{self, Account};
use crate::figure::Figure;
use crate::plan::{
    CAUTIONS, FEWEST, Plan, SeedSet, SitePlan, StationPlan, StratumPlan, a_year_on, plan,
};
use crate::report::{self, Style, number};

/// The precision of weighings where nothing else is asked for (common practice, no source: a tenth of the mean).
pub const USUAL_PRECISION: f64 = 0.1;

pub fn run(words: &Next, printer: &mut Printer) -> Result<Exit, Failure> {
    let (account, inside) = inside::account(&words.place, words.earlier.previous.as_deref())?;
    for line in inside.iter().flat_map(Inside::lines) {
        if words.json {
            // Beside the plan, not in it.
            printer.note(line);
        } else {
            printer.line(line);
        }
    }
    let plan = plan(&account.season, &account.ledger, words.within / 100.0);
    if let Some(path) = &words.output {
        account.outside(path)?;
        if let Some(inside) = &inside {
            inside.outside(path)?;
        }
        stages::write(path, &pdf(&account, &plan)?)?;
    }
    if words.json {
        printer.json(&as_json(&plan, &Style::of(&account.season.settings)));
    } else {
        print(&account, &plan, printer);
        if let Some(path) = &words.output {
            printer.line("");
            printer.line(format!("plan     {}", path.display()));
        }
    }
    Ok(match inside {
        Some(inside) => inside.exit(),
        None => exit_for(&account.findings),
    })
}

/// The plan as a page.
pub fn pdf(account: &Account, plan: &Plan) -> Result<Vec<u8>, Failure> {
    let style = Style::of(&account.season.settings);
    let words = Words {
        plan,
        style: &style,
        year: account.season.settings.year,
    };
    let value = json!({
        "year": plan.year.to_string(),
        "sites-aside": words.trend(),
        "sites": plan.sites.iter().map(|site| json!({
            "name": site.name,
            "from": site.from.map_or_else(|| "–".to_owned(), |from| words.short(from)),
            "before": site.before.map_or_else(|| "–".to_owned(), |before| words.short(before)),
            "why": words.why(site),
            "hours": words.hours(site),
        })).collect::<Vec<_>>(),
        "stations": plan.stations.iter().map(|station| json!({
            "id": station.id,
            "site": station.site.as_deref().unwrap_or("–"),
            "bearing": station.bearing.map_or_else(|| "–".to_owned(), |degrees| format!("{degrees}°")),
            "why": words.station(station),
        })).collect::<Vec<_>>(),
        "weighings-aside": words.weighings_aside(),
        "weighings": plan.weighings.iter().map(|stratum| json!({
            "stratum": format!("{}, {}", stratum.container, stratum.stage),
            "weighed": format!("{} of {}", stratum.weighed, round(stratum.counted)),
            "mean": stratum.mean.as_ref().filter(|mean| mean.refusal().is_none()).map_or_else(|| "–".to_owned(), |mean| number::print(mean, &style).with_unit()),
            "need": words.need(stratum),
        })).collect::<Vec<_>>(),
        "cautions": CAUTIONS,
    });
    Ok(report::sheets::plan(&account.season.settings, &value)?)
}

fn print(account: &Account, plan: &Plan, printer: &mut Printer) {
    let style = Style::of(&account.season.settings);
    let words = Words {
        plan,
        style: &style,
        year: account.season.settings.year,
    };
    printer.line(styled(
        BOLD,
        format!(
            "Plan for season {}, from the records of {}",
            plan.year, words.year
        ),
    ));
    let trend = words.trend();
    if !trend.is_empty() {
        printer.line(trend);
    }
    printer.line("");
    printer.line(styled(BOLD, "sites"));
    if plan.sites.is_empty() {
        printer.line("  none is drawn yet in sites.geojson");
    }
    for site in &plan.sites {
        let day =
            |day: Option<NaiveDate>| day.map_or_else(|| "–".to_owned(), |day| day.to_string());
        printer.line(format!(
            "  {:<22} from {}   done before {}",
            site.name,
            day(site.from),
            day(site.before)
        ));
        printer.line(styled(QUIET, format!("    {}", words.why(site))));
        printer.line(format!("    hours: {}", words.hours(site)));
    }
    printer.line("");
    printer.line(styled(BOLD, "stations to photograph again"));
    if plan.stations.is_empty() {
        printer.line("  none is marked yet in sites.geojson");
    }
    for station in &plan.stations {
        printer.line(format!(
            "  {:<8} {:<20} {}",
            station.id,
            station.site.as_deref().unwrap_or("–"),
            words.station(station)
        ));
    }
    printer.line("");
    printer.line(format!(
        "{} ({})",
        styled(BOLD, "containers to weigh"),
        words.weighings_aside()
    ));
    if plan.weighings.is_empty() {
        printer.line("  no containers were logged that need weighing");
    }
    for stratum in &plan.weighings {
        printer.line(format!(
            "  {:<26} {:>4} of {:<5} weighed   {}",
            format!("{}, {}", stratum.container, stratum.stage),
            stratum.weighed,
            round(stratum.counted),
            words.need(stratum)
        ));
    }
    printer.line("");
    for caution in CAUTIONS {
        printer.line(styled(QUIET, caution));
    }
    printer.line("");
    printer.line(format!(
        "{}: {}",
        account.season.name,
        findings::summary(&account.findings)
    ));
}

/// The plan in words, the same on paper and in a terminal.
struct Words<'a> {
    plan: &'a Plan,
    style: &'a Style,
    /// The season that the plan follows from.
    year: i32,
}

impl Words<'_> {
    fn short(&self, day: NaiveDate) -> String {
        let year = if day.year() == self.plan.year {
            ""
        } else {
            " %Y"
        };
        day.format(&format!("%-d\u{a0}%b{year}")).to_string()
    }

    fn trend(&self) -> String {
        match &self.plan.trend {
            Some(trend) if trend.refusal().is_none() => format!(
                "catch per hour from year to year: {}",
                number::print(trend, self.style).text
            ),
            _ => String::new(),
        }
    }

    fn why(&self, site: &SitePlan) -> String {
        let mut reasons = Vec::new();
        if site.outings == 0 {
            reasons.push(format!("nobody was there in {}", self.year));
        }
        if let Some(day) = site.return_by {
            reasons.push(format!("the log says to return by {}", self.day(day)));
        }
        if let Some(day) = site.found {
            reasons.push(format!("first plants on {}", self.day(day)));
        } else if site.outings > 0 {
            reasons.push("nothing was found on any visit; search again".into());
        }
        match site.seed {
            SeedSet::Seen(day) => reasons.push(format!(
                "ripe or dropped fruit from {}: expect seed of this season",
                self.day(day)
            )),
            SeedSet::NotSeen(day) => reasons.push(format!(
                "no ripe fruit when last looked, on {}",
                self.day(day)
            )),
            SeedSet::NotLogged if site.outings > 0 => reasons.push("fruit was not logged".into()),
            SeedSet::NotLogged => {}
        }
        if site.before.is_none() {
            reasons.push("no day of ripe seed is known: seed_ripens in season.toml says it".into());
        } else if !site.ripe_here {
            reasons.push("first ripe seed by the season's other records".into());
        }
        if let Some(remaining) = site.remaining.as_ref().filter(|it| it.refusal().is_none()) {
            reasons.push(format!(
                "chance that plants remain {}",
                number::print(remaining, self.style).text
            ));
        }
        if let Some(trend) = &site.trend {
            reasons.push(format!(
                "catch per hour {} a year",
                number::print(trend, self.style).text
            ));
        }
        let text = reasons.join("; ");
        let mut letters = text.chars();
        letters.next().map_or_else(String::new, |first| {
            first.to_uppercase().chain(letters).collect()
        })
    }

    fn day(&self, day: NaiveDate) -> String {
        let year = if day.year() == self.year { "" } else { " %Y" };
        day.format(&format!("%-d\u{a0}%B{year}")).to_string()
    }

    fn hours(&self, site: &SitePlan) -> String {
        let printed = number::print(&site.hours, self.style).text;
        if site.hours.stem() == "absence.hours-needed" {
            return format!("search {printed}");
        }
        match &site.spent {
            Some(spent) if spent.value().is_some_and(|hours| hours > 0.0) => format!(
                "{printed}; {} in {}",
                number::print(spent, self.style).with_unit(),
                self.year
            ),
            _ => printed,
        }
    }

    fn station(&self, station: &StationPlan) -> String {
        let again = |day: NaiveDate| self.short(a_year_on(day));
        match (station.before, station.after, station.latest) {
            (Some(before), Some(after), _) if before == after => format!(
                "before and after, both on {}: again about {}",
                self.day(before),
                again(before)
            ),
            (Some(before), Some(after), _) => format!(
                "before and after, {} and {}: again about {} and {}",
                self.day(before),
                self.day(after),
                again(before),
                again(after)
            ),
            (Some(before), None, _) => format!(
                "only before, {}: again about {}, and after the work",
                self.day(before),
                again(before)
            ),
            (None, Some(after), _) => format!(
                "only after, {}: before the work, and again about {}",
                self.day(after),
                again(after)
            ),
            (None, None, Some(latest)) => format!(
                "a picture of {}, neither before nor after: take both",
                self.day(latest)
            ),
            (None, None, None) => format!("no picture in {}: before and after the work", self.year),
        }
    }

    fn weighings_aside(&self) -> String {
        format!(
            "so that a mean is known to ± {}%, if they vary as in {}",
            round(self.plan.within * 100.0),
            self.year
        )
    }

    fn need(&self, stratum: &StratumPlan) -> String {
        match &stratum.needed {
            Ok(number) => format!("weigh {number}"),
            Err(_) if stratum.weighed == 0 => {
                format!("none was weighed: {FEWEST} at the very least, better 10")
            }
            Err(_) => format!("too few to tell: {FEWEST} at the very least, better 10"),
        }
    }
}

/// Up to one place, for counts of containers and percentages.
fn round(value: f64) -> String {
    let text = format!("{value:.1}");
    text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
}

fn as_json(plan: &Plan, style: &Style) -> Value {
    let figure = |figure: &Figure| {
        json!({
            "figure": figure.name,
            "label": figure.label,
            "value": figure.value(),
            "unit": figure.measure.base_unit(),
            "interval": figure.interval(),
            "refused": figure.refusal(),
            "text": number::print(figure, style).text,
            "method": figure.method,
            "assumptions": figure.assumptions,
        })
    };
    json!({
        "year": plan.year,
        "trend": plan.trend.as_ref().map(figure),
        "sites": plan.sites.iter().map(|site| json!({
            "id": site.id,
            "name": site.name,
            "outings": site.outings,
            "last_visit": site.last_visit,
            "return_by": site.return_by,
            "from": site.from,
            "plants_first_found": site.found,
            "done_before": site.before,
            "ripe_seed_seen_here": site.ripe_here,
            "finished": site.finished,
            "hours": figure(&site.hours),
            "hours_spent": site.spent.as_ref().map(figure),
            "trend": site.trend.as_ref().map(figure),
            "chance_remaining": site.remaining.as_ref().map(figure),
        })).collect::<Vec<_>>(),
        "stations": plan.stations.iter().map(|station| json!({
            "id": station.id,
            "name": station.name,
            "site": station.site,
            "bearing": station.bearing,
            "before": station.before,
            "after": station.after,
            "latest": station.latest,
        })).collect::<Vec<_>>(),
        "weighings": plan.weighings.iter().map(|stratum| json!({
            "container": stratum.container,
            "stage": stratum.stage,
            "counted": stratum.counted,
            "weighed": stratum.weighed,
            "mean": stratum.mean.as_ref().map(figure),
            "needed": stratum.needed.as_ref().ok(),
            "refused": stratum.needed.as_ref().err(),
            "within": plan.within,
        })).collect::<Vec<_>>(),
        "cautions": CAUTIONS,
    })
}
