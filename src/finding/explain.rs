//! A rule told in full: what it looks for, why it matters, where its limit comes from, and an example with its mend.
//!
//! One source serves the command line and docs/findings.md: the rule itself, its limit, and `examples.json`, which the suite writes from
//! the changes that trigger each rule, and holds equal to them.

use std::collections::BTreeMap;
use std::fmt::Write;

use serde::{Deserialize, Serialize};

use super::core::{Finding, Grade};
use super::limits::limit;
use super::rule::Rule;
use crate::words;
use crate::words::{Language, Words};

/// A finding as it came out of a folder with one fault.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Example {
    pub place: String,
    /// The row as the file has it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub row: Option<String>,
    pub message: String,
    pub mend: String,
}

impl From<&Finding> for Example {
    fn from(finding: &Finding) -> Self {
        Self {
            place: finding.place.to_string(),
            row: finding.quote.as_ref().map(|quote| quote.text.clone()),
            message: finding.message.to_string(),
            mend: finding.mend.to_string(),
        }
    }
}

/// The examples by the names of their rules.
pub fn examples() -> BTreeMap<String, Example> {
    // The file is part of the program and held by a test; without it a rule is told without example.
    serde_json::from_str(include_str!("examples.json")).unwrap_or_default()
}

/// A rule in full, as plain text.
pub fn plain(rule: &Rule, example: Option<&Example>, language: Language) -> String {
    let mut parts = vec![
        (words!("grade"), grade_words(rule.grade)),
        (words!("why"), Words::fixed(rule.why)),
    ];
    if let Some(limit) = limit(rule.name) {
        parts.push((words!("limit"), Words::fixed(limit)));
    }
    if let Some(example) = example {
        parts.push((words!("example"), Words::own(&example.place)));
        if let Some(row) = &example.row {
            parts.push((Words::default(), Words::own(row)));
        }
        parts.push((Words::default(), Words::own(&example.message)));
        parts.push((words!("mend"), Words::own(&example.mend)));
    }
    let parts: Vec<(String, String)> = parts
        .into_iter()
        .map(|(head, told)| (head.say(language), told.say(language)))
        .collect();
    let longest = parts.iter().map(|(head, _)| head.chars().count()).max();
    let width = longest.unwrap_or(0) + 2;
    let mut text = format!(
        "{} ({})\n\n  {}\n\n",
        rule.name,
        rule.grade.named().say(language),
        Words::fixed(rule.title).say(language)
    );
    for (head, told) in parts {
        // Writing into a String can't fail.
        let _ = writeln!(text, "  {head:<width$}{told}");
    }
    let place = example.map_or("…", |example| example.place.as_str());
    let _ = writeln!(
        text,
        "  {}\n  {:width$}windrow check SEASON --accept {} --place \"{place}\" --reason \"…\"",
        words!("or let it stand").say(language),
        "",
        rule.name
    );
    text
}

fn grade_words(grade: Grade) -> Words {
    match grade {
        Grade::Error => words!("a figure would be wrong"),
        Grade::Doubt => words!("a person has to decide"),
        Grade::Remark => words!("good to know"),
    }
}

/// All rules as a page of Markdown.
pub fn markdown(rules: &[Rule], examples: &BTreeMap<String, Example>) -> String {
    let mut rules: Vec<&Rule> = rules.iter().collect();
    rules.sort_by_key(|rule| rule.name);
    let mut page = String::from(
        "# Findings\n\n\
         All that `windrow check` can find. The page is written by the program (`windrow check --explain all --markdown`) and held equal to \
         it by a test. The examples come from an invented folder with one fault each. A finding's name is permanent: season.toml accepts \
         findings by it.\n",
    );
    for grade in Grade::ALL {
        let of_grade = rules.iter().filter(|rule| rule.grade == grade);
        let _ = writeln!(
            page,
            "\n## {} {}: {}\n\n| name | looks for |\n| --- | --- |",
            of_grade.clone().count(),
            grade.plural(),
            grade_words(grade)
        );
        for rule in of_grade {
            let _ = writeln!(
                page,
                "| [{0}](#{0}) | {1} |",
                rule.name,
                rule.title.trim_end_matches('.')
            );
        }
    }
    let _ = writeln!(page, "\n## Each in full");
    for rule in rules {
        let _ = writeln!(
            page,
            "\n### {}\n\n*{}.* {} {}",
            rule.name,
            rule.grade.word(),
            rule.title,
            rule.why
        );
        if let Some(limit) = limit(rule.name) {
            let _ = writeln!(page, "\nLimit: {limit}");
        }
        if let Some(example) = examples.get(rule.name) {
            let _ = writeln!(page, "\n```text\n{}", example.place);
            if let Some(row) = &example.row {
                let _ = writeln!(page, "  {row}");
            }
            let _ = writeln!(page, "{}\n```\n\nMend: {}", example.message, example.mend);
        }
    }
    page
}
