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
    let remarks = findings
        .iter()
        .filter(|finding| finding.accepted.is_none() && finding.grade == Grade::Remark)
        .count();
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
            let (finding, others) = group.split_first()?;
            let like = match others.len() {
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
            beyond.map(|group| group.len()).sum::<usize>()
        })
        .sum();
    (over > 0).then(|| {
        words!(
            "{over} more of this kind: windrow check lists them all.",
            over
        )
    })
}
