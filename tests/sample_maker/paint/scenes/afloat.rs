//! Out on the water: crews at work, and rosettes from close by.

use super::Setting;
use crate::paint::canoe::Canoe;
use crate::paint::canvas::{Canvas, rgb};
use crate::paint::rosettes::{self, Rosette};
use crate::paint::view::View;
use crate::paint::{ground, shore, sky, water};

pub(super) fn crew(mut setting: Setting) -> Canvas {
    let pull = setting.shot.pull;
    let view = View::new(
        setting.wide,
        setting.high,
        setting.chance.between(0.3, 0.38),
        1.75,
    );
    let mut bed = rosettes::bed_of(
        if pull.stage.is_empty() {
            "ripe"
        } else {
            pull.stage
        },
        &setting.shot.path,
    );
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
    let number = |text: &str| text.parse::<u32>().unwrap_or(0);
    // The second log of one outing has no boats and no heads: its picture shows the first one's.
    let boats = number(pull.boats).max(1);
    let heads = (number(pull.staff) + number(pull.volunteers)).max(2);
    let mut away = setting.chance.between(7.6, 9.2);
    let mut side = if setting.chance.yes(0.5) { 1.0 } else { -1.0 };
    let mut canoes = Vec::new();
    let paints = [
        rgb(0xa33a2c),
        rgb(0x2f6b57),
        rgb(0x2d5d86),
        rgb(0xc9a23f),
        rgb(0x7c8791),
    ];
    for index in 0..boats.min(4) {
        let chance = &mut setting.chance;
        canoes.push(Canoe {
            east: side * away * chance.between(0.1, 0.26),
            away,
            turn: chance.between(-0.5, 0.5),
            paint: paints[chance.whole(0, 4) as usize],
            crew: (heads / boats + u32::from(index < heads % boats)).clamp(1, 3),
            bags: if pull.stage.is_empty() {
                0
            } else {
                chance.whole(1, 3)
            },
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
        ground::reeds(
            &mut canvas,
            side,
            &shore::greens(pull.date),
            &light,
            &mut setting.chance,
        );
    }
    canvas
}

pub(super) fn close(mut setting: Setting) -> Canvas {
    let pull = setting.shot.pull;
    // The horizon lies above the picture: the eye looks down.
    let long = setting.wide.max(setting.high) as f32;
    let view = View {
        wide: setting.wide,
        high: setting.high,
        horizon: -1.15 * setting.high as f32,
        focal: 1.65 * long,
        eye: 2.1,
    };
    let mut bed = rosettes::bed_of(pull.stage, &setting.shot.path);
    bed.amount = if pull.stage == "seedling" { 0.56 } else { 0.72 };
    bed.patch = 1.6;
    let light = setting.light;
    let mut above = Canvas::new(setting.wide, setting.high);
    sky::paint(&mut above, setting.high as f32 * 1.2, view.focal, &light);
    let mut canvas = Canvas::new(setting.wide, setting.high);
    water::look_down(&mut canvas, &view, &above, &light);
    rosettes::paint(&mut canvas, &view, &bed, &light, (view.near() * 0.9, 5.5));
    // One fine plant in the middle, whatever chance made of the rest.
    let (east, away) = view.ground(
        setting.wide as f32 * setting.chance.between(0.38, 0.62),
        setting.high as f32 * 0.58,
    );
    let hero = Rosette {
        east,
        away,
        radius: bed.radius * 1.22,
        tone: 1.04,
        turn: setting.chance.between(0.0, 6.0),
        salt: 77,
    };
    hero.paint(&mut canvas, &view, &bed, &light);
    canvas
}
