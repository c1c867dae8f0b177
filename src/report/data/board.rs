//! What the two pages for the board hold: few things, each in bounds, so that they stay two pages whatever the season.

use serde_json::{Value, json};

use super::charts::drawing;
use crate::figure::{Figure, Ledger, Outturn, Standing};
use crate::finding::Grade;
use crate::report::chart;
use crate::report::counted;
use crate::report::input::{Input, PairGrade};
use crate::report::number::{Style, print};
use crate::report::words::{
    doubts, errors, findings, incidents, other_sites, pulls, sentence, sites, so_many, targets,
    weighings,
};
use crate::words;
use crate::words::Words;

/// Figures told large, by the order of their weight; the first four that are known.
const KEY: [&str; 7] = [
    "removal.wet-mass",
    "effort.person-hours",
    "cover.change",
    "removal.plants",
    "rate.mass-per-hour",
    "area.treated",
    "effort.pulls",
];

/// So many deliverables have room; the ones that were not met come first.
const DELIVERABLES: usize = 5;
/// So many sites to return to are named.
const RETURNS: usize = 4;
/// Longest text of a deliverable or a name, in letters: two lines of its column.
const LONGEST: usize = 90;

/// Everything of the two pages.
pub fn all(input: &Input<'_>, style: &Style) -> Value {
    json!({
        "key": key(input.ledger),
        "done": said(done(input, style), style).join(" "),
        "worked": said(worked(input, style), style),
        "deliverables": deliverables(input, style),
        "standing": standing(input.ledger).map(|words| style.say(words)),
        "chart": the_chart(input, style),
        "pair": pair(input),
        "sure": said(sure(input, style), style),
        "asks": said(asks(input), style),
        "returns": returns(input).map(|words| sentence(&style.say(words))),
        "cautions": cautions(input, style),
    })
}

fn said(all: Vec<Words>, style: &Style) -> Vec<String> {
    all.into_iter().map(|words| style.say(words)).collect()
}

fn key(ledger: &Ledger) -> Vec<&'static str> {
    KEY.into_iter()
        .filter(|name| {
            ledger
                .get(name)
                .is_some_and(|figure| figure.refusal().is_none())
        })
        .take(4)
        .collect()
}

fn known<'a>(input: &Input<'a>, name: &str) -> Option<&'a Figure> {
    input
        .ledger
        .get(name)
        .filter(|figure| figure.refusal().is_none())
}

/// What was done, in two sentences.
fn done(input: &Input<'_>, style: &Style) -> Vec<Words> {
    let with_unit = |name: &str| known(input, name).map(|figure| print(figure, style).with_unit());
    let count = counted::pulls(input.season, input.ledger).len();
    if count == 0 {
        return vec![words!("The pull log of this season is empty.")];
    }
    let at = input
        .season
        .ground
        .sites
        .iter()
        .filter(|site| {
            known(input, &format!("effort.pulls/{}", site.id))
                .and_then(Figure::value)
                .is_some_and(|value| value > 0.0)
        })
        .count();
    let made = if at > 0 {
        words!(
            "{pulls} {count:was|were} made at {sites}",
            pulls = pulls(count),
            count,
            sites = sites(at)
        )
    } else {
        words!("{pulls} {count:was|were} made", pulls = pulls(count), count)
    };
    let hours = with_unit("effort.person-hours");
    let volunteers = with_unit("effort.volunteer-hours");
    let mut all = vec![match (hours, volunteers) {
        (Some(hours), Some(volunteers)) => words!(
            "{made}, with {hours} of work on the water, {volunteers} of them given by volunteers.",
            made,
            hours,
            volunteers
        ),
        (Some(hours), None) => words!("{made}, with {hours} of work on the water.", made, hours),
        (None, _) => made.then("", "."),
    }];
    if let Some(area) = with_unit("area.treated") {
        all.push(match with_unit("area.searched") {
            Some(searched) => words!(
                "{area} were treated and {searched} searched.",
                area,
                searched
            ),
            None => words!("{area} were treated.", area),
        });
    }
    all
}

