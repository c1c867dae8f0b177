//! Text tables (comma, semicolon, tab) as lines that are numbered as a spreadsheet numbers them.

use std::borrow::Cow;

use super::grid::{Cell, Gatherer, Grid};
use super::trouble::TableProblem;
use crate::place::{Place, Spot};
use crate::season::problem::{Problem, ProblemKind};
use crate::words;
use crate::words::Words;

/// Reads the text.
///
/// # Errors
/// Where the bytes are no text.
pub(super) fn grid(file: &str, bytes: &[u8], problems: &mut Vec<Problem>) -> Result<Grid, Words> {
    let text = decoded(file, bytes, problems);
    if text.contains('\0') {
        return Err(words!("it holds binary data, not text"));
    }
    let delimiter = delimiter(&text);
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(delimiter)
        .from_reader(text.as_bytes());
    let mut gatherer = Gatherer::default();
    let mut line = 0u32;
    let mut last_is_long = false;
    'records: for record in reader.records() {
        let record = record.map_err(|error| Words::own(error.to_string()))?;
        // The reader passes over empty lines; a spreadsheet counts them.
        let from = record
            .position()
            .and_then(|position| usize::try_from(position.byte()).ok())
            .unwrap_or(0);
        line = line.saturating_add(empty_lines(behind_line_end(text.as_bytes(), from)));
        last_is_long = record.iter().any(|cell| cell.contains('\n'));
        if !(line == 0 && separator_line(record.get(0).unwrap_or_default()).is_some()) {
            for (column, cell) in (0..).zip(record.iter()) {
                if !gatherer.put(line, column, Cell::text(cell)) {
                    break 'records;
                }
            }
            gatherer.widen(line, record.len());
        }
        line = line.saturating_add(1);
    }
    if last_is_long && text.bytes().filter(|byte| *byte == b'"').count() % 2 == 1 {
        problems.push(Problem {
            place: Place {
                file: file.into(),
                spot: Spot::Row {
                    sheet: None,
                    row: line,
                },
            },
            kind: ProblemKind::Table(TableProblem::QuoteOpen),
            row: None,
        });
    }
    Ok(gatherer.finish())
}

/// The text without its byte order mark, from UTF-8, marked UTF-16, or else Windows-1252; the latter two are told.
fn decoded<'a>(file: &str, bytes: &'a [u8], problems: &mut Vec<Problem>) -> Cow<'a, str> {
    let (encoding, marked) = match encoding_rs::Encoding::for_bom(bytes) {
        Some((encoding, length)) => (encoding, bytes.get(length..).unwrap_or_default()),
        None => (encoding_rs::UTF_8, bytes),
    };
    let mut told = |read_as: &'static str| {
        problems.push(Problem {
            place: Place::whole(file),
            kind: ProblemKind::NotUtf8 { read_as },
            row: None,
        });
    };
    if encoding != encoding_rs::UTF_8 {
        told("UTF-16");
        return encoding.decode_without_bom_handling(marked).0;
    }
    match std::str::from_utf8(marked) {
        Ok(text) => Cow::Borrowed(text),
        Err(_) => {
            told("Windows-1252");
            encoding_rs::WINDOWS_1252
                .decode_without_bom_handling(marked)
                .0
        }
    }
}

/// The text from a place on. Between the two signs that end a line on Windows the line is not over.
fn behind_line_end(text: &[u8], from: usize) -> &[u8] {
    let rest = text.get(from..).unwrap_or_default();
    let within = from
        .checked_sub(1)
        .is_some_and(|before| text.get(before) == Some(&b'\r'));
    match rest {
        [b'\n', more @ ..] if within => more,
        _ => rest,
    }
}

/// How many empty lines the text begins with, whatever ends a line.
fn empty_lines(text: &[u8]) -> u32 {
    let mut lines = 0;
    let mut rest = text;
    loop {
        rest = match rest {
            [b'\r', b'\n', more @ ..] | [b'\r' | b'\n', more @ ..] => more,
            _ => return lines,
        };
        lines += 1;
    }
}

/// `sep=;`, a first line with which some programs tell each other the delimiter.
fn separator_line(line: &str) -> Option<u8> {
    match line.trim().to_ascii_lowercase().strip_prefix("sep=")? {
        "" | "," => Some(b','),
        ";" => Some(b';'),
        "\t" => Some(b'\t'),
        _ => None,
    }
}

/// Lines that are looked at to find the delimiter.
const LINES_LOOKED_AT: usize = 100;

