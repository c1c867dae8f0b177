//! At the landing: the catch in its containers, and the heap that goes to the yard.

use super::Setting;
use crate::paint::canvas::{Canvas, mix, rgb};
use crate::paint::rosettes::{self, Bed};
use crate::paint::view::View;
use crate::paint::{card, goods, ground};
use crate::seed::Chance;

pub(super) fn catch(mut setting: Setting) -> Canvas {
    let pull = setting.shot.pull;
    let view = View::new(
        setting.wide,
        setting.high,
        setting.chance.between(0.2, 0.25),
        1.75,
    );
    // What stands off the landing thins out as the season goes on.
    let amount = match pull.stage {
        "ripe" => 0.06,
        "fruiting" => 0.2,
        "seedling" => 0.28,
        _ => 0.38,
    };
    let bed = Bed {
        amount,
        ..rosettes::bed_of(pull.stage, &setting.shot.path)
    };
    let light = setting.light;
    let side = setting.chance.whole(0, 2);
    let shore = setting.shore(&format!("landing {} {side}", pull.site));
    let mut canvas = setting.world(&view, &shore, &bed);
    rosettes::paint(&mut canvas, &view, &bed, &light, (5.2, 60.0));
    let deck = 0.35;
    let salt = Chance::named(pull.site).bits() as u32;
    ground::dock(
        &mut canvas,
        &view,
        &ground::Dock {
            deck,
            near: 1.2,
            far: 5.4,
            left: -3.6,
            right: 3.6,
        },
        &light,
        salt,
    );
    let stand = View {
        eye: view.eye - deck,
        ..view
    };

    let count = |kind: &str| -> u32 {
        let rows = pull.rows.iter().filter(|row| row.container == kind);
        rows.filter_map(|row| row.containers.parse::<u32>().ok())
            .sum()
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
        let away = 4.7 - 0.7 * row as f32
            + if rows == 1 { -0.7 } else { 0.0 }
            + setting.chance.between(-0.06, 0.06);
        // Every other row stands in the gaps of the one before.
        let stagger =
            if row % 2 == 1 { gap * 0.5 } else { 0.0 } * if width == in_row { 1.0 } else { 0.0 };
        let east = (column as f32 - (width as f32 - 1.0) / 2.0) * gap
            + stagger
            + setting.chance.between(-0.05, 0.05);
        if index < bags {
            goods::bag(
                &mut canvas,
                &stand,
                (east, away),
                mesh,
                leaf,
                &light,
                &mut setting.chance,
            );
        } else {
            goods::basket(
                &mut canvas,
                &stand,
                (east, away),
                leaf,
                &light,
                &mut setting.chance,
            );
        }
    }
    let say = |count: u32, one: &str| match count {
        0 => None,
        1 => Some(format!("1 {one}")),
        more => Some(format!("{more} {one}S")),
    };
    let amounts: Vec<String> = [say(bags, "BAG"), say(baskets, "BASKET")]
        .into_iter()
        .flatten()
        .collect();
    let lines = [
        format!("{}  {}", pull.id, pull.date),
        setting.site_name(),
        amounts.join(", "),
    ];
    let (wide, high) = (setting.wide as f32, setting.high as f32);
    let left = setting.chance.between(0.06, 0.6);
    card::paint(
        &mut canvas,
        (wide * left, high * 0.79),
        wide * 0.25,
        setting.chance.between(-0.04, 0.04),
        &lines,
        &light,
        false,
    );
    canvas
}

pub(super) fn heap(mut setting: Setting) -> Canvas {
    let pull = setting.shot.pull;
    let view = View::new(setting.wide, setting.high, 0.34, 1.7);
    let light = setting.light;
    let shore = setting.shore(&format!("yard {}", pull.site));
    let bed = Bed {
        amount: 0.0,
        kept: 0.0,
        ..rosettes::bed_of(pull.stage, "yard")
    };
    let mut canvas = setting.world(&view, &shore, &bed);
    let (wide, high) = (setting.wide as f32, setting.high as f32);
    ground::dock(
        &mut canvas,
        &view,
        &ground::Dock {
            deck: 0.3,
            near: 1.2,
            far: 9.5,
            left: -6.0,
            right: 6.0,
        },
        &light,
        5,
    );
    let leaf = mix(bed.colour, rgb(0x67813a), 0.5);
    let (middle, foot) = (wide * 0.5, high * 0.8);
    canvas.ellipse(
        (middle - light.sun.signum() * wide * 0.05, foot),
        wide * 0.4,
        high * 0.06,
        rgb(0x1a1712),
        0.5,
    );
    let mound = goods::Mound {
        foot: (middle, foot),
        half: wide * 0.36,
        tall: wide * 0.27,
        size: wide * 0.42,
        leaf,
        count: 2_600,
    };
    goods::heap(&mut canvas, &mound, &light, &mut setting.chance);
    // A fork stuck into the heap.
    let grip = (middle + wide * 0.2, foot - wide * 0.42);
    let tines = (middle + wide * 0.1, foot - wide * 0.16);
    canvas.stroke(
        grip,
        tines,
        (wide * 0.012, wide * 0.012),
        light.lit(rgb(0xc09a68)),
        1.0,
    );
    canvas.stroke(
        (grip.0 - wide * 0.025, grip.1 - wide * 0.002),
        (grip.0 + wide * 0.025, grip.1 + wide * 0.012),
        (wide * 0.011, wide * 0.011),
        light.lit(rgb(0x8a6f4e)),
        1.0,
    );
    let lines = [
        format!("{}  {}", pull.id, pull.date),
        "TO THE COMPOST YARD".to_string(),
    ];
    card::paint(
        &mut canvas,
        (wide * 0.07, high * 0.82),
        wide * 0.27,
        -0.02,
        &lines,
        &light,
        false,
    );
    canvas
}
