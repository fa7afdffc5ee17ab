//! HEIC, the format in which phones keep photos (ISO/IEC 23008-12 with HEVC).
//!
//! The decoder is young, so its size limits come first and everything that it refuses ends in the way out that works:
//! export it as JPEG. The file's own turning is applied, and EXIF's is not: it repeats it (ISO/IEC 23008-12, 6.5.10).

use super::decode::Stored;
use super::error::Problem;

/// The file is an ISO base media file with one of the brands of still pictures coded in HEVC (ISO/IEC 23008-12, annex B).
pub(super) fn is_heic(bytes: &[u8]) -> bool {
    let brands: [&[u8]; 8] = [b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1"];
    bytes.get(4..8) == Some(b"ftyp") && bytes.get(8..12).is_some_and(|brand| brands.contains(&brand))
}

/// The last box of the file goes on beyond its end (ISO/IEC 14496-12, 4.2: a size of 0 means up to the end, and 1 that it
/// stands in 64 bits behind the name).
#[cfg(feature = "heic")]
fn is_cut(bytes: &[u8]) -> bool {
    let mut rest = bytes;
    while let Some((head, after)) = rest.split_first_chunk::<8>() {
        let [a, b, c, d, ..] = *head;
        let size = match (u32::from_be_bytes([a, b, c, d]), after.first_chunk()) {
            (0, _) => return false,
            (1, large) => large.copied().map_or(u64::MAX, u64::from_be_bytes),
            (size, _) => u64::from(size),
        };
        match usize::try_from(size.max(8)).ok().and_then(|size| rest.get(size..)) {
            Some(next) => rest = next,
            None => return true,
        }
    }
    !rest.is_empty()
}

/// Width and height of the picture as the file turns and crops it, px; `None` where it says none.
#[cfg(feature = "heic")]
pub(super) fn size(bytes: &[u8]) -> Option<[u32; 2]> {
    let info = heic_decoder::probe(bytes).ok()?;
    Some([u32::try_from(info.width).ok()?, u32::try_from(info.height).ok()?])
}

/// The picture as the file turns and crops it.
#[cfg(feature = "heic")]
pub(super) fn stored(bytes: &[u8]) -> Result<Stored, Problem> {
    use super::decode::check_size;
    use super::tone::Coding;
    use image::metadata::Orientation;

    if is_cut(bytes) {
        return Err(Problem::Truncated);
    }
    let info = heic_decoder::probe(bytes).map_err(problem_of)?;
    let side = |px: usize| u32::try_from(px).unwrap_or(u32::MAX);
    check_size((side(info.width), side(info.height)))?;
    check_size((side(info.coded_width), side(info.coded_height)))?;
    let mut decoded = heic_decoder::decode(bytes).map_err(problem_of)?;
    let coding = Coding { icc: decoded.metadata.icc_profile.take(), gamma: None };
    Ok(Stored { image: pixels(&decoded)?, coding, orientation: Orientation::NoTransforms })
}

/// Red, green and blue of luma and chroma, with as many bits as they need.
#[cfg(feature = "heic")]
fn pixels(decoded: &heic_decoder::DecodedImage) -> Result<image::DynamicImage, Problem> {
    use heic_decoder::{ColorInfo, RgbOptions};
    use image::{DynamicImage, ImageBuffer};

    if decoded.alpha.as_ref().is_some_and(|alpha| alpha.premultiplied) {
        return Err(Problem::Heic("its colours are mixed with what shows through".to_owned()));
    }
    // What a file does not label is what phones and the common encoder write: the matrix of BT.601 over the full range
    // (H.273, codes 2 for unspecified and 6).
    let unlabelled =
        ColorInfo { color_primaries: 2, transfer_characteristics: 2, matrix_coefficients: 6, full_range: true };
    let color = match decoded.color_info {
        None => unlabelled,
        Some(said) if said.matrix_coefficients == 2 => ColorInfo { matrix_coefficients: 6, ..said },
        Some(said) => said,
    };
    let options = RgbOptions { color: Some(color), ..RgbOptions::default() };
    let (width, height) = (decoded.width as u32, decoded.height as u32);
    let is_deep = decoded.bit_depth_luma.max(decoded.bit_depth_chroma) > 8;
    let image = match (decoded.alpha.is_some(), is_deep) {
        (false, false) => {
            let rgb = decoded.to_rgb8_with_options(&options).map_err(problem_of)?;
            ImageBuffer::from_raw(width, height, rgb.data).map(DynamicImage::ImageRgb8)
        }
        (false, true) => {
            let rgb = decoded.to_rgb16_with_options(&options).map_err(problem_of)?;
            ImageBuffer::from_raw(width, height, rgb.data).map(DynamicImage::ImageRgb16)
        }
        (true, false) => {
            let rgba = decoded.to_rgba8_with_options(&options).map_err(problem_of)?;
            ImageBuffer::from_raw(width, height, rgba.data).map(DynamicImage::ImageRgba8)
        }
        (true, true) => {
            let rgba = decoded.to_rgba16_with_options(&options).map_err(problem_of)?;
            ImageBuffer::from_raw(width, height, rgba.data).map(DynamicImage::ImageRgba16)
        }
    };
    image.ok_or_else(|| Problem::Heic("pixels are missing".to_owned()))
}

#[cfg(feature = "heic")]
fn problem_of(error: heic_decoder::HeifError) -> Problem {
    use heic_decoder::HeifError;
    match error {
        HeifError::LimitExceeded(_) => Problem::TooMuchMemory,
        other => Problem::Heic(super::error::on_one_line(&other.to_string())),
    }
}

#[cfg(not(feature = "heic"))]
pub(super) fn size(_bytes: &[u8]) -> Option<[u32; 2]> {
    None
}

#[cfg(not(feature = "heic"))]
pub(super) fn stored(_bytes: &[u8]) -> Result<Stored, Problem> {
    Err(Problem::Heic("this build does not read the format".to_owned()))
}
