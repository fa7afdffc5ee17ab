//! Paints a page: its lines, fills, words and pictures, in the colours of the theme.

use crate::theme::{Colours, Weight as Face, font};
use egui::epaint::TextShape;
use egui::{
    Color32, ColorImage, Context, FontId, Mesh, Painter, Pos2, Rect, Shape, Stroke, TextureHandle, TextureOptions,
    pos2, vec2,
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
/// How wide a letter is, in sizes of the type: about, for such a bar.
const WIDE_LETTER: f32 = 0.55;

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

/// Something of a page as it lies on the screen, and what it is cut off by.
pub(super) struct Drawn {
    clip: Rect,
    what: What,
}

/// Shapes keep; text is set anew in every frame, as the store of letters may have been laid out anew.
enum What {
    Shape(Shape),
    Text(Text),
}

struct Text {
    words: String,
    font: FontId,
    colour: Color32,
    at: Pos2,
    align: Align,
    turned: Turned,
}

impl std::fmt::Debug for Drawn {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Drawn in {:?}", self.clip)
    }
}

impl Drawn {
    /// Paints it.
    pub(super) fn paint(&self, painter: &Painter) {
        let painter = painter.with_clip_rect(self.clip);
        match &self.what {
            What::Shape(shape) => {
                painter.add(shape.clone());
            }
            What::Text(text) => text.paint(&painter),
        }
    }
}

impl Text {
    fn paint(&self, painter: &Painter) {
        let galley = painter.layout_no_wrap(self.words.clone(), self.font.clone(), self.colour);
        let share = match self.align {
            Align::Start => 0.0,
            Align::Middle => 0.5,
            Align::End => 1.0,
        };
        let glyphs = galley.rows.first().and_then(|row| row.glyphs.first());
        let baseline = glyphs.map_or(self.font.size, |glyph| glyph.pos.y);
        let along = galley.size().x * share;
        let shape = match self.turned {
            Turned::Level => TextShape::new(self.at - vec2(along, baseline), galley, self.colour),
            // Turned to the left about the start of its baseline.
            Turned::Up => TextShape::new(self.at + vec2(-baseline, along), galley, self.colour)
                .with_angle(-std::f32::consts::FRAC_PI_2),
        };
        painter.add(shape);
    }
}

/// What pages are painted with: it gathers what lies on them.
pub(super) struct Desk<'a> {
    clip: Rect,
    ctx: &'a Context,
    colours: &'a Colours,
    textures: &'a mut Textures,
    drawn: Vec<Drawn>,
}

impl<'a> Desk<'a> {
    /// Nothing painted yet.
    pub(super) fn new(ctx: &'a Context, clip: Rect, colours: &'a Colours, textures: &'a mut Textures) -> Self {
        Self { clip, ctx, colours, textures, drawn: Vec::new() }
    }

    fn put(&mut self, clip: Rect, shape: Shape) {
        self.drawn.push(Drawn { clip, what: What::Shape(shape) });
    }

    /// Paints `page` as large as `rect`.
    pub(super) fn page(&mut self, page: &Page, rect: Rect) {
        let clip = self.clip;
        self.put(clip, Shape::rect_filled(rect.translate(vec2(3.0, 3.0)), 0.0, self.colours.rule));
        self.put(clip, Shape::rect_filled(rect, 0.0, self.colours.sheet));
        let scale = rect.width() / page.size_mm[0] as f32;
        let mut sheet = Sheet { desk: self, page, rect, scale };
        sheet.items(rect.intersect(clip), &page.items);
    }

    /// Everything that lies on the pages, in order.
    pub(super) fn finish(self) -> Vec<Drawn> {
        self.drawn
    }
}

/// A page as it lies on the screen.
struct Sheet<'d, 'a> {
    desk: &'d mut Desk<'a>,
    page: &'d Page,
    rect: Rect,
    /// Points for a millimetre.
    scale: f32,
}

impl Sheet<'_, '_> {
    fn at(&self, p: PlatePoint) -> Pos2 {
        let p = self.page.on_sheet(p);
        pos2(self.rect.left() + p.x as f32 * self.scale, self.rect.bottom() - p.y as f32 * self.scale)
    }

    fn colour(&self, ink: Ink) -> Color32 {
        self.desk.colours.of_ink(ink)
    }

    fn put(&mut self, clip: Rect, shape: Shape) {
        self.desk.put(clip, shape);
    }

