//! Which photos are the same: byte for byte, or to the eye.
//!
//! Takes photos or their looks. Gives groups of positions in a list. Must not say which of a group is the original, nor whether a group
//! matters: two exposures of one view a second apart are near-same and yet two photos.
//!
//! Near-same pictures are found without comparing each with each. Cut every hash into parts, more than half as many as bits may be
//! unequal: if each part of two hashes differed in two bits or more, the whole would differ in more than it may. So of a near pair at
//! least one part is equal or a single bit away, and only pictures that share such a part are compared in full. No pair is missed.
//! Every part takes bits from all over the hash: neighbours are alike in many pictures, and would make a few long lists.

use std::collections::BTreeMap;

use super::likeness::{Bits, Look, unequal};
use super::record::Photo;

/// Bits of a hash.
const HASH_BITS: u32 = 256;

/// The fewest parts of a hash: a part of 16 bits has a list for each of its 65,536 values.
const FEWEST_PARTS: u32 = 16;

/// Groups of two or more near-same pictures, as indices into `looks`: each is at most `most` unequal bits from at least
/// one other of its group.
///
/// Indices rise within a group; groups stand in the order of their first member.
pub fn near_same(looks: &[Option<Look>], most: u32) -> Vec<Vec<usize>> {
    let mut seen = Vec::new();
    for (picture, look) in looks.iter().enumerate() {
        for bits in look.iter().flat_map(Look::ways) {
            seen.push((picture, *bits));
        }
    }
    let mut groups = Groups::of(looks.len());
    let parts = (most / 2 + 1).clamp(FEWEST_PARTS, HASH_BITS);
    for first in 0..parts {
        let part = Part { first, parts };
        join_near(&seen, &part, most, &mut groups);
    }
    groups.of_several()
}

/// A part of a hash: its bits at equal steps from a first one on.
struct Part {
    first: u32,
    parts: u32,
}

impl Part {
    fn bits(&self) -> impl Iterator<Item = u32> {
        (self.first..HASH_BITS).step_by(self.parts as usize)
    }

    /// Its bits, at most 16 of them, as a number.
    fn value(&self, hash: &Bits) -> usize {
        self.bits().fold(0, |value, bit| {
            let word = hash.get(bit as usize / 64).copied().unwrap_or(0);
            value << 1 | (word >> (bit % 64) & 1) as usize
        })
    }
}

/// Joins near pictures among those whose hashes differ in one bit of the part or none.
fn join_near(seen: &[(usize, Bits)], part: &Part, most: u32, groups: &mut Groups) {
    let width = part.bits().count();
    // The group as it was before stands beside each, so that most pairs of one group are passed over at a glance.
    let mut lists: Vec<Vec<(usize, usize, &Bits)>> = vec![Vec::new(); 1 << width];
    for (picture, bits) in seen {
        if let Some(list) = lists.get_mut(part.value(bits)) {
            list.push((groups.first(*picture), *picture, bits));
        }
    }
    for (value, list) in lists.iter().enumerate() {
        if list.is_empty() {
            continue;
        }
        let one_bit_away = (0..width).map(|bit| value ^ (1 << bit));
        // From the lower of two lists alone, so that no two are held against each other twice.
        let others = one_bit_away.filter(|other| *other > value);
        for other in std::iter::once(value).chain(others) {
            for (group, picture, bits) in list {
                for (its_group, its_picture, its_bits) in lists.get(other).into_iter().flatten() {
                    if group != its_group
                        && unequal(bits, its_bits) <= most
                        && groups.first(*picture) != groups.first(*its_picture)
                    {
                        groups.join(*picture, *its_picture);
                    }
                }
            }
        }
    }
}

/// Which things belong together, by their numbers.
struct Groups {
    /// Each points to an earlier one of its group, the first to itself.
    earlier: Vec<usize>,
}

impl Groups {
    /// So many things, each by itself.
    fn of(number: usize) -> Self {
        Self {
            earlier: (0..number).collect(),
        }
    }

    /// The first of a thing's group.
    fn first(&mut self, mut index: usize) -> usize {
        // Ends: each step goes to a smaller index, or stays at the first. The way is cut short for those who come after.
        while let Some(&before) = self.earlier.get(index)
            && before != index
        {
            let further = self.earlier.get(before).copied().unwrap_or(before);
            if let Some(earlier) = self.earlier.get_mut(index) {
                *earlier = further;
            }
            index = further;
        }
        index
    }

    /// Makes one group of two.
    fn join(&mut self, one: usize, other: usize) {
        let (one, other) = (self.first(one), self.first(other));
        if let Some(later) = self.earlier.get_mut(one.max(other)) {
            *later = one.min(other);
        }
    }

    /// Groups of two or more, in the order of their first.
    fn of_several(mut self) -> Vec<Vec<usize>> {
        let mut groups: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        for index in 0..self.earlier.len() {
            groups.entry(self.first(index)).or_default().push(index);
        }
        groups
            .into_values()
            .filter(|group| group.len() > 1)
            .collect()
    }
}

