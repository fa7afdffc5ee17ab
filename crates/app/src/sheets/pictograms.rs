//! The six drawings of the start guide, each on its own grid of 240 by 150.

use crate::controls::Icon;
use crate::controls::icons;
use crate::theme::{self, Colours, Lettering};
use egui::{Align2, Color32, Pos2, Rect, Shape, Stroke, StrokeKind, Ui, Vec2, vec2};

/// A drawing of the guide.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Pictogram {
    /// The camera level above the middle.
    SquareOn,
    /// Four lengths away.
    StandBack,
    /// The part in the middle of the picture.
    RoomAllRound,
    /// Light from two sides.
    SideLight,
    /// The part on plain paper, nothing lower as a scale.
    PlainPaper,
    /// A caliper over two holes.
    ThenMeasure,
}

/// The grid's size.
const SIZE: Vec2 = vec2(240.0, 150.0);

/// A drawing board: the grid laid into a place on screen.
struct Board<'a> {
    ui: &'a Ui,
    colours: &'static Colours,
    origin: Pos2,
    scale: f32,
}

impl Board<'_> {
    fn at(&self, x: f32, y: f32) -> Pos2 {
        self.origin + vec2(x, y) * self.scale
    }

    fn line(&self, points: &[(f32, f32)], width: f32, colour: Color32) {
        let points = points.iter().map(|(x, y)| self.at(*x, *y)).collect();
        self.ui.painter().add(Shape::line(points, Stroke::new(width, colour)));
    }

    fn dashed(&self, points: &[(f32, f32)], width: f32, colour: Color32) {
        let points: Vec<Pos2> = points.iter().map(|(x, y)| self.at(*x, *y)).collect();
        self.ui.painter().extend(Shape::dashed_line(&points, Stroke::new(width, colour), 5.0, 3.5));
    }

    fn polygon(&self, points: &[(f32, f32)], fill: Color32, edge: Color32) {
        let points = points.iter().map(|(x, y)| self.at(*x, *y)).collect();
        self.ui.painter().add(Shape::convex_polygon(points, fill, Stroke::new(1.5, edge)));
    }

    fn block(&self, from: (f32, f32), to: (f32, f32), fill: Color32, edge: Color32) {
        let rect = Rect::from_two_pos(self.at(from.0, from.1), self.at(to.0, to.1));
        self.ui.painter().rect(rect, 0.0, fill, Stroke::new(1.5, edge), StrokeKind::Middle);
    }

    fn icon(&self, x: f32, y: f32, icon: Icon) {
        let colour = if icon == Icon::Agrees { self.colours.agree } else { self.colours.disagree };
        icons::paint(self.ui.painter(), Rect::from_center_size(self.at(x, y), Vec2::splat(20.0)), icon, colour);
    }

    /// A plain cross, for what is not to be done.
    fn wrong(&self, x: f32, y: f32, arm: f32) {
        self.line(&[(x - arm, y - arm), (x + arm, y + arm)], 2.2, self.colours.disagree);
        self.line(&[(x + arm, y - arm), (x - arm, y + arm)], 2.2, self.colours.disagree);
    }

    fn words(&self, x: f32, y: f32, align: Align2, colour: Color32, words: &str) {
        self.ui.painter().text(self.at(x, y), align, words, Lettering::SmallStrong.font(), colour);
    }

    /// The bench: a level line with its hatching under it.
    fn bench(&self, y: f32) {
        let colours = self.colours;
        self.line(&[(14.0, y), (226.0, y)], 1.5, colours.ink);
        let mut x = 18.0;
        while x < 224.0 {
            self.line(&[(x, y + 9.0), (x + 8.0, y)], 1.0, colours.soft);
            x += 12.0;
        }
    }

    fn part(&self, from: (f32, f32), to: (f32, f32)) {
        self.block(from, to, self.colours.rule, self.colours.ink);
    }

    /// A phone seen from its side, its lens looking down.
    fn phone(&self, x: f32, y: f32) {
        let colours = self.colours;
        let body = Rect::from_center_size(self.at(x, y), vec2(62.0, 8.0) * self.scale);
        self.ui.painter().rect_filled(body, 2.0, colours.ink);
        let lens = Rect::from_center_size(self.at(x, y + 6.0), vec2(14.0, 4.0) * self.scale);
        self.ui.painter().rect_filled(lens, 0.0, colours.brass);
    }

    /// A dimension line with its two tips.
    fn dimension(&self, from: (f32, f32), to: (f32, f32)) {
        let colour = self.colours.brass;
        self.line(&[from, to], 1.5, colour);
        let (a, b) = (self.at(from.0, from.1), self.at(to.0, to.1));
        let along = (b - a).normalized();
        for (tip, way) in [(a, along), (b, -along)] {
            let side = vec2(-way.y, way.x) * 3.5;
            let back = tip + way * 7.0;
            self.ui.painter().add(Shape::convex_polygon(vec![tip, back + side, back - side], colour, Stroke::NONE));
        }
    }

    /// A flange seen from above, round (x, y), about 62 across at size 1.
    fn flange(&self, x: f32, y: f32, size: f32) {
        let colours = self.colours;
        let outline =
            [(-28.0, -22.0), (-2.0, -30.0), (27.0, -22.0), (32.0, 10.0), (14.0, 26.0), (-18.0, 31.0), (-30.0, 10.0)];
        let outline: Vec<(f32, f32)> = outline.iter().map(|(dx, dy)| (x + dx * size, y + dy * size)).collect();
        self.polygon(&outline, colours.sheet, colours.ink);
        let ink = Stroke::new(1.3, colours.ink);
        self.ui.painter().circle(self.at(x, y), 10.0 * size * self.scale, colours.tray, ink);
        for (dx, dy) in [(-20.0, -15.0), (0.0, -23.0), (20.0, -15.0), (23.0, 9.0), (-14.0, 23.0)] {
            self.ui.painter().circle_filled(
                self.at(x + dx * size, y + dy * size),
                2.6 * size * self.scale,
                colours.ink,
            );
        }
    }
}

