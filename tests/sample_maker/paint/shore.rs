//! The far shore: hills in haze, woods in three depths, reeds at the water's edge.
//!
//! Takes a seed that belongs to a place, so that every picture from there shows the same shore; gives the
//! waterline as a row for each column.

use super::canvas::{Canvas, Colour, mix, rgb, scale, step};
use super::view::Light;
use crate::seed::{Chance, layered};

/// What grows there.
pub struct Shore {
    pub seed: String,
    /// Height of the wood's tops over the waterline, in pixels.
    pub tall: f32,
    /// A wooded point that reaches out from one side: -1 left, 1 right, 0 none.
    pub point: f32,
}

/// Greens by week: May is yellow, July deep, September tired.
pub fn greens(date: &str) -> [Colour; 4] {
    let month = date
        .get(5..7)
        .and_then(|text| text.parse().ok())
        .unwrap_or(7.0f32);
    let spring = ((6.4 - month) / 1.4).clamp(0.0, 1.0);
    let autumn = ((month - 7.6) / 1.4).clamp(0.0, 1.0);
    let at = |summer: u32, may: u32, september: u32| {
        mix(
            mix(rgb(summer), rgb(may), spring * 0.8),
            rgb(september),
            autumn * 0.7,
        )
    };
    [
        at(0x47693f, 0x6f8a45, 0x5f6c3c),
        at(0x5a7d44, 0x86a052, 0x857f42),
        at(0x3c5c44, 0x4f7350, 0x455b40),
        at(0x7a9150, 0xa1b560, 0xa88f4a),
    ]
}

/// Paints on rows down to `base` and gives the waterline of each column.
pub fn paint(canvas: &mut Canvas, base: f32, shore: &Shore, date: &str, light: &Light) -> Vec<f32> {
    let mut chance = Chance::named(&format!("shore {}", shore.seed));
    let salt = chance.bits() as u32;
    let wide = canvas.wide as f32;
    let greens = greens(date).map(|green| light.lit(green));
    let unit = shore.tall;

    for (depth, (rise, haze)) in [(1.55, 0.78), (1.15, 0.6)].into_iter().enumerate() {
        let colour = mix(mix(greens[2], rgb(0x5b7f95), 0.35), light.haze, haze);
        for x in 0..canvas.wide {
            let along = x as f32 / wide * (2.2 + depth as f32) + 9.0 * depth as f32;
            let height = unit * rise * (0.35 + 0.75 * layered(along, 0.5, 4, salt + depth as u32));
            let top = base - height;
            for y in top.max(0.0) as usize..=base as usize {
                let share = ((y as f32 + 1.0) - top).clamp(0.0, 1.0);
                let fade = step(0.0, height, y as f32 - top) * 0.35;
                canvas.blend(x, y, mix(colour, light.haze, fade), share);
            }
        }
    }

    let waterline: Vec<f32> = (0..canvas.wide)
        .map(|x| {
            let across = x as f32 / wide;
            let reach = if shore.point < 0.0 {
                1.0 - across
            } else {
                across
            };
            let point = if shore.point == 0.0 {
                0.0
            } else {
                step(0.66, 1.0, reach) * unit * 0.34
            };
            base + point + (layered(across * 14.0, 3.0, 2, salt) - 0.5) * unit * 0.03
        })
        .collect();

    // Undergrowth closes the gaps between stems.
    for (x, foot) in waterline.iter().enumerate() {
        for y in base as usize..=*foot as usize + 1 {
            canvas.set(x, y, light.lit(rgb(0x4a4636)));
        }
        let top = foot - unit * (0.14 + 0.16 * layered(x as f32 / unit * 2.2, 2.0, 3, salt + 4));
        for y in top.max(0.0) as usize..=*foot as usize {
            let share = ((y as f32 + 1.0) - top).clamp(0.0, 1.0);
            canvas.blend(x, y, mix(scale(greens[2], 0.7), light.haze, 0.34), share);
        }
    }

    // Far wood, middle wood, near wood: fewer, larger, less hazy.
    for (row, (count, size, haze)) in [(70, 0.62, 0.46), (46, 0.8, 0.26), (30, 0.92, 0.1)]
        .into_iter()
        .enumerate()
    {
        for index in 0..count {
            let x = (index as f32 + chance.between(-0.6, 0.6)) / count as f32 * wide;
            let rise = layered(x / wide * 5.0, row as f32 * 7.0, 3, salt + 9);
            // Gaps in the nearest row show the wood behind.
            if row == 2 && rise < 0.42 {
                continue;
            }
            let column = (x.max(0.0) as usize).min(canvas.wide - 1);
            let near = 1.0 + (waterline[column] - base) / unit * 2.2;
            let height = unit * size * (0.3 + 1.15 * rise) * near * chance.between(0.82, 1.16);
            let foot = waterline[column] - unit * 0.02 * (2 - row) as f32;
            // A tree has its own chance, or the light of the day would move its neighbours.
            let mut own = Chance::named(&format!("tree {} {row} {index}", shore.seed));
            tree(
                canvas,
                (x, foot),
                height,
                &greens,
                haze / near,
                light,
                &mut own,
            );
        }
    }
    edge(canvas, &waterline, unit, &greens, light, &mut chance);
    waterline
}

/// A rounded mass of leaves within a crown: across and up in parts of the tree, and its radius.
type Lobe = (f32, f32, f32);

fn lobes(chance: &mut Chance) -> Vec<Lobe> {
    let mut lobes = vec![(0.0, 0.55, 0.4)];
    for _ in 0..chance.whole(3, 5) {
        let (side, up) = (chance.between(-0.62, 0.62), chance.between(0.3, 0.86));
        lobes.push((side * (1.15 - up * 0.6), up, chance.between(0.2, 0.36)));
    }
    lobes
}

