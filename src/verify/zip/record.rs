//! The records of a ZIP as bytes say them (PKWARE APPNOTE 6.3.10, section 4.3). Decodes; judges nothing but lengths.

/// `PK\x03\x04`
pub(super) const LOCAL: u32 = 0x0403_4b50;
/// `PK\x01\x02`
pub(super) const CENTRAL: u32 = 0x0201_4b50;
/// `PK\x05\x06`
pub(super) const END: u32 = 0x0605_4b50;
/// `PK\x06\x06`
pub(super) const END64: u32 = 0x0606_4b50;
/// `PK\x06\x07`
pub(super) const LOCATOR64: u32 = 0x0706_4b50;
/// `PK\x07\x08`
pub(super) const DESCRIPTOR: u32 = 0x0807_4b50;

pub(super) const LOCAL_BYTES: usize = 30;
pub(super) const CENTRAL_BYTES: usize = 46;
pub(super) const END_BYTES: usize = 22;
pub(super) const END64_BYTES: usize = 56;
pub(super) const LOCATOR64_BYTES: usize = 20;

/// Reads little-endian numbers one after another; None once the bytes end.
pub(super) struct Fields<'a>(pub &'a [u8]);

impl Fields<'_> {
    fn take<const N: usize>(&mut self) -> Option<[u8; N]> {
        let (head, rest) = self.0.split_first_chunk::<N>()?;
        self.0 = rest;
        Some(*head)
    }
    pub(super) fn u16(&mut self) -> Option<u16> {
        self.take().map(u16::from_le_bytes)
    }
    pub(super) fn u32(&mut self) -> Option<u32> {
        self.take().map(u32::from_le_bytes)
    }
    pub(super) fn u64(&mut self) -> Option<u64> {
        self.take().map(u64::from_le_bytes)
    }
}

/// What local and central header both say of an entry.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Common {
    pub needed: u16,
    pub flags: u16,
    pub method: u16,
    pub time: u16,
    pub date: u16,
    pub crc: u32,
    pub compressed: u32,
    pub size: u32,
    pub name_bytes: u16,
    pub extra_bytes: u16,
}

impl Common {
    fn read(fields: &mut Fields) -> Option<Self> {
        Some(Self {
            needed: fields.u16()?,
            flags: fields.u16()?,
            method: fields.u16()?,
            time: fields.u16()?,
            date: fields.u16()?,
            crc: fields.u32()?,
            compressed: fields.u32()?,
            size: fields.u32()?,
            name_bytes: fields.u16()?,
            extra_bytes: fields.u16()?,
        })
    }
}

/// The fixed part of a local header, or None if the signature is another.
pub(super) fn local(bytes: &[u8]) -> Option<Common> {
    let mut fields = Fields(bytes);
    (fields.u32()? == LOCAL)
        .then(|| Common::read(&mut fields))
        .flatten()
}

/// The fixed part of a central header.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Central {
    pub made_by: u16,
    pub common: Common,
    pub comment_bytes: u16,
    pub disk: u16,
    pub internal: u16,
    pub external: u32,
    pub offset: u32,
}

/// The fixed part of a central header, or None if the signature is another.
pub(super) fn central(bytes: &[u8]) -> Option<Central> {
    let mut fields = Fields(bytes);
    if fields.u32()? != CENTRAL {
        return None;
    }
    Some(Central {
        made_by: fields.u16()?,
        common: Common::read(&mut fields)?,
        comment_bytes: fields.u16()?,
        disk: fields.u16()?,
        internal: fields.u16()?,
        external: fields.u32()?,
        offset: fields.u32()?,
    })
}

/// The end record.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct End {
    pub disk: u16,
    pub directory_disk: u16,
    pub here: u16,
    pub count: u16,
    pub bytes: u32,
    pub offset: u32,
    pub comment_bytes: u16,
}

/// The end record, or None if the signature is another.
pub(super) fn end(bytes: &[u8]) -> Option<End> {
    let mut fields = Fields(bytes);
    if fields.u32()? != END {
        return None;
    }
    Some(End {
        disk: fields.u16()?,
        directory_disk: fields.u16()?,
        here: fields.u16()?,
        count: fields.u16()?,
        bytes: fields.u32()?,
        offset: fields.u32()?,
        comment_bytes: fields.u16()?,
    })
}

