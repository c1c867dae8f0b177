//! Units: one table of exact factors, and newtypes for the quantities that the season holds.
//!
//! Source of the factors: A. Thompson and B. N. Taylor, *Guide for the Use of the International System of Units (SI)*,
//! NIST Special Publication 811, 2008, appendix B.8 (pound, ounce, short ton, foot are exact by definition; the acre here is the
//! international one, 43 560 square feet of 0.3048 m). Factors stand here from memory of that table and are held by the tests
//! to their definitions.

use serde::{Deserialize, Serialize};

/// Wet mass in kilograms.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize)]
pub struct Kilograms(pub f64);

/// Time in hours; of several people together: person-hours.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize)]
pub struct Hours(pub f64);

/// Area in square metres.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize)]
pub struct SquareMetres(pub f64);

/// What a unit measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Dimension {
    Mass,
    Area,
    Time,
}

impl Dimension {
    /// The word for messages.
    pub fn word(self) -> &'static str {
        match self {
            Dimension::Mass => "mass",
            Dimension::Area => "area",
            Dimension::Time => "time",
        }
    }
}

/// A unit that a heading, a cell or a setting may name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Unit {
    Kilogram,
    Gram,
    Pound,
    Ounce,
    Tonne,
    ShortTon,
    SquareMetre,
    Hectare,
    Acre,
    SquareFoot,
    Hour,
    Minute,
}

/// Kilograms in a pound (exact).
const POUND: f64 = 0.453_592_37;
/// Metres in a foot (exact).
const FOOT: f64 = 0.304_8;

/// Every unit with the spellings that are read; the first one is how it is printed.
const SPELLINGS: &[(Unit, &[&str])] = &[
    (
        Unit::Kilogram,
        &[
            "kg",
            "kgs",
            "kilogram",
            "kilograms",
            "kilogramme",
            "kilogrammes",
            "kilo",
            "kilos",
        ],
    ),
    (
        Unit::Gram,
        &["g", "gm", "gms", "gram", "grams", "gramme", "grammes"],
    ),
    (Unit::Pound, &["lb", "lbs", "pound", "pounds"]),
    (Unit::Ounce, &["oz", "ozs", "ounce", "ounces"]),
    (
        Unit::Tonne,
        &[
            "t",
            "mt",
            "tonne",
            "tonnes",
            "metricton",
            "metrictons",
            "metrictonne",
            "metrictonnes",
        ],
    ),
    (
        Unit::ShortTon,
        &[
            "short ton",
            "shortton",
            "shorttons",
            "uston",
            "ustons",
            "usshortton",
            "usshorttons",
            "tonus",
            "tonsus",
            "tonshort",
            "tonsshort",
        ],
    ),
    (
        Unit::SquareMetre,
        &[
            "m²",
            "m2",
            "sqm",
            "sqmetre",
            "sqmetres",
            "sqmeter",
            "sqmeters",
            "squaremetre",
            "squaremetres",
            "squaremeter",
            "squaremeters",
        ],
    ),
    (Unit::Hectare, &["ha", "hectare", "hectares"]),
    (Unit::Acre, &["acre", "acres", "ac"]),
    (
        Unit::SquareFoot,
        &[
            "ft²",
            "ft2",
            "sqft",
            "sqfoot",
            "sqfeet",
            "sf",
            "squarefoot",
            "squarefeet",
        ],
    ),
    (Unit::Hour, &["h", "hr", "hrs", "hour", "hours"]),
    (Unit::Minute, &["min", "mins", "minute", "minutes"]),
];

impl Unit {
    /// Reads a unit's name without regard to case, spaces and punctuation.
    pub fn named(name: &str) -> Option<Self> {
        let folded: String = name
            .chars()
            .filter(|c| c.is_alphanumeric() || *c == '²')
            .flat_map(char::to_lowercase)
            .collect();
        SPELLINGS
            .iter()
            .find(|(_, names)| {
                names
                    .iter()
                    .any(|known| known.chars().filter(|c| *c != ' ').eq(folded.chars()))
            })
            .map(|(unit, _)| *unit)
    }

