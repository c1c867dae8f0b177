//! Season folders made to break a reader: every command ends with findings or a clear error, soon, in bounded memory, without a
//! panic, and without a letter that steers the terminal.
//!
//! By default each kind is checked by itself, and one folder with most kinds at once goes through every command;
//! `WINDROW_HOSTILE=all` takes each kind through every command, and in its full size.

use std::fs;
use std::io::{Seek, SeekFrom, Write};
use std::os::unix::fs::{PermissionsExt, symlink};
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use super::support::folder::{Folder, contents};

/// How long a command may take, in all its slowness under a test run, and how much memory it may have had.
const LONGEST: Duration = Duration::from_secs(120);
const MOST_MEGABYTES: u64 = 700;

fn everything() -> bool {
    std::env::var_os("WINDROW_HOSTILE").is_some_and(|value| value == "all")
}

/// A file of a size that hardly takes room on the disk.
fn sparse(path: &Path, beginning: &[u8], megabytes: u64) {
    fs::create_dir_all(path.parent().unwrap()).unwrap();
    let mut file = fs::File::create(path).unwrap();
    file.write_all(beginning).unwrap();
    file.seek(SeekFrom::Start((megabytes << 20) - 1)).unwrap();
    file.write_all(b"x").unwrap();
}

fn pipe(path: &Path) {
    fs::create_dir_all(path.parent().unwrap()).unwrap();
    let _ = fs::remove_file(path);
    assert!(Command::new("mkfifo").arg(path).status().unwrap().success());
}

