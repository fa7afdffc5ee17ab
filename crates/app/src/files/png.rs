//! How a PNG says that light is coded, where it carries no profile.

/// The exponent by which samples code light (ISO 15948, 11.3.3.2), from before the pixels. `None` where there is none or
/// where the file says that it is sRGB.
pub(super) fn gamma(bytes: &[u8]) -> Option<f64> {
    let mut rest = bytes.get(8..)?;
    let mut gamma = None;
    loop {
        let (length, after) = rest.split_first_chunk::<4>()?;
        let (name, data) = after.split_first_chunk::<4>()?;
        match name {
            b"IDAT" => return gamma,
            b"sRGB" => return None,
            b"gAMA" => {
                let (stated, _) = data.split_first_chunk::<4>()?;
                gamma = Some(f64::from(u32::from_be_bytes(*stated)) / 100_000.0);
            }
            _ => {}
        }
        // The check sum follows the data.
        rest = data.get(usize::try_from(u32::from_be_bytes(*length)).ok()?.checked_add(4)?..)?;
    }
}
