//! Numbers as people write them.

use crate::units::Unit;

/// Which marks surely part decimals somewhere in a table. They decide how `1,234` and `1.234` beside them are read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Marks {
    pub point: bool,
    pub comma: bool,
}

impl Marks {
    /// Learns from a cell.
    pub fn learn(&mut self, text: &str) {
        let digits = |part: &str| !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit());
        let text = text
            .trim()
            .trim_start_matches(['~', '<', '>', '≈', '-', '−', '$', '€', '£']);
        let number = text
            .split(|c: char| c.is_alphabetic() || c == '%' || c == '+')
            .next()
            .unwrap_or(text)
            .trim();
        let (comma, point) = (number.rfind(','), number.rfind('.'));
        let at = match (comma, point) {
            (Some(comma), Some(point)) => {
                if comma > point {
                    self.comma = true;
                } else {
                    self.point = true;
                }
                return;
            }
            (Some(at), None) | (None, Some(at)) => at,
            (None, None) => return,
        };
        let (before, after) = (number.get(..at), number.get(at + 1..));
        if let (Some(before), Some(after)) = (before, after)
            && digits(before)
            && digits(after)
            && (after.len() != 3 || before == "0" || before.len() > 3)
        {
            if comma.is_some() {
                self.comma = true;
            } else {
                self.point = true;
            }
        }
    }
}

/// A number as read, and what is uncertain about it.
#[derive(Debug, Clone, PartialEq)]
pub struct Number {
    pub value: f64,
    /// The unit behind the number, if the cell had one: `12 lb`.
    pub unit: Option<Unit>,
    /// `~30`, `30+`, `<5`, `about 30`, `none`.
    pub doubtful: bool,
    /// `50%`.
    pub percent: bool,
    /// What the number may be as well, where its mark may part thousands or decimals.
    pub other: Option<f64>,
}

/// Marks and words before a number that say it is rough.
const ROUGH: &[&str] = &[
    "~",
    "≈",
    "<",
    ">",
    "≤",
    "≥",
    "about ",
    "approx. ",
    "approx ",
    "approximately ",
    "around ",
    "roughly ",
    "ca. ",
    "ca.",
    "ca ",
    "c. ",
    "est. ",
    "est ",
    "at least ",
    "over ",
    "under ",
];

/// Marks and words behind a number that say the same.
const ROUGH_BEHIND: &[&str] = &["+", "?", "ish", " or so", " approx.", " approx", " est."];

/// Words for nothing found. Somebody may also have meant *not recorded*, so they count as rough.
const NOTHING: &[&str] = &["none", "nil", "zero"];

/// Reads a number: `12`, `12.5`, `1,200`, `1.234,5`, `1 200`, `12,5`, `12 1/2`, `½`, `~30`, `30+`, `12 lb`.
///
/// A comma followed by exactly three digits separates thousands, unless the table's other numbers show decimal commas; a
/// point does so only where they show them.
pub fn number(text: &str, marks: Marks) -> Option<Number> {
    let mut rest = text.trim();
    if NOTHING.iter().any(|word| rest.eq_ignore_ascii_case(word)) {
        return Some(Number {
            value: 0.0,
            unit: None,
            doubtful: true,
            percent: false,
            other: None,
        });
    }
    let mut doubtful = false;
    for mark in ROUGH {
        if let Some(prefix) = rest.get(..mark.len())
            && prefix.eq_ignore_ascii_case(mark)
        {
            doubtful = true;
            rest = rest.get(mark.len()..)?.trim_start();
        }
    }
    for mark in ROUGH_BEHIND {
        if let Some(at) = rest.len().checked_sub(mark.len())
            && at > 0
            && rest
                .get(at..)
                .is_some_and(|suffix| suffix.eq_ignore_ascii_case(mark))
        {
            doubtful = true;
            rest = rest.get(..at)?.trim_end();
        }
    }
    let mut percent = false;
    if let Some(before) = rest.strip_suffix('%') {
        percent = true;
        rest = before.trim_end();
    }
    let split = rest
        .char_indices()
        .find(|(_, c)| c.is_alphabetic() || *c == '+' && !rest.starts_with('+'))
        .map_or(rest.len(), |(at, _)| at);
    let (digits, tail) = rest.split_at(split);
    let mut tail = tail.trim();
    if let Some(after) = tail.strip_prefix('+') {
        doubtful = true;
        tail = after.trim();
    }
    let mut digits = digits.trim();
    let mut more = 0.0;
    let unit = if let Some(bare) = digits.strip_suffix('#').filter(|_| tail.is_empty()) {
        // What scales of the trade print for pounds (common practice, no source).
        digits = bare.trim_end();
        Some(Unit::Pound)
    } else if tail.is_empty() {
        None
    } else if let Some(unit) = Unit::named(tail) {
        Some(unit)
    } else {
        let (unit, rest) = smaller_parts(tail, marks)?;
        more = rest;
        Some(unit)
    };
    let (digits, negative) = match digits.strip_prefix(['-', '−', '–']) {
        Some(rest) => (rest.trim_start(), true),
        None => (digits.strip_prefix('+').unwrap_or(digits), false),
    };
    let sign = if negative { -1.0 } else { 1.0 };
    let (value, other) = match with_fraction(digits, marks) {
        Some(value) => (value, None),
        None => {
            let plain = plain(digits, marks)?;
            let read = |text: &str| text.parse::<f64>().ok();
            (
                read(&plain.text)?,
                plain
                    .other
                    .as_deref()
                    .and_then(read)
                    .map(|other| sign * other),
            )
        }
    };
    value.is_finite().then_some(Number {
        value: sign * (value + more),
        unit,
        doubtful,
        percent,
        other,
    })
}

