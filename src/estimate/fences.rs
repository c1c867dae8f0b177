//! Fences beyond which a value lies apart from the others (Tukey 1977, Exploratory Data Analysis, section 2D).

/// Fences around the bulk of some numbers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fences {
    pub median: f64,
    /// 1.5 times the spread of the fourths beyond them.
    pub inner: (f64, f64),
    /// 3 times the spread beyond them: *far out* in Tukey's words.
    pub outer: (f64, f64),
}

/// Fewer values than this have fourths that a single wrong one moves.
const FEWEST: usize = 5;

/// The fences of some numbers; none for fewer than five, or where one is not finite.
///
/// The fourths are the medians of the lower and the upper half, the middle value belonging to both (Tukey's hinges).
pub fn fences(values: &[f64]) -> Option<Fences> {
    if values.len() < FEWEST || values.iter().any(|value| !value.is_finite()) {
        return None;
    }
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let half = sorted.len().div_ceil(2);
    let lower = median(sorted.get(..half)?)?;
    let upper = median(sorted.get(sorted.len() - half..)?)?;
    let spread = upper - lower;
    Some(Fences {
        median: median(&sorted)?,
        inner: (lower - 1.5 * spread, upper + 1.5 * spread),
        outer: (lower - 3.0 * spread, upper + 3.0 * spread),
    })
}

fn median(sorted: &[f64]) -> Option<f64> {
    let above = *sorted.get(sorted.len() / 2)?;
    if sorted.len() % 2 == 1 {
        return Some(above);
    }
    let below = *sorted.get((sorted.len() / 2).checked_sub(1)?)?;
    Some(below + (above - below) / 2.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_handbooks_example() {
        // NIST/SEMATECH e-Handbook of Statistical Methods, section 7.1.6, 90 ordered values, from memory. The handbook takes its quartiles
        // between two values, 429.75 and 742.25; the fourths are the values themselves. Both say: 1441 is the one value
        // beyond the inner fences, and none is beyond the outer.
        let values = [
            30, 171, 184, 201, 212, 250, 265, 270, 272, 289, 305, 306, 322, 322, 336, 346, 351,
            370, 390, 404, 409, 411, 436, 437, 439, 441, 444, 448, 451, 453, 470, 480, 482, 487,
            494, 495, 499, 503, 514, 521, 522, 527, 548, 550, 559, 560, 570, 572, 574, 578, 585,
            592, 592, 607, 616, 618, 621, 629, 637, 638, 640, 656, 668, 707, 709, 719, 737, 739,
            752, 758, 766, 792, 792, 794, 802, 818, 830, 832, 843, 858, 860, 869, 918, 925, 953,
            991, 1000, 1005, 1068, 1441,
        ]
        .map(f64::from);
        assert_eq!(values.len(), 90);
        let fences = fences(&values).unwrap();
        assert_eq!(fences.median, 559.5);
        assert_eq!(fences.inner, (436.0 - 1.5 * 303.0, 739.0 + 1.5 * 303.0));
        let beyond = |(low, high): (f64, f64)| {
            values
                .into_iter()
                .filter(|value| *value < low || *value > high)
                .collect::<Vec<_>>()
        };
        assert_eq!(beyond(fences.inner), [1441.0]);
        assert_eq!(beyond(fences.outer), [0.0; 0]);
    }

    #[test]
    fn too_few_or_broken_numbers_have_no_fences() {
        assert_eq!(fences(&[1.0, 2.0, 3.0, 4.0]), None);
        assert_eq!(fences(&[1.0, 2.0, f64::NAN, 4.0, 5.0]), None);
        assert_eq!(fences(&[2.0; 7]).unwrap().outer, (2.0, 2.0));
    }
}
