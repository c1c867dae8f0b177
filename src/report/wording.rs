//! What templates need to speak a language: its code, and the catalogue for their `t`.

use serde_json::{Map, Value};

use crate::words::{self, Language};

/// Puts `language` and `words` among what a template reads. English needs no catalogue: its sentences are the keys.
pub fn add(value: &mut Value, language: Language) {
    let Some(all) = value.as_object_mut() else {
        return;
    };
    let catalogue: Map<String, Value> = words::entries(language)
        .map(|(english, said)| (english.to_owned(), said.into()))
        .collect();
    #[cfg(test)]
    let catalogue = if words::longer::is_on() {
        longer()
    } else {
        catalogue
    };
    all.insert("language".to_owned(), language.code().into());
    all.insert("words".to_owned(), catalogue.into());
}

/// The made-up language of tests for every sentence of the templates.
#[cfg(test)]
fn longer() -> Map<String, Value> {
    let mut all = Map::new();
    for (_, text) in super::templates::all() {
        for call in text.split("t(").skip(1) {
            let quoted = call.trim_start().strip_prefix('"');
            if let Some((english, _)) = quoted.and_then(|rest| rest.split_once('"')) {
                all.insert(english.to_owned(), words::longer::said(english).into());
            }
        }
    }
    all
}
