//! Ctrl-C: the program ends at once, with its own exit code, and leaves nothing behind.

use std::path::Path;
use std::process::Command;
use std::thread::sleep;
use std::time::{Duration, Instant};

use super::support::folder::Folder;

fn entries(folder: &Path) -> Vec<String> {
    let entries = std::fs::read_dir(folder).into_iter().flatten();
    entries
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect()
}

#[test]
fn a_stopped_run_leaves_the_former_archive_and_nothing_else() {
    let folder = Folder::clean();
    // Long enough to be stopped while it is packed, and no bytes on the disk.
    folder.write("papers/film.bin", "");
    let film = std::fs::File::options()
        .write(true)
        .open(folder.path().join("papers/film.bin"))
        .unwrap();
    film.set_len(4 << 30).unwrap();
    let out = folder.beside("out");
    std::fs::create_dir(&out).unwrap();
    std::fs::write(out.join("season.zip"), "the former archive").unwrap();
    let mut run = Command::new(env!("CARGO_BIN_EXE_windrow"))
        .args(["pack", folder.path().to_str().unwrap(), "--output"])
        .arg(out.join("season.zip"))
        .stdout(std::process::Stdio::piped())
        .stderr(std::process::Stdio::piped())
        .spawn()
        .unwrap();
    let began = Instant::now();
    while entries(&out).len() < 2 {
        assert!(began.elapsed() < Duration::from_secs(300));
        assert_eq!(run.try_wait().unwrap(), None, "it ended before it packed");
        sleep(Duration::from_millis(5));
    }
    let stopped = Command::new("kill")
        .args(["-INT", &run.id().to_string()])
        .status()
        .unwrap();
    assert!(stopped.success());
    let ended = run.wait_with_output().unwrap();
    assert_eq!(ended.status.code(), Some(130));
    assert!(String::from_utf8_lossy(&ended.stderr).contains("stopped"));
    assert_eq!(entries(&out), ["season.zip"]);
    let former = std::fs::read_to_string(out.join("season.zip")).unwrap();
    assert_eq!(former, "the former archive");
}
