//! Opening the window itself, and what a machine without one is told.

use super::Workbench;
use crate::files::Places;
use crate::session::Session;
use std::path::PathBuf;

/// The name in the window's title and to the window system.
pub(super) const TITLE: &str = "Platewright";

/// Opens the window and returns when it is closed; with `frame_times` it then prints how long its frames took.
///
/// # Errors
/// One sentence where there is no display or no graphics driver.
pub fn open(path: Option<PathBuf>, frame_times: bool) -> Result<(), String> {
    let options = eframe::NativeOptions {
        renderer: eframe::Renderer::Glow,
        viewport: egui::ViewportBuilder::default()
            .with_title(TITLE)
            .with_app_id("platewright")
            .with_inner_size([1440.0, 900.0])
            .with_min_inner_size([720.0, 450.0])
            .with_drag_and_drop(true),
        ..Default::default()
    };
    let mut session = Session::start(Places::usual());
    if session.places.recovery.is_none() {
        let said = "No copy of unsaved work is kept: this account has no folder of its own. Save often.";
        session.screen.said = Some(said.to_owned());
    }
    let workbench = move |cc: &eframe::CreationContext<'_>| {
        let mut workbench = Workbench::new(&cc.egui_ctx, session, path);
        if frame_times {
            workbench.note_frame_times();
        }
        workbench
    };
    eframe::run_native(TITLE, options, Box::new(|cc| Ok(Box::new(workbench(cc))))).map_err(|error| sentence(&error))
}

/// What went wrong, in the words of someone who wanted a window.
fn sentence(error: &eframe::Error) -> String {
    match error {
        eframe::Error::Winit(_) | eframe::Error::WinitEventLoop(_) => {
            "There is no display to open a window on. Use ‘platewright solve JOB’ and ‘platewright cut JOB -o \
             FILE.dxf’, which need none."
                .to_owned()
        }
        eframe::Error::Glutin(_) | eframe::Error::NoGlutinConfigs(..) | eframe::Error::OpenGL(_) => {
            "The display has no graphics driver that draws with OpenGL. Install one (on Debian: libgl1-mesa-dri), or \
             use ‘platewright solve JOB’, which needs none."
                .to_owned()
        }
        other @ eframe::Error::AppCreation(_) => {
            format!("The window did not open: {other}. ‘platewright solve JOB’ needs none.")
        }
    }
}
