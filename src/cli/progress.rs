//! Progress on standard error, where that is a terminal; nothing in a pipe.

use std::time::Duration;

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

/// One stage under way. Gone from the screen when it ends.
pub struct Progress {
    bar: ProgressBar,
}

/// How often the screen is drawn: steady enough to see that something happens, seldom enough to cost nothing.
const REDRAWS_PER_SECOND: u8 = 8;

impl Progress {
    /// A stage that reads or writes so many bytes.
    pub fn bytes(what: &str, total: u64) -> Self {
        let style =
            "{msg:<10} {bar:28} {bytes:>10} of {total_bytes}  {binary_bytes_per_sec}  {eta} left";
        Self::new(what, Some(total), style)
    }

    /// A stage of unknown length.
    pub fn spinning(what: &str) -> Self {
        let progress = Self::new(what, None, "{msg:<10} {spinner} {elapsed}");
        progress.bar.enable_steady_tick(Duration::from_millis(120));
        progress
    }

    fn new(what: &str, total: Option<u64>, style: &str) -> Self {
        let bar = ProgressBar::with_draw_target(
            total,
            ProgressDrawTarget::stderr_with_hz(REDRAWS_PER_SECOND),
        );
        if let Ok(style) = ProgressStyle::with_template(style) {
            bar.set_style(style.progress_chars("━╸─"));
        }
        bar.set_message(what.to_owned());
        Self { bar }
    }

    /// So many more bytes are done. May be called from several threads.
    pub fn add(&self, bytes: u64) {
        self.bar.inc(bytes);
    }

    /// So many bytes are done in all.
    pub fn at(&self, bytes: u64) {
        self.bar.set_position(bytes);
    }

    pub fn of(&self, total: u64) {
        self.bar.set_length(total);
    }

    /// What is being done now.
    pub fn say(&self, what: String) {
        self.bar.set_message(what);
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        self.bar.finish_and_clear();
    }
}