/// Groups of two or more photos with the same SHA-256, as indices into `photos`.
///
/// Indices rise within a group; groups stand in the order of their first member. Files without bytes are left out:
/// they are all equal and each has a trouble of its own.
pub fn same_bytes(photos: &[Photo]) -> Vec<Vec<usize>> {
    let mut by_hash: BTreeMap<[u8; 32], Vec<usize>> = BTreeMap::new();
    for (index, photo) in photos.iter().enumerate() {
        if photo.bytes > 0 {
            by_hash.entry(photo.sha256).or_default().push(index);
        }
    }
    let mut groups: Vec<Vec<usize>> = by_hash
        .into_values()
        .filter(|group| group.len() > 1)
        .collect();
    groups.sort();
    groups
}

#[cfg(test)]
mod tests {
    use super::super::likeness::NEAR;
    use super::*;

    fn photo(hash: u8, bytes: u64) -> Photo {
        Photo {
            path: "".into(),
            bytes,
            sha256: [hash; 32],
            format: None,
            dimensions: None,
            orientation: 1,
            captured: None,
            gps_time: None,
            position: None,
            bearing: None,
            camera: None,
            serial: None,
            troubles: Vec::new(),
        }
    }

    #[test]
    fn equal_hashes_are_grouped_in_order_of_first_member() {
        let photos: Vec<Photo> = [9, 1, 5, 1, 9, 9, 7]
            .into_iter()
            .map(|hash| photo(hash, 10))
            .collect();
        assert_eq!(same_bytes(&photos), vec![vec![0, 4, 5], vec![1, 3]]);
    }

    /// A hash whose first so many bits are ones.
    fn ones(count: usize) -> Bits {
        let mut bits = [0; 4];
        for bit in 0..count {
            bits[bit / 64] |= 1 << (bit % 64);
        }
        bits
    }

    fn whole(whole: Bits) -> Option<Look> {
        let unframed = None;
        Some(Look { whole, unframed })
    }

    #[test]
    fn groups_are_chains_in_order_and_leave_out_what_has_no_look() {
        let with_ones = |count: usize| whole(ones(8 * count));
        // Eight bits a step: 0 and 2 steps are not near each other, but both are near 1.
        let looks = [
            with_ones(20),
            with_ones(2),
            None,
            with_ones(0),
            with_ones(21),
            with_ones(1),
        ];
        assert_eq!(near_same(&looks, 8), vec![vec![0, 4], vec![1, 3, 5]]);
        assert_eq!(near_same(&looks, 7), Vec::<Vec<usize>>::new());
        assert_eq!(near_same(&[None, None], 256), Vec::<Vec<usize>>::new());
    }

    #[test]
    fn empty_files_are_not_called_the_same_picture() {
        assert!(same_bytes(&[photo(1, 0), photo(1, 0)]).is_empty());
    }

    /// All parts together are the whole hash, each bit once.
    #[test]
    fn every_bit_is_in_one_part() {
        for parts in [16, 17, 33, 256] {
            let mut counted = 0;
            for first in 0..parts {
                let part = Part { first, parts };
                assert!(part.bits().count() <= 16);
                assert_eq!(part.value(&[u64::MAX; 4]), (1 << part.bits().count()) - 1);
                counted += part.bits().count();
            }
            assert_eq!(counted, 256);
        }
        let part = Part {
            first: 2,
            parts: 16,
        };
        assert_eq!(part.value(&ones(0)), 0);
        assert_eq!(part.value(&ones(3)), 1 << 15);
        assert_eq!(part.value(&[0, 0, 0, 1 << 50]), 1);
    }

    /// Each with each, as the definition has it.
    fn one_by_one(looks: &[Option<Look>], most: u32) -> Vec<Vec<usize>> {
        let mut groups = Groups::of(looks.len());
        for (index, look) in looks.iter().enumerate() {
            for (before, other) in looks.iter().enumerate().take(index) {
                if let (Some(look), Some(other)) = (look, other)
                    && look.distance(other) <= most
                {
                    groups.join(index, before);
                }
            }
        }
        groups.of_several()
    }

    /// Pictures at all distances around the one that counts, with frames and without: no pair is missed and none is made up.
    #[test]
    fn groups_are_those_of_comparing_each_with_each() {
        let mut dice = 0x9e37_79b9_7f4a_7c15_u64;
        let mut roll = || {
            dice ^= dice << 13;
            dice ^= dice >> 7;
            dice ^= dice << 17;
            dice
        };
        let mut looks = Vec::new();
        for _ in 0..40 {
            let one: Bits = std::array::from_fn(|_| roll());
            for unequal in 0..12 {
                let mut other = one;
                for _ in 0..unequal * 4 {
                    let bit = roll() % 256;
                    other[bit as usize / 64] ^= 1 << (bit % 64);
                }
                let unframed = roll().is_multiple_of(3).then_some(one);
                let look = Look {
                    whole: other,
                    unframed,
                };
                looks.push((!roll().is_multiple_of(9)).then_some(look));
            }
        }
        for most in [0, 1, 5, 16, 31, NEAR, 33, 64, 120, 256] {
            let found = near_same(&looks, most);
            assert_eq!(found, one_by_one(&looks, most), "{most} bits");
            assert!(!found.is_empty(), "{most} bits");
        }
    }
}
