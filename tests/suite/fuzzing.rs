//! The fuzz package stands apart and is built seldom: what it lists must follow the package by itself.

use std::path::Path;

fn read(path: &str) -> String {
    std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(path)).unwrap()
}

/// Macros are named like rooms.
fn is_room(name: &str) -> bool {
    let source = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    source.join(name).is_dir() || source.join(format!("{name}.rs")).is_file()
}

/// The rooms that a room's source names.
fn named_in(source: &str) -> impl Iterator<Item = &str> {
    source.match_indices("crate::").filter_map(|(at, _)| {
        let rest = &source[at + "crate::".len()..];
        let end = rest.find(|letter: char| !(letter.is_ascii_lowercase() || letter == '_'))?;
        let goes_on = rest[end..].starts_with("::") || rest[end..].starts_with(';');
        (end > 0 && goes_on && is_room(&rest[..end])).then(|| &rest[..end])
    })
}

#[test]
fn every_room_that_a_fuzzed_room_needs_is_compiled_in() {
    let rooms = read("tests/fuzz/rooms.rs");
    let listed: Vec<&str> = rooms
        .lines()
        .filter_map(|line| line.strip_prefix("pub mod ")?.strip_suffix(';'))
        .collect();
    assert!(listed.len() > 8);
    let paths = rooms.lines().filter_map(|line| {
        let path = line.strip_prefix("#[path = \"../../")?;
        path.strip_suffix("\"]")
    });
    let paths: Vec<&str> = paths.collect();
    assert_eq!(paths.len(), listed.len());
    for path in paths {
        let file = Path::new(env!("CARGO_MANIFEST_DIR")).join(path);
        assert!(file.is_file(), "{path} has moved");
    }
    let source = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut needs = 0;
    for room in &listed {
        let folder = walkdir::WalkDir::new(source.join(room)).into_iter();
        let files = folder.flatten().map(|entry| entry.path().to_owned());
        for file in files.chain([source.join(format!("{room}.rs"))]) {
            let Ok(text) = std::fs::read_to_string(&file) else {
                continue;
            };
            for needed in named_in(&text) {
                assert!(
                    listed.contains(&needed),
                    "{} needs {needed}, which tests/fuzz/rooms.rs doesn't list",
                    file.display()
                );
                needs += 1;
            }
        }
    }
    assert!(needs > 100);
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

/// What only the rooms that are not fuzzed need.
const NOT_FUZZED: [&str; 20] = [
    "annotate-snippets",
    "anstream",
    "anstyle",
    "clap",
    "clap_complete",
    "clap_mangen",
    "etcetera",
    "hayro-cmap",
    "hayro-syntax",
    "iana-time-zone",
    "indicatif",
    "notify",
    "rand",
    "rmp-serde",
    "signal-hook",
    "terminal_size",
    "toml_edit",
    "typst",
    "typst-layout",
    "typst-pdf",
];

#[test]
fn the_fuzz_package_takes_the_same_dependencies() {
    let (package, fuzz) = (read("Cargo.toml"), read("tests/fuzz/Cargo.toml"));
    let mut wanted = false;
    // Those of one system alone as well, and not those of the tests.
    let dependencies = package.lines().filter(|line| {
        if line.starts_with('[') {
            wanted = line.ends_with("dependencies]") && !line.contains("dev-");
        }
        wanted && line.contains(" = ")
    });
    let dependencies: Vec<&str> = dependencies.collect();
    assert!(dependencies.len() > 30);
    assert!(dependencies.iter().any(|line| line.starts_with("rustix")));
    for line in dependencies {
        let name = line.split(' ').next().unwrap();
        assert!(
            NOT_FUZZED.contains(&name) || fuzz.lines().any(|other| other == line),
            "{line} is not in tests/fuzz/Cargo.toml"
        );
    }
}
