//! Workbooks made for a test: .xlsx by a library, .ods by hand, from the same cells.

use std::fmt::Write as _;
use std::io::{Cursor, Read as _, Write as _};

use rust_xlsxwriter::{ExcelDateTime, Format, Formula, Workbook};

#[derive(Debug, Clone, PartialEq)]
pub enum Cell {
    Blank,
    Text(String),
    Number(f64),
    /// A number that is shown as a percentage: 0.5 as 50 %.
    Percent(f64),
    /// Year, month, day.
    Date(u16, u8, u8),
    /// Hour, minute.
    Time(u16, u8),
    /// A formula and the value that the file holds for it.
    Formula(&'static str, &'static str),
}

#[derive(Debug, Clone)]
pub struct Sheet {
    pub name: String,
    pub rows: Vec<Vec<Cell>>,
    /// First row, first column, last row, last column, from 0.
    pub merged: Vec<(usize, usize, usize, usize)>,
    pub hidden: bool,
}

impl Sheet {
    /// A sheet of a CSV text, with numbers, dates and times as such.
    pub fn of(name: &str, csv: &str) -> Self {
        Self {
            name: name.to_owned(),
            rows: rows(csv)
                .into_iter()
                .map(|row| row.iter().map(|text| typed(text)).collect())
                .collect(),
            merged: Vec::new(),
            hidden: false,
        }
    }

    /// The same with every cell a text.
    pub fn of_texts(name: &str, csv: &str) -> Self {
        let mut sheet = Self::of(name, csv);
        sheet.rows = rows(csv)
            .into_iter()
            .map(|row| {
                row.into_iter()
                    .map(|text| match text.as_str() {
                        "" => Cell::Blank,
                        _ => Cell::Text(text),
                    })
                    .collect()
            })
            .collect();
        sheet
    }

    pub fn hidden(mut self) -> Self {
        self.hidden = true;
        self
    }

    /// Puts a cell, by row and column from 0, and makes room for it.
    pub fn put(&mut self, row: usize, column: usize, cell: Cell) -> &mut Self {
        while self.rows.len() <= row {
            self.rows.push(Vec::new());
        }
        let cells = &mut self.rows[row];
        while cells.len() <= column {
            cells.push(Cell::Blank);
        }
        cells[column] = cell;
        self
    }

    /// Puts a text, by row and column from 0.
    pub fn say(&mut self, row: usize, column: usize, text: &str) -> &mut Self {
        self.put(row, column, Cell::Text(text.to_owned()))
    }

    /// Merges a region, which empties all its cells but the first.
    pub fn merge(&mut self, from: (usize, usize), to: (usize, usize)) -> &mut Self {
        for row in from.0..=to.0 {
            for column in from.1..=to.1 {
                if (row, column) != from {
                    self.put(row, column, Cell::Blank);
                }
            }
        }
        self.merged.push((from.0, from.1, to.0, to.1));
        self
    }

    /// Puts a row above all others.
    pub fn above(&mut self, row: &[&str]) -> &mut Self {
        self.rows
            .insert(0, row.iter().map(|text| typed(text)).collect());
        for (from, _, to, _) in &mut self.merged {
            *from += 1;
            *to += 1;
        }
        self
    }
}

fn rows(csv: &str) -> Vec<Vec<String>> {
    csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .from_reader(csv.as_bytes())
        .records()
        .map(|record| record.unwrap().iter().map(str::to_owned).collect())
        .collect()
}

fn typed(text: &str) -> Cell {
    if text.is_empty() {
        return Cell::Blank;
    }
    if let Ok(number) = text.parse::<f64>() {
        return Cell::Number(number);
    }
    let numbers = |mark: char| -> Option<Vec<u16>> {
        text.split(mark).map(|part| part.parse().ok()).collect()
    };
    if let Some(&[year, month, day]) = numbers('-').as_deref() {
        return Cell::Date(year, month as u8, day as u8);
    }
    if let Some(&[hour, minute]) = numbers(':').as_deref() {
        return Cell::Time(hour, minute as u8);
    }
    Cell::Text(text.to_owned())
}

