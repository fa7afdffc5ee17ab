//! What a person can do. One row per command: menus, keys and the key help come from this table.

use crate::exports::Export;
use crate::files::opening::Opening;
use crate::files::recovery::Leftover;
use crate::offers::Offers;
use crate::proposal::Proposal;
use crate::session::{Operation, Session};
use egui::{Key, Modifiers};
use platewright_core::check::may_cut;
use platewright_core::job::{Edit, Id, StatementKind};
use platewright_core::space::PhotoPoint;
use std::path::PathBuf;

/// A request to change something; panels send them, [`crate::window`] carries them out in order.
#[derive(Debug, Clone, PartialEq)]
pub enum Command {
    /// A row of the table.
    Do(Action),
    /// Changes the job; the text names the step for undo.
    Edit(String, Vec<Edit>),
    /// Changes the job as part of a drag or of nudging.
    EditInHand(String, Edit),
    /// Ends the step in hand.
    LetGo,
    /// Opens a job or a photo, by what the file holds; asks first where unsaved work would be lost.
    Open(PathBuf),
    /// Opens it as the person has settled it, or goes on with what was left.
    OpenAs(Box<Opening>),
    /// Opens what was asked about, saved or not.
    OpenAnyway,
    /// Throws unsaved work that was left away.
    ThrowAway(Box<Leftover>),
    /// Saves the job there.
    SaveTo(PathBuf),
    /// Saves the job over what another has written to its file.
    SaveOver,
    /// Writes a file for others there; `even_so` while a check fails.
    WriteTo {
        /// What.
        export: Export,
        /// Where.
        path: PathBuf,
        /// Although a check fails.
        even_so: bool,
    },
    /// Puts a feature into what is being taken or said.
    Take(Id),
    /// Looks for the outline of the face that this place is on.
    ProposeFrom(PhotoPoint),
    /// Says something in the status line until the next command.
    Say(String),
    /// Puts the last error away.
    PutErrorAway,
    /// Closes the window, saved or not.
    CloseAnyway,
}

/// A row of the table.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Action {
    /// Opens an operation of the route card.
    Operation(Operation),
    /// Asks for a photo or a job.
    Open,
    /// Opens the demo job.
    Demo,
    /// Saves.
    Save,
    /// Saves under another name.
    SaveAs,
    /// Writes the file that is chosen on the export sheet.
    Write,
    /// Takes the last step back.
    Undo,
    /// Brings an undone step back.
    Redo,
    /// As shot or flat.
    SwitchView,
    /// The whole photo.
    FitView,
    /// Larger.
    ZoomIn,
    /// Smaller.
    ZoomOut,
    /// Brings the mark out, the place of the keyboard on the photo.
    Mark,
    /// Looks for further holes in the photo.
    FindOthers,
    /// Makes holes of the ticked rims.
    AddOffered,
    /// Begins a straight edge.
    Edge,
    /// Ends the edge that is being picked, or takes the outline that is proposed.
    Done,
    /// Begins to say something about the shape.
    State(StatementKind),
    /// Corner or smooth, for the chosen node.
    CornerSmooth,
    /// Holds the place of the chosen node, or lets the edge decide.
    Pin,
    /// Cuts the piece behind the chosen node as it is drawn, or as the edge runs.
    AsDrawn,
    /// Joins the open contour.
    Join,
    /// The next click on the face proposes its outline.
    Propose,
    /// How far the cut lies off the measured edge.
    Whiskers,
    /// Removes what is chosen.
    Remove,
    /// The next thing that disagrees or is not known.
    NextTrouble,
    /// How well every place is known, over the face.
    HeatMap,
    /// Types the measure that is asked for next.
    TypeNext,
    /// Shows or hides the fit sheet.
    Sheet,
    /// The other theme.
    OtherTheme,
    /// Everything that is read, larger.
    LargerType,
    /// Everything that is read, smaller.
    SmallerType,
    /// Steps out of what is being done.
    StepOut,
    /// Lists the keys.
    Keys,
    /// Begins the guide, or leaves it.
    Guide,
}

