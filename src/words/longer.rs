//! A made-up language for tests: every sentence a third longer, as Spanish and French run longer than English. It stands in the place
//! of both catalogues in the thread that asks for it.

use std::cell::Cell;
use std::collections::BTreeMap;
use std::sync::{Mutex, PoisonError};

thread_local! {
    static ON: Cell<bool> = const { Cell::new(false) };
}

static SAID: Mutex<BTreeMap<String, &'static str>> = Mutex::new(BTreeMap::new());

/// Runs something in the made-up language.
pub fn speaking<T>(run: impl FnOnce() -> T) -> T {
    ON.set(true);
    let value = run();
    ON.set(false);
    value
}

pub fn is_on() -> bool {
    ON.get()
}

/// The sentence with every word of it longer; places stay.
pub fn said(english: &str) -> &'static str {
    let mut all = SAID.lock().unwrap_or_else(PoisonError::into_inner);
    if let Some(said) = all.get(english) {
        return said;
    }
    let mut out = String::new();
    let mut depth = 0;
    let mut word = 0usize;
    for letter in english.chars().chain(['\n']) {
        if letter.is_alphabetic() && depth == 0 {
            word += 1;
        } else {
            if word > 1 {
                out.extend(std::iter::repeat_n('o', (word * 3).div_ceil(10)));
            }
            word = 0;
        }
        match letter {
            '{' => depth += 1,
            '}' => depth -= 1,
            _ => {}
        }
        out.push(letter);
    }
    let said: &'static str = Box::leak(out.trim_end_matches('\n').to_owned().into_boxed_str());
    all.insert(english.to_owned(), said);
    said
}
