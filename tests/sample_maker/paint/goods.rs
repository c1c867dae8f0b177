//! What comes ashore: mesh bags, baskets, heaps of plants.
//!
//! Takes places in metres and a camera; draws each with its shadow.

use super::canvas::{Canvas, Colour, Spot, mix, rgb, scale, step};
use super::view::{Light, View};
use crate::seed::{Chance, layered};

/// Draws a filled mesh bag that stands at a place.
pub fn bag(
    canvas: &mut Canvas,
    view: &View,
    (east, away): (f32, f32),
    mesh: Colour,
    leaf: Colour,
    light: &Light,
    chance: &mut Chance,
) {
    let size = view.size(away);
    let foot = view.spot(east, 0.0, away);
    let (wide, tall) = (
        size * chance.between(0.22, 0.26),
        size * chance.between(0.6, 0.7),
    );
    let lean = chance.between(-0.1, 0.1) * tall;
    ground_shadow(canvas, foot, wide, light);
    let salt = chance.bits() as u32;
    // A sack: round at the foot, full to the shoulders, drawn together at the neck.
    let half = |up: f32, side: f32| {
        let round = (up / 0.16).clamp(0.0, 1.0).sqrt() * 0.3 + 0.7;
        let shoulder = 1.0 - 0.84 * step(0.56, 0.98, up);
        let lumps = 0.88 + 0.24 * layered(up * 4.0 + side * 20.0, 1.0, 2, salt);
        wide * round * shoulder * lumps
    };
    let place = |side: f32, up: f32| {
        let bulge = wide * 0.2 * (1.0 - side * side) * step(0.3, 0.0, up);
        (
            foot.0 + side * half(up, side.signum()) + lean * up,
            foot.1 - tall * up + bulge,
        )
    };
    let rim = |side: f32| (0..=16).map(move |index| (side, index as f32 / 16.0));
    let outline: Vec<Spot> = rim(1.0)
        .chain(rim(-1.0).collect::<Vec<_>>().into_iter().rev())
        .chain((1..8).map(|index| (index as f32 / 4.0 - 1.0, 0.0)))
        .map(|(side, up)| place(side, up))
        .collect();
    let sun = light.sun.signum() * light.contrast;
    canvas.fill(&outline, light.lit(scale(leaf, 0.4)), 1.0);
    for index in 0..190 {
        let up = (index as f32 / 190.0 * 0.9 + chance.between(-0.03, 0.05)).clamp(0.02, 0.9);
        let side = chance.between(-0.92, 0.92);
        let lit =
            0.66 + 0.3 * side * sun + 0.22 * up - 0.16 * side * side + chance.between(-0.16, 0.16);
        let tone = if chance.yes(0.12) {
            mix(leaf, rgb(0xb0603f), 0.5)
        } else {
            leaf
        };
        blade(
            canvas,
            place(side, up),
            chance.between(0.0, 6.3),
            size * chance.between(0.03, 0.05),
            light.lit(scale(tone, lit)),
        );
    }
    netting(canvas, &outline, size, light.lit(mesh));
    let neck = place(0.0, 0.985);
    for index in 0..9 {
        let spread = (index as f32 / 8.0 - 0.5) * 1.5 + chance.between(-0.15, 0.15);
        let tip = (
            neck.0 + spread * wide * 0.5,
            neck.1 - size * chance.between(0.05, 0.085),
        );
        canvas.stroke(
            neck,
            tip,
            (size * 0.016, size * 0.036),
            light.lit(scale(mesh, chance.between(0.7, 1.12))),
            1.0,
        );
    }
    let tie = wide * 0.17;
    canvas.stroke(
        (neck.0 - tie, neck.1),
        (neck.0 + tie, neck.1),
        (size * 0.026, size * 0.026),
        light.lit(scale(mesh, 0.55)),
        1.0,
    );
}

/// Crossing threads within an outline.
fn netting(canvas: &mut Canvas, outline: &[Spot], size: f32, thread: Colour) {
    let pitch = (size * 0.05).max(5.0);
    let left = outline
        .iter()
        .map(|spot| spot.0)
        .fold(f32::INFINITY, f32::min);
    let right = outline
        .iter()
        .map(|spot| spot.0)
        .fold(f32::NEG_INFINITY, f32::max);
    let (middle, half) = ((left + right) / 2.0, (right - left) / 2.0);
    let under = canvas.clone();
    canvas.fill_with(outline, 1.0, |x, y| {
        // Threads crowd together where the bag turns away.
        let round = ((x - middle) / half).clamp(-0.98, 0.98).asin() * half;
        let near = |value: f32| {
            let part = (value / pitch).rem_euclid(1.0);
            let gap = part.min(1.0 - part) * pitch;
            (size * 0.006 + 0.5 - gap).clamp(0.0, 1.0)
        };
        let share = near(round + y * 0.75).max(near(round - y * 0.75));
        mix(
            under.at(x as usize, y as usize),
            thread,
            0.12 + share * 0.72,
        )
    });
}

