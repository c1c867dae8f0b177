//! What the photographer stands on or beside: dock, rock, posts, wall, yard.
//!
//! Takes a view; draws over the water.

use super::canvas::{Canvas, Spot, mix, rgb, scale, step};
use super::view::{Light, View};
use crate::seed::{Chance, lattice, layered};

/// A wooden deck over the water; all in metres.
pub struct Dock {
    /// Its height over the water.
    pub deck: f32,
    pub near: f32,
    pub far: f32,
    pub left: f32,
    pub right: f32,
}

/// Draws a dock whose planks lie across the view.
pub fn dock(canvas: &mut Canvas, view: &View, dock: &Dock, light: &Light, salt: u32) {
    let Dock {
        deck,
        near,
        far,
        left,
        right,
    } = *dock;
    let view = View {
        eye: view.eye - deck,
        ..*view
    };
    let front: Vec<Spot> = vec![
        view.spot(left, 0.0, far),
        view.spot(right, 0.0, far),
        view.spot(right, 0.0, near),
        view.spot(left, 0.0, near),
    ];
    let edge = [
        view.spot(left, 0.0, far),
        view.spot(right, 0.0, far),
        view.spot(right, -0.09, far),
        view.spot(left, -0.09, far),
    ];
    canvas.fill(&edge, light.lit(rgb(0x3d3429)), 1.0);
    let (pale, dark) = (light.lit(rgb(0xb7a68b)), light.lit(rgb(0x6d5f4e)));
    const PLANK: f32 = 0.145;
    canvas.fill_with(&front, 1.0, |x, y| {
        let (east, away) = view.ground(x, y);
        let plank = (away / PLANK).floor();
        let within = away / PLANK - plank;
        let own = lattice(plank as i32, 7, salt);
        let grain = layered(east * 3.0 + own * 90.0, within * 5.0 + plank, 3, salt);
        let worn = layered(east * 0.9, away * 0.9, 3, salt ^ 8);
        let wood = mix(
            dark,
            pale,
            0.2 + 0.45 * grain + 0.25 * own + 0.3 * (worn - 0.5),
        );
        // Gaps melt away where they are finer than a pixel.
        let rows = view.focal * view.eye / (away * away) * 0.012;
        let gap = step(0.1, 0.0, within.min(1.0 - within)) * step(0.1, 1.0, rows * 2.0);
        scale(wood, 1.0 - 0.62 * gap)
    });
    for plank in (near / PLANK) as i32..(far / PLANK) as i32 {
        for side in [left + 0.08, right - 0.08] {
            let nail = view.spot(side, 0.0, (plank as f32 + 0.5) * PLANK);
            let size = view.size(plank as f32 * PLANK) * 0.009;
            canvas.ellipse(nail, size, size * 0.5, rgb(0x453c34), 0.8);
        }
    }
}

/// A flat rock across the lower left.
pub fn rock(canvas: &mut Canvas, view: &View, light: &Light, salt: u32) {
    let (wide, high) = (view.wide as f32, view.high as f32);
    let mut outline: Vec<Spot> = vec![(-5.0, high + 5.0), (-5.0, high * 0.86)];
    for index in 0..=30 {
        let t = index as f32 / 30.0;
        let drop = step(0.35, 1.0, t) * high * 0.17;
        let bump = (layered(t * 6.0, 1.0, 3, salt) - 0.5) * high * 0.03;
        outline.push((t * wide * 0.62, high * 0.845 + drop + bump));
    }
    outline.push((wide * 0.62, high + 5.0));
    let shadow: Vec<Spot> = outline.iter().map(|(x, y)| (x + 8.0, y - 4.0)).collect();
    canvas.fill(&shadow, rgb(0x0f1a18), 0.45);
    let (pale, dark) = (light.lit(rgb(0xb3aea2)), light.lit(rgb(0x5d5c58)));
    canvas.fill_with(&outline, 1.0, |x, y| {
        let rough = layered(x / wide * 26.0, y / high * 40.0, 5, salt);
        let lichen = step(
            0.58,
            0.72,
            layered(x / wide * 11.0, y / high * 14.0, 4, salt ^ 1),
        );
        let top = step(high * 0.99, high * 0.85, y - x / wide * high * 0.1);
        let stone = mix(dark, pale, (0.15 + 0.75 * rough) * (0.6 + 0.4 * top));
        mix(stone, light.lit(rgb(0x9aa06a)), lichen * 0.45)
    });
}

