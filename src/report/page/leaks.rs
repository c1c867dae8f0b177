//! Is anything in a finished page that must not be there?
//!
//! Takes the page's bytes and a season's secrets; gives what leaks. Trusts nothing of how the page was made: text, attributes, styles,
//! script, comments and all that is embedded are looked into.

use std::collections::BTreeMap;

use super::{assets, readback};
use crate::photo::likeness::Look;
use crate::report::fonts;
use crate::report::leak::{Leak, in_picture, in_text, words_in};
use crate::report::privacy::Secrets;

/// Attributes that place a shape in its drawing. They are counted in points of the page, to two decimals at most, and a number among
/// them that happens to equal a degree says nothing. With more decimals it is looked at as any other number.
const GEOMETRY: [&str; 17] = [
    "d",
    "x",
    "y",
    "x1",
    "y1",
    "x2",
    "y2",
    "cx",
    "cy",
    "r",
    "rx",
    "width",
    "height",
    "viewbox",
    "transform",
    "font-size",
    "stroke-width",
];

/// Everything that leaks from a page. One that can't be read leaks by itself: nobody knows what is in it.
pub fn in_page(page: &[u8], secrets: &Secrets, looks: &BTreeMap<String, Look>) -> Vec<Leak> {
    let unknown = |what: &str, found: &str| Leak {
        what: what.to_owned(),
        found: found.to_owned(),
        place: "the page".to_owned(),
    };
    let Some(content) = readback::read(page) else {
        return vec![unknown("a file that can't be read back", "HTML")];
    };
    let mut leaks = in_text(&content.text, "the text of the page", secrets);
    for (name, value) in &content.attributes {
        let place = format!("the attribute {name}");
        leaks.extend(if GEOMETRY.contains(&name.as_str()) && coarse(value) {
            words_in(value, &place, secrets)
        } else {
            in_text(value, &place, secrets)
        });
    }
    let rules = assets::rules();
    for style in &content.styles {
        // Our own rules are the same in every page.
        let rest = style.strip_suffix(rules.as_str()).unwrap_or(style);
        leaks.extend(in_text(rest, "a style", secrets));
    }
    let script = assets::script();
    for text in content.scripts.iter().filter(|text| **text != script) {
        leaks.extend(in_text(text, "a script", secrets));
    }
    for comment in &content.comments {
        leaks.extend(in_text(comment, "a comment", secrets));
    }
    for drawing in &content.drawings {
        leaks.extend(in_text(drawing, "an embedded drawing", secrets));
    }
    for (number, picture) in content.pictures.iter().enumerate() {
        leaks.extend(in_picture(
            picture,
            &format!("picture {}", number + 1),
            looks,
        ));
    }
    for (kind, bytes) in &content.others {
        if !fonts::for_pages().any(|(_, _, _, face)| face == bytes.as_slice()) {
            leaks.push(unknown("something that can't be looked into", kind));
        }
    }
    for kind in &content.unreadable {
        leaks.push(unknown("something that can't be looked into", kind));
    }
    leaks.sort();
    leaks.dedup();
    leaks
}

/// Whether no number has more than two decimals.
fn coarse(value: &str) -> bool {
    value.split('.').skip(1).all(|after| {
        after
            .chars()
            .take_while(char::is_ascii_digit)
            .nth(2)
            .is_none()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(page: &str) -> Vec<String> {
        let secrets = Secrets {
            words: vec![("IMG_0417.jpg".into(), "the name of a withheld photo")],
            degrees: vec![43.217_86, 71.500_91],
            decimals: 3,
            photos: Vec::new(),
        };
        let mut places: Vec<String> = in_page(page.as_bytes(), &secrets, &BTreeMap::new())
            .iter()
            .map(|leak| leak.place.clone())
            .collect();
        places.dedup();
        places
    }

    #[test]
    fn a_name_or_a_place_is_found_wherever_it_stands() {
        for (page, place) in [
            ("<p>see IMG_<b>0417</b>.jpg", "the text of the page"),
            ("<p title='img_0417.jpg'>", "the attribute title"),
            ("<p data-at=43.21786>", "the attribute data-at"),
            ("<path d='M43.21786 71.50091'/>", "the attribute d"),
            ("<!-- IMG_0417.jpg -->", "a comment"),
            ("<style>p{content:'IMG_0417.jpg'}</style>", "a style"),
            ("<script>x = [43.2179]</script>", "a script"),
            (
                "<img src='data:image/svg+xml;base64,PHRleHQ+SU1HXzA0MTcuanBnPC90ZXh0Pg=='>",
                "an embedded drawing",
            ),
            ("<img src='data:image/png;base64,!'>", "the page"),
            ("<a href='data:font/ttf;base64,AAEC'>", "the page"),
        ] {
            assert_eq!(found(page), [place], "{page}");
        }
    }

    #[test]
    fn page_points_are_no_degrees() {
        assert!(found("<path d='M43.22 71.50L43.2 7.1Z'/><p>at 43.2").is_empty());
    }
}
