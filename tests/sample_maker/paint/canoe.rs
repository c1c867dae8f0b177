//! A canoe with its crew, and the mirror of both in the water.
//!
//! Everything is put up in metres around the boat and projected; a second pass with heights turned over gives
//! the mirror.

use super::canvas::{Canvas, Colour, Spot, mix, rgb, scale};
use super::view::{Light, View};
use crate::seed::Chance;

pub struct Canoe {
    pub east: f32,
    pub away: f32,
    /// Radians from lying across the view.
    pub turn: f32,
    pub paint: Colour,
    pub crew: u32,
    pub bags: u32,
    pub seed: u64,
}

/// Half the length, half the width and the height of the side, in metres.
const HALF: f32 = 2.45;
const BEAM: f32 = 0.43;
const SIDE: f32 = 0.33;

struct Pen<'a> {
    view: &'a View,
    light: &'a Light,
    east: f32,
    away: f32,
    turn: (f32, f32),
    /// 1 upright, -1 for the mirror.
    up: f32,
}

impl Pen<'_> {
    /// Along the boat, across it (positive away from the eye), up.
    fn spot(&self, along: f32, across: f32, up: f32) -> Spot {
        let (sine, cosine) = self.turn;
        self.view.spot(
            self.east + along * cosine - across * sine,
            up * self.up,
            self.away + along * sine + across * cosine,
        )
    }

    fn tone(&self, colour: Colour) -> Colour {
        let colour = self.light.lit(colour);
        if self.up < 0.0 {
            mix(scale(colour, 0.62), rgb(0x22383a), 0.35)
        } else {
            colour
        }
    }

    fn size(&self) -> f32 {
        self.view.size(self.away)
    }
}

fn beam(along: f32) -> f32 {
    BEAM * (1.0 - (along / HALF).abs().powf(2.4)).max(0.0)
}

fn sheer(along: f32) -> f32 {
    SIDE + 0.24 * (along / HALF).abs().powf(3.2)
}

impl Canoe {
    pub fn paint(&self, canvas: &mut Canvas, view: &View, light: &Light) {
        for up in [-1.0, 1.0] {
            let pen = Pen {
                view,
                light,
                east: self.east,
                away: self.away,
                turn: self.turn.sin_cos(),
                up,
            };
            if up < 0.0 {
                let mut mirrored = canvas.clone();
                self.pass(&mut mirrored, &pen);
                merge(canvas, &mirrored, view, self, light);
            } else {
                self.pass(canvas, &pen);
            }
        }
    }

    fn pass(&self, canvas: &mut Canvas, pen: &Pen) {
        let mut chance = Chance::named(&format!("canoe {}", self.seed));
        let steps = 28;
        let line = |side: f32, up: fn(f32) -> f32, narrow: f32| -> Vec<Spot> {
            (0..=steps)
                .map(|index| {
                    let along = HALF * (index as f32 / steps as f32 * 2.0 - 1.0);
                    pen.spot(
                        along * if narrow < 1.0 { 0.965 } else { 1.0 },
                        side * beam(along) * narrow,
                        up(along),
                    )
                })
                .collect()
        };
        let far_rim = line(1.0, sheer, 1.0);
        let near_rim = line(-1.0, sheer, 1.0);
        let far_floor = line(1.0, |_| 0.05, 0.75);
        let near_water = line(-1.0, |_| 0.0, 0.8);
        let ring = |a: &[Spot], b: &[Spot]| -> Vec<Spot> {
            a.iter().chain(b.iter().rev()).copied().collect()
        };
        let paint = pen.tone(self.paint);
        canvas.fill(
            &ring(&far_rim, &far_floor),
            mix(scale(paint, 0.5), pen.tone(rgb(0x8a7150)), 0.5),
            1.0,
        );
        canvas.fill(
            &ring(&far_rim, &near_rim),
            mix(scale(paint, 0.34), pen.tone(rgb(0x6b5840)), 0.45),
            1.0,
        );
        canvas.trail(
            &far_rim,
            (pen.size() * 0.03).max(1.0),
            pen.tone(rgb(0x9b7a50)),
            1.0,
        );
        // Whoever sits further along sits behind.
        let places: [f32; 3] = [-1.45, 1.4, 0.1];
        let mut load: Vec<f32> = (0..self.bags)
            .map(|bag| -0.75 + 1.5 * bag as f32 / self.bags.max(2) as f32)
            .collect();
        load.sort_by(f32::total_cmp);
        for along in load {
            sack(canvas, pen, along, &mut chance);
        }
        for place in places.iter().take(self.crew as usize) {
            person(canvas, pen, *place, &mut chance);
        }
        let hull = ring(&near_rim, &near_water);
        let top = near_rim
            .iter()
            .map(|spot| spot.1)
            .fold(f32::INFINITY, f32::min);
        let foot = near_water
            .iter()
            .map(|spot| spot.1)
            .fold(f32::NEG_INFINITY, f32::max);
        canvas.fill_with(&hull, 1.0, |_, y| {
            let down = ((y - top) / (foot - top)).clamp(0.0, 1.0);
            let down = if pen.up < 0.0 { 1.0 - down } else { down };
            mix(scale(paint, 1.1), scale(paint, 0.6), down)
        });
        canvas.trail(
            &near_rim,
            (pen.size() * 0.036).max(1.0),
            pen.tone(rgb(0xc39a63)),
            1.0,
        );
    }
}

