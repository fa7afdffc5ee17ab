//! What is asked before a job is opened, and photos that are not where their job has them.

use super::*;
use crate::files::opening::{Beside, Held, LostPhoto, NotOpened, Opening, PhotoTrouble, said_of_photo};
use crate::files::recovery::{About, Slot};

/// What is asked before it is opened.
#[track_caller]
fn held(opening: Opening, recovery: Option<&Path>) -> Held {
    match opening.open(recovery) {
        Err(NotOpened::Held(held)) => *held,
        Err(NotOpened::Failed(failed)) => panic!("it fails: {}", failed.1),
        Ok(_) => panic!("it opens"),
    }
}

#[track_caller]
fn lost(opening: Opening) -> LostPhoto {
    match held(opening, None) {
        Held::Photo(lost) => lost,
        other => panic!("it asks for something else: {other:?}"),
    }
}

/// A picture of that size which is not the job's.
fn another(width: u32, height: u32) -> Vec<u8> {
    let mut bytes = Vec::new();
    let grey = RgbImage::from_pixel(width, height, image::Rgb([90; 3]));
    JpegEncoder::new_with_quality(&mut bytes, 95).encode_image(&grey).unwrap();
    bytes
}

#[test]
fn a_job_that_another_window_has_open_is_asked_about() {
    let folder = tempfile::tempdir().unwrap();
    let (path, job) = job_with_photo(folder.path());
    let recovery = folder.path().join("recovery");
    let first = Opening::file(path.clone()).open(Some(&recovery)).unwrap();
    assert!(first.slot.is_some(), "the first holds it");
    // By another way to the same file.
    let other_way = folder.path().join("recovery/../a.plate.json");
    let Held::Elsewhere(opening) = held(Opening::file(other_way), Some(&recovery)) else { panic!("it is asked about") };
    let copy = Opening { beside: Beside::AsCopy, ..opening.clone() }.open(Some(&recovery)).unwrap();
    assert_eq!((copy.path, copy.saved, &copy.job), (None, None, &job), "a copy has no file yet");
    let even_so = Opening { beside: Beside::EvenSo, ..opening.clone() }.open(Some(&recovery)).unwrap();
    assert!(even_so.path.is_some() && even_so.in_file.is_some(), "even so it has its file");
    drop((first, even_so));
    opening.open(Some(&recovery)).expect("nobody has it open any more");
}

#[test]
fn work_left_on_a_job_or_on_a_photo_that_was_never_saved_is_asked_about() {
    let folder = tempfile::tempdir().unwrap();
    let (path, job) = job_with_photo(folder.path());
    let (recovery, photo) = (folder.path().join("recovery"), folder.path().join("a.jpg"));
    for own in [Some(path.as_path()), None] {
        let slot = Slot::new(&recovery, &About::new(own, &photo, None)).unwrap();
        let mut changed = Job { title: "Vat lid".to_owned(), ..job.clone() };
        changed.photo.file = photo.display().to_string();
        slot.keep(&changed).unwrap();
        drop(slot);
        let opened = own.map_or_else(|| photo.clone(), Path::to_path_buf);
        let Held::Left(_, left) = held(Opening::file(opened), Some(&recovery)) else { panic!("it is asked about") };
        let back = Opening::left(left.clone()).open(Some(&recovery)).unwrap();
        assert_eq!((back.job.title.as_str(), back.path.as_deref(), back.is_left), ("Vat lid", own, true), "it is back");
        assert_eq!(back.saved.as_ref(), own.map(|_| &job), "and differs from what is in its file");
        drop(back);
        left.throw_away().unwrap();
    }
}

#[test]
fn a_folder_that_is_moved_takes_its_photo_along() {
    let folder = tempfile::tempdir().unwrap();
    fs::create_dir_all(folder.path().join("old/photos")).unwrap();
    let (made, mut job) = job_with_photo(&folder.path().join("old/photos"));
    fs::remove_file(made).unwrap();
    let path = folder.path().join("old/lid.plate.json");
    let photo = folder.path().join("old/photos/a.jpg");
    job.photo.file = save_job(&job, &photo, &path).unwrap().photo_file;
    assert_eq!(job.photo.file, "photos/a.jpg", "relative");
    fs::rename(folder.path().join("old"), folder.path().join("new")).unwrap();
    let opened = Opening::file(folder.path().join("new/lid.plate.json")).open(None).unwrap();
    assert_eq!((Some(&opened.job), &opened.job), (opened.saved.as_ref(), &job), "nothing had to be mended");
    assert!(opened.photo.path.starts_with(folder.path().join("new")), "{}", opened.photo.path.display());
}

#[test]
fn a_photo_beside_its_job_is_found_by_itself_and_its_place_mended() {
    for named in ["photos/a.jpg", "/gone/a.jpg", "C:\\photos\\a.jpg", "../a.jpg"] {
        let folder = tempfile::tempdir().unwrap();
        let (path, mut job) = job_with_photo(folder.path());
        job.photo.file = named.to_owned();
        fs::write(&path, job::write(&job)).unwrap();
        let opened = Opening::file(path).open(None).unwrap();
        assert_eq!(opened.job.photo.file, "a.jpg", "from {named}");
        assert_eq!(opened.saved, Some(job), "which the file does not say yet");
        let said = said_of_photo(opened.saved.as_ref(), &opened.job).unwrap();
        assert_eq!(said, "The photo was found at a.jpg. Save the job to have it remembered.");
    }
}