/// The rest of `12 lb 4 oz` behind its first number: the first unit, and what follows it in that unit.
fn smaller_parts(tail: &str, marks: Marks) -> Option<(Unit, f64)> {
    let at = tail.find(|c: char| c.is_ascii_digit())?;
    let (name, rest) = tail.split_at_checked(at)?;
    let unit = Unit::named(name)?;
    let rest = number(rest, marks)
        .filter(|rest| !rest.doubtful && !rest.percent && rest.other.is_none())?;
    let smaller = rest.unit?;
    // As many ounces as a pound has are no part of it.
    let part = rest.value * smaller.factor() / unit.factor();
    let pair = matches!(
        (unit, smaller),
        (Unit::Pound, Unit::Ounce)
            | (Unit::Kilogram, Unit::Gram)
            | (Unit::Tonne, Unit::Kilogram)
            | (Unit::ShortTon, Unit::Pound)
    );
    (pair && part < 1.0).then_some((unit, part))
}

/// Fractions that have a sign of their own.
const FRACTIONS: &[(char, f64)] = &[
    ('½', 1.0 / 2.0),
    ('¼', 1.0 / 4.0),
    ('¾', 3.0 / 4.0),
    ('⅓', 1.0 / 3.0),
    ('⅔', 2.0 / 3.0),
    ('⅛', 1.0 / 8.0),
    ('⅜', 3.0 / 8.0),
    ('⅝', 5.0 / 8.0),
    ('⅞', 7.0 / 8.0),
];

/// `12 1/2`, `12-1/2`, `1/2`, `12½`.
fn with_fraction(text: &str, marks: Marks) -> Option<f64> {
    let whole_part = |whole: &str| -> Option<f64> {
        let whole = whole.trim().trim_end_matches('-').trim_end();
        if whole.is_empty() {
            Some(0.0)
        } else {
            plain(whole, marks)?.text.parse().ok()
        }
    };
    for (sign, value) in FRACTIONS {
        if let Some(whole) = text.strip_suffix(*sign) {
            return Some(value + whole_part(whole)?);
        }
    }
    let (before, below) = text.split_once(['/', '⁄'])?;
    let below: u32 = below.trim().parse().ok().filter(|below| *below > 0)?;
    let before = before.trim();
    let (whole, above) = before
        .rsplit_once([' ', '-', '\u{a0}'])
        .unwrap_or(("", before));
    let above: u32 = above.parse().ok()?;
    Some(whole_part(whole)? + f64::from(above) / f64::from(below))
}

/// A number's figures with a point for its decimals and nothing else, as every parser reads it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Plain {
    pub text: String,
    /// The other reading, where the mark may part thousands or decimals.
    pub other: Option<String>,
}