/// Fence posts that walk out into the water, with a wire.
pub fn posts(canvas: &mut Canvas, view: &View, light: &Light, salt: u32) {
    let mut tops = Vec::new();
    for (index, away) in [24.0, 16.0, 10.5, 7.0].into_iter().enumerate() {
        let east = -0.24 * away - 1.0 + lattice(index as i32, 1, salt) * 0.3;
        let lean = (lattice(index as i32, 2, salt) - 0.5) * 0.24;
        let size = view.size(away);
        let (foot, top) = (
            view.spot(east, 0.0, away),
            view.spot(east + lean, 1.05, away),
        );
        let mirror = view.spot(east + lean, -0.8, away);
        canvas.stroke(
            foot,
            mirror,
            (size * 0.12, size * 0.08),
            rgb(0x1f2a26),
            0.45,
        );
        let wood = light.lit(rgb(0x7d6f5c));
        canvas.stroke(foot, top, (size * 0.14, size * 0.12), scale(wood, 0.7), 1.0);
        let shift = size * 0.025 * light.sun.signum();
        canvas.stroke(
            (foot.0 + shift, foot.1),
            (top.0 + shift, top.1),
            (size * 0.06, size * 0.05),
            scale(wood, 1.15),
            0.9,
        );
        tops.push((top.0, top.1 + size * 0.16));
    }
    canvas.trail(&tops, 1.4, rgb(0x3a3a38), 0.7);
}

/// A post in the water: where, how tall, half its width, its colour and that of a painted ring.
pub struct Stake {
    pub east: f32,
    pub away: f32,
    pub tall: f32,
    pub half: f32,
    pub tone: u32,
    pub band: Option<u32>,
}

pub fn stake(canvas: &mut Canvas, view: &View, stake: &Stake, light: &Light) {
    let Stake {
        east,
        away,
        tall,
        half,
        tone,
        band,
    } = *stake;
    let size = view.size(away);
    let (foot, top) = (
        view.spot(east, 0.0, away),
        view.spot(east + 0.03, tall, away),
    );
    let mirror = view.spot(east + 0.03, -tall * 0.8, away);
    canvas.stroke(
        foot,
        mirror,
        (size * half * 2.0, size * half * 1.6),
        rgb(0x1c2724),
        0.5,
    );
    let paint = light.lit(rgb(tone));
    canvas.stroke(
        foot,
        top,
        (size * half * 2.0, size * half * 2.0),
        scale(paint, 0.65),
        1.0,
    );
    let shift = size * half * 0.4 * light.sun.signum();
    canvas.stroke(
        (foot.0 + shift, foot.1),
        (top.0 + shift, top.1),
        (size * half, size * half),
        scale(paint, 1.12),
        0.9,
    );
    canvas.ellipse(
        top,
        size * half,
        size * half * 0.35,
        scale(paint, 1.25),
        1.0,
    );
    if let Some(band) = band {
        let (a, b) = (
            view.spot(east + 0.02, tall * 0.72, away),
            view.spot(east + 0.02, tall * 0.86, away),
        );
        canvas.stroke(
            a,
            b,
            (size * half * 2.3, size * half * 2.3),
            light.lit(rgb(band)),
            1.0,
        );
    }
}