    fn stroke(&self, pen: Pen) -> Stroke {
        Stroke::new((pen.width_mm as f32 * self.scale).max(THINNEST), self.colour(pen.ink))
    }

    fn line(&self, contour: &Contour) -> Vec<Pos2> {
        let chord_mm = CHORD / f64::from(self.scale);
        contour.sampled(chord_mm).into_iter().map(|p| self.at(p)).collect()
    }

    fn items(&mut self, clip: Rect, items: &[Item]) {
        for item in items {
            match item {
                Item::Stroke { contour, pen } => self.along(clip, contour, *pen),
                Item::Fill { contours, ink } => self.fill(clip, contours, self.colour(*ink)),
                Item::Circle { centre, radius_mm, pen, fill } => {
                    let circle = Contour::circle(*centre, *radius_mm);
                    if let Some(ink) = fill {
                        self.fill(clip, std::slice::from_ref(&circle), self.colour(*ink));
                    }
                    if let Some(pen) = pen {
                        self.along(clip, &circle, *pen);
                    }
                }
                Item::Words(words) => self.words(clip, words),
                Item::Picture(picture) => {
                    let [wide, high] = picture.size_mm;
                    let far = PlatePoint::new(picture.corner.x + wide, picture.corner.y + high);
                    let rect = Rect::from_two_pos(self.at(picture.corner), self.at(far));
                    let uv = Rect::from_min_max(pos2(0.0, 0.0), pos2(1.0, 1.0));
                    let texture = self.desk.textures.of(picture, self.desk.ctx);
                    self.put(clip, Shape::image(texture, rect, uv, Color32::WHITE));
                }
                Item::Within { window, items } => {
                    let rect = Rect::from_two_pos(self.at(window.min), self.at(window.max));
                    self.items(rect.intersect(clip), items);
                }
            }
        }
    }

    fn along(&mut self, clip: Rect, contour: &Contour, pen: Pen) {
        let points = self.line(contour);
        let stroke = self.stroke(pen);
        match pen.dashes {
            None if contour.closed => self.put(clip, Shape::closed_line(points, stroke)),
            None => self.put(clip, Shape::line(points, stroke)),
            Some([dash, gap]) => {
                let [dash, gap] = [dash, gap].map(|mm| (mm as f32 * self.scale).max(1.0));
                let dashes = Shape::dashed_line(&points, stroke, dash, gap);
                self.put(clip, Shape::Vec(dashes));
            }
        }
    }

    fn fill(&mut self, clip: Rect, contours: &[Contour], colour: Color32) {
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
        if corners.len() == 3 {
            triangles.extend([0, 1, 2]);
        } else {
            earcut::Earcut::new().earcut(corners.iter().map(|p| [p.x, p.y]), &starts, &mut triangles);
        }
        let mut mesh = Mesh::default();
        for corner in &corners {
            mesh.colored_vertex(*corner, colour);
        }
        for triangle in triangles.chunks_exact(3) {
            mesh.add_triangle(triangle[0], triangle[1], triangle[2]);
        }
        self.put(clip, Shape::mesh(mesh));
    }

    fn words(&mut self, clip: Rect, words: &Words) {
        let size = words.height_mm as f32 * self.scale;
        let face = match words.weight {
            Weight::Regular => Face::Regular,
            Weight::SemiBold => Face::SemiBold,
        };
        let colour = self.colour(words.ink);
        // Sizes in steps: every size that is asked for is drawn anew into the store of letters.
        let set = ((size * 4.0).round() / 4.0).max(LEGIBLE);
        let at = self.at(words.at);
        if size < LEGIBLE {
            let width = size * WIDE_LETTER * words.text.chars().count() as f32;
            let share = match words.align {
                Align::Start => 0.0,
                Align::Middle => 0.5,
                Align::End => 1.0,
            };
            let bar = match words.turned {
                Turned::Level => Rect::from_min_size(at - vec2(width * share, size * 0.6), vec2(width, size * 0.5)),
                Turned::Up => {
                    Rect::from_min_size(at - vec2(size * 0.6, width * (1.0 - share)), vec2(size * 0.5, width))
                }
            };
            return self.put(clip, Shape::rect_filled(bar, 0.0, colour.gamma_multiply(0.35)));
        }
        let text = Text {
            words: words.text.clone(),
            font: font(set, face),
            colour,
            at,
            align: words.align,
            turned: words.turned,
        };
        self.desk.drawn.push(Drawn { clip, what: What::Text(text) });
    }
}
