//! The tables as forms to be filled: their columns in order, from the same declarations that the reader uses, and the words that a
//! closed column takes.
//!
//! Takes nothing, gives values. Reads no file.

use super::table::Column;
use super::{cover, history, photo_notes, pulls, spending, weighings};

/// A table of the season folder.
#[derive(Debug, Clone, Copy)]
pub struct TableForm {
    /// The file's name without ending.
    pub name: &'static str,
    pub columns: &'static [Column],
}

/// Every table that [`super::load`] reads.
pub const TABLES: [TableForm; 6] = [
    form("pulls", pulls::COLUMNS),
    form("weighings", weighings::COLUMNS),
    form("cover", cover::COLUMNS),
    form("photos", photo_notes::COLUMNS),
    form("spending", spending::COLUMNS),
    form("history", history::COLUMNS),
];

const fn form(name: &'static str, columns: &'static [Column]) -> TableForm {
    TableForm { name, columns }
}

/// The words that a column takes and no others, in the order of their declaration; none where the column is open.
pub fn words(table: &str, column: &str) -> Vec<&'static str> {
    match (table, column) {
        ("pulls", "basis") => first_spellings(pulls::BASES),
        ("pulls", "fruit") => first_spellings(pulls::FRUITS),
        ("cover", "when") => first_spellings(cover::WHENS),
        ("photos", "role") => first_spellings(photo_notes::ROLES),
        ("photos", "consent") => first_spellings(photo_notes::CONSENTS),
        ("spending", "kind") => first_spellings(spending::KINDS),
        _ => Vec::new(),
    }
}

/// Several spellings may be read as one choice; the first one is how we write it.
fn first_spellings<T: PartialEq>(choices: &[(&'static str, T)]) -> Vec<&'static str> {
    let mut words: Vec<(&'static str, &T)> = Vec::new();
    for (word, choice) in choices {
        if !words.iter().any(|(_, known)| *known == choice) {
            words.push((word, choice));
        }
    }
    words.into_iter().map(|(word, _)| word).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_choice_has_one_word() {
        assert_eq!(words("pulls", "basis"), ["counted", "weighed", "guessed"]);
        assert_eq!(
            words("pulls", "fruit"),
            ["none", "green", "ripe", "dropped"]
        );
        assert!(words("pulls", "notes").is_empty());
    }
}