/// Whether it worked, as far as the records can tell: change of cover, and removal over the seasons.
fn worked(input: &Input<'_>, style: &Style) -> Vec<Words> {
    let mut said = Vec::new();
    if let Some(change) = known(input, "cover.change") {
        said.push(words!(
            "In the plots that were looked at before and after, cover changed by {change}.",
            change = print(change, style).text
        ));
    }
    if let Some(trend) = known(input, "trend.rate") {
        said.push(words!(
            "Removal per person-hour changed from season to season by {change}.",
            change = print(trend, style).text
        ));
    }
    if said.is_empty() {
        said.push(words!(
            "No plot was looked at both before and after, and no row of seasons can be compared: whether it worked can't be told \
             from these records."
        ));
    }
    said
}

/// A text cut after a word so that it has no more than so many letters.
fn cut(text: &str, longest: usize) -> String {
    if text.chars().count() <= longest {
        return text.to_owned();
    }
    let short: String = text.chars().take(longest).collect();
    let words = short
        .rsplit_once(' ')
        .map_or(short.as_str(), |(words, _)| words);
    format!("{}…", words.trim_end_matches([',', ';', ':', ' ']))
}

fn weight(standing: Standing) -> u8 {
    match standing {
        Standing::Missed => 0,
        Standing::Uncertain => 1,
        Standing::Unknown => 2,
        Standing::Met => 3,
    }
}

fn deliverables(input: &Input<'_>, style: &Style) -> Value {
    let mut all: Vec<_> = input.ledger.deliverables.iter().collect();
    all.sort_by_key(|one| weight(one.standing));
    let more = all.len().saturating_sub(DELIVERABLES);
    let rows: Vec<Value> = all
        .into_iter()
        .take(DELIVERABLES)
        .map(|one| {
            let figure = input.ledger.get(&one.figure);
            let printed = figure.map(|figure| print(figure, style));
            json!({
                "text": cut(&one.text, LONGEST),
                "value": printed.as_ref().filter(|it| it.refusal.is_none()).map(|it| it.with_unit()),
                "interval": printed.and_then(|it| it.interval),
                "standing": one.standing.word(),
                "standing-word": style.language.of(one.standing.word()),
                "colour": chart::target::colour(one.standing).name,
            })
        })
        .collect();
    json!({
        "rows": rows,
        "more": (more > 0).then(|| style.say(words!(
            "Those that were not met come first; {more} more {more:stands|stand} in the funder edition.",
            more
        ))),
    })
}

/// `4 of 6 met, 1 uncertain, 1 missed`.
fn standing(ledger: &Ledger) -> Option<Words> {
    let all = &ledger.deliverables;
    if all.is_empty() {
        return None;
    }
    let of = |standing: Standing| all.iter().filter(|one| one.standing == standing).count();
    let mut parts = vec![words!(
        "{met} of {all} met",
        met = of(Standing::Met),
        all = all.len()
    )];
    for standing in [Standing::Uncertain, Standing::Missed, Standing::Unknown] {
        if of(standing) > 0 {
            parts.push(so_many(of(standing), standing));
        }
    }
    Some(words!("{parts}", parts))
}

