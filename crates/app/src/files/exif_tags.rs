//! What a photo says of itself in EXIF: how it was held, and how long its lens was.
//!
//! Phones and cameras, editors and messengers all write these tags, so none of them is believed where it cannot be
//! meant. A photo without EXIF, or with broken EXIF, says nothing; that is no error.

use exif::{Exif, In, Rational, Tag, Value};
use image::metadata::Orientation;
use std::io::Cursor;

/// Diagonal of the 36 x 24 mm frame that 35 mm equivalents refer to, mm (CIPA DCG-001, diagonal angle of view).
const FULL_FRAME_DIAGONAL_MM: f64 = 43.266_615_305_567_87;

/// 35 mm equivalents that can be meant, mm: fish-eye lenses begin at 4, the longest telephotos end at 2000 (common
/// practice, no source).
const POSSIBLE_F35_MM: std::ops::RangeInclusive<f64> = 4.0..=2000.0;

/// How much a picture's aspect may differ from the one EXIF gives and be that of the whole photo, rounded to whole px.
const SAME_ASPECT: f64 = 0.005;

/// How much the pixels may differ from squares by the two focal-plane resolutions; cameras round them.
const SQUARE: f64 = 0.02;

/// The tags that matter here.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Tags {
    /// How the stored picture has to be turned to stand upright.
    pub(super) orientation: Orientation,
    /// 35 mm equivalent, mm. As phones write it, it includes the digital zoom (common practice, no source).
    f35_mm: Option<f64>,
    /// The lens's own focal length, mm, where no digital zoom enlarged the picture.
    focal_mm: Option<f64>,
    /// Pixels of the photo a mm of the sensor.
    plane_px_per_mm: Option<f64>,
    /// Longer and shorter side of the photo as it was taken, px.
    sides_px: Option<[f64; 2]>,
}

impl Tags {
    /// What the file of a picture says.
    pub(super) fn read(bytes: &[u8]) -> Self {
        let mut reader = exif::Reader::new();
        let read = reader.continue_on_error(true).read_from_container(&mut Cursor::new(bytes));
        read.or_else(|error| error.distill_partial_result(|_| ()))
            .map_or_else(|_| Self::silent(), |exif| Self::of(&exif))
    }

    fn silent() -> Self {
        Self {
            orientation: Orientation::NoTransforms,
            f35_mm: None,
            focal_mm: None,
            plane_px_per_mm: None,
            sides_px: None,
        }
    }

    fn of(exif: &Exif) -> Self {
        let uint = |tag| exif.get_field(tag, In::PRIMARY).and_then(|field| field.value.get_uint(0));
        let positive = |tag| exif.get_field(tag, In::PRIMARY).and_then(|field| positive(&field.value));
        let orientation = uint(Tag::Orientation).and_then(|number| Orientation::from_exif(u8::try_from(number).ok()?));
        // 0 says that there was none (EXIF 2.32, 4.6.5).
        let zoomed = positive(Tag::DigitalZoomRatio).is_some_and(|ratio| (ratio - 1.0).abs() > SAME_ASPECT);
        let sides = [Tag::PixelXDimension, Tag::PixelYDimension].map(uint);
        let [x, y] = sides.map(|side| side.filter(|px| *px > 0).map(f64::from));
        Self {
            orientation: orientation.unwrap_or(Orientation::NoTransforms),
            // 0 stands for unknown, and some cameras write tens of thousands.
            f35_mm: uint(Tag::FocalLengthIn35mmFilm).map(f64::from).filter(|mm| POSSIBLE_F35_MM.contains(mm)),
            focal_mm: positive(Tag::FocalLength).filter(|_| !zoomed),
            plane_px_per_mm: plane_px_per_mm(
                [Tag::FocalPlaneXResolution, Tag::FocalPlaneYResolution].map(positive),
                uint(Tag::FocalPlaneResolutionUnit),
            ),
            sides_px: x.zip(y).map(|(x, y)| [x.max(y), x.min(y)]),
        }
    }

    /// Focal length in px of a picture of `size` px: by the 35 mm equivalent (tag 0xA405) with the diagonal rule,
    /// `f35 * diagonal px / 43.27 mm`, else the lens's focal length times the sensor's pixels a mm (0x920A, 0xA20E to
    /// 0xA210). Both speak of the photo as it was taken, whose size EXIF gives (0xA002, 0xA003): a picture of the same
    /// aspect was scaled as a whole, and a smaller one of another aspect was cut out of it. `None` where nothing is
    /// said, where it cannot be meant, or where the picture is no part of that photo.
    pub(super) fn focal_px(&self, size: [u32; 2]) -> Option<f64> {
        let [a, b] = size.map(f64::from);
        let picture = [a.max(b), a.min(b)];
        let taken = self.sides_px.unwrap_or(picture);
        let scale = scale(taken, picture)?;
        let by_equivalent = self.f35_mm.map(|mm| mm * taken[0].hypot(taken[1]) / FULL_FRAME_DIAGONAL_MM);
        let by_sensor = self.focal_mm.zip(self.plane_px_per_mm).map(|(mm, px_per_mm)| mm * px_per_mm);
        let focal_px = by_equivalent.or(by_sensor)? * scale;
        let f35_mm = focal_px * FULL_FRAME_DIAGONAL_MM / picture[0].hypot(picture[1]);
        POSSIBLE_F35_MM.contains(&f35_mm).then_some(focal_px)
    }
}

/// Pixels of the picture a pixel of the photo as it was taken; sides as longer and shorter, px. That a picture was both
/// cut and scaled cannot be told from its size; it is taken as cut.
fn scale(taken: [f64; 2], picture: [f64; 2]) -> Option<f64> {
    let stretch = [picture[0] / taken[0], picture[1] / taken[1]];
    // Thumbnails have their sides rounded to whole px, by up to half a px each.
    let rounding = 0.5 / picture[1];
    if (stretch[1] / stretch[0] - 1.0).abs() <= SAME_ASPECT + rounding {
        return Some(stretch[0]);
    }
    (stretch[0] <= 1.0 && stretch[1] <= 1.0).then_some(1.0)
}

/// The sensor's pixels a mm, by the resolutions in x and y and their unit: 2 inch, 3 cm (EXIF 2.32, 4.6.5, where inch is
/// what is meant by a missing unit).
fn plane_px_per_mm([x, y]: [Option<f64>; 2], unit: Option<u32>) -> Option<f64> {
    let (x, y) = x.zip(y)?;
    let unit_mm = match unit {
        None | Some(2) => 25.4,
        Some(3) => 10.0,
        Some(_) => return None,
    };
    ((x / y - 1.0).abs() <= SQUARE).then(|| (x * y).sqrt() / unit_mm)
}

/// A rational number over 0 that is one.
fn positive(value: &Value) -> Option<f64> {
    let Value::Rational(numbers) = value else { return None };
    let number = numbers.first().map(Rational::to_f64)?;
    (number.is_finite() && number > 0.0).then_some(number)
}
