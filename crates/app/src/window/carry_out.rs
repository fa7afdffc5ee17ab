//! Carrying out commands: the only place where the window changes the document.

use super::{Workbench, refusals};
use crate::command::{Action, Command};
use crate::draft::PICKS_OF_AN_EDGE;
use crate::files::opening::NotOpened;
use crate::offers::Offers;
use crate::session::{Asking, Chosen, Document, MeasureDraft, Operation, Sort, StatementDraft};
use crate::work::{Finished, Purpose};
use platewright_core::job::{Edit, EditRefused, History, Id, MeasureKind, StatementKind};
use platewright_core::solution::{Finding, MeasureVerdict};

impl Workbench {
    /// Carries out one command.
    pub(super) fn carry_out(&mut self, ctx: &egui::Context, command: Command) {
        // Letting go ends what was said already to be done.
        if !matches!(command, Command::Say(_) | Command::LetGo) {
            self.session.screen.said = None;
        }
        match command {
            Command::Do(action) => self.act(ctx, action),
            Command::Edit(name, edits) => self.edit(|history| history.apply_all(&name, edits)),
            Command::EditInHand(name, edit) => self.edit(|history| history.apply_in_hand(&name, edit)),
            Command::LetGo => {
                if let Some(document) = &mut self.session.document {
                    document.history.let_go();
                }
            }
            Command::Open(path) => self.open(path),
            Command::OpenAs(opening) => self.start_opening(*opening),
            Command::OpenAnyway => {
                if let Some(opening) = self.session.screen.to_open.take() {
                    self.start_opening(opening);
                }
            }
            Command::ThrowAway(leftover) => self.throw_away(&leftover),
            Command::SaveTo(path) => self.save_to(path),
            Command::SaveOver => self.save_over(),
            Command::WriteTo { export, path, even_so } => self.write_to(export, path, even_so),
            Command::Take(id) => {
                let taken = self.session.take_feature(&id);
                self.told(taken);
            }
            Command::ProposeFrom(inside) => self.propose_from(inside),
            Command::Say(text) => self.session.screen.said = Some(text),
            Command::PutErrorAway => self.session.screen.error = None,
            Command::CloseAnyway => self.close_anyway(ctx),
        }
    }

    pub(super) fn edit(&mut self, change: impl FnOnce(&mut History) -> Result<(), EditRefused>) {
        let Some(document) = &mut self.session.document else { return };
        match change(&mut document.history) {
            Ok(()) => {
                self.session.screen.error = None;
                self.session.forget_what_is_gone();
            }
            Err(refused) => self.session.screen.error = Some(refusals::sentence(&refused)),
        }
    }

    /// Says why something was not taken.
    fn told(&mut self, result: Result<(), String>) {
        if let Err(problem) = result {
            self.session.screen.said = Some(problem);
        }
    }