/// The delimiter that most lines have, then the one whose number in a line changes least, then the most frequent one. Marks
/// within quotes don't count.
fn delimiter(text: &str) -> u8 {
    let first = text.lines().next().unwrap_or_default();
    if let Some(said) = separator_line(first) {
        // The mark itself may be what parts the line's only cell.
        return match first.trim().bytes().last() {
            Some(b';') => b';',
            Some(b'\t') => b'\t',
            _ => said,
        };
    }
    let mut lines: Vec<[usize; 3]> = Vec::new();
    let mut counts = [0usize; 3];
    let mut quoted = false;
    let mut filled = false;
    for byte in text.bytes() {
        match byte {
            b'"' => quoted = !quoted,
            b'\n' | b'\r' if !quoted => {
                if filled {
                    lines.push(counts);
                }
                counts = [0; 3];
                filled = false;
                if lines.len() >= LINES_LOOKED_AT {
                    break;
                }
            }
            _ if !quoted => {
                filled = true;
                let [commas, semicolons, tabs] = &mut counts;
                match byte {
                    b',' => *commas += 1,
                    b';' => *semicolons += 1,
                    b'\t' => *tabs += 1,
                    _ => {}
                }
            }
            _ => filled = true,
        }
    }
    if filled {
        lines.push(counts);
    }
    let marks = [b',', b';', b'\t'];
    let rank = |which: usize| {
        let of: Vec<usize> = lines
            .iter()
            .filter_map(|counts| counts.get(which).copied())
            .collect();
        let having = of.iter().filter(|count| **count > 0).count();
        let usual = of
            .iter()
            .filter(|count| **count > 0)
            .map(|count| of.iter().filter(|other| *other == count).count())
            .max()
            .unwrap_or(0);
        (having, usual, of.iter().sum::<usize>())
    };
    marks
        .into_iter()
        .enumerate()
        .rev()
        .max_by_key(|(which, _)| rank(*which))
        .map_or(b',', |(_, mark)| mark)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn texts(bytes: &[u8]) -> (Vec<(u32, Vec<String>)>, usize) {
        let mut problems = Vec::new();
        let grid = grid("a.csv", bytes, &mut problems).unwrap();
        let lines = grid
            .lines
            .iter()
            .map(|line| (line.number, line.texts()))
            .collect();
        (lines, problems.len())
    }

    #[test]
    fn the_delimiter_is_found_below_a_title_and_beside_decimal_commas() {
        assert_eq!(delimiter("Pull log\n\npull;mass\nP1;1,5\nP2;2,5\n"), b';');
        assert_eq!(delimiter("pull\tnotes\nP1\ta, b; c\n"), b'\t');
        assert_eq!(delimiter("pull,notes\nP1,\"a; b; c\"\n"), b',');
        assert_eq!(delimiter("one\ntwo\n"), b',');
        assert_eq!(delimiter("sep=;\na,b;c\n"), b';');
    }

    #[test]
    fn encodings_are_recognised_and_told() {
        let utf16: Vec<u8> = std::iter::once(0xfeff_u16)
            .chain("a\té\n".encode_utf16())
            .flat_map(u16::to_le_bytes)
            .collect();
        assert_eq!(
            texts(&utf16),
            (vec![(1, vec!["a".to_owned(), "é".to_owned()])], 1)
        );
        assert_eq!(texts(b"\xef\xbb\xbfa,b\n").1, 0);
        assert_eq!(texts(b"a,\xe9\n").0[0].1[1], "é");
    }

    #[test]
    fn a_line_that_names_the_delimiter_is_no_row() {
        let (lines, _) = texts(b"sep=;\na;b\n");
        assert_eq!(lines, [(2, vec!["a".to_owned(), "b".to_owned()])]);
    }

    #[test]
    fn lines_are_counted_alike_whatever_ends_them() {
        for text in [
            "a,b\n\n1,2\n3,4\n",
            "a,b\r\n\r\n1,2\r\n3,4\r\n",
            "a,b\r\r1,2\r3,4\r",
        ] {
            let numbers: Vec<u32> = texts(text.as_bytes()).0.iter().map(|line| line.0).collect();
            assert_eq!(numbers, [1, 3, 4], "{text:?}");
        }
    }

    #[test]
    fn an_open_quote_is_told() {
        assert_eq!(texts(b"a,b\n1,\"2\n3,4\n").1, 1);
        assert_eq!(texts(b"a,b\n1,2\" high\n3,4\n").1, 0);
    }
}
