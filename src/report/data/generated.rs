//! Sections that the coordinator did not write, in plain sentences from the ledger.
//!
//! Takes the input, gives paragraphs by section. States what figures and records say and nothing besides: no praise, no cause, no plan.

use std::collections::BTreeMap;

use serde_json::{Value, json};

use crate::figure::{Figure, Standing};
use crate::report::counted;
use crate::report::digits;
use crate::report::input::Input;
use crate::report::narrative;
use crate::report::number::{Style, print};
use crate::report::words::{capital, day, list, period, plural, sentence};
use crate::season::Season;

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

    fn summary(&self) -> Vec<String> {
        let season = self.input.season;
        let settings = &season.settings;
        let mut all = Vec::new();
        let pulls = counted::pulls(season, self.input.ledger).len();
        if pulls == 0 {
            return vec!["The pull log of this season is empty.".to_owned()];
        }
        let mut done = format!(
            "From {}, the log holds {} at {}",
            period(settings.starts, settings.ends),
            plural(pulls, "pull"),
            plural(season.ground.sites.len(), "site"),
        );
        if let Some(hours) = self.known("effort.person-hours") {
            done.push_str(&format!(": {hours} on the water"));
            if let Some(volunteers) = self.known("effort.volunteer-hours") {
                done.push_str(&format!(", of which volunteers gave {volunteers}"));
            }
        }
        all.push(sentence(&done));
        let came: Vec<String> = [
            self.known("removal.wet-mass")
                .map(|text| format!("{text} of wet plants")),
            self.known("removal.plants")
                .map(|text| format!("{text} plants")),
        ]
        .into_iter()
        .flatten()
        .collect();
        match came.as_slice() {
            [] => {
                let reason = self
                    .input
                    .ledger
                    .get("removal.wet-mass")
                    .and_then(Figure::refusal);
                if let Some(reason) = reason {
                    all.push(sentence(&format!(
                        "How much came out is not known: {}",
                        crate::report::number::sentence_inside(&reason.say(self.style.language))
                    )));
                }
            }
            [one] => all.push(format!("What came out: {one}.")),
            both => all.push(format!("What came out: {}.", both.join(", or "))),
        }
        if let Some(change) = self.known("cover.change") {
            all.push(format!(
                "In plots that were looked at before and after, cover changed by {change}."
            ));
        }
        if let Some(trend) = self.known("trend.rate") {
            all.push(format!(
                "Beside earlier seasons that can be compared, what a person-hour removed changed by {trend} from season to season."
            ));
        }
        all.extend(self.promises());
        all
    }

    fn promises(&self) -> Option<String> {
        let promises = &self.input.ledger.deliverables;
        if promises.is_empty() {
            return None;
        }
        let parts: Vec<String> = [
            Standing::Met,
            Standing::Missed,
            Standing::Uncertain,
            Standing::Unknown,
        ]
        .into_iter()
        .filter_map(|standing| {
            let count = promises
                .iter()
                .filter(|one| one.standing == standing)
                .count();
            (count > 0).then(|| format!("{} {}", digits::count(count), standing.word()))
        })
        .collect();
        Some(format!(
            "Of {} to funders, {}.",
            plural(promises.len(), "promise"),
            list(&parts)
        ))
    }

    fn methods(&self) -> Vec<String> {
        let season = self.input.season;
        let mut all = Vec::new();
        let weighed = season.weighings.len();
        if weighed > 0 {
            all.push(format!(
                "The log of weighings holds {}; what was not weighed follows from counts of containers of the same kind and stage.",
                plural(weighed, "container")
            ));
        }
        if !season.cover.is_empty() {
            all.push(format!(
                "The cover log holds {} of plots, by the classes named {}.",
                plural(season.cover.len(), "record"),
                season.settings.method.cover_classes
            ));
        }
        all
    }

    fn changes(&self) -> Vec<String> {
        self.input
            .ledger
            .deliverables
            .iter()
            .filter(|promise| promise.standing != Standing::Met)
            .map(|promise| {
                let reached = self.input.ledger.get(&promise.figure).map_or_else(
                    || "no figure answers it".to_owned(),
                    |figure| format!("reached {}", print(figure, self.style).text),
                );
                sentence(&format!(
                    "{}: {}; {reached}",
                    capital(promise.text.trim_end_matches('.')),
                    promise.standing.word()
                ))
            })
            .collect()
    }

    fn next(&self) -> Vec<String> {
        let mut all = Vec::new();
        let due: Vec<String> = self
            .due()
            .into_iter()
            .map(|(site, date)| format!("{site} by {}", day(date)))
            .collect();
        if !due.is_empty() {
            all.push(format!(
                "To be visited again, as the log says: {}.",
                list(&due)
            ));
        }
        let mut unweighed: Vec<String> = Vec::new();
        for figure in self.input.ledger.parts("stratum.mass-per-container") {
            if let Some(reason) = figure.refusal() {
                unweighed.push(sentence(&capital(&reason.say(self.style.language))));
            }
        }
        unweighed.dedup();
        all.extend(unweighed);
        if let Some(years) = self.known("outlook.follow-up-years") {
            all.push(format!(
                "By what season.toml supposes of the seeds in the mud, {years} of the same effort may be needed; a scenario, and no forecast."
            ));
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