pub fn xlsx(sheets: &[Sheet]) -> Vec<u8> {
    let mut book = Workbook::new();
    let date = Format::new().set_num_format("yyyy-mm-dd");
    let time = Format::new().set_num_format("hh:mm");
    let percent = Format::new().set_num_format("0%");
    for sheet in sheets {
        let page = book.add_worksheet();
        page.set_name(&sheet.name).unwrap();
        page.set_hidden(sheet.hidden);
        for (r0, c0, r1, c1) in &sheet.merged {
            page.merge_range(
                *r0 as u32,
                *c0 as u16,
                *r1 as u32,
                *c1 as u16,
                "",
                &Format::new(),
            )
            .unwrap();
        }
        for (row, cells) in (0u32..).zip(&sheet.rows) {
            for (column, cell) in (0u16..).zip(cells) {
                match cell {
                    Cell::Blank => continue,
                    Cell::Text(text) => page.write_string(row, column, text),
                    Cell::Number(number) => page.write_number(row, column, *number),
                    Cell::Percent(number) => {
                        page.write_number_with_format(row, column, *number, &percent)
                    }
                    Cell::Date(y, m, d) => {
                        let stamp = ExcelDateTime::from_ymd(*y, *m, *d).unwrap();
                        page.write_datetime_with_format(row, column, &stamp, &date)
                    }
                    Cell::Time(hour, minute) => {
                        let stamp = ExcelDateTime::from_hms(*hour, *minute, 0).unwrap();
                        page.write_datetime_with_format(row, column, &stamp, &time)
                    }
                    Cell::Formula(formula, value) => {
                        page.write_formula(row, column, Formula::new(*formula).set_result(*value))
                    }
                }
                .unwrap();
            }
        }
    }
    book.save_to_buffer().unwrap()
}

/// The text of one part of a ZIP.
pub fn text_of(zip: &[u8], part: &str) -> String {
    let mut archive = zip::ZipArchive::new(Cursor::new(zip)).unwrap();
    let mut text = String::new();
    archive
        .by_name(part)
        .unwrap()
        .read_to_string(&mut text)
        .unwrap();
    text
}

/// Changes the text of one part of a ZIP.
pub fn patched(zip: &[u8], part: &str, from: &str, to: &str) -> Vec<u8> {
    let mut archive = zip::ZipArchive::new(Cursor::new(zip)).unwrap();
    let mut parts = Vec::new();
    let mut changed = false;
    for index in 0..archive.len() {
        let mut file = archive.by_index(index).unwrap();
        let name = file.name().unwrap().into_owned();
        let mut bytes = Vec::new();
        file.read_to_end(&mut bytes).unwrap();
        if name == part {
            let text = String::from_utf8(bytes).unwrap();
            assert!(text.contains(from), "{part} holds no {from:?}: {text}");
            bytes = text.replace(from, to).into_bytes();
            changed = true;
        }
        parts.push((name, bytes));
    }
    assert!(changed, "no part {part}");
    zipped(&parts)
}

pub fn zipped(parts: &[(String, Vec<u8>)]) -> Vec<u8> {
    let mut writer = zip::ZipWriter::new(Cursor::new(Vec::new()));
    let stored =
        zip::write::SimpleFileOptions::default().compression_method(zip::CompressionMethod::Stored);
    for (name, bytes) in parts {
        writer.start_file(name.as_str(), stored).unwrap();
        writer.write_all(bytes).unwrap();
    }
    writer.finish().unwrap().into_inner()
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
        .replace('"', "&quot;")
}

