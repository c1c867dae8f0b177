//! The five kinds of picture, put together from their parts.
//!
//! Takes a shot; gives a canvas without the mark.

mod afloat;
mod landing;
mod station;

use super::canvas::Canvas;
use super::rosettes::Bed;
use super::shore::{self, Shore};
use super::sky;
use super::view::{Light, View};
use super::water::{self, Above};
use crate::places;
use crate::seed::Chance;
use crate::shots::{Phone, Scene, Shot};

/// What a picture starts from.
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
    let (wide, high) = if matches!(shot.turn, 6 | 8) {
        (short, long)
    } else {
        (long, short)
    };
    let setting = Setting {
        shot,
        light,
        chance,
        wide,
        high,
    };
    match shot.scene {
        Scene::Station(id, moment) => station::station(setting, id, moment),
        Scene::Crew => afloat::crew(setting),
        Scene::Catch => landing::catch(setting),
        Scene::Close => afloat::close(setting),
        Scene::Heap => landing::heap(setting),
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
        let above = Above {
            canvas: above,
            lift,
            waterline,
        };
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
