//! A drawing in points, written as SVG 1.1.
//!
//! Takes shapes and text, gives one string. A shape with a number that is none is left out, so that no drawing ever holds
//! `NaN`; text is escaped.

use std::fmt::Write;

use crate::report::fonts::{self, FIGURE_FACE, settable};
use crate::report::palette::{Colour, PAPER};

/// Text size of charts and maps, in points: the scale's smallest step.
pub const SIZE: f64 = 7.4;

/// Where a line of text is held.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    Start,
    Middle,
    End,
}

/// How a line is drawn.
#[derive(Debug, Clone, Copy)]
pub struct Stroke {
    pub colour: Colour,
    pub width: f64,
    pub dashed: bool,
}

/// A plain line.
pub const fn stroke(colour: Colour, width: f64) -> Stroke {
    Stroke {
        colour,
        width,
        dashed: false,
    }
}

/// How a text is set.
#[derive(Debug, Clone, Copy)]
pub struct Lettering {
    pub size: f64,
    pub colour: Colour,
    pub bold: bool,
    pub anchor: Anchor,
}

impl Lettering {
    pub const fn new(colour: Colour, anchor: Anchor) -> Self {
        Self {
            size: SIZE,
            colour,
            bold: false,
            anchor,
        }
    }

    pub const fn bold(self) -> Self {
        Self { bold: true, ..self }
    }
}

/// A picture with the words that stand for it.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    pub svg: String,
    pub width: f64,
    pub height: f64,
    /// What the picture shows, for those who can't see it; made from the same data.
    pub alt: String,
}

/// A drawing in work.
pub struct Svg {
    width: f64,
    height: f64,
    body: String,
}

impl Svg {
    pub fn new(width: f64, height: f64) -> Self {
        Self {
            width,
            height,
            body: String::new(),
        }
    }

    pub fn rect(&mut self, x: f64, y: f64, width: f64, height: f64, fill: Colour) {
        if all_finite(&[x, y, width, height]) && width > 0.0 && height > 0.0 {
            self.put(format_args!(
                "<rect x=\"{x:.2}\" y=\"{y:.2}\" width=\"{width:.2}\" height=\"{height:.2}\" fill=\"{}\"/>",
                fill.hex
            ));
        }
    }

    pub fn line(&mut self, x1: f64, y1: f64, x2: f64, y2: f64, stroke: Stroke) {
        if all_finite(&[x1, y1, x2, y2]) {
            self.put(format_args!(
                "<line x1=\"{x1:.2}\" y1=\"{y1:.2}\" x2=\"{x2:.2}\" y2=\"{y2:.2}\"{}/>",
                stroke_text(stroke)
            ));
        }
    }

    pub fn circle(&mut self, x: f64, y: f64, radius: f64, fill: Colour, outline: Option<Stroke>) {
        if all_finite(&[x, y, radius]) {
            self.put(format_args!(
                "<circle cx=\"{x:.2}\" cy=\"{y:.2}\" r=\"{radius:.2}\" fill=\"{}\"{}/>",
                fill.hex,
                outline.map(stroke_text).unwrap_or_default()
            ));
        }
    }

    /// Rings of one shape; holes by the even-odd rule. Open lines where nothing is filled.
    pub fn path(&mut self, rings: &[Vec<(f64, f64)>], fill: Option<Colour>, outline: Stroke) {
        let mut data = String::new();
        for ring in rings {
            for (index, (x, y)) in ring
                .iter()
                .filter(|(x, y)| all_finite(&[*x, *y]))
                .enumerate()
            {
                let letter = if index == 0 { 'M' } else { 'L' };
                // Writing to a string can't fail.
                let _ = write!(data, "{letter}{x:.2} {y:.2}");
            }
            if fill.is_some() && !data.is_empty() {
                data.push('Z');
            }
        }
        if !data.is_empty() {
            self.put(format_args!(
                "<path d=\"{data}\" fill=\"{}\" fill-rule=\"evenodd\" stroke-linejoin=\"round\"{}/>",
                fill.map_or("none", |colour| colour.hex),
                stroke_text(outline)
            ));
        }
    }

