//! What these figures can't say: written from the season's own gaps, and from what such figures never say.

use serde_json::{Value, json};

use crate::figure::Figure;
use crate::finding::{Finding, Grade};
use crate::report::counted;
use crate::report::input::{Input, PairGrade};
use crate::report::number::{Printed, Style, print};
use crate::report::words::{doubts, errors, pairs, pulls, records, weighings};
use crate::words;
use crate::words::Words;

struct Limits<'a> {
    all: Vec<Value>,
    style: &'a Style,
}

impl Limits<'_> {
    fn say(&mut self, title: Words, text: Words) {
        self.all
            .push(json!({"title": self.style.say(title), "text": self.style.say(text)}));
    }
}

/// Title and text of each limit that this season has.
pub fn all(input: &Input<'_>, style: &Style) -> Value {
    let mut limits = Limits {
        all: Vec::new(),
        style,
    };
    mass(input, style, &mut limits);
    hours(input, &mut limits);
    rate(input, &mut limits);
    zeros(input, &mut limits);
    cover(input, style, &mut limits);
    pictures(input, &mut limits);
    seasons(input, &mut limits);
    limits.say(
        words!("A cleared surface is not a cleared site"),
        words!(
            "Seed in the mud can sprout for years after the last plant is pulled. What was removed this season says little of what \
             will rise in the next. Seeds prevented are not counted here: no record holds them."
        ),
    );
    limits.say(
        words!("Pulling and change"),
        words!(
            "These records hold no site that was left alone for comparison. Weather, water level and grazing change a bed too, so a \
             change is described here and not credited to pulling alone."
        ),
    );
    open_questions(input.findings, &mut limits);
    json!(limits.all)
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

fn mass(input: &Input<'_>, style: &Style, limits: &mut Limits<'_>) {
    if let Some(converted) = some(input, "removal.wet-mass-converted", style) {
        limits.say(
            words!("Converted is not weighed"),
            words!(
                "{mass} of the wet mass was not put on a scale. It follows from counts of containers and from {weighings} of this \
                 season, and holds as far as the weighed containers are like the others.",
                mass = converted.text,
                weighings = weighings(input.season.weighings.len())
            ),
        );
    }
    if let Some(guessed) = some(input, "removal.wet-mass-guessed", style) {
        limits.say(
            words!("Guessed is not measured"),
            words!(
                "{mass} of wet mass was guessed by eye. It stands apart and is in no total.",
                mass = guessed.with_unit()
            ),
        );
    }
    if let Some(guessed) = some(input, "removal.plants-guessed", style) {
        limits.say(
            words!("Guessed plants"),
            words!(
                "{plants} plants were guessed by eye. They stand apart and are in no total.",
                plants = guessed.with_unit()
            ),
        );
    }
    if let Some(mass) = figure(input, "removal.wet-mass") {
        let reasons = reasons(mass, style);
        if !reasons.is_empty() {
            limits.say(
                words!("Mass that could not be reckoned"),
                words!(
                    "{records} could not be turned into mass, so that the total is a lower one: {reasons}.",
                    records = records(mass.left_out.len()),
                    reasons = reasons.join("; ")
                ),
            );
        }
    }
}

/// The different reasons for leaving records out.
fn reasons(figure: &Figure, style: &Style) -> Vec<String> {
    let mut reasons: Vec<String> = Vec::new();
    for out in figure.left_out.by_reason() {
        let reason = style.say(&out.why.reason);
        if !reasons.contains(&reason) {
            reasons.push(reason);
        }
    }
    reasons
}

fn hours(input: &Input<'_>, limits: &mut Limits<'_>) {
    let all = counted::pulls(input.season, input.ledger);
    let missing = all
        .iter()
        .filter(|pull| pull.person_hours().is_none())
        .count();
    if missing > 0 {
        limits.say(
            words!("Hours that nobody logged"),
            words!(
                "Of {pulls}, {missing} {missing:carries|carry} no hours. Effort is at least what stands here, and a rate leaves these pulls out.",
                pulls = pulls(all.len()),
                missing
            ),
        );
    }
}

fn rate(input: &Input<'_>, limits: &mut Limits<'_>) {
    let known = |name: &str| figure(input, name).is_some_and(|figure| figure.value().is_some());
    if known("rate.mass-per-hour") || known("rate.plants-per-hour") {
        limits.say(
            words!("Removal per hour is not abundance"),
            words!(
                "It depends on who pulls, from which boat, how late in the season and how thick the bed is. Fewer plants grow \
                 larger, so mass per hour can stay level while plants become fewer."
            ),
        );
    }
    if known("area.searched") || known("area.treated") {
        limits.say(
            words!("Areas"),
            words!(
                "Searched, infested and treated areas are different things. Each site counts once, however often it was visited."
            ),
        );
    }
}

fn zeros(input: &Input<'_>, limits: &mut Limits<'_>) {
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
        limits.say(
            words!("None found is not none there"),
            words!(
                "{pulls} {count:was a search|were searches} that found no plant. That is the best sign a site can give, and it grows with \
                 the hours searched; it is no proof of absence.",
                pulls = pulls(none_found),
                count = none_found
            ),
        );
    }
}

