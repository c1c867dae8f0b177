//! Findings for print: the accepted ones with their reasons, the open ones with what to do.

use serde_json::{Value, json};

use crate::finding::{self, Finding, Grade};
use crate::report::number::Style;
use crate::report::words::{
    doubts, errors, findings as so_many_findings, remarks as so_many_remarks, sentence,
};
use crate::words;
use crate::words::{Words, day};

/// So many open findings of a grade are printed; `check` lists all. Accepted ones are printed without a bound: each is a
/// decision that a reader may want to question.
const MOST: usize = 40;

/// In public only their number is told: messages and places name photos, receipts and people.
pub fn all(findings: &[Finding], public: bool, style: &Style) -> Value {
    let accepted: Vec<Value> = findings
        .iter()
        .filter_map(|finding| {
            let accepted = finding.accepted.as_ref()?;
            let by = match (&accepted.by, accepted.on) {
                (Some(by), Some(on)) => Some(format!("{by}, {}", day(on, style.language))),
                (Some(by), None) => Some(by.clone()),
                (None, Some(on)) => Some(day(on, style.language)),
                (None, None) => None,
            };
            Some(json!({
                "grade": finding.grade.word(),
                "grade-word": style.language.of(finding.grade.word()),
                "place": finding.place.to_string(),
                "message": sentence(&finding.message.say(style.language)),
                "reason": sentence(&accepted.reason),
                "by": by,
            }))
        })
        .collect();
    let open: Vec<Value> = [Grade::Error, Grade::Doubt]
        .into_iter()
        .flat_map(|grade| open(findings, grade, style))
        .collect();
    let remarks = finding::open(findings, Grade::Remark);
    json!({
        "accepted": if public { Vec::new() } else { accepted },
        "open": if public { Vec::new() } else { open },
        "more": if public { None } else { more(findings).map(|words| style.say(words)) },
        "counts": public.then(|| style.say(counts(findings))),
        "draft": draft(findings).map(|words| style.say(words)),
        "remarks": (remarks > 0).then(|| style.say(so_many_remarks(remarks))),
    })
}

/// How many there are, in a sentence.
fn counts(findings: &[Finding]) -> Words {
    let accepted = findings
        .iter()
        .filter(|finding| finding.accepted.is_some())
        .count();
    let of = |grade| crate::finding::open(findings, grade);
    words!(
        "{errors} and {doubts} stood open in the records when this report was made; {findings} {accepted:was|were} let stand by a person, with a reason.",
        errors = errors(of(Grade::Error)),
        doubts = doubts(of(Grade::Doubt)),
        findings = so_many_findings(accepted),
        accepted
    )
}

fn open(findings: &[Finding], grade: Grade, style: &Style) -> impl Iterator<Item = Value> {
    let of_grade = findings
        .iter()
        .filter(move |finding| finding.grade == grade);
    finding::grouped(of_grade)
        .into_iter()
        .take(MOST)
        .filter_map(|group| {
            let finding = group.first()?;
            let like = match finding::counted(&group) - 1 {
                0 => String::new(),
                number => format!(" {}", style.say(words!("{number} more like it.", number))),
            };
            Some(json!({
                "grade": finding.grade.word(),
                "grade-word": style.language.of(finding.grade.word()),
                "place": finding.place.to_string(),
                "message": format!("{}{like}", sentence(&finding.message.say(style.language))),
                "mend": sentence(&finding.mend.say(style.language)),
            }))
        })
}

/// What every page says while errors are open: figures may be wrong.
fn draft(findings: &[Finding]) -> Option<Words> {
    let count = finding::open(findings, Grade::Error);
    (count > 0).then(|| {
        words!(
            "Draft: {errors} in the records {count:is|are} open.",
            errors = errors(count),
            count
        )
    })
}

/// A sentence on what is not printed.
fn more(findings: &[Finding]) -> Option<Words> {
    let over: usize = [Grade::Error, Grade::Doubt]
        .into_iter()
        .map(|grade| {
            let of_grade = findings.iter().filter(|finding| finding.grade == grade);
            let beyond = finding::grouped(of_grade).into_iter().skip(MOST);
            beyond.map(|group| finding::counted(&group)).sum::<usize>()
        })
        .sum();
    (over > 0).then(|| {
        words!(
            "{over} more of this kind: windrow check lists them all.",
            over
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::place::Place;

    fn style() -> Style {
        Style::of(
            &crate::season::read_settings(
                "programme = \"Test\"\nyear = 2025\ntime_zone = \"Etc/UTC\"\n",
            )
            .unwrap(),
        )
    }

    #[test]
    fn what_groups_tell_is_printed_as_the_whole_list_is() {
        let style = style();
        let finding = |name: &'static str, grade, row: u32| Finding {
            name,
            grade,
            place: Place::line("pulls.csv", row),
            also: Vec::new(),
            message: words!("Row {row} is odd", row = row as usize),
            why: Words::default(),
            mend: words!("Look at it"),
            quote: None,
            stake: None,
            alike: 0,
            accepted: None,
        };
        let mut whole: Vec<Finding> = (1..=90)
            .map(|row| finding("many", Grade::Doubt, row))
            .collect();
        whole.extend((1..=3).map(|row| finding("few", Grade::Doubt, row)));
        whole.extend((1..=50).map(|row| finding("slips", Grade::Remark, row)));
        let names: Vec<String> = (0..45).map(|number| format!("rule-{number}")).collect();
        // One of each rule: more than are printed.
        for name in names {
            whole.extend((1..=5).map(|row| finding(name.clone().leak(), Grade::Error, row)));
        }
        whole[4].accepted = Some(Box::new(crate::finding::Acceptance {
            reason: "seen".into(),
            by: None,
            on: None,
        }));
        finding::sort(&mut whole);
        let mut told = whole.clone();
        finding::keep_what_groups_tell(&mut told);
        assert_eq!(told.len(), 1 + 1 + 3 + 1 + 45);
        for public in [true, false] {
            assert_eq!(all(&told, public, &style), all(&whole, public, &style));
        }
        for grade in Grade::ALL {
            assert_eq!(finding::open(&told, grade), finding::open(&whole, grade));
        }
    }
}
