//! A program that is stopped, or has no room, leaves the file that it was to replace: whole, or the new one whole.
#![expect(clippy::unwrap_used, reason = "what fails here is a failed check")]
#![cfg(unix)]

use platewright_synth::Random;
use platewright_tests::{built_program, skip};
use std::fs;
use std::os::unix::fs::PermissionsExt as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::thread;
use std::time::{Duration, Instant};

/// Stops of the program in all.
const STOPS: usize = 200;
const OLD: &[u8] = b"what stood here before";

/// A job of four holes with their picks alone, two lengths and a drawn outline, on a grey photo. Nothing is looked for in it.
const JOB: &str = r#"{
  "format": "platewright-job", "version": 1, "title": "Milk valve flange",
  "photo": { "file": "flange.png", "sha256": "DIGEST", "size": [600, 450], "held": "levelled" },
  "holes": [
    { "id": "h1", "name": "H1", "rim": [[115, 100], [100, 115], [85, 100], [100, 85]], "measure_rim": false },
    { "id": "h2", "name": "H2", "rim": [[515, 100], [500, 115], [485, 100], [500, 85]], "measure_rim": false },
    { "id": "h3", "name": "H3", "rim": [[515, 350], [500, 365], [485, 350], [500, 335]], "measure_rim": false },
    { "id": "h4", "name": "H4", "rim": [[115, 350], [100, 365], [85, 350], [100, 335]], "measure_rim": false }
  ],
  "measures": [
    { "id": "m1", "kind": "far-rims", "between": ["h1", "h2"], "mm": 86.0, "sigma_mm": 0.05 },
    { "id": "m2", "kind": "far-rims", "between": ["h2", "h3"], "mm": 56.0, "sigma_mm": 0.05 }
  ],
  "contours": [
    { "id": "c1", "role": "outer", "closed": true, "follow_edge": false,
      "nodes": [ { "at": [50, 50], "kind": "corner", "next": "line" }, { "at": [550, 50], "kind": "corner", "next": "line" },
                 { "at": [550, 400], "kind": "corner", "next": "line" }, { "at": [50, 400], "kind": "corner", "next": "line" } ] }
  ]
}
"#;

/// A job in a folder of its own, and the program.
struct Shop {
    folder: tempfile::TempDir,
    program: PathBuf,
}

impl Shop {
    fn new() -> Self {
        let shop = Self { folder: tempfile::tempdir().unwrap(), program: built_program() };
        let photo = shop.at("flange.png");
        image::RgbImage::from_pixel(600, 450, image::Rgb([128; 3])).save(&photo).unwrap();
        let digest = platewright::files::load_photo(&photo).unwrap().sha256;
        fs::write(shop.at("flange.plate.json"), JOB.replace("DIGEST", &digest)).unwrap();
        fs::create_dir(shop.at("out")).unwrap();
        shop
    }

    fn at(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// The arguments that have `work` write `file`.
    fn args(&self, work: &str, file: &Path) -> Vec<String> {
        let mut args = vec![work.to_owned(), self.at("flange.plate.json").display().to_string()];
        args.extend(["-o".to_owned(), file.display().to_string()]);
        args.extend((work == "cut").then(|| "--even-so".to_owned()));
        args
    }

    fn command(&self, work: &str, file: &Path) -> Command {
        let mut command = Command::new(&self.program);
        command.args(self.args(work, file)).stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::piped());
        command
    }

    /// Files that were on their way to a name in `out`.
    fn on_their_way(&self) -> usize {
        let names =
            fs::read_dir(self.at("out")).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap());
        names.filter(|name| name.starts_with('.')).count()
    }
}

/// One kind of file, and when it is worth stopping the program.
struct Export {
    work: &'static str,
    file: PathBuf,
    /// What the file is when the program has its way.
    new: Vec<u8>,
    /// The moment that is tried next is drawn from 0 to a little over this: it moves to where the file is replaced.
    about: Duration,
    /// How often the file stayed the old one, and was the new one.
    stayed: usize,
    replaced: usize,
}

impl Export {
    fn new(shop: &Shop, work: &'static str, name: &str) -> Self {
        let file = shop.at("out").join(name);
        let started = Instant::now();
        let out = shop.command(work, &file).output().unwrap();
        assert!(out.status.success(), "{work}: {}", String::from_utf8_lossy(&out.stderr));
        let about = started.elapsed();
        Self { work, new: fs::read(&file).unwrap(), file, about, stayed: 0, replaced: 0 }
    }

    /// Starts the program, stops it at a moment drawn by chance, and looks at the file.
    fn stop(&mut self, shop: &Shop, random: &mut Random) {
        fs::write(&self.file, OLD).unwrap();
        let mut child = shop.command(self.work, &self.file).stderr(Stdio::null()).spawn().unwrap();
        thread::sleep(self.about.mul_f64(random.between(0.0, 1.25)));
        // One that has ended by itself cannot be stopped any more.
        let _ = child.kill();
        child.wait().unwrap();
        let found = fs::read(&self.file).unwrap();
        if found == OLD {
            self.stayed += 1;
            self.about = self.about.mul_f64(1.06);
        } else {
            assert!(
                found == self.new,
                "{}: {} bytes that are neither the old nor the new ones",
                self.work,
                found.len()
            );
            self.replaced += 1;
            self.about = self.about.mul_f64(0.94);
        }
    }
}

