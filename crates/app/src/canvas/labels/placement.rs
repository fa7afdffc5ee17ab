//! Where flags and values go, so that no two ever overlap. Pure arithmetic on rectangles: the same input gives the same
//! places.

use egui::{Pos2, Rect, Vec2};

/// Directions that a leader may take.
pub(in crate::canvas) const DIRECTIONS: usize = 16;
/// Lengths of leaders, points.
const LEADERS: [f32; 5] = [10.0, 20.0, 34.0, 52.0, 70.0];
/// Shares of a dimension line at which its value may stand, the best first; where lines crowd, the places between them.
const SHARES: [f32; 19] =
    [0.5, 0.42, 0.58, 0.35, 0.65, 0.28, 0.72, 0.22, 0.78, 0.46, 0.54, 0.39, 0.61, 0.31, 0.69, 0.25, 0.75, 0.18, 0.82];
/// How far past the end of a line its value may stand, points, where the line is too short for it.
const PAST_END: [f32; 3] = [10.0, 16.0, 24.0];
/// Between a flag and an obstacle or another flag, points.
const FLAG_CLEAR: f32 = 5.0;
/// Between a value and an obstacle or another value, points.
const VALUE_CLEAR: f32 = 4.0;
/// Between a flag and the edge of the view, points.
const EDGE_CLEAR: f32 = 6.0;
/// What a radian off the outward direction costs, in points of leader.
const COST_OF_TURN: f32 = 9.0;
/// What a covered line costs, in points of leader.
const COST_OF_LINE: f32 = 45.0;
/// Side of the tab that a flag without room shrinks to, points.
const TAB: f32 = 6.0;

/// A rim of this radius has room for a value inside, points.
const LARGE_DISC: f32 = 45.0;

/// What labels keep clear of.
#[derive(Debug, Clone, Default)]
pub(in crate::canvas) struct Obstacles {
    /// Discs: rims.
    pub(in crate::canvas) discs: Vec<(Pos2, f32)>,
    /// Rectangles: nodes, the magnifier, boxes, labels placed so far.
    pub(in crate::canvas) rects: Vec<Rect>,
    /// Lines that are better not covered.
    pub(in crate::canvas) lines: Vec<Vec<Pos2>>,
}

impl Obstacles {
    /// Whether `rect` stays `clear` points away from all.
    fn leave_clear(&self, rect: Rect, clear: f32) -> bool {
        self.rects.iter().all(|other| !other.expand(clear).intersects(rect))
            && self.discs.iter().all(|(centre, radius)| rect.distance_to_pos(*centre) >= radius + clear)
    }

    /// How many lines `rect` covers.
    fn covered(&self, rect: Rect) -> usize {
        let covers = |line: &&Vec<Pos2>| line.windows(2).any(|ends| segment_meets(ends[0], ends[1], rect));
        self.lines.iter().filter(covers).count()
    }

    /// Those that are within `reach` points of `around`.
    fn near(&self, around: Pos2, reach: f32) -> Self {
        let area = Rect::from_center_size(around, Vec2::splat(2.0 * reach));
        Self {
            discs: self
                .discs
                .iter()
                .copied()
                .filter(|(at, radius)| at.distance(around) - radius < 1.5 * reach)
                .collect(),
            rects: self.rects.iter().copied().filter(|rect| rect.intersects(area)).collect(),
            lines: self.lines.iter().filter(|line| Rect::from_points(line).intersects(area)).cloned().collect(),
        }
    }
}

/// Whether a segment passes through a rectangle.
fn segment_meets(a: Pos2, b: Pos2, rect: Rect) -> bool {
    let (mut least, mut most) = (0.0_f32, 1.0_f32);
    for axis in 0..2 {
        let (start, step) = (a[axis], b[axis] - a[axis]);
        let (low, high) = (rect.min[axis], rect.max[axis]);
        if step.abs() < 1e-6 {
            if start < low || start > high {
                return false;
            }
        } else {
            let (t0, t1) = ((low - start) / step, (high - start) / step);
            least = least.max(t0.min(t1));
            most = most.min(t0.max(t1));
        }
    }
    least <= most
}

/// A value that wants a place on its line.
#[derive(Debug, Clone)]
pub(in crate::canvas) struct ValueWanted {
    /// The places at [`shares`], in their order.
    pub(in crate::canvas) places: Vec<Pos2>,
    /// Size of its box.
    pub(in crate::canvas) size: Vec2,
    /// Its own line's number among the lines of the obstacles.
    pub(in crate::canvas) own_line: usize,
}

/// The shares of a dimension line at which its value may stand, the best first.
pub(in crate::canvas) fn shares() -> [f32; 19] {
    SHARES
}

