//! Places for labels, so that none covers another.
//!
//! Takes boxes and wishes in page points, gives places. Greedy: what comes first chooses first. Knows nothing of maps.

/// A rectangle on the page.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Box2 {
    pub left: f64,
    pub top: f64,
    pub right: f64,
    pub bottom: f64,
}

impl Box2 {
    pub fn around(x: f64, y: f64, half_width: f64, half_height: f64) -> Self {
        Self {
            left: x - half_width,
            top: y - half_height,
            right: x + half_width,
            bottom: y + half_height,
        }
    }

    pub fn holds(&self, other: &Self) -> bool {
        self.left <= other.left
            && self.top <= other.top
            && self.right >= other.right
            && self.bottom >= other.bottom
    }

    fn shared(&self, other: &Self) -> f64 {
        let width = (self.right.min(other.right) - self.left.max(other.left)).max(0.0);
        let height = (self.bottom.min(other.bottom) - self.top.max(other.top)).max(0.0);
        width * height
    }

    pub fn middle(&self) -> (f64, f64) {
        (
            f64::midpoint(self.left, self.right),
            f64::midpoint(self.top, self.bottom),
        )
    }
}

/// A label looking for a place.
#[derive(Debug, Clone, Copy)]
pub struct Wish {
    /// What it names.
    pub thing: Box2,
    pub width: f64,
    pub height: f64,
    /// May it stand upon the thing itself? A wide site yes, a point no.
    pub inside: bool,
}

/// Where a label came to stand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Placed {
    pub place: Box2,
    /// So far from its thing that a line has to lead there.
    pub led: bool,
}

/// How far from its thing a label may stand, in points: touching, near, and with a leading line.
const REACHES: [f64; 4] = [2.0, 9.0, 22.0, 40.0];
/// How far up or down from its middle a label may stand within its thing.
const INSIDE: [f64; 5] = [0.0, -8.0, 8.0, -16.0, 16.0];
/// From this reach on a line leads to the thing.
const LED_FROM: f64 = 9.0;

/// A place for each wish within `frame`, clear of `taken` and of each other where there is room; else where it covers least.
pub fn place(wishes: &[Wish], taken: &[Box2], frame: Box2) -> Vec<Placed> {
    let mut taken = taken.to_vec();
    wishes
        .iter()
        .map(|wish| {
            let mut best: Option<(f64, Placed)> = None;
            for candidate in candidates(wish) {
                if !frame.holds(&candidate.place) {
                    continue;
                }
                let covered: f64 = taken
                    .iter()
                    .map(|other| candidate.place.shared(other))
                    .sum();
                if best.is_none_or(|(least, _)| covered < least) {
                    best = Some((covered, candidate));
                }
                if covered == 0.0 {
                    break;
                }
            }
            let placed = best.map_or_else(|| pushed_in(wish, frame), |(_, placed)| placed);
            taken.push(placed.place);
            placed
        })
        .collect()
}

/// All places worth a try, the best first.
fn candidates(wish: &Wish) -> Vec<Placed> {
    let (x, y) = wish.thing.middle();
    let (half_width, half_height) = (wish.width / 2.0, wish.height / 2.0);
    let mut all = Vec::new();
    let fits = wish.thing.right - wish.thing.left > wish.width
        && wish.thing.bottom - wish.thing.top > wish.height;
    if wish.inside && fits {
        for lift in INSIDE {
            let place = Box2::around(x, y + lift, half_width, half_height);
            if wish.thing.holds(&place) {
                all.push(Placed { place, led: false });
            }
        }
    }
    for reach in REACHES {
        let right = wish.thing.right + reach + half_width;
        let left = wish.thing.left - reach - half_width;
        let above = wish.thing.top - reach - half_height;
        let below = wish.thing.bottom + reach + half_height;
        for (x, y) in [
            (right, y),
            (left, y),
            (x, above),
            (x, below),
            (right, above),
            (left, above),
            (right, below),
            (left, below),
        ] {
            all.push(Placed {
                place: Box2::around(x, y, half_width, half_height),
                led: reach >= LED_FROM,
            });
        }
    }
    all
}

/// Upon the thing, moved into the frame: the last resort.
fn pushed_in(wish: &Wish, frame: Box2) -> Placed {
    let (x, y) = wish.thing.middle();
    let (half_width, half_height) = (wish.width / 2.0, wish.height / 2.0);
    // A label wider than the frame starts at its left edge.
    let x = x.min(frame.right - half_width).max(frame.left + half_width);
    let y = y
        .min(frame.bottom - half_height)
        .max(frame.top + half_height);
    Placed {
        place: Box2::around(x, y, half_width, half_height),
        led: false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const FRAME: Box2 = Box2 {
        left: 0.0,
        top: 0.0,
        right: 400.0,
        bottom: 300.0,
    };

    fn point(x: f64, y: f64) -> Wish {
        Wish {
            thing: Box2::around(x, y, 2.0, 2.0),
            width: 40.0,
            height: 8.0,
            inside: false,
        }
    }

    #[test]
    fn a_crowd_of_twelve_points_keeps_all_labels_apart() {
        let wishes: Vec<Wish> = (0..12)
            .map(|index| {
                point(
                    200.0 + f64::from(index % 4) * 12.0,
                    150.0 + f64::from(index / 4) * 12.0,
                )
            })
            .collect();
        let placed = place(&wishes, &[], FRAME);
        for (index, a) in placed.iter().enumerate() {
            assert!(FRAME.holds(&a.place));
            for b in placed.iter().skip(index + 1) {
                assert_eq!(a.place.shared(&b.place), 0.0, "{a:?} {b:?}");
            }
        }
    }

    #[test]
    fn a_label_stays_in_the_frame_even_without_room() {
        let wishes: Vec<Wish> = (0..200).map(|_| point(399.0, 299.0)).collect();
        for placed in place(&wishes, &[], FRAME) {
            assert!(FRAME.holds(&placed.place));
        }
    }

    #[test]
    fn a_wide_site_carries_its_name() {
        let wish = Wish {
            thing: Box2::around(100.0, 100.0, 50.0, 30.0),
            inside: true,
            ..point(100.0, 100.0)
        };
        let placed = place(&[wish], &[], FRAME);
        assert_eq!(placed[0].place.middle(), (100.0, 100.0));
    }
}
