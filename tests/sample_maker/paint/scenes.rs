//! The five kinds of picture, put together from their parts.
//!
//! Takes a shot; gives a canvas without the mark.

use super::canoe::Canoe;
use super::canvas::{Canvas, mix, rgb, scale};
use super::rosettes::{self, Bed, Rosette};
use super::shore::{self, Shore};
use super::view::{Light, View};
use super::water::{self, Above};
use super::{card, goods, ground, sky};
use crate::places;
use crate::seed::Chance;
use crate::shots::{Moment, Phone, Scene, Shot};

struct Setting<'a> {
    shot: &'a Shot,
    light: Light,
    chance: Chance,
    wide: usize,
    high: usize,
}

pub fn draw(shot: &Shot) -> Canvas {
    let mut chance = Chance::named(&format!("scene {}", shot.path));
    let light = Light::of(shot.pull.date, shot.second, &mut chance);
    let (long, short) = match shot.phone {
        Phone::A => (1_280, 960),
        Phone::B | Phone::C => (1_200, 900),
    };
    let (wide, high) = if matches!(shot.turn, 6 | 8) { (short, long) } else { (long, short) };
    let setting = Setting { shot, light, chance, wide, high };
    match shot.scene {
        Scene::Station(id, moment) => station(setting, id, moment),
        Scene::Crew => crew(setting),
        Scene::Catch => catch(setting),
        Scene::Close => close(setting),
        Scene::Heap => heap(setting),
    }
}

impl Setting<'_> {
    fn shore(&self, seed: &str) -> Shore {
        let mut chance = Chance::named(&format!("look {seed}"));
        Shore {
            seed: seed.to_string(),
            tall: self.high as f32 * chance.between(0.13, 0.18),
            point: [-1.0, 1.0, 0.0][chance.whole(0, 2) as usize],
        }
    }

    /// Sky, shore and water in one.
    fn world(&self, view: &View, shore: &Shore, bed: &Bed) -> Canvas {
        // Enough sky over the picture for the mirror in the nearest water.
        let base = view.horizon + self.high as f32 * 0.012;
        let lift = ((self.high as f32 - 2.0 * base).max(0.0) + self.high as f32 * 0.12) as usize;
        let rows = lift + base as usize + (shore.tall * 0.5) as usize + 8;
        let mut above = Canvas::new(self.wide, rows);
        let row = lift as f32 + base;
        sky::paint(&mut above, row, view.focal, &self.light);
        let line = shore::paint(&mut above, row, shore, self.shot.pull.date, &self.light);
        let waterline = line.into_iter().map(|foot| foot - lift as f32).collect();
        let mut canvas = Canvas::new(self.wide, self.high);
        let above = Above { canvas: above, lift, waterline };
        water::paint(&mut canvas, view, &above, bed, &self.light);
        canvas
    }

    fn site_name(&self) -> String {
        places::sites()
            .iter()
            .find(|site| site.id == self.shot.pull.site)
            .map(|site| site.name.to_uppercase())
            .unwrap_or_default()
    }
}

fn station(mut setting: Setting, id: &str, moment: Moment) -> Canvas {
    let view = View::new(setting.wide, setting.high, 0.36, 2.3);
    let stage = match moment {
        Moment::Later => "ripe",
        _ if setting.shot.pull.stage.is_empty() => "ripe",
        _ => setting.shot.pull.stage,
    };
    let mut bed = rosettes::bed_of(stage, id);
    bed.amount = 0.78;
    match moment {
        Moment::Before => {}
        Moment::After => (bed.kept, bed.done) = (0.025, 55.0),
        Moment::Later => (bed.kept, bed.done) = (0.012, 1e6),
    }
    if setting.shot.pull.id == "P23" {
        (bed.kept, bed.done) = (0.0, 1e6);
    }
    let light = setting.light;
    let shore = setting.shore(id);
    let mut canvas = setting.world(&view, &shore, &bed);
    rosettes::lilies(&mut canvas, &view, id, &light, 17);
    rosettes::paint(&mut canvas, &view, &bed, &light, (view.near() * 0.9, 62.0));
    let salt = Chance::named(id).bits() as u32;
    match id {
        "HB1" => ground::dock(&mut canvas, &view, 0.5, (2.4, 4.4), (-1.5, 2.2), &light, salt),
        "HB2" => ground::rock(&mut canvas, &view, &light, salt),
        "LR1" => ground::posts(&mut canvas, &view, &light, salt),
        "LR2" => ground::stake(&mut canvas, &view, (-2.6, 8.0), 1.1, 0.13, 0x8b8375, Some(0x2f6fa8), &light),
        "MC1" => ground::wall(&mut canvas, &view, &light, salt),
        _ => ground::stake(&mut canvas, &view, (2.3, 7.4), 1.3, 0.035, 0x6b4434, None, &light),
    }
    let greens = shore::greens(setting.shot.pull.date);
    if matches!(id, "LR1" | "LR2" | "ON1") {
        let side = if id == "ON1" { -1.0 } else { 1.0 };
        let mut chance = Chance::named(&format!("reeds {id}"));
        ground::reeds(&mut canvas, side, &greens, &light, &mut chance);
    }
    let lines = [id.to_string(), setting.shot.pull.date.to_string()];
    let (wide, high) = (setting.wide as f32, setting.high as f32);
    let left = if matches!(id, "ON1" | "LR1" | "LR2") { 0.47 } else { 0.09 };
    let at = (wide * (left + setting.chance.between(-0.01, 0.01)), high * 0.79);
    card::paint(&mut canvas, at, wide * 0.145, setting.chance.between(-0.03, 0.03), &lines, &light, true);
    canvas
}

