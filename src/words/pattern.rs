//! Sentences with places: taken apart, and filled.

use super::{Fill, Language};

/// A piece of a sentence.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Piece<'a> {
    Text(&'a str),
    /// `{name}`.
    Place(&'a str),
    /// `{name:one|many}`.
    Choice {
        name: &'a str,
        one: &'a str,
        many: &'a str,
    },
}

/// A sentence's pieces; a brace that opens nothing is text.
pub fn pieces(pattern: &str) -> Vec<Piece<'_>> {
    let mut out = Vec::new();
    let mut rest = pattern;
    while let Some(at) = rest.find(['{', '}']) {
        let (before, from) = rest.split_at(at);
        if from.starts_with("{{") || from.starts_with("}}") {
            let (with_brace, after) = rest.split_at(at + 1);
            out.push(Piece::Text(with_brace));
            // The second brace is ASCII, one byte long.
            rest = after.get(1..).unwrap_or_default();
            continue;
        }
        let Some((place, after)) = from.strip_prefix('{').and_then(|from| from.split_once('}'))
        else {
            break;
        };
        if !before.is_empty() {
            out.push(Piece::Text(before));
        }
        out.push(match place.split_once(':') {
            None => Piece::Place(place),
            Some((name, words)) => {
                let (one, many) = words.split_once('|').unwrap_or((words, words));
                Piece::Choice { name, one, many }
            }
        });
        rest = after;
    }
    if !rest.is_empty() {
        out.push(Piece::Text(rest));
    }
    out
}

/// Fills a sentence's places. A place that nothing fills shows its name, so that a test sees it.
pub(super) fn fill(
    pattern: &str,
    fills: &[(&'static str, Fill)],
    language: Language,
    out: &mut String,
) {
    let find = |wanted: &str| {
        fills
            .iter()
            .find(|(name, _)| *name == wanted)
            .map(|(_, fill)| fill)
    };
    for piece in pieces(pattern) {
        match piece {
            Piece::Text(text) => out.push_str(text),
            Piece::Place(name) => match find(name) {
                Some(fill) => fill.say(language, out),
                None => {
                    out.push('{');
                    out.push_str(name);
                    out.push('}');
                }
            },
            Piece::Choice { name, one, many } => {
                let is_one = find(name)
                    .and_then(Fill::count)
                    .is_some_and(|count| language.is_one(count));
                out.push_str(if is_one { one } else { many });
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn braces_places_and_choices_are_told_apart() {
        assert_eq!(
            pieces("{{a}} {b} {c:x|y}."),
            [
                Piece::Text("{"),
                Piece::Text("a}"),
                Piece::Text(" "),
                Piece::Place("b"),
                Piece::Text(" "),
                Piece::Choice {
                    name: "c",
                    one: "x",
                    many: "y"
                },
                Piece::Text("."),
            ]
        );
        assert_eq!(pieces("a { b"), [Piece::Text("a { b")]);
    }

    #[test]
    fn a_count_chooses_by_the_language() {
        let say = |count: u64, language| {
            let mut out = String::new();
            fill(
                "{n} {n:one|many}",
                &[("n", Fill::Count(count))],
                language,
                &mut out,
            );
            out
        };
        assert_eq!(say(0, Language::English), "0 many");
        assert_eq!(say(0, Language::French), "0 one");
        assert_eq!(say(1, Language::Spanish), "1 one");
        assert_eq!(say(1_200, Language::French), "1\u{a0}200 many");
    }
}
