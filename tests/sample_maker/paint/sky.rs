//! Sky with a gradient and clouds that lie in a plane overhead.
//!
//! Takes light and a horizon row; fills a canvas down to that row.

use super::canvas::{Canvas, mix, step};
use super::view::Light;
use crate::seed::layered;

/// Fills all rows above `horizon`; `focal` in pixels.
pub fn paint(canvas: &mut Canvas, horizon: f32, focal: f32, light: &Light) {
    let middle = canvas.wide as f32 / 2.0;
    let salt = light.salt;
    for y in 0..canvas.high.min(horizon.ceil() as usize + 1) {
        let climb = ((horizon - y as f32) / focal).max(0.0);
        let clear = mix(light.low, light.zenith, (climb * 1.9).powf(0.62));
        // A cloud layer at one height over the eye: near the horizon it crowds together.
        let away = 1.0 / (climb + 0.055);
        for x in 0..canvas.wide {
            let side = (x as f32 - middle) / focal;
            let glow =
                step(1.3, 0.0, (side - light.sun * 0.6).abs()) * step(0.5, 0.0, climb) * 0.35;
            let mut colour = mix(clear, light.low, glow);
            // A root of the distance: true perspective would draw every cloud out into a streak.
            let depth = away.powf(0.55);
            let (u, v) = (side * depth * 1.5 + 40.0, depth * 1.7);
            let puff = layered(u, v, 5, salt);
            let edge = 0.62 - light.cloudy * 0.28;
            let thick = step(edge, edge + 0.13, puff);
            if thick > 0.0 {
                let toward = layered(u + 0.14 * light.sun.signum(), v - 0.22, 4, salt);
                let lit = (0.55 + (puff - toward) * 3.4 * light.contrast).clamp(0.0, 1.0);
                let body = mix(light.cloud_shade, light.cloud, lit);
                // Far clouds fade into the haze.
                let body = mix(light.low, body, step(0.0, 0.16, climb) * 0.75 + 0.25);
                colour = mix(colour, body, thick * (0.55 + 0.45 * light.cloudy));
            }
            canvas.set(x, y, colour);
        }
    }
}
