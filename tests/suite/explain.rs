//! `check --explain`, its page and its examples, and `check --json` against its schema.

use std::path::{Path, PathBuf};

use serde_json::Value;

use super::support::folder::{Folder, contents};
use super::support::photo::Phone;
use super::support::program::{command, windrow};

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

fn in_repository(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(path)
}

/// Holds a file of the repository equal to what the program makes; with WINDROW_WRITE set, writes it.
#[cfg(target_os = "linux")]
fn hold(path: &str, made: &str) {
    let file = in_repository(path);
    if std::env::var_os("WINDROW_WRITE").is_some() {
        std::fs::write(&file, made).unwrap();
    }
    let there = std::fs::read_to_string(&file).unwrap_or_default();
    let line = there.lines().zip(made.lines()).position(|(a, b)| a != b);
    assert!(
        there == made,
        "{path} is not what the program makes (line {line:?}); run the test explain with WINDROW_WRITE=1 and look at the change"
    );
}

#[cfg(target_os = "linux")]
#[test]
fn examples_and_page_are_what_the_rules_say() {
    let examples = super::findings::examples();
    let mut json = serde_json::to_string_pretty(&examples).unwrap();
    json.push('\n');
    hold("src/finding/examples.json", &json);
    let mut rules = windrow::finding::rules();
    rules.extend(windrow::figure::rules());
    rules.extend(windrow::report::RULES);
    hold(
        "docs/findings.md",
        &windrow::finding::markdown(&rules, &examples),
    );
}

#[test]
fn a_rule_is_told_in_full() {
    let run = windrow(&["check", "--explain", "pull-logged-twice"]);
    assert!(run.status.success());
    let told = text(&run.stdout);
    for words in [
        "pull-logged-twice (error)",
        "why",
        "example",
        "mend",
        "--accept pull-logged-twice",
    ] {
        assert!(told.contains(words), "{words} in {told}");
    }
    let page = windrow(&["check", "--explain", "all", "--markdown"]);
    let there = std::fs::read_to_string(in_repository("docs/findings.md")).unwrap();
    assert!(text(&page.stdout) == there, "docs/findings.md is old");
}

#[test]
fn an_unknown_rule_is_answered_with_the_nearest() {
    let run = windrow(&["check", "--explain", "pull-loged-twice"]);
    assert_eq!(run.status.code(), Some(2));
    assert!(text(&run.stderr).contains("did you mean pull-logged-twice?"));
}

#[test]
fn there_are_at_least_sixty_rules_and_each_has_an_example() {
    let mut rules = windrow::finding::rules();
    rules.extend(windrow::figure::rules());
    rules.extend(windrow::report::RULES);
    assert!(rules.len() >= 60, "{}", rules.len());
    let examples = windrow::finding::examples();
    for rule in rules {
        assert!(examples.contains_key(rule.name), "{}", rule.name);
    }
}

#[test]
fn accepting_prints_lines_that_hold() {
    let folder = Folder::clean();
    folder.remove("photos/p2.jpg");
    let season = folder.path();
    let season = season.to_str().unwrap();
    let run = windrow(&[
        "check",
        season,
        "--accept",
        "pull-without-photo",
        "--place",
        "pulls.csv row 3",
        "--reason",
        "The phone fell \"in\".",
        "--date",
        "2025-11-02",
    ]);
    assert!(run.status.success(), "{}", text(&run.stderr));
    let lines = text(&run.stdout);
    assert!(lines.contains("on = 2025-11-02"), "{lines}");
    folder.append("season.toml", &format!("\n{lines}"));
    let run = windrow(&["check", season]);
    let told = text(&run.stdout);
    assert!(
        told.contains("pull-without-photo at pulls.csv row 3, 2025-11-02: The phone fell \"in\"."),
        "{told}"
    );
    assert!(told.contains("0 doubts, 0 remarks, 1 accepted"), "{told}");
    // Any change of the row lets it lapse, and says what changed.
    folder.replace(
        "pulls.csv",
        "P2,2025-06-21,south,9:00,11:00,1,3,2,6",
        "P2,2025-06-21,south,9:00,11:00,1,3,2,5",
    );
    let told = text(&windrow(&["check", season]).stdout);
    assert!(
        told.contains("acceptance-lapsed") && told.contains("6 became 5"),
        "{told}"
    );
    assert!(told.contains("No photo of pull P2"), "{told}");
}