/// What the table says of a command.
#[derive(Debug, Clone, Copy)]
pub struct Row {
    /// The command.
    pub action: Action,
    /// Its name.
    pub name: &'static str,
    /// What it does, in a sentence.
    pub hint: &'static str,
    /// Its key.
    pub key: Option<(Modifiers, Key)>,
}

const NONE: Modifiers = Modifiers::NONE;
const CTRL: Modifiers = Modifiers::COMMAND;

const fn row(action: Action, name: &'static str, hint: &'static str, key: Option<(Modifiers, Key)>) -> Row {
    Row { action, name, hint, key }
}

/// The table.
pub const TABLE: &[Row] = &[
    row(Action::Operation(Operation::Photo), "Photo", "Opens operation 10.", Some((NONE, Key::Num1))),
    row(Action::Operation(Operation::Holes), "Holes", "Opens operation 20.", Some((NONE, Key::Num2))),
    row(Action::Operation(Operation::Measures), "Measures", "Opens operation 30.", Some((NONE, Key::Num3))),
    row(Action::Operation(Operation::Outline), "Outline", "Opens operation 40.", Some((NONE, Key::Num4))),
    row(Action::Operation(Operation::Proof), "Proof", "Opens operation 50.", Some((NONE, Key::Num5))),
    row(Action::Operation(Operation::Cut), "Cut", "Opens operation 60.", Some((NONE, Key::Num6))),
    row(Action::Open, "Open", "Opens a photo or a job.", Some((CTRL, Key::O))),
    row(Action::Demo, "Try the demo job", "Opens the milk valve flange.", Some((CTRL, Key::D))),
    // Ctrl Shift S before Ctrl S: a chord is also taken for the one without its Shift.
    row(Action::SaveAs, "Save as", "Saves the job under another name.", Some((CTRL.plus(Modifiers::SHIFT), Key::S))),
    row(Action::Save, "Save", "Saves the job beside its photo.", Some((CTRL, Key::S))),
    row(
        Action::Write,
        "Write the file",
        "Writes what is chosen under 50 or 60: the proof, the cut file once no check fails, the report.",
        Some((CTRL, Key::E)),
    ),
    row(
        Action::Redo,
        "Redo",
        "Brings an undone step back; so does Ctrl Y.",
        Some((CTRL.plus(Modifiers::SHIFT), Key::Z)),
    ),
    row(Action::Undo, "Undo", "Takes the last step back.", Some((CTRL, Key::Z))),
    row(
        Action::SwitchView,
        "As shot or flat",
        "Shows the face as shot, or square-on at true scale.",
        Some((NONE, Key::V)),
    ),
    // Before the keys without Ctrl, which go for the photo.
    row(
        Action::LargerType,
        "Larger type",
        "Draws words and controls larger, up to one and a half times.",
        Some((CTRL, Key::Plus)),
    ),
    row(Action::SmallerType, "Smaller type", "Draws words and controls smaller.", Some((CTRL, Key::Minus))),
    row(Action::FitView, "Fit", "Shows the whole photo.", Some((NONE, Key::Num0))),
    row(Action::ZoomIn, "Larger", "Zooms in.", Some((NONE, Key::Plus))),
    row(Action::ZoomOut, "Smaller", "Zooms out.", Some((NONE, Key::Minus))),
    row(
        Action::Mark,
        "Mark",
        "Puts the mark on the photo: arrows move it, Space clicks there, Shift Space takes hold.",
        Some((NONE, Key::M)),
    ),
    row(
        Action::FindOthers,
        "Find the others",
        "Looks in the photo for rims like the chosen hole’s.",
        Some((NONE, Key::F)),
    ),
    row(Action::AddOffered, "Add the ticked holes", "Makes holes of the ticked rims.", Some((NONE, Key::A))),
    row(Action::Edge, "Straight edge", "Picks a straight edge of the face.", Some((NONE, Key::E))),
    row(
        Action::Done,
        "Done",
        "Ends the edge that is being picked, or takes the proposed outline.",
        Some((NONE, Key::Enter)),
    ),
    row(
        Action::State(StatementKind::Square),
        "Square corner",
        "Says that two edges make a square corner.",
        Some((NONE, Key::Q)),
    ),
    row(
        Action::State(StatementKind::Straight),
        "On one line",
        "Says that points lie on an edge.",
        Some((NONE, Key::I)),
    ),
    row(Action::CornerSmooth, "Corner or smooth", "Makes the chosen node a corner, or smooth.", Some((NONE, Key::C))),
    row(
        Action::Pin,
        "Hold the node",
        "Holds the place of the chosen node, or lets the measured edge decide.",
        Some((NONE, Key::K)),
    ),
    row(
        Action::AsDrawn,
        "As drawn",
        "Cuts the piece behind the chosen node as it is drawn, or as the edge runs.",
        Some((NONE, Key::D)),
    ),
    row(Action::Join, "Join", "Joins the open outline.", Some((NONE, Key::J))),
    row(
        Action::Propose,
        "Propose the outline",
        "Looks in the photo for the outline round the next click, and for openings.",
        Some((NONE, Key::P)),
    ),
    row(
        Action::Whiskers,
        "Whiskers",
        "Shows how far the cut lies off the measured edge, or hides it.",
        Some((NONE, Key::W)),
    ),
    row(Action::Remove, "Remove", "Removes what is chosen.", Some((NONE, Key::Delete))),
    row(
        Action::NextTrouble,
        "Next trouble",
        "Goes to the next thing that disagrees or is not known.",
        Some((NONE, Key::N)),
    ),
    row(
        Action::HeatMap,
        "Heat map",
        "Shows how well every place of the face is known, or hides it.",
        Some((NONE, Key::H)),
    ),
    row(Action::TypeNext, "Type the next measure", "Types the measure that is asked for next.", Some((NONE, Key::T))),
    row(Action::Sheet, "Fit sheet", "Shows or hides the fit sheet.", Some((NONE, Key::S))),
    row(Action::OtherTheme, "Light or dark", "Changes between light and dark colours.", Some((NONE, Key::L))),
    row(
        Action::StepOut,
        "Leave or cancel",
        "Leaves what is being done; a drag is taken back.",
        Some((NONE, Key::Escape)),
    ),
    row(Action::Keys, "Keys", "Lists the keys.", Some((NONE, Key::F1))),
    row(
        Action::Guide,
        "Guide",
        "Leads through a first plate on the demo’s photo in six steps, or puts the guide away.",
        Some((NONE, Key::G)),
    ),
];

