//! A finished page read back: its words, what stands in attributes, and everything that is embedded in it.
//!
//! Takes bytes, gives values. Reads with a tokenizer of the HTML standard, which shares nothing with the template library that wrote
//! the page, and looks into every `data:` address, down to those in a drawing within a drawing.

use base64::Engine;
use base64::prelude::BASE64_STANDARD;
use html5gum::{DefaultEmitter, Token, Tokenizer};

use crate::report::readback::StoredPicture;

/// What is in a page.
#[derive(Debug, Default)]
pub struct PageContent {
    /// The words as they are read, a line for each block.
    pub text: String,
    /// Name and value of every attribute, without embedded bytes.
    pub attributes: Vec<(String, String)>,
    pub comments: Vec<String>,
    pub styles: Vec<String>,
    pub scripts: Vec<String>,
    /// The markup of embedded drawings, without what is embedded in them.
    pub drawings: Vec<String>,
    pub pictures: Vec<StoredPicture>,
    /// Whatever else is embedded, with its kind: faces.
    pub others: Vec<(String, Vec<u8>)>,
    /// Addresses that can't be looked into.
    pub unreadable: Vec<String>,
    /// Names of all elements, in the order in which they begin.
    pub elements: Vec<String>,
}

/// Elements that stand within a line.
const INLINE: [&str; 13] = [
    "a", "b", "bdi", "code", "em", "i", "span", "strong", "small", "sub", "sup", "wbr", "time",
];

/// Drawings in drawings in drawings are followed so far.
const DEEPEST: usize = 4;

/// Reads the page; `None` if it is no text.
pub fn read(page: &[u8]) -> Option<PageContent> {
    let page = std::str::from_utf8(page).ok()?;
    let mut content = PageContent::default();
    let mut emitter = DefaultEmitter::default();
    emitter.naively_switch_states(true);
    let mut within = String::new();
    for token in Tokenizer::new_with_emitter(page, emitter) {
        match token {
            Ok(Token::StartTag(tag)) => {
                let name = lossy(&tag.name);
                if !INLINE.contains(&name.as_str()) {
                    content.text.push('\n');
                }
                for (key, value) in &tag.attributes {
                    let value = content.without_embedded(&lossy(value), 0);
                    content.attributes.push((lossy(key), value));
                }
                content.elements.push(name.clone());
                within = name;
            }
            Ok(Token::EndTag(tag)) => {
                if !INLINE.contains(&lossy(&tag.name).as_str()) {
                    content.text.push('\n');
                }
                within.clear();
            }
            Ok(Token::String(text)) => {
                let text = lossy(&text);
                match within.as_str() {
                    "style" => {
                        let text = content.without_embedded(&text, 0);
                        content.styles.push(text);
                    }
                    "script" => content.scripts.push(text),
                    _ => content.text.push_str(&text),
                }
            }
            Ok(Token::Comment(text)) => content.comments.push(lossy(&text)),
            Ok(Token::Doctype(_) | Token::Error(_)) => {}
            // Reading from memory can't fail.
            Err(error) => match error {},
        }
    }
    Some(content)
}

fn lossy(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

impl PageContent {
    /// The text without its `data:` addresses, whose bytes are sorted to where they belong.
    fn without_embedded(&mut self, text: &str, depth: usize) -> String {
        let mut parts = text.split("data:");
        let mut out = parts.next().unwrap_or_default().to_owned();
        for part in parts {
            let end = part
                .find(['"', '\'', ')', ' ', '<', '>', '\n'])
                .unwrap_or(part.len());
            let (address, rest) = part.split_at(end);
            match address.split_once(',') {
                Some((kind, data)) => self.embedded(kind, data, depth),
                // The word by itself, as in a policy.
                None => out.push_str("data:"),
            }
            if !address.contains(',') {
                out.push_str(address);
            }
            out.push_str(rest);
        }
        out
    }

    fn embedded(&mut self, kind: &str, data: &str, depth: usize) {
        let bytes = kind
            .strip_suffix(";base64")
            .and_then(|kind| Some((kind, BASE64_STANDARD.decode(data.trim()).ok()?)));
        let Some((kind, bytes)) = bytes.filter(|_| depth < DEEPEST) else {
            self.unreadable.push(kind.to_owned());
            return;
        };
        if kind == "image/svg+xml" {
            match String::from_utf8(bytes) {
                Ok(text) => {
                    let text = self.without_embedded(&text, depth + 1);
                    self.drawings.push(text);
                }
                Err(_) => self.unreadable.push(kind.to_owned()),
            }
        } else if kind.starts_with("image/") {
            let pixels = image::load_from_memory(&bytes).ok();
            self.pictures.push(StoredPicture { bytes, pixels });
        } else {
            self.others.push((kind.to_owned(), bytes));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_attributes_and_what_is_embedded_come_apart() {
        let inner = BASE64_STANDARD.encode("<svg><text>deep</text></svg>");
        let outer = BASE64_STANDARD.encode(format!(
            "<svg><image href=\"data:image/svg+xml;base64,{inner}\"/></svg>"
        ));
        let page = format!(
            "<!DOCTYPE html><title>A &amp; B</title><style>p{{src:url(data:font/ttf;base64,AAEC)}}</style>\
             <p title='x &lt; y'>one <b>t</b>wo</p><!-- three --><img src=\"data:image/svg+xml;base64,{outer}\">\
             <img src=data:image/png;base64,AAAA><script>if (1 < 2) {{}}</script><img src='data:image/gif,x'>"
        );
        let content = read(page.as_bytes()).unwrap();
        assert!(content.text.contains("A & B") && content.text.contains("one two"));
        assert!(!content.text.contains("1 < 2"));
        assert!(
            content
                .attributes
                .contains(&("title".into(), "x < y".into()))
        );
        assert_eq!(content.comments, [" three "]);
        assert_eq!(content.scripts, ["if (1 < 2) {}"]);
        assert_eq!(content.others, [("font/ttf".to_owned(), vec![0, 1, 2])]);
        assert_eq!(content.drawings.len(), 2);
        assert!(content.drawings.iter().any(|text| text.contains("deep")));
        assert_eq!(content.pictures.len(), 1);
        assert_eq!(content.unreadable, ["image/gif"]);
    }
}
