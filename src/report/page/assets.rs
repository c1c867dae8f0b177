//! What the page carries in itself: pictures, faces, styles and script.
//!
//! Takes bytes, gives `data:` addresses and text. Reads nothing but what the program holds and what it is given.

use std::collections::BTreeMap;

use base64::Engine;
use base64::prelude::BASE64_STANDARD;
use serde_json::Value;
use sha2::{Digest, Sha256};

use crate::report::data::plates;
use crate::report::fonts;
use crate::report::own::Own;
use crate::report::pictures::Picture;

/// Address of bytes that lie in the address itself.
pub fn data_address(kind: &str, bytes: &[u8]) -> String {
    format!("data:{kind};base64,{}", BASE64_STANDARD.encode(bytes))
}

/// Pictures by their path in the data, as addresses.
pub fn embedded(pictures: BTreeMap<String, Picture>, own: &Own) -> BTreeMap<String, String> {
    let mut all: BTreeMap<String, String> = pictures
        .into_values()
        .enumerate()
        .filter_map(|(number, picture)| match picture {
            Picture::Shown { jpeg, .. } => {
                Some((plates::path(number), data_address("image/jpeg", &jpeg)))
            }
            Picture::Absent(_) => None,
        })
        .collect();
    if let Some((path, _)) = &own.logo
        && let Some(bytes) = own.files.get(path)
    {
        all.insert(path.clone(), data_address(kind_of(path), bytes));
    }
    all
}

/// A picture's kind by its name. As an image, an SVG runs no script and asks for nothing.
fn kind_of(path: &str) -> &'static str {
    let lower = path.to_lowercase();
    match lower.rsplit('.').next() {
        Some("svg") => "image/svg+xml",
        Some("png") => "image/png",
        Some("webp") => "image/webp",
        Some("gif") => "image/gif",
        _ => "image/jpeg",
    }
}

/// The whole style sheet: the group's colours, the faces, the rules.
pub fn style(look: &Value) -> String {
    let mut css = String::from(":root{");
    for (name, hex) in look["colours"].as_object().into_iter().flatten() {
        let hex = hex.as_str().unwrap_or_default();
        if crate::report::palette::is_hex(hex) {
            css.push_str(&format!("--{name}:{hex};"));
        }
    }
    css.push_str("}\n");
    for (family, weight, slope, bytes) in fonts::for_pages() {
        css.push_str(&format!(
            "@font-face{{font-family:\"{family}\";font-weight:{weight};font-style:{slope};src:url({})}}\n",
            data_address("font/ttf", bytes)
        ));
    }
    let paper = look["paper"].as_str().unwrap_or("A4");
    css.push_str(&format!("@page{{size:{paper};margin:16mm 16mm 18mm}}\n"));
    css.push_str(&rules());
    css
}

/// The rules of the style sheet, the same for every page.
pub fn rules() -> String {
    current("page.css", include_str!("../../../templates/page/page.css"))
}

/// The script, which the page also does without.
pub fn script() -> String {
    current("page.js", include_str!("../../../templates/page/page.js"))
}

/// The page's template.
pub fn template() -> String {
    current(
        "page.html",
        include_str!("../../../templates/page/page.html"),
    )
}

/// How a security policy names a text between tags (W3C, *Content Security Policy Level 3*, section 2.3.1, hash-source).
pub fn policy_hash(text: &str) -> String {
    format!("'sha256-{}'", BASE64_STANDARD.encode(Sha256::digest(text)))
}

#[cfg(not(test))]
fn current(_name: &str, text: &str) -> String {
    text.to_owned()
}

/// Tests read the folder that WINDROW_TEMPLATES names, as they do for the printed report.
#[cfg(test)]
fn current(name: &str, text: &str) -> String {
    std::env::var("WINDROW_TEMPLATES")
        .ok()
        .and_then(|folder| std::fs::read_to_string(format!("{folder}/page/{name}")).ok())
        .unwrap_or_else(|| text.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_policy_names_a_text_by_its_hash() {
        // The example of the standard's section 8.3, from memory: the text is a script of one line.
        assert_eq!(
            policy_hash("alert('Hello, world.');"),
            "'sha256-qznLcsROx4GACP2dm0UCKCzCG+HiZ1guq6ZZDob/Tng='"
        );
    }

    #[test]
    fn a_colour_that_is_none_never_comes_into_the_style() {
        let css = style(&serde_json::json!({"colours": {"ink": "red}body{", "pond": "#102a54"}}));
        assert!(css.contains("--pond:#102a54;") && !css.contains("red}"));
    }
}
