//! Findings for print: the accepted ones with their reasons, the open ones with what to do.

use serde_json::{Value, json};

use crate::finding::{self, Finding, Grade};
use crate::report::digits;
use crate::report::words::{day, plural, sentence};

/// So many open findings of a grade are printed; `check` lists all. Accepted ones are printed without a bound: each is a
/// decision that a reader may want to question.
const MOST: usize = 40;

/// In public only their number is told: messages and places name photos, receipts and people.
pub fn all(findings: &[Finding], public: bool) -> Value {
    let accepted: Vec<Value> = findings
        .iter()
        .filter_map(|finding| {
            let accepted = finding.accepted.as_ref()?;
            let by = match (&accepted.by, accepted.on) {
                (Some(by), Some(on)) => Some(format!("{by}, {}", day(on))),
                (Some(by), None) => Some(by.clone()),
                (None, Some(on)) => Some(day(on)),
                (None, None) => None,
            };
            Some(json!({
                "grade": finding.grade.word(),
                "grade-word": finding.grade.word(),
                "place": finding.place.to_string(),
                "message": sentence(&finding.message.to_string()),
                "reason": sentence(&accepted.reason),
                "by": by,
            }))
        })
        .collect();
    let open: Vec<Value> = [Grade::Error, Grade::Doubt]
        .into_iter()
        .flat_map(|grade| open(findings, grade))
        .collect();
    let remarks = findings
        .iter()
        .filter(|finding| finding.accepted.is_none() && finding.grade == Grade::Remark)
        .count();
    json!({
        "accepted": if public { Vec::new() } else { accepted },
        "open": if public { Vec::new() } else { open },
        "more": if public { None } else { more(findings) },
        "counts": public.then(|| counts(findings)),
        "draft": draft(findings),
        "remarks": (remarks > 0).then(|| plural(remarks, "remark")),
    })
}

/// How many there are, in a sentence.
fn counts(findings: &[Finding]) -> String {
    let accepted = findings
        .iter()
        .filter(|finding| finding.accepted.is_some())
        .count();
    let of = |grade| crate::finding::open(findings, grade);
    format!(
        "{} and {} stood open in the records when this report was made; {} let stand by a person, with a reason.",
        plural(of(Grade::Error), "error"),
        plural(of(Grade::Doubt), "doubt"),
        if accepted == 1 {
            "1\u{a0}finding was".to_owned()
        } else {
            format!("{} were", plural(accepted, "finding"))
        }
    )
}

fn open(findings: &[Finding], grade: Grade) -> impl Iterator<Item = Value> {
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
                number => format!(" {} more like it.", digits::count(number)),
            };
            Some(json!({
                "grade": finding.grade.word(),
                "grade-word": finding.grade.word(),
                "place": finding.place.to_string(),
                "message": format!("{}{like}", sentence(&finding.message.to_string())),
                "mend": sentence(&finding.mend.to_string()),
            }))
        })
}

/// What every page says while errors are open: figures may be wrong.
fn draft(findings: &[Finding]) -> Option<String> {
    let errors = finding::open(findings, Grade::Error);
    (errors > 0).then(|| {
        let verb = if errors == 1 { "is" } else { "are" };
        format!(
            "Draft: {} in the records {verb} open.",
            plural(errors, "error")
        )
    })
}

/// A sentence on what is not printed.
fn more(findings: &[Finding]) -> Option<String> {
    let over: usize = [Grade::Error, Grade::Doubt]
        .into_iter()
        .map(|grade| {
            let of_grade = findings.iter().filter(|finding| finding.grade == grade);
            let beyond = finding::grouped(of_grade).into_iter().skip(MOST);
            beyond.map(|group| group.len()).sum::<usize>()
        })
        .sum();
    (over > 0).then(|| {
        format!(
            "{} more of this kind: windrow check lists them all.",
            digits::count(over)
        )
    })
}
