//! The sheets of an .ods workbook.
//!
//! Read from the part `content.xml` (OASIS, *Open Document Format for Office Applications*, version 1.2, part 1, chapter 9 and
//! section 19.385), because what is needed beside the values (cells shown as one, formulas without a value, repeated rows
//! that must not be unrolled) stands only there.

use std::collections::BTreeSet;

use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};

use super::grid::{
    Cell, Gatherer, Grid, MOST_COLUMNS, MOST_LINES, MOST_TEXT, Nature, Region, percent,
};
use super::workbook::{MOST_REGIONS, MOST_SHEETS, part};
use super::{moments, xlsx};

pub(super) fn grids(bytes: &[u8]) -> Result<Vec<Grid>, String> {
    if part(bytes, "META-INF/manifest.xml")?
        .is_some_and(|manifest| manifest.contains("encryption-data"))
    {
        return Err("it is locked with a password; save it without one".into());
    }
    let content = part(bytes, "content.xml")?.ok_or("it holds no content.xml")?;
    let mut reader = Reader::from_str(&content);
    let config = reader.config_mut();
    config.expand_empty_elements = true;
    config.check_end_names = false;
    let mut book = Book {
        text_left: MOST_TEXT,
        ..Book::default()
    };
    loop {
        match reader.read_event() {
            Ok(Event::Start(tag)) => book.start(&tag),
            Ok(Event::End(tag)) => book.end(tag.name().as_ref()),
            Ok(Event::Text(text)) => book.text(&text.xml10_content()),
            Ok(Event::CData(text)) => book.text(&text.xml10_content()),
            Ok(Event::GeneralRef(name)) => {
                let reference = format!("&{};", &*name);
                if let Ok(text) = quick_xml::escape::unescape(&reference) {
                    book.text(&text);
                }
            }
            Ok(Event::Eof) => return Ok(book.grids),
            Ok(_) => {}
            Err(error) => return Err(format!("its content is damaged: {error}")),
        }
    }
}

fn attribute(tag: &BytesStart<'_>, name: &str) -> Option<String> {
    let attribute = tag
        .attributes()
        .with_checks(false)
        .flatten()
        .find(|attribute| attribute.key.as_ref() == name)?;
    quick_xml::escape::unescape(&attribute.value)
        .ok()
        .map(|value| value.into_owned())
}

fn number(tag: &BytesStart<'_>, name: &str) -> u32 {
    attribute(tag, name)
        .and_then(|value| value.parse().ok())
        .unwrap_or(1)
        .max(1)
}

/// A cell while it is being read.
#[derive(Default)]
struct Open {
    kind: String,
    /// The value as an attribute gives it.
    value: Option<String>,
    formula: Option<String>,
    faulty: bool,
    paragraphs: Vec<String>,
    columns: u32,
    span: (u32, u32),
}

#[derive(Default)]
struct Book {
    grids: Vec<Grid>,
    style: String,
    hidden_styles: BTreeSet<String>,
    /// Tables within tables: only the outermost is a sheet.
    depth: u32,
    sheet: Option<(Gatherer, String, bool)>,
    /// The line that is being read, counted from 0, and how often it stands there.
    line: u32,
    repeated: u32,
    column: u32,
    cells: Vec<(u32, Cell)>,
    open: Option<Open>,
    /// Names of elements whose text is not the cell's: notes, drawings.
    aside: Vec<String>,
    in_paragraph: bool,
    text_left: usize,
}

impl Book {
    fn start(&mut self, tag: &BytesStart<'_>) {
        let name = tag.name();
        let name = name.as_ref();
        if !self.aside.is_empty() || name == "office:annotation" || name.starts_with("draw:") {
            // A drawing outside a cell matters as little.
            self.aside.push(name.to_owned());
            return;
        }
        match name {
            "style:style" => self.style = attribute(tag, "style:name").unwrap_or_default(),
            "style:table-properties"
                if attribute(tag, "table:display").as_deref() == Some("false") =>
            {
                self.hidden_styles.insert(self.style.clone());
            }
            "table:table" => {
                self.depth += 1;
                if self.depth == 1 && self.grids.len() < MOST_SHEETS {
                    let hidden = attribute(tag, "table:style-name")
                        .is_some_and(|style| self.hidden_styles.contains(&style));
                    self.sheet = Some((
                        Gatherer::within(self.text_left),
                        attribute(tag, "table:name").unwrap_or_default(),
                        hidden,
                    ));
                    self.line = 0;
                }
            }
            "table:table-row" if self.depth == 1 => {
                self.repeated = number(tag, "table:number-rows-repeated");
                self.column = 0;
                self.cells.clear();
            }
            "table:table-cell" | "table:covered-table-cell" if self.depth == 1 => {
                self.open = Some(opened(tag));
            }
            "text:p" if self.depth == 1 => {
                if let Some(open) = &mut self.open {
                    open.paragraphs.push(String::new());
                    self.in_paragraph = true;
                }
            }
            "text:s" => {
                // A run of blanks in a cell says nothing more than one.
                self.text(" ");
            }
            "text:tab" | "text:line-break" => self.text(" "),
            _ => {}
        }
    }

