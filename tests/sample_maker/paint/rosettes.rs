//! Water chestnut: floating rosettes, one by one near the eye, thinner and thinner away from it.
//!
//! A rosette is a disc of rhomboid leaves, toothed on their outer edges, on swollen stalks around one crown.

use super::canvas::{Canvas, Colour, Spot, mix, rgb, scale, step};
use super::view::{Light, View};
use crate::seed::{Chance, lattice, layered};

/// Where plants grow and how they look.
#[derive(Clone)]
pub struct Bed {
    pub salt: u32,
    /// Share of the water under plants before anybody pulls, 0 to 1.
    pub amount: f32,
    /// Share of the rosettes still there: 1 before, a little after.
    pub kept: f32,
    /// Metres across a patch.
    pub patch: f32,
    /// Radius of a grown rosette in metres.
    pub radius: f32,
    pub colour: Colour,
    pub flowers: bool,
    /// Metres from the eye within which the work has been done; beyond, the bed still stands.
    pub done: f32,
}

impl Bed {
    /// How dense the plants once stood at a spot, 0 to 1.
    fn dense(&self, east: f32, away: f32) -> f32 {
        let stretch = layered(
            east / self.patch + 50.0,
            away / self.patch * 0.8,
            4,
            self.salt,
        );
        // Layered noise is rarely below 0.25 or above 0.75.
        let edge = 0.75 - 0.5 * self.amount;
        step(edge - 0.05, edge + 0.06, stretch)
    }

    fn kept_at(&self, away: f32) -> f32 {
        self.kept + (1.0 - self.kept) * step(self.done, self.done * 1.25, away)
    }

    /// Share of the water hidden by leaves.
    pub fn cover(&self, east: f32, away: f32) -> f32 {
        let kept = self.kept_at(away);
        self.dense(east, away) * if kept > 0.5 { kept } else { kept * 0.5 }
    }
}

/// The look of a bed by its month and stage: small and yellow-green first, then large and deep, reddish at the end.
pub fn bed_of(stage: &str, seed: &str) -> Bed {
    let (radius, colour) = match stage {
        "seedling" => (0.055, rgb(0xa3b455)),
        "rosette" => (0.115, rgb(0x7fa242)),
        "flowering" => (0.145, rgb(0x648f3f)),
        "fruiting" => (0.165, rgb(0x6a8a3c)),
        _ => (0.165, rgb(0x8a8440)),
    };
    let salt = Chance::named(&format!("bed {seed}")).bits() as u32;
    Bed {
        salt,
        amount: 0.6,
        kept: 1.0,
        patch: 9.0,
        radius,
        colour,
        flowers: stage == "flowering",
        done: 1e6,
    }
}

/// Paints all rosettes of a bed between two distances, far ones first.
pub fn paint(canvas: &mut Canvas, view: &View, bed: &Bed, light: &Light, (near, far): (f32, f32)) {
    let pitch = bed.radius * 1.55;
    let last = (far / pitch) as i32;
    let first = (near * 0.92 / pitch) as i32;
    for row in (first..=last).rev() {
        let half = (row as f32 * pitch) * view.wide as f32 / view.focal / 2.0 + bed.radius * 2.0;
        let columns = (half / pitch) as i32;
        for column in -columns..=columns {
            let pick = |salt: u32| lattice(column, row, bed.salt.wrapping_add(salt));
            let east = (column as f32 + pick(1) - 0.5) * pitch;
            let away = (row as f32 + pick(2) - 0.5) * pitch;
            if away < near || pick(3) > bed.dense(east, away) * 0.96 {
                continue;
            }
            if pick(4) > bed.kept_at(away) {
                continue;
            }
            let radius = bed.radius * (0.62 + 0.55 * pick(5));
            let tone = 0.84 + 0.3 * pick(6);
            let rosette = Rosette {
                east,
                away,
                radius,
                tone,
                turn: pick(7) * 6.3,
                salt: (pick(8) * 1e6) as u32,
            };
            rosette.paint(canvas, view, bed, light);
        }
    }
}

pub struct Rosette {
    pub east: f32,
    pub away: f32,
    pub radius: f32,
    pub tone: f32,
    pub turn: f32,
    pub salt: u32,
}