#[test]
fn accepting_what_is_not_there_says_where_there_is_one() {
    let folder = Folder::clean();
    folder.remove("photos/p2.jpg");
    let season = folder.path();
    let season = season.to_str().unwrap();
    let words = |place| {
        [
            "check",
            season,
            "--accept",
            "pull-without-photo",
            "--place",
            place,
            "--reason",
            "x",
        ]
    };
    let run = windrow(&words("pulls.csv row 30"));
    assert_eq!(run.status.code(), Some(2));
    assert!(
        text(&run.stderr).contains("there is one at pulls.csv row 3"),
        "{}",
        text(&run.stderr)
    );
    // The file stands for all findings of the name in it.
    assert!(windrow(&words("pulls.csv")).status.success());
    let run = windrow(&[
        "check",
        season,
        "--accept",
        "pull-without-phot",
        "--place",
        "x",
        "--reason",
        "x",
    ]);
    assert!(text(&run.stderr).contains("did you mean pull-without-photo?"));
}

#[test]
fn many_findings_of_a_kind_are_told_as_one() {
    use super::support::folder::NORTH_COVE;
    use super::support::photo::Phone;
    let folder = Folder::clean();
    for number in 10..40 {
        let phone = Phone {
            position: None,
            ..Phone::at("2025:06:14 10:00:00", NORTH_COVE)
        };
        let mut jpeg = phone.jpeg();
        jpeg.push(number);
        folder.write(&format!("photos/p{number}.jpg"), jpeg);
    }
    let season = folder.path();
    let season = season.to_str().unwrap();
    let told = text(&windrow(&["check", season]).stdout);
    assert_eq!(
        told.matches("doubt[photo-without-position]").count(),
        1,
        "{told}"
    );
    assert!(told.contains("29 more like it: photos/p11.jpg"), "{told}");
    assert!(
        told.contains("photos  30 doubts") || told.contains("30 doubts"),
        "{told}"
    );
    let all = text(&windrow(&["check", season, "--all"]).stdout);
    assert_eq!(all.matches("doubt[photo-without-position]").count(), 30);
}

#[test]
fn findings_are_told_in_the_language_of_the_season_or_of_the_run() {
    let folder = Folder::clean();
    folder.replace("pulls.csv", "2025-06-21,south", "2025-06-21,soth");
    let path = folder.path();
    let season = path.to_str().unwrap();
    let told = |words: &[&str]| {
        let run = windrow(&[&["check", season], words].concat());
        (run.status.code(), text(&run.stdout))
    };
    let english = told(&[]);
    let json = told(&["--json"]);
    let spanish = told(&["--language", "es"]);
    assert_eq!(english, told(&["--language", "en"]));
    assert_eq!(english.0, spanish.0);
    // The rule's name and the row are nobody's language.
    for same in ["site-unknown", "pulls.csv row 3", "soth"] {
        assert!(spanish.1.contains(same), "{}", spanish.1);
    }
    for word in ["error", "why", "mend"] {
        let said = windrow::words::Language::Spanish.of(word);
        assert!(spanish.1.contains(said), "{said} in {}", spanish.1);
    }
    folder.append("season.toml", "\n[report]\nlanguage = \"es\"\n");
    assert_eq!(told(&[]).1, spanish.1);
    assert_eq!(told(&["--language", "en"]).1, english.1);
    assert_eq!(told(&["--json"]), json);
    assert_eq!(told(&["--language", "de"]).0, Some(2));
    let rule = text(&windrow(&["check", "--explain", "site-unknown", "--language", "fr"]).stdout);
    let title = windrow::words::Language::French
        .of("A table names a site that sites.geojson does not have.");
    assert!(rule.contains(title), "{title} in {rule}");
}

/// The second run reads no photo, and still says in its own language what the first one found there.
#[test]
fn troubles_of_known_photos_are_told_in_the_language_of_the_run() {
    let folder = Folder::clean();
    let (path, cache) = (folder.path(), folder.beside("cache"));
    let mut photo = Phone::at("2025:06:14 10:00:00", (38.5, -45.0)).jpeg();
    photo.truncate(photo.len() - 2);
    folder.write("photos/cut.jpg", photo);
    // A file that was just written is not kept.
    let file = std::fs::File::options()
        .write(true)
        .open(path.join("photos/cut.jpg"))
        .unwrap();
    let earlier = std::time::SystemTime::now() - std::time::Duration::from_secs(60);
    file.set_modified(earlier).unwrap();
    let check = |language: &str| {
        let mut run = command(&["check", path.to_str().unwrap(), "--language", language]);
        text(&run.env("WINDROW_CACHE", &cache).output().unwrap().stdout)
    };
    let english = check("en");
    assert!(english.contains("file: ends before the picture does."));
    let kept = contents(&cache);
    let spanish = check("es");
    assert!(!kept.is_empty() && contents(&cache) == kept);
    let said = windrow::words::Language::Spanish.of("ends before the picture does");
    assert!(spanish.contains(said), "{said} in {spanish}");
}

