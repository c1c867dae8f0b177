//! Where the limits of rules come from, by rule, in the words of `check --explain` and docs/findings.md.

use crate::phrase;

/// The limit of a rule and its source; nothing for rules that need none.
pub fn limit(rule: &str) -> Option<&'static str> {
    LIMITS
        .iter()
        .find(|(name, _)| *name == rule)
        .map(|(_, words)| *words)
}

/// Rules with a limit, sorted by name.
const LIMITS: &[(&str, &str)] = &[
    (
        "area-beyond-site",
        phrase!(
            "One and a half times the outline's area on the ellipsoid: crews search a strip around it (common practice, no source)."
        ),
    ),
    (
        "catch-far-out",
        phrase!(
            "Beyond Tukey's outer fences (1977) around the logarithms of containers an hour in at least five rows of the kind, and more than four \
         times their median (common practice, no source)."
        ),
    ),
    (
        "container-too-heavy",
        phrase!(
            "What fills the kind's volume with water (gallon, bushel: NIST SP 811), or, for kinds carried by hand, 60 kg: what two people lift, \
         after the reference mass of 25 kg each in ISO 11228-1 (from memory)."
        ),
    ),
    (
        "container-unlike-weighed",
        phrase!(
            "Twice the heaviest or half the lightest of at least three weighed containers of the kind (common practice, no source)."
        ),
    ),
    (
        "count-impossible",
        phrase!(
            "150 people or boats, 2000 containers, 100 000 plants or 30 t in one row (common practice, no source)."
        ),
    ),
    (
        "crew-in-two-places",
        phrase!(
            "60 km/h along the straight line between the sites, a quarter of an hour of rounding granted (common practice, no source). A crew is \
         known by the column crew; without it, by equal heads and boats, and then two pulls that begin together are two crews."
        ),
    ),
    (
        "heads-against-hours",
        phrase!(
            "Less than half, or more than five quarters, of heads times the hours from start to end (common practice, no source)."
        ),
    ),
    (
        "hours-beyond-daylight",
        phrase!(
            "Civil twilight to civil twilight (sun 6° below the horizon) at the middle of the site, by the formula of the Almanac for Computers \
         1990, U.S. Naval Observatory."
        ),
    ),
    (
        "hours-impossible",
        phrase!("16 hours a person and day (common practice, no source)."),
    ),
    (
        "outline-swapped",
        phrase!(
            "150 km: no photo or track (without any: no other site or station) within that of the outline, and one within that of it with its \
         axes changed (common practice, no source)."
        ),
    ),
    (
        "outlines-overlap",
        phrase!(
            "2 % of the smaller site: borders drawn by hand cross a little (common practice, no source)."
        ),
    ),
    (
        "pull-in-the-dark",
        phrase!(
            "An hour before or after civil twilight, for loading at the landing; the sun by the Almanac for Computers 1990."
        ),
    ),
    (
        "station-outside-site",
        phrase!("2 km from the outline (common practice, no source)."),
    ),
    (
        "weighed-row-disagrees",
        phrase!("2 %: scales differ (common practice, no source)."),
    ),
    (
        "weighing-far-out",
        phrase!(
            "Tukey's fences (1977, Exploratory Data Analysis) around the logarithms of at least five weighings of the kind and stage, else of \
         the kind: beyond the outer fences and 1.5 times the median or more, or beyond the inner and 1.75 times or more, or as far below."
        ),
    ),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn limits_are_of_rules_that_there_are_and_sorted() {
        assert!(LIMITS.is_sorted_by_key(|(name, _)| *name));
        let rules = crate::finding::rules();
        for (name, _) in LIMITS {
            assert!(rules.iter().any(|rule| rule.name == *name), "{name}");
        }
    }
}
