//! What these figures can't say: written from the season's own gaps, and from what such figures never say.

use serde_json::{Value, json};

use crate::figure::Figure;
use crate::finding::{Finding, Grade};
use crate::report::counted;
use crate::report::digits;
use crate::report::input::{Input, PairGrade};
use crate::report::number::{Printed, Style, print};
use crate::report::words::{bare_reason, list, plural, sentence};
use crate::words::Language;

struct Limits(Vec<Value>);

impl Limits {
    fn say(&mut self, title: &str, text: impl Into<String>) {
        let text: String = text.into();
        self.0.push(json!({"title": title, "text": text}));
    }
}

/// Title and text of each limit that this season has.
pub fn all(input: &Input<'_>, style: &Style) -> Value {
    let mut limits = Limits(Vec::new());
    mass(input, style, &mut limits);
    hours(input, &mut limits);
    rate(input, &mut limits);
    zeros(input, &mut limits);
    cover(input, style, &mut limits);
    pictures(input, &mut limits);
    seasons(input, &mut limits);
    limits.say(
        "A cleared surface is not a cleared site",
        "Seed in the mud can sprout for years after the last plant is pulled. What was removed this season says little of what \
         will rise in the next. Seeds prevented are not counted here: no record holds them.",
    );
    limits.say(
        "Pulling and change",
        "These records hold no site that was left alone for comparison. Weather, water level and grazing change a bed too, so a \
         change is described here and not credited to pulling alone.",
    );
    doubts(input.findings, &mut limits);
    json!(limits.0)
}

fn figure<'a>(input: &Input<'a>, name: &str) -> Option<&'a Figure> {
    input.ledger.get(name)
}

/// The figure in print, where it is known and not zero.
fn some(input: &Input<'_>, name: &str, style: &Style) -> Option<Printed> {
    let figure = figure(input, name)?;
    figure
        .value()
        .filter(|value| *value != 0.0)
        .map(|_| print(figure, style))
}

fn mass(input: &Input<'_>, style: &Style, limits: &mut Limits) {
    if let Some(converted) = some(input, "removal.wet-mass-converted", style) {
        limits.say(
            "Converted is not weighed",
            format!(
                "{} of the wet mass was not put on a scale. It follows from counts of containers and from {} of this \
                 season, and holds as far as the weighed containers are like the others.",
                converted.text,
                plural(input.season.weighings.len(), "weighing")
            ),
        );
    }
    if let Some(guessed) = some(input, "removal.wet-mass-guessed", style) {
        limits.say(
            "Guessed is not measured",
            format!(
                "{} of wet mass was guessed by eye. It stands apart and is in no total.",
                guessed.with_unit()
            ),
        );
    }
    if let Some(guessed) = some(input, "removal.plants-guessed", style) {
        limits.say(
            "Guessed plants",
            format!(
                "{} plants were guessed by eye. They stand apart and are in no total.",
                guessed.with_unit()
            ),
        );
    }
    if let Some(mass) = figure(input, "removal.wet-mass") {
        let reasons = reasons(mass, style.language);
        if !reasons.is_empty() {
            limits.say(
                "Mass that could not be reckoned",
                format!(
                    "{} could not be turned into mass, so that the total is a lower one: {}.",
                    plural(mass.left_out.len(), "record"),
                    reasons.join("; ")
                ),
            );
        }
    }
}

/// The different reasons for leaving records out.
fn reasons(figure: &Figure, language: Language) -> Vec<String> {
    let mut reasons: Vec<String> = Vec::new();
    for out in &figure.left_out {
        let reason = bare_reason(&out.reason.say(language)).to_owned();
        if !reasons.contains(&reason) {
            reasons.push(reason);
        }
    }
    reasons
}

fn hours(input: &Input<'_>, limits: &mut Limits) {
    let pulls = counted::pulls(input.season, input.ledger);
    let missing = pulls
        .iter()
        .filter(|pull| pull.person_hours().is_none())
        .count();
    if missing > 0 {
        limits.say(
            "Hours that nobody logged",
            format!(
                "Of {}, {} {} no hours. Effort is at least what stands here, and a rate leaves these pulls out.",
                plural(pulls.len(), "pull"),
                digits::count(missing),
                if missing == 1 { "carries" } else { "carry" }
            ),
        );
    }
}