    fn text(&mut self, text: &str) {
        if self.aside.is_empty()
            && self.in_paragraph
            && let Some(last) = self
                .open
                .as_mut()
                .and_then(|open| open.paragraphs.last_mut())
        {
            last.push_str(text);
        }
    }

    fn end(&mut self, name: &str) {
        if !self.aside.is_empty() {
            if self.aside.last().is_some_and(|open| open == name) {
                self.aside.pop();
            }
            return;
        }
        match name {
            "table:table" => {
                self.depth = self.depth.saturating_sub(1);
                if self.depth == 0
                    && let Some((gatherer, name, hidden)) = self.sheet.take()
                {
                    self.text_left = gatherer.text_left();
                    let mut grid = gatherer.finish();
                    grid.sheet = Some(name);
                    grid.hidden = hidden;
                    self.grids.push(grid);
                }
            }
            "text:p" => self.in_paragraph = false,
            "table:table-cell" | "table:covered-table-cell" if self.depth == 1 => {
                if let Some(open) = self.open.take() {
                    self.close(open);
                }
            }
            "table:table-row" if self.depth == 1 => self.close_row(),
            _ => {}
        }
    }

    fn close(&mut self, open: Open) {
        let (columns, span) = (open.columns, open.span);
        let cell = open.cell();
        if !cell.is_blank() {
            // One column more than is read tells that there was one.
            let expanded = columns.min(u32::try_from(MOST_COLUMNS).unwrap_or(u32::MAX) + 1);
            for at in 0..expanded {
                self.cells
                    .push((self.column.saturating_add(at), cell.clone()));
                // A cell repeated beyond every bound, many times over, is not unrolled.
                if self.cells.len() > 2 * MOST_COLUMNS {
                    break;
                }
            }
        }
        if (span.0 > 1 || span.1 > 1)
            && let Some((gatherer, _, _)) = &mut self.sheet
            && gatherer.grid.merged.len() < MOST_REGIONS
        {
            let first = self.line.saturating_add(1);
            gatherer.grid.merged.push(Region {
                rows: (first, first.saturating_add(span.0 - 1)),
                columns: (self.column, self.column.saturating_add(span.1 - 1)),
            });
        }
        self.column = self.column.saturating_add(columns);
    }

    fn close_row(&mut self) {
        if let Some((gatherer, _, _)) = &mut self.sheet
            && !self.cells.is_empty()
        {
            let most = u32::try_from(MOST_LINES).unwrap_or(u32::MAX);
            'lines: for at in 0..self.repeated.min(most.saturating_add(1)) {
                for (column, cell) in &self.cells {
                    if !gatherer.put(self.line.saturating_add(at), *column, cell.clone()) {
                        break 'lines;
                    }
                }
            }
        }
        self.line = self.line.saturating_add(self.repeated);
        self.cells.clear();
    }
}

fn opened(tag: &BytesStart<'_>) -> Open {
    let kind = attribute(tag, "office:value-type").unwrap_or_default();
    let value = match kind.as_str() {
        "date" => attribute(tag, "office:date-value"),
        "time" => attribute(tag, "office:time-value"),
        "boolean" => attribute(tag, "office:boolean-value"),
        "string" => attribute(tag, "office:string-value"),
        _ => attribute(tag, "office:value"),
    };
    Open {
        value,
        formula: attribute(tag, "table:formula"),
        faulty: attribute(tag, "calcext:value-type").as_deref() == Some("error"),
        paragraphs: Vec::new(),
        columns: number(tag, "table:number-columns-repeated"),
        span: (
            number(tag, "table:number-rows-spanned"),
            number(tag, "table:number-columns-spanned"),
        ),
        kind,
    }
}

impl Open {
    fn cell(self) -> Cell {
        let shown = self.paragraphs.join("\n");
        let sums = self.formula.as_deref().is_some_and(xlsx::sums);
        let (text, nature) = match (self.kind.as_str(), self.value) {
            _ if self.faulty => (shown, Nature::Fault),
            ("float" | "currency", Some(value)) => (plain(value), Nature::Number),
            // What is shown may be rounded.
            ("percentage", Some(value)) => (percent(&value), Nature::Number),
            ("date", Some(value)) => (moments::iso_date(&value), Nature::Moment),
            ("time", Some(value)) => (moments::iso_duration(&value), Nature::Moment),
            ("boolean", Some(value)) => {
                let word = if value == "true" { "yes" } else { "no" };
                (word.to_owned(), Nature::Text)
            }
            ("string", Some(value)) if shown.is_empty() => (value, Nature::Text),
            _ if shown.is_empty() && self.formula.is_some() => (shown, Nature::Unstored),
            _ => (shown, Nature::Text),
        };
        Cell { text, nature, sums }
    }
}

/// `10.0` and `1E1` are 10.
fn plain(value: String) -> String {
    value
        .parse::<f64>()
        .map_or(value, |number| number.to_string())
}
