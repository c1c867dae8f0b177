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
    all.insert("language".to_owned(), language.code().into());
    all.insert("words".to_owned(), catalogue.into());
}
