//! `windrow next`: the plan for next season, as a table, as JSON, or as a page to print.

use chrono::{Datelike, NaiveDate};
use serde_json::{Value, json};

use super::args::Next;
use super::check::exit_for;
use super::exit::{Exit, Failure};
use super::findings;
use super::inside::{self, Inside};
use super::outputs;
use super::printer::{BOLD, Printer, QUIET, styled};
use super::stages::Account;
use crate::figure::Figure;
use crate::plan::{
    CAUTIONS, FEWEST, Plan, SeedSet, SitePlan, StationPlan, StratumPlan, a_year_on, plan,
};
use crate::report::{self, Style, number};
use crate::words;
use crate::words::{Language, Words, day_and_month, short_day};

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
        account.outputs().outside(path)?;
        if let Some(inside) = &inside {
            inside.outside(path)?;
        }
        outputs::write(path, &pdf(&account, &plan)?)?;
    }
    if words.json {
        // JSON is one for all readers.
        let style = Style {
            language: Language::English,
            ..Style::of(&account.season.settings)
        };
        printer.json(&as_json(&plan, &style));
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
    let words = Teller {
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
            "weighed": words.of(stratum),
            "mean": stratum.mean.as_ref().filter(|mean| mean.refusal().is_none()).map_or_else(|| "–".to_owned(), |mean| number::print(mean, &style).with_unit()),
            "need": words.need(stratum),
        })).collect::<Vec<_>>(),
        "cautions": CAUTIONS.map(|caution| style.say(Words::fixed(caution))),
    });
    Ok(report::sheets::plan(&account.season.settings, &value)?)
}

fn print(account: &Account, plan: &Plan, printer: &mut Printer) {
    let style = Style::of(&account.season.settings);
    let words = Teller {
        plan,
        style: &style,
        year: account.season.settings.year,
    };
    printer.line(styled(
        BOLD,
        style.say(words!(
            "Plan for season {year}, from the records of {earlier}",
            year = plan.year.to_string(),
            earlier = words.year.to_string()
        )),
    ));
    let trend = words.trend();
    if !trend.is_empty() {
        printer.line(trend);
    }
    printer.line("");
    printer.line(styled(BOLD, style.say(words!("sites"))));
    if plan.sites.is_empty() {
        printer.line(format!(
            "  {}",
            style.say(words!("none is drawn yet in sites.geojson"))
        ));
    }
    for site in &plan.sites {
        let day =
            |day: Option<NaiveDate>| day.map_or_else(|| "–".to_owned(), |day| day.to_string());
        printer.line(format!(
            "  {:<22} {}",
            site.name,
            style.say(words!(
                "from {from}   done before {before}",
                from = day(site.from),
                before = day(site.before)
            ))
        ));
        printer.line(styled(QUIET, format!("    {}", words.why(site))));
        printer.line(format!(
            "    {}",
            style.say(words!("hours: {hours}", hours = words.hours(site)))
        ));
    }
    printer.line("");
    printer.line(styled(
        BOLD,
        style.say(words!("stations to photograph again")),
    ));
    if plan.stations.is_empty() {
        printer.line(format!(
            "  {}",
            style.say(words!("none is marked yet in sites.geojson"))
        ));
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
        styled(BOLD, style.say(words!("containers to weigh"))),
        words.weighings_aside()
    ));
    if plan.weighings.is_empty() {
        printer.line(format!(
            "  {}",
            style.say(words!("no containers were logged that need weighing"))
        ));
    }
    for stratum in &plan.weighings {
        printer.line(format!(
            "  {:<26} {:>4} {}   {}",
            format!("{}, {}", stratum.container, stratum.stage),
            stratum.weighed,
            style.say(words!(
                "of {containers} weighed",
                containers = words::number(format!("{:<5}", round(stratum.counted)))
            )),
            words.need(stratum)
        ));
    }
    printer.line("");
    for caution in CAUTIONS {
        printer.line(styled(QUIET, style.say(Words::fixed(caution))));
    }
    printer.line("");
    printer.line(format!(
        "{}: {}",
        account.season.name,
        findings::summary(&account.findings)
    ));
}

/// The plan in words, the same on paper and in a terminal.
struct Teller<'a> {
    plan: &'a Plan,
    style: &'a Style,
    /// The season that the plan follows from.
    year: i32,
}

