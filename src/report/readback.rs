//! A finished PDF read back: its words, texts beside the pages, pictures, attachments and tags.
//!
//! Takes bytes, gives values. Uses a reader of PDF that shares nothing with the writer, and follows every object of the file, so that
//! what no page shows is seen as well.

use std::collections::{BTreeMap, BTreeSet};

use hayro_cmap::{BfString, CMap};
use hayro_syntax::Pdf;
use hayro_syntax::content::UntypedIter;
use hayro_syntax::object::{Array, Dict, MaybeRef, Name, Object, Stream};
use image::{DynamicImage, GrayImage, RgbImage};

/// What is in a PDF.
#[derive(Debug, Default)]
pub struct PdfContent {
    /// The words of each page and then of each drawing, a line for each run of text.
    pub texts: Vec<String>,
    /// Alternative texts, titles, names, and whatever else stands in the file as a text of its own.
    pub strings: Vec<String>,
    /// Attachments, metadata, and all streams of no known kind.
    pub streams: Vec<Vec<u8>>,
    pub pictures: Vec<StoredPicture>,
    pub pages: usize,
}

/// A picture as it is stored.
#[derive(Debug)]
pub struct StoredPicture {
    /// The file's own bytes, a JPEG for example.
    pub bytes: Vec<u8>,
    /// Its pixels; `None` if they can't be told.
    pub pixels: Option<DynamicImage>,
}

/// Reads the PDF; `None` if it is none.
pub fn read(pdf: &[u8]) -> Option<PdfContent> {
    let pdf = Pdf::new(pdf.to_vec()).ok()?;
    let mut content = PdfContent::default();
    let mut of_pages: BTreeSet<(i32, i32)> = BTreeSet::new();
    for page in pdf.pages().iter() {
        content.pages += 1;
        let raw = page.raw();
        of_pages.extend(
            raw.get_ref("Contents")
                .map(|reference| (reference.obj_number, reference.gen_number)),
        );
        if let Some(parts) = raw.get::<Array<'_>>("Contents") {
            for part in parts.raw_iter() {
                if let MaybeRef::Ref(reference) = part {
                    of_pages.insert((reference.obj_number, reference.gen_number));
                }
            }
        }
        let fonts = fonts(&page.resources().fonts);
        let bytes = page.page_stream().unwrap_or_default();
        content
            .texts
            .push(words(bytes, &fonts, &mut content.strings));
    }
    let of_fonts = font_files(&pdf);
    for object in pdf.objects() {
        collect_strings(&object, &mut content.strings, 0);
        if let Object::Stream(stream) = object {
            let id = stream.obj_id();
            let id = (id.obj_number, id.gen_number);
            if !of_pages.contains(&id) && !of_fonts.contains(&id) {
                sort(&stream, &mut content);
            }
        }
    }
    Some(content)
}

/// The streams that hold letters' outlines and which of them there are.
fn font_files(pdf: &Pdf) -> BTreeSet<(i32, i32)> {
    let mut found = BTreeSet::new();
    for object in pdf.objects() {
        if let Object::Dict(dict) = object {
            for key in ["FontFile", "FontFile2", "FontFile3", "CIDSet"] {
                if let Some(reference) = dict.get_ref(key) {
                    found.insert((reference.obj_number, reference.gen_number));
                }
            }
        }
    }
    found
}