/// Draws `picture` into `place`, as large as fits.
pub(super) fn paint(ui: &Ui, picture: Pictogram, place: Rect) {
    let scale = (place.width() / SIZE.x).min(place.height() / SIZE.y);
    let board = Board { ui, colours: theme::colours(ui), origin: place.min, scale };
    match picture {
        Pictogram::SquareOn => square_on(&board),
        Pictogram::StandBack => stand_back(&board),
        Pictogram::RoomAllRound => room_all_round(&board),
        Pictogram::SideLight => side_light(&board),
        Pictogram::PlainPaper => plain_paper(&board),
        Pictogram::ThenMeasure => then_measure(&board),
    }
}

fn square_on(b: &Board<'_>) {
    let c = b.colours;
    b.bench(134.0);
    b.part((78.0, 125.0), (164.0, 134.0));
    // The level on the phone's back: its bubble in the middle.
    let level = Rect::from_center_size(b.at(121.0, 15.0), vec2(52.0, 12.0) * b.scale);
    b.ui.painter().rect(level, 6.0, c.sheet, Stroke::new(1.3, c.ink), StrokeKind::Middle);
    b.line(&[(113.0, 9.0), (113.0, 21.0)], 1.0, c.ink);
    b.line(&[(129.0, 9.0), (129.0, 21.0)], 1.0, c.ink);
    b.ui.painter().circle_filled(b.at(121.0, 15.0), 4.6 * b.scale, c.brass);
    b.phone(121.0, 30.0);
    b.line(&[(117.0, 40.0), (79.0, 124.0)], 1.0, c.soft);
    b.line(&[(125.0, 40.0), (163.0, 124.0)], 1.0, c.soft);
    b.dashed(&[(121.0, 40.0), (121.0, 124.0)], 1.5, c.brass);
    b.line(&[(121.0, 112.0), (133.0, 112.0), (133.0, 124.0)], 1.3, c.brass);
    b.icon(186.0, 34.0, Icon::Agrees);
    // The same, held askew.
    b.polygon(&[(22.0, 42.0), (67.0, 56.0), (65.0, 63.0), (20.0, 49.0)], c.ink, c.ink);
    b.line(&[(38.0, 58.0), (26.0, 96.0)], 1.0, c.soft);
    b.line(&[(44.0, 60.0), (62.0, 96.0)], 1.0, c.soft);
    b.wrong(38.0, 28.0, 5.0);
}

fn stand_back(b: &Board<'_>) {
    let c = b.colours;
    b.bench(134.0);
    b.part((86.0, 125.0), (140.0, 134.0));
    b.phone(113.0, 20.0);
    b.line(&[(109.0, 30.0), (87.0, 124.0)], 1.0, c.soft);
    b.line(&[(117.0, 30.0), (139.0, 124.0)], 1.0, c.soft);
    b.dimension((86.0, 112.0), (140.0, 112.0));
    b.words(74.0, 112.0, Align2::RIGHT_CENTER, c.ink, "1");
    b.line(&[(146.0, 24.0), (184.0, 24.0)], 1.0, c.rule);
    b.line(&[(146.0, 125.0), (184.0, 125.0)], 1.0, c.rule);
    b.dimension((176.0, 25.0), (176.0, 124.0));
    b.words(183.0, 74.0, Align2::LEFT_CENTER, c.ink, "4 lengths");
    b.icon(56.0, 26.0, Icon::Agrees);
}

fn room_all_round(b: &Board<'_>) {
    let c = b.colours;
    let (left, top, right, bottom) = (30.0, 12.0, 190.0, 132.0);
    b.block((left, top), (right, bottom), c.tray, c.ink);
    let hatch = Stroke::new(0.8, c.rule);
    let clipped =
        b.ui.painter()
            .with_clip_rect(Rect::from_two_pos(b.at(left, top), b.at(right, bottom)).intersect(b.ui.clip_rect()));
    let mut x = left - (bottom - top);
    while x < right {
        clipped.add(Shape::line(vec![b.at(x, bottom), b.at(x + bottom - top, top)], hatch));
        x += 8.0;
    }
    b.block((62.0, 36.0), (158.0, 108.0), c.paper, c.paper);
    let frame = [(62.0, 36.0), (158.0, 36.0), (158.0, 108.0), (62.0, 108.0), (62.0, 36.0)];
    b.dashed(&frame, 1.5, c.brass);
    b.flange(110.0, 72.0, 1.0);
    b.icon(208.0, 26.0, Icon::Agrees);
}