    fn act(&mut self, ctx: &egui::Context, action: Action) {
        if let Some(reason) = action.waits_for(&self.session) {
            self.session.screen.said = Some(format!("{}: {reason}.", action.row().name));
            return;
        }
        match action {
            Action::Operation(operation) => self.open_operation(operation),
            Action::Open => self.ask_for_file(Purpose::Open),
            Action::Demo => self.open_demo(),
            Action::Save => match self.session.document.as_ref().and_then(|d| d.path.clone()) {
                Some(path) => self.save_to(path),
                None => self.ask_for_file(Purpose::Save),
            },
            Action::SaveAs => self.ask_for_file(Purpose::Save),
            Action::Write => self.ask_for_file(Purpose::Write(self.session.screen.export())),
            Action::Undo | Action::Redo => self.back_or_forth(action == Action::Undo),
            Action::SwitchView => self.session.screen.switch_view(),
            Action::FitView => self.session.screen.fit_pending = true,
            Action::ZoomIn => self.zoom_by(1.25),
            Action::ZoomOut => self.zoom_by(0.8),
            Action::Mark => self.call_mark(),
            Action::FindOthers => self.find_others(),
            Action::AddOffered => self.add_offered(),
            Action::Edge => self.begin_edge(),
            Action::Done if self.session.screen.proposal.is_some() => self.take_proposal(),
            Action::Done => {
                let ended = self.session.end_edge();
                self.told(ended);
            }
            Action::Pin => self.pin(),
            Action::AsDrawn => self.as_drawn(),
            Action::Propose => {
                if self.session.screen.operation != Operation::Outline {
                    self.open_operation(Operation::Outline);
                }
                self.session.screen.tracing = None;
                self.session.screen.proposal = None;
                self.session.screen.proposing = true;
            }
            Action::Whiskers => self.session.screen.whiskers = !self.session.screen.whiskers,
            Action::State(kind) => self.begin_statement(kind),
            Action::CornerSmooth => self.corner_or_smooth(),
            Action::Join => self.join(),
            Action::Remove => self.remove_chosen(),
            Action::NextTrouble => self.next_trouble(),
            Action::HeatMap => self.session.screen.heat_map = !self.session.screen.heat_map,
            Action::TypeNext => self.type_next(),
            Action::Sheet => self.session.screen.drawer_open = !self.session.screen.drawer_open,
            Action::OtherTheme => {
                self.session.settings.theme = self.session.settings.theme.other();
                self.keep_settings();
            }
            Action::LargerType | Action::SmallerType => {
                let size = self.session.settings.type_size;
                let other = if action == Action::LargerType { size.larger() } else { size.smaller() };
                self.session.settings.type_size = other.unwrap_or(size);
                self.session.screen.said = Some(format!("Type at {} %.", self.session.settings.type_size.percent()));
                self.keep_settings();
            }
            Action::StepOut => self.step_out(),
            Action::Keys => self.session.screen.asking = Some(Asking::Keys),
            Action::Guide => self.begin_or_leave_guide(),
        }
        ctx.request_repaint();
    }

    fn open_operation(&mut self, operation: Operation) {
        let screen = &mut self.session.screen;
        // The open card chosen again folds its settings away, which matters in a small window only.
        screen.route_open = screen.operation != operation || !screen.route_open;
        screen.operation = operation;
        screen.picking = None;
        screen.picking_edge = None;
        screen.tracing = None;
        screen.draft = None;
        screen.adding = None;
        screen.stating = None;
        screen.offers = None;
        screen.proposing = false;
        screen.proposal = None;
        screen.chosen = None;
    }

    /// Looks for further holes beside the window.
    fn find_others(&mut self) {
        let Some(search) = self.session.search() else { return };
        if self.session.screen.operation != Operation::Holes {
            self.open_operation(Operation::Holes);
        }
        let name = search.job.feature_name(&search.from).to_owned();
        self.session.screen.working = Some(format!("Looking for rims like that of {name}."));
        let started = self.work.start("find", move |go_on| search.run(go_on).map(Finished::FoundOthers));
        if let Err(error) = started {
            self.session.screen.working = None;
            self.session.screen.error = Some(format!("Nothing was looked for: {error}. Try again."));
        }
    }

    /// Shows what was found, where it still belongs to the job.
    fn offer(&mut self, mut offers: Offers) {
        let Some(job) = self.session.document.as_ref().map(Document::job) else { return };
        let Some(from) = job.hole(&offers.from) else { return };
        offers.drop_taken(job);
        let name = from.name.clone();
        if offers.rims.is_empty() {
            let text = format!("No other rim with the face of {name} round it was found. Click the others yourself.");
            self.session.screen.said = Some(text);
        } else {
            self.session.screen.picking = None;
            self.session.screen.drawer_open = true;
            // They lie all over the part.
            self.session.screen.fit_pending = true;
            self.session.screen.offers = Some(offers);
        }
    }

    fn add_offered(&mut self) {
        let Some(document) = &self.session.document else { return };
        let Some(offers) = self.session.screen.offers.take() else { return };
        let edits = offers.edits(document.job());
        let name = if edits.len() == 1 { "add a hole".to_owned() } else { format!("add {} holes", edits.len()) };
        self.edit(|history| history.apply_all(&name, edits));
    }

