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
    "board.typ",
    "auditor.typ",
    "public.typ",
    "worksheet.typ",
    "lib/data.typ",
    "lib/look.typ",
    "lib/type.typ",
    "lib/figures.typ",
    "lib/narrative.typ",
    "lib/tables.typ",
    "lib/words.typ",
    "lib/contract.typ",
    "lib/pictures.typ",
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
    "sections/board-first.typ",
    "sections/board-second.typ",
    "sections/pulls.typ",
    "sections/weighings.typ",
    "sections/conversion.typ",
    "sections/receipts.typ",
    "sections/photos.typ",
    "sections/contact-sheets.typ",
    "sections/public-notes.typ",
];

/// Every template's path in the report's world, and its text.
pub fn all() -> impl Iterator<Item = (&'static str, String)> {
    TEMPLATES
        .iter()
        .map(|(path, text)| (*path, current(path, text)))
}

/// Names of the sections.
pub fn sections() -> impl Iterator<Item = &'static str> {
    TEMPLATES
        .iter()
        .filter_map(|(path, _)| path.strip_prefix("/sections/")?.strip_suffix(".typ"))
}

/// The text of a section as it comes with the program.
pub fn section(name: &str) -> Option<&'static str> {
    let wanted = format!("/sections/{name}.typ");
    TEMPLATES
        .iter()
        .find(|(path, _)| *path == wanted)
        .map(|(_, text)| *text)
}

/// Does a section of ours have another text here?
pub fn is_replaced(path: &str, text: &str) -> bool {
    path.starts_with("/sections/") && all().any(|(known, ours)| known == path && ours != text)
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
