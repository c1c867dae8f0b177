//! The coordinator's prose: how it enters the report's world.
//!
//! Takes the narrative files of a season, gives sources that may call a figure and nothing of ours besides.

use crate::season::{Narrative, Season};

use super::fonts::settable;

/// Where prose stands in the report's world.
pub const FOLDER: &str = "/narrative/";

/// The line put before a file's own, so that prose can call figures. One line: places are told less one.
const FIRST_LINE: &str = "#import \"/lib/narrative.typ\": figure-text, figure-value\n";

/// The sections that the report has a place for.
const SECTIONS: &[&str] = &[
    "summary",
    "methods",
    "partners",
    "outreach",
    "changes",
    "lessons",
    "next",
    "decisions",
];

/// How an unknown figure is told; the template says it in these words.
const UNKNOWN: &str = "no figure is named ";

/// Path in the world of a section's file.
pub fn path(section: &str) -> String {
    format!("{FOLDER}{section}.typ")
}

/// The season's sections that the report has a place for. A file without a word, or with comments alone, is none.
pub fn sections(season: &Season) -> impl Iterator<Item = &Narrative> {
    season
        .narrative
        .iter()
        .filter(|section| SECTIONS.contains(&section.section.as_str()))
        .filter(|section| says_something(&section.text))
}

fn says_something(text: &str) -> bool {
    use typst::syntax::{SyntaxKind, SyntaxNode, parse};
    fn leaf(node: &SyntaxNode) -> bool {
        match node.kind() {
            SyntaxKind::LineComment
            | SyntaxKind::BlockComment
            | SyntaxKind::Space
            | SyntaxKind::Parbreak => false,
            SyntaxKind::Markup => node.children().any(leaf),
            _ => true,
        }
    }
    leaf(&parse(text))
}

/// Path in the world and text of each section.
pub fn sources(season: &Season) -> Vec<(String, String)> {
    sections(season)
        .map(|section| {
            (
                path(&section.section),
                format!("{FIRST_LINE}{}", settable(&section.text)),
            )
        })
        .collect()
}

/// The figures whose names are like the one that was asked for in vain.
pub fn near_names(message: &str, names: &[&str]) -> Option<String> {
    let wanted = message
        .strip_prefix(UNKNOWN)?
        .split(';')
        .next()?
        .trim()
        .trim_matches('"');
    let mut scored: Vec<(f64, &str)> = names
        .iter()
        .map(|name| (strsim::jaro_winkler(wanted, name), *name))
        // Below this two names share little more than their first letters.
        .filter(|(score, _)| *score > 0.75)
        .collect();
    scored.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(b.1)));
    let near: Vec<&str> = scored.into_iter().take(3).map(|(_, name)| name).collect();
    (!near.is_empty()).then(|| format!("did you mean {}?", near.join(" or ")))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn comments_alone_are_no_prose() {
        for text in ["", " \n\n", "// What was done\n", "/* a\n b */\n\n// c"] {
            assert!(!says_something(text), "{text:?}");
        }
        for text in ["A word.", "// a\nb", "#figure-text(\"x\")", "*"] {
            assert!(says_something(text), "{text:?}");
        }
    }

    #[test]
    fn a_misspelt_figure_is_answered_with_its_neighbours() {
        let names = [
            "removal.wet-mass",
            "removal.wet-mass/heron-bay",
            "effort.pulls",
        ];
        let hint = near_names("no figure is named \"removal.wetmass\"; …", &names);
        assert_eq!(
            hint.as_deref(),
            Some("did you mean removal.wet-mass or removal.wet-mass/heron-bay?")
        );
        assert_eq!(near_names("unknown variable: x", &names), None);
        assert_eq!(near_names("no figure is named \"zzz\"", &names), None);
    }
}
