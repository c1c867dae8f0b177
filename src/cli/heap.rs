//! One heap for all threads, where the system's C library would keep one for each.
//!
//! What is free in the heap of one thread is of no use to another: of a season with a hundred thousand photos that takes a fifth more
//! memory. glibc learns how many it may keep from its environment and nowhere else, before anything runs, so that the program starts
//! once more in its own place, under the same process number; that takes a few milliseconds. Where it can't, all is as it was.

/// Starts the program anew with one heap, if it is to pack and has more. Returns where there is nothing to do or it can't be done.
#[cfg(all(target_os = "linux", target_env = "gnu"))]
pub fn share_one() {
    use std::os::unix::process::CommandExt;
    /// glibc's name for how many heaps there may be (mallopt(3), `M_ARENA_MAX`).
    const MOST_HEAPS: &str = "MALLOC_ARENA_MAX";
    /// The commands whose memory has a bound for any folder.
    const BOUNDED: [&str; 2] = ["pack", "close"];
    let mut words = std::env::args_os();
    let (name, words) = (words.next(), words.collect::<Vec<_>>());
    let bounded = words
        .first()
        .is_some_and(|command| BOUNDED.iter().any(|bounded| command == bounded));
    // Whoever has said how many, the start before this one too, is not asked again.
    if !bounded || std::env::var_os(MOST_HEAPS).is_some() {
        return;
    }
    let (Ok(program), Some(name)) = (std::env::current_exe(), name) else {
        return;
    };
    // It comes back only with an error.
    let _ = std::process::Command::new(program)
        .arg0(name)
        .args(words)
        .env(MOST_HEAPS, "1")
        .exec();
}

/// Other systems' heaps are not asked.
#[cfg(not(all(target_os = "linux", target_env = "gnu")))]
pub fn share_one() {}