type Kind = (&'static str, fn(&Path));

/// Kinds that can lie in one folder.
const TOGETHER: [Kind; 19] = [
    ("folders 200 deep", |season| {
        let mut folder = season.join("papers");
        for _ in 0..200 {
            folder.push("d");
        }
        fs::create_dir_all(&folder).unwrap();
        fs::write(folder.join("deep.txt"), "x").unwrap();
    }),
    ("links out", |season| {
        symlink("/etc/passwd", season.join("papers/passwd.txt")).unwrap();
        symlink("/", season.join("photos/root")).unwrap();
        symlink("/dev/zero", season.join("photos/endless.jpg")).unwrap();
    }),
    ("a link to itself, and a circle", |season| {
        symlink("self", season.join("papers/self")).unwrap();
        symlink("..", season.join("photos/up")).unwrap();
        symlink("b", season.join("papers/a")).unwrap();
        symlink("a", season.join("papers/b")).unwrap();
    }),
    ("pipes", |season| {
        pipe(&season.join("papers/pipe"));
        pipe(&season.join("photos/pipe.jpg"));
        pipe(&season.join("tracks/pipe.gpx"));
        pipe(&season.join("narrative/pipe.typ"));
    }),
    ("a pipe for a table", |season| {
        pipe(&season.join("cover.csv"))
    }),
    ("a socket", |season| {
        std::os::unix::net::UnixListener::bind(season.join("papers/s")).unwrap();
    }),
    ("a device", |season| {
        // Only root may make one.
        let _ = Command::new("mknod")
            .arg(season.join("photos/zero.jpg"))
            .args(["c", "1", "5"])
            .stderr(Stdio::null())
            .status();
    }),
    ("files that nobody may read", |season| {
        for name in ["papers/secret.txt", "photos/secret.jpg"] {
            fs::write(season.join(name), "x").unwrap();
            fs::set_permissions(season.join(name), PermissionsExt::from_mode(0o000)).unwrap();
        }
    }),
    ("garbage named as a photo", |season| {
        sparse(&season.join("photos/garbage.jpg"), b"\xff\xd8\xff\xe1", 100);
    }),
    (
        "a picture of 65,535 pixels a side in its header alone",
        |season| {
            let mut jpeg =
                b"\xff\xd8\xff\xc0\0\x11\x08\xff\xff\xff\xff\x03\x01\x22\0\x02\x11\x01\x03\x11\x01"
                    .to_vec();
            jpeg.extend(b"\xff\xda\0\x0c\x03\x01\0\x02\x11\x03\x11\0\x3f\0\xff\xd9");
            fs::write(season.join("photos/vast.jpg"), jpeg).unwrap();
        },
    ),
    ("names that steer a terminal", |season| {
        for name in [
            "papers/\x1b[2J\x1b[31mred.txt",
            "papers/line\nerror: forged.txt",
            "photos/bell\x07.jpg",
            "papers/back\x08\x08.txt",
            "papers/turned\u{202e}gpj.exe",
        ] {
            fs::write(season.join(name), "x").unwrap();
        }
    }),
    ("cells that steer a terminal", |season| {
        let row = "P9\x1b]0;title\x07,2025-06-14,\x1b[31mnorth\x1b[0m,9:00,12:00,1,4,3,12,f\u{9b}2Jund,bag,1\x08,,,counted,ros\x1bette\n";
        let pulls = fs::read_to_string(season.join("pulls.csv")).unwrap();
        fs::write(season.join("pulls.csv"), pulls + row).unwrap();
    }),
    ("names not in Unicode", |season| {
        use std::os::unix::ffi::OsStrExt;
        for name in [&b"papers/\xff\xfe"[..], b"photos/\xc3(.jpg"] {
            fs::write(season.join(std::ffi::OsStr::from_bytes(name)), "x").unwrap();
        }
        let folder = season.join(std::ffi::OsStr::from_bytes(b"papers/\xf0"));
        fs::create_dir(&folder).unwrap();
        fs::write(folder.join("inside.txt"), "x").unwrap();
    }),
    (
        "names that collide where letters' case does not count",
        |season| {
            for name in [
                "papers/A.txt",
                "papers/a.txt",
                "papers/e\u{301}.txt",
                "papers/\u{e9}.txt",
            ] {
                fs::write(season.join(name), "x").unwrap();
            }
        },
    ),
    ("names of Windows' devices, and the longest", |season| {
        for name in ["CON", "aux.txt", "trailing.", "a:b", &"n".repeat(255)] {
            fs::write(season.join("papers").join(name), "x").unwrap();
        }
    }),
    ("many files", |season| {
        let count = if everything() { 100_000 } else { 2000 };
        for number in 0..count {
            let folder = season.join(format!("papers/many/{}", number / 1000));
            if number % 1000 == 0 {
                fs::create_dir_all(&folder).unwrap();
            }
            fs::write(folder.join(format!("{number}.txt")), "").unwrap();
        }
    }),
    ("outlines nested without end", |season| {
        fs::write(season.join("sites.geojson"), "[".repeat(5_000_000)).unwrap();
    }),
    ("a track nested without end", |season| {
        let track = "<gpx version=\"1.1\"><trk><trkseg>".to_owned() + &"<a>".repeat(500_000);
        fs::write(season.join("tracks/deep.gpx"), track).unwrap();
        let laughs = "<!DOCTYPE a [<!ENTITY a \"aaaaaaaaaa\"><!ENTITY b \"&a;&a;&a;&a;&a;&a;&a;&a;\"><!ENTITY c \"&b;&b;&b;&b;&b;&b;&b;&b;\">]><gpx version=\"1.1\"><name>&c;</name></gpx>";
        fs::write(season.join("tracks/laughs.gpx"), laughs).unwrap();
    }),
    ("a table of one line without end", |season| {
        let megabytes = if everything() { 500 } else { 63 };
        sparse(&season.join("history.csv"), b"year,site\n", megabytes);
    }),
];

/// Kinds that stop everything, so that each needs a folder of its own.
const ALONE: [Kind; 8] = [
    ("settings of zeros", |season| {
        fs::write(season.join("season.toml"), [0; 5000]).unwrap()
    }),
    ("settings without end", |season| {
        sparse(&season.join("season.toml"), b"programme = \"", 3000);
    }),
    ("settings nested without end", |season| {
        let text = format!("a = {}", "[".repeat(1_000_000));
        fs::write(season.join("season.toml"), text).unwrap();
    }),
    ("a pipe for the settings", |season| {
        pipe(&season.join("season.toml"))
    }),
    ("a link for the settings", |season| {
        fs::remove_file(season.join("season.toml")).unwrap();
        symlink("/dev/zero", season.join("season.toml")).unwrap();
    }),
    ("a folder for the settings", |season| {
        fs::remove_file(season.join("season.toml")).unwrap();
        fs::create_dir(season.join("season.toml")).unwrap();
    }),
    ("prose that never ends", |season| {
        fs::write(
            season.join("narrative/summary.typ"),
            "#let f(n) = f(n + 1)\n#f(0)\n",
        )
        .unwrap();
    }),
    ("prose that reads elsewhere", |season| {
        fs::write(
            season.join("narrative/summary.typ"),
            "#read(\"/etc/passwd\") #read(\"../../../../../etc/passwd\")",
        )
        .unwrap();
    }),
];

/// Runs a command and holds it to the bounds; gives what it printed.
fn run(what: &str, command: &str, season: &Path, output: &Path) -> String {
    let out = output.join(format!("{command}.out"));
    fs::create_dir_all(output).unwrap();
    let mut words = Command::new(env!("CARGO_BIN_EXE_windrow"));
    words.arg(command).arg(season).env("NO_COLOR", "1");
    match command {
        "close" => {
            words.arg("--output").arg(output.join("closed"));
        }
        "report" => {
            words.arg("--output").arg(output.join("report.pdf"));
        }
        "check" => {
            words.arg("--all");
        }
        _ => {}
    }
    let file = fs::File::create(&out).unwrap();
    let mut child = words
        .stderr(file.try_clone().unwrap())
        .stdout(file)
        .spawn()
        .unwrap();
    let start = Instant::now();
    let mut peak = 0;
    let status = loop {
        if let Some(status) = child.try_wait().unwrap() {
            break status;
        }
        peak = peak.max(megabytes(child.id()));
        if start.elapsed() > LONGEST {
            let _ = child.kill();
            panic!("{what}: {command} hangs");
        }
        std::thread::sleep(Duration::from_millis(5));
    };
    let told = String::from_utf8_lossy(&fs::read(&out).unwrap()).into_owned();
    println!(
        "{what}: {command} ended with {status} after {:.1} s with {peak} MB, {} bytes told",
        start.elapsed().as_secs_f64(),
        told.len()
    );
    assert!(
        matches!(status.code(), Some(0 | 1 | 3)),
        "{what}: {command} ended with {status}\n{told:.3000}"
    );
    assert!(
        told.len() < 200_000,
        "{what}: {command} floods the terminal"
    );
    assert!(
        !told.contains("panicked"),
        "{what}: {command}\n{told:.3000}"
    );
    assert!(peak < MOST_MEGABYTES, "{what}: {command} took {peak} MB");
    let steering = |letter: char| (letter.is_control() && letter != '\n') || letter == '\u{202e}';
    if let Some(at) = told.find(steering) {
        let around: String = told
            .chars()
            .skip(told[..at].chars().count().saturating_sub(80))
            .take(160)
            .collect();
        panic!("{what}: {command} lets a letter through that steers the terminal: {around:?}");
    }
    told
}

/// What a terminal would see, colours and all: no stranger's style among ours.
fn is_steady_in_colours(season: &Path) {
    for command in ["check", "figures"] {
        let told = Command::new(env!("CARGO_BIN_EXE_windrow"))
            .arg(command)
            .arg(season)
            .env("CLICOLOR_FORCE", "1")
            .env_remove("NO_COLOR")
            .output()
            .unwrap();
        let told = String::from_utf8_lossy(&told.stdout).into_owned();
        assert!(told.contains("\x1b["), "{command} has no colours");
        for theirs in [
            "\x1b[2J",
            "\x1b]0",
            "\x1b[31mred",
            "\x1b[31mnorth",
            "\x1bette",
        ] {
            assert!(!told.contains(theirs), "{command} lets {theirs:?} through");
        }
    }
}

/// The most memory that a process has had. 0 where the system doesn't say.
fn megabytes(process: u32) -> u64 {
    let status = fs::read_to_string(format!("/proc/{process}/status")).unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    let kilobytes = line.and_then(|line| line.trim().trim_end_matches(" kB").parse::<u64>().ok());
    kilobytes.unwrap_or(0) >> 10
}

fn folder() -> Folder {
    let folder = Folder::clean();
    for name in ["tracks", "narrative"] {
        fs::create_dir_all(folder.path().join(name)).unwrap();
    }
    folder
}

const COMMANDS: [&str; 4] = ["check", "figures", "report", "close"];

#[test]
fn each_kind_by_itself_is_found() {
    for (what, make) in TOGETHER.iter().chain(&ALONE) {
        let folder = folder();
        make(&folder.path());
        let commands = if everything() {
            &COMMANDS[..]
        } else {
            &COMMANDS[..1]
        };
        for command in commands {
            run(what, command, &folder.path(), &folder.beside("out"));
        }
    }
}

#[test]
fn prose_that_misbehaves_stops_the_report_and_nothing_else() {
    for (what, make) in ALONE.iter().filter(|(what, _)| what.starts_with("prose")) {
        let folder = folder();
        make(&folder.path());
        let told = run(what, "close", &folder.path(), &folder.beside("out"));
        assert!(told.contains("summary.typ"), "{what}:\n{told}");
        assert!(!told.contains("root:"), "{what}: a file outside was read");
    }
}

#[test]
fn most_kinds_at_once_go_through_every_command() {
    let folder = folder();
    for (_, make) in TOGETHER {
        make(&folder.path());
    }
    let told = run(
        "all at once",
        "check",
        &folder.path(),
        &folder.beside("out"),
    );
    for word in [
        "link",
        "no ordinary file",
        "folders deep",
        "not in Unicode",
        "capitals",
    ] {
        assert!(told.contains(word), "{word}");
    }
    is_steady_in_colours(&folder.path());
    let json = Command::new(env!("CARGO_BIN_EXE_windrow"))
        .args(["check", "--json"])
        .arg(folder.path())
        .output()
        .unwrap();
    let told: serde_json::Value = serde_json::from_slice(&json.stdout).unwrap();
    assert!(
        told.to_string().contains("turned\u{202e}gpj.exe"),
        "as it is"
    );
    for command in &COMMANDS[1..] {
        run(
            "all at once",
            command,
            &folder.path(),
            &folder.beside("out"),
        );
    }
    // No archive: names stand in the way. And nothing of a half-made one.
    assert!(contents(&folder.beside("out/closed")).is_empty());
}