/// Keys besides those of the table, for hands that have learnt them elsewhere.
const BESIDES: &[(Modifiers, Key, Action)] = &[(CTRL, Key::Y, Action::Redo), (CTRL, Key::Equals, Action::LargerType)];

impl Action {
    /// Its row of the table.
    pub fn row(self) -> &'static Row {
        TABLE.iter().find(|row| row.action == self).unwrap_or(&TABLE[0])
    }

    /// Why it cannot be done now; `None` where it can.
    pub fn waits_for(self, session: &Session) -> Option<&'static str> {
        let document = session.document.as_ref();
        match self {
            Self::Open | Self::Demo | Self::OtherTheme | Self::Keys | Self::StepOut | Self::Sheet | Self::Guide => None,
            Self::LargerType => session.settings.type_size.larger().is_none().then_some("it is as large as it gets"),
            Self::SmallerType => session.settings.type_size.smaller().is_none().then_some("it is as small as it gets"),
            Self::Undo => document.is_none_or(|d| d.history.undo_name().is_none()).then_some("nothing to take back"),
            Self::Redo => document.is_none_or(|d| d.history.redo_name().is_none()).then_some("nothing to bring back"),
            Self::CornerSmooth | Self::Pin => {
                session.screen.chosen_node().is_none().then_some("waits for a chosen node")
            }
            Self::Remove => session.screen.chosen.is_none().then_some("waits for something chosen"),
            Self::AsDrawn => {
                let node = session.screen.chosen_node();
                let contour = node.zip(document).and_then(|((id, _), document)| document.job().contour(id));
                contour.is_none_or(|contour| !contour.follow_edge).then_some("waits for a node on a followed edge")
            }
            Self::Done => {
                let is_picking = session.screen.picking_edge.is_some();
                let ticked = session.screen.proposal.as_ref().map_or(0, Proposal::ticked);
                (!is_picking && ticked == 0).then_some("waits for an edge that is picked, or a ticked outline")
            }
            Self::Whiskers => {
                let measured = session.results.solution.contours.iter().any(|fit| fit.measured.is_some());
                (!measured && !session.screen.whiskers).then_some("waits for an outline that follows the edge")
            }
            Self::FindOthers => session.results.solution.holes.is_empty().then_some("waits for the first hole"),
            Self::AddOffered => {
                let ticked = session.screen.offers.as_ref().map_or(0, Offers::ticked);
                (ticked == 0).then_some("waits for a ticked rim")
            }
            Self::Join => session.open_contour().is_none().then_some("no outline is open"),
            Self::SwitchView | Self::Propose => {
                session.results.solution.map.is_none().then_some("waits for the first hole")
            }
            Self::TypeNext => session.asked_next().is_none().then_some("waits for two holes"),
            Self::HeatMap => {
                let solution = &session.results.solution;
                let known = solution.face.is_some() && solution.fit.scale_known();
                (!known && !session.screen.heat_map).then_some("waits for the scale")
            }
            Self::Write if document.is_some() => {
                let is_held = session.screen.export().is_cut() && !may_cut(&session.results.checks);
                let has_size = session.results.solution.fit.scale_known() || session.screen.export() == Export::Report;
                is_held.then_some("waits until no check fails").or((!has_size).then_some("waits for the scale"))
            }
            _ => document.is_none().then_some("waits for a photo"),
        }
    }

    /// Its key as it is printed, `Ctrl Z`.
    pub fn key_text(self) -> Option<String> {
        let (modifiers, key) = self.row().key?;
        let mut text = String::new();
        if modifiers.command {
            text.push_str("Ctrl ");
        }
        if modifiers.shift {
            text.push_str("Shift ");
        }
        text.push_str(match key {
            Key::Escape => "Esc",
            Key::Plus => "+",
            Key::Minus => "\u{2212}",
            other => other.name(),
        });
        Some(text)
    }
}

