//! A hash in words, so that it can be read aloud, over a telephone say, and typed by who hears it.
//!
//! Takes a hash and gives 32 words, one for each byte; takes words and gives the hash. The words are plain and short, sound
//! unlike each other, and differ in their first four letters. Nothing is added and nothing lost: no check sum, as whoever
//! compares two roots compares all of them.

use std::fmt;

use super::tree::{Hash, parse_hash};

/// Word of each byte, from 0 to 255, in the order of the alphabet. Permanent: printed reports rely on it.
#[rustfmt::skip]
const WORDS: [&str; 256] = [
    "acorn", "acrobat", "agent", "album", "almond", "amber", "anchor", "animal",
    "anthem", "antler", "anvil", "apple", "apron", "arrow", "artist", "atlas",
    "autumn", "avenue", "badger", "bagel", "bakery", "balcony", "bamboo", "banjo",
    "banner", "barrel", "basket", "beaver", "bedroom", "bicycle", "biscuit", "blanket",
    "blossom", "bobcat", "bottle", "branch", "brick", "bridge", "bronze", "bucket",
    "buffalo", "bundle", "butter", "cabin", "cactus", "camel", "candle", "canvas",
    "captain", "caravan", "carpet", "cashew", "cedar", "cement", "chapel", "cherry",
    "chimney", "cinnamon", "circle", "clover", "coffee", "comet", "coral", "corner",
    "cotton", "cradle", "crayon", "cricket", "crystal", "cupboard", "curtain", "cushion",
    "daisy", "dancer", "desert", "diamond", "dinner", "doctor", "dolphin", "donkey",
    "dragon", "drummer", "easel", "echo", "elbow", "elephant", "elevator", "emerald",
    "engine", "envelope", "evening", "fabric", "falcon", "family", "farmer", "feather",
    "fiddle", "finger", "flannel", "flute", "forest", "forklift", "fossil", "foxglove",
    "freckle", "frog", "frosting", "furnace", "galaxy", "garden", "garlic", "gazelle",
    "gecko", "giraffe", "glacier", "goblet", "goose", "granite", "guitar", "hammer",
    "hamster", "harbour", "harvest", "hazel", "hermit", "heron", "hillside", "honey",
    "hornet", "hotel", "hurdle", "iceberg", "igloo", "indigo", "insect", "island",
    "ivory", "jacket", "jaguar", "jasmine", "jelly", "jigsaw", "joker", "journey",
    "jungle", "kettle", "kidney", "kingdom", "kitchen", "koala", "ladder", "lantern",
    "laundry", "lemon", "leopard", "lettuce", "lilac", "lizard", "lobster", "locust",
    "lumber", "magnet", "mango", "maple", "marble", "market", "meadow", "medal",
    "meteor", "minnow", "mirror", "moped", "mosaic", "mountain", "mulberry", "museum",
    "mustard", "napkin", "nectar", "needle", "nephew", "nickel", "nugget", "nutmeg",
    "oatmeal", "ocean", "octopus", "office", "olive", "onion", "orange", "orchard",
    "ostrich", "otter", "oven", "oxygen", "paddle", "painter", "panther", "papaya",
    "parcel", "parrot", "pebble", "pelican", "pencil", "pepper", "piano", "picnic",
    "pigeon", "pillow", "pirate", "planet", "plaza", "polar", "pottery", "pumpkin",
    "puppet", "quarry", "quilt", "rabbit", "radio", "raven", "ribbon", "river",
    "robin", "robot", "rooster", "rubber", "salad", "salmon", "sandal", "saucer",
    "scarf", "school", "shadow", "shepherd", "silver", "skeleton", "slipper", "snail",
    "spider", "sponge", "stable", "sugar", "sunset", "tailor", "teapot", "thimble",
    "ticket", "tiger", "tomato", "trolley", "trumpet", "tulip", "tunnel", "yogurt",
];

/// Why words are no hash.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum WordsFault {
    /// Not as many words as a hash has bytes.
    Number { found: usize },
    /// A word that isn't in the list, with its place counted from 1.
    Unknown { word: String, place: usize },
}

impl fmt::Display for WordsFault {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Number { found } => write!(out, "a root has 32 words; these are {found}"),
            Self::Unknown { word, place } => write!(
                out,
                "'{}', the word number {place}, is none of those in which a root is printed",
                word.escape_debug()
            ),
        }
    }
}

impl std::error::Error for WordsFault {}

/// The 32 words of a hash.
pub fn to_words(hash: &Hash) -> Vec<&'static str> {
    hash.iter()
        // The list has a word for every byte.
        .filter_map(|byte| WORDS.get(usize::from(*byte)).copied())
        .collect()
}

/// A root as a person types it off a report: 64 hexadecimal digits with or without blanks, or the 32 words.
///
/// # Errors
/// Why it is neither.
pub fn parse_root(text: &str) -> Result<Hash, String> {
    // Hexadecimal digits know the letters a to f alone; 32 words of the list always hold another.
    let is_words = text
        .chars()
        .any(|c| c.is_alphabetic() && !c.is_ascii_hexdigit());
    if is_words {
        from_words(text).map_err(|fault| fault.to_string())
    } else {
        parse_digits(text)
    }
}

