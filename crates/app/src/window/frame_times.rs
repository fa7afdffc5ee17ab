//! How long frames take, for those who measure the window.

use eframe::glow::Version;

/// Frame times of a window, in the order of the frames.
#[derive(Debug, Default)]
pub(super) struct FrameTimes {
    seconds: Vec<f32>,
}

impl FrameTimes {
    /// Notes one frame: layout, painting and handing over to the graphics driver, without waiting for the screen.
    pub(super) fn note(&mut self, seconds: Option<f32>) {
        self.seconds.extend(seconds);
    }

    /// The figures in a line: what was shown by what, count, median, 95th of a hundred, worst.
    pub(super) fn report(&self, photo: Option<[u32; 2]>, graphics: Option<&Version>) -> String {
        let photo = photo.map_or_else(
            || "no photo".to_owned(),
            |[width, height]| format!("{:.0} Mpx", f64::from(width) * f64::from(height) / 1e6),
        );
        let graphics = graphics.map_or_else(
            || "graphics unknown".to_owned(),
            |gl| format!("OpenGL {}.{} {}", gl.major, gl.minor, gl.vendor_info.trim()),
        );
        let mut sorted = self.seconds.clone();
        sorted.sort_by(f32::total_cmp);
        let at = |share: f32| {
            let index = (sorted.len().saturating_sub(1) as f32 * share).round() as usize;
            sorted.get(index).copied().unwrap_or_default() * 1e3
        };
        format!(
            "{photo}, {graphics}: frames {}, median {:.1} ms, 95 of 100 within {:.1} ms, worst {:.1} ms",
            sorted.len(),
            at(0.5),
            at(0.95),
            at(1.0)
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_report_is_of_the_sorted_times() {
        let mut times = FrameTimes::default();
        for ms in [30.0, 10.0, 20.0] {
            times.note(Some(ms / 1e3));
        }
        assert_eq!(
            times.report(None, None),
            "no photo, graphics unknown: frames 3, median 20.0 ms, 95 of 100 within 30.0 ms, worst 30.0 ms",
            "10, 20, 30 ms in any order"
        );
        let of_photo = times.report(Some([8000, 6000]), None);
        assert!(of_photo.starts_with("48 Mpx, graphics unknown: frames 3"), "{of_photo}");
    }
}
