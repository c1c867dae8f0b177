//! Eye, horizon and light of a picture.
//!
//! Gives the way from metres to pixels, and the colours of an hour and its weather. Must not draw.

use super::canvas::{Colour, Spot, mix, rgb};
use crate::seed::Chance;

/// A level camera over flat water: x to the right, z away from the eye, in metres.
#[derive(Clone, Copy)]
pub struct View {
    pub wide: usize,
    pub high: usize,
    /// Row of the true horizon.
    pub horizon: f32,
    /// Pixels to a radian near the middle.
    pub focal: f32,
    /// Eye above water.
    pub eye: f32,
}

impl View {
    pub fn new(wide: usize, high: usize, horizon: f32, eye: f32) -> Self {
        // The longer side spans some 58 degrees, like a phone's main lens.
        let focal = wide.max(high) as f32 * 0.9;
        View {
            wide,
            high,
            horizon: horizon * high as f32,
            focal,
            eye,
        }
    }

    pub fn spot(&self, x: f32, up: f32, z: f32) -> Spot {
        let z = z.max(0.2);
        (
            self.wide as f32 / 2.0 + self.focal * x / z,
            self.horizon + self.focal * (self.eye - up) / z,
        )
    }

    /// The water under a pixel.
    pub fn ground(&self, x: f32, y: f32) -> (f32, f32) {
        let z = self.focal * self.eye / (y - self.horizon).max(0.5);
        ((x - self.wide as f32 / 2.0) * z / self.focal, z)
    }

    /// Pixels to a metre at a distance.
    pub fn size(&self, z: f32) -> f32 {
        self.focal / z.max(0.2)
    }

    /// The nearest water in the picture.
    pub fn near(&self) -> f32 {
        self.focal * self.eye / (self.high as f32 - self.horizon)
    }
}

/// Colours and weather of one outing's hour.
#[derive(Clone, Copy)]
pub struct Light {
    pub zenith: Colour,
    pub low: Colour,
    pub cloud: Colour,
    pub cloud_shade: Colour,
    pub haze: Colour,
    /// Multiplies everything that the sky lights.
    pub tint: Colour,
    /// Share of sky under cloud, 0 to 1.
    pub cloudy: f32,
    /// Where the sun stands, -1 left to 1 right.
    pub sun: f32,
    /// Contrast between lit and shaded sides.
    pub contrast: f32,
    /// Slope of the ripples.
    pub wind: f32,
    pub salt: u32,
}

impl Light {
    /// The light of a day and hour. Weather belongs to the day, so two photos of one hour agree.
    pub fn of(date: &str, second: u32, slack: &mut Chance) -> Self {
        let mut day = Chance::named(&format!("weather {date}"));
        let salt = day.bits() as u32;
        let kind = day.whole(0, 9);
        let hour = second as f32 / 3_600.0;
        // Eight in the morning is warm and low, noon is white and high.
        let morning = ((10.8 - hour) / 2.8).clamp(0.0, 1.0);
        let (cloudy, grey) = match kind {
            0..=3 => (day.between(0.12, 0.3), 0.0),
            4..=7 => (day.between(0.38, 0.55), 0.15),
            _ => (day.between(0.7, 0.85), 0.75),
        };
        let zenith = mix(
            mix(rgb(0x3f84c4), rgb(0x5590c2), morning),
            rgb(0x8d9aa5),
            grey,
        );
        let low = mix(
            mix(rgb(0xd9eaf0), rgb(0xf8e2c4), morning),
            rgb(0xcfd4d4),
            grey,
        );
        let lit = mix(
            mix(rgb(0xffffff), rgb(0xfff0da), morning),
            rgb(0xdfe2e2),
            grey,
        );
        let shade = mix(
            mix(rgb(0xb9c6d2), rgb(0xb9b3c0), morning),
            rgb(0x9aa2a9),
            grey,
        );
        Light {
            zenith,
            low,
            cloud: lit,
            cloud_shade: shade,
            haze: mix(low, zenith, 0.25),
            tint: mix(
                mix([1.0, 1.0, 0.98], [1.06, 0.99, 0.88], morning),
                [0.86, 0.89, 0.92],
                grey,
            ),
            cloudy,
            sun: mix([0.8; 3], [-0.2; 3], (hour - 8.0) / 5.0)[0]
                * if day.yes(0.5) { 1.0 } else { -1.0 },
            contrast: 1.0 - 0.6 * grey,
            wind: day.between(0.004, 0.014) * slack.between(0.85, 1.25),
            salt,
        }
    }

    pub fn lit(&self, colour: Colour) -> Colour {
        [0, 1, 2].map(|i| colour[i] * self.tint[i])
    }
}
