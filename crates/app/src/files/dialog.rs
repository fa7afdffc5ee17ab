//! The system's file dialog, where there is one.
use crate::work::Purpose;
use std::path::{Path, PathBuf};

/// What the names of photos and jobs end in. Some systems tell large letters from small ones.
const OPENED: [&str; 19] = [
    "jpg", "jpeg", "JPG", "JPEG", "heic", "heif", "HEIC", "HEIF", "hif", "HIF", "png", "PNG", "tif", "tiff", "TIF",
    "TIFF", "webp", "WEBP", "json",
];
/// The same without jobs.
pub(super) const PHOTOS: &[&str] = OPENED.split_at(OPENED.len() - 1).0;

/// Asks for a file; `None` where the person chose none or the system has no dialog.
pub fn ask(purpose: Purpose, suggested: &Path) -> Option<PathBuf> {
    if cfg!(test) {
        // Nobody is there to answer, and a developer's desktop must not fill with file windows.
        return None;
    }
    let mut dialog = rfd::FileDialog::new();
    if let Some(folder) = suggested.parent().filter(|folder| folder.is_dir()) {
        dialog = dialog.set_directory(folder);
    }
    if let Some(name) = suggested.file_name() {
        dialog = dialog.set_file_name(name.to_string_lossy());
    }
    match purpose {
        Purpose::Open => dialog.set_title("Open a photo or a job").add_filter("Photos and jobs", &OPENED).pick_file(),
        Purpose::FindPhoto => dialog.set_title("Show where the photo is").add_filter("Photos", PHOTOS).pick_file(),
        Purpose::Save => dialog.set_title("Save the job").add_filter("Job", &["json"]).save_file(),
        Purpose::Write(export) => {
            let extension = export.extension();
            let title = format!("Write {}", export.called());
            dialog.set_title(title).add_filter(extension.to_uppercase(), &[extension]).save_file()
        }
    }
}