fn sack(canvas: &mut Canvas, pen: &Pen, along: f32, chance: &mut Chance) {
    let middle = pen.spot(along, 0.0, 0.34);
    let size = pen.size();
    let green = pen.tone(mix(rgb(0x6f8d3e), rgb(0x8aa04a), chance.unit()));
    canvas.ellipse(middle, size * 0.26, size * 0.2, scale(green, 0.7), 1.0);
    canvas.ellipse(
        (middle.0 - size * 0.03, middle.1 - size * 0.04 * pen.up),
        size * 0.2,
        size * 0.14,
        green,
        0.9,
    );
    let knot = pen.spot(along + 0.05, 0.0, 0.56);
    canvas.stroke(
        middle,
        knot,
        (size * 0.16, size * 0.05),
        scale(green, 0.8),
        1.0,
    );
}

/// A person in a life jacket and a brimmed hat, seen from some way off and without a face.
fn person(canvas: &mut Canvas, pen: &Pen, along: f32, chance: &mut Chance) {
    let jackets = [rgb(0xe0622c), rgb(0xd8a126), rgb(0xc23b36), rgb(0x2f6f8f)];
    let jacket = pen.tone(jackets[chance.whole(0, 3) as usize]);
    let sleeve = pen.tone(mix(rgb(0x5f7a86), rgb(0xc9bfa8), chance.unit()));
    let skin = pen.tone(mix(rgb(0xd9a884), rgb(0x7a5238), chance.unit()));
    let hat = pen.tone(mix(rgb(0xd9c28a), rgb(0x6f7f5c), chance.unit()));
    let lean = chance.between(0.1, 0.34) * if chance.yes(0.5) { 1.0 } else { -1.0 };
    let size = pen.size();
    let point = |x: f32, up: f32| pen.spot(along + x, -0.02, up);
    let hip = point(0.0, 0.3);
    let neck = point(lean, 0.86);
    let shoulder = |side: f32| point(lean * 0.92 + side * 0.17, 0.8);
    // Trousers, then the jacket as one rounded shape.
    canvas.ellipse(
        (hip.0, hip.1),
        size * 0.21,
        size * 0.13,
        scale(sleeve, 0.6),
        1.0,
    );
    let body = [
        (hip.0 - size * 0.17, hip.1),
        (shoulder(-1.0).0 - size * 0.03, shoulder(-1.0).1),
        (neck.0 - size * 0.07, neck.1),
        (neck.0 + size * 0.07, neck.1),
        (shoulder(1.0).0 + size * 0.03, shoulder(1.0).1),
        (hip.0 + size * 0.17, hip.1),
    ];
    canvas.fill_with(&body, 1.0, |x, _| {
        let side = ((x - hip.0) / (size * 0.4)).clamp(-1.0, 1.0);
        scale(
            jacket,
            1.0 + 0.16 * side * pen.light.sun.signum() * pen.light.contrast,
        )
    });
    let belt = ((hip.0 * 0.6 + neck.0 * 0.4), (hip.1 * 0.6 + neck.1 * 0.4));
    canvas.stroke(
        (belt.0 - size * 0.17, belt.1),
        (belt.0 + size * 0.17, belt.1),
        (size * 0.03, size * 0.03),
        scale(jacket, 0.62),
        1.0,
    );
    // One arm reaches down to the water, with a plant or a paddle at its end.
    let reach = if lean > 0.0 { 1.0 } else { -1.0 };
    let elbow = pen.spot(along + lean + reach * 0.34, -0.3, 0.56);
    let hand = pen.spot(along + lean + reach * 0.42, -0.62, 0.22);
    canvas.trail(&[shoulder(reach), elbow], size * 0.11, sleeve, 1.0);
    canvas.trail(&[elbow, hand], size * 0.085, sleeve, 1.0);
    canvas.ellipse(hand, size * 0.06, size * 0.06, pen.tone(rgb(0x3d6b59)), 1.0);
    if chance.yes(0.55) {
        for leaf in 0..9 {
            let turn = leaf as f32 * 0.7;
            let tip = (
                hand.0 + size * 0.15 * turn.cos(),
                hand.1 + size * 0.1 * turn.sin(),
            );
            canvas.stroke(
                hand,
                tip,
                (size * 0.02, size * 0.07),
                pen.tone(rgb(0x6f9440)),
                1.0,
            );
        }
    } else {
        let grip = pen.spot(along + lean - reach * 0.1, -0.2, 1.05);
        let blade = pen.spot(along + lean + reach * 0.62, -0.85, -0.1);
        canvas.stroke(
            grip,
            blade,
            (size * 0.035, size * 0.035),
            pen.tone(rgb(0xb98d55)),
            1.0,
        );
        canvas.stroke(
            hand,
            blade,
            (size * 0.03, size * 0.13),
            pen.tone(rgb(0xa87b45)),
            1.0,
        );
    }
    let head = point(lean * 1.08, 1.0);
    canvas.stroke(
        neck,
        head,
        (size * 0.09, size * 0.09),
        scale(skin, 0.8),
        1.0,
    );
    canvas.ellipse(head, size * 0.095, size * 0.115, skin, 1.0);
    let brim = (head.0, head.1 - size * 0.045 * pen.up);
    canvas.ellipse(brim, size * 0.19, size * 0.05, scale(hat, 0.8), 1.0);
    let crown = (head.0, head.1 - size * 0.1 * pen.up);
    canvas.ellipse(crown, size * 0.105, size * 0.085, hat, 1.0);
}