/// Takes the marks out of a number without sign and unit.
pub fn plain(text: &str, marks: Marks) -> Option<Plain> {
    // Figures stand in groups of three where blanks and apostrophes part thousands.
    let spaced: Vec<&str> = text
        .split([' ', '\u{a0}', '\u{202f}', '\u{2009}', '\'', '’', '_'])
        .collect();
    let grouped = spaced.len() > 1;
    let joined = if grouped {
        let (first, groups) = spaced.split_first()?;
        let last = groups.len() - 1;
        let in_threes = groups.iter().enumerate().all(|(at, group)| {
            // Decimals follow the last group alone.
            let figures = if at == last {
                group.split(['.', ',']).next().unwrap_or(group)
            } else {
                group
            };
            figures.len() == 3 && figures.bytes().all(|b| b.is_ascii_digit())
        });
        if !(1..=3).contains(&first.len()) || !in_threes {
            return None;
        }
        spaced.concat()
    } else {
        text.to_owned()
    };
    let only = |text: String| Plain { text, other: None };
    let commas = joined.matches(',').count();
    let points = joined.matches('.').count();
    let read = match (commas, points) {
        (0, 0) => only(joined),
        (0, 1) | (1, 0) => {
            let (mark, decimal_by_default) = if points == 1 {
                ('.', true)
            } else {
                (',', false)
            };
            let (before, after) = joined.split_once(mark)?;
            let decimal = format!("{before}.{after}");
            let whole = format!("{before}{after}");
            let may_part_thousands = !grouped
                && after.len() == 3
                && (1..=3).contains(&before.len())
                && !before.starts_with('0');
            if !may_part_thousands {
                only(decimal)
            } else if marks.comma {
                // Decimal commas stand elsewhere in the table: a comma is then one of them, a point no decimal mark.
                let (text, other) = if points == 1 && !marks.point {
                    (whole, decimal)
                } else if points == 1 {
                    (decimal, whole)
                } else if marks.point {
                    (whole, decimal)
                } else {
                    (decimal, whole)
                };
                Plain {
                    text,
                    other: Some(other),
                }
            } else if decimal_by_default {
                only(decimal)
            } else {
                only(whole)
            }
        }
        (_, 0) => only(thousands(&joined, ',')?),
        (0, _) => only(thousands(&joined, '.')?),
        _ if grouped => return None,
        // The last mark parts decimals; the others part thousands.
        _ => {
            let at = joined.rfind([',', '.'])?;
            let (before, after) = (joined.get(..at)?, joined.get(at + 1..)?);
            let mark = if joined.get(at..=at)? == "," {
                '.'
            } else {
                ','
            };
            only(format!("{}.{after}", thousands(before, mark)?))
        }
    };
    let figures_only = !read.text.is_empty()
        && read.text.bytes().all(|b| b.is_ascii_digit() || b == b'.')
        && read.text.bytes().any(|b| b.is_ascii_digit());
    figures_only.then_some(read)
}

/// Figures in groups of three without the mark between them.
fn thousands(text: &str, mark: char) -> Option<String> {
    let (first, groups) = text.split_once(mark)?;
    let in_threes = (1..=3).contains(&first.len())
        && !first.starts_with('0')
        && groups.split(mark).all(|group| group.len() == 3);
    in_threes.then(|| text.replace(mark, ""))
}

