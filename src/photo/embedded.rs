//! The small copy of a picture that cameras put into its EXIF block.
//!
//! Takes a block that begins with a TIFF header. Gives the bytes of the JPEG that its second table points to. Must not decode them, nor
//! read anything outside the block.
//!
//! Source: CIPA DC-008-2019 (EXIF 2.32), section 4.5.5 on thumbnails; numbering from memory.

/// Tags of the offset and the length of the small JPEG in the second table.
const OFFSET: u16 = 0x0201;
const LENGTH: u16 = 0x0202;

/// No camera writes a table of more rows.
const MOST_ROWS: usize = 1000;

/// The small JPEG, if the block holds one.
pub(super) fn thumbnail(block: &[u8]) -> Option<&[u8]> {
    let little = match block.get(..2)? {
        b"II" => true,
        b"MM" => false,
        _ => return None,
    };
    let short = |at: usize| -> Option<u16> {
        let bytes = block.get(at..at.checked_add(2)?)?.try_into().ok()?;
        Some(if little {
            u16::from_le_bytes(bytes)
        } else {
            u16::from_be_bytes(bytes)
        })
    };
    let long = |at: usize| -> Option<usize> {
        let bytes = block.get(at..at.checked_add(4)?)?.try_into().ok()?;
        usize::try_from(if little {
            u32::from_le_bytes(bytes)
        } else {
            u32::from_be_bytes(bytes)
        })
        .ok()
    };
    let rows = |table: usize| short(table).map(usize::from);
    let first = long(4)?;
    let second = long(first.checked_add(2 + 12 * rows(first)?)?)?;
    if second == 0 {
        return None;
    }
    let (mut offset, mut length) = (None, None);
    for row in 0..rows(second)?.min(MOST_ROWS) {
        let at = second.checked_add(2 + 12 * row)?;
        match short(at)? {
            OFFSET => offset = offset.or(long(at + 8)),
            LENGTH => length = length.or(long(at + 8)),
            _ => {}
        }
    }
    let (offset, length) = offset.zip(length)?;
    block
        .get(offset..offset.checked_add(length)?)
        .filter(|bytes| bytes.starts_with(b"\xff\xd8"))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A block with an empty first table and a second one that points to `jpeg`.
    fn block(jpeg: &[u8], claimed: u32) -> Vec<u8> {
        let mut block = b"II\x2a\0\x08\0\0\0\0\0\x0e\0\0\0\x02\0".to_vec();
        for (tag, value) in [(OFFSET, 44u32), (LENGTH, claimed)] {
            block.extend(tag.to_le_bytes());
            block.extend(4u16.to_le_bytes());
            block.extend(1u32.to_le_bytes());
            block.extend(value.to_le_bytes());
        }
        block.extend([0; 4]);
        block.extend(jpeg);
        block
    }

    #[test]
    fn the_small_copy_is_cut_out() {
        let jpeg = b"\xff\xd8 a picture \xff\xd9";
        assert_eq!(thumbnail(&block(jpeg, jpeg.len() as u32)), Some(&jpeg[..]));
    }

    #[test]
    fn nothing_is_read_beyond_the_block() {
        let jpeg = b"\xff\xd8 a picture \xff\xd9";
        assert_eq!(thumbnail(&block(jpeg, jpeg.len() as u32 + 1)), None);
        assert_eq!(thumbnail(&block(jpeg, u32::MAX)), None);
        assert_eq!(thumbnail(&block(b"no picture", 10)), None);
        let whole = block(jpeg, jpeg.len() as u32);
        for end in 0..whole.len() {
            assert_eq!(thumbnail(&whole[..end]), None, "{end}");
        }
        assert_eq!(thumbnail(b"MM\0\x2a\xff\xff\xff\xff"), None);
    }
}
