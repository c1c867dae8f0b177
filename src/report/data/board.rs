//! What the two pages for the board hold: few things, each in bounds, so that they stay two pages whatever the season.

use serde_json::{Value, json};

use super::charts::drawing;
use crate::figure::{Figure, Ledger, Outturn, Standing};
use crate::finding::Grade;
use crate::report::chart;
use crate::report::counted;
use crate::report::digits;
use crate::report::input::{Input, PairGrade};
use crate::report::number::{Style, print};
use crate::report::words::{day, list, plural, sentence};

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
        "done": done(input, style),
        "worked": worked(input, style),
        "deliverables": deliverables(input, style),
        "standing": standing(input.ledger),
        "chart": the_chart(input, style),
        "pair": pair(input),
        "sure": sure(input, style),
        "asks": asks(input),
        "returns": returns(input),
        "cautions": cautions(input),
    })
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
fn done(input: &Input<'_>, style: &Style) -> String {
    let with_unit = |name: &str| known(input, name).map(|figure| print(figure, style).with_unit());
    let pulls = counted::pulls(input.season, input.ledger).len();
    let sites = input
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
    if pulls == 0 {
        return "The pull log of this season is empty.".to_owned();
    }
    let mut text = format!("{} were made", plural(pulls, "pull"));
    if pulls == 1 {
        text = format!("{} was made", plural(pulls, "pull"));
    }
    if sites > 0 {
        text.push_str(&format!(" at {}", plural(sites, "site")));
    }
    if let Some(hours) = with_unit("effort.person-hours") {
        text.push_str(&format!(", with {hours} of work on the water"));
        if let Some(volunteers) = with_unit("effort.volunteer-hours") {
            text.push_str(&format!(", {volunteers} of them given by volunteers"));
        }
    }
    text.push('.');
    if let Some(area) = with_unit("area.treated") {
        text.push_str(&format!(" {area} were treated"));
        if let Some(searched) = with_unit("area.searched") {
            text.push_str(&format!(" and {searched} searched"));
        }
        text.push('.');
    }
    text
}

/// Whether it worked, as far as the records can tell: change of cover, and removal over the seasons.
fn worked(input: &Input<'_>, style: &Style) -> Vec<String> {
    let mut said = Vec::new();
    if let Some(change) = known(input, "cover.change") {
        said.push(format!(
            "In the plots that were looked at before and after, cover changed by {}.",
            print(change, style).text
        ));
    }
    if let Some(trend) = known(input, "trend.rate") {
        said.push(format!(
            "Removal per person-hour changed from season to season by {}.",
            print(trend, style).text
        ));
    }
    if said.is_empty() {
        said.push(
            "No plot was looked at both before and after, and no row of seasons can be compared: whether it worked can't be told \
             from these records."
                .to_owned(),
        );
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
                "standing-word": one.standing.word(),
                "colour": chart::target::colour(one.standing).name,
            })
        })
        .collect();
    json!({
        "rows": rows,
        "more": (more > 0).then(|| format!(
            "Those that were not met come first; {} more {} in the funder edition.",
            digits::count(more),
            if more == 1 { "stands" } else { "stand" }
        )),
    })
}