/// The rows whose keys were pressed in this frame. Letters and digits act only while no field is typed in; Enter is
/// that of whatever has the keyboard, and acts only where nothing has it, or the mark. An open list has its keys to itself.
pub fn pressed(ctx: &egui::Context, session: &Session) -> Vec<Action> {
    let typing = crate::controls::is_typed_in(ctx);
    let enter_is_taken = !crate::canvas::enter_is_free(ctx);
    if egui::Popup::is_any_open(ctx) {
        return Vec::new();
    }
    let mut found = Vec::new();
    ctx.input_mut(|input| {
        for row in TABLE {
            let Some((modifiers, key)) = row.key else { continue };
            let plain = modifiers == NONE;
            let is_others = key == Key::Enter && (enter_is_taken || row.action.waits_for(session).is_some());
            if (plain && typing) || is_others {
                continue;
            }
            // Who presses faster than frames come is not to lose any.
            let times = input.count_and_consume_key(modifiers, key);
            found.extend(std::iter::repeat_n(row.action, times));
        }
        for (modifiers, key, action) in BESIDES {
            if input.consume_key(*modifiers, *key) {
                found.push(*action);
            }
        }
    });
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_two_commands_share_a_key_and_every_command_has_a_row() {
        for (index, row) in TABLE.iter().enumerate() {
            for other in &TABLE[index + 1..] {
                assert!(row.key.is_none() || row.key != other.key, "{} and {} share a key", row.name, other.name);
                assert!(row.action != other.action, "{} stands twice", row.name);
            }
            assert_eq!(row.action.row().name, row.name, "the row finds itself");
        }
    }
}