fn tree(
    canvas: &mut Canvas,
    foot: (f32, f32),
    height: f32,
    greens: &[Colour; 4],
    haze: f32,
    light: &Light,
    chance: &mut Chance,
) {
    let pine = chance.yes(0.22);
    let base = if pine {
        scale(greens[2], 0.82)
    } else {
        mix(
            greens[chance.whole(0, 1) as usize],
            greens[3],
            chance.between(0.0, 0.4),
        )
    };
    let dark = mix(scale(base, 0.55), rgb(0x21344a), 0.2);
    let bright = mix(scale(base, 1.22), rgb(0xf3e9a8), 0.2 * light.contrast);
    let hazed = |colour: Colour| mix(colour, light.haze, haze);
    let trunk = hazed(scale(rgb(0x625a4c), 0.8));
    canvas.stroke(
        foot,
        (foot.0, foot.1 - height * 0.5),
        (height * 0.05, height * 0.03),
        trunk,
        1.0,
    );
    let half = height
        * if pine {
            chance.between(0.16, 0.2)
        } else {
            chance.between(0.36, 0.46)
        };
    let crown = lobes(chance);
    let clumps = (height * if pine { 1.3 } else { 2.6 }).clamp(36.0, 420.0) as usize;
    let sun = light.sun.clamp(-1.0, 1.0);
    // Shaded clumps first, lit ones over them.
    for pass in 0..3 {
        for clump in 0..clumps {
            let (turn, out, size) = (
                chance.between(0.0, 6.3),
                chance.unit().sqrt(),
                chance.between(0.7, 1.3),
            );
            let (side, up, facing) = if pine {
                let up = 1.0 - out;
                let side = turn.cos() * (1.0 - up);
                (
                    side,
                    up,
                    side * sun * 0.6 + (up - 0.4) * 0.5 + turn.sin() * 0.2,
                )
            } else {
                let lobe = crown[clump % crown.len()];
                let (x, y) = (turn.cos() * out, turn.sin() * out);
                let up = lobe.1 + y * lobe.2;
                (
                    lobe.0 + x * lobe.2 * 1.25,
                    up,
                    (x * sun * 0.7 + y * 0.8) * 0.8 + (up - 0.5) * 0.6,
                )
            };
            if pass > 0 && facing < [0.0, 0.05, 0.42][pass] {
                continue;
            }
            let tone = match pass {
                0 => mix(dark, base, (0.4 + facing * 0.6).clamp(0.0, 1.0)),
                1 => mix(base, bright, (facing * 0.6).clamp(0.0, 0.5)),
                _ => mix(base, bright, (facing * 1.2).clamp(0.4, 1.0)),
            };
            let radius = if pine {
                height * 0.036 * (1.1 - up * 0.75)
            } else {
                height * 0.036
            };
            let radius = radius * [1.7, 1.0, 0.62][pass] * size;
            let lift = if pine { 0.06 } else { 0.1 };
            let spot = (
                foot.0 + side * half,
                foot.1 - height * (lift + up * (1.0 - lift)),
            );
            let flat = if pine { 0.6 } else { 0.82 };
            canvas.ellipse(
                spot,
                radius * 1.15,
                radius * flat,
                hazed(tone),
                [0.95, 0.7, 0.6][pass],
            );
        }
    }
}

/// Bank, stones and reeds where wood meets water.
fn edge(
    canvas: &mut Canvas,
    waterline: &[f32],
    unit: f32,
    greens: &[Colour; 4],
    light: &Light,
    chance: &mut Chance,
) {
    let salt = chance.bits() as u32;
    for (x, foot) in waterline.iter().enumerate() {
        let along = x as f32 / unit;
        let thick = unit * (0.015 + 0.1 * layered(along * 4.0, 0.0, 4, salt).powi(2));
        let bush = light.lit(scale(
            mix(greens[0], greens[1], layered(along * 2.0, 8.0, 2, salt)),
            0.62,
        ));
        let mud = light.lit(rgb(0x4a4636));
        for y in (foot - thick).max(0.0) as usize..=*foot as usize {
            let down = (y as f32 - foot + thick) / thick;
            let share = ((y as f32 + 1.0) - (foot - thick)).clamp(0.0, 1.0);
            canvas.blend(x, y, mix(bush, mud, step(0.55, 1.0, down)), share * 0.9);
        }
    }
    // Bushes that hang over the water.
    for _ in 0..waterline.len() / 7 {
        let x = chance.between(0.0, waterline.len() as f32 - 1.0);
        let size = unit * chance.between(0.02, 0.055);
        let green = mix(
            greens[chance.whole(0, 3) as usize],
            rgb(0x2c3d33),
            chance.between(0.1, 0.55),
        );
        let foot = waterline[x as usize];
        canvas.ellipse(
            (x, foot - size * 0.7),
            size * 1.5,
            size,
            mix(green, light.haze, 0.08),
            0.85,
        );
    }
    let count = waterline.len() * 2;
    for _ in 0..count {
        let x = chance.between(0.0, waterline.len() as f32 - 1.0);
        if layered(x / unit * 0.9, 5.0, 3, salt) < 0.38 + 0.2 * chance.unit() {
            continue;
        }
        let foot = waterline[x as usize] + 1.0;
        let tall = unit * chance.between(0.04, 0.15);
        let lean = chance.normal() * tall * 0.12;
        let blade = mix(greens[1], greens[3], chance.unit());
        let blade = mix(blade, light.haze, 0.08);
        canvas.stroke(
            (x, foot),
            (x + lean, foot - tall),
            (1.6, 0.5),
            scale(blade, chance.between(0.7, 1.2)),
            0.9,
        );
    }
}
