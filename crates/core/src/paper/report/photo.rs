//! The photo with what was marked on it: holes and points in balloons, measures as lines.

mod balloons;
mod lines;

use super::ReportSource;
use super::flow::{Flow, SMALL};
use crate::geom::Bounds;
use crate::job::Job;
use crate::paper::{Ink, Item, Pen, Picture};
use crate::solution::Solution;
use crate::space::{PhotoPoint, PlatePoint, PlateVec};
use std::sync::Arc;

/// A photo, or a part of it, on a report.
#[derive(Clone, PartialEq)]
pub struct ReportPhoto {
    /// Three sRGB bytes a pixel, in rows from the top.
    pub rgb: Arc<[u8]>,
    /// Pixels across and down.
    pub pixels: [u32; 2],
    /// Where the upper left corner of its first pixel lies in the whole photo, px, by the photo's own frame less half a pixel.
    pub corner_px: [f64; 2],
    /// Pixels of the photo to one of these.
    pub step_px: f64,
}

/// Millions of bytes tell nobody anything.
impl std::fmt::Debug for ReportPhoto {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "ReportPhoto {:?} px at {:?}", self.pixels, self.corner_px)
    }
}

/// The tallest that the photo is set, as a share of its width.
const TALLEST: f64 = 0.56;
/// It is not set smaller than this to go on to a page, mm.
const LEAST_MM: f64 = 70.0;

const FRAME: Pen = Pen::new(0.18, Ink::Soft);

/// Room left round what was marked, as a share of its larger side.
const ROUND: f64 = 0.16;

/// The part of the photo that holds what was marked, with some room round it: left, top, right and lower side in whole
/// pixels. All of the photo where nothing was marked.
pub fn region_of_interest(job: &Job) -> [u32; 4] {
    let [width, height] = job.photo.size;
    let rims = job.holes.iter().flat_map(|hole| &hole.rim);
    let points = job.points.iter().map(|point| &point.at);
    let edges = job.edges.iter().flat_map(|edge| &edge.along);
    let nodes = job.contours.iter().flat_map(|contour| contour.nodes.iter().map(|node| &node.at));
    let marked: Vec<PhotoPoint> =
        rims.chain(points).chain(edges).chain(nodes).copied().filter(|p| p.is_finite()).collect();
    let Some(first) = marked.first() else { return [0, 0, width, height] };
    let (low, high) = marked.iter().fold((*first, *first), |(low, high), p| {
        (PhotoPoint::new(low.x.min(p.x), low.y.min(p.y)), PhotoPoint::new(high.x.max(p.x), high.y.max(p.y)))
    });
    let round = ROUND * (high.x - low.x).max(high.y - low.y).max(20.0);
    let side = |at: f64, most: u32| at.clamp(0.0, f64::from(most)) as u32;
    let [left, top] = [side(low.x - round, width), side(low.y - round, height)];
    [left, top, side(high.x + round, width).max(left + 1), side(high.y + round, height).max(top + 1)]
}

/// From the photo to the page.
#[derive(Debug, Clone, Copy)]
struct OnPage {
    sides: Bounds,
    corner_px: [f64; 2],
    mm_per_px: f64,
}

impl OnPage {
    fn place(&self, photo: PhotoPoint) -> PlatePoint {
        let [x, y] = [photo.x + 0.5 - self.corner_px[0], photo.y + 0.5 - self.corner_px[1]];
        PlatePoint::new(self.sides.min.x + x * self.mm_per_px, self.sides.max.y - y * self.mm_per_px)
    }
}

pub(super) fn set(source: &ReportSource<'_>, flow: &mut Flow<'_>) {
    let Some(photo) = source.photo.as_ref().filter(|photo| photo.pixels.iter().all(|n| *n > 0)) else { return };
    flow.down(4.0);
    let [across, down] = photo.pixels.map(f64::from);
    let tallest = TALLEST * flow.width();
    let mut height = (flow.width() * down / across).min(tallest);
    let note_mm = 2.0 * SMALL.line_mm;
    if flow.room() < height + note_mm {
        if flow.room() >= LEAST_MM + note_mm {
            height = flow.room() - note_mm - 1.0;
        } else {
            flow.want(height + note_mm);
        }
    }
    let width = height * across / down;
    let block = flow.block(height);
    let left = f64::midpoint(block.min.x, block.max.x) - width / 2.0;
    let corner = PlatePoint::new(left, block.min.y);
    let sides = Bounds { min: corner, max: corner + PlateVec::new(width, height) };
    let on_page = OnPage { sides, corner_px: photo.corner_px, mm_per_px: height / down / photo.step_px };
    let picture = Picture { rgb: Arc::clone(&photo.rgb), pixels: photo.pixels, corner, size_mm: [width, height] };
    let mut items = vec![Item::Picture(picture)];
    let lines = lines::lines(source.job, source.solution, &on_page, flow.lettering);
    items.extend(lines.items);
    items.extend(balloons::balloons(source.job, source.solution, &on_page, &lines.taken, flow.lettering));
    flow.put([Item::Within { window: sides, items }, Item::frame(sides, FRAME)]);
    flow.down(height + 1.0);
    flow.paragraph(&caption(source.job, source.solution), 0.0, SMALL);
}

fn caption(job: &Job, solution: &Solution) -> String {
    let measures =
        if solution.map.is_some() && !job.measures.is_empty() { ", and lines where measures were taken" } else { "" };
    let points = if job.points.is_empty() { "Holes" } else { "Holes and points" };
    format!("{points} by name{measures}. The photo is cut to what was marked on it.")
}