/// The Zip64 end record.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct End64 {
    pub record_bytes: u64,
    pub made_by: u16,
    pub needed: u16,
    pub disk: u32,
    pub directory_disk: u32,
    pub here: u64,
    pub count: u64,
    pub bytes: u64,
    pub offset: u64,
}

/// The Zip64 end record, or None if the signature is another.
pub(super) fn end64(bytes: &[u8]) -> Option<End64> {
    let mut fields = Fields(bytes);
    if fields.u32()? != END64 {
        return None;
    }
    Some(End64 {
        record_bytes: fields.u64()?,
        made_by: fields.u16()?,
        needed: fields.u16()?,
        disk: fields.u32()?,
        directory_disk: fields.u32()?,
        here: fields.u64()?,
        count: fields.u64()?,
        bytes: fields.u64()?,
        offset: fields.u64()?,
    })
}

/// The Zip64 locator: disk of the end record, its offset, number of disks. None if the signature is another.
pub(super) fn locator64(bytes: &[u8]) -> Option<(u32, u64, u32)> {
    let mut fields = Fields(bytes);
    if fields.u32()? != LOCATOR64 {
        return None;
    }
    Some((fields.u32()?, fields.u64()?, fields.u32()?))
}

/// The extra fields as (kind, content), or None if their lengths don't add up.
pub(super) fn extra_fields(bytes: &[u8]) -> Option<Vec<(u16, &[u8])>> {
    let mut fields = Fields(bytes);
    let mut list = Vec::new();
    while !fields.0.is_empty() {
        let (kind, length) = (fields.u16()?, usize::from(fields.u16()?));
        let (content, rest) = fields.0.split_at_checked(length)?;
        fields.0 = rest;
        list.push((kind, content));
    }
    Some(list)
}

/// The check sum and sizes (compressed, plain) of a data descriptor, by its length: with or without signature, with
/// sizes of 4 or 8 bytes.
pub(super) fn descriptor(bytes: &[u8]) -> Option<(u32, u64, u64)> {
    let mut fields = Fields(bytes);
    let (signed, wide) = match bytes.len() {
        12 => (false, false),
        16 => (true, false),
        20 => (false, true),
        24 => (true, true),
        _ => return None,
    };
    if signed && fields.u32()? != DESCRIPTOR {
        return None;
    }
    let crc = fields.u32()?;
    if wide {
        Some((crc, fields.u64()?, fields.u64()?))
    } else {
        Some((crc, fields.u32()?.into(), fields.u32()?.into()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn extra_fields_must_add_up() {
        assert_eq!(extra_fields(&[]), Some(vec![]));
        assert_eq!(
            extra_fields(&[1, 0, 2, 0, 7, 8]),
            Some(vec![(1, &[7, 8][..])])
        );
        assert_eq!(extra_fields(&[1, 0, 3, 0, 7, 8]), None);
        assert_eq!(extra_fields(&[1, 0, 0]), None);
    }

    #[test]
    fn descriptors_are_told_apart_by_length() {
        let plain = [1, 0, 0, 0, 2, 0, 0, 0, 3, 0, 0, 0];
        assert_eq!(descriptor(&plain), Some((1, 2, 3)));
        let mut signed = DESCRIPTOR.to_le_bytes().to_vec();
        signed.extend(plain);
        assert_eq!(descriptor(&signed), Some((1, 2, 3)));
        assert_eq!(descriptor(&plain[1..]), None);
    }

    #[test]
    fn short_or_foreign_bytes_are_no_record() {
        assert_eq!(end(b"PK\x05\x06"), None);
        assert_eq!(local(&[0; LOCAL_BYTES]), None);
        assert_eq!(central(&[0; CENTRAL_BYTES]), None);
        assert_eq!(end64(&[0; END64_BYTES]), None);
        assert_eq!(locator64(&[0; LOCATOR64_BYTES]), None);
    }
}
