//! Digits: rounding to a decimal place and writing with separators.
//!
//! Takes plain numbers, gives text as English writes it; [`super::number`] knows units, figures, and how other languages write.

use rust_decimal::Decimal;

use crate::phrase;

/// U+2212: a hyphen is too short beside figures, and a line may break behind it.
pub const MINUS: char = '\u{2212}';

/// What stands where there is no end.
pub const NO_LIMIT: &str = phrase!("without limit");

/// What stands where a reckoning broke.
pub const NO_NUMBER: &str = phrase!("not a number");

/// Above this a column of figures is no longer read; the number is then written as a power of ten.
const LONGEST: f64 = 1e12;

/// The decimal place at which a number with this standard error is written so that two significant digits of the error remain:
/// 2 for hundredths, 0 for whole numbers, −2 for hundreds.
///
/// `None` where the error is zero, negative or no number.
///
/// Source: Joint Committee for Guides in Metrology, *Evaluation of measurement data: Guide to the expression of uncertainty in
/// measurement*, JCGM 100:2008, 7.2.6: an uncertainty is quoted to at most two significant digits and the estimate is rounded
/// to agree with it.
pub fn place_of(standard_error: f64) -> Option<i32> {
    if !standard_error.is_finite() || standard_error <= 0.0 {
        return None;
    }
    // The formatter rounds in decimal, so that 0.0996 is seen as 0.10 and not as 0.099.
    let written = format!("{standard_error:.1e}");
    let exponent: i32 = written.split('e').nth(1)?.parse().ok()?;
    Some(1 - exponent)
}

/// A number rounded to a decimal place, with separators between thousands.
pub fn rounded(value: f64, place: i32) -> String {
    if !value.is_finite() {
        return if value.is_nan() {
            NO_NUMBER.to_owned()
        } else {
            NO_LIMIT.to_owned()
        };
    }
    if value.abs() >= LONGEST {
        return power_of_ten(value);
    }
    // Twelve decimals are finer than any scale, clock or survey; the bound keeps a hostile place from filling the page.
    let place = place.clamp(-12, 12);
    let text = if place >= 0 {
        // Not negative, so nothing is lost.
        format!("{value:.*}", place.unsigned_abs() as usize)
    } else {
        let step = 10f64.powi(-place);
        format!("{:.0}", (value / step).round() * step)
    };
    grouped(&text)
}

/// A number with as many decimals as it has, at most `most`.
pub fn trimmed(value: f64, most: i32) -> String {
    let text = rounded(value, most);
    if !text.contains('.') || text.contains('\u{d7}') {
        return text;
    }
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// A count.
pub fn count(value: usize) -> String {
    grouped(&value.to_string())
}

/// An amount of money to the cent, without its currency.
pub fn cents(amount: Decimal) -> String {
    let amount =
        amount.round_dp_with_strategy(2, rust_decimal::RoundingStrategy::MidpointAwayFromZero);
    grouped(&format!("{amount:.2}"))
}

/// `1.2 × 10^15` as text.
fn power_of_ten(value: f64) -> String {
    let written = format!("{value:.1e}");
    let (mantissa, exponent) = written.split_once('e').unwrap_or((&written, "0"));
    let raised: String = exponent
        .chars()
        .filter_map(|digit| digit.to_digit(10))
        .filter_map(|digit| "⁰¹²³⁴⁵⁶⁷⁸⁹".chars().nth(digit as usize))
        .collect();
    let mantissa = mantissa.replace('-', &MINUS.to_string());
    format!("{mantissa}\u{a0}\u{d7}\u{a0}10{raised}")
}

/// Puts a comma between thousands and a true minus before; a zero has no sign.
fn grouped(text: &str) -> String {
    let (negative, text) = match text.strip_prefix('-') {
        Some(rest) => (rest.chars().any(|c| ('1'..='9').contains(&c)), rest),
        None => (false, text),
    };
    let (whole, fraction) = match text.split_once('.') {
        Some((whole, fraction)) => (whole, Some(fraction)),
        None => (text, None),
    };
    let mut out = String::new();
    if negative {
        out.push(MINUS);
    }
    for (index, digit) in whole.chars().enumerate() {
        if index > 0 && (whole.len() - index).is_multiple_of(3) {
            out.push(',');
        }
        out.push(digit);
    }
    if let Some(fraction) = fraction {
        out.push('.');
        out.push_str(fraction);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_place_keeps_two_digits_of_the_standard_error() {
        for (error, place) in [
            (12.3, 0),
            (1.0, 1),
            (0.0996, 2),
            (0.01234, 3),
            (99.4, 0),
            (99.6, -1),
            (123.0, -1),
            (1_234.0, -2),
        ] {
            assert_eq!(place_of(error), Some(place), "{error}");
        }
        assert_eq!(place_of(0.0), None);
        assert_eq!(place_of(f64::NAN), None);
        assert_eq!(place_of(-1.0), None);
    }

    #[test]
    fn separators_signs_and_zeros() {
        for (value, place, text) in [
            (0.0, 0, "0"),
            (-0.004, 2, "0.00"),
            (999.0, 0, "999"),
            (1_000.0, 0, "1,000"),
            (1_234_567.891, 1, "1,234,567.9"),
            (-1_234.5, 1, "−1,234.5"),
            (12_345.0, -2, "12,300"),
            (-49.0, -2, "0"),
            (f64::INFINITY, 0, "without limit"),
            (3.4e20, 0, "3.4\u{a0}×\u{a0}10²⁰"),
        ] {
            assert_eq!(rounded(value, place), text);
        }
        assert_eq!(trimmed(412.0, 1), "412");
        assert_eq!(trimmed(412.46, 1), "412.5");
        assert_eq!(trimmed(1_000.0, 0), "1,000");
        assert_eq!(count(1_600), "1,600");
    }

    #[test]
    fn money_keeps_its_cents() {
        let amount = |text: &str| cents(text.parse().unwrap());
        assert_eq!(amount("9000"), "9,000.00");
        assert_eq!(amount("-12.345"), "−12.35");
        assert_eq!(amount("0.1"), "0.10");
        assert_eq!(amount("1234567.005"), "1,234,567.01");
    }
}