/// Draws a bushel basket heaped with plants.
pub fn basket(
    canvas: &mut Canvas,
    view: &View,
    (east, away): (f32, f32),
    leaf: Colour,
    light: &Light,
    chance: &mut Chance,
) {
    let size = view.size(away);
    let foot = view.spot(east, 0.0, away);
    let (bottom, top, tall) = (size * 0.19, size * 0.25, size * 0.34);
    ground_shadow(canvas, foot, top, light);
    let rim = foot.1 - tall;
    let bow = top * 0.32;
    let mut outline: Vec<Spot> = vec![(foot.0 - top, rim)];
    for index in 0..=12 {
        let turn = std::f32::consts::PI * (1.0 - index as f32 / 12.0);
        outline.push((
            foot.0 + bottom * turn.cos(),
            foot.1 + bow * 0.7 * turn.sin(),
        ));
    }
    outline.push((foot.0 + top, rim));
    for index in 0..=12 {
        let turn = std::f32::consts::PI * index as f32 / 12.0;
        outline.push((foot.0 + top * turn.cos(), rim + bow * turn.sin()));
    }
    let wood = light.lit(rgb(0xc39a62));
    let sun = light.sun.signum() * light.contrast;
    canvas.fill_with(&outline, 1.0, |x, y| {
        let side = ((x - foot.0) / top).clamp(-1.0, 1.0);
        let round = side.asin();
        let slat = (round * 5.2).sin();
        let band = ((y - rim) / tall * 5.5 + side * side * -0.8).floor() as i32;
        let weave = if band % 2 == 0 { slat } else { -slat };
        scale(wood, 0.78 + 0.16 * weave + 0.2 * side * sun)
    });
    let mound = Mound {
        foot: (foot.0, rim + bow * 0.3),
        half: top * 0.98,
        tall: size * 0.17,
        size,
        leaf,
        count: 90,
    };
    heap(canvas, &mound, light, chance);
    let near_rim: Vec<Spot> = (0..=14)
        .map(|index| {
            let turn = std::f32::consts::PI * index as f32 / 14.0;
            (foot.0 + top * 1.02 * turn.cos(), rim + bow * turn.sin())
        })
        .collect();
    canvas.trail(&near_rim, size * 0.036, scale(wood, 1.06), 1.0);
    canvas.trail(
        &near_rim
            .iter()
            .map(|(x, y)| (*x, y + size * 0.012))
            .collect::<Vec<_>>(),
        size * 0.012,
        scale(wood, 0.6),
        0.8,
    );
}

/// Where a heap lies and how large it is, in pixels.
pub struct Mound {
    /// Middle of its foot.
    pub foot: Spot,
    pub half: f32,
    pub tall: f32,
    /// Pixels to a metre.
    pub size: f32,
    pub leaf: Colour,
    /// Leaves to draw.
    pub count: u32,
}

/// A mound of pulled plants: leaves in all directions, dark below, light on top.
pub fn heap(canvas: &mut Canvas, mound: &Mound, light: &Light, chance: &mut Chance) {
    let Mound {
        foot: (x, foot),
        half,
        tall,
        size,
        leaf,
        count,
    } = *mound;
    let dome: Vec<Spot> = (0..=24)
        .map(|index| {
            let turn = std::f32::consts::PI * index as f32 / 24.0;
            (x + half * turn.cos(), foot - tall * turn.sin())
        })
        .collect();
    canvas.fill(&dome, light.lit(scale(leaf, 0.42)), 1.0);
    for index in 0..count {
        // From the back and foot of the mound to its crown.
        let up = (index as f32 / count as f32).sqrt() * 0.98;
        let span = (1.0 - up * up).sqrt();
        let side = chance.between(-1.0, 1.0) * span;
        let spot = (
            x + side * half,
            foot - up * tall + chance.between(-0.1, 0.1) * tall,
        );
        let turn = chance.between(0.0, 6.3);
        let long = size * chance.between(0.05, 0.085);
        let lit = 0.62
            + 0.36 * up
            + 0.22 * side * light.sun.signum() * light.contrast
            + chance.between(-0.14, 0.14);
        let tone = if chance.yes(0.14) {
            mix(leaf, rgb(0xb0603f), 0.6)
        } else {
            leaf
        };
        blade(canvas, spot, turn, long, light.lit(scale(tone, lit)));
        if chance.yes(0.2) {
            let tip = (
                spot.0 + long * 1.8 * turn.cos(),
                spot.1 + long * 1.2 * turn.sin(),
            );
            canvas.stroke(
                spot,
                tip,
                (size * 0.008, size * 0.006),
                light.lit(rgb(0xa9683f)),
                0.9,
            );
        }
    }
}

/// One loose leaf: a rhomb in two shades.
fn blade(canvas: &mut Canvas, at: Spot, turn: f32, long: f32, green: Colour) {
    let (sine, cosine) = turn.sin_cos();
    let put = |along: f32, side: f32| {
        (
            at.0 + (along * cosine - side * sine) * long,
            at.1 + (along * sine + side * cosine) * long * 0.75,
        )
    };
    canvas.fill(
        &[put(-0.9, 0.0), put(0.0, 0.62), put(0.95, 0.0)],
        scale(green, 1.08),
        1.0,
    );
    canvas.fill(
        &[put(-0.9, 0.0), put(0.0, -0.62), put(0.95, 0.0)],
        scale(green, 0.86),
        1.0,
    );
}

fn ground_shadow(canvas: &mut Canvas, foot: Spot, half: f32, light: &Light) {
    let shift = -light.sun.signum() * half * 0.55;
    canvas.ellipse(
        (foot.0 + shift * 0.6, foot.1 + half * 0.1),
        half * 1.35,
        half * 0.26,
        rgb(0x1a1712),
        0.12 + 0.2 * light.contrast,
    );
    canvas.ellipse(
        (foot.0, foot.1 + half * 0.12),
        half * 1.02,
        half * 0.22,
        rgb(0x14120e),
        0.42,
    );
}
