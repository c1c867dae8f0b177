//! The template filled.
//!
//! Takes the data as JSON and the embedded pictures, gives the page. Everything is escaped but what the functions here mark as
//! markup of ours: styles, script, addresses of embedded pictures, and drawings, whose texts are escaped where they are drawn.

use std::collections::BTreeMap;
use std::fmt::Write;

use minijinja::syntax::SyntaxConfig;
use minijinja::value::{Kwargs, Serde, Value};
use minijinja::{AutoEscape, Environment, Error, ErrorKind, HtmlEscape, UndefinedBehavior};

use super::assets;
use crate::words::{Language, Piece, pieces};

/// Fills the page.
pub fn fill(
    data: serde_json::Value,
    embedded: BTreeMap<String, String>,
    language: Language,
) -> Result<String, Error> {
    let template = assets::template();
    let (style, script) = (assets::style(&data["look"]), assets::script());
    let policy = format!(
        "default-src 'none'; style-src {}; script-src {}; img-src data:; font-src data:; base-uri 'none'; form-action 'none'",
        assets::policy_hash(&style),
        assets::policy_hash(&script)
    );
    let mut environment = Environment::new();
    // Whatever its name: there is one kind of template here.
    environment.set_auto_escape_callback(|_| AutoEscape::Html);
    environment.set_undefined_behavior(UndefinedBehavior::SemiStrict);
    // A line that holds a block alone leaves no line in the page.
    let mut syntax = SyntaxConfig::builder();
    syntax.trim_blocks(true).lstrip_blocks(true);
    environment.set_syntax(syntax.build()?);
    environment.add_function("t", move |english: &str, fills: Kwargs| {
        said(language, english, &fills)
    });
    environment.add_function("code", |text: &str| {
        let mut out = String::from("<code>");
        escape(text, &mut out);
        Value::from_safe_string(format!("{out}</code>"))
    });
    environment.add_function("em", |text: Value| {
        let mut out = String::from("<em>");
        if text.is_safe() {
            out.push_str(text.as_str().unwrap_or_default());
        } else {
            escape(&text.to_string(), &mut out);
        }
        Value::from_safe_string(format!("{out}</em>"))
    });
    environment.add_function("embedded", move |path: &str| {
        embedded
            .get(path)
            .map(|address| Value::from_safe_string(address.clone()))
            .ok_or_else(|| Error::new(ErrorKind::InvalidOperation, "no such picture"))
    });
    environment.add_global("policy", Value::from_safe_string(policy));
    environment.add_global("style", Value::from_safe_string(style));
    environment.add_global("script", Value::from_safe_string(script));
    environment.add_template("page.html", &template)?;
    environment
        .get_template("page.html")?
        .render(minijinja::context! { data => Serde(&data) })
}

/// A sentence of the catalogue with its places filled, ready to stand in a page.
fn said(language: Language, english: &str, fills: &Kwargs) -> Result<Value, Error> {
    let mut out = String::new();
    for piece in pieces(language.of_template(english)) {
        match piece {
            // Catalogues are typed with the straight apostrophe.
            Piece::Text(text) => escape(&text.replace('\'', "’"), &mut out),
            Piece::Place(name) => {
                let fill: Value = fills.get(name)?;
                if fill.is_safe() {
                    out.push_str(fill.as_str().unwrap_or_default());
                } else {
                    escape(&fill.to_string(), &mut out);
                }
            }
            Piece::Choice { name, one, many } => {
                let count = fills.get::<Value>(name)?.to_string();
                let is_one = count.parse().is_ok_and(|count| language.is_one(count));
                escape(if is_one { one } else { many }, &mut out);
            }
        }
    }
    Ok(Value::from_safe_string(out))
}

fn escape(text: &str, out: &mut String) {
    // Writing to a string can't fail.
    let _ = write!(out, "{}", HtmlEscape(text));
}