impl Rosette {
    pub fn paint(&self, canvas: &mut Canvas, view: &View, bed: &Bed, light: &Light) {
        let size = view.size(self.away) * self.radius;
        let squash = (view.eye / self.away.hypot(view.eye)).max(0.02);
        let at = view.spot(self.east, 0.0, self.away);
        // The lower the look, the more sky lies on the leaves.
        let sheen = 0.3 * (1.0 - squash).powi(3);
        let base = mix(light.lit(scale(bed.colour, self.tone)), light.haze, sheen);
        if size < 3.2 {
            canvas.ellipse(at, size, (size * squash).max(0.35), scale(base, 0.96), 0.85);
            return;
        }
        let shadow = light.lit(rgb(0x0f1c18));
        canvas.ellipse(
            (at.0, at.1 + size * squash * 0.12),
            size * 0.96,
            size * squash * 0.98,
            shadow,
            0.5,
        );
        if size < 9.0 {
            self.paint_star(canvas, at, size, squash, base);
            return;
        }
        self.paint_leaves(canvas, view, size, base, light);
        if bed.flowers && lattice(self.salt as i32, 3, 1) > 0.62 {
            flower(canvas, at, size, squash, light);
        }
    }

    fn paint_star(&self, canvas: &mut Canvas, at: Spot, size: f32, squash: f32, base: Colour) {
        let points: Vec<Spot> = (0..22)
            .map(|index| {
                let turn = self.turn + index as f32 / 22.0 * std::f32::consts::TAU;
                let reach = if index % 2 == 0 { 1.0 } else { 0.68 } * size;
                (
                    at.0 + reach * turn.cos(),
                    at.1 + reach * squash * turn.sin(),
                )
            })
            .collect();
        canvas.fill(&points, scale(base, 0.86), 1.0);
        canvas.ellipse(
            (at.0, at.1 - size * squash * 0.1),
            size * 0.6,
            size * squash * 0.55,
            scale(base, 1.1),
            0.8,
        );
        canvas.ellipse(at, size * 0.22, size * squash * 0.2, scale(base, 0.72), 0.7);
    }

    fn paint_leaves(
        &self,
        canvas: &mut Canvas,
        view: &View,
        size: f32,
        base: Colour,
        light: &Light,
    ) {
        let mut chance = Chance::named(&format!("leaf {}", self.salt));
        let fine = size > 24.0;
        // Old leaves lie outside and below, young ones stand in the middle.
        let rings: [(u32, f32, f32, f32); 3] = [
            (11, 1.0, 0.0, 0.8),
            (9, 0.74, 0.012, 1.0),
            (6, 0.46, 0.022, 1.16),
        ];
        for (count, reach, lift, bright) in rings {
            let offset = chance.between(0.0, 6.3);
            for index in 0..count {
                let turn = self.turn
                    + offset
                    + (index as f32 + chance.between(-0.25, 0.25)) / count as f32
                        * std::f32::consts::TAU;
                let length = self.radius * reach * chance.between(0.88, 1.06);
                let facing =
                    0.9 + 0.2 * light.contrast * (turn.cos() * light.sun + turn.sin() * 0.3) * 0.6;
                let aged = if reach > 0.9 && chance.yes(0.16) {
                    0.35
                } else {
                    0.0
                };
                let green = mix(
                    scale(base, bright * facing * chance.between(0.92, 1.08)),
                    rgb(0x9a5a3a),
                    aged,
                );
                self.leaf(canvas, view, (turn, length, lift), green, fine, light);
            }
        }
    }

