//! Kinds of container: one name for each, however it is written, and no mass assumed of any.

use super::value::fold;

/// Kinds that a heading may name in the place of `containers`, in the singular, with the spellings that the plural's rule does
/// not reach (common practice, no source). Gallons, litres and bushels are measures of room: what a bushel of plants weighs is
/// for the season's own weighings to say.
const KINDS: &[(&str, &[&str])] = &[
    ("bag", &[]),
    ("basket", &[]),
    ("bin", &[]),
    ("boatload", &["boat load", "boat loads"]),
    ("bucket", &["pail", "pails"]),
    ("bushel", &["bu", "bsh"]),
    ("crate", &[]),
    ("gallon", &["gal", "gals"]),
    ("litre", &["l", "ltr", "ltrs", "liter", "liters"]),
    ("sack", &[]),
    ("tote", &[]),
    ("truckload", &["truck load", "truck loads"]),
    ("tub", &[]),
];

/// `Bags` → `bag`, `gal` → `gallon`, so that one kind has one name.
pub fn singular(kind: &str) -> String {
    let kind = kind.trim().trim_end_matches('.').to_lowercase();
    let stem = match kind.as_str() {
        word if word.ends_with("xes") || word.ends_with("shes") || word.ends_with("ches") => {
            word.strip_suffix("es").unwrap_or(word)
        }
        word if word.ends_with('s') && !word.ends_with("ss") => {
            word.strip_suffix('s').unwrap_or(word)
        }
        word => word,
    };
    KINDS
        .iter()
        .find(|(_, others)| others.iter().any(|other| *other == kind || *other == stem))
        .map_or_else(|| stem.to_owned(), |(name, _)| (*name).to_owned())
}

/// The kind that a heading counts: `Bags`, `# of baskets`, `bag count`. `more` are the kinds that the group names.
pub fn counted_in(heading: &str, more: &[String]) -> Option<String> {
    let words: Vec<String> = heading
        .split(|c: char| !c.is_alphanumeric())
        .map(fold)
        .filter(|word| {
            !matches!(
                word.as_str(),
                "" | "no" | "nr" | "num" | "number" | "of" | "count" | "total" | "full" | "filled"
            )
        })
        .collect();
    let kind = singular(&words.join(" "));
    let known = KINDS.iter().any(|(name, _)| *name == kind)
        || more.iter().any(|name| singular(name) == kind);
    known.then_some(kind)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_kind_has_one_name() {
        for (written, name) in [
            ("Bags", "bag"),
            ("boxes", "box"),
            ("glass", "glass"),
            ("gal", "gallon"),
            ("Gallons", "gallon"),
            ("Liters", "litre"),
            ("bushels", "bushel"),
            ("bu", "bushel"),
            ("contractor bags", "contractor bag"),
        ] {
            assert_eq!(singular(written), name);
        }
    }

    #[test]
    fn headings_count_kinds() {
        for heading in ["bags", "# bags", "No. of bags", "Bag count", "Total Bags"] {
            assert_eq!(
                counted_in(heading, &[]).as_deref(),
                Some("bag"),
                "{heading}"
            );
        }
        assert_eq!(counted_in("bag weight", &[]), None);
        assert_eq!(counted_in("notes", &[]), None);
        assert_eq!(
            counted_in("Skiffs", &["skiff".to_owned()]).as_deref(),
            Some("skiff")
        );
    }
}
