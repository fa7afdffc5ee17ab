//! Whether a JPEG file is complete, and how hard it is packed.
//!
//! The decoder fills what is missing with grey and says nothing, which is right for a viewer and wrong for measuring.
//! A complete file ends its last scan with the marker EOI (ITU-T T.81, annex B); a file that was cut has no such marker
//! outside its segments. What follows EOI (a phone's moving picture) is not looked at.

const QUANTISATION_TABLES: u8 = 0xDB;
const START_OF_SCAN: u8 = 0xDA;
const END_OF_IMAGE: u8 = 0xD9;
/// Markers that stand alone, without a length: TEM, and RST0 to RST7 with SOI.
const TEMPORARY: u8 = 0x01;

/// The file goes on until its end marker.
pub(super) fn is_complete(bytes: &[u8]) -> bool {
    let mut at = 2;
    while let Some((marker, after)) = next_marker(bytes, at) {
        at = match marker {
            END_OF_IMAGE => return true,
            TEMPORARY | 0xD0..=0xD8 => after,
            _ => match bytes.get(after..after + 2) {
                Some(&[high, low]) => after + usize::from(u16::from_be_bytes([high, low])).max(2),
                _ => return false,
            },
        };
        if marker == START_OF_SCAN && at > bytes.len() {
            return false;
        }
    }
    false
}

/// Sum of the 64 steps of the standard's table for brightness (ITU-T T.81, table K.1).
const STANDARD_STEPS: f64 = 3688.0;

/// The quality that a JPEG was packed at, 1 to 100, by how its steps of brightness are to the standard's: of quality q they
/// are `200 - 2 q` % of them from 50 up and `5000 / q` % below (Independent JPEG Group's scale). Cameras have tables of their
/// own, for which it is a near figure. `None` where it is no JPEG.
pub(super) fn quality(bytes: &[u8]) -> Option<f64> {
    if !bytes.starts_with(&[0xFF, 0xD8, 0xFF]) {
        return None;
    }
    let mut at = 2;
    while let Some((marker, after)) = next_marker(bytes, at) {
        let length = bytes.get(after..).and_then(|rest| rest.first_chunk()).copied().map(u16::from_be_bytes)?;
        if marker == QUANTISATION_TABLES {
            // Precision and number of the first table of the segment: that of brightness is number 0.
            let head = *bytes.get(after + 2)?;
            let steps = bytes.get(after + 3..)?;
            let sum: u32 = match head {
                0x00 => steps.get(..64)?.iter().map(|step| u32::from(*step)).sum(),
                0x10 => steps.get(..128)?.chunks_exact(2).map(|p| u32::from(u16::from_be_bytes([p[0], p[1]]))).sum(),
                _ => 0,
            };
            let percent = 100.0 * f64::from(sum) / STANDARD_STEPS;
            if percent > 0.0 {
                let quality = if percent > 100.0 { 5000.0 / percent } else { 100.0 - 0.5 * percent };
                return Some(quality.clamp(1.0, 100.0));
            }
        }
        if marker == START_OF_SCAN {
            return None;
        }
        at = after + usize::from(length).max(2);
    }
    None
}

/// The next marker from `at` on, and where it ends. In a scan, 0xFF 0x00 is a byte of the picture and 0xFF 0xFF is
/// filling.
fn next_marker(bytes: &[u8], at: usize) -> Option<(u8, usize)> {
    let rest = bytes.get(at..)?;
    let pair = rest.windows(2).position(|pair| pair[0] == 0xFF && !matches!(pair[1], 0x00 | 0xFF))?;
    Some((rest[pair + 1], at + pair + 2))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn jpeg() -> Vec<u8> {
        let picture = image::RgbImage::from_fn(64, 48, |x, y| image::Rgb([(x * 4) as u8, (y * 5) as u8, 128]));
        let mut bytes = Vec::new();
        image::codecs::jpeg::JpegEncoder::new(&mut bytes).encode_image(&picture).unwrap();
        bytes
    }

    #[test]
    fn a_whole_file_is_complete_and_no_part_of_it_is() {
        let bytes = jpeg();
        assert!(is_complete(&bytes), "the whole file");
        for end in 0..bytes.len() {
            assert!(!is_complete(&bytes[..end]), "cut after {end} bytes");
        }
    }

    #[test]
    fn how_hard_a_file_is_packed_is_read_from_its_tables() {
        // The encoder has the standard's tables. Steps are whole and at least 1, which shows near 100.
        for wanted in [25_u8, 40, 60, 75, 90, 95] {
            let mut bytes = Vec::new();
            let picture = image::RgbImage::from_pixel(16, 16, image::Rgb([120, 90, 60]));
            image::codecs::jpeg::JpegEncoder::new_with_quality(&mut bytes, wanted).encode_image(&picture).unwrap();
            let found = quality(&bytes).unwrap();
            assert!((found - f64::from(wanted)).abs() < 0.6, "{found}, not {wanted}");
            for end in 0..bytes.len().min(200) {
                let _ = quality(&bytes[..end]);
            }
        }
        assert_eq!(quality(b"\x89PNG\r\n"), None, "no JPEG");
        assert_eq!(quality(&[0xFF, 0xD8, 0xFF, 0xDB, 0x00, 0x43, 0x00]), None, "cut in its table");
    }

    #[test]
    fn an_end_marker_inside_a_segment_does_not_count() {
        // A thumbnail in a segment of its own, as cameras write it.
        let bytes = jpeg();
        let mut with_thumbnail = vec![0xFF, 0xD8, 0xFF, 0xE1, 0x00, 0x06, 0xFF, 0xD8, 0xFF, 0xD9];
        with_thumbnail.extend(&bytes[2..]);
        assert!(is_complete(&with_thumbnail), "with its thumbnail");
        assert!(!is_complete(&with_thumbnail[..with_thumbnail.len() - 2]), "cut, although the thumbnail has an end");
    }
}
