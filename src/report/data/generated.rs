//! Sections that the coordinator did not write, in plain sentences from the ledger.
//!
//! Takes the input, gives paragraphs by section. States what figures and records say and nothing besides: no praise, no cause, no plan.

use std::collections::BTreeMap;

use serde_json::{Value, json};

use crate::figure::{Figure, Standing};
use crate::report::counted;
use crate::report::input::Input;
use crate::report::narrative;
use crate::report::number::{Style, print};
use crate::report::words::{
    capital, promises, pulls, records, sentence, sites, so_many, weighed_containers,
};
use crate::season::Season;
use crate::words;
use crate::words::{Words, day, day_and_month};

/// Sections that can be written from the ledger. Partners, outreach and lessons stand in no record.
const SECTIONS: &[&str] = &["summary", "methods", "changes", "next"];

/// Sections of the report that the season folder has no prose for, and that the report writes itself.
pub fn missing(season: &Season) -> Vec<&'static str> {
    let written: Vec<&str> = narrative::sections(season)
        .map(|section| section.section.as_str())
        .collect();
    SECTIONS
        .iter()
        .copied()
        .filter(|section| !written.contains(section))
        .collect()
}

/// Section → paragraphs, for the sections without prose of which there is something to say.
pub fn all(input: &Input<'_>, style: &Style) -> Value {
    let sections: BTreeMap<&str, Vec<String>> = missing(input.season)
        .into_iter()
        .map(|section| {
            let teller = Teller { input, style };
            let paragraphs = match section {
                "summary" => teller.summary(),
                "methods" => teller.methods(),
                "changes" => teller.changes(),
                _ => teller.next(),
            };
            (section, paragraphs)
        })
        .filter(|(_, paragraphs)| !paragraphs.is_empty())
        .collect();
    json!(sections)
}

struct Teller<'a> {
    input: &'a Input<'a>,
    style: &'a Style,
}