fn cover(input: &Input<'_>, style: &Style, limits: &mut Limits<'_>) {
    if let Some(change) = figure(input, "cover.change").filter(|change| !change.left_out.is_empty())
    {
        limits.say(
            words!("Plots seen only once"),
            words!(
                "{records} of cover did not count towards the change: {reasons}.",
                records = records(change.left_out.len()),
                reasons = reasons(change, style).join("; ")
            ),
        );
    }
}

fn pictures(input: &Input<'_>, limits: &mut Limits<'_>) {
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
    let grades: Vec<Words> = [
        PairGrade::Matched,
        PairGrade::Partial,
        PairGrade::Illustrative,
    ]
    .into_iter()
    .filter(|grade| of(*grade) > 0)
    .map(|grade| {
        let count = of(grade);
        match grade {
            PairGrade::Matched => words!("{count} matched", count),
            PairGrade::Partial => words!("{count} partial", count),
            PairGrade::Illustrative => words!("{count} illustrative", count),
        }
    })
    .collect();
    limits.say(
        words!("Pictures show, they don't measure"),
        words!(
            "Of {pairs} of pictures, {grades}. Level, tide, wind and glare change a picture, and a mat that drifted off looks like \
             success. No cover is read from a picture.",
            pairs = pairs(input.plates.pairs.len()),
            grades
        ),
    );
}

fn seasons(input: &Input<'_>, limits: &mut Limits<'_>) {
    let mut apart: Vec<Words> = Vec::new();
    for row in input.season.history.iter().filter(|row| !row.comparable) {
        let year = row.year.map_or_else(
            || words!("a year not given"),
            |year| Words::own(year.to_string()),
        );
        let reason = row.reason.as_deref().map_or_else(
            || words!("no reason is given"),
            |reason| Words::own(reason.trim_end_matches('.')),
        );
        let text = words!("{year} ({reason})", year, reason);
        if !apart.contains(&text) {
            apart.push(text);
        }
    }
    if !apart.is_empty() {
        limits.say(
            words!("Seasons that can't be compared"),
            words!(
                "Left out of every comparison between seasons: {seasons}.",
                seasons = Words::joined(apart, "; ")
            ),
        );
    }
}

fn open_questions(findings: &[Finding], limits: &mut Limits<'_>) {
    let open = |grade: Grade| crate::finding::open(findings, grade);
    let mut questions = Vec::new();
    if open(Grade::Error) > 0 {
        questions.push(errors(open(Grade::Error)));
    }
    if open(Grade::Doubt) > 0 {
        questions.push(doubts(open(Grade::Doubt)));
    }
    if !questions.is_empty() {
        limits.say(
            words!("Open questions in the records"),
            words!(
                "{questions} about the records stood open when this report was made.",
                questions
            ),
        );
    }
}