/// The places past the ends of a line at which a value of `size` may stand; none where the line has room for it.
pub(in crate::canvas) fn past_ends(from: Pos2, to: Pos2, size: Vec2) -> Vec<Pos2> {
    let along = (to - from).normalized();
    if from.distance(to) > 2.0 * size.x || along == Vec2::ZERO {
        return Vec::new();
    }
    let half = 0.5 * (size.x * along.x.abs() + size.y * along.y.abs());
    PAST_END.iter().flat_map(|past| [to + along * (half + past), from - along * (half + past)]).collect()
}

/// Places values in turn and adds them to the obstacles. A value without a free place gets one that covers another
/// line, then one inside a large rim; without that, none.
pub(in crate::canvas) fn place_values(
    wanted: &[ValueWanted],
    obstacles: &mut Obstacles,
    view: Rect,
) -> Vec<Option<Rect>> {
    let room = view.shrink(EDGE_CLEAR);
    let mut placed = Vec::with_capacity(wanted.len());
    for value in wanted {
        let rects = || value.places.iter().map(|place| Rect::from_center_size(*place, value.size));
        let fits = |rect: &Rect| room.contains_rect(*rect) && obstacles.leave_clear(*rect, VALUE_CLEAR);
        let others_free = |rect: &Rect| {
            let mut others = obstacles.lines.iter().enumerate().filter(|(index, _)| *index != value.own_line);
            others.all(|(_, line)| !line.windows(2).any(|ends| segment_meets(ends[0], ends[1], *rect)))
        };
        let small: Vec<_> = obstacles.discs.iter().copied().filter(|(_, radius)| *radius < LARGE_DISC).collect();
        let small = Obstacles { discs: small, rects: obstacles.rects.clone(), lines: Vec::new() };
        let inside = |rect: &Rect| room.contains_rect(*rect) && small.leave_clear(*rect, VALUE_CLEAR);
        let place = rects().find(|rect| fits(rect) && others_free(rect)).or_else(|| rects().find(fits));
        let place = place.or_else(|| rects().find(inside));
        obstacles.rects.extend(place);
        placed.push(place);
    }
    placed
}

/// The place of a gap's box: inboard, the nearest that is clear, moved along the gap where it must be.
pub(in crate::canvas) fn place_gap_box(
    middle: Pos2,
    inboard: Vec2,
    size: Vec2,
    obstacles: &Obstacles,
    view: Rect,
) -> Rect {
    let room = view.shrink(EDGE_CLEAR);
    let half = 0.5 * (size.x * inboard.x.abs() + size.y * inboard.y.abs());
    let at = |(out, aside): (f32, f32)| {
        let rect = Rect::from_center_size(middle + inboard * (out + half) + inboard.rot90() * aside, size);
        rect.translate((room.min - rect.min).max(Vec2::ZERO) + (room.max - rect.max).min(Vec2::ZERO))
    };
    let asides = [0.0, 26.0, -26.0, 52.0, -52.0, 84.0, -84.0];
    let places = LEADERS.into_iter().flat_map(|out| asides.map(|aside| (out + 12.0, aside)));
    places.map(at).find(|rect| obstacles.leave_clear(*rect, FLAG_CLEAR)).unwrap_or_else(|| at((34.0, 0.0)))
}

/// A flag that wants a place.
#[derive(Debug, Clone)]
pub(in crate::canvas) struct FlagWanted {
    /// The middle of the thing.
    pub(in crate::canvas) anchor: Pos2,
    /// How far the thing reaches from its middle, points.
    pub(in crate::canvas) reach: f32,
    /// Size of the flag.
    pub(in crate::canvas) size: Vec2,
    /// The direction that it had in the frame before.
    pub(in crate::canvas) kept: Option<usize>,
}

/// Where a flag is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::canvas) struct FlagPlace {
    /// The flag, or its tab.
    pub(in crate::canvas) rect: Rect,
    /// From the thing to the flag.
    pub(in crate::canvas) leader: [Pos2; 2],
    /// Its direction, to be kept while it stays free.
    pub(in crate::canvas) direction: usize,
    /// There was room for a tab only.
    pub(in crate::canvas) is_tab: bool,
}

/// Places flags in turn and adds them to the obstacles; `middle` is what they point away from. `None` for a flag that
/// has room for nothing.
pub(in crate::canvas) fn place_flags(
    wanted: &[FlagWanted],
    obstacles: &mut Obstacles,
    view: Rect,
    middle: Pos2,
) -> Vec<Option<FlagPlace>> {
    let mut placed = Vec::with_capacity(wanted.len());
    for flag in wanted {
        let reach = flag.reach + LEADERS[LEADERS.len() - 1] + flag.size.x + 2.0 * FLAG_CLEAR;
        let near = obstacles.near(flag.anchor, reach);
        let place = place_flag(flag, &near, view, middle).or_else(|| {
            let tab = FlagWanted { size: Vec2::splat(TAB), ..flag.clone() };
            place_flag(&tab, &near, view, middle).map(|place| FlagPlace { is_tab: true, ..place })
        });
        obstacles.rects.extend(place.map(|place| place.rect));
        placed.push(place);
    }
    placed
}

