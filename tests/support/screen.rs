//! A screen of its own with the workbench on it, and a hand on pointer and keys.
#![expect(clippy::unwrap_used, reason = "without the screen nothing can be checked")]

use crate::{built_program, judge};
use image::RgbImage;
use platewright_core::space::{PhotoPoint, PhotoVec};
use std::io::{BufRead as _, BufReader, Read as _};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

/// The window fills the screen; these are its pixels, and points.
const SIZE: [u32; 2] = [1440, 900];
/// Middle of the photo's part of the window, and how wide the photo is there when all of it is in sight, points.
const MIDDLE: [f64; 2] = [642.0, 456.0];
const WHOLE_PHOTO: f64 = 832.0;
/// The status line without the figures at its right, as it is cut out of a picture of the screen.
const STATUS: &str = "900x32+8+866";
/// Each press of + makes the photo this much larger.
const LARGER: f64 = 1.25;
const PRESSES: i32 = 12;
/// When to give up on something that should have been seen long ago.
const GIVE_UP: Duration = Duration::from_mins(2);

/// The screen and what runs on it.
#[derive(Debug)]
pub struct Screen {
    server: Child,
    program: Child,
    display: String,
    window: String,
    /// Size of the photo that is open, px.
    photo: [f64; 2],
    /// Where the photo lies: the photo point in the middle, and points per px.
    middle: PhotoPoint,
    zoom: f64,
}

impl Drop for Screen {
    fn drop(&mut self) {
        // Either may have ended by itself; there is nothing else to do then.
        let _ = self.program.kill();
        let _ = self.server.kill();
        let _ = self.program.wait();
        let _ = self.server.wait();
    }
}

fn there_is(program: &str) -> bool {
    let found = Command::new("sh").args(["-c", &format!("command -v {program}")]).stdout(Stdio::null()).status();
    found.is_ok_and(|status| status.success())
}

impl Screen {
    /// Starts a screen with the workbench on it, `job` open or nothing, its settings below `home`; `None` without the tools.
    ///
    /// # Panics
    /// Where the screen or the window does not come.
    pub fn open(home: &Path, job: Option<&Path>) -> Option<Self> {
        if !["Xvfb", "xdotool", "import", "convert", "tesseract"].into_iter().all(there_is) {
            return None;
        }
        let program = built_program();
        // Without -noreset the server starts anew whenever its last client leaves, and turns away whoever comes just then.
        let mut server = Command::new("Xvfb")
            .args([
                "-displayfd",
                "1",
                "-noreset",
                "-nolisten",
                "tcp",
                "-screen",
                "0",
                &format!("{}x{}x24", SIZE[0], SIZE[1]),
            ])
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        // The server names its display once it listens.
        let mut number = String::new();
        BufReader::new(server.stdout.take().unwrap()).read_line(&mut number).unwrap();
        let display = format!(":{}", number.trim());
        let program = Command::new(program)
            .arg("--frame-times")
            .args(job)
            .env("DISPLAY", &display)
            .env_remove("WAYLAND_DISPLAY")
            // One renderer for every picture and every frame time, whatever the machine has.
            .env("LIBGL_ALWAYS_SOFTWARE", "1")
            .env("GALLIUM_DRIVER", "llvmpipe")
            .env("XDG_CONFIG_HOME", home.join("config"))
            .env("XDG_DATA_HOME", home.join("data"))
            .env("XDG_STATE_HOME", home.join("state"))
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let mut screen = Self {
            server,
            program,
            display,
            window: String::new(),
            photo: [4000.0, 3000.0],
            middle: PhotoPoint::default(),
            zoom: 1.0,
        };
        screen.window = screen.until_some("the window is there", |screen| {
            let found = screen.xdotool(&["search", "--onlyvisible", "--name", "^Platewright"]);
            found.lines().next().map(str::to_owned)
        });
        screen.xdotool(&["windowfocus", "--sync", &screen.window]);
        Some(screen)
    }

    fn xdotool(&self, args: &[&str]) -> String {
        let out = Command::new("xdotool").args(args).env("DISPLAY", &self.display).output().unwrap();
        String::from_utf8_lossy(&out.stdout).into_owned()
    }

    fn until_some<T>(&self, what: &str, mut found: impl FnMut(&Self) -> Option<T>) -> T {
        let started = Instant::now();
        loop {
            if let Some(found) = found(self) {
                return found;
            }
            assert!(started.elapsed() < GIVE_UP, "waited in vain until {what}; on the screen:\n{}", self.text());
            std::thread::sleep(Duration::from_millis(50));
        }
    }

