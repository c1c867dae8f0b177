//! The fuzz package stands apart and is built seldom: what it lists must follow the package by itself.

use std::path::Path;

fn read(path: &str) -> String {
    std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(path)).unwrap()
}

#[test]
fn every_room_is_compiled_into_the_fuzz_package() {
    let rooms = read("tests/fuzz/rooms.rs");
    let all = read("src/lib.rs");
    // The two that link the typesetter stay out.
    let wanted = all.lines().filter(|line| {
        line.starts_with("pub mod ") && !["pub mod cli;", "pub mod report;"].contains(line)
    });
    assert!(wanted.clone().count() > 8);
    for line in wanted {
        assert!(
            rooms.lines().any(|room| room == line),
            "{line} is not in rooms.rs"
        );
    }
}

#[test]
fn every_target_has_seeds_and_is_listed() {
    let (list, run, readme) = (
        read("tests/fuzz/Cargo.toml"),
        read("tests/fuzz/run"),
        read("tests/fuzz/README.md"),
    );
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fuzz");
    let mut count = 0;
    for entry in std::fs::read_dir(folder.join("fuzz_targets")).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        let name = name.strip_suffix(".rs").unwrap();
        assert!(list.contains(&format!("name = \"{name}\"")), "{name}");
        assert!(
            run.contains(name) && readme.contains(&format!("`{name}`")),
            "{name}"
        );
        let seeds = std::fs::read_dir(folder.join("corpus").join(name)).unwrap();
        assert!(seeds.count() > 1, "{name}");
        count += 1;
    }
    assert!(count >= 11);
}
