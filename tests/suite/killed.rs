//! `windrow close` killed at random moments: what bears a final name is whole, the outputs fit each other, and the next
//! run succeeds and clears away what the killed one left.
//!
//! `WINDROW_KILLS` says how many moments (8 where it is not set), `WINDROW_SEED` from which seed.

use std::fs;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use super::support::chance::{Chance, from_environment};
use super::support::folder::{Folder, contents};

/// In the order in which a run gives them their names.
const NAMES: [&str; 3] = [
    "season-evidence.zip",
    "season-report.pdf",
    "season-board.pdf",
];

fn start(season: &Path, output: &Path) -> Child {
    Command::new(env!("CARGO_BIN_EXE_windrow"))
        .arg("close")
        .arg(season)
        .arg("--output")
        .arg(output)
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .unwrap()
}

type Outputs = [Vec<u8>; NAMES.len()];

fn outputs(output: &Path) -> Outputs {
    NAMES.map(|name| fs::read(output.join(name)).unwrap_or_default())
}

/// Unfinished outputs; there may be nothing else but the outputs.
fn unfinished(output: &Path) -> usize {
    let mut count = 0;
    for entry in fs::read_dir(output).into_iter().flatten() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        if name.starts_with(".windrow-unfinished-") {
            count += 1;
        } else {
            assert!(NAMES.contains(&name.as_str()), "{name}");
        }
    }
    count
}

/// The season in one of two states.
fn turn(folder: &Folder, state: usize) {
    let text = ["Invented permit\n", "Invented permit, amended\n"][state];
    folder.write("papers/permit.txt", text);
}

#[test]
fn a_run_killed_at_any_moment_leaves_whole_outputs() {
    let kills = from_environment("WINDROW_KILLS", 8);
    let mut chance = Chance::new(from_environment("WINDROW_SEED", 2026));
    let folder = Folder::clean();
    // Something to write that takes a while.
    let ballast: Vec<u8> = (0..6 << 20).map(|_| chance.byte()).collect();
    folder.write("papers/scan.bin", ballast);
    let output = folder.beside("out");
    let mut whole = Vec::new();
    let mut longest = Duration::ZERO;
    for state in [0, 1] {
        turn(&folder, state);
        let before = Instant::now();
        assert_eq!(
            start(&folder.path(), &output).wait().unwrap().code(),
            Some(0)
        );
        longest = longest.max(before.elapsed());
        whole.push(outputs(&output));
    }
    assert!((0..NAMES.len()).all(|at| whole[0][at] != whole[1][at]));

    let (mut former, mut met_writing, mut torn, mut ended) = (1, 0, 0, 0);
    for number in 0..kills {
        let state = 1 - former;
        turn(&folder, state);
        let season = contents(&folder.path());
        let mut run = start(&folder.path(), &output);
        let share = chance.below(1000) as u32;
        if number % 2 == 0 {
            // Any moment of the run.
            std::thread::sleep(longest * share / 1000);
        } else {
            // A moment after the first unfinished file appears: the writing is a small part of a run.
            let limit = Instant::now() + longest * 3;
            let old = unfinished(&output);
            while unfinished(&output) == old && run.try_wait().unwrap().is_none() {
                assert!(Instant::now() < limit, "nothing is written");
                std::thread::sleep(Duration::from_micros(200));
            }
            std::thread::sleep(Duration::from_micros(60) * share);
        }
        if run.try_wait().unwrap().is_some() {
            ended += 1;
        }
        // Without a chance to tidy up.
        let _ = run.kill();
        run.wait().unwrap();

        met_writing += usize::from(unfinished(&output) > 0);
        let found = outputs(&output);
        let states: Vec<usize> = (0..NAMES.len())
            .map(|at| {
                let fits = |state: &usize| whole[*state][at] == found[at];
                let is = [0, 1].into_iter().find(fits);
                is.unwrap_or_else(|| panic!("{} is neither the former nor the new one", NAMES[at]))
            })
            .collect();
        // The archive gets its name first, and the reports right after it: never is a report newer than the archive.
        let new = states.iter().take_while(|is| **is == state).count();
        assert!(states[new..].iter().all(|is| *is == former), "{states:?}");
        let is_torn = new > 0 && new < NAMES.len();
        torn += usize::from(is_torn);
        assert!(
            season == contents(&folder.path()),
            "the season is as it was"
        );
        if number % 4 == 3 || is_torn || number + 1 == kills {
            assert_eq!(
                start(&folder.path(), &output).wait().unwrap().code(),
                Some(0)
            );
            assert!(outputs(&output) == whole[state]);
            assert_eq!(unfinished(&output), 0, "the next run clears up");
            former = state;
        } else {
            former = states[0];
        }
    }
    println!(
        "{kills} kills within {longest:?}: {met_writing} left an unfinished file, {torn} fell between two names, {ended} came too late"
    );
}