impl Teller<'_> {
    /// A figure's text, where it is known.
    fn known(&self, name: &str) -> Option<String> {
        let figure = self.input.ledger.get(name)?;
        figure
            .refusal()
            .is_none()
            .then(|| print(figure, self.style).text)
    }

    /// The season's days, its year named once where it is one.
    fn log(&self, count: usize) -> Words {
        let settings = &self.input.season.settings;
        let language = self.style.language;
        let starts =
            if settings.starts.format("%Y").to_string() == settings.ends.format("%Y").to_string() {
                day_and_month(settings.starts, language)
            } else {
                day(settings.starts, language)
            };
        words!(
            "From {starts} to {ends}, the log holds {pulls} at {sites}",
            starts,
            ends = settings.ends,
            pulls = pulls(count),
            sites = sites(self.input.season.ground.sites.len())
        )
    }

    fn summary(&self) -> Vec<String> {
        let count = counted::pulls(self.input.season, self.input.ledger).len();
        if count == 0 {
            return vec![
                self.style
                    .say(words!("The pull log of this season is empty.")),
            ];
        }
        let log = self.log(count);
        let hours = self.known("effort.person-hours");
        let volunteers = self.known("effort.volunteer-hours");
        let mut all = vec![match (hours, volunteers) {
            (Some(hours), Some(volunteers)) => words!(
                "{log}: {hours} on the water, of which volunteers gave {volunteers}.",
                log,
                hours,
                volunteers
            ),
            (Some(hours), None) => words!("{log}: {hours} on the water.", log, hours),
            (None, _) => log.then("", "."),
        }];
        let mass = self.known("removal.wet-mass");
        let plants = self.known("removal.plants");
        match (mass, plants) {
            (Some(mass), Some(plants)) => all.push(words!(
                "What came out: {mass} of wet plants, or {plants} plants.",
                mass,
                plants
            )),
            (Some(mass), None) => all.push(words!("What came out: {mass} of wet plants.", mass)),
            (None, Some(plants)) => all.push(words!("What came out: {plants} plants.", plants)),
            (None, None) => {
                let reason = self
                    .input
                    .ledger
                    .get("removal.wet-mass")
                    .and_then(Figure::refusal);
                if let Some(reason) = reason {
                    all.push(words!(
                        "How much came out is not known: {reason}.",
                        reason = crate::report::number::sentence_inside(&self.style.say(reason))
                    ));
                }
            }
        }
        if let Some(change) = self.known("cover.change") {
            all.push(words!(
                "In plots that were looked at before and after, cover changed by {change}.",
                change
            ));
        }
        if let Some(change) = self.known("trend.rate") {
            all.push(words!(
                "Beside earlier seasons that can be compared, what a person-hour removed changed by {change} from season to season.",
                change
            ));
        }
        all.extend(self.promises());
        self.said(all)
    }

    fn said(&self, all: Vec<Words>) -> Vec<String> {
        all.into_iter().map(|words| self.style.say(words)).collect()
    }

    fn promises(&self) -> Option<Words> {
        let all = &self.input.ledger.deliverables;
        if all.is_empty() {
            return None;
        }
        let parts: Vec<Words> = [
            Standing::Met,
            Standing::Missed,
            Standing::Uncertain,
            Standing::Unknown,
        ]
        .into_iter()
        .filter_map(|standing| {
            let count = all.iter().filter(|one| one.standing == standing).count();
            (count > 0).then(|| so_many(count, standing))
        })
        .collect();
        Some(words!(
            "Of {promises} to funders, {parts}.",
            promises = promises(all.len()),
            parts
        ))
    }

    fn methods(&self) -> Vec<String> {
        let season = self.input.season;
        let mut all = Vec::new();
        let weighed = season.weighings.len();
        if weighed > 0 {
            all.push(words!(
                "The log of weighings holds {containers}; what was not weighed follows from counts of containers of the same kind and stage.",
                containers = weighed_containers(weighed)
            ));
        }
        if !season.cover.is_empty() {
            all.push(words!(
                "The cover log holds {records} of plots, by the classes named {classes}.",
                records = records(season.cover.len()),
                classes = season.settings.method.cover_classes.clone()
            ));
        }
        self.said(all)
    }

    fn changes(&self) -> Vec<String> {
        self.input
            .ledger
            .deliverables
            .iter()
            .filter(|promise| promise.standing != Standing::Met)
            .map(|promise| {
                let text = capital(promise.text.trim_end_matches('.'));
                let standing = Words::fixed(promise.standing.word());
                self.style
                    .say(match self.input.ledger.get(&promise.figure) {
                        None => words!(
                            "{promise}: {standing}; no figure answers it.",
                            promise = text,
                            standing
                        ),
                        Some(figure) => words!(
                            "{promise}: {standing}; reached {figure}.",
                            promise = text,
                            standing,
                            figure = print(figure, self.style).text
                        ),
                    })
            })
            .collect()
    }

    fn next(&self) -> Vec<String> {
        let mut all = Vec::new();
        let due: Vec<Words> = self
            .due()
            .into_iter()
            .map(|(site, day)| words!("{site} by {day}", site, day))
            .collect();
        if !due.is_empty() {
            all.push(
                self.style
                    .say(words!("To be visited again, as the log says: {due}.", due)),
            );
        }
        let mut unweighed: Vec<String> = Vec::new();
        for figure in self.input.ledger.parts("stratum.mass-per-container") {
            if let Some(reason) = figure.refusal() {
                unweighed.push(sentence(&capital(&self.style.say(reason))));
            }
        }
        unweighed.dedup();
        all.extend(unweighed);
        if let Some(years) = self.known("outlook.follow-up-years") {
            all.push(self.style.say(words!(
                "By what season.toml supposes of the seeds in the mud, {years} of the same effort may be needed; a scenario, and no forecast.",
                years
            )));
        }
        all
    }

    /// The last date of return that the log gives for each site.
    fn due(&self) -> BTreeMap<String, chrono::NaiveDate> {
        let season = self.input.season;
        let mut due: BTreeMap<String, (Option<chrono::NaiveDate>, chrono::NaiveDate)> =
            BTreeMap::new();
        for pull in &season.pulls {
            let Some(site) = season.site_of(pull) else {
                continue;
            };
            for date in pull.rows.iter().filter_map(|row| row.return_by) {
                let entry = due.entry(site.name.clone()).or_insert((pull.date(), date));
                if pull.date() >= entry.0 {
                    *entry = (pull.date(), date);
                }
            }
        }
        due.into_iter()
            .map(|(site, (_, date))| (site, date))
            .filter(|(_, date)| *date > season.settings.ends)
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::tests::sample::Recipe;

    fn told(narrative: &'static str) -> Value {
        let mut recipe = Recipe::new(2, 6);
        recipe.narrative = narrative;
        let sample = recipe.build();
        let input = sample.input();
        all(&input, &Style::of(&sample.season.settings))
    }

    #[test]
    fn what_nobody_wrote_is_told_from_the_ledger_and_what_somebody_wrote_is_left_alone() {
        let without = told("");
        let summary = without["summary"].to_string();
        let sample = Recipe::new(2, 6).build();
        let style = Style::of(&sample.season.settings);
        let mass = print(sample.ledger.get("removal.wet-mass").unwrap(), &style).text;
        assert!(summary.contains(&mass), "{summary}");
        assert!(without.get("partners").is_none());
        assert!(told("Written by hand.").get("summary").is_none());
    }
}
