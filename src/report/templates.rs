//! The templates, as they stand in templates/ when the program is built.
//!
//! Tests take them from the folder that WINDROW_TEMPLATES names, if it is set, so that whoever works on the look need not build the
//! program for each touch; see docs/look.md.

macro_rules! templates {
    ($($path:literal),* $(,)?) => {
        /// Path in the report's world, and text.
        const TEMPLATES: &[(&str, &str)] = &[
            $((concat!("/", $path), include_str!(concat!("../../templates/", $path)))),*
        ];
    };
}

templates![
    "funder.typ",
    "lib/data.typ",
    "lib/look.typ",
    "lib/figures.typ",
    "lib/narrative.typ",
    "lib/tables.typ",
    "sections/title.typ",
    "sections/key-figures.typ",
    "sections/sites.typ",
    "sections/map.typ",
    "sections/effort.typ",
    "sections/removal.typ",
    "sections/cover.typ",
    "sections/outlook.typ",
    "sections/plates.typ",
    "sections/care.typ",
    "sections/deliverables.typ",
    "sections/spending.typ",
    "sections/account.typ",
    "sections/methods.typ",
    "sections/limits.typ",
    "sections/findings.typ",
    "sections/sources.typ",
    "sections/verify.typ",
    "sheets/base.typ",
    "sheets/field.typ",
    "sheets/cards.typ",
    "sheets/cautions.typ",
    "sheets/plan.typ",
];

/// Every template's path in the report's world, and its text.
pub fn all() -> impl Iterator<Item = (&'static str, String)> {
    TEMPLATES
        .iter()
        .map(|(path, text)| (*path, current(path, text)))
}

#[cfg(not(test))]
fn current(_path: &str, text: &str) -> String {
    text.to_owned()
}

#[cfg(test)]
fn current(path: &str, text: &str) -> String {
    std::env::var("WINDROW_TEMPLATES")
        .ok()
        .and_then(|folder| std::fs::read_to_string(format!("{folder}{path}")).ok())
        .unwrap_or_else(|| text.to_owned())
}
