//! The outlook: rosettes a year under three courses, each a middle line in the range of its scenarios, on an axis of powers of ten.

use super::{
    Anchor, Drawing, HAIR, Lettering, NAME, SIZE, SMALL, Scale, Stroke, Svg, WIDTH, cut, held,
    stroke,
};
use crate::figure::{Figure, Outturn};
use crate::report::digits;
use crate::report::number::{Style, print};
use crate::report::palette::{BARK, BAY, Colour, HUSK, INK, MIST, MUTED, POND};
use crate::{phrase, words};

const HEIGHT: f64 = 212.0;
const LEFT: f64 = 52.0;
const TOP: f64 = 22.0;
const BOTTOM: f64 = 16.0;
/// Room for the names of the courses.
const NAMES: f64 = 112.0;
/// Least distance of two names.
const APART: f64 = 10.0;
/// Below one rosette there is none: the axis ends there.
const FLOOR: f64 = 1.0;

/// A course of action.
pub struct Course<'a> {
    /// At the line's end.
    pub name: &'static str,
    pub years: Vec<(i32, &'a Figure)>,
    pub hue: Hue,
}

/// How a course is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hue {
    /// For comparison only.
    Pale,
    Warm,
    Deep,
}

impl Hue {
    fn colours(self) -> (Colour, Colour) {
        match self {
            Self::Pale => (MIST, MUTED),
            Self::Warm => (HUSK, BARK),
            Self::Deep => (BAY, POND),
        }
    }
}

/// The drawing; `None` with fewer than two years that have scenarios. Courses are drawn in their order, the last on top.
pub fn draw(courses: &[Course<'_>], style: &Style) -> Option<Drawing> {
    let spans: Vec<Vec<(i32, f64, f64, f64)>> = courses
        .iter()
        .map(|course| course.years.iter().filter_map(span).collect())
        .collect();
    let years = || spans.iter().flatten().map(|(year, ..)| *year);
    let (first, last) = (years().min()?, years().max()?);
    if last <= first {
        return None;
    }
    let most = spans
        .iter()
        .flatten()
        .map(|(.., high)| *high)
        .filter(|high| high.is_finite())
        .fold(10.0, f64::max);
    // Powers of ten up to the largest double are 308.
    let powers = most.log10().ceil().clamp(1.0, 12.0);
    let base = HEIGHT - BOTTOM;
    let right = WIDTH - NAMES;
    let up = Scale::new((0.0, powers), (base, TOP));
    let y = |value: f64| up.within(value.max(FLOOR).log10());
    let across = Scale::new(
        (f64::from(first), f64::from(last)),
        (LEFT + 8.0, right - 8.0),
    );
    let mut svg = Svg::new(WIDTH, HEIGHT);
    let what = style
        .language
        .of(phrase!("rosettes that grow up in a year"));
    svg.text(0.0, 8.0, what, SMALL);
    let every = if powers > 6.0 { 2 } else { 1 };
    for power in (0..=powers as u32).step_by(every) {
        let at = up.at(f64::from(power));
        svg.line(LEFT, at, right, at, HAIR);
        let text = style.digits(&digits::rounded(10f64.powi(power as i32), 0));
        svg.text(LEFT - 5.0, at + 2.6, &text, held(SMALL, Anchor::End));
    }
    let mut ends: Vec<(f64, &str, Colour)> = Vec::new();
    for (course, span) in courses.iter().zip(&spans) {
        let (fill, line) = course.hue.colours();
        let x = |year: i32| across.at(f64::from(year));
        let upper: Vec<(f64, f64)> = span
            .iter()
            .map(|(year, .., high)| (x(*year), y(*high)))
            .collect();
        let lower: Vec<(f64, f64)> = span
            .iter()
            .map(|(year, low, ..)| (x(*year), y(*low)))
            .collect();
        let ring = upper.iter().chain(lower.iter().rev()).copied().collect();
        let edge = Stroke {
            dashed: true,
            ..stroke(line, 0.5)
        };
        svg.path(&[ring], Some(fill), stroke(fill, 0.2));
        svg.path(&[upper], None, edge);
        svg.path(&[lower], None, edge);
    }
    for (course, span) in courses.iter().zip(&spans) {
        let (_, line) = course.hue.colours();
        let middle: Vec<(f64, f64)> = span
            .iter()
            .map(|(year, _, middle, _)| (across.at(f64::from(*year)), y(*middle)))
            .collect();
        if let Some((_, at)) = middle.last() {
            ends.push((*at, course.name, line));
        }
        svg.path(&[middle], None, stroke(line, 1.6));
    }
    svg.line(LEFT, base, right, base, stroke(INK, 0.8));
    let span = last - first;
    let step = if span > 8 { 2 } else { 1 };
    for year in (first..=last).step_by(step) {
        svg.text(
            across.at(f64::from(year)),
            base + 12.0,
            &year.to_string(),
            held(NAME, Anchor::Middle),
        );
    }
    names(&mut svg, ends, right, base);
    Some(svg.finish(told(courses, style)))
}

/// The courses' names at the ends of their lines, moved apart where they would touch.
fn names(svg: &mut Svg, mut ends: Vec<(f64, &str, Colour)>, right: f64, base: f64) {
    ends.sort_by(|a, b| a.0.total_cmp(&b.0));
    let count = ends.len();
    let mut lowest = f64::NEG_INFINITY;
    for (index, (at, name, colour)) in ends.into_iter().enumerate() {
        // Those that come after need room above the axis.
        let room = base - APART * (count - 1 - index) as f64;
        let place = at.min(room).max(lowest + APART);
        lowest = place;
        svg.text(
            right + 2.0,
            place + 2.6,
            &cut(name, NAMES - 6.0, SIZE),
            Lettering::new(colour, Anchor::Start).bold(),
        );
    }
}

fn span((year, figure): &(i32, &Figure)) -> Option<(i32, f64, f64, f64)> {
    match &figure.outturn {
        Outturn::Supposed(range) => {
            let middle = range.middle?;
            Some((*year, range.lower, middle, range.upper))
        }
        _ => None,
    }
}

fn told(courses: &[Course<'_>], style: &Style) -> String {
    let each: Vec<String> = courses
        .iter()
        .filter_map(|course| {
            let (first, last) = (course.years.first()?, course.years.last()?);
            let text =
                |(year, figure): &(i32, &Figure)| format!("{year} {}", print(figure, style).text);
            Some(style.say(words!(
                "{course}: {first}, {last}",
                course = course.name,
                first = text(first),
                last = text(last)
            )))
        })
        .collect();
    style.say(words!(
        "Rosettes that grow up in a year, scenarios from what was supposed. {courses}.",
        courses = each.join("; ")
    ))
}