/// An old wall of cut stones along the right side, running away from the eye.
pub fn wall(canvas: &mut Canvas, view: &View, light: &Light, salt: u32) {
    let (near, far, east, tall) = (view.near() * 0.9, 46.0, 2.5, 0.75);
    let face = [
        view.spot(east, tall, near),
        view.spot(east + 4.0, tall, far),
        view.spot(east + 4.0, 0.0, far),
        view.spot(east, 0.0, near),
    ];
    let crown = [
        view.spot(east, tall, near),
        view.spot(east + 4.0, tall, far),
        view.spot(east + 5.2, tall, far),
        view.spot(east + 9.0, tall, near),
    ];
    let mirror = [
        face[3],
        face[2],
        view.spot(east + 4.0, -tall, far),
        view.spot(east, -tall, near),
    ];
    canvas.fill(&mirror, rgb(0x26302c), 0.3);
    let (pale, dark) = (light.lit(rgb(0xa9a294)), light.lit(rgb(0x55524b)));
    let middle = view.wide as f32 / 2.0;
    canvas.fill_with(&face, 1.0, |x, y| {
        // The wall's plane: find the distance from the column, then the height from the row.
        let side = (x - middle) / view.focal;
        let slope = 4.0 / (far - near);
        let away = ((east - slope * near) / (side - slope).max(1e-3)).clamp(near, far);
        let up = view.eye - (y - view.horizon) * away / view.focal;
        let course = (up / 0.25).floor();
        let along = away * 1.1 + course * 0.37;
        let (column, within) = (along.floor(), along - along.floor());
        let joint = step(0.07, 0.0, within.min(1.0 - within)).max(step(
            0.1,
            0.0,
            (up / 0.25 - course).min(1.0 + course - up / 0.25),
        ));
        let own = lattice(column as i32, course as i32, salt);
        let rough = layered(away * 6.0, up * 14.0, 4, salt);
        let wet = step(0.16, 0.02, up) * 0.45;
        scale(
            mix(dark, pale, 0.15 + 0.4 * own + 0.45 * rough),
            (1.0 - 0.5 * joint) * (1.0 - wet),
        )
    });
    canvas.fill_with(&crown, 1.0, |x, y| {
        let (u, v) = view.ground(x, y);
        let rough = layered(u * 3.0, v * 3.0, 4, salt ^ 2);
        let moss = step(0.55, 0.7, layered(u * 1.1, v * 0.9, 3, salt ^ 4));
        mix(
            mix(dark, pale, 0.45 + 0.6 * rough),
            light.lit(rgb(0x6f8040)),
            moss * 0.6,
        )
    });
}

/// Reeds that frame a lower corner: -1 left, 1 right.
pub fn reeds(
    canvas: &mut Canvas,
    side: f32,
    greens: &[[f32; 3]; 4],
    light: &Light,
    chance: &mut Chance,
) {
    let (wide, high) = (canvas.wide as f32, canvas.high as f32);
    for index in 0..34 {
        let inward = chance.unit().powf(1.5) * wide * 0.17;
        let x = if side < 0.0 { inward } else { wide - inward };
        let tall = high * chance.between(0.2, 0.5) * (1.0 - inward / wide * 3.2);
        let lean = chance.normal() * tall * 0.1 - side * tall * 0.14;
        let green = light.lit(scale(
            mix(greens[1], greens[3], chance.unit() * 0.8),
            chance.between(0.5, 0.95),
        ));
        let points: Vec<Spot> = (0..=8)
            .map(|step| {
                let t = step as f32 / 8.0;
                (x + lean * t * t, high + 8.0 - tall * t)
            })
            .collect();
        let thick = wide * chance.between(0.0035, 0.0065);
        for (step, pair) in points.windows(2).enumerate() {
            let t = step as f32 / 8.0;
            canvas.stroke(
                pair[0],
                pair[1],
                (thick * (1.0 - t * 0.85), thick * (0.9 - t * 0.85)),
                green,
                1.0,
            );
        }
        if index % 7 == 3 {
            // A cat-tail's brown head.
            let (tip, below) = (points[7], points[6]);
            canvas.stroke(
                below,
                tip,
                (thick * 2.0, thick * 1.9),
                light.lit(rgb(0x6b4a30)),
                1.0,
            );
        }
    }
}
