//! CSV text as rows that are numbered as a spreadsheet numbers them.

use super::Raw;
use crate::place::Place;
use crate::season::problem::{Problem, ProblemKind};

pub(super) fn rows(file: &str, bytes: &[u8], problems: &mut Vec<Problem>) -> Result<Raw, String> {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let text = match std::str::from_utf8(bytes) {
        Ok(text) => std::borrow::Cow::Borrowed(text),
        Err(_) => {
            problems.push(Problem {
                place: Place::whole(file),
                kind: ProblemKind::NotUtf8,
                row: None,
            });
            encoding_rs::WINDOWS_1252.decode(bytes).0
        }
    };
    if text.contains('\0') {
        return Err("it holds binary data, not text".into());
    }
    let delimiter = delimiter(&text);
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(delimiter)
        .from_reader(text.as_bytes());
    let mut rows = Vec::new();
    let mut number = 0u32;
    for record in reader.records() {
        let record = record.map_err(|error| error.to_string())?;
        // The reader passes over empty lines; a spreadsheet counts them.
        let from = record
            .position()
            .and_then(|position| usize::try_from(position.byte()).ok())
            .unwrap_or(0);
        number =
            number.saturating_add(1 + empty_lines(text.as_bytes().get(from..).unwrap_or_default()));
        rows.push((number, record.iter().map(str::to_owned).collect()));
    }
    Ok(Raw { sheet: None, rows })
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

/// The delimiter that the first line that holds anything uses most, outside quotes.
fn delimiter(text: &str) -> u8 {
    let line = text
        .lines()
        .find(|line| !line.trim().is_empty())
        .unwrap_or("");
    let mut quoted = false;
    let mut counts = [(b',', 0usize), (b';', 0), (b'\t', 0)];
    for byte in line.bytes() {
        if byte == b'"' {
            quoted = !quoted;
        } else if !quoted && let Some(count) = counts.iter_mut().find(|(mark, _)| *mark == byte) {
            count.1 += 1;
        }
    }
    counts
        .iter()
        .rev()
        .max_by_key(|(_, count)| *count)
        .map_or(b',', |(mark, _)| *mark)
}
