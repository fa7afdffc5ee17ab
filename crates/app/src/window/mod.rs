//! The window: collects finished work, carries out commands, draws, always in this order.
//!
//! ## Invariants
//! - Only this module carries out commands; panels read the session and send commands.
//! - Results are refreshed after the commands and before anything is drawn, so no frame shows a figure that is out of
//!   date.

mod carry_out;
mod closing;
mod documents;
mod exporting;
mod frame_times;
mod guiding;
mod keeping;
mod opening;
mod outlines;
mod refusals;
#[cfg(test)]
mod tests;

use crate::canvas::Canvas;
use crate::command::{Command, pressed};
use crate::exports::ProofSettings;
use crate::files::opening::Opening;
use crate::guide::Guide;
use crate::measuring::Measuring;
use crate::preview::Preview;
use crate::session::{Session, Standing};
use crate::theme;
use crate::work::Work;
use eframe::glow::HasContext as _;
use std::path::PathBuf;

pub use opening::open;

/// The workbench as the window system sees it.
#[derive(Debug)]
pub struct Workbench {
    /// What it holds.
    pub session: Session,
    commands: Vec<Command>,
    work: Work,
    measuring: Measuring,
    canvas: Canvas,
    preview: Preview,
    /// How proofs are made, as it was kept last.
    kept_proof: ProofSettings,
    file_to_come: Option<exporting::FileToCome>,
    close_anyway: bool,
    keeper: keeping::Keeper,
    guide: Option<Guide>,
    /// What stands over the window.
    title: String,
    /// What is being read, and the revision on the bench when that began.
    opening: Option<(Opening, Option<u64>)>,
    frame_times: Option<frame_times::FrameTimes>,
    /// What is on the bench was changed since measuring it in its photo was asked for.
    is_to_be_measured: bool,
}

impl Workbench {
    /// A workbench in `ctx`, with the job or photo at `path` on its way where one is given.
    pub fn new(ctx: &egui::Context, session: Session, path: Option<PathBuf>) -> Self {
        theme::install(ctx);
        theme::apply(ctx);
        let mut workbench = Self {
            kept_proof: session.settings.proof.clone(),
            keeper: keeping::Keeper::new(ctx, session.places.recovery.clone()),
            session,
            commands: Vec::new(),
            work: Work::new(ctx.clone()),
            measuring: Measuring::new(ctx.clone()),
            canvas: Canvas::default(),
            preview: Preview::default(),
            file_to_come: None,
            close_anyway: false,
            guide: None,
            title: opening::TITLE.to_owned(),
            opening: None,
            frame_times: None,
            is_to_be_measured: false,
        };
        if let Some(document) = &workbench.session.document {
            workbench.keeper.hold(None, document.about());
        }
        workbench.commands.extend(path.map(Command::Open));
        workbench
    }

    /// Notes how long every frame takes and prints the figures when the window closes.
    pub fn note_frame_times(&mut self) {
        self.frame_times = Some(frame_times::FrameTimes::default());
    }

    /// Asks for something, as a panel does.
    pub fn send(&mut self, command: Command) {
        self.commands.push(command);
    }
}

impl eframe::App for Workbench {
    fn logic(&mut self, ctx: &egui::Context, _frame: &mut eframe::Frame) {
        // What was asked for in the last frame is done first: it may be work that closing would lose.
        if self.commands.is_empty() {
            self.watch_closing(ctx);
        }
        for finished in self.work.collect() {
            self.take_in(finished);
        }
        self.take_in_measured();
        self.keep();
    }

    #[expect(clippy::print_stdout, reason = "the figures were asked for on the command line")]
    fn on_exit(&mut self, gl: Option<&eframe::glow::Context>) {
        if let Some(times) = &self.frame_times {
            let photo = self.session.document.as_ref().map(|document| document.job().photo.size);
            let graphics = gl.map(|gl| gl.version().clone());
            println!("{}", times.report(photo, graphics.as_ref()));
        }
    }

