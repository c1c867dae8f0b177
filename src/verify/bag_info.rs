//! bag-info.txt: labels and values (RFC 8493, 2.2.2), and whether Payload-Oxum is true.

use super::fault::{Fault, Warning};
use super::text;
use crate::archive::profile::{BAG_INFO, LABEL_OXUM};

/// Reads labels and values in their order. `is_rfc`: by the rules of 1.0.
pub(super) fn read(content: &str, is_rfc: bool, faults: &mut Vec<Fault>) -> Vec<(String, String)> {
    let mut pairs: Vec<(String, String)> = Vec::new();
    for (number, line) in (1..).zip(text::lines(content)) {
        let mut fault =
            |what: &str| faults.push(Fault::tag_file(BAG_INFO, format!("line {number}: {what}")));
        if line.starts_with([' ', '\t']) {
            match pairs.last_mut() {
                Some((_, value)) => {
                    value.push(' ');
                    value.push_str(line.trim_start_matches([' ', '\t']));
                }
                None => fault("it continues a line that isn't there"),
            }
            continue;
        }
        let Some((label, value)) = line.split_once(':') else {
            fault("there is no colon");
            continue;
        };
        let spaced = label.trim() != label || label.is_empty();
        let value = if is_rfc {
            let rest = value.strip_prefix([' ', '\t']);
            if rest.is_none() || spaced {
                fault("it is not 'label: value', with one space after the colon and none before");
            }
            rest.unwrap_or(value)
        } else {
            value.trim()
        };
        pairs.push((label.trim().into(), value.into()));
    }
    pairs
}

/// Compares Payload-Oxum with the payload's bytes and files.
pub(super) fn check_oxum(
    pairs: &[(String, String)],
    bytes: u64,
    files: usize,
    is_rfc: bool,
    faults: &mut Vec<Fault>,
    warnings: &mut Vec<Warning>,
) {
    // Reserved labels are the same in capitals and small letters.
    let stated: Vec<&str> = pairs
        .iter()
        .filter(|(label, _)| label.eq_ignore_ascii_case(LABEL_OXUM))
        .map(|(_, value)| value.as_str())
        .collect();
    if stated.len() > 1 {
        let what = "Payload-Oxum is there more than once";
        if is_rfc {
            faults.push(Fault::tag_file(BAG_INFO, what));
        } else {
            warnings.push(Warning::style(BAG_INFO, what));
        }
    }
    for value in stated {
        if value.trim() != format!("{bytes}.{files}") {
            faults.push(Fault::tag_file(
                BAG_INFO,
                format!(
                    "Payload-Oxum states {}, but there are {bytes} bytes in {files} files",
                    value.escape_debug()
                ),
            ));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_go_on_over_lines() {
        let mut faults = Vec::new();
        let pairs = read("A: one\n  two\nB b: three\n", true, &mut faults);
        assert_eq!(
            pairs,
            [
                ("A".to_owned(), "one two".to_owned()),
                ("B b".to_owned(), "three".to_owned())
            ]
        );
        assert_eq!(faults, []);
    }

    #[test]
    fn form_is_strict_from_1_0_on() {
        for text in ["A:one\n", "A : one\n", " A: one\n", "no colon\n", ": x\n"] {
            let mut faults = Vec::new();
            read(text, true, &mut faults);
            assert_eq!(faults.len(), 1, "{text:?}");
        }
        let mut faults = Vec::new();
        let pairs = read("A :\t one\n", false, &mut faults);
        assert_eq!((pairs[0].1.as_str(), faults.len()), ("one", 0));
    }

    #[test]
    fn the_oxum_must_be_true_and_single() {
        let count = |text: &str| {
            let (mut faults, mut warnings) = (Vec::new(), Vec::new());
            let pairs = read(text, true, &mut faults);
            check_oxum(&pairs, 12, 3, true, &mut faults, &mut warnings);
            faults.len()
        };
        assert_eq!(count("Payload-Oxum: 12.3\n"), 0);
        assert_eq!(count("payload-oxum: 12.4\n"), 1);
        assert_eq!(count("Payload-Oxum: 12\n"), 1);
        assert_eq!(count("Payload-Oxum: 12.3\nPayload-Oxum: 12.3\n"), 1);
        assert_eq!(count("Other: x\n"), 0);
    }
}
