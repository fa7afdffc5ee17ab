//! The light across an edge, collected from the pixels themselves.

use super::picture::{Light, Mixture, Picture};
use super::station::Station;
use crate::space::PhotoPoint;

/// Pixels at about one distance from the curve, put together.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Bin {
    /// Mean distance from the curve, px, towards the face.
    pub(super) off_px: f64,
    /// Mean light in the mixture's channels.
    pub(super) light: Light,
    /// How many pixels.
    pub(super) count: f64,
    /// How many of them are cut off at white, and how many in one channel at least.
    white: f64,
    cut_off: f64,
}

/// The light across an edge by distance from the curve, nearest the hole first.
///
/// No pixel is interpolated: each goes whole into the bin of its own distance from the curve. An edge that runs through
/// the pixel grid at a slant is thereby sampled far more finely than a pixel, without an interpolation's blur, and the
/// noise of one bin is independent of its neighbours'.
#[derive(Debug, Clone, Copy)]
pub(super) struct Profile {
    bins: [Bin; MOST_BINS],
    len: usize,
}

/// The light of one surface across a strip, as a straight line, by channels.
#[derive(Debug, Clone, Copy)]
pub(super) struct Surface {
    /// In the middle.
    pub(super) level: Light,
    /// How much it grows a px towards the face.
    pub(super) slope: Light,
    /// Of the slope: one over its variance where that of one pixel's light is one.
    pub(super) weight: f64,
    /// Of one pixel's light about the line.
    pub(super) variance: Light,
}

/// From this code value on a pixel may be cut off: JPEG rings by a step or two.
pub(super) const WHITE: u8 = 253;

/// A bin is below white with no more than this share of its pixels cut off.
const MOST_CUT_OFF: f64 = 0.1;

/// Width of a bin, px: narrow against the blur of any photo (the pixels' own square alone has 0.29 px), so that the
/// mean light of a bin is the light at its mean distance.
const BIN_PX: f64 = 0.5;

/// The most bins of a profile.
const MOST_BINS: usize = 32;

/// How long a profile can be, px.
pub(super) const LONGEST_PX: f64 = MOST_BINS as f64 * BIN_PX;

/// How far a profile reaches and how wide it is along the edge, px.
#[derive(Debug, Clone, Copy)]
#[expect(clippy::struct_field_names, reason = "units stand at the end of names")]
pub(super) struct Strip {
    /// Towards the hole or the ground.
    pub(super) inside_px: f64,
    /// Towards the face.
    pub(super) outside_px: f64,
    /// To each side along the edge.
    pub(super) half_width_px: f64,
}

impl Profile {
    /// Collects the pixels of a strip across the station; `None` where it reaches off the photo.
    pub(super) fn collect(picture: &Picture, mixture: &Mixture, station: &Station, strip: &Strip) -> Option<Self> {
        let tangent = station.across.perp();
        let along = tangent * strip.half_width_px;
        let (outer, inner) = (station.photo(strip.outside_px), station.photo(-strip.inside_px));
        let corners = [outer + along, outer - along, inner + along, inner - along];
        if !corners.iter().all(|corner| picture.holds(*corner, 1.0)) {
            return None;
        }
        let bound = |of: fn(&PhotoPoint) -> f64| {
            let values = corners.iter().map(of);
            let (low, high) = values.fold((f64::INFINITY, 0.0_f64), |(low, high), v| (low.min(v), high.max(v)));
            (low.ceil() as usize, high.floor() as usize)
        };
        let ((left, right), (top, bottom)) = (bound(|c| c.x), bound(|c| c.y));
        let len = (((strip.inside_px + strip.outside_px) / BIN_PX).ceil() as usize).clamp(1, MOST_BINS);
        let mut bins = [Bin::default(); MOST_BINS];
        for y in top..=bottom {
            for (x, rgb) in (left..).zip(picture.row(y, left, right)) {
                let pixel = PhotoPoint::new(x as f64, y as f64);
                if (pixel - station.at).dot(tangent).abs() > strip.half_width_px {
                    continue;
                }
                let off = station.off_px(pixel);
                let place = (off + strip.inside_px) / BIN_PX;
                if place >= 0.0 && place < len as f64 {
                    let (bin, light) = (&mut bins[place as usize], mixture.light(rgb));
                    bin.off_px += off;
                    bin.count += 1.0;
                    bin.white += f64::from(u8::from(rgb.iter().all(|code| *code >= WHITE)));
                    bin.cut_off += f64::from(u8::from(rgb.iter().any(|code| *code >= WHITE)));
                    for (sum, value) in bin.light.iter_mut().zip(light) {
                        *sum += value;
                    }
                }
            }
        }
        Some(Self::of_sums(bins, len))
    }

    /// Turns sums into means and leaves out bins that no pixel fell into.
    fn of_sums(mut bins: [Bin; MOST_BINS], len: usize) -> Self {
        let mut kept = 0;
        for place in 0..len {
            let sums = bins[place];
            let count = sums.count;
            if count > 0.0 {
                bins[kept] = Bin { off_px: sums.off_px / count, light: sums.light.map(|sum| sum / count), ..sums };
                kept += 1;
            }
        }
        Self { bins, len: kept }
    }

    /// Share of the pixels between two distances that are cut off at white, 0 to 1.
    pub(super) fn white_share(&self, from_px: f64, to_px: f64) -> f64 {
        let (low, high) = (from_px.min(to_px), from_px.max(to_px));
        let between = self.bins().iter().filter(|bin| bin.off_px >= low && bin.off_px <= high);
        let (white, all) = between.fold((0.0, 0.0_f64), |(white, all), bin| (white + bin.white, all + bin.count));
        white / all.max(1.0)
    }

    /// The same without the bins in which pixels are cut off.
    pub(super) fn below_white(&self) -> Self {
        let (mut bins, mut len) = (self.bins, 0);
        for bin in self.bins() {
            if bin.cut_off <= MOST_CUT_OFF * bin.count {
                bins[len] = *bin;
                len += 1;
            }
        }
        Self { bins, len }
    }

    /// Its light as a straight line, where it lies on one surface; `None` of fewer than four bins.
    pub(super) fn surface(&self) -> Option<Surface> {
        let bins = self.bins();
        let count: f64 = bins.iter().map(|bin| bin.count).sum();
        let sum = |of: &dyn Fn(&Bin) -> f64| bins.iter().map(|bin| bin.count * of(bin)).sum::<f64>();
        let middle = sum(&|bin| bin.off_px) / count;
        let weight = sum(&|bin| (bin.off_px - middle).powi(2));
        let level: Light = std::array::from_fn(|channel| sum(&|bin| bin.light[channel]) / count);
        let slope: Light =
            std::array::from_fn(|channel| sum(&|bin| (bin.off_px - middle) * bin.light[channel]) / weight);
        let variance = std::array::from_fn(|channel| {
            let off = |bin: &Bin| bin.light[channel] - level[channel] - slope[channel] * (bin.off_px - middle);
            sum(&|bin| off(bin).powi(2)) / (bins.len() as f64 - 2.0)
        });
        (bins.len() >= 4 && weight > 0.0).then_some(Surface { level, slope, weight, variance })
    }

    /// Its bins, nearest the hole first.
    pub(super) fn bins(&self) -> &[Bin] {
        &self.bins[..self.len]
    }
}
