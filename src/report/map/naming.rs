//! Names on the map: sites by name or number, stations by id, each where it covers nothing.

use geo::{BoundingRect, Centroid};

use super::labels::{self, Box2, Wish};
use super::view::{View, bounds};
use crate::report::chart::{self, Anchor, Lettering, SIZE, Svg, stroke};
use crate::report::fonts;
use crate::report::palette::{BARK, INK, MUTED};
use crate::season::Ground;

/// Up to so many sites are named on the map itself; more get numbers and a key.
const NAMED: usize = 16;

/// The lines of all sites as small boxes, for labels to keep off.
pub fn outlines(ground: &Ground, view: &View) -> Vec<Box2> {
    // Closer than the height of a label, so that none slips between.
    const STEP: f64 = 6.0;
    // A hostile outline may be endless; labels then stand where they can.
    const MOST: usize = 4_000;
    let mut boxes = Vec::new();
    for site in &ground.sites {
        for polygon in &site.outline {
            let ring = view.ring(polygon.exterior());
            for (from, to) in ring.iter().zip(ring.iter().skip(1)) {
                let long = (to.0 - from.0).hypot(to.1 - from.1);
                let steps = (long / STEP).ceil().clamp(1.0, 100.0) as usize;
                for step in 0..steps {
                    if boxes.len() >= MOST {
                        return boxes;
                    }
                    let part = step as f64 / steps as f64;
                    boxes.push(Box2::around(
                        from.0 + (to.0 - from.0) * part,
                        from.1 + (to.1 - from.1) * part,
                        0.8,
                        0.8,
                    ));
                }
            }
        }
    }
    boxes
}

/// Names or numbers of sites, then the ids of stations. Gives the key where sites are numbered.
/// `busy` tells that lines run through the sites.
pub fn label(
    svg: &mut Svg,
    ground: &Ground,
    view: &View,
    taken: &[Box2],
    busy: bool,
) -> Vec<(usize, String)> {
    let numbered = ground.sites.len() > NAMED;
    let mut texts: Vec<(String, bool)> = Vec::new();
    let mut wishes: Vec<Wish> = Vec::new();
    let mut key = Vec::new();
    for (index, site) in ground.sites.iter().enumerate() {
        let Some(rect) = site.outline.bounding_rect() else {
            continue;
        };
        let corners: Vec<_> = site
            .outline
            .iter()
            .flat_map(|polygon| view.ring(polygon.exterior()))
            .collect();
        let middle = site
            .outline
            .centroid()
            .map_or((rect.center().x, rect.center().y), |point| {
                (point.x(), point.y())
            });
        let (Some(thing), Some((x, y))) = (bounds(&corners), view.place(middle.0, middle.1)) else {
            continue;
        };
        let text = if numbered {
            key.push((index + 1, site.name.clone()));
            (index + 1).to_string()
        } else {
            chart::cut(&site.name, 140.0, SIZE)
        };
        wishes.push(wish(&text, shift(thing, x, y), true));
        texts.push((text, true));
    }
    for station in &ground.stations {
        if let Some((x, y)) = view.place(station.point.x(), station.point.y()) {
            let text = chart::cut(&station.id, 60.0, SIZE);
            wishes.push(wish(&text, Box2::around(x, y, 3.5, 3.5), false));
            texts.push((text, false));
        }
    }
    let places = labels::place(&wishes, taken, view.frame());
    for ((placed, wish), (text, site)) in places.iter().zip(&wishes).zip(&texts) {
        let (x, y) = placed.place.middle();
        if placed.led {
            let (from_x, from_y) = wish.thing.middle();
            svg.line(from_x, from_y, x, y, stroke(MUTED, 0.5));
        }
        let lettering = if *site {
            Lettering::new(INK, Anchor::Middle).bold()
        } else {
            Lettering::new(BARK, Anchor::Middle)
        };
        // On the site's own plain fill no ground is needed.
        let inside = *site && !busy && wish.thing.holds(&placed.place);
        if inside {
            svg.text(x, y + 2.6, text, lettering);
        } else {
            svg.on_paper(x, y + 2.6, text, lettering);
        }
    }
    key
}

fn wish(text: &str, thing: Box2, inside: bool) -> Wish {
    Wish {
        thing,
        // Two points of air, so that neighbours don't touch.
        width: fonts::width(text, SIZE, inside) + 3.0,
        height: SIZE + 2.0,
        inside,
    }
}

/// The same box about another middle: a site's label stands at its centre of mass.
fn shift(thing: Box2, x: f64, y: f64) -> Box2 {
    Box2::around(
        x,
        y,
        (thing.right - thing.left) / 2.0,
        (thing.bottom - thing.top) / 2.0,
    )
}