#[test]
fn a_photo_is_taken_wherever_it_is_shown_and_only_that_one() {
    let folder = tempfile::tempdir().unwrap();
    let (path, job) = job_with_photo(folder.path());
    fs::create_dir(folder.path().join("camera")).unwrap();
    fs::rename(folder.path().join("a.jpg"), folder.path().join("camera/roll.jpg")).unwrap();
    let missing = lost(Opening::file(path));
    assert_eq!(missing.sentence(), "The photo a.jpg is not where this job has it.");
    assert_eq!(
        (missing.looked_at.clone(), missing.size),
        (folder.path().join("a.jpg"), [64, 48]),
        "what it looked for"
    );

    let show = |name: &str| missing.clone().with(folder.path().join(name));
    let at = |name: &str| folder.path().join(name).display().to_string();
    put(folder.path(), "same.jpg", &another(64, 48));
    put(folder.path(), "large.jpg", &another(80, 60));
    put(folder.path(), "list.txt", b"no picture");
    let said = |name: &str| (lost(show(name)).trouble == PhotoTrouble::Other, lost(show(name)).sentence());
    assert_eq!(said("same.jpg"), (true, "same.jpg is not the photo a.jpg this job was made with.".to_owned()));
    let size = "it has 80 × 60 px, and that one had 64 × 48 px.";
    assert_eq!(said("large.jpg"), (false, format!("large.jpg is not the photo this job was made with: {size}")));
    let kinds = "JPEG, PNG, TIFF, WebP and HEIC are. Export it as JPEG.";
    let no_picture = format!("{}: this is no picture that is read here; {kinds}", at("list.txt"));
    assert_eq!(said("list.txt"), (false, no_picture));
    assert_eq!(said("camera"), (false, format!("{}: this is a folder. Name a file.", at("camera"))));
    assert_eq!(said("nothing.jpg"), (false, format!("There is no file {}.", at("nothing.jpg"))));

    let opened = show("camera/roll.jpg").open(None).unwrap();
    assert_eq!(opened.job.photo.file, "camera/roll.jpg", "the right one, by whatever name");
    assert_eq!(opened.job.photo.sha256, job.photo.sha256, "it is the same photo");
}

#[test]
fn the_only_photo_of_its_size_beside_the_job_is_offered() {
    let folder = tempfile::tempdir().unwrap();
    let (path, job) = job_with_photo(folder.path());
    let renamed = folder.path().join("renamed.jpg");
    fs::rename(folder.path().join("a.jpg"), &renamed).unwrap();
    put(folder.path(), "large.jpg", &another(80, 60));
    put(folder.path(), "broken.jpg", b"no picture");
    put(folder.path(), "list.txt", &another(64, 48));
    let offered = lost(Opening::file(path.clone()));
    assert_eq!(offered.beside.as_ref(), Some(&renamed), "what is larger, damaged or no picture is none");
    let opened = offered.with(renamed.clone()).open(None).unwrap();
    assert_eq!(opened.job.photo.sha256, job.photo.sha256, "it is the job's own, under another name");
    put(folder.path(), "second.jpg", &another(64, 48));
    assert_eq!(lost(Opening::file(path.clone())).beside, None, "nobody knows which of two is meant");
    fs::remove_file(renamed).unwrap();
    let shown = Opening { photo: Some(folder.path().join("second.jpg")), ..Opening::file(path) };
    let other = lost(shown);
    assert_eq!((other.trouble, other.beside), (PhotoTrouble::Other, None), "what was shown is not offered again");
}

#[test]
fn another_photo_of_the_same_size_is_taken_if_the_person_says_so() {
    let folder = tempfile::tempdir().unwrap();
    let (path, job) = job_with_photo(folder.path());
    put(folder.path(), "a.jpg", &another(64, 48));
    let other = lost(Opening::file(path));
    assert_eq!(other.sentence(), "The photo a.jpg is not the one this job was made with.");
    assert_eq!(other.way_out(), "Show where the right one is, or take this one and check every rim.");
    let opened = other.even_so().open(None).unwrap();
    assert_ne!(opened.job.photo.sha256, job.photo.sha256, "the job is on the other photo now");
    assert_eq!(
        (opened.job.photo.file.as_str(), opened.saved.as_ref()),
        ("a.jpg", Some(&job)),
        "which its file does not say"
    );
    let said = said_of_photo(opened.saved.as_ref(), &opened.job).unwrap();
    assert!(said.starts_with("This is another photo than the job was made with: check every rim"), "{said}");
}

#[test]
fn a_file_is_known_by_what_it_holds() {
    let folder = tempfile::tempdir().unwrap();
    let (path, job) = job_with_photo(folder.path());
    let photo = folder.path().join("a.jpg");
    let known = save_job(&job, &photo, &path).unwrap().in_file;
    assert!(!has_changed(&path, Some(&known)), "as it was saved");
    // The same bytes at another time are no change, and other bytes at the same time are one.
    let at = fs::metadata(&path).unwrap().modified().unwrap();
    let set = |time| fs::File::options().append(true).open(&path).unwrap().set_modified(time).unwrap();
    set(std::time::SystemTime::UNIX_EPOCH);
    assert!(!has_changed(&path, Some(&known)), "the clock has no say");
    save_job(&Job { title: "Lid".to_owned(), ..job }, &photo, &path).unwrap();
    set(at);
    assert!(has_changed(&path, Some(&known)), "somebody else has written it");
    fs::remove_file(&path).unwrap();
    assert!(!has_changed(&path, Some(&known)), "one that is gone loses nothing by being written");
}

#[test]
fn a_name_that_is_taken_gets_a_number() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("vat.lid.plate.json");
    assert_eq!(free_name(path.clone()), path, "nobody has it");
    fs::write(&path, b"").unwrap();
    assert_eq!(free_name(path), folder.path().join("vat.lid-2.plate.json"));
}