    /// The next clicks pick an edge, for what is being taken where it takes one.
    fn begin_edge(&mut self) {
        self.open_measures();
        let screen = &mut self.session.screen;
        screen.picking_edge = None;
        screen.draft.take_if(|draft| draft.kind != MeasureKind::Edges && draft.kind != MeasureKind::RimToEdge);
        if self.session.places() != Some(Sort::Edge) {
            self.session.screen.stating = None;
            self.session.screen.draft = None;
            self.session.screen.kind = MeasureKind::Edges;
        }
        let screen = &mut self.session.screen;
        if screen.stating.is_none() && screen.draft.is_none() {
            screen.draft = Some(MeasureDraft::new(screen.kind));
        }
    }

    fn begin_statement(&mut self, kind: StatementKind) {
        self.open_measures();
        let screen = &mut self.session.screen;
        screen.picking_edge = None;
        screen.draft = None;
        screen.stating = Some(StatementDraft::new(kind));
    }

    fn open_measures(&mut self) {
        if self.session.screen.operation != Operation::Measures {
            self.open_operation(Operation::Measures);
        }
    }

    /// Takes in what came back from a thread.
    pub(super) fn take_in(&mut self, finished: Finished) {
        match finished {
            Finished::Opened(result) => {
                self.session.screen.working = None;
                match *result {
                    Ok(opened) => self.take_opened(opened),
                    Err(NotOpened::Held(held)) => self.ask_before_opening(*held),
                    Err(NotOpened::Failed(failed)) => self.say_what_failed(&failed.0, &failed.1),
                }
            }
            Finished::FoundOthers(offers) => {
                self.session.screen.working = None;
                self.offer(offers);
            }
            Finished::Proposed(proposal) => {
                self.session.screen.working = None;
                self.show_proposal(proposal);
            }
            Finished::Chose(purpose, path) => self.take_chosen(purpose, path),
            Finished::Wrote(wrote) => self.say_what_was_written(wrote),
        }
    }

    fn back_or_forth(&mut self, back: bool) {
        let Some(document) = &mut self.session.document else { return };
        let name = if back { document.history.undo() } else { document.history.redo() };
        let verb = if back { "Taken back" } else { "Brought back" };
        self.session.screen.said = name.map(|name| format!("{verb}: {name}."));
        self.session.screen.chosen = None;
        self.session.screen.picking = None;
        self.session.forget_what_is_gone();
        let tracing = self.session.screen.tracing.take();
        self.session.screen.tracing =
            tracing.filter(|id| self.session.document.as_ref().is_some_and(|d| d.job().contour(id).is_some()));
    }

    fn remove_chosen(&mut self) {
        let (name, edit) = match self.session.screen.chosen.take() {
            Some(Chosen::Hole(id)) => ("remove the hole", Edit::Remove(id)),
            Some(Chosen::RimPick { hole, index }) => ("remove the pick", Edit::RemoveRimPick { hole, index }),
            Some(Chosen::Point(id)) => ("remove the point", Edit::Remove(id)),
            Some(Chosen::Edge(id)) => ("remove the edge", Edit::Remove(id)),
            Some(Chosen::EdgePick { edge, index }) => {
                let edges = self.session.document.iter().flat_map(|document| &document.job().edges);
                // An edge without picks is nowhere: it goes with its last one.
                let is_last = edges.into_iter().any(|other| other.id == edge && other.along.len() == 1);
                let edit = if is_last { Edit::Remove(edge) } else { Edit::RemoveEdgePick { edge, index } };
                ("remove the pick", edit)
            }
            Some(Chosen::Added(id)) => ("remove what was added", Edit::Remove(id)),
            Some(Chosen::Statement(id)) => ("take back what was said", Edit::Remove(id)),
            Some(Chosen::Measure(id)) => ("remove the measure", Edit::Remove(id)),
            Some(Chosen::Node { contour, index }) => ("remove the node", Edit::RemoveNode { contour, index }),
            None => return,
        };
        self.edit(|history| history.apply(name, edit));
    }

