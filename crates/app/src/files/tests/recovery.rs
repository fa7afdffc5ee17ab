//! Copies of unsaved work: who holds them, what is left of them, and what is not.

use super::*;
use crate::files::recovery::{About, Leftover, Slot, leftovers};
use std::ffi::OsStr;
use std::time::{Duration, SystemTime};

/// A saved job, the same with a change, and where copies are kept.
struct Shop {
    folder: tempfile::TempDir,
    path: PathBuf,
    saved: Job,
    changed: Job,
}

impl Shop {
    fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let (path, saved) = job_with_photo(folder.path());
        let changed = Job { title: "Vat lid".to_owned(), ..saved.clone() };
        Self { folder, path, saved, changed }
    }

    fn recovery(&self) -> PathBuf {
        self.folder.path().join("state/recovery")
    }

    fn about(&self) -> About {
        About::new(Some(&self.path), &self.folder.path().join("a.jpg"), None)
    }

    /// A slot with a copy of the changed job.
    fn slot(&self) -> Slot {
        let slot = Slot::new(&self.recovery(), &self.about()).unwrap();
        slot.keep(&self.changed).unwrap();
        slot
    }

    fn left(&self) -> Vec<Leftover> {
        leftovers(&self.recovery())
    }

    fn files(&self) -> usize {
        fs::read_dir(self.recovery()).unwrap().count()
    }
}

#[test]
fn work_is_left_when_its_process_is_gone_and_not_before() {
    let shop = Shop::new();
    let slot = shop.slot();
    assert_eq!(shop.left(), [], "its process lives");
    drop(slot);
    let left = shop.left();
    assert_eq!(left.len(), 1, "now it is left");
    assert_eq!(
        (left[0].title.as_str(), &left[0].path),
        ("Vat lid", &Some(shop.path.clone())),
        "with its name and file"
    );
    let (slot, _, job) = left[0].take().unwrap();
    assert_eq!(job, shop.changed, "the copy is the job as it stood");
    assert_eq!(shop.left(), [], "who goes on with it holds it");
    let said = left[0].take().unwrap_err().to_string();
    assert!(said.ends_with("another window has gone on with this work. Look there."), "{said}");
    drop(slot);
    left[0].throw_away().unwrap();
    assert_eq!((shop.left(), shop.files()), (Vec::new(), 0), "thrown away with all that belongs to it");
}

#[test]
fn a_copy_that_says_what_the_file_says_is_no_unsaved_work() {
    let shop = Shop::new();
    let slot = shop.slot();
    let mut same = shop.saved.clone();
    same.photo.file = "/another/way/to/it.jpg".to_owned();
    slot.keep(&same).unwrap();
    drop(slot);
    assert_eq!((shop.left(), shop.files()), (Vec::new(), 0), "it is taken away");
}

#[test]
fn a_job_that_was_open_and_unchanged_leaves_nothing() {
    let shop = Shop::new();
    let slot = shop.slot();
    slot.clear().unwrap();
    drop(slot);
    assert_eq!((shop.left(), shop.files()), (Vec::new(), 0), "it is taken away");
    shop.slot().end().unwrap();
    assert_eq!(shop.files(), 0, "nor does one that was closed on purpose");
}

#[test]
fn a_clock_that_jumped_hides_nothing_and_keeps_nothing_alive() {
    let shop = Shop::new();
    for kept in [SystemTime::UNIX_EPOCH, SystemTime::now() + Duration::from_secs(400_000_000)] {
        let living = shop.slot();
        drop(shop.slot());
        for entry in fs::read_dir(shop.recovery()).unwrap() {
            fs::File::options().append(true).open(entry.unwrap().path()).unwrap().set_modified(kept).unwrap();
        }
        let left = shop.left();
        assert_eq!(left.len(), 1, "the one whose process is gone, whatever the time is said to be");
        assert_eq!(left[0].kept, kept, "with the time as it was said");
        left[0].throw_away().unwrap();
        living.end().unwrap();
    }
}

#[test]
fn work_is_found_whatever_is_missing_beside_it() {
    let shop = Shop::new();
    drop(shop.slot());
    for entry in fs::read_dir(shop.recovery()).unwrap().map(|entry| entry.unwrap().path()) {
        if !entry.to_str().unwrap().ends_with(JOB_EXTENSION) {
            fs::remove_file(entry).unwrap();
        }
    }
    let left = shop.left();
    assert_eq!(left.len(), 1, "a copy alone is work");
    assert_eq!((left[0].title.as_str(), &left[0].path), ("Vat lid", &None), "nobody knows of which file");
    assert_eq!(left[0].take().unwrap().2, shop.changed, "and it is whole");
}

#[cfg(unix)]
#[test]
fn paths_that_are_no_text_are_kept_too() {
    use std::os::unix::ffi::OsStrExt as _;
    let shop = Shop::new();
    let path = shop.folder.path().join(OsStr::from_bytes(b"vat\xff.plate.json"));
    let slot = Slot::new(&shop.recovery(), &About::new(Some(&path), Path::new("/photos/a.jpg"), None)).unwrap();
    slot.keep(&shop.changed).unwrap();
    drop(slot);
    assert_eq!(shop.left()[0].path, Some(path), "byte for byte");
}

#[test]
fn where_nothing_can_be_kept_it_is_said_in_one_sentence() {
    let shop = Shop::new();
    fs::write(shop.folder.path().join("state"), b"no folder").unwrap();
    let said = Slot::new(&shop.recovery(), &shop.about()).unwrap_err().to_string();
    assert!(said.starts_with(&shop.recovery().display().to_string()), "{said}");
    assert!(said.ends_with(": no copy of unsaved work is kept here: there is no such folder. Save often."), "{said}");
    assert_eq!(shop.left(), [], "and nothing is left there");
}