#[test]
fn a_program_stopped_at_any_moment_leaves_the_old_file_or_the_new_one() {
    let shop = Shop::new();
    let kinds = [
        ("cut", "flange.dxf"),
        ("proof", "flange.3mf"),
        ("flatten", "flange.png"),
        ("proof", "flange.pdf"),
        ("report", "report.pdf"),
    ];
    let mut exports = kinds.map(|(work, name)| Export::new(&shop, work, name));
    let mut random = Random::new(20);
    let mut most_left = 0;
    for number in 0..STOPS {
        exports[number % kinds.len()].stop(&shop, &mut random);
        most_left = most_left.max(shop.on_their_way());
    }
    for export in &exports {
        let Export { work, stayed, replaced, .. } = export;
        println!("{work}: {stayed} times the old file, {replaced} times the new one");
        assert!(*stayed > 5 && *replaced > 5, "{work}: both were seen, {stayed} and {replaced} times");
    }
    println!("at most {most_left} file left on its way");
    // Each run takes away what the one before left.
    assert!(most_left <= 1, "{most_left} were left");
    assert!(shop.command("cut", &exports[0].file).status().unwrap().success(), "left to itself");
    assert_eq!(shop.on_their_way(), 0, "nothing is left beside the files");
}

/// Runs `script` with the program and its arguments behind it, as `sh -c SCRIPT sh FOLDER PROGRAM ARGS...`: what it prints.
fn by_shell(shop: &Shop, script: &str, folder: &Path) -> String {
    let file = folder.join("flange.dxf");
    let out = Command::new("sh")
        .args(["-c", script, "sh"])
        .arg(folder)
        .arg(&shop.program)
        .args(shop.args("cut", &file))
        .output()
        .unwrap();
    String::from_utf8_lossy(&out.stdout).replace(&format!("{}/", folder.display()), "")
}

/// Runs the program, says how it ended, and what is in the folder then.
const LOOK: &str = r#"folder=$1; shift; echo old > "$folder/flange.dxf"; "$@" 2>&1; echo "code $?"; ls -A "$folder"; cat "$folder/flange.dxf""#;

#[test]
fn a_full_disk_gets_one_sentence_and_leaves_the_file() {
    let shop = Shop::new();
    let folder = shop.at("out");
    let mount = r#"mount -t tmpfs -o size=16k tmpfs "$1" 2>/dev/null || { echo none; exit 0; }; "#;
    let script = format!("unshare -m sh -c '{mount}{LOOK}' sh \"$@\" 2>/dev/null || echo none");
    let said = by_shell(&shop, &script, &folder);
    if said.trim() == "none" {
        return skip("no small disk can be made here; it takes the right to mount one");
    }
    let sentence = "flange.dxf: it could not be written: the disk is full. Choose another folder; nothing was changed.";
    assert_eq!(said, format!("{sentence}\ncode 1\nflange.dxf\nold\n"), "one sentence, and the old file alone");
}

#[test]
fn a_limit_on_the_size_of_files_gets_one_sentence_and_leaves_the_file() {
    let shop = Shop::new();
    // Without the trap the system stops the program, which cannot say anything then.
    let script = format!("{}{LOOK}", "trap '' XFSZ; ulimit -f 8; ");
    let said = by_shell(&shop, &script, &shop.at("out"));
    let why = "it is larger than a file may be there";
    let sentence = format!("flange.dxf: it could not be written: {why}. Choose another folder; nothing was changed.");
    assert_eq!(said, format!("{sentence}\ncode 1\nflange.dxf\nold\n"), "one sentence, and the old file alone");
}

#[test]
fn a_folder_that_may_not_be_written_gets_one_sentence_and_leaves_the_file() {
    let shop = Shop::new();
    let folder = shop.at("out");
    fs::write(folder.join("flange.dxf"), "old\n").unwrap();
    for (path, mode) in [(shop.folder.path(), 0o755), (folder.as_path(), 0o555)] {
        fs::set_permissions(path, fs::Permissions::from_mode(mode)).unwrap();
    }
    // For root every folder may be written: the program is run as nobody.
    let script = r#"folder=$1; shift; as=""; [ "$(id -u)" = 0 ] && as="setpriv --reuid=65534 --regid=65534 --clear-groups"
        $as test -x "$1" 2>/dev/null || { echo none; exit 0; }
        $as "$@" 2>&1; echo "code $?"; ls -A "$folder"; cat "$folder/flange.dxf""#;
    let said = by_shell(&shop, script, &folder);
    fs::set_permissions(&folder, fs::Permissions::from_mode(0o755)).unwrap();
    if said.trim() == "none" {
        return skip("the program cannot be run as somebody who may not write");
    }
    let sentence =
        "flange.dxf: it could not be written: permission is denied. Choose another folder; nothing was changed.";
    assert_eq!(said, format!("{sentence}\ncode 1\nflange.dxf\nold\n"), "one sentence, and the old file alone");
}
