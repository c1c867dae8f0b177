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
pub fn plain(rule: &Rule, example: Option<&Example>) -> String {
    let mut text = format!(
        "{} ({})\n\n  {}\n\n",
        rule.name,
        rule.grade.word(),
        rule.title
    );
    let mut part = |head: &str, words: &str| {
        // Writing into a String can't fail.
        let _ = writeln!(text, "  {head:<9}{words}");
    };
    part("grade", grade_words(rule.grade));
    part("why", rule.why);
    if let Some(limit) = limit(rule.name) {
        part("limit", limit);
    }
    if let Some(example) = example {
        part("example", &example.place);
        if let Some(row) = &example.row {
            part("", row);
        }
        part("", &example.message);
        part("mend", &example.mend);
    }
    part("or let it stand", "");
    let place = example.map_or("…", |example| example.place.as_str());
    let _ = writeln!(
        text,
        "           windrow check SEASON --accept {} --place \"{place}\" --reason \"…\"",
        rule.name
    );
    text
}

fn grade_words(grade: Grade) -> &'static str {
    match grade {
        Grade::Error => "a figure would be wrong",
        Grade::Doubt => "a person has to decide",
        Grade::Remark => "good to know",
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