/// The one chart, the first of those that the records can carry: change of cover, removal over the seasons, effort.
fn the_chart(input: &Input<'_>, style: &Style) -> Value {
    /// Points: a chart that is higher leaves no room for the rest.
    const HIGHEST: f64 = 175.0;
    let cover = super::charts::cover(input, style);
    let low = |drawing: &Value| {
        drawing["height"]
            .as_f64()
            .is_some_and(|high| high <= HIGHEST)
    };
    if let Some([one]) = cover.as_array().map(Vec::as_slice)
        && low(one)
    {
        return json!({
            "drawing": one,
            "what": style.say(words!("Cover before and after")),
            "note": style.say(words!("Share of the plots' surface under leaves: rings before, dots after; the lines are intervals.")),
        });
    }
    for season in super::charts::seasons(input, style)
        .as_array()
        .into_iter()
        .flatten()
    {
        if low(&season["drawing"]) {
            return json!({
                "drawing": season["drawing"],
                "what": season["what"],
                "note": style.say(words!("By season; the lines are intervals. Removal per hour is not abundance.")),
            });
        }
    }
    let pulls = counted::pulls(input.season, input.ledger);
    match chart::effort::draw(input.season, &pulls, None, style) {
        Some(effort) => json!({
            "drawing": drawing(&effort),
            "what": style.say(words!("Effort")),
            "note": style.say(words!("Person-hours on the water by week.")),
        }),
        None => Value::Null,
    }
}

/// Number of the pair that shows most, among the plates.
fn pair(input: &Input<'_>) -> Option<usize> {
    let pairs = &input.plates.pairs;
    [PairGrade::Matched, PairGrade::Partial]
        .into_iter()
        .find_map(|grade| pairs.iter().position(|pair| pair.grade == grade))
}

/// How sure the figures are: at most five sentences.
fn sure(input: &Input<'_>, style: &Style) -> Vec<Words> {
    let mut said = Vec::new();
    let text = |name: &str| {
        known(input, name)
            .filter(|figure| figure.value().is_some_and(|value| value != 0.0))
            .map(|figure| print(figure, style))
    };
    let weighed_out = weighings(input.season.weighings.len());
    match (
        text("removal.wet-mass-weighed"),
        text("removal.wet-mass-converted"),
    ) {
        (Some(weighed), Some(converted)) => said.push(words!(
            "Of the wet mass, {weighed} were weighed; {converted} follow from counts of containers and from {weighings}, and carry the interval.",
            weighed = weighed.with_unit(),
            converted = converted.with_unit(),
            weighings = weighed_out
        )),
        (None, Some(converted)) => said.push(words!(
            "All of the wet mass, {converted}, follows from counts of containers and from {weighings}.",
            converted = converted.with_unit(),
            weighings = weighed_out
        )),
        (Some(_), None) => said.push(words!("All of the wet mass was weighed.")),
        (None, None) => {}
    }
    if let Some(guessed) = text("removal.wet-mass-guessed") {
        said.push(words!(
            "{mass} were guessed by eye and are in no total.",
            mass = guessed.with_unit()
        ));
    }
    if let Some(share) = text("evidence.effort-share") {
        said.push(words!(
            "{share} of the person-hours are borne out by a photo, a weighing or a track.",
            share = share.with_unit()
        ));
    }
    let open = |grade| crate::finding::open(input.findings, grade);
    let mut questions = Vec::new();
    if open(Grade::Error) > 0 {
        questions.push(errors(open(Grade::Error)));
    }
    if open(Grade::Doubt) > 0 {
        questions.push(doubts(open(Grade::Doubt)));
    }
    said.push(if questions.is_empty() {
        words!("No error and no doubt stood open in the records.")
    } else {
        words!(
            "{questions} in the records stood open when this was made; the funder edition names each.",
            questions
        )
    });
    let accepted = input
        .findings
        .iter()
        .filter(|finding| finding.accepted.is_some())
        .count();
    if accepted > 0 {
        said.push(words!(
            "{findings} {accepted:was|were} let stand by a person, with a reason.",
            findings = findings(accepted),
            accepted
        ));
    }
    said
}