/// Puts a stream where it belongs.
fn sort(stream: &Stream<'_>, content: &mut PdfContent) {
    let dict = stream.dict();
    let name = |key: &str| {
        dict.get::<Name<'_>>(key)
            .map(|name| name.as_str().to_owned())
    };
    let (kind, subtype) = (name("Type"), name("Subtype"));
    match (kind.as_deref(), subtype.as_deref()) {
        (_, Some("Image")) => content.pictures.push(picture(stream)),
        (_, Some("Form")) | (Some("Pattern"), _) => {
            let resources = dict.get::<Dict<'_>>("Resources").unwrap_or_default();
            let fonts = fonts(&resources.get::<Dict<'_>>("Font").unwrap_or_default());
            if let Ok(bytes) = stream.decoded() {
                let words = words(&bytes, &fonts, &mut content.strings);
                if !words.is_empty() {
                    content.texts.push(words);
                }
            }
        }
        // The file's own order, letters and colours: they say nothing.
        (Some("XRef" | "ObjStm" | "CMap"), _)
        | (_, Some("CIDFontType0C" | "OpenType" | "Type1C")) => {}
        _ if [
            "Length1",
            "N",
            "FunctionType",
            "ShadingType",
            "PatternType",
            "CMapName",
        ]
        .iter()
        .any(|key| dict.contains_key(key)) => {}
        _ => {
            let Ok(bytes) = stream.decoded() else { return };
            if image::guess_format(&bytes).is_ok() {
                content.pictures.push(StoredPicture {
                    pixels: image::load_from_memory(&bytes).ok(),
                    bytes: bytes.into_owned(),
                });
            } else {
                content.streams.push(bytes.into_owned());
            }
        }
    }
}

fn picture(stream: &Stream<'_>) -> StoredPicture {
    let bytes = stream.raw_data().into_owned();
    let pixels = image::load_from_memory(&bytes).ok().or_else(|| {
        // No file of its own: bare samples of one or three bytes.
        let dict = stream.dict();
        let width = u32::try_from(dict.get::<i32>("Width")?).ok()?;
        let height = u32::try_from(dict.get::<i32>("Height")?).ok()?;
        let samples = stream.decoded().ok()?.into_owned();
        let each = samples.len() / (width as usize * height as usize).max(1);
        match each {
            1 => GrayImage::from_raw(width, height, samples).map(DynamicImage::ImageLuma8),
            3 => RgbImage::from_raw(width, height, samples).map(DynamicImage::ImageRgb8),
            _ => None,
        }
    });
    StoredPicture { bytes, pixels }
}

/// How the codes of a font become letters, and how many bytes a code has.
struct Letters {
    map: Option<CMap>,
    bytes: usize,
}

fn fonts(dict: &Dict<'_>) -> BTreeMap<String, Letters> {
    dict.keys()
        .filter_map(|key| {
            let font = dict.get::<Dict<'_>>(&*key)?;
            let composite = font
                .get::<Name<'_>>("Subtype")
                .is_some_and(|subtype| subtype.as_str() == "Type0");
            let map = font.get::<Stream<'_>>("ToUnicode").and_then(|stream| {
                let bytes = stream.decoded().ok()?;
                CMap::parse(&bytes, |_| None)
            });
            let letters = Letters {
                map,
                bytes: if composite { 2 } else { 1 },
            };
            Some((key.as_str().to_owned(), letters))
        })
        .collect()
}

/// The words of a content stream, a line a run. Texts that stand for what is shown go to `strings`.
fn words(bytes: &[u8], fonts: &BTreeMap<String, Letters>, strings: &mut Vec<String>) -> String {
    let mut text = String::new();
    let mut font: Option<&Letters> = None;
    let mut instructions = UntypedIter::new(bytes);
    while let Some(instruction) = instructions.next() {
        let operator: &[u8] = instruction.operator;
        match operator {
            b"Tf" => {
                font = instruction
                    .operands()
                    .find_map(|operand| operand.clone().into_name())
                    .and_then(|name| fonts.get(name.as_str()));
            }
            b"Tj" | b"'" | b"\"" | b"TJ" => {
                for operand in instruction.operands() {
                    match operand {
                        Object::String(string) => spell(string.as_bytes(), font, &mut text),
                        Object::Array(parts) => {
                            for part in parts.iter::<Object<'_>>() {
                                if let Object::String(string) = part {
                                    spell(string.as_bytes(), font, &mut text);
                                }
                            }
                        }
                        _ => {}
                    }
                }
                text.push('\n');
            }
            b"BDC" | b"DP" => {
                for operand in instruction.operands() {
                    collect_strings(operand, strings, 0);
                }
            }
            _ => {}
        }
    }
    text
}

fn spell(codes: &[u8], font: Option<&Letters>, text: &mut String) {
    let Some(font) = font else { return };
    for code in codes.chunks(font.bytes) {
        let code = code
            .iter()
            .fold(0u32, |code, byte| (code << 8) | u32::from(*byte));
        match font.map.as_ref().and_then(|map| map.lookup_bf_string(code)) {
            Some(BfString::Char(letter)) => text.push(letter),
            Some(BfString::String(letters)) => text.push_str(&letters),
            None => {}
        }
    }
}

/// How deep objects may nest; a bound against a file that is meant to harm.
const DEEPEST: usize = 64;