/// `4 of 6 met, 1 uncertain, 1 missed`.
fn standing(ledger: &Ledger) -> Option<String> {
    let all = &ledger.deliverables;
    if all.is_empty() {
        return None;
    }
    let of = |standing: Standing| all.iter().filter(|one| one.standing == standing).count();
    let mut parts = vec![format!(
        "{} of {} met",
        digits::count(of(Standing::Met)),
        digits::count(all.len())
    )];
    for standing in [Standing::Uncertain, Standing::Missed, Standing::Unknown] {
        if of(standing) > 0 {
            parts.push(format!(
                "{} {}",
                digits::count(of(standing)),
                standing.word()
            ));
        }
    }
    Some(list(&parts))
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
            "what": "Cover before and after",
            "note": "Share of the plots' surface under leaves: rings before, dots after; the lines are intervals.",
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
                "note": "By season; the lines are intervals. Removal per hour is not abundance.",
            });
        }
    }
    let pulls = counted::pulls(input.season, input.ledger);
    match chart::effort::draw(input.season, &pulls, "") {
        Some(effort) => json!({
            "drawing": drawing(&effort),
            "what": "Effort",
            "note": "Person-hours on the water by week.",
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
fn sure(input: &Input<'_>, style: &Style) -> Vec<String> {
    let mut said = Vec::new();
    let text = |name: &str| {
        known(input, name)
            .filter(|figure| figure.value().is_some_and(|value| value != 0.0))
            .map(|figure| print(figure, style))
    };
    match (text("removal.wet-mass-weighed"), text("removal.wet-mass-converted")) {
        (Some(weighed), Some(converted)) => said.push(format!(
            "Of the wet mass, {} were weighed; {} follow from counts of containers and from {}, and carry the interval.",
            weighed.with_unit(),
            converted.with_unit(),
            plural(input.season.weighings.len(), "weighing")
        )),
        (None, Some(converted)) => said.push(format!(
            "All of the wet mass, {}, follows from counts of containers and from {}.",
            converted.with_unit(),
            plural(input.season.weighings.len(), "weighing")
        )),
        (Some(_), None) => said.push("All of the wet mass was weighed.".to_owned()),
        (None, None) => {}
    }
    if let Some(guessed) = text("removal.wet-mass-guessed") {
        said.push(format!(
            "{} were guessed by eye and are in no total.",
            guessed.with_unit()
        ));
    }
    if let Some(share) = text("evidence.effort-share") {
        said.push(format!(
            "{} of the person-hours are borne out by a photo, a weighing or a track.",
            share.with_unit()
        ));
    }
    let open = |grade| crate::finding::open(input.findings, grade);
    let (errors, doubts) = (open(Grade::Error), open(Grade::Doubt));
    let accepted = input
        .findings
        .iter()
        .filter(|finding| finding.accepted.is_some())
        .count();
    let mut questions = Vec::new();
    for (count, word) in [(errors, "error"), (doubts, "doubt")] {
        if count > 0 {
            questions.push(plural(count, word));
        }
    }
    said.push(if questions.is_empty() {
        "No error and no doubt stood open in the records.".to_owned()
    } else {
        format!(
            "{} in the records stood open when this was made; the funder edition names each.",
            list(&questions)
        )
    });
    if accepted > 0 {
        said.push(format!(
            "{} let stand by a person, with a reason.",
            if accepted == 1 {
                "1\u{a0}finding was".to_owned()
            } else {
                format!("{} were", plural(accepted, "finding"))
            }
        ));
    }
    said
}

/// What the records ask the board to decide: from promises that were not surely met and from money.
fn asks(input: &Input<'_>) -> Vec<String> {
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
        asks.push(format!(
            "What to tell the funder of {} that {} missed, and whether next season's targets should stay.",
            plural(missed, "target"),
            if missed == 1 { "was" } else { "were" }
        ));
    }
    let uncertain = of(Standing::Uncertain) + of(Standing::Unknown);
    if uncertain > 0 {
        asks.push(format!(
            "Whether more weighings or surveys are worth their hours: {} can't be judged with certainty.",
            plural(uncertain, "target")
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
        asks.push(format!(
            "How to cover what went beyond the budget: {}.",
            list(&lines)
        ));
    }
    if crate::finding::open(input.findings, Grade::Error) > 0 {
        asks.push("Who mends the open errors before this goes to a funder.".to_owned());
    }
    asks
}

/// Sites whose last pull says that there is more to do, with the day to be back.
fn returns(input: &Input<'_>) -> Option<String> {
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
    let mut names: Vec<String> = open
        .into_iter()
        .take(RETURNS)
        .map(|(by, name)| match by {
            Some(by) => format!("{} (by {})", cut(name, 40), day(by)),
            None => cut(name, 40),
        })
        .collect();
    if more > 0 {
        names.push(plural(more, "other site"));
    }
    Some(sentence(&format!(
        "By the log, work was left unfinished at {}",
        list(&names)
    )))
}

/// One line of what to bear in mind.
fn cautions(input: &Input<'_>) -> String {
    let mut words = vec![
        "A cleared surface is not a cleared site: seed in the mud can sprout for years.".to_owned(),
    ];
    if known(input, "rate.mass-per-hour").is_some() {
        words.push("Removal per hour is not abundance.".to_owned());
    }
    let incidents = input
        .season
        .pulls
        .iter()
        .flat_map(|pull| &pull.rows)
        .filter(|row| row.incident.is_some())
        .count();
    if incidents > 0 {
        words.push(format!(
            "The log tells of {}.",
            plural(incidents, "incident")
        ));
    }
    words.join(" ")
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
