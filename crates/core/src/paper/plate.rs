//! The proof plate as it will be printed, seen from above and a little from the front.
//!
//! A parallel projection of the very solid that goes into the file. Seen from above nothing of a plate hides its upper face,
//! and walls hang below it, so walls that face the viewer are drawn first and the face on top of them.

use super::{Ink, Item, Lettering, MARGIN_MM, Page, Paper, Pen, Weight, Words};
use crate::export::ProofPlate;
use crate::geom::{Bounds, Contour, Segment};
use crate::space::{PlatePoint, PlateVec};
use std::collections::BTreeMap;

/// How the plate is turned about its own upright, and how far the viewer stands from straight above, radians.
const TURNED: f64 = 0.35;
const LEANING: f64 = 0.75;

const EDGE: Pen = Pen::new(0.3, Ink::Cut);
const FOOT: Pen = Pen::new(0.18, Ink::Soft);
const FRAME: Pen = Pen::new(0.5, Ink::Cut);
const SIZE_MM: f64 = 3.6;
const LINE_MM: f64 = 6.0;

/// What is said below it.
const NOT_FOR_USE: [&str; 2] = [
    "A template to try on, not for use: it softens with heat and creeps under bolts.",
    "Printing some plastics gives off fumes: ventilate.",
];

/// The page of the plate, across.
pub fn plate_page(plate: &ProofPlate, paper: Paper, lettering: &dyn Lettering) -> Page {
    let [short, long] = paper.size_mm();
    let mut page = Page::new([long, short]);
    let frame = Bounds { min: PlatePoint::new(0.0, 0.0), max: PlatePoint::new(long, short) }.grown(-MARGIN_MM);
    let lines = 2 + NOT_FOR_USE.len();
    let field = Bounds { min: frame.min + PlateVec::new(0.0, LINE_MM * lines as f64 + 4.0), ..frame };
    let seen: Vec<PlatePoint> = plate.mesh.vertices.iter().map(|v| projected(*v)).collect();
    if let Some(bounds) = Bounds::around(seen.iter().copied()) {
        let (room, size) = (field.grown(-12.0).size(), bounds.size());
        let scale = (room.x / size.x).min(room.y / size.y);
        let (middle, centre) = (bounds.min.lerp(bounds.max, 0.5), field.min.lerp(field.max, 0.5));
        let places: Vec<PlatePoint> = seen.iter().map(|p| centre + (*p - middle) * scale).collect();
        page.items.extend(solid(plate, &places));
    }
    page.items.push(Item::frame(frame, FRAME));
    let title = if plate.title.is_empty() { "This part" } else { &plate.title };
    let size = plate.mesh.vertices.iter().fold([0.0f32; 3], |most, v| [0, 1, 2].map(|k| most[k].max(v[k])));
    let said = [
        (format!("Proof plate of {title}, {:.1} × {:.1} × {:.1} mm", size[0], size[1], size[2]), Weight::SemiBold),
        (crate::job::capital(&plate.options.in_words()) + ".", Weight::Regular),
    ];
    let cautions = NOT_FOR_USE.iter().map(|text| ((*text).to_owned(), Weight::Regular));
    for (k, (text, weight)) in said.into_iter().chain(cautions).enumerate() {
        let at = PlatePoint::new(frame.min.x + 4.0, field.min.y - LINE_MM * (k as f64 + 0.8));
        let room = frame.size().x - 8.0;
        let text = super::shortened(&text, room, SIZE_MM, weight, lettering);
        let ink = if k < 2 { Ink::Cut } else { Ink::Caution };
        page.items.push(Item::Words(Words::new(&text, at, SIZE_MM, lettering).weight(weight).ink(ink)));
    }
    page
}

fn projected([x, y, z]: [f32; 3]) -> PlatePoint {
    let [x, y, z] = [x, y, z].map(f64::from);
    let ((sin, cos), (lean_sin, lean_cos)) = (TURNED.sin_cos(), LEANING.sin_cos());
    PlatePoint::new(x * cos - y * sin, (x * sin + y * cos) * lean_cos + z * lean_sin)
}