    /// One leaf: stalk, two half blades of unlike shade, a fine rib.
    fn leaf(
        &self,
        canvas: &mut Canvas,
        view: &View,
        (turn, length, lift): (f32, f32, f32),
        green: Colour,
        fine: bool,
        light: &Light,
    ) {
        let (sine, cosine) = turn.sin_cos();
        let put = |along: f32, side: f32, up: f32| {
            let (along, side) = (along * length, side * length);
            view.spot(
                self.east + along * cosine - side * sine,
                lift + up * self.radius,
                self.away - along * sine - side * cosine,
            )
        };
        let stalk = mix(green, rgb(0xa8503c), 0.4);
        let thick = view.size(self.away) * self.radius;
        if fine {
            canvas.stroke(
                put(0.05, 0.0, 0.0),
                put(0.5, 0.0, 0.05),
                (thick * 0.05, thick * 0.09),
                stalk,
                0.9,
            );
        }
        for side in [-1.0f32, 1.0] {
            let mut half = vec![
                put(0.4, 0.0, 0.05),
                put(0.52, side * 0.17, 0.04),
                put(0.66, side * 0.3, 0.02),
            ];
            if fine {
                // Teeth on the outer edge only.
                for tooth in 1..=6 {
                    let t = tooth as f32 / 6.8;
                    // A blunt rhomb: the edge bows a little outward on its way to the tip.
                    let (along, out) = (0.68 + 0.32 * t, 0.3 * (1.0 - t.powf(1.35)));
                    half.push(put(along - 0.022, side * (out - 0.006), 0.02));
                    half.push(put(along + 0.008, side * (out + 0.016), 0.02));
                }
            }
            half.push(put(1.0, 0.0, 0.01));
            let shade = if (side > 0.0) == (turn.cos() * light.sun > 0.0) {
                1.07
            } else {
                0.9
            };
            canvas.fill(&half, scale(green, shade), 1.0);
        }
        if fine {
            let rib = mix(green, rgb(0xe4e8a8), 0.4);
            canvas.stroke(
                put(0.44, 0.0, 0.05),
                put(0.95, 0.0, 0.015),
                (thick * 0.02, thick * 0.008),
                rib,
                0.8,
            );
        }
    }
}

/// Four white petals over the crown.
fn flower(canvas: &mut Canvas, at: Spot, size: f32, squash: f32, light: &Light) {
    let middle = (at.0 + size * 0.12, at.1 - size * 0.1);
    for index in 0..4 {
        let turn = 0.6 + index as f32 * std::f32::consts::FRAC_PI_2;
        let spot = (
            middle.0 + size * 0.07 * turn.cos(),
            middle.1 + size * 0.07 * turn.sin() * squash.max(0.5),
        );
        canvas.ellipse(
            spot,
            size * 0.075,
            size * 0.06 * squash.max(0.6),
            light.lit(rgb(0xfbfaf2)),
            0.96,
        );
    }
    canvas.ellipse(middle, size * 0.03, size * 0.025, rgb(0xe8c84a), 1.0);
}

/// A few native lily pads that nobody pulls: round, notched, some with a yellow flower.
pub fn lilies(canvas: &mut Canvas, view: &View, seed: &str, light: &Light, count: u32) {
    let mut chance = Chance::named(&format!("lilies {seed}"));
    let (side, away) = (chance.between(-0.42, 0.42), chance.between(9.0, 15.0));
    let mut pads: Vec<(f32, f32, f32, f32)> = (0..count)
        .map(|_| {
            let away = away + chance.normal() * 1.5;
            (
                side * away + chance.normal() * 1.3,
                away.max(view.near() * 1.1),
                chance.between(0.12, 0.19),
                chance.between(0.0, 6.3),
            )
        })
        .collect();
    pads.sort_by(|a, b| b.1.total_cmp(&a.1));
    for (index, (east, away, radius, turn)) in pads.into_iter().enumerate() {
        let outline: Vec<Spot> = (0..26)
            .map(|step| {
                let angle = turn + 0.16 + step as f32 / 25.0 * (std::f32::consts::TAU - 0.32);
                view.spot(
                    east + radius * angle.cos(),
                    0.0,
                    away - radius * angle.sin(),
                )
            })
            .chain([view.spot(east, 0.0, away)])
            .collect();
        let green = light.lit(mix(rgb(0x4d8a5a), rgb(0x6f9a5c), chance.unit()));
        let sheen = mix(green, light.haze, 0.3);
        let middle = view.spot(east, 0.0, away);
        canvas.ellipse(
            (middle.0, middle.1 + 1.5),
            view.size(away) * radius,
            view.size(away) * radius * view.eye / away,
            rgb(0x14211f),
            0.4,
        );
        canvas.fill(&outline, sheen, 1.0);
        if index % 5 == 2 {
            let bud = view.spot(east + radius * 0.6, 0.13, away);
            let foot = view.spot(east + radius * 0.6, 0.0, away);
            let size = view.size(away) * 0.035;
            canvas.stroke(
                foot,
                bud,
                (size * 0.35, size * 0.35),
                scale(green, 0.8),
                1.0,
            );
            canvas.ellipse(bud, size, size * 0.85, light.lit(rgb(0xe9c53d)), 1.0);
        }
    }
}