    /// Waits until `holds`.
    pub fn until(&self, what: &str, mut holds: impl FnMut() -> bool) {
        self.until_some(what, |_| holds().then_some(()));
    }

    /// The pixels of the screen.
    fn look(&self) -> Vec<u8> {
        let mut import = Command::new("import");
        import.args(["-window", "root", "rgb:-"]).env("DISPLAY", &self.display).output().unwrap().stdout
    }

    /// Waits until two looks at the screen are the same: what was done has been drawn.
    fn settle(&self) {
        let mut before = self.look();
        self.until_some("the screen is still", |screen| {
            std::thread::sleep(Duration::from_millis(80));
            let now = screen.look();
            let same = now == before;
            before = now;
            same.then_some(())
        });
    }

    /// Moves the pointer to where it does nothing: the title block.
    pub fn leave_with_pointer(&self) {
        self.move_to(&["400", "20"].map(str::to_owned));
    }

    /// What is on the screen.
    ///
    /// # Panics
    /// Where it cannot be seen.
    pub fn picture(&self) -> RgbImage {
        // Pages are made in the frame after the one that asks for them.
        self.settle();
        self.settle();
        let mut import = Command::new("import");
        let out = import.args(["-window", "root", "png:-"]).env("DISPLAY", &self.display).output().unwrap();
        image::load_from_memory(&out.stdout).unwrap().to_rgb8()
    }

    /// What stands on the screen, as far as it can be read; enlarged, since small type reads badly.
    fn text(&self) -> String {
        let read = "import -window root -crop 372x816+1068+48 png:- | convert png:- -colorspace Gray -resize 300% png:- \
                    | tesseract - - --psm 6 2>/dev/null; import -window root png:- | convert png:- -colorspace Gray \
                    -resize 200% png:- | tesseract - - --psm 11 2>/dev/null";
        let out = Command::new("sh").args(["-c", read]).env("DISPLAY", &self.display).output().unwrap();
        String::from_utf8_lossy(&out.stdout).into_owned()
    }

    /// Reads the screen until something is found on it.
    pub fn read_until<T>(&self, find: impl Fn(&str) -> Option<T>) -> T {
        self.until_some("it stands on the screen", |screen| find(&screen.text()))
    }

    /// Waits until `text` stands on the screen.
    pub fn wait_for_text(&self, text: &str) {
        self.until_some(&format!("‘{text}’ stands on the screen"), |screen| {
            screen.text().contains(text).then_some(())
        });
    }

    /// Presses a key or a chord.
    pub fn key(&self, key: &str) {
        self.xdotool(&["key", key]);
        self.settle();
    }

    /// Presses a key after which something else is shown, and waits for it.
    pub fn change_by(&self, key: &str) {
        let before = self.look();
        self.xdotool(&["key", key]);
        self.until_some("something else is shown", |screen| (screen.look() != before).then_some(()));
        self.settle();
    }

    /// Types.
    pub fn type_text(&self, text: &str) {
        self.xdotool(&["type", "--delay", "20", text]);
        self.settle();
    }

    fn point(&self, place: PhotoPoint) -> [String; 2] {
        let step = (place - self.middle) * self.zoom;
        [MIDDLE[0] + step.x, MIDDLE[1] + step.y].map(|value| value.round().to_string())
    }

    fn move_to(&self, [x, y]: &[String; 2]) {
        self.xdotool(&["mousemove", "--sync", x, y]);
        self.settle();
    }

    /// A photo of this size is open, px; it is one of 4:3.
    pub fn photo_is(&mut self, size: [u32; 2]) {
        self.photo = size.map(f64::from);
    }

    /// Shows the whole photo, drags `place` into the middle, and zooms in.
    pub fn look_at(&mut self, place: PhotoPoint) {
        let [width, height] = self.photo;
        let whole = WHOLE_PHOTO / width;
        let photo_middle = PhotoPoint::new((width - 1.0) / 2.0, (height - 1.0) / 2.0);
        let step = (photo_middle - place) * whole;
        let step = PhotoVec::new(step.x.round(), step.y.round());
        self.key("0");
        let at = |x: f64, y: f64| [x, y].map(|value| value.round().to_string());
        self.move_to(&at(MIDDLE[0], MIDDLE[1]));
        self.xdotool(&["mousedown", "2"]);
        self.move_to(&at(MIDDLE[0] + step.x / 2.0, MIDDLE[1] + step.y / 2.0));
        self.move_to(&at(MIDDLE[0] + step.x, MIDDLE[1] + step.y));
        self.xdotool(&["mouseup", "2"]);
        for _ in 0..PRESSES {
            self.key("plus");
        }
        self.middle = photo_middle - step * (1.0 / whole);
        self.zoom = whole * LARGER.powi(PRESSES);
    }