fn place_flag(flag: &FlagWanted, obstacles: &Obstacles, view: Rect, middle: Pos2) -> Option<FlagPlace> {
    let away = flag.anchor - middle;
    let outward = if away.length() > 1.0 { away.angle() } else { -std::f32::consts::FRAC_PI_4 };
    let room = view.shrink(EDGE_CLEAR);
    let best_in = |direction: usize| {
        let free = LEADERS.iter().filter_map(|&length| {
            let place = place_at(flag, direction, length);
            let is_free = room.contains_rect(place.rect) && obstacles.leave_clear(place.rect, FLAG_CLEAR);
            let turn = turn_between(place.leader[1] - place.leader[0], outward);
            let cost = || length + COST_OF_TURN * turn + COST_OF_LINE * obstacles.covered(place.rect) as f32;
            is_free.then(|| (cost(), place))
        });
        free.min_by(|a, b| a.0.total_cmp(&b.0))
    };
    if let Some((_, place)) = flag.kept.and_then(best_in) {
        return Some(place);
    }
    let all = (0..DIRECTIONS).filter_map(best_in);
    all.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, place)| place)
}

/// How far a direction is off `outward`, radians.
fn turn_between(direction: Vec2, outward: f32) -> f32 {
    let turn = (direction.angle() - outward).rem_euclid(std::f32::consts::TAU);
    turn.min(std::f32::consts::TAU - turn)
}

