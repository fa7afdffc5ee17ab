//! Sizes of the window's parts, in points.

/// Height of the title bar.
pub const TITLE_HEIGHT: f32 = 48.0;
/// Height of the status line.
pub const STATUS_HEIGHT: f32 = 36.0;
/// Width of the route card.
pub const ROUTE_WIDTH: f32 = 216.0;
/// Width of the folded route card.
pub const ROUTE_FOLDED_WIDTH: f32 = 56.0;
/// Width of the fit sheet.
pub const SHEET_WIDTH: f32 = 372.0;
/// Width of the fit sheet in a small window.
pub const SHEET_NARROW_WIDTH: f32 = 320.0;
/// Thickness of the rulers.
pub const RULER: f32 = 26.0;
/// Inside margin of the fit sheet.
pub const SHEET_MARGIN: f32 = 16.0;
/// Inside margin of the route card.
pub const ROUTE_MARGIN: f32 = 14.0;
/// Between buttons.
pub const BUTTON_GAP: f32 = 8.0;
/// Before a new head.
pub const HEAD_GAP: f32 = 20.0;
/// Height of a row of text.
pub const ROW: f32 = 20.0;
/// Height of a row that holds a box.
pub const ROW_WITH_BOX: f32 = 22.0;
/// Least side of anything that is clicked.
pub const TARGET: f32 = 24.0;
/// Frame lines of title, status and sheet.
pub const FRAME_LINE: f32 = 2.0;
/// Window width below which the route card folds.
pub const FOLD_BELOW: f32 = 1200.0;
/// Window width below which the sheet becomes a drawer.
pub const DRAWER_BELOW: f32 = 900.0;
/// Window width from which route and sheet widen.
pub const WIDE_FROM: f32 = 2200.0;
/// Width of the route card in a wide window.
pub const ROUTE_WIDE: f32 = 240.0;
/// Width of the fit sheet in a wide window.
pub const SHEET_WIDE: f32 = 440.0;
/// Height of a button or a field.
pub const CONTROL_HEIGHT: f32 = 28.0;
/// Height of the one large button of the start sheet.
pub const TALL_CONTROL_HEIGHT: f32 = 42.0;
/// Side of an icon.
pub const ICON: f32 = 16.0;
/// Height of the verdict stamp.
pub const STAMP_HEIGHT: f32 = 32.0;
/// Width of the open card of a folded route.
pub const ROUTE_CARD_WIDTH: f32 = 232.0;
/// Stroke of icons, edges of controls.
pub const EDGE: f32 = 1.5;
/// Width of a question over the window.
pub const QUESTION_WIDTH: f32 = 520.0;