impl Teller<'_> {
    fn say(&self, words: Words) -> String {
        self.style.say(words)
    }

    /// The day for a column; with the year where it is not the plan's.
    fn short(&self, day: NaiveDate) -> String {
        let short = short_day(day, self.style.language).replace(' ', "\u{a0}");
        if day.year() == self.plan.year {
            short
        } else {
            format!("{short} {}", day.year())
        }
    }

    fn trend(&self) -> String {
        match &self.plan.trend {
            Some(trend) if trend.refusal().is_none() => self.say(words!(
                "catch per hour from year to year: {change}",
                change = number::print(trend, self.style).text
            )),
            _ => String::new(),
        }
    }

    fn why(&self, site: &SitePlan) -> String {
        let mut reasons = Vec::new();
        if site.outings == 0 {
            reasons.push(words!(
                "nobody was there in {year}",
                year = self.year.to_string()
            ));
        }
        if let Some(day) = site.return_by {
            reasons.push(words!(
                "the log says to return by {day}",
                day = self.day(day)
            ));
        }
        if let Some(day) = site.found {
            reasons.push(words!("first plants on {day}", day = self.day(day)));
        } else if site.outings > 0 {
            reasons.push(words!("nothing was found on any visit; search again"));
        }
        match site.seed {
            SeedSet::Seen(day) => reasons.push(words!(
                "ripe or dropped fruit from {day}: expect seed of this season",
                day = self.day(day)
            )),
            SeedSet::NotSeen(day) => reasons.push(words!(
                "no ripe fruit when last looked, on {day}",
                day = self.day(day)
            )),
            SeedSet::NotLogged if site.outings > 0 => {
                reasons.push(words!("fruit was not logged"));
            }
            SeedSet::NotLogged => {}
        }
        if site.before.is_none() {
            reasons.push(words!(
                "no day of ripe seed is known: seed_ripens in season.toml says it"
            ));
        } else if !site.ripe_here {
            reasons.push(words!("first ripe seed by the season's other records"));
        }
        if let Some(remaining) = site.remaining.as_ref().filter(|it| it.refusal().is_none()) {
            reasons.push(words!(
                "chance that plants remain {chance}",
                chance = number::print(remaining, self.style).text
            ));
        }
        if let Some(trend) = &site.trend {
            reasons.push(words!(
                "catch per hour {change} a year",
                change = number::print(trend, self.style).text
            ));
        }
        let text = self.say(Words::joined(reasons, "; "));
        let mut letters = text.chars();
        letters.next().map_or_else(String::new, |first| {
            first.to_uppercase().chain(letters).collect()
        })
    }

    /// The day in a sentence; with the year where it is not the season's.
    fn day(&self, day: NaiveDate) -> String {
        if day.year() == self.year {
            day_and_month(day, self.style.language)
        } else {
            words::day(day, self.style.language)
        }
    }

    fn hours(&self, site: &SitePlan) -> String {
        let printed = number::print(&site.hours, self.style).text;
        if site.hours.stem() == "absence.hours-needed" {
            return self.say(words!("search {hours}", hours = printed));
        }
        match &site.spent {
            Some(spent) if spent.value().is_some_and(|hours| hours > 0.0) => self.say(words!(
                "{hours}; {spent} in {year}",
                hours = printed,
                spent = number::print(spent, self.style).with_unit(),
                year = self.year.to_string()
            )),
            _ => printed,
        }
    }

    fn station(&self, station: &StationPlan) -> String {
        let again = |day: NaiveDate| self.short(a_year_on(day));
        self.say(match (station.before, station.after, station.latest) {
            (Some(before), Some(after), _) if before == after => words!(
                "before and after, both on {day}: again about {again}",
                day = self.day(before),
                again = again(before)
            ),
            (Some(before), Some(after), _) => words!(
                "before and after, {before} and {after}: again about {again} and {again_after}",
                before = self.day(before),
                after = self.day(after),
                again = again(before),
                again_after = again(after)
            ),
            (Some(before), None, _) => words!(
                "only before, {day}: again about {again}, and after the work",
                day = self.day(before),
                again = again(before)
            ),
            (None, Some(after), _) => words!(
                "only after, {day}: before the work, and again about {again}",
                day = self.day(after),
                again = again(after)
            ),
            (None, None, Some(latest)) => words!(
                "a picture of {day}, neither before nor after: take both",
                day = self.day(latest)
            ),
            (None, None, None) => words!(
                "no picture in {year}: before and after the work",
                year = self.year.to_string()
            ),
        })
    }

    fn weighings_aside(&self) -> String {
        self.say(words!(
            "so that a mean is known to ± {share}%, if they vary as in {year}",
            share = words::number(round(self.plan.within * 100.0)),
            year = self.year.to_string()
        ))
    }

    /// How many were weighed of those that were counted.
    fn of(&self, stratum: &StratumPlan) -> String {
        self.say(words!(
            "{weighed} of {counted}",
            weighed = words::number(stratum.weighed.to_string()),
            counted = words::number(round(stratum.counted))
        ))
    }

    fn need(&self, stratum: &StratumPlan) -> String {
        let fewest = FEWEST.to_string();
        self.say(match &stratum.needed {
            Ok(number) => words!("weigh {number}", number = number.to_string()),
            Err(_) if stratum.weighed == 0 => words!(
                "none was weighed: {fewest} at the very least, better 10",
                fewest
            ),
            Err(_) => words!(
                "too few to tell: {fewest} at the very least, better 10",
                fewest
            ),
        })
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
