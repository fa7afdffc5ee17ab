//! Paints a page: its lines, fills, words and pictures, in the colours of the theme.

use crate::theme::{Colours, Weight as Face, font, on_photo};
use egui::epaint::TextShape;
use egui::{
    Color32, ColorImage, Context, Mesh, Painter, Pos2, Rect, Shape, Stroke, TextureHandle, TextureOptions, pos2, vec2,
};
use platewright_core::geom::Contour;
use platewright_core::paper::{Align, Ink, Item, Page, Pen, Picture, Turned, Weight, Words};
use platewright_core::space::PlatePoint;
use std::sync::Arc;

/// The thinnest that a line is painted, points.
const THINNEST: f32 = 0.6;
/// How far a chord may leave its arc, points.
const CHORD: f64 = 0.15;
/// Type smaller than this is painted as a grey bar, points: it could not be read.
const LEGIBLE: f32 = 3.0;

/// Pictures of pages on the graphics card.
#[derive(Default)]
pub(super) struct Textures {
    held: Vec<(Arc<[u8]>, TextureHandle)>,
}

impl std::fmt::Debug for Textures {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Textures of {} pictures", self.held.len())
    }
}

impl Textures {
    /// As many pictures are held; the report has one.
    const MOST: usize = 4;

    fn of(&mut self, picture: &Picture, ctx: &Context) -> egui::TextureId {
        if let Some((_, texture)) = self.held.iter().find(|(rgb, _)| Arc::ptr_eq(rgb, &picture.rgb)) {
            return texture.id();
        }
        let size = picture.pixels.map(|side| side as usize);
        let image = ColorImage::from_rgb(size, &picture.rgb);
        let texture = ctx.load_texture("picture on paper", image, TextureOptions::LINEAR);
        let id = texture.id();
        self.held.push((Arc::clone(&picture.rgb), texture));
        if self.held.len() > Self::MOST {
            drop(self.held.remove(0));
        }
        id
    }
}

/// Paints `page` as large as `rect`.
pub(super) fn page(
    painter: &Painter,
    page: &Page,
    rect: Rect,
    colours: &Colours,
    textures: &mut Textures,
    ctx: &Context,
) {
    painter.rect_filled(rect.translate(vec2(3.0, 3.0)), 0.0, colours.rule);
    painter.rect_filled(rect, 0.0, colours.sheet);
    let scale = rect.width() / page.size_mm[0] as f32;
    let desk = Desk { page, rect, scale, colours };
    desk.items(&painter.with_clip_rect(rect.intersect(painter.clip_rect())), &page.items, textures, ctx);
}

/// The page as it lies on the screen.
struct Desk<'a> {
    page: &'a Page,
    rect: Rect,
    /// Points for a millimetre.
    scale: f32,
    colours: &'a Colours,
}

