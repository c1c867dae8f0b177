//! How single values of season.toml are written: dates, moments of a camera's clock, corrections, and amounts of money.

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

/// A moment on a camera's clock: a date, or a date and a time.
fn moment<E: serde::de::Error>(
    value: &toml::Value,
    otherwise: chrono::NaiveTime,
) -> Result<chrono::NaiveDateTime, E> {
    let text = match value {
        toml::Value::Datetime(stamp) => stamp.to_string(),
        toml::Value::String(text) => text.trim().to_owned(),
        other => other.to_string(),
    };
    let text = text.replacen('T', " ", 1);
    ["%Y-%m-%d %H:%M:%S%.f", "%Y-%m-%d %H:%M"]
        .iter()
        .find_map(|form| chrono::NaiveDateTime::parse_from_str(&text, form).ok())
        .or_else(|| {
            let day = chrono::NaiveDate::parse_from_str(&text, "%Y-%m-%d").ok()?;
            Some(day.and_time(otherwise))
        })
        .ok_or_else(|| {
            E::custom(format!(
                "{text} is no moment; write it as \"2025-07-04 09:30\", or as a date"
            ))
        })
}

/// The first moment of something: a date alone means from its midnight.
pub mod since {
    use chrono::{NaiveDateTime, NaiveTime};
    use serde::{Deserialize, Deserializer};

    pub fn deserialize<'de, D: Deserializer<'de>>(
        deserializer: D,
    ) -> Result<Option<NaiveDateTime>, D::Error> {
        let value = toml::Value::deserialize(deserializer)?;
        super::moment(&value, NaiveTime::MIN).map(Some)
    }
}

/// The last moment of something: a date alone means to its end.
pub mod until {
    use chrono::{NaiveDateTime, NaiveTime};
    use serde::{Deserialize, Deserializer};

    pub fn deserialize<'de, D: Deserializer<'de>>(
        deserializer: D,
    ) -> Result<Option<NaiveDateTime>, D::Error> {
        let value = toml::Value::deserialize(deserializer)?;
        let end = NaiveTime::from_hms_nano_opt(23, 59, 59, 999_999_999).unwrap_or_default();
        super::moment(&value, end).map(Some)
    }
}

/// A clock's correction in seconds, as photos.csv writes it.
pub mod correction {
    use serde::{Deserialize, Deserializer, de::Error};

    use crate::season::photo_notes::seconds;

    pub fn deserialize<'de, D: Deserializer<'de>>(deserializer: D) -> Result<i64, D::Error> {
        let value = toml::Value::deserialize(deserializer)?;
        let text = match &value {
            toml::Value::String(text) => text.trim().to_owned(),
            other => other.to_string(),
        };
        seconds(&text).ok_or_else(|| {
            D::Error::custom(format!(
                "{text} is no correction of a clock; write it as \"-1:00:00\", or in seconds"
            ))
        })
    }
}