/// What the records ask the board to decide: from promises that were not surely met and from money.
fn asks(input: &Input<'_>) -> Vec<Words> {
    let mut asks = Vec::new();
    let of = |standing: Standing| {
        input
            .ledger
            .deliverables
            .iter()
            .filter(move |one| one.standing == standing)
            .count()
    };
    let missed = of(Standing::Missed);
    if missed > 0 {
        asks.push(words!(
            "What to tell the funder of {targets} that {missed:was|were} missed, and whether next season's targets should stay.",
            targets = targets(missed),
            missed
        ));
    }
    let uncertain = of(Standing::Uncertain) + of(Standing::Unknown);
    if uncertain > 0 {
        asks.push(words!(
            "Whether more weighings or surveys are worth their hours: {targets} can't be judged with certainty.",
            targets = targets(uncertain)
        ));
    }
    let overspent: Vec<&str> = input
        .season
        .settings
        .grants
        .iter()
        .flat_map(|grant| grant.budget.iter().map(move |line| (grant, line)))
        .filter(|(grant, line)| {
            let name = format!(
                "budget.line-left/{}/{}",
                grant.id,
                crate::figure::line_name(&line.line)
            );
            matches!(
                input.ledger.get(&name).map(|figure| &figure.outturn),
                Some(Outturn::Amount(left)) if left.is_sign_negative() && !left.is_zero()
            )
        })
        .map(|(_, line)| line.line.as_str())
        .collect();
    if !overspent.is_empty() {
        let lines: Vec<String> = overspent.iter().take(3).map(|line| cut(line, 40)).collect();
        asks.push(words!(
            "How to cover what went beyond the budget: {lines}.",
            lines
        ));
    }
    if crate::finding::open(input.findings, Grade::Error) > 0 {
        asks.push(words!(
            "Who mends the open errors before this goes to a funder."
        ));
    }
    asks
}

/// Sites whose last pull says that there is more to do, with the day to be back.
fn returns(input: &Input<'_>) -> Option<Words> {
    let mut latest = std::collections::BTreeMap::new();
    for pull in counted::pulls(input.season, input.ledger) {
        let Some(site) = input.season.site_of(pull) else {
            continue;
        };
        let newer = latest
            .get(site.id.as_str())
            .is_none_or(|(date, _, _)| *date <= pull.date());
        if newer {
            latest.insert(site.id.as_str(), (pull.date(), pull, site));
        }
    }
    let mut open: Vec<_> = latest
        .into_values()
        .filter(|(_, pull, _)| pull.rows.iter().any(|row| row.finished == Some(false)))
        .map(|(_, pull, site)| (pull.rows.iter().find_map(|row| row.return_by), &site.name))
        .collect();
    open.sort();
    if open.is_empty() {
        return None;
    }
    let more = open.len().saturating_sub(RETURNS);
    let mut names: Vec<Words> = open
        .into_iter()
        .take(RETURNS)
        .map(|(by, name)| match by {
            Some(day) => words!("{site} (by {day})", site = cut(name, 40), day),
            None => Words::own(cut(name, 40)),
        })
        .collect();
    if more > 0 {
        names.push(other_sites(more));
    }
    Some(words!(
        "By the log, work was left unfinished at {sites}",
        sites = names
    ))
}

/// One line of what to bear in mind.
fn cautions(input: &Input<'_>, style: &Style) -> String {
    let mut all = vec![words!(
        "A cleared surface is not a cleared site: seed in the mud can sprout for years."
    )];
    if known(input, "rate.mass-per-hour").is_some() {
        all.push(words!("Removal per hour is not abundance."));
    }
    let count = input
        .season
        .pulls
        .iter()
        .flat_map(|pull| &pull.rows)
        .filter(|row| row.incident.is_some())
        .count();
    if count > 0 {
        all.push(words!(
            "The log tells of {incidents}.",
            incidents = incidents(count)
        ));
    }
    style.say(Words::joined(all, " "))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_text_is_cut_behind_a_word() {
        assert_eq!(cut("At least 450 hours", 30), "At least 450 hours");
        assert_eq!(
            cut("At least 450 hours, all crews", 21),
            "At least 450 hours…"
        );
        assert_eq!(cut("水水水水水", 3), "水水水…");
    }
}
