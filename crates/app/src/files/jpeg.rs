//! Whether a JPEG file is complete.
//!
//! The decoder fills what is missing with grey and says nothing, which is right for a viewer and wrong for measuring.
//! A complete file ends its last scan with the marker EOI (ITU-T T.81, annex B); a file that was cut has no such marker
//! outside its segments. What follows EOI (a phone's moving picture) is not looked at.

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
    fn an_end_marker_inside_a_segment_does_not_count() {
        // A thumbnail in a segment of its own, as cameras write it.
        let bytes = jpeg();
        let mut with_thumbnail = vec![0xFF, 0xD8, 0xFF, 0xE1, 0x00, 0x06, 0xFF, 0xD8, 0xFF, 0xD9];
        with_thumbnail.extend(&bytes[2..]);
        assert!(is_complete(&with_thumbnail), "with its thumbnail");
        assert!(!is_complete(&with_thumbnail[..with_thumbnail.len() - 2]), "cut, although the thumbnail has an end");
    }
}
