//! Water: the world above mirrored in ripples, over a dark body, with the plants' shade below it.
//!
//! Takes the painted upper world; fills the rows below its waterline.

use super::canvas::{Canvas, Colour, mix, rgb, scale, step};
use super::rosettes::Bed;
use super::view::{Light, View};
use crate::seed::{layered, noise};

/// The world above water: rows from `lift` rows over the picture's top down to a little below the waterline.
pub struct Above {
    pub canvas: Canvas,
    pub lift: usize,
    pub waterline: Vec<f32>,
}

pub fn paint(canvas: &mut Canvas, view: &View, above: &Above, bed: &Bed, light: &Light) {
    let body = light.lit(mix(rgb(0x1f3a3a), rgb(0x3c4a34), 0.35));
    let leaf = light.lit(bed.colour);
    let lift = above.lift as f32;
    for x in 0..canvas.wide {
        let foot = above.waterline[x];
        for y in 0..canvas.high {
            let row = y as f32;
            if row < foot {
                canvas.set(x, y, above.canvas.at(x, y + above.lift));
                continue;
            }
            let (east, away) = view.ground(x as f32, row);
            let (slope, across) = ripple(east, away, view, light);
            // A slope turns the mirrored ray by twice its angle.
            let push = 2.0 * view.focal;
            let mirror = |extra: f32| {
                let up = 2.0 * foot - row - (slope + extra) * push;
                above
                    .canvas
                    .sample(x as f32 + across * push * 0.5, (up.min(foot - 1.0)) + lift)
            };
            let smear = light.wind * 0.45;
            let seen = [
                mirror(-smear),
                mirror(0.0),
                mirror(smear),
                mirror(2.0 * smear),
            ]
            .into_iter()
            .fold([0.0; 3], |sum: Colour, part| {
                [0, 1, 2].map(|i| sum[i] + part[i] * 0.25)
            });
            let dip = view.eye / away.hypot(view.eye);
            let shine = 0.16 + 0.84 * (1.0 - dip).powi(4);
            let shine = (shine + slope * 9.0).clamp(0.05, 0.96);
            let deep = mix(body, scale(body, 0.72), step(18.0, 4.0, away));
            let mut colour = mix(deep, scale(seen, 0.93), shine);
            // Under a bed the water is dark and still; far beds merge into one green.
            let cover = bed.cover(east, away);
            if cover > 0.0 {
                let far = step(26.0, 60.0, away);
                let mottle = 0.82 + 0.36 * noise(east * 1.4, away * 0.5, light.salt);
                let green = scale(mix(leaf, light.haze, 0.1 + 0.12 * far), mottle);
                let under = mix(scale(leaf, 0.34), rgb(0x12201c), 0.4);
                colour = mix(colour, mix(under, green, far), cover * (0.62 + 0.3 * far));
            }
            // A dark seam below the bank.
            let seam = step(7.0, 0.0, row - foot) * 0.35;
            canvas.set(x, y, mix(colour, scale(body, 0.5), seam));
        }
    }
}

/// Slope of the water towards the eye and sideways. Waves finer than a pixel are left out: they are the smear.
fn ripple(east: f32, away: f32, view: &View, light: &Light) -> (f32, f32) {
    let gust = 0.45 + 1.1 * layered(east * 0.035 + 3.0, away * 0.05, 3, light.salt ^ 5);
    let mut sum = (0.0, 0.0);
    for (index, (wave, strength)) in [(0.55, 0.5), (1.3, 0.6), (3.4, 0.5)]
        .into_iter()
        .enumerate()
    {
        let rows = view.focal * view.eye / (away * away) / wave;
        let seen = step(0.5, 4.0, rows);
        if seen <= 0.0 {
            continue;
        }
        let salt = light.salt.wrapping_add(31 * index as u32);
        // Crests lie across the view, longer than they are wide.
        let (u, v) = (east * wave * 0.55, away * wave + east * 0.12);
        let here = noise(u, v, salt) - 0.5;
        let side = noise(u + 31.0, v * 0.8, salt) - 0.5;
        sum.0 += here * strength * seen;
        sum.1 += side * strength * seen;
    }
    (sum.0 * 2.0 * light.wind * gust, sum.1 * light.wind * gust)
}

/// Water from right above: dark, with a little sky in it and the pond's bottom shining through.
pub fn look_down(canvas: &mut Canvas, view: &View, sky: &Canvas, light: &Light) {
    let body = light.lit(rgb(0x1d2f2a));
    let floor = light.lit(rgb(0x4b4a30));
    for y in 0..canvas.high {
        for x in 0..canvas.wide {
            let (east, away) = view.ground(x as f32, y as f32);
            let (slope, across) = ripple(east * 1.6, away * 1.6, view, light);
            let murk = layered(east * 2.2, away * 2.2, 4, light.salt ^ 40);
            let deep = mix(body, floor, step(0.42, 0.75, murk) * 0.45);
            let row = canvas.high as f32 - y as f32 + slope * view.focal * 3.0;
            let seen = sky.sample(x as f32 + across * view.focal * 3.0, row);
            let shine = (0.2 + slope * 14.0).clamp(0.06, 0.5);
            canvas.set(x, y, mix(deep, seen, shine));
        }
    }
}