    fn ui(&mut self, ui: &mut egui::Ui, frame: &mut eframe::Frame) {
        let ctx = ui.ctx().clone();
        if let Some(times) = &mut self.frame_times {
            times.note(frame.info().cpu_usage);
        }
        ctx.set_theme(match self.session.settings.theme {
            theme::Theme::Paper => egui::Theme::Light,
            theme::Theme::NightShift => egui::Theme::Dark,
        });
        ctx.set_zoom_factor(self.session.settings.type_size.factor());
        self.take_dropped(&ctx);
        // What was said is of what was done before; a click is the next thing.
        if ctx.input(|input| input.pointer.any_pressed()) {
            self.session.screen.said = None;
        }
        if self.session.screen.asking.is_none() {
            self.commands.extend(pressed(&ctx, &self.session).into_iter().map(Command::Do));
        }
        for command in std::mem::take(&mut self.commands) {
            self.carry_out(&ctx, command);
        }
        self.watch_closing(&ctx);
        self.name_window(&ctx);
        self.keep();
        self.refresh(ctx.input(|input| input.pointer.any_down()));
        self.write_when_settled();
        self.draw(ui);
        if !self.commands.is_empty() {
            ctx.request_repaint();
        }
    }
}

impl Workbench {
    /// The window bears the name of its part, that two of them may be told apart.
    fn name_window(&mut self, ctx: &egui::Context) {
        let part = self.session.document.as_ref().map(|document| document.job().title.trim());
        let title = match part.filter(|part| !part.is_empty()) {
            Some(part) => format!("{}: {part}", opening::TITLE),
            None => opening::TITLE.to_owned(),
        };
        if self.title != title {
            ctx.send_viewport_cmd(egui::ViewportCommand::Title(title.clone()));
            self.title = title;
        }
    }

    /// Takes in what was measured, or that it could not be.
    fn take_in_measured(&mut self) {
        self.session.screen.measuring_part = self.measuring.part();
        match self.measuring.collect() {
            Some(Ok(measured)) => self.session.take_measured(measured),
            Some(Err(unmeasured)) => self.session.take_unmeasured(unmeasured),
            None => {}
        }
    }

    /// Brings the results up to the document, and asks for what has to be measured first.
    ///
    /// While something is in hand and looked at in every frame, all else is not measured anew: that would take a processor
    /// from the frames, and be out of date in the next.
    fn refresh(&mut self, is_in_hand: bool) {
        let before = (self.session.results.revision, self.session.results.instrument);
        self.session.refresh();
        if before != (self.session.results.revision, self.session.results.instrument) {
            self.measuring.forget();
            self.is_to_be_measured = true;
        }
        let waits = is_in_hand && self.session.results.standing != Standing::Waiting;
        if !self.is_to_be_measured || waits {
            return;
        }
        self.is_to_be_measured = false;
        let asked = match self.session.to_measure().or_else(|| self.session.to_judge()) {
            Some(request) => self.measuring.ask(request),
            None => Ok(()),
        };
        if let Err(error) = asked {
            self.session.results.standing = Standing::Unmeasured;
            self.session.screen.error = Some(format!("The rims are not measured: {error}. Close other programs."));
        }
    }

    /// Zooms what is shown: about the mark while that is out, else about the middle of the view.
    fn zoom_by(&mut self, factor: f32) {
        if self.session.screen.shows_paper() || !self.canvas.zoom_about_mark(factor) {
            self.session.screen.zoom_by(factor);
        }
    }

    /// Brings the mark out; it lies on the photo, so that is shown.
    fn call_mark(&mut self) {
        self.session.screen.on_paper &= !self.session.screen.shows_paper();
        self.canvas.call_mark();
    }

    fn draw(&mut self, ui: &mut egui::Ui) {
        let Self { session, commands, canvas, preview, guide, .. } = self;
        // A thing that is brought into sight is on the photo.
        session.screen.on_paper &= session.screen.show.is_none();
        crate::sheets::title_bar(ui, session, commands);
        crate::sheets::status_line(ui, session, commands);
        crate::sheets::route_card(ui, session, commands);
        let sheet = crate::sheets::fit_sheet_place(ui, session);
        if session.document.is_none() {
            crate::sheets::fit_sheet(ui, sheet, session, commands);
            crate::sheets::start_guide(ui, session, commands);
        } else {
            if let Some(guide) = guide.as_ref().filter(|guide| guide.is_of(session)) {
                crate::sheets::guide_strip(ui, session, guide, commands);
            }
            // Tab goes from the photo to the sheet.
            if session.screen.shows_paper() {
                preview.show(ui, session, commands);
            } else {
                canvas.show(ui, session, commands);
            }
            crate::sheets::fit_sheet(ui, sheet, session, commands);
        }
        crate::sheets::questions(ui, session, commands);
        if self.kept_proof != self.session.settings.proof {
            self.kept_proof.clone_from(&self.session.settings.proof);
            self.keep_settings();
        }
    }
}