    /// Goes to the next thing that there is something to say of: measures first, as on the sheet, then what findings are
    /// about.
    fn next_trouble(&mut self) {
        let Some(document) = &self.session.document else { return };
        let solution = &self.session.results.solution;
        let troubled = |verdict| matches!(verdict, MeasureVerdict::Disagrees | MeasureVerdict::Unchecked);
        let measures = solution.measures.iter().filter(|m| troubled(m.verdict)).map(|m| &m.id);
        let features = solution.findings.iter().flat_map(Finding::all_about);
        let features = features.filter(|id| Sort::of(document.job(), id).is_some());
        let mut ids: Vec<Id> = Vec::new();
        for id in measures.chain(features) {
            if !ids.contains(id) {
                ids.push(id.clone());
            }
        }
        let chosen = self.session.screen.chosen.as_ref().and_then(Chosen::whole);
        let after = chosen.and_then(|id| ids.iter().position(|other| other == id)).map_or(0, |at| at + 1);
        match ids.get(after % ids.len().max(1)) {
            Some(id) => {
                let is_edge = Sort::of(document.job(), id) == Some(Sort::Edge);
                let is_measure = document.job().measures.iter().any(|measure| measure.id == *id);
                // Holes are seen from every operation, and stay chosen in the one that is open.
                if is_edge || is_measure {
                    self.session.screen.operation = Operation::Measures;
                }
                crate::sheets::show_place(&mut self.session, id);
            }
            None => self.session.screen.said = Some("Nothing disagrees, and every measure is checked.".to_owned()),
        }
    }

    fn type_next(&mut self) {
        if let Some(next) = self.session.asked_next().cloned() {
            self.session.begin_measure(next);
        }
    }

    /// The hole or edge that is being picked, was begun by these clicks, and has too few of them.
    fn half_done(&self) -> Option<Id> {
        let screen = &self.session.screen;
        let begun = screen.begun.as_ref().filter(|_| screen.offers.is_none())?;
        let job = self.session.document.as_ref()?.job();
        let hole = job.hole(begun).filter(|hole| screen.picking.as_ref() == Some(begun) && hole.rim.len() < 3);
        let edge = || job.edges.iter().find(|edge| edge.id == *begun && edge.along.len() < PICKS_OF_AN_EDGE);
        let edge = edge().filter(|_| screen.picking_edge.as_ref() == Some(begun));
        (hole.is_some() || edge.is_some()).then(|| begun.clone())
    }

    /// Takes a half-done hole or edge back, in one step.
    fn take_back_half(&mut self, id: &Id) {
        let Some(document) = &self.session.document else { return };
        let name = document.job().feature_name(id).to_owned();
        let screen = &mut self.session.screen;
        (screen.begun, screen.chosen) = (None, None);
        self.edit(|history| history.apply(&format!("take {name} back"), Edit::Remove(id.clone())));
        self.session.screen.said = Some(format!("{name} is taken back: it was not finished."));
    }

    fn step_out(&mut self) {
        if self.canvas.drop_drag() {
            if let Some(document) = &mut self.session.document {
                document.history.drop_in_hand();
            }
            return;
        }
        let half = self.half_done();
        let screen = &mut self.session.screen;
        if screen.asking.is_some_and(Asking::is_of_path) {
            // Why it was asked again goes with the question.
            screen.error = None;
        }
        if screen.asking.take().is_some() || screen.error.take().is_some() {
            // The system's file window is no longer waited for; what is said to be under way goes on.
            if screen.working.is_none() {
                self.work.cancel();
            }
        } else if let Some(file) = self.file_to_come.take_if(|file| !file.is_being_written()) {
            self.work.cancel();
            screen.working = None;
            screen.said = Some(format!("Stopped: {} is not written.", file.called()));
        } else if self.file_to_come.is_some() {
            screen.said = Some("The file is being written: that cannot be stopped.".to_owned());
        } else if screen.working.take().is_some() {
            self.work.cancel();
            screen.said = Some("Stopped.".to_owned());
        } else if let Some(half) = half {
            self.take_back_half(&half);
        } else if std::mem::take(&mut screen.proposing) {
            screen.said = None;
        } else if screen.offers.take().is_none()
            && screen.proposal.take().is_none()
            && screen.picking_edge.take().is_none()
            && screen.stating.take().is_none()
            && screen.adding.take().is_none()
            && screen.draft.take().is_none()
            && screen.picking.take().is_none()
            && screen.tracing.take().is_none()
        {
            // At last the settings that lie over the photo in a small window.
            screen.route_open = screen.chosen.take().is_some() && screen.route_open;
        }
    }
}
