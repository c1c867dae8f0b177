//! A budget line: what was spent as a bar within what was granted.

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use super::{Drawing, Scale, Svg, stroke};
use crate::report::number::{Style, money};
use crate::report::palette::{INK, MIST, POND};
use crate::words;

/// Fits a column of the table of spending.
const WIDTH: f64 = 96.0;
const HEIGHT: f64 = 9.0;

/// The drawing, on a scale that all lines of a grant share: `most` is the largest budget or spending among them.
pub fn draw(line: &str, budget: Decimal, spent: Decimal, most: Decimal, style: &Style) -> Drawing {
    let number = |amount: Decimal| amount.to_f64().unwrap_or(0.0).max(0.0);
    let across = Scale::new((0.0, number(most)), (0.0, WIDTH - 1.0));
    let mut svg = Svg::new(WIDTH, HEIGHT);
    svg.rect(0.0, 0.5, across.within(number(budget)), 8.0, MIST);
    svg.rect(0.0, 2.5, across.within(number(spent)), 4.0, POND);
    let x = across.within(number(budget));
    svg.line(x, 0.5, x, 8.5, stroke(INK, 0.9));
    svg.finish(style.say(words!(
        "{line}: {spent} spent of {granted} granted.",
        line,
        spent = money(spent, style),
        granted = money(budget, style)
    )))
}
