//! How single values of season.toml are written: dates and amounts of money.

/// A date written as a TOML date or as a text.
pub mod day {
    use chrono::NaiveDate;
    use serde::{Deserialize, Deserializer, de::Error};

    pub fn deserialize<'de, D: Deserializer<'de>>(
        deserializer: D,
    ) -> Result<Option<NaiveDate>, D::Error> {
        let value = toml::Value::deserialize(deserializer)?;
        let text = match &value {
            toml::Value::Datetime(stamp) => stamp.to_string(),
            toml::Value::String(text) => text.clone(),
            other => other.to_string(),
        };
        text.get(..10)
            .and_then(|day| NaiveDate::parse_from_str(day, "%Y-%m-%d").ok())
            .map(Some)
            .ok_or_else(|| D::Error::custom(format!("{text} is no date; write it as 2025-07-04")))
    }
}

/// Money: a text in quotes, or a whole number of units.
pub mod money {
    use rust_decimal::Decimal;
    use serde::{Deserialize, Deserializer, de::Error};

    pub fn deserialize<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Decimal, D::Error> {
        let value = toml::Value::deserialize(deserializer)?;
        let text = match &value {
            toml::Value::String(text) => text.replace([',', ' '], ""),
            toml::Value::Integer(number) => number.to_string(),
            // The shortest text of a binary fraction is what was typed.
            toml::Value::Float(number) => number.to_string(),
            other => other.to_string(),
        };
        text.trim_start_matches(['$', '€', '£'])
            .parse()
            .map_err(|_| {
                D::Error::custom(format!(
                    "{text} is no amount of money; write it as \"1250.00\""
                ))
            })
    }
}

pub mod money_option {
    use rust_decimal::Decimal;
    use serde::Deserializer;

    pub fn deserialize<'de, D: Deserializer<'de>>(
        deserializer: D,
    ) -> Result<Option<Decimal>, D::Error> {
        super::money::deserialize(deserializer).map(Some)
    }
}