fn rate(input: &Input<'_>, limits: &mut Limits) {
    let known = |name: &str| figure(input, name).is_some_and(|figure| figure.value().is_some());
    if known("rate.mass-per-hour") || known("rate.plants-per-hour") {
        limits.say(
            "Removal per hour is not abundance",
            "It depends on who pulls, from which boat, how late in the season and how thick the bed is. Fewer plants grow \
             larger, so mass per hour can stay level while plants become fewer.",
        );
    }
    if known("area.searched") || known("area.treated") {
        limits.say(
            "Areas",
            "Searched, infested and treated areas are different things. Each site counts once, however often it was visited.",
        );
    }
}

fn zeros(input: &Input<'_>, limits: &mut Limits) {
    let none_found = counted::pulls(input.season, input.ledger)
        .into_iter()
        .filter(|pull| {
            let counts: Vec<f64> = pull.rows.iter().filter_map(|row| row.containers).collect();
            !counts.is_empty()
                && counts.iter().all(|count| *count == 0.0)
                && pull.rows.iter().all(|row| {
                    row.mass.is_none_or(|mass| mass == 0.0)
                        && row.plants.is_none_or(|plants| plants == 0.0)
                })
        })
        .count();
    if none_found > 0 {
        let verb = if none_found == 1 {
            "was a search"
        } else {
            "were searches"
        };
        limits.say(
            "None found is not none there",
            format!(
                "{} {verb} that found no plant. That is the best sign a site can give, and it grows with the hours searched; it \
                 is no proof of absence.",
                plural(none_found, "pull")
            ),
        );
    }
}

fn cover(input: &Input<'_>, style: &Style, limits: &mut Limits) {
    if let Some(change) = figure(input, "cover.change").filter(|change| !change.left_out.is_empty())
    {
        limits.say(
            "Plots seen only once",
            format!(
                "{} of cover did not count towards the change: {}.",
                plural(change.left_out.len(), "record"),
                reasons(change, style.language).join("; ")
            ),
        );
    }
}

fn pictures(input: &Input<'_>, limits: &mut Limits) {
    if input.plates.pairs.is_empty() {
        return;
    }
    let of = |grade: PairGrade| {
        input
            .plates
            .pairs
            .iter()
            .filter(|pair| pair.grade == grade)
            .count()
    };
    let total = plural(input.plates.pairs.len(), "pair");
    let grades: Vec<String> = [
        PairGrade::Matched,
        PairGrade::Partial,
        PairGrade::Illustrative,
    ]
    .into_iter()
    .filter(|grade| of(*grade) > 0)
    .map(|grade| format!("{} {}", digits::count(of(grade)), grade.word()))
    .collect();
    limits.say(
        "Pictures show, they don't measure",
        format!(
            "Of {total} of pictures, {}. Level, tide, wind and glare change a picture, and a mat that drifted off looks like \
             success. No cover is read from a picture.",
            list(&grades)
        ),
    );
}

fn seasons(input: &Input<'_>, limits: &mut Limits) {
    let mut apart: Vec<String> = Vec::new();
    for row in input.season.history.iter().filter(|row| !row.comparable) {
        let year = row
            .year
            .map_or_else(|| "a year not given".to_owned(), |year| year.to_string());
        let reason = row.reason.as_deref().unwrap_or("no reason is given");
        let text = format!("{year} ({})", reason.trim_end_matches('.'));
        if !apart.contains(&text) {
            apart.push(text);
        }
    }
    if !apart.is_empty() {
        limits.say(
            "Seasons that can't be compared",
            format!(
                "Left out of every comparison between seasons: {}.",
                apart.join("; ")
            ),
        );
    }
}

fn doubts(findings: &[Finding], limits: &mut Limits) {
    let open = |grade: Grade| {
        findings
            .iter()
            .filter(|finding| finding.accepted.is_none() && finding.grade == grade)
            .count()
    };
    let (errors, doubts) = (open(Grade::Error), open(Grade::Doubt));
    if errors + doubts > 0 {
        let parts: Vec<String> = [(errors, "error"), (doubts, "doubt")]
            .into_iter()
            .filter(|(count, _)| *count > 0)
            .map(|(count, word)| plural(count, word))
            .collect();
        limits.say(
            "Open questions in the records",
            sentence(&format!(
                "{} about the records stood open when this report was made",
                list(&parts)
            )),
        );
    }
}