fn crew(mut setting: Setting) -> Canvas {
    let pull = setting.shot.pull;
    let view = View::new(setting.wide, setting.high, setting.chance.between(0.3, 0.38), 1.75);
    let mut bed = rosettes::bed_of(if pull.stage.is_empty() { "ripe" } else { pull.stage }, &setting.shot.path);
    bed.amount = match pull.stage {
        "seedling" => 0.3,
        "ripe" => 0.12,
        "" => 0.0,
        _ => setting.chance.between(0.5, 0.66),
    };
    if bed.amount == 0.0 {
        bed.kept = 0.0;
    }
    let light = setting.light;
    // One side of a site looks like itself from picture to picture: two views of each.
    let side = setting.chance.whole(0, 2);
    let shore = setting.shore(&format!("{} {side}", pull.site));
    let mut canvas = setting.world(&view, &shore, &bed);
    let boats: u32 = pull.boats.parse().unwrap_or(1);
    let mut away = setting.chance.between(7.6, 9.2);
    let mut side = if setting.chance.yes(0.5) { 1.0 } else { -1.0 };
    let mut canoes = Vec::new();
    let paints = [rgb(0xa33a2c), rgb(0x2f6b57), rgb(0x2d5d86), rgb(0xc9a23f), rgb(0x7c8791)];
    for index in 0..boats.min(4) {
        let chance = &mut setting.chance;
        canoes.push(Canoe {
            east: side * away * chance.between(0.1, 0.26),
            away,
            turn: chance.between(-0.5, 0.5),
            paint: paints[chance.whole(0, 4) as usize],
            crew: if index == 0 { chance.whole(2, 3) } else { 2 },
            bags: if pull.stage.is_empty() { 0 } else { chance.whole(1, 3) },
            seed: chance.bits(),
        });
        away *= chance.between(1.5, 1.95);
        side = -side;
    }
    let mut last = 60.0;
    for canoe in canoes.iter().rev() {
        rosettes::paint(&mut canvas, &view, &bed, &light, (canoe.away, last));
        canoe.paint(&mut canvas, &view, &light);
        last = canoe.away;
    }
    rosettes::paint(&mut canvas, &view, &bed, &light, (view.near() * 0.9, last));
    if setting.chance.yes(0.45) {
        let side = if setting.chance.yes(0.5) { 1.0 } else { -1.0 };
        ground::reeds(&mut canvas, side, &shore::greens(pull.date), &light, &mut setting.chance);
    }
    canvas
}

fn catch(mut setting: Setting) -> Canvas {
    let pull = setting.shot.pull;
    let view = View::new(setting.wide, setting.high, setting.chance.between(0.2, 0.25), 1.75);
    let bed = Bed { amount: 0.35, ..rosettes::bed_of(pull.stage, &setting.shot.path) };
    let light = setting.light;
    let side = setting.chance.whole(0, 2);
    let shore = setting.shore(&format!("landing {} {side}", pull.site));
    let mut canvas = setting.world(&view, &shore, &bed);
    rosettes::paint(&mut canvas, &view, &bed, &light, (5.2, 60.0));
    let deck = 0.35;
    let salt = Chance::named(pull.site).bits() as u32;
    ground::dock(&mut canvas, &view, deck, (1.2, 5.4), (-3.6, 3.6), &light, salt);
    let stand = View { eye: view.eye - deck, ..view };

    let count = |kind: &str| -> u32 {
        let rows = pull.rows.iter().filter(|row| row.container == kind);
        rows.filter_map(|row| row.containers.parse::<u32>().ok()).sum()
    };
    let unnamed = count("");
    let (bags, baskets) = (count("bag") + unnamed, count("basket"));
    let leaf = mix(bed.colour, rgb(0x6f8a3c), 0.4);
    let meshes = [rgb(0xd98536), rgb(0x3f7f66), rgb(0xb9473f)];
    let mesh = meshes[setting.chance.whole(0, 2) as usize];
    let total = bags + baskets;
    // Rows from back to front, so that near ones hide far ones.
    let rows = match total {
        0..=5 => 1,
        6..=11 => 2,
        _ => 3,
    };
    let in_row = total.div_ceil(rows).max(1);
    let gap = (4.1 / in_row as f32).min(0.74);
    for index in 0..total {
        let (row, column) = (index / in_row, index % in_row);
        let width = in_row.min(total - row * in_row);
        let away = 4.7 - 0.7 * row as f32 + if rows == 1 { -0.7 } else { 0.0 } + setting.chance.between(-0.06, 0.06);
        // Every other row stands in the gaps of the one before.
        let stagger = if row % 2 == 1 { gap * 0.5 } else { 0.0 } * if width == in_row { 1.0 } else { 0.0 };
        let east = (column as f32 - (width as f32 - 1.0) / 2.0) * gap + stagger + setting.chance.between(-0.05, 0.05);
        if index < bags {
            goods::bag(&mut canvas, &stand, (east, away), mesh, leaf, &light, &mut setting.chance);
        } else {
            goods::basket(&mut canvas, &stand, (east, away), leaf, &light, &mut setting.chance);
        }
    }
    let say = |count: u32, one: &str| match count {
        0 => None,
        1 => Some(format!("1 {one}")),
        more => Some(format!("{more} {one}S")),
    };
    let amounts: Vec<String> = [say(bags, "BAG"), say(baskets, "BASKET")].into_iter().flatten().collect();
    let lines = [format!("{}  {}", pull.id, pull.date), setting.site_name(), amounts.join(", ")];
    let (wide, high) = (setting.wide as f32, setting.high as f32);
    let left = setting.chance.between(0.06, 0.6);
    card::paint(&mut canvas, (wide * left, high * 0.79), wide * 0.25, setting.chance.between(-0.04, 0.04), &lines, &light, false);
    canvas
}