#[test]
fn json_keeps_its_schema() {
    let schema: Value = serde_json::from_str(
        &std::fs::read_to_string(in_repository("docs/check.schema.json")).unwrap(),
    )
    .unwrap();
    let folder = Folder::clean();
    folder
        .replace("pulls.csv", "bag,10", "bag,ten")
        .replace("pulls.csv", "2025-06-21,south", "2025-06-21,soth")
        .replace("sites.geojson", "[-45.0005, 38.5005]", "[-45.0005, 38.55]")
        .write("papers/aux.txt", "invented");
    super::findings::accept(&folder, "site-unknown", "pulls.csv row 3");
    for season in [in_repository("sample-season"), folder.path()] {
        let run = windrow(&["check", season.to_str().unwrap(), "--json"]);
        let told: Value = serde_json::from_slice(&run.stdout).unwrap();
        let mut faults = Vec::new();
        judge(&schema, &schema, &told, "", &mut faults);
        assert!(faults.is_empty(), "{}", faults.join("\n"));
    }
    // The judge does find faults.
    let mut faults = Vec::new();
    judge(
        &schema,
        &schema,
        &serde_json::json!({"format": "1", "season": 3}),
        "",
        &mut faults,
    );
    assert!(faults.len() > 3, "{faults:?}");
}

/// The part of JSON Schema 2020-12 that our schema uses; tests/interop holds the same outputs against a public validator.
fn judge(root: &Value, schema: &Value, value: &Value, at: &str, faults: &mut Vec<String>) {
    let Some(object) = schema.as_object() else {
        return;
    };
    for (key, rule) in object {
        match key.as_str() {
            "$ref" => {
                let path = rule.as_str().unwrap().strip_prefix('#').unwrap();
                judge(root, root.pointer(path).unwrap(), value, at, faults);
            }
            "type" => {
                let is = |kind: &str| match kind {
                    "object" => value.is_object(),
                    "array" => value.is_array(),
                    "string" => value.is_string(),
                    "integer" => value.is_u64() || value.is_i64(),
                    "number" => value.is_number(),
                    "boolean" => value.is_boolean(),
                    "null" => value.is_null(),
                    other => panic!("the judge knows no type {other}"),
                };
                let fits = match rule {
                    Value::Array(kinds) => kinds.iter().any(|kind| is(kind.as_str().unwrap())),
                    kind => is(kind.as_str().unwrap()),
                };
                if !fits {
                    faults.push(format!("{at}: {value} is no {rule}"));
                }
            }
            "enum" if !rule.as_array().unwrap().contains(value) => {
                faults.push(format!("{at}: {value} is none of {rule}"))
            }
            "const" if rule != value => faults.push(format!("{at}: {value} is not {rule}")),
            "minLength" if value.as_str().is_some_and(|text| text.is_empty()) => {
                faults.push(format!("{at}: empty"))
            }
            "required" => {
                for name in rule.as_array().unwrap() {
                    if value.get(name.as_str().unwrap()).is_none() {
                        faults.push(format!("{at}: lacks {name}"));
                    }
                }
            }
            "properties" => {
                for (name, part) in rule.as_object().unwrap() {
                    if let Some(value) = value.get(name) {
                        judge(root, part, value, &format!("{at}/{name}"), faults);
                    }
                }
            }
            "additionalProperties" if rule == &Value::Bool(false) => {
                let known = object["properties"].as_object().unwrap();
                for name in value
                    .as_object()
                    .into_iter()
                    .flat_map(|object| object.keys())
                {
                    if !known.contains_key(name) {
                        faults.push(format!("{at}: has {name}"));
                    }
                }
            }
            "items" => {
                for (index, value) in value.as_array().into_iter().flatten().enumerate() {
                    judge(root, rule, value, &format!("{at}/{index}"), faults);
                }
            }
            "minimum"
                if value
                    .as_f64()
                    .is_some_and(|number| number < rule.as_f64().unwrap()) =>
            {
                faults.push(format!("{at}: {value} is below {rule}"));
            }
            "$schema"
            | "$id"
            | "$defs"
            | "title"
            | "description"
            | "enum"
            | "const"
            | "minLength"
            | "additionalProperties"
            | "minimum" => {}
            other => panic!("the judge knows no keyword {other}"),
        }
    }
}