    /// Shows the whole photo, which it is when nothing was zoomed: places are those of it from now on.
    pub fn whole_photo(&mut self) {
        let [width, height] = self.photo;
        self.middle = PhotoPoint::new((width - 1.0) / 2.0, (height - 1.0) / 2.0);
        self.zoom = WHOLE_PHOTO / width;
    }

    /// What stands in the status line, from its left end as far as the figures at its right.
    pub fn status(&self) -> String {
        self.read(STATUS, "-resize 300%", "7")
    }

    /// Reads the status line until something is found in it.
    pub fn status_until<T>(&self, what: &str, find: impl Fn(&str) -> Option<T>) -> T {
        self.until_some(what, |screen| find(&screen.status()))
    }

    /// Clicks beside or on words of a panel, `beside` points to the right of where they begin.
    pub fn click_words(&self, [x, y, width, height]: [u32; 4], words: &str, beside: f64) {
        const LARGER: u32 = 3;
        let rows = self.until_some(&format!("‘{words}’ is there to be clicked"), |screen| {
            let crop = format!("{width}x{height}+{x}+{y}");
            let look = format!("-resize {}%", 100 * LARGER);
            // As one block, and as scattered words: neither finds all.
            ["6 tsv", "11 tsv"].iter().find_map(|layout| words_at(&screen.read(&crop, &look, layout), words))
        });
        let [left, middle] = rows.map(|value| value / f64::from(LARGER));
        let at = [f64::from(x) + left + beside, f64::from(y) + middle];
        self.move_to(&at.map(|value| value.round().to_string()));
        self.xdotool(&["click", "1"]);
        self.settle();
    }

    /// A part of the screen as tesseract reads it: `layout` is its page mode, and what else it is told.
    fn read(&self, crop: &str, look: &str, layout: &str) -> String {
        let read = format!(
            "import -window root -crop {crop} png:- | convert png:- +repage -colorspace Gray {look} png:- | \
             tesseract - - --psm {layout} 2>/dev/null"
        );
        let out = Command::new("sh").args(["-c", &read]).env("DISPLAY", &self.display).output().unwrap();
        String::from_utf8_lossy(&out.stdout).into_owned()
    }

    /// Clicks on a place of the photo.
    pub fn click(&self, place: PhotoPoint) {
        self.move_to(&self.point(place));
        self.xdotool(&["click", "1"]);
        self.settle();
    }

    /// Drags from one place of the photo to another.
    pub fn drag(&self, from: PhotoPoint, to: PhotoPoint) {
        self.move_to(&self.point(from));
        self.xdotool(&["mousedown", "1"]);
        for step in 1..=4 {
            self.move_to(&self.point(from.lerp(to, f64::from(step) / 4.0)));
        }
        self.xdotool(&["mouseup", "1"]);
        self.settle();
    }

    /// Saves, again and again, until the saved job is as it should be.
    pub fn save_until(&self, mut holds: impl FnMut() -> bool) {
        self.until_some("the saved job is as it should be", |screen| {
            screen.key("ctrl+s");
            holds().then_some(())
        });
    }

    /// Closes the window as a window manager does, and prints its frame times.
    ///
    /// # Panics
    /// Where it does not close in peace.
    #[expect(clippy::print_stdout, reason = "the frame times are the point")]
    pub fn close(mut self) {
        if judge("close_window.py", &[&self.window, &self.display], "").is_none() {
            return;
        }
        let status = self.program.wait().unwrap();
        assert!(status.success(), "the window closes in peace");
        let mut text = String::new();
        self.program.stdout.take().unwrap().read_to_string(&mut text).unwrap();
        println!("The real window, drawn by the software renderer llvmpipe: {}", text.trim());
    }
}

/// Where words that follow each other in a row begin, and the middle of their height, in a table of words as tesseract
/// prints it: level, page, block, paragraph, line, word, left, top, width, height, confidence, text.
fn words_at(table: &str, words: &str) -> Option<[f64; 2]> {
    let rows: Vec<(f64, f64, &str)> = table
        .lines()
        .filter_map(|line| {
            let cells: Vec<&str> = line.split('\t').collect();
            let number = |index: usize| cells.get(index)?.parse::<f64>().ok();
            Some((number(6)?, number(7)? + number(9)? / 2.0, *cells.get(11)?))
        })
        .filter(|(.., text)| !text.trim().is_empty())
        .collect();
    let wanted: Vec<&str> = words.split_whitespace().collect();
    let found =
        rows.windows(wanted.len()).find(|row| row.iter().zip(&wanted).all(|((.., text), word)| text == word))?;
    Some([found[0].0, found[0].1])
}