fn close(mut setting: Setting) -> Canvas {
    let pull = setting.shot.pull;
    // The horizon lies above the picture: the eye looks down.
    let long = setting.wide.max(setting.high) as f32;
    let view = View { wide: setting.wide, high: setting.high, horizon: -1.15 * setting.high as f32, focal: 1.65 * long, eye: 2.1 };
    let mut bed = rosettes::bed_of(pull.stage, &setting.shot.path);
    bed.amount = if pull.stage == "seedling" { 0.52 } else { 0.64 };
    bed.patch = 1.6;
    let light = setting.light;
    let mut above = Canvas::new(setting.wide, setting.high);
    sky::paint(&mut above, setting.high as f32 * 1.2, view.focal, &light);
    let mut canvas = Canvas::new(setting.wide, setting.high);
    water::look_down(&mut canvas, &view, &above, &light);
    rosettes::paint(&mut canvas, &view, &bed, &light, (view.near() * 0.9, 5.5));
    // One fine plant in the middle, whatever chance made of the rest.
    let (east, away) = view.ground(setting.wide as f32 * setting.chance.between(0.38, 0.62), setting.high as f32 * 0.58);
    let hero = Rosette { east, away, radius: bed.radius * 1.22, tone: 1.04, turn: setting.chance.between(0.0, 6.0), salt: 77 };
    hero.paint(&mut canvas, &view, &bed, &light);
    canvas
}

fn heap(mut setting: Setting) -> Canvas {
    let pull = setting.shot.pull;
    let view = View::new(setting.wide, setting.high, 0.34, 1.7);
    let light = setting.light;
    let shore = setting.shore(&format!("yard {}", pull.site));
    let bed = Bed { amount: 0.0, kept: 0.0, ..rosettes::bed_of(pull.stage, "yard") };
    let mut canvas = setting.world(&view, &shore, &bed);
    let (wide, high) = (setting.wide as f32, setting.high as f32);
    ground::dock(&mut canvas, &view, 0.3, (1.2, 9.5), (-6.0, 6.0), &light, 5);
    let leaf = mix(bed.colour, rgb(0x67813a), 0.5);
    let (middle, foot) = (wide * 0.5, high * 0.8);
    canvas.ellipse((middle - light.sun.signum() * wide * 0.05, foot), wide * 0.4, high * 0.06, rgb(0x1a1712), 0.5);
    goods::heap(&mut canvas, (middle, foot), (wide * 0.36, wide * 0.27), wide * 0.42, leaf, 2_600, &light, &mut setting.chance);
    // A fork stuck into the heap.
    let grip = (middle + wide * 0.2, foot - wide * 0.42);
    let tines = (middle + wide * 0.1, foot - wide * 0.16);
    canvas.stroke(grip, tines, (wide * 0.012, wide * 0.012), light.lit(scale(rgb(0xc09a68), 1.0)), 1.0);
    canvas.stroke((grip.0 - wide * 0.025, grip.1 - wide * 0.002), (grip.0 + wide * 0.025, grip.1 + wide * 0.012), (wide * 0.011, wide * 0.011), light.lit(rgb(0x8a6f4e)), 1.0);
    let lines = [format!("{}  {}", pull.id, pull.date), "TO THE COMPOST YARD".to_string()];
    card::paint(&mut canvas, (wide * 0.07, high * 0.82), wide * 0.27, -0.02, &lines, &light, false);
    canvas
}
