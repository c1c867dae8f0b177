//! The view from a photo station, the same each time but for the plants, the light and the card.

use super::Setting;
use crate::paint::canvas::Canvas;
use crate::paint::view::View;
use crate::paint::{card, ground, rosettes, shore};
use crate::seed::Chance;
use crate::shots::Moment;

pub(super) fn station(mut setting: Setting, id: &str, moment: Moment) -> Canvas {
    let view = View::new(setting.wide, setting.high, 0.36, 2.3);
    let stage = match moment {
        Moment::Later => "ripe",
        _ if setting.shot.pull.stage.is_empty() => "ripe",
        _ => setting.shot.pull.stage,
    };
    let mut bed = rosettes::bed_of(stage, id);
    bed.amount = 0.88;
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
        "HB1" => ground::dock(
            &mut canvas,
            &view,
            &ground::Dock {
                deck: 0.5,
                near: 2.4,
                far: 4.4,
                left: -1.5,
                right: 2.2,
            },
            &light,
            salt,
        ),
        "HB2" => ground::rock(&mut canvas, &view, &light, salt),
        "LR1" => ground::posts(&mut canvas, &view, &light, salt),
        "LR2" => ground::stake(
            &mut canvas,
            &view,
            &ground::Stake {
                east: -2.6,
                away: 8.0,
                tall: 1.1,
                half: 0.13,
                tone: 0x8b8375,
                band: Some(0x2f6fa8),
            },
            &light,
        ),
        "MC1" => ground::wall(&mut canvas, &view, &light, salt),
        _ => ground::stake(
            &mut canvas,
            &view,
            &ground::Stake {
                east: 2.3,
                away: 7.4,
                tall: 1.3,
                half: 0.035,
                tone: 0x6b4434,
                band: None,
            },
            &light,
        ),
    }
    let greens = shore::greens(setting.shot.pull.date);
    if matches!(id, "LR1" | "LR2" | "ON1") {
        let side = if id == "ON1" { -1.0 } else { 1.0 };
        let mut chance = Chance::named(&format!("reeds {id}"));
        ground::reeds(&mut canvas, side, &greens, &light, &mut chance);
    }
    let lines = [id.to_string(), setting.shot.pull.date.to_string()];
    let (wide, high) = (setting.wide as f32, setting.high as f32);
    let left = if matches!(id, "ON1" | "LR1" | "LR2") {
        0.47
    } else {
        0.09
    };
    let at = (
        wide * (left + setting.chance.between(-0.01, 0.01)),
        high * 0.79,
    );
    card::paint(
        &mut canvas,
        at,
        wide * 0.145,
        setting.chance.between(-0.03, 0.03),
        &lines,
        &light,
        true,
    );
    canvas
}
