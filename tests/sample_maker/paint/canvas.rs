//! A canvas of soft colours and the few shapes that everything is drawn with.
//!
//! Takes shapes in pixels; gives pixels. Edges are smooth: four lines of samples a row, exact along the row.
//! Must not know what a shape stands for.

use image::RgbImage;

/// Red, green and blue from 0 to 255.
pub type Colour = [f32; 3];
/// Across and down, in pixels.
pub type Spot = (f32, f32);

pub const fn rgb(hex: u32) -> Colour {
    [
        (hex >> 16 & 255) as f32,
        (hex >> 8 & 255) as f32,
        (hex & 255) as f32,
    ]
}

pub fn mix(a: Colour, b: Colour, share: f32) -> Colour {
    let share = share.clamp(0.0, 1.0);
    [0, 1, 2].map(|i| a[i] + (b[i] - a[i]) * share)
}

pub fn scale(colour: Colour, by: f32) -> Colour {
    colour.map(|part| part * by)
}

pub fn step(low: f32, high: f32, value: f32) -> f32 {
    let t = ((value - low) / (high - low)).clamp(0.0, 1.0);
    t * t * (3.0 - 2.0 * t)
}

#[derive(Clone)]
pub struct Canvas {
    pub wide: usize,
    pub high: usize,
    pixels: Vec<Colour>,
}

/// Lines of samples in a row of pixels.
const LINES: usize = 4;

impl Canvas {
    pub fn new(wide: usize, high: usize) -> Self {
        Canvas {
            wide,
            high,
            pixels: vec![[0.0; 3]; wide * high],
        }
    }

    pub fn at(&self, x: usize, y: usize) -> Colour {
        self.pixels[y.min(self.high - 1) * self.wide + x.min(self.wide - 1)]
    }

    pub fn set(&mut self, x: usize, y: usize, colour: Colour) {
        if x < self.wide && y < self.high {
            self.pixels[y * self.wide + x] = colour;
        }
    }

    pub fn blend(&mut self, x: usize, y: usize, colour: Colour, share: f32) {
        if x < self.wide && y < self.high && share > 0.0 {
            let pixel = &mut self.pixels[y * self.wide + x];
            *pixel = mix(*pixel, colour, share);
        }
    }

    /// The colour between pixels; outside the canvas that of its edge.
    pub fn sample(&self, x: f32, y: f32) -> Colour {
        let x = x.clamp(0.0, self.wide as f32 - 1.001);
        let y = y.clamp(0.0, self.high as f32 - 1.001);
        let (i, j) = (x as usize, y as usize);
        let (u, v) = (x - i as f32, y - j as f32);
        mix(
            mix(self.at(i, j), self.at(i + 1, j), u),
            mix(self.at(i, j + 1), self.at(i + 1, j + 1), u),
            v,
        )
    }

    pub fn fill(&mut self, outline: &[Spot], colour: Colour, opacity: f32) {
        self.fill_with(outline, opacity, |_, _| colour);
    }

    /// Fills an outline (even-odd) with a colour that depends on the place.
    pub fn fill_with(
        &mut self,
        outline: &[Spot],
        opacity: f32,
        colour: impl Fn(f32, f32) -> Colour,
    ) {
        let bounds = |pick: fn(f32, f32) -> f32, start: f32, of: fn(&Spot) -> f32| {
            outline.iter().map(of).fold(start, pick)
        };
        let (left, right) = (
            bounds(f32::min, 1e9, |s| s.0),
            bounds(f32::max, -1e9, |s| s.0),
        );
        let (top, bottom) = (
            bounds(f32::min, 1e9, |s| s.1),
            bounds(f32::max, -1e9, |s| s.1),
        );
        if outline.len() < 3
            || right < 0.0
            || bottom < 0.0
            || left >= self.wide as f32
            || top >= self.high as f32
        {
            return;
        }
        let first = left.max(0.0) as usize;
        let last = (right.ceil() as usize).min(self.wide - 1);
        let mut cover = vec![0.0f32; last - first + 1];
        let mut crossings = Vec::new();
        for y in top.max(0.0) as usize..=(bottom.ceil() as usize).min(self.high - 1) {
            cover.fill(0.0);
            for line in 0..LINES {
                let level = y as f32 + (line as f32 + 0.5) / LINES as f32;
                crossings.clear();
                for index in 0..outline.len() {
                    let (a, b) = (outline[index], outline[(index + 1) % outline.len()]);
                    if (a.1 <= level) != (b.1 <= level) {
                        crossings.push(a.0 + (level - a.1) / (b.1 - a.1) * (b.0 - a.0));
                    }
                }
                crossings.sort_by(f32::total_cmp);
                for pair in crossings.chunks_exact(2) {
                    span(&mut cover, pair[0] - first as f32, pair[1] - first as f32);
                }
            }
            for (index, share) in cover.iter().enumerate() {
                if *share > 0.0 {
                    let x = first + index;
                    let ink = colour(x as f32, y as f32);
                    self.blend(x, y, ink, opacity * share.min(1.0));
                }
            }
        }
    }

