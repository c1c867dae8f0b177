//! `windrow close` killed at random moments: what bears a final name is whole, report and archive fit each other, and the next
//! run succeeds and clears away what the killed one left.
//!
//! `WINDROW_KILLS` says how many moments (8 where it is not set), `WINDROW_SEED` from which seed.

use std::fs;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use super::support::chance::{Chance, from_environment};
use super::support::folder::{Folder, contents};

const NAMES: [&str; 2] = ["season-evidence.zip", "season-report.pdf"];

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

/// Archive and report.
type Pair = [Vec<u8>; 2];

fn pair(output: &Path) -> Pair {
    NAMES.map(|name| fs::read(output.join(name)).unwrap_or_default())
}

/// Unfinished outputs; there may be nothing else but the pair.
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
        whole.push(pair(&output));
    }
    assert!(whole[0][0] != whole[1][0] && whole[0][1] != whole[1][1]);

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
        let [archive, report] = pair(&output);
        let state_of = |bytes: &[u8], at: usize| {
            let fits = |state: &usize| whole[*state][at] == bytes;
            [0, 1].into_iter().find(|state| fits(state))
        };
        let archive =
            state_of(&archive, 0).expect("the archive is whole, the former or the new one");
        let report = state_of(&report, 1).expect("the report is whole, the former or the new one");
        // The archive gets its name first, and the report right after it.
        assert!(archive == report || (archive, report) == (state, former));
        torn += usize::from(archive != report);
        assert!(
            season == contents(&folder.path()),
            "the season is as it was"
        );
        if number % 4 == 3 || archive != report || number + 1 == kills {
            assert_eq!(
                start(&folder.path(), &output).wait().unwrap().code(),
                Some(0)
            );
            assert!(pair(&output) == whole[state]);
            assert_eq!(unfinished(&output), 0, "the next run clears up");
            former = state;
        } else {
            former = archive;
        }
    }
    println!(
        "{kills} kills within {longest:?}: {met_writing} left an unfinished file, {torn} fell between the two names, {ended} came too late"
    );
}
