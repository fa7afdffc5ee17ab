//! The workbench where nothing can be written: a full disk, a job folder and an account that may only be read. It says so
//! in a sentence, the file is as it was, and work goes on.
#![expect(clippy::unwrap_used, reason = "what fails here is a failed check")]
#![cfg(unix)]

mod bench;

use bench::Shop;
use platewright::command::{Action, Command};
use platewright_core::job::Edit;
use platewright_tests::skip;
use std::fs;
use std::os::unix::fs::PermissionsExt as _;
use std::path::Path;

/// A line that the player prints begins so.
const MARK: &str = "## ";

#[test]
#[ignore = "it plays the person in a process of its own, which the checks below start where nothing can be written"]
#[expect(clippy::print_stdout, reason = "what the window says is what the checks read")]
fn somebody_saves() {
    let Some(shop) = Shop::played() else { return };
    let mut bench = shop.bench(shop.job());
    let opened = bench.session().screen.said.clone().unwrap_or_default();
    if fs::write(shop.folder.join("rest"), vec![0; 1 << 20]).is_ok() {
        println!("\n{MARK}there is room");
    }
    let rename = |title: &str| Command::Edit("name it".to_owned(), vec![Edit::Title(title.to_owned())]);
    bench.harness.state_mut().send(rename("Vat lid"));
    bench.until("it is said that no copy is kept", |bench| {
        bench.session().screen.said.as_ref().is_some_and(|said| said.contains("no copy of unsaved work"))
    });
    let kept = bench.session().screen.said.clone().unwrap_or_default();
    bench.harness.state_mut().send(Command::Do(Action::Save));
    bench.until("saving fails", |bench| bench.session().screen.error.is_some());
    let saved = bench.session().screen.error.clone().unwrap_or_default();
    bench.harness.state_mut().send(rename("Milk lid"));
    bench.until("work goes on", |bench| bench.job().title == "Milk lid");
    let document = bench.session().document.as_ref().unwrap();
    println!(
        "\n{MARK}opened: {opened}\n{MARK}kept: {kept}\n{MARK}saved: {saved}\n{MARK}changed: {}",
        document.is_modified()
    );
}

/// What the player printed, without the folder's path.
fn said(folder: &Path, out: &[u8]) -> Vec<String> {
    let text = String::from_utf8_lossy(out).replace(&format!("{}/", folder.display()), "");
    text.lines().filter_map(|line| line.strip_prefix(MARK)).map(str::to_owned).collect()
}

/// Has the player save by way of `sh -c SCRIPT sh FOLDER PROGRAM ARGS...`; `None` where the script cannot do its part.
fn by_shell(shop: &Shop, script: &str) -> Option<Vec<String>> {
    let player = shop.player("somebody_saves");
    let mut shell = std::process::Command::new("sh");
    shell.args(["-c", script, "sh"]).arg(&shop.folder).arg(player.get_program()).args(player.get_args());
    shell.envs(player.get_envs().filter_map(|(name, value)| Some((name, value?))));
    let out = shell.output().unwrap();
    let text = String::from_utf8_lossy(&out.stdout);
    (!text.lines().any(|line| line == "none")).then(|| said(&shop.folder, &out.stdout))
}

#[test]
fn a_full_disk_is_said_and_work_goes_on() {
    let folder = tempfile::tempdir().unwrap();
    let shop = Shop::made_in(folder.path());
    // The same job on a disk of its own that the rest of the room is taken from.
    let script = r#"unshare -m sh -c '
        folder=$1; shift; kept=$(mktemp -d); cp "$folder"/flange.* "$kept"
        mount -t tmpfs -o size=64k tmpfs "$folder" 2>/dev/null || { echo none; exit 0; }
        cp "$kept"/flange.* "$folder"; rm -r "$kept"
        mkdir "$folder/account"; head -c 100000 /dev/zero > "$folder/rest" 2>/dev/null
        "$@" 2>/dev/null; ls -A "$folder" | sed "s/^/## there: /"; grep -o "Milk valve flange" "$folder/flange.plate.json" | sed "s/^/## file: /"
        ' sh "$@" 2>/dev/null || echo none"#;
    let Some(said) = by_shell(&shop, script) else {
        return skip("no small disk can be made here; it takes the right to mount one");
    };
    let full = "the disk is full";
    let expected = [
        format!(
            "opened: account/settings.json: it could not be written: {full}. Choose another folder; nothing was changed."
        ),
        format!("kept: account/recovery: no copy of unsaved work is kept here: {full}. Save often."),
        format!(
            "saved: flange.plate.json: it could not be written: {full}. Choose another folder; nothing was changed."
        ),
        "changed: true".to_owned(),
        "there: account".to_owned(),
        "there: flange.plate.json".to_owned(),
        "there: flange.png".to_owned(),
        "there: rest".to_owned(),
        "file: Milk valve flange".to_owned(),
    ];
    assert_eq!(said, expected, "a sentence each, and the file as it was");
}

#[test]
fn folders_that_may_only_be_read_are_said_and_work_goes_on() {
    let folder = tempfile::tempdir().unwrap();
    let shop = Shop::made_in(folder.path());
    let before = fs::read(shop.job()).unwrap();
    fs::create_dir(shop.folder.join("account")).unwrap();
    for (path, mode) in [(shop.folder.join("account"), 0o555), (shop.folder.clone(), 0o555)] {
        fs::set_permissions(path, fs::Permissions::from_mode(mode)).unwrap();
    }
    // For root every folder may be written: the player is nobody.
    let script = r#"shift; as=""; [ "$(id -u)" = 0 ] && as="setpriv --reuid=65534 --regid=65534 --clear-groups"
        $as test -x "$1" 2>/dev/null || { echo none; exit 0; }
        $as "$@" 2>/dev/null"#;
    let said = by_shell(&shop, script);
    fs::set_permissions(&shop.folder, fs::Permissions::from_mode(0o755)).unwrap();
    let Some(said) = said else { return skip("the program cannot be run as somebody who may not write") };
    let denied = "permission is denied";
    let expected = [
        format!(
            "opened: account/settings.json: it could not be written: {denied}. Choose another folder; nothing was changed."
        ),
        format!("kept: account/recovery: no copy of unsaved work is kept here: {denied}. Save often."),
        format!(
            "saved: flange.plate.json: it could not be written: {denied}. Choose another folder; nothing was changed."
        ),
        "changed: true".to_owned(),
    ];
    assert_eq!(said, expected, "a sentence each");
    assert_eq!(fs::read(shop.job()).unwrap(), before, "the file is as it was");
}