/// Walls that face the viewer, then the upper face with its edges.
fn solid(plate: &ProofPlate, places: &[PlatePoint]) -> Vec<Item> {
    let mesh = &plate.mesh;
    let top = mesh.vertices.iter().map(|v| v[2]).fold(0.0, f32::max);
    let on_top = |k: u32| mesh.vertices[k as usize][2] >= top;
    let place = |k: u32| places[k as usize];
    let mut items = Vec::new();
    let mut feet = Vec::new();
    let mut edges: BTreeMap<u32, u32> = BTreeMap::new();
    for &triangle in &mesh.triangles {
        let corners = triangle.map(place);
        let faces = (corners[1] - corners[0]).cross(corners[2] - corners[0]) > 0.0;
        match triangle.map(on_top) {
            [true, true, true] | [false, false, false] => {}
            sides => {
                // The side of a wall on the upper face goes one way in the wall and the other in the face.
                for k in 0..3 {
                    let (a, b) = (k, (k + 1) % 3);
                    if sides[a] && sides[b] {
                        edges.insert(triangle[b], triangle[a]);
                    } else if faces && !sides[a] && !sides[b] {
                        feet.push(Item::line(corners[a], corners[b], FOOT));
                    }
                }
                if faces {
                    items.push(Item::Fill { contours: vec![Contour::polygon(&corners)], ink: Ink::Rule });
                }
            }
        }
    }
    items.extend(feet);
    let rings = rings(edges, place);
    items.push(Item::Fill { contours: rings.clone(), ink: Ink::Paper });
    items.extend(rings.into_iter().map(|contour| Item::Stroke { contour, pen: EDGE }));
    items
}

/// The closed lines that the edges make, each leading from one corner to the next.
fn rings(mut edges: BTreeMap<u32, u32>, place: impl Fn(u32) -> PlatePoint) -> Vec<Contour> {
    let mut rings = Vec::new();
    while let Some((start, mut next)) = edges.pop_first() {
        let mut segments = vec![Segment::line(place(start), place(next))];
        while let Some(after) = edges.remove(&next) {
            segments.push(Segment::line(place(next), place(after)));
            next = after;
        }
        rings.push(Contour { segments, closed: true });
    }
    rings
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::export::{CutContour, CutDrawing, CutHole, PlateOptions, proof_plate};
    use crate::paper::EvenlyWide;
    use approx::assert_relative_eq;

    #[test]
    fn the_upper_face_is_that_of_the_solid() {
        let at = PlatePoint::new;
        let outline = Contour::polygon(&[at(0.0, 0.0), at(60.0, 0.0), at(60.0, 40.0), at(0.0, 40.0)]);
        let hole = CutHole { id: "h1".into(), name: "H1".into(), centre: at(20.0, 20.0), diameter_mm: 10.0 };
        let outer = vec![CutContour { id: "c1".into(), name: "the outline".into(), contour: outline }];
        let drawing = CutDrawing { outer, holes: vec![hole], ..CutDrawing::default() };
        let options = PlateOptions { shrink_percent: 0.0, hole_allowance_mm: 0.0, ..PlateOptions::usual(None) };
        let page = plate_page(&proof_plate(&drawing, &options).unwrap(), Paper::A4, &EvenlyWide);
        let face = page.items.iter().find_map(|item| match item {
            Item::Fill { contours, ink: Ink::Paper } => Some(contours),
            _ => None,
        });
        let areas: Vec<f64> = face.unwrap().iter().map(|ring| ring.signed_area_mm2().abs()).collect();
        assert_eq!(areas.len(), 2, "the outline and the hole");
        let (large, small) = (areas[0].max(areas[1]), areas[0].min(areas[1]));
        // A parallel projection keeps the ratio of areas in a plane.
        assert_relative_eq!(small / large, std::f64::consts::PI * 25.0 / 2400.0, max_relative = 4e-3);
        let texts: Vec<&str> = page.words().iter().map(|words| words.text.as_str()).collect();
        assert!(texts[0].contains("60.0 × 40.0 × 3.0 mm"), "{texts:?}");
    }
}