/// All texts in an object. References are not followed: each object of the file comes by itself.
fn collect_strings(object: &Object<'_>, strings: &mut Vec<String>, depth: usize) {
    if depth > DEEPEST {
        return;
    }
    let of_dict = |dict: &Dict<'_>, strings: &mut Vec<String>| {
        for (_, value) in dict.entries() {
            if let MaybeRef::NotRef(value) = value {
                collect_strings(&value, strings, depth + 1);
            }
        }
    };
    match object {
        Object::String(string) => strings.push(decoded(string.as_bytes())),
        Object::Dict(dict) => of_dict(dict, strings),
        Object::Stream(stream) => of_dict(stream.dict(), strings),
        Object::Array(array) => {
            for value in array.raw_iter() {
                if let MaybeRef::NotRef(value) = value {
                    collect_strings(&value, strings, depth + 1);
                }
            }
        }
        _ => {}
    }
}

/// A text as PDF writes it: UTF-16 behind a mark, else UTF-8 or one byte a letter.
fn decoded(bytes: &[u8]) -> String {
    match bytes {
        [0xfe, 0xff, rest @ ..] => {
            let units: Vec<u16> = rest
                .chunks_exact(2)
                .filter_map(|pair| Some(u16::from_be_bytes(pair.try_into().ok()?)))
                .collect();
            String::from_utf16_lossy(&units)
        }
        [0xef, 0xbb, 0xbf, rest @ ..] => String::from_utf8_lossy(rest).into_owned(),
        plain => match std::str::from_utf8(plain) {
            Ok(text) => text.to_owned(),
            Err(_) => plain.iter().map(|byte| char::from(*byte)).collect(),
        },
    }
}

#[cfg(test)]
pub mod tags {
    //! The tag tree, for tests.

    use super::*;

    /// A tag with what it holds.
    #[derive(Debug, Clone)]
    pub struct Tag {
        pub kind: String,
        pub alt: Option<String>,
        pub children: Vec<Tag>,
        /// Does it hold marked content?
        pub content: bool,
    }

    impl Tag {
        pub fn all(&self) -> Vec<&Tag> {
            let mut all = vec![self];
            for child in &self.children {
                all.extend(child.all());
            }
            all
        }
    }

    pub fn tree(pdf: &[u8]) -> Option<(Dictionary, Tag)> {
        let pdf = Pdf::new(pdf.to_vec()).ok()?;
        let root = pdf.xref().get::<Dict<'_>>(pdf.xref().root_id())?;
        let tree = root.get::<Dict<'_>>("StructTreeRoot")?;
        let roles = tree.get::<Dict<'_>>("RoleMap").unwrap_or_default();
        let text = |key: &str| {
            root.get::<hayro_syntax::object::String<'_>>(key)
                .map(|text| decoded(text.as_bytes()))
        };
        let catalogue = Dictionary {
            language: text("Lang"),
            marked: root
                .get::<Dict<'_>>("MarkInfo")
                .and_then(|info| info.get::<bool>("Marked"))
                .unwrap_or(false),
            shows_title: root
                .get::<Dict<'_>>("ViewerPreferences")
                .and_then(|view| view.get::<bool>("DisplayDocTitle"))
                .unwrap_or(false),
        };
        Some((catalogue, tag(&tree, &roles, "Root")))
    }

    pub struct Dictionary {
        pub language: Option<String>,
        pub marked: bool,
        pub shows_title: bool,
    }

    fn tag(dict: &Dict<'_>, roles: &Dict<'_>, fallback: &str) -> Tag {
        let kind = dict
            .get::<Name<'_>>("S")
            .map_or_else(|| fallback.to_owned(), |name| name.as_str().to_owned());
        let kind = roles
            .get::<Name<'_>>(kind.as_str())
            .map_or(kind, |name| name.as_str().to_owned());
        let mut found = Tag {
            kind,
            alt: dict
                .get::<hayro_syntax::object::String<'_>>("Alt")
                .map(|text| decoded(text.as_bytes())),
            children: Vec::new(),
            content: false,
        };
        let mut child = |object: Object<'_>| match object {
            Object::Dict(dict) if dict.contains_key("S") => {
                found.children.push(tag(&dict, roles, "?"));
            }
            Object::Dict(_) | Object::Number(_) => found.content = true,
            _ => {}
        };
        match dict.get::<Object<'_>>("K") {
            Some(Object::Array(kids)) => kids.iter::<Object<'_>>().for_each(&mut child),
            Some(other) => child(other),
            None => {}
        }
        found
    }
}