/// Lays the mirrored pass over the water: broken by ripples, weaker with depth.
fn merge(canvas: &mut Canvas, mirrored: &Canvas, view: &View, canoe: &Canoe, light: &Light) {
    let reach = view.size(canoe.away) * (HALF + 1.2);
    let middle = view.spot(canoe.east, 0.0, canoe.away);
    let clean = canvas.clone();
    let left = (middle.0 - reach).max(0.0) as usize;
    let right = ((middle.0 + reach).max(0.0) as usize).min(canvas.wide.saturating_sub(1));
    let below = ((middle.1 + view.size(canoe.away) * 1.9).max(0.0) as usize).min(canvas.high - 1);
    let above = (middle.1 - view.size(canoe.away) * 0.5).max(0.0) as usize;
    for y in above..=below {
        let (_, away) = view.ground(0.0, y as f32);
        let sway =
            (crate::seed::noise(away * 9.0, 4.0, light.salt) - 0.5) * light.wind * view.focal * 0.7;
        for x in left..=right {
            let (from_x, from_y) = (x as f32 + sway, y as f32);
            let (a, b) = (
                mirrored.sample(from_x, from_y),
                clean.sample(from_x, from_y),
            );
            if a != b {
                canvas.blend(x, y, a, 0.72);
            }
        }
    }
}
