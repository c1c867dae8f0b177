//! Which photos are the same file, byte for byte.
//!
//! Takes photos. Gives groups of their positions in the list. Must not compare pictures by eye: two exposures of
//! one view are two photos.

use std::collections::BTreeMap;

use super::record::Photo;

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
    use super::*;

    fn photo(hash: u8, bytes: u64) -> Photo {
        Photo {
            path: String::new(),
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

    #[test]
    fn empty_files_are_not_called_the_same_picture() {
        assert!(same_bytes(&[photo(1, 0), photo(1, 0)]).is_empty());
    }
}