/// The number that was meant where letters stand in the place of figures: `1O` for 10, `l2` for 12.
pub fn without_letters(text: &str) -> Option<String> {
    let changed: String = text
        .trim()
        .chars()
        .map(|c| match c {
            'O' | 'o' => '0',
            'l' | 'I' => '1',
            c => c,
        })
        .collect();
    let meant = changed != text.trim()
        && changed
            .chars()
            .all(|c| c.is_ascii_digit() || matches!(c, '.' | ','));
    meant.then_some(changed)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn value(text: &str) -> Option<f64> {
        number(text, Marks::default()).map(|number| number.value)
    }

    #[test]
    fn numbers_as_people_write_them() {
        for (text, expected) in [
            ("12", 12.0),
            ("12.5", 12.5),
            ("12,5", 12.5),
            ("1,200", 1200.0),
            ("1,234.5", 1234.5),
            ("1.234,5", 1234.5),
            ("1.234.567", 1_234_567.0),
            ("1,234,567.5", 1_234_567.5),
            ("1 200", 1200.0),
            ("1 234,5", 1234.5),
            ("1\u{202f}234.5", 1234.5),
            ("1\u{a0}234", 1234.0),
            ("1'200", 1200.0),
            ("1’234’567", 1_234_567.0),
            ("12 1/2", 12.5),
            ("12-1/2", 12.5),
            ("1/2", 0.5),
            ("12½", 12.5),
            ("½", 0.5),
            ("2 ¾", 2.75),
            ("-3", -3.0),
            ("~30", 30.0),
            ("30+", 30.0),
            ("<5", 5.0),
            ("30?", 30.0),
            ("none", 0.0),
            ("0,125", 0.125),
            (".5", 0.5),
            ("1.234", 1.234),
            ("50%", 50.0),
        ] {
            assert_eq!(value(text), Some(expected), "{text}");
        }
        for text in [
            "",
            "twelve",
            "12 13",
            "1/0",
            "1,23,4",
            "nan",
            "inf",
            "1e5",
            "12 stone",
            ".",
            "1,2.3,4",
            "1.2.3",
            "12 34 567",
            "%",
            "+",
            "~",
        ] {
            assert_eq!(value(text), None, "{text}");
        }
        for rough in ["~30", "30+", "<5", "about 30", "30ish", "none"] {
            assert!(
                number(rough, Marks::default()).is_some_and(|n| n.doubtful),
                "{rough}"
            );
        }
        assert_eq!(
            number("12 lb", Marks::default()).and_then(|n| n.unit),
            Some(Unit::Pound)
        );
    }

    #[test]
    fn quantities_in_two_units() {
        for (text, expected, unit) in [
            ("12 lbs 4 oz", 12.25, Unit::Pound),
            ("12 lb. 4 oz.", 12.25, Unit::Pound),
            ("12lb4oz", 12.25, Unit::Pound),
            ("12 lb, 4 oz", 12.25, Unit::Pound),
            ("3 kg 250 g", 3.25, Unit::Kilogram),
            ("1 short ton 500 lb", 1.25, Unit::ShortTon),
            ("12#", 12.0, Unit::Pound),
            ("12.5 #", 12.5, Unit::Pound),
            ("~12 lbs 8 oz", 12.5, Unit::Pound),
        ] {
            let read = number(text, Marks::default()).unwrap();
            assert_eq!((read.value, read.unit), (expected, Some(unit)), "{text}");
        }
        for text in [
            "12 lb 16 oz",
            "12 oz 4 lb",
            "12 lb 4",
            "12 kg 4 oz",
            "12 lb 4 oz 3",
            "#",
            "# 12",
        ] {
            assert_eq!(number(text, Marks::default()), None, "{text}");
        }
    }

    #[test]
    fn a_mark_before_three_figures_is_read_as_the_table_shows_and_told() {
        let mut marks = Marks::default();
        for text in ["1,234", "1.234", "12", "4.7.25"] {
            marks.learn(text);
        }
        assert_eq!(marks, Marks::default());
        marks.learn("11,2");
        assert!(marks.comma && !marks.point);
        let read = number("1.234", marks).unwrap();
        assert_eq!((read.value, read.other), (1234.0, Some(1.234)));
        let read = number("1,234", marks).unwrap();
        assert_eq!((read.value, read.other), (1.234, Some(1234.0)));
        assert_eq!(number("1.234,5", marks).unwrap().other, None);
        let mut marks = Marks::default();
        marks.learn("~9.5 kg");
        assert_eq!(number("1,234", marks).unwrap().value, 1234.0);
        assert_eq!(number("1,234", marks).unwrap().other, None);
    }

    #[test]
    fn letters_in_the_place_of_figures() {
        assert_eq!(without_letters("1O").as_deref(), Some("10"));
        assert_eq!(without_letters("l2").as_deref(), Some("12"));
        assert_eq!(without_letters("O").as_deref(), Some("0"));
        assert_eq!(without_letters("Otto"), None);
        assert_eq!(without_letters("10"), None);
    }
}