/// A hash as a person types it: 64 hexadecimal digits in either case, with or without blanks.
///
/// # Errors
/// What it has to be.
pub fn parse_digits(text: &str) -> Result<Hash, String> {
    let digits: String = text.chars().filter(|c| !c.is_whitespace()).collect();
    parse_hash(&digits)
        .ok_or_else(|| "it has to be 64 hexadecimal digits (0 to 9, a to f)".to_owned())
}

/// The hash of 32 words, in capitals or small letters, with whatever is no letter between them.
///
/// # Errors
/// The first word that isn't known, or another number of words.
pub fn from_words(text: &str) -> Result<Hash, WordsFault> {
    let lower = text.to_lowercase();
    let words: Vec<&str> = lower
        .split(|character: char| !character.is_alphabetic())
        .filter(|word| !word.is_empty())
        .collect();
    let mut bytes = Vec::with_capacity(words.len());
    for (place, word) in (1..).zip(&words) {
        let unknown = || WordsFault::Unknown {
            word: (*word).to_owned(),
            place,
        };
        let at = WORDS.binary_search(word).map_err(|_| unknown())?;
        bytes.push(u8::try_from(at).map_err(|_| unknown())?);
    }
    let found = bytes.len();
    bytes.try_into().map_err(|_| WordsFault::Number { found })
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    /// Letters to change, add or drop to make one word of the other.
    fn distance(one: &str, two: &str) -> usize {
        let two: Vec<char> = two.chars().collect();
        let mut row: Vec<usize> = (0..=two.len()).collect();
        for (at, letter) in one.chars().enumerate() {
            let mut next = vec![at + 1];
            for (column, other) in two.iter().enumerate() {
                let change = row[column] + usize::from(letter != *other);
                next.push(change.min(row[column + 1] + 1).min(next[column] + 1));
            }
            row = next;
        }
        row[two.len()]
    }

    #[test]
    fn the_words_are_plain_and_unlike_each_other() {
        assert!(WORDS.is_sorted());
        for word in WORDS {
            assert!((4..=8).contains(&word.len()), "{word}");
            assert!(word.bytes().all(|byte| byte.is_ascii_lowercase()), "{word}");
        }
        let starts: BTreeSet<&str> = WORDS.iter().map(|word| &word[..4]).collect();
        assert_eq!(starts.len(), 256);
        for (number, one) in WORDS.iter().enumerate() {
            for two in &WORDS[number + 1..] {
                assert!(distance(one, two) >= 2, "{one}, {two}");
            }
        }
    }

    #[test]
    fn every_byte_goes_both_ways_at_every_place() {
        for byte in 0..=255_u8 {
            let hash: Hash = std::array::from_fn(|place| byte.wrapping_add(place as u8 * 7));
            let words = to_words(&hash);
            assert_eq!(words.len(), 32);
            assert_eq!(from_words(&words.join(" ")), Ok(hash));
            assert_eq!(from_words(&words.join("-").to_uppercase()), Ok(hash));
            assert_eq!(
                from_words(&format!("  {},\n", words.join(",\n "))),
                Ok(hash)
            );
        }
    }

    #[test]
    fn the_list_never_changes() {
        // The printed words of a root are read by later versions: the list's own SHA-256, as it was when it was made.
        use sha2::{Digest, Sha256};
        let list = WORDS.join("\n");
        assert_eq!(
            super::super::tree::hex(&Sha256::digest(list)),
            "64ebc826481fababe4d99e15893089377b5c502e04b3e48e21f27032d5f92870"
        );
    }

    #[test]
    fn other_words_are_told() {
        let words = to_words(&[0; 32]);
        assert_eq!(
            from_words(&words[1..].join(" ")),
            Err(WordsFault::Number { found: 31 })
        );
        assert_eq!(
            from_words(&words.join(" ").replacen("acorn", "akorn", 1)),
            Err(WordsFault::Unknown {
                word: "akorn".into(),
                place: 1
            })
        );
        assert_eq!(from_words(""), Err(WordsFault::Number { found: 0 }));
    }

    #[test]
    fn a_root_may_be_typed_in_groups_and_capitals() {
        let typed = "ABCD ".repeat(16);
        assert_eq!(
            parse_digits(&typed).unwrap(),
            parse_digits(&"abcd".repeat(16)).unwrap()
        );
        assert!(parse_digits("abcd").is_err());
    }

    #[test]
    fn a_root_may_be_typed_in_words() {
        let root: Hash = std::array::from_fn(|place| place as u8 * 8);
        let words = to_words(&root).join(" ");
        assert_eq!(parse_root(&words), Ok(root));
        assert_eq!(parse_root(&words.to_uppercase()), Ok(root));
        let digits = super::super::tree::hex(&root);
        assert_eq!(parse_root(&digits), Ok(root));
        assert!(parse_root("acorn").unwrap_err().contains("32 words"));
        assert!(
            parse_root(&words.replacen("acorn", "unicorn", 1))
                .unwrap_err()
                .contains("unicorn")
        );
    }
}
