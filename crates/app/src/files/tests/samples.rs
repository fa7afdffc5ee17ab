//! Picture files made by hand, for what the encoders do not write.

/// A value of a TIFF field.
#[derive(Debug, Clone, Copy)]
pub(super) enum Field {
    Short(u16),
    Long(u32),
    Rational(u32, u32),
}
use Field::{Long, Rational, Short};

/// An image file directory at `start` of a big-endian TIFF, with what does not fit into its entries behind it (TIFF 6.0,
/// section 2).
fn directory(start: u32, fields: &[(u16, Field)]) -> Vec<u8> {
    let mut entries = u16::try_from(fields.len()).unwrap().to_be_bytes().to_vec();
    let mut behind = Vec::new();
    for &(tag, field) in fields {
        let (kind, value): (u16, [u8; 4]) = match field {
            Short(value) => (3, (u32::from(value) << 16).to_be_bytes()),
            Long(value) => (4, value.to_be_bytes()),
            Rational(above, below) => {
                let at = start + 2 + 12 * fields.len() as u32 + 4 + behind.len() as u32;
                behind.extend([above.to_be_bytes(), below.to_be_bytes()].concat());
                (5, at.to_be_bytes())
            }
        };
        entries.extend([&tag.to_be_bytes()[..], &kind.to_be_bytes(), &[0, 0, 0, 1], &value].concat());
    }
    entries.extend([0; 4]);
    entries.extend(behind);
    entries
}

/// EXIF with these fields of the picture and of its taking (EXIF 2.32, 4.6).
pub(super) fn exif(picture: &[(u16, Field)], taking: &[(u16, Field)]) -> Vec<u8> {
    let behind = 8 + 2 + 12 * (picture.len() as u32 + 1) + 4;
    let picture = [picture, &[(0x8769, Long(behind))]].concat();
    [&b"MM\0\x2a\0\0\0\x08"[..], &directory(8, &picture), &directory(behind, taking)].concat()
}

/// An uncompressed TIFF in one strip; `fields` are those besides size and strip, in the order of their tags.
pub(super) fn tiff(size: [u32; 2], samples: &[u8], fields: &[(u16, Field)]) -> Vec<u8> {
    let own = [
        (0x0100, Long(size[0])),
        (0x0101, Long(size[1])),
        (0x0103, Short(1)),
        (0x0111, Long(8)),
        (0x0116, Long(size[1])),
        (0x0117, Long(samples.len() as u32)),
    ];
    let mut all = [&own[..], fields].concat();
    all.sort_by_key(|(tag, _)| *tag);
    let start = 8 + samples.len() as u32;
    [&b"MM\0\x2a"[..], &start.to_be_bytes(), samples, &directory(start, &all)].concat()
}

/// The JPEG with an APP1 segment before all others.
pub(super) fn jpeg_with_segment(jpeg: &[u8], segment: &[u8]) -> Vec<u8> {
    let length = u16::try_from(2 + segment.len()).unwrap().to_be_bytes();
    [&jpeg[..2], &[0xFF, 0xE1], &length, segment, &jpeg[2..]].concat()
}

/// A PNG of these pieces between its signature and its end.
pub(super) fn png(pieces: &[(&[u8; 4], &[u8])]) -> Vec<u8> {
    let mut bytes = b"\x89PNG\r\n\x1a\n".to_vec();
    for (name, data) in pieces.iter().chain(&[(b"IEND", &[][..])]) {
        bytes.extend(u32::try_from(data.len()).unwrap().to_be_bytes());
        let start = bytes.len();
        bytes.extend(*name);
        bytes.extend(*data);
        bytes.extend(crc32(&bytes[start..]).to_be_bytes());
    }
    bytes
}

/// The head of a PNG: size, bits a sample, and kind of colour (ISO 15948, 11.2.2).
pub(super) fn png_head(width: u32, height: u32, bits: u8, kind: u8) -> Vec<u8> {
    [&width.to_be_bytes()[..], &height.to_be_bytes(), &[bits, kind, 0, 0, 0]].concat()
}

/// Rows of bytes as a PNG keeps them: unfiltered, in one stored block (RFC 1950 and 1951).
pub(super) fn png_rows(rows: &[&[u8]]) -> Vec<u8> {
    let raw: Vec<u8> = rows.iter().flat_map(|row| [&[0], *row].concat()).collect();
    let length = u16::try_from(raw.len()).unwrap();
    let (a, b) = raw.iter().fold((1, 0), |(a, b): (u32, u32), byte| {
        let a = (a + u32::from(*byte)) % 65_521;
        (a, (a + b) % 65_521)
    });
    [&[0x78, 0x01, 0x01][..], &length.to_le_bytes(), &(!length).to_le_bytes(), &raw, &(b << 16 | a).to_be_bytes()]
        .concat()
}

/// CRC-32 as PNG wants it (ISO 15948, annex D).
pub(super) fn crc32(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(!0, |crc, byte| {
        (0..8).fold(crc ^ u32::from(*byte), |c, _| if c & 1 == 1 { 0xEDB8_8320 ^ (c >> 1) } else { c >> 1 })
    })
}

/// A picture file from `crates/app/fixtures`.
pub(super) fn fixture(name: &str) -> Vec<u8> {
    std::fs::read(std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures").join(name)).unwrap()
}