fn side_light(b: &Board<'_>) {
    let c = b.colours;
    b.bench(134.0);
    b.part((78.0, 125.0), (164.0, 134.0));
    b.phone(121.0, 20.0);
    for mirror in [1.0, -1.0] {
        let x = |dx: f32| 121.0 + mirror * dx;
        let lamp = [(x(-107.0), 53.0), (x(-98.0), 37.0), (x(-75.0), 51.0), (x(-84.0), 66.0)];
        b.polygon(&lamp, c.sheet, c.ink);
        for (from, to) in
            [((-72.0, 66.0), (-50.0, 92.0)), ((-66.0, 60.0), (-42.0, 80.0)), ((-78.0, 72.0), (-60.0, 100.0))]
        {
            b.line(&[(x(from.0), from.1), (x(to.0), to.1)], 1.6, c.brass);
        }
    }
    // A flash, struck out.
    b.line(&[(124.0, 34.0), (116.0, 47.0), (124.0, 47.0), (117.0, 61.0)], 1.8, c.ink);
    b.wrong(120.5, 47.0, 14.0);
}

fn plain_paper(b: &Board<'_>) {
    let c = b.colours;
    b.bench(134.0);
    b.flange(62.0, 52.0, 0.92);
    b.icon(62.0, 98.0, Icon::Agrees);
    b.line(&[(22.0, 131.5), (104.0, 131.5)], 4.0, c.blue);
    b.part((36.0, 121.0), (92.0, 129.5));
    b.words(170.0, 16.0, Align2::CENTER_CENTER, c.ink, "rule on the bench,");
    b.words(170.0, 32.0, Align2::CENTER_CENTER, c.ink, "face higher up:");
    b.words(170.0, 48.0, Align2::CENTER_CENTER, c.disagree_text, "not to scale");
    b.line(&[(132.0, 131.5), (222.0, 131.5)], 4.0, c.blue);
    b.part((140.0, 106.0), (190.0, 129.5));
    b.block((194.0, 125.0), (220.0, 129.5), c.sheet, c.ink);
    b.dashed(&[(192.0, 106.0), (214.0, 106.0)], 1.3, c.disagree);
    b.dashed(&[(207.0, 107.0), (207.0, 124.0)], 1.3, c.disagree);
    b.wrong(207.0, 88.0, 5.5);
}

fn then_measure(b: &Board<'_>) {
    let c = b.colours;
    // The part, cut through its two holes.
    b.block((22.0, 84.0), (212.0, 128.0), c.tray, c.ink);
    b.block((44.0, 84.0), (70.0, 128.0), c.paper, c.ink);
    b.block((150.0, 84.0), (176.0, 128.0), c.paper, c.ink);
    b.line(&[(44.0, 84.0), (70.0, 84.0)], 2.2, c.paper);
    b.line(&[(150.0, 84.0), (176.0, 84.0)], 2.2, c.paper);
    // The caliper: beam, jaws, reading.
    b.block((28.0, 26.0), (150.0, 42.0), c.sheet, c.ink);
    for i in 0_u8..14 {
        let x = 64.0 + 5.0 * f32::from(i);
        let long = if i % 5 == 0 { 11.0 } else { 7.0 };
        b.line(&[(x, 42.0), (x, 42.0 - long)], 1.0, c.ink);
    }
    b.polygon(&[(44.0, 42.0), (56.0, 42.0), (56.0, 96.0), (50.0, 106.0), (44.0, 102.0)], c.sheet, c.ink);
    b.polygon(&[(164.0, 46.0), (176.0, 46.0), (176.0, 102.0), (170.0, 106.0), (164.0, 96.0)], c.sheet, c.ink);
    b.block((144.0, 20.0), (198.0, 46.0), c.sheet, c.ink);
    b.block((152.0, 26.0), (190.0, 40.0), c.ink, c.ink);
    b.words(171.0, 33.0, Align2::CENTER_CENTER, c.paper, "94.18");
    b.line(&[(44.0, 128.0), (44.0, 144.0)], 1.0, c.brass);
    b.line(&[(176.0, 128.0), (176.0, 144.0)], 1.0, c.brass);
    b.dimension((44.0, 140.0), (176.0, 140.0));
}

/// The flange alone, in the middle of `place`.
pub(super) fn paint_flange(ui: &Ui, place: Rect) {
    let board = Board { ui, colours: theme::colours(ui), origin: place.center(), scale: place.width() / 78.0 };
    board.flange(0.0, 0.0, 1.0);
}