    pub fn ellipse(&mut self, at: Spot, across: f32, down: f32, colour: Colour, opacity: f32) {
        // A corner for every few pixels of the rim.
        let corners = (6.0 + across.max(down) * 1.2).min(48.0) as usize;
        let outline: Vec<Spot> = (0..corners)
            .map(|index| {
                let turn = index as f32 / corners as f32 * std::f32::consts::TAU;
                (at.0 + across * turn.cos(), at.1 + down * turn.sin())
            })
            .collect();
        self.fill(&outline, colour, opacity);
    }

    /// A line with round ends, narrowing from one width to another.
    pub fn stroke(
        &mut self,
        from: Spot,
        to: Spot,
        widths: (f32, f32),
        colour: Colour,
        opacity: f32,
    ) {
        let (along, down) = (to.0 - from.0, to.1 - from.1);
        let length = along.hypot(down).max(1e-3);
        let (x, y) = (-down / length * 0.5, along / length * 0.5);
        let outline = [
            (from.0 + x * widths.0, from.1 + y * widths.0),
            (to.0 + x * widths.1, to.1 + y * widths.1),
            (to.0 - x * widths.1, to.1 - y * widths.1),
            (from.0 - x * widths.0, from.1 - y * widths.0),
        ];
        self.fill(&outline, colour, opacity);
    }

    /// Strokes through all points, with joints rounded where they would show.
    pub fn trail(&mut self, points: &[Spot], width: f32, colour: Colour, opacity: f32) {
        for pair in points.windows(2) {
            self.stroke(pair[0], pair[1], (width, width), colour, opacity);
        }
        if width > 2.0 && opacity >= 1.0 {
            for point in points {
                self.ellipse(*point, width / 2.0, width / 2.0, colour, opacity);
            }
        }
    }

    /// The finished picture: slightly darker corners and a fine grain, so that flat tones print well.
    pub fn finish(&self, grain: u32) -> RgbImage {
        let (middle_x, middle_y) = (self.wide as f32 / 2.0, self.high as f32 / 2.0);
        RgbImage::from_fn(self.wide as u32, self.high as u32, |x, y| {
            let (dx, dy) = (
                (x as f32 - middle_x) / middle_x,
                (y as f32 - middle_y) / middle_y,
            );
            let shade = 1.0 - 0.07 * (dx * dx + dy * dy);
            let speck = (crate::seed::lattice(x as i32, y as i32, grain) - 0.5) * 3.0;
            let pixel = self.at(x as usize, y as usize);
            image::Rgb(pixel.map(|part| (part * shade + speck).round().clamp(0.0, 255.0) as u8))
        })
    }
}

/// Adds one line's span to the cover of a row, with the exact share at both ends.
fn span(cover: &mut [f32], from: f32, to: f32) {
    let share = 1.0 / LINES as f32;
    let (from, to) = (
        from.clamp(0.0, cover.len() as f32),
        to.clamp(0.0, cover.len() as f32),
    );
    if to <= from {
        return;
    }
    let (first, last) = (from as usize, (to as usize).min(cover.len() - 1));
    if first >= last {
        if let Some(cell) = cover.get_mut(first) {
            *cell += share * (to - from);
        }
        return;
    }
    cover[first] += share * (first as f32 + 1.0 - from);
    for cell in &mut cover[first + 1..last] {
        *cell += share;
    }
    cover[last] += share * (to - last as f32);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn half_a_pixel_is_half_covered() {
        let mut canvas = Canvas::new(4, 4);
        canvas.fill(
            &[(1.0, 1.0), (2.5, 1.0), (2.5, 2.0), (1.0, 2.0)],
            [200.0; 3],
            1.0,
        );
        assert_eq!(canvas.at(1, 1)[0], 200.0);
        assert_eq!(canvas.at(2, 1)[0], 100.0);
        assert_eq!(canvas.at(3, 1)[0], 0.0);
        assert_eq!(canvas.at(1, 2)[0], 0.0);
    }
}