    pub fn text(&mut self, x: f64, y: f64, text: &str, lettering: Lettering) {
        if !all_finite(&[x, y]) || text.is_empty() {
            return;
        }
        let anchor = match lettering.anchor {
            Anchor::Start => "start",
            Anchor::Middle => "middle",
            Anchor::End => "end",
        };
        self.put(format_args!(
            "<text x=\"{x:.2}\" y=\"{y:.2}\" font-size=\"{:.2}\" font-weight=\"{}\" fill=\"{}\" text-anchor=\"{anchor}\">{}</text>",
            lettering.size,
            if lettering.bold { 600 } else { 400 },
            lettering.colour.hex,
            escaped(&settable(text))
        ));
    }

    /// A text on a ground that is not plain: half-clear paper lies under it.
    pub fn on_paper(&mut self, x: f64, y: f64, text: &str, lettering: Lettering) {
        let wide = fonts::width(text, lettering.size, lettering.bold) + 2.0;
        let left = match lettering.anchor {
            Anchor::Start => x - 1.0,
            Anchor::Middle => x - wide / 2.0,
            Anchor::End => x - wide + 1.0,
        };
        if all_finite(&[left, y]) {
            let (top, high) = (y - lettering.size * 0.85, lettering.size * 1.1);
            self.put(format_args!(
                "<rect x=\"{left:.2}\" y=\"{top:.2}\" width=\"{wide:.2}\" height=\"{high:.2}\" rx=\"1.5\" fill=\"{}\" fill-opacity=\"0.8\"/>",
                PAPER.hex
            ));
        }
        self.text(x, y, text, lettering);
    }

    /// Everything until [`Svg::unclip`] shows only within this rectangle. One clip a drawing.
    pub fn clip(&mut self, x: f64, y: f64, width: f64, height: f64) {
        self.put(format_args!(
            "<clipPath id=\"c\"><rect x=\"{x:.2}\" y=\"{y:.2}\" width=\"{width:.2}\" height=\"{height:.2}\"/></clipPath>\n<g clip-path=\"url(#c)\">"
        ));
    }

    pub fn unclip(&mut self) {
        self.put(format_args!("</g>"));
    }

    pub fn finish(self, alt: String) -> Drawing {
        let Self {
            width,
            height,
            body,
        } = self;
        Drawing {
            svg: format!(
                "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width:.2}pt\" height=\"{height:.2}pt\" \
                 viewBox=\"0 0 {width:.2} {height:.2}\" font-family=\"{FIGURE_FACE}\">\n{body}</svg>\n"
            ),
            width,
            height,
            alt: settable(&alt),
        }
    }

    fn put(&mut self, element: std::fmt::Arguments<'_>) {
        let _ = writeln!(self.body, "{element}");
    }
}

fn all_finite(numbers: &[f64]) -> bool {
    // A coordinate beyond this is off every page.
    numbers
        .iter()
        .all(|number| number.is_finite() && number.abs() < 1e5)
}

fn stroke_text(stroke: Stroke) -> String {
    let dash = if stroke.dashed {
        " stroke-dasharray=\"2 1.6\""
    } else {
        ""
    };
    format!(
        " stroke=\"{}\" stroke-width=\"{:.2}\"{dash}",
        stroke.colour.hex, stroke.width
    )
}

fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            other => out.push(other),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::palette::{INK, POND};

    #[test]
    fn text_is_escaped_and_broken_numbers_are_left_out() {
        let mut svg = Svg::new(10.0, 10.0);
        svg.text(
            1.0,
            1.0,
            "<Heron & \"Bay\">",
            Lettering::new(INK, Anchor::Start),
        );
        svg.line(f64::NAN, 0.0, 1.0, 1.0, stroke(INK, 1.0));
        svg.rect(0.0, 0.0, f64::INFINITY, 1.0, POND);
        svg.circle(0.0, 1e300, 1.0, POND, None);
        svg.path(&[vec![(f64::NAN, 0.0)]], None, stroke(INK, 1.0));
        let drawing = svg.finish("alt".into());
        assert!(drawing.svg.contains("&lt;Heron &amp; &quot;Bay&quot;&gt;"));
        for word in ["NaN", "inf", "<line", "<rect", "<circle", "<path"] {
            assert!(!drawing.svg.contains(word), "{word}");
        }
    }
}