impl Desk<'_> {
    fn at(&self, p: PlatePoint) -> Pos2 {
        let p = self.page.on_sheet(p);
        pos2(self.rect.left() + p.x as f32 * self.scale, self.rect.bottom() - p.y as f32 * self.scale)
    }

    fn colour(&self, ink: Ink) -> Color32 {
        let c = self.colours;
        match ink {
            Ink::Cut => c.ink,
            Ink::Soft => c.soft,
            Ink::Rule => c.rule,
            Ink::Brass => c.brass,
            Ink::Mark => c.blue,
            Ink::Agree => c.agree_text,
            Ink::Disagree => c.disagree_text,
            Ink::Caution => c.caution,
            Ink::Unknown => c.unknown_text,
            Ink::Paper => c.sheet,
            Ink::Light => on_photo::LIGHT,
            Ink::Casing => on_photo::CASING,
        }
    }

    fn stroke(&self, pen: Pen) -> Stroke {
        Stroke::new((pen.width_mm as f32 * self.scale).max(THINNEST), self.colour(pen.ink))
    }

    fn line(&self, contour: &Contour) -> Vec<Pos2> {
        let chord_mm = CHORD / f64::from(self.scale);
        contour.sampled(chord_mm).into_iter().map(|p| self.at(p)).collect()
    }

    fn items(&self, painter: &Painter, items: &[Item], textures: &mut Textures, ctx: &Context) {
        for item in items {
            match item {
                Item::Stroke { contour, pen } => self.along(painter, contour, *pen),
                Item::Fill { contours, ink } => self.fill(painter, contours, self.colour(*ink)),
                Item::Circle { centre, radius_mm, pen, fill } => {
                    let circle = Contour::circle(*centre, *radius_mm);
                    if let Some(ink) = fill {
                        self.fill(painter, std::slice::from_ref(&circle), self.colour(*ink));
                    }
                    pen.iter().for_each(|pen| self.along(painter, &circle, *pen));
                }
                Item::Words(words) => self.words(painter, words),
                Item::Picture(picture) => {
                    let [wide, high] = picture.size_mm;
                    let far = PlatePoint::new(picture.corner.x + wide, picture.corner.y + high);
                    let rect = Rect::from_two_pos(self.at(picture.corner), self.at(far));
                    let uv = Rect::from_min_max(pos2(0.0, 0.0), pos2(1.0, 1.0));
                    painter.image(textures.of(picture, ctx), rect, uv, Color32::WHITE);
                }
                Item::Within { window, items } => {
                    let rect = Rect::from_two_pos(self.at(window.min), self.at(window.max));
                    let inside = painter.with_clip_rect(rect.intersect(painter.clip_rect()));
                    self.items(&inside, items, textures, ctx);
                }
            }
        }
    }

    fn along(&self, painter: &Painter, contour: &Contour, pen: Pen) {
        let points = self.line(contour);
        let stroke = self.stroke(pen);
        match pen.dashes {
            None if contour.closed => {
                painter.add(Shape::closed_line(points, stroke));
            }
            None => {
                painter.add(Shape::line(points, stroke));
            }
            Some([dash, gap]) => {
                let [dash, gap] = [dash, gap].map(|mm| (mm as f32 * self.scale).max(1.0));
                painter.extend(Shape::dashed_line(&points, stroke, dash, gap));
            }
        }
    }

    fn fill(&self, painter: &Painter, contours: &[Contour], colour: Color32) {
        let mut corners: Vec<Pos2> = Vec::new();
        let mut starts: Vec<u32> = Vec::new();
        for contour in contours {
            let mut points = self.line(contour);
            points.dedup();
            if points.len() > 1 && points.first() == points.last() {
                points.pop();
            }
            if !corners.is_empty() {
                starts.push(corners.len() as u32);
            }
            corners.extend(points);
        }
        let mut triangles: Vec<u32> = Vec::new();
        earcut::Earcut::new().earcut(corners.iter().map(|p| [p.x, p.y]), &starts, &mut triangles);
        let mut mesh = Mesh::default();
        corners.iter().for_each(|p| mesh.colored_vertex(*p, colour));
        for triangle in triangles.chunks_exact(3) {
            mesh.add_triangle(triangle[0], triangle[1], triangle[2]);
        }
        painter.add(Shape::mesh(mesh));
    }

    fn words(&self, painter: &Painter, words: &Words) {
        let size = words.height_mm as f32 * self.scale;
        let face = match words.weight {
            Weight::Regular => Face::Regular,
            Weight::SemiBold => Face::SemiBold,
        };
        let colour = self.colour(words.ink);
        // Sizes in steps: every size that is asked for is drawn anew into the store of letters.
        let set = ((size * 4.0).round() / 4.0).max(LEGIBLE);
        let galley = painter.layout_no_wrap(words.text.clone(), font(set, face), colour);
        let share = match words.align {
            Align::Start => 0.0,
            Align::Middle => 0.5,
            Align::End => 1.0,
        };
        let baseline = galley.rows.first().map_or(set, |row| row.glyphs.first().map_or(set, |g| g.pos.y));
        let at = self.at(words.at);
        let width = galley.size().x;
        if size < LEGIBLE {
            let bar = match words.turned {
                Turned::Level => Rect::from_min_size(at - vec2(width * share, size * 0.6), vec2(width, size * 0.5)),
                Turned::Up => {
                    Rect::from_min_size(at - vec2(size * 0.6, width * (1.0 - share)), vec2(size * 0.5, width))
                }
            };
            painter.rect_filled(bar, 0.0, colour.gamma_multiply(0.35));
            return;
        }
        match words.turned {
            Turned::Level => {
                painter.galley(at - vec2(width * share, baseline), galley, colour);
            }
            Turned::Up => {
                // Turned to the left about the start of its baseline.
                let corner = at + vec2(-baseline, width * share);
                painter.add(TextShape::new(corner, galley, colour).with_angle(-std::f32::consts::FRAC_PI_2));
            }
        }
    }
}
