//! The workbench without a display, over a job in a folder of its own, for a process that plays the person.

use egui_kittest::{Harness, HarnessBuilder};
use platewright::files::Places;
use platewright::session::Session;
use platewright::window::Workbench;
use platewright_core::job::Job;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// When to give up on something that should have been seen long ago.
pub(crate) const GIVE_UP: Duration = Duration::from_mins(2);

/// Names the folder that a played person works in.
const FOLDER: &str = "PLATEWRIGHT_PLAYED_FOLDER";

/// A job of four holes with their picks alone, two lengths and a drawn outline, on a grey photo.
const JOB: &str = r#"{
  "format": "platewright-job", "version": 1, "title": "Milk valve flange",
  "photo": { "file": "flange.png", "sha256": "DIGEST", "size": [600, 450], "held": "levelled" },
  "holes": [
    { "id": "h1", "name": "H1", "rim": [[135, 120], [120, 135], [105, 120], [120, 105]], "measure_rim": false },
    { "id": "h2", "name": "H2", "rim": [[495, 120], [480, 135], [465, 120], [480, 105]], "measure_rim": false },
    { "id": "h3", "name": "H3", "rim": [[495, 330], [480, 345], [465, 330], [480, 315]], "measure_rim": false },
    { "id": "h4", "name": "H4", "rim": [[135, 330], [120, 345], [105, 330], [120, 315]], "measure_rim": false }
  ],
  "measures": [
    { "id": "m1", "kind": "far-rims", "between": ["h1", "h2"], "mm": 78.0, "sigma_mm": 0.05 },
    { "id": "m2", "kind": "far-rims", "between": ["h2", "h3"], "mm": 48.0, "sigma_mm": 0.05 }
  ],
  "contours": [
    { "id": "c1", "role": "outer", "closed": true, "follow_edge": false,
      "nodes": [ { "at": [60, 60], "kind": "corner", "next": "line" }, { "at": [540, 60], "kind": "corner", "next": "line" },
                 { "at": [540, 390], "kind": "corner", "next": "line" }, { "at": [60, 390], "kind": "corner", "next": "line" } ] }
  ]
}
"#;

/// Where things lie in the folder of a played person.
#[derive(Debug, Clone)]
pub(crate) struct Shop {
    pub(crate) folder: PathBuf,
}

impl Shop {
    /// The job with its photo in `folder`.
    pub(crate) fn made_in(folder: &Path) -> Self {
        let shop = Self { folder: folder.to_path_buf() };
        image::RgbImage::from_pixel(600, 450, image::Rgb([128; 3])).save(shop.photo()).unwrap();
        let digest = platewright::files::load_photo(&shop.photo()).unwrap().sha256;
        fs::write(shop.job(), JOB.replace("DIGEST", &digest)).unwrap();
        shop
    }

    /// The one that a played person works in; `None` where nobody plays.
    pub(crate) fn played() -> Option<Self> {
        std::env::var_os(FOLDER).map(|folder| Self { folder: PathBuf::from(folder) })
    }

    pub(crate) fn photo(&self) -> PathBuf {
        self.folder.join("flange.png")
    }

    pub(crate) fn job(&self) -> PathBuf {
        self.folder.join("flange.plate.json")
    }

    pub(crate) fn places(&self) -> Places {
        Places::below(&self.folder.join("account"))
    }

    /// The command that has the ignored test `name` of this very program play in this folder.
    pub(crate) fn player(&self, name: &str) -> Command {
        let mut command = Command::new(std::env::current_exe().unwrap());
        command.args(["--exact", name, "--ignored", "--nocapture", "--test-threads", "1"]);
        command.env(FOLDER, &self.folder).stdin(Stdio::null());
        command
    }

    /// The workbench with what is at `path` open.
    pub(crate) fn bench(&self, path: PathBuf) -> Bench {
        let session = Session::start(self.places());
        let harness = HarnessBuilder::default()
            .with_size([1440.0, 900.0])
            .with_pixels_per_point(1.0)
            .with_step_dt(1.0 / 60.0)
            .build_eframe(|cc| Workbench::new(&cc.egui_ctx, session, Some(path)));
        let mut bench = Bench { harness };
        bench.until("it is open", |bench| bench.session().document.is_some());
        bench
    }
}

/// The workbench in the hands of a played person.
pub(crate) struct Bench {
    pub(crate) harness: Harness<'static, Workbench>,
}

impl Bench {
    pub(crate) fn session(&self) -> &Session {
        &self.harness.state().session
    }

    pub(crate) fn job(&self) -> &Job {
        self.session().document.as_ref().unwrap().job()
    }

    /// Frames until `holds`.
    pub(crate) fn until(&mut self, what: &str, holds: impl Fn(&Self) -> bool) {
        let started = Instant::now();
        while !holds(self) {
            assert!(started.elapsed() < GIVE_UP, "waited in vain until {what}: {:?}", self.session().screen.error);
            std::thread::sleep(Duration::from_millis(2));
            self.harness.step();
        }
    }
}