    /// How the unit is printed after a number.
    pub fn symbol(self) -> &'static str {
        SPELLINGS
            .iter()
            .find(|(unit, _)| *unit == self)
            .and_then(|(_, names)| names.first())
            .copied()
            .unwrap_or("")
    }

    pub fn dimension(self) -> Dimension {
        match self {
            Unit::Kilogram
            | Unit::Gram
            | Unit::Pound
            | Unit::Ounce
            | Unit::Tonne
            | Unit::ShortTon => Dimension::Mass,
            Unit::SquareMetre | Unit::Hectare | Unit::Acre | Unit::SquareFoot => Dimension::Area,
            Unit::Hour | Unit::Minute => Dimension::Time,
        }
    }

    /// How many kilograms, square metres or hours one of this unit is.
    pub fn factor(self) -> f64 {
        match self {
            Unit::Kilogram | Unit::SquareMetre | Unit::Hour => 1.0,
            Unit::Gram => 0.001,
            Unit::Pound => POUND,
            Unit::Ounce => POUND / 16.0,
            Unit::Tonne => 1000.0,
            Unit::ShortTon => POUND * 2000.0,
            Unit::Hectare => 10_000.0,
            Unit::Acre => 43_560.0 * FOOT * FOOT,
            Unit::SquareFoot => FOOT * FOOT,
            Unit::Minute => 1.0 / 60.0,
        }
    }

    /// All units of a dimension as a list for messages: `kg, g, lb, …`.
    pub fn choices(dimension: Dimension) -> String {
        SPELLINGS
            .iter()
            .filter(|(unit, _)| unit.dimension() == dimension)
            .map(|(unit, _)| unit.symbol())
            .collect::<Vec<_>>()
            .join(", ")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn factors_equal_their_definitions() {
        // NIST SP 811 (2008), appendix B.8: pound 4.535 924 E-01 kg, short ton 9.071 847 E+02 kg, ounce 2.834 952 E-02 kg,
        // acre (from 0.3048 m) 4.046 856 E+03 m2, square foot 9.290 304 E-02 m2. Values from memory of the table.
        for (unit, printed, digits) in [
            (Unit::Pound, 4.535_924e-1, 1e-7),
            (Unit::ShortTon, 9.071_847e2, 1e-4),
            (Unit::Ounce, 2.834_952e-2, 1e-8),
            (Unit::Acre, 4.046_856e3, 1e-3),
            (Unit::SquareFoot, 9.290_304e-2, 1e-12),
            // Tonne 1.0 E+03 kg, hectare 1.0 E+04 m2, hour 3.6 E+03 s and minute 6.0 E+01 s; the rest by the prefixes of table 5.
            (Unit::Tonne, 1e3, 0.0),
            (Unit::Hectare, 1e4, 0.0),
            (Unit::Minute, 6.0e1 / 3.6e3, 1e-17),
            (Unit::Gram, 1e-3, 0.0),
            (Unit::Kilogram, 1.0, 0.0),
            (Unit::SquareMetre, 1.0, 0.0),
            (Unit::Hour, 1.0, 0.0),
        ] {
            assert!((unit.factor() - printed).abs() <= digits, "{unit:?}");
        }
    }

    #[test]
    fn names_fold() {
        assert_eq!(Unit::named("Lbs."), Some(Unit::Pound));
        assert_eq!(Unit::named("short_ton"), Some(Unit::ShortTon));
        assert_eq!(Unit::named("m²"), Some(Unit::SquareMetre));
        for (unit, names) in [
            (Unit::Kilogram, &["KG", "Kgs.", "Kilos", "kilo-grams"][..]),
            (Unit::Gram, &["g.", "Grams", "gms"]),
            (Unit::Pound, &["LB", "Lbs", "lbs.", "Pounds"]),
            (Unit::Ounce, &["OZ", "oz.", "Ounces"]),
            (
                Unit::Tonne,
                &["T", "Tonnes", "metric tons", "Metric Ton", "MT"],
            ),
            (
                Unit::ShortTon,
                &[
                    "short tons",
                    "Short Ton",
                    "US tons",
                    "U.S. tons",
                    "tons (US)",
                    "tons (short)",
                ],
            ),
            (
                Unit::SquareMetre,
                &["sq m", "Sq. M.", "sq. metres", "m^2", "M²", "square meters"],
            ),
            (Unit::Hectare, &["HA", "ha.", "Hectares"]),
            (Unit::Acre, &["AC", "ac.", "Acres"]),
            (
                Unit::SquareFoot,
                &["sq ft", "Sq. Ft.", "ft^2", "FT²", "square feet", "sq. feet"],
            ),
            (Unit::Hour, &["H", "Hr", "hrs.", "HOURS"]),
            (Unit::Minute, &["Min", "mins.", "MINUTES"]),
        ] {
            for name in names {
                assert_eq!(Unit::named(name), Some(unit), "{name}");
            }
        }
        // Which ton, nobody can say; a long ton, a grain and a yard are none of ours.
        for none in ["stone", "ton", "tons", "long tons", "gr", "yd", "", "#"] {
            assert_eq!(Unit::named(none), None, "{none}");
        }
        for (unit, names) in SPELLINGS {
            for name in *names {
                assert_eq!(Unit::named(name), Some(*unit), "{name}");
            }
        }
    }
}
