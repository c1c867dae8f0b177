//! `windrow report --watch`: the report set again whenever something in the season folder changes.
//!
//! A mistake in prose or template is told and waited for; the last good report stays. Ctrl-C ends between two runs, so that no file
//! is left half written.

use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{self, Receiver, RecvTimeoutError};
use std::time::{Duration, Instant};

use notify::{EventKind, RecursiveMode, Watcher};
use signal_hook::consts::TERM_SIGNALS;

use super::args::Report;
use super::exit::{Exit, Failure};
use super::pictures::Pictures;
use super::printer::{BAD, Printer, QUIET, styled};
use super::{findings, outputs, stages};
use crate::interrupt;
use crate::report::Kept;

/// Editors write a file in several steps: so long nothing more may come before a run begins.
const QUIET_TIME: Duration = Duration::from_millis(150);

/// What wakes the watch.
enum Wake {
    Changed,
    Failed(String),
}

pub fn run(words: &Report, season: &Path, printer: &mut Printer) -> Result<Exit, Failure> {
    let (send, wakes) = mpsc::channel();
    let stop = Arc::new(AtomicBool::new(false));
    interrupt::mind_by_myself();
    for signal in TERM_SIGNALS {
        signal_hook::flag::register(*signal, Arc::clone(&stop))
            .map_err(|error| Failure::Watch(error.to_string()))?;
    }
    let mut watcher = notify::recommended_watcher(move |event: notify::Result<notify::Event>| {
        let wake = match event {
            // Being read is no change: our own reading must not wake us.
            Ok(event) if matches!(event.kind, EventKind::Access(_)) => return,
            Ok(_) => Wake::Changed,
            Err(error) => Wake::Failed(error.to_string()),
        };
        drop(send.send(wake));
    })
    .map_err(|error| Failure::Watch(error.to_string()))?;
    watcher
        .watch(season, RecursiveMode::Recursive)
        .map_err(|error| Failure::Watch(error.to_string()))?;
    let kept = Kept::on(Pictures::of(season));
    loop {
        once(words, season, &kept, printer)?;
        if !next_change(&wakes, &stop)? {
            printer.line("stopped");
            return Ok(Exit::Well);
        }
    }
}

/// Waits for a change and until nothing more comes; `false` when the watch is to end.
fn next_change(wakes: &Receiver<Wake>, stop: &AtomicBool) -> Result<bool, Failure> {
    let mut changed = false;
    loop {
        if stop.load(Ordering::Relaxed) {
            return Ok(false);
        }
        match wakes.recv_timeout(QUIET_TIME) {
            Ok(Wake::Changed) => changed = true,
            Ok(Wake::Failed(reason)) => return Err(Failure::Watch(reason)),
            Err(RecvTimeoutError::Timeout) if changed => return Ok(true),
            Err(RecvTimeoutError::Timeout) => {}
            Err(RecvTimeoutError::Disconnected) => return Ok(false),
        }
    }
}

/// One run. What is wrong in the folder is told and no reason to end; a disk that fails is.
fn once(words: &Report, season: &Path, kept: &Kept, printer: &mut Printer) -> Result<(), Failure> {
    let start = Instant::now();
    match set(words, season, kept) {
        Ok((path, summary, read)) => {
            let whole = start.elapsed();
            printer.line(format!(
                "report   {}  {}",
                path.display(),
                styled(
                    QUIET,
                    format!(
                        "{:.1} s: records {:.1} s, pages {:.1} s",
                        whole.as_secs_f64(),
                        read.as_secs_f64(),
                        whole.saturating_sub(read).as_secs_f64()
                    )
                )
            ));
            printer.line(format!("check    {summary}"));
        }
        Err(failure) if failure.exit() == Exit::NotWell => {
            printer.line(format!("{} {failure}", styled(BAD, "not set:")));
            printer.line("The last report stays; waiting for the next change.");
        }
        Err(failure) => return Err(failure),
    }
    Ok(())
}

/// Sets and writes the report: where, what check says, and how long reading and reckoning took.
fn set(
    words: &Report,
    season: &Path,
    kept: &Kept,
) -> Result<(std::path::PathBuf, String, Duration), Failure> {
    let start = Instant::now();
    // Photos that did not change aren't read again; the report is a draft until `report` or `close` sets it anew.
    let account = stages::account_at_a_glance(season)?.in_language(words.language);
    let (edition, form) = words.wanted();
    let path = account
        .outputs()
        .report_path(words.output.as_deref(), edition, form)?;
    let evidence = account.evidence(&account.made()?)?;
    let read = start.elapsed();
    let date = account.date(words.dated.date);
    let ready = account.ready(
        edition,
        form,
        Some(kept),
        &evidence,
        &account.outputs().archive_name(),
        date,
    )?;
    outputs::write(&path, &ready.set(true)?)?;
    Ok((path, findings::summary(&account.findings), read))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_burst_of_changes_is_one_and_a_stop_ends_it() {
        let (send, wakes) = mpsc::channel();
        let stop = AtomicBool::new(false);
        for _ in 0..5 {
            send.send(Wake::Changed).unwrap();
        }
        assert!(next_change(&wakes, &stop).unwrap());
        send.send(Wake::Failed("gone".into())).unwrap();
        assert!(next_change(&wakes, &stop).is_err());
        send.send(Wake::Changed).unwrap();
        stop.store(true, Ordering::Relaxed);
        assert!(!next_change(&wakes, &stop).unwrap());
    }
}