/// The flag at the end of a leader of `length` in `direction`, touching it with the nearest point of its edge.
fn place_at(flag: &FlagWanted, direction: usize, length: f32) -> FlagPlace {
    let along = Vec2::angled(direction as f32 * std::f32::consts::TAU / DIRECTIONS as f32);
    let start = flag.anchor + along * flag.reach;
    let end = start + along * length;
    let half = flag.size / 2.0;
    let to_edge = |half: f32, part: f32| if part.abs() > 1e-4 { half / part.abs() } else { f32::INFINITY };
    let centre = end + along * to_edge(half.x, along.x).min(to_edge(half.y, along.y));
    let rect = Rect::from_center_size(centre, flag.size);
    FlagPlace { rect, leader: [start, end], direction, is_tab: false }
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::{pos2, vec2};

    fn view() -> Rect {
        Rect::from_min_size(pos2(0.0, 0.0), vec2(900.0, 700.0))
    }

    /// A congruential generator (Knuth's MMIX constants), so that the test sees the same layouts every time.
    struct Draws(u64);

    impl Draws {
        fn next(&mut self, least: f32, most: f32) -> f32 {
            self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            least + (most - least) * ((self.0 >> 40) as f32 / (1_u64 << 24) as f32)
        }
    }

    fn layout(seed: u64) -> (Vec<ValueWanted>, Vec<FlagWanted>, Obstacles) {
        let mut draws = Draws(seed);
        let mut obstacles = Obstacles::default();
        let mut flags = Vec::new();
        for _ in 0..24 {
            let anchor = pos2(draws.next(20.0, 880.0), draws.next(20.0, 680.0));
            let reach = draws.next(6.0, 60.0);
            obstacles.discs.push((anchor, reach + 4.0));
            flags.push(FlagWanted { anchor, reach, size: vec2(draws.next(30.0, 90.0), 22.0), kept: None });
        }
        let values = (0..12)
            .map(|index| {
                let from = pos2(draws.next(20.0, 880.0), draws.next(20.0, 680.0));
                let to = pos2(draws.next(20.0, 880.0), draws.next(20.0, 680.0));
                obstacles.lines.push(vec![from, to]);
                let places = shares().iter().map(|share| from.lerp(to, *share)).collect();
                ValueWanted { places, size: vec2(48.0, 20.0), own_line: index }
            })
            .collect();
        (values, flags, obstacles)
    }

    fn place(seed: u64) -> (Vec<Option<Rect>>, Vec<Option<FlagPlace>>, Obstacles) {
        let (values, flags, mut obstacles) = layout(seed);
        let rims = obstacles.clone();
        let values = place_values(&values, &mut obstacles, view());
        let flags = place_flags(&flags, &mut obstacles, view(), view().center());
        (values, flags, rims)
    }

    #[test]
    fn no_two_labels_overlap_nor_lie_on_a_rim() {
        let (mut seen, mut whole) = (0, 0);
        for seed in 0..200 {
            let (values, flags, rims) = place(seed);
            let rects: Vec<Rect> =
                values.iter().flatten().copied().chain(flags.iter().flatten().map(|flag| flag.rect)).collect();
            seen += rects.len();
            whole += flags.iter().flatten().filter(|flag| !flag.is_tab).count();
            for (index, a) in rects.iter().enumerate() {
                assert!(view().contains_rect(*a), "seed {seed}: {a:?} leaves the view");
                assert!(rects[index + 1..].iter().all(|b| !a.intersects(*b)), "seed {seed}: {a:?} is overlapped");
                let small = |radius: f32| radius < LARGE_DISC || index >= values.iter().flatten().count();
                let on_rim = |(at, radius): &(Pos2, f32)| small(*radius) && a.distance_to_pos(*at) < *radius;
                let on_rim = rims.discs.iter().any(on_rim);
                assert!(!on_rim, "seed {seed}: {a:?} lies on a rim");
            }
        }
        assert!(seen > 200 * 24 && whole > 200 * 16, "most labels found a place: {seen}, {whole} flags whole");
    }

    #[test]
    fn the_same_layout_is_placed_the_same_way() {
        assert_eq!(place(7).1, place(7).1, "flags do not depend on anything but their input");
        assert_eq!(place(7).0, place(7).0, "nor do values");
    }

    #[test]
    fn a_flag_keeps_its_direction_while_it_is_free() {
        let flag = |kept, x| FlagWanted { anchor: pos2(x, 300.0), reach: 20.0, size: vec2(40.0, 22.0), kept };
        let at = |flag: FlagWanted, middle| {
            place_flags(&[flag], &mut Obstacles::default(), view(), middle)[0].expect("there is room")
        };
        let first = at(flag(None, 500.0), pos2(450.0, 300.0));
        assert_eq!(first.direction, 0, "outward is to the right");
        let moved = at(flag(Some(first.direction), 430.0), pos2(450.0, 300.0));
        assert_eq!(moved.direction, 0, "although outward is to the left now");
        let mut blocked = Obstacles {
            rects: vec![Rect::from_min_size(pos2(451.0, 200.0), vec2(200.0, 200.0))],
            ..Obstacles::default()
        };
        let turned = place_flags(&[flag(Some(0), 430.0)], &mut blocked, view(), pos2(450.0, 300.0))[0].expect("room");
        assert!(turned.direction != 0, "the kept direction is not free any more");
    }

    #[test]
    fn a_flag_without_room_becomes_a_tab() {
        let small = Rect::from_min_size(pos2(0.0, 0.0), vec2(90.0, 90.0));
        let flag = FlagWanted { anchor: pos2(45.0, 45.0), reach: 8.0, size: vec2(80.0, 22.0), kept: None };
        let mut obstacles = Obstacles { discs: vec![(pos2(45.0, 45.0), 12.0)], ..Obstacles::default() };
        let place = place_flags(&[flag], &mut obstacles, small, small.center())[0].expect("a tab fits");
        assert!(place.is_tab && place.rect.width() == TAB, "{place:?}");
    }

    #[test]
    fn a_value_that_its_line_has_no_room_for_stands_past_its_end() {
        let (from, to, size) = (pos2(300.0, 300.0), pos2(330.0, 300.0), vec2(44.0, 20.0));
        let disc = (pos2(315.0, 300.0), 19.0);
        let mut obstacles = Obstacles { discs: vec![disc], lines: vec![vec![from, to]], ..Obstacles::default() };
        let on_line = shares().into_iter().map(|share| from.lerp(to, share));
        let places = on_line.chain(past_ends(from, to, size)).collect();
        let wanted = ValueWanted { places, size, own_line: 0 };
        let place = place_values(&[wanted], &mut obstacles, view())[0].expect("it has a place");
        assert!(place.left() > to.x && place.distance_to_pos(disc.0) > disc.1, "beside the hole: {place:?}");
        assert!(past_ends(from, pos2(500.0, 300.0), size).is_empty(), "a long line has room");
    }

    #[test]
    fn a_segment_meets_a_box_only_where_it_passes_through() {
        let rect = Rect::from_min_size(pos2(10.0, 10.0), vec2(10.0, 10.0));
        assert!(segment_meets(pos2(0.0, 15.0), pos2(30.0, 15.0), rect), "right through");
        assert!(!segment_meets(pos2(0.0, 25.0), pos2(30.0, 25.0), rect), "below it");
        assert!(!segment_meets(pos2(0.0, 15.0), pos2(5.0, 15.0), rect), "short of it");
    }
}