/// The least that an .ods needs.
pub fn ods(sheets: &[Sheet]) -> Vec<u8> {
    let mut body = String::new();
    for sheet in sheets {
        let style = if sheet.hidden { "hid" } else { "shown" };
        write!(
            body,
            "<table:table table:name=\"{}\" table:style-name=\"{style}\">",
            escaped(&sheet.name)
        )
        .unwrap();
        for (row, cells) in sheet.rows.iter().enumerate() {
            body.push_str("<table:table-row>");
            for (column, cell) in cells.iter().enumerate() {
                let span = sheet
                    .merged
                    .iter()
                    .find(|(r, c, _, _)| (*r, *c) == (row, column))
                    .map_or_else(String::new, |(r0, c0, r1, c1)| {
                        format!(
                            " table:number-rows-spanned=\"{}\" table:number-columns-spanned=\"{}\"",
                            r1 - r0 + 1,
                            c1 - c0 + 1
                        )
                    });
                let text = |text: &str| format!("<text:p>{}</text:p>", escaped(text));
                let (attributes, shown) = match cell {
                    Cell::Blank => (String::new(), String::new()),
                    Cell::Text(said) => (" office:value-type=\"string\"".to_owned(), text(said)),
                    Cell::Number(number) => (
                        format!(" office:value-type=\"float\" office:value=\"{number}\""),
                        text(&number.to_string()),
                    ),
                    Cell::Percent(number) => (
                        format!(" office:value-type=\"percentage\" office:value=\"{number}\""),
                        text(&format!("{:.0}%", number * 100.0)),
                    ),
                    Cell::Date(y, m, d) => (
                        format!(
                            " office:value-type=\"date\" office:date-value=\"{y:04}-{m:02}-{d:02}\""
                        ),
                        text(&format!("{d}/{m}/{y}")),
                    ),
                    Cell::Time(hour, minute) => (
                        format!(
                            " office:value-type=\"time\" office:time-value=\"PT{hour:02}H{minute:02}M00S\""
                        ),
                        text(&format!("{hour}:{minute:02}")),
                    ),
                    Cell::Formula(formula, value) => match value.parse::<f64>() {
                        Ok(number) => (
                            format!(
                                " table:formula=\"of:{formula}\" office:value-type=\"float\" office:value=\"{number}\""
                            ),
                            text(value),
                        ),
                        Err(_) if value.is_empty() => {
                            (format!(" table:formula=\"of:{formula}\""), String::new())
                        }
                        Err(_) => (
                            format!(
                                " table:formula=\"of:{formula}\" office:value-type=\"string\" office:string-value=\"\" calcext:value-type=\"error\""
                            ),
                            text(value),
                        ),
                    },
                };
                write!(
                    body,
                    "<table:table-cell{attributes}{span}>{shown}</table:table-cell>"
                )
                .unwrap();
            }
            body.push_str("</table:table-row>");
        }
        body.push_str("</table:table>");
    }
    ods_of(&body)
}

/// An .ods around the tables of its content.
pub fn ods_of(tables: &str) -> Vec<u8> {
    let content = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?><office:document-content \
         xmlns:office=\"urn:oasis:names:tc:opendocument:xmlns:office:1.0\" \
         xmlns:style=\"urn:oasis:names:tc:opendocument:xmlns:style:1.0\" \
         xmlns:table=\"urn:oasis:names:tc:opendocument:xmlns:table:1.0\" \
         xmlns:text=\"urn:oasis:names:tc:opendocument:xmlns:text:1.0\" \
         xmlns:calcext=\"urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0\" office:version=\"1.2\">\
         <office:automatic-styles><style:style style:name=\"hid\" style:family=\"table\"><style:table-properties \
         table:display=\"false\"/></style:style><style:style style:name=\"shown\" style:family=\"table\">\
         <style:table-properties table:display=\"true\"/></style:style></office:automatic-styles>\
         <office:body><office:spreadsheet>{tables}</office:spreadsheet></office:body></office:document-content>"
    );
    zipped(&[
        (
            "mimetype".to_owned(),
            b"application/vnd.oasis.opendocument.spreadsheet".to_vec(),
        ),
        ("content.xml".to_owned(), content.into_bytes()),
        (
            "META-INF/manifest.xml".to_owned(),
            b"<manifest:manifest/>".to_vec(),
        ),
    ])
}
