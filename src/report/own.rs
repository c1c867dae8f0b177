//! A group's own template: the folder `template/` of a season.
//!
//! Takes the season's list of files, gives sections that stand in place of ours, colours, fonts and a logo. Must read nothing outside
//! that folder. docs/templates.md tells a group what it may do.
//!
//! Three sections can't be replaced, since they say what a report must say: what the figures can't say, the findings, and how to
//! verify. The last one names the sections that were replaced.

use std::collections::BTreeMap;

use serde::Deserialize;
use typst::foundations::Bytes;
use typst::text::Font;

use super::error::{Mistake, ReportError, Spot};
use super::palette;
use super::templates;
use crate::season::{FileEntry, Season};
use crate::words;

/// The folder in the season.
pub const FOLDER: &str = "template/";

/// What a group says of its look.
const LOOK: &str = "template/look.toml";

/// Version of the contract between the data and the templates: docs/templates.md lists what each holds. It grows by one when
/// something that a template may rest on goes or changes its meaning; what is only added leaves it.
pub const CONTRACT: u32 = 1;

/// Sections that stay.
pub const FIXED: [&str; 3] = ["limits", "findings", "verify"];

/// The longest file that is read: a font of a large script has about as much.
const LONGEST: u64 = 20 << 20;

/// The most that all files together may take.
const LONGEST_IN_ALL: u64 = 60 << 20;

/// What a group's folder holds.
#[derive(Debug, Default)]
pub struct Own {
    /// Path in the report's world and text, `/sections/effort.typ` or `/own/…`.
    pub sources: BTreeMap<String, String>,
    /// Pictures and data beside them, by path in the report's world.
    pub files: BTreeMap<String, Bytes>,
    pub fonts: Vec<Font>,
    /// Names of replaced sections, sorted.
    pub replaced: Vec<String>,
    /// Colour by its name, `#rrggbb`.
    pub colours: BTreeMap<String, String>,
    pub text_face: Option<String>,
    pub figure_face: Option<String>,
    /// Path in the report's world, and the words for those who can't see it.
    pub logo: Option<(String, String)>,
}

/// look.toml.
#[derive(Debug, Default, Deserialize)]
#[serde(default, deny_unknown_fields)]
struct Look {
    contract: Option<u32>,
    logo: Option<String>,
    logo_alt: Option<String>,
    colours: BTreeMap<String, String>,
    fonts: FontNames,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default, deny_unknown_fields)]
struct FontNames {
    text: Option<String>,
    figures: Option<String>,
}

/// A mistake without a line of its own.
fn mistake(file: &str, message: String, hint: &str) -> Mistake {
    Mistake {
        message: format!("{file}: {message}"),
        hints: vec![hint.to_owned()],
        spot: None,
    }
}

/// Reads the folder; empty where the season has none.
///
/// # Errors
/// All mistakes at once: a section that there is not, a look that can't be read, a contract of another version.
pub fn read(season: &Season) -> Result<Own, ReportError> {
    let mut own = Own::default();
    let mut mistakes = Vec::new();
    let mut total = 0;
    let mut look = None;
    for file in season.files.iter() {
        let Some(path) = file.path.strip_prefix(FOLDER) else {
            continue;
        };
        total += file.bytes;
        if file.bytes > LONGEST || total > LONGEST_IN_ALL {
            mistakes.push(mistake(
                &file.path,
                "it is too large for a template".to_owned(),
                "A template may have 60 MB in all, and 20 MB a file",
            ));
            break;
        }
        let bytes = match std::fs::read(file.on_disk()) {
            Ok(bytes) => bytes,
            Err(error) => {
                return Err(ReportError::Machine(format!(
                    "{} can't be read: {error}",
                    file.path
                )));
            }
        };
        if file.path == LOOK {
            look = Some((file, bytes));
        } else if let Some(section) = path.strip_prefix("sections/") {
            own.section(file, section, bytes, &mut mistakes);
        } else if path.starts_with("fonts/") {
            own.fonts_of(file, bytes, &mut mistakes);
        } else if let Some(text) = path.strip_suffix(".typ").and(text_of(&bytes)) {
            own.sources.insert(format!("/own/{path}"), text);
        } else {
            own.files.insert(format!("/own/{path}"), Bytes::new(bytes));
        }
    }
    if let Some((file, bytes)) = look {
        own.look(season, file, &bytes, &mut mistakes);
    }
    if mistakes.is_empty() {
        Ok(own)
    } else {
        Err(ReportError::Template(mistakes))
    }
}

fn text_of(bytes: &[u8]) -> Option<String> {
    String::from_utf8(bytes.to_vec()).ok()
}

impl Own {
    fn section(
        &mut self,
        file: &FileEntry,
        name: &str,
        bytes: Vec<u8>,
        mistakes: &mut Vec<Mistake>,
    ) {
        let sections: Vec<&str> = templates::sections().collect();
        let stem = name.strip_suffix(".typ").unwrap_or(name);
        if FIXED.contains(&stem) {
            mistakes.push(mistake(
                &file.path,
                format!("the section '{stem}' can't be replaced"),
                "What the figures can't say, the findings, and how to verify stand in every report as they are",
            ));
        } else if !name.ends_with(".typ") || !sections.contains(&stem) {
            let near = crate::season::value::nearest(stem, sections.iter().copied());
            mistakes.push(mistake(
                &file.path,
                format!("there is no section '{stem}' to be replaced"),
                &match near {
                    Some(near) => format!("did you mean {near}.typ?"),
                    None => format!("The sections are {}", sections.join(", ")),
                },
            ));
        } else if let Some(text) = text_of(&bytes) {
            self.sources.insert(format!("/sections/{name}"), text);
            self.replaced.push(stem.to_owned());
        } else {
            mistakes.push(mistake(
                &file.path,
                "it is not UTF-8 text".to_owned(),
                "Save it as UTF-8",
            ));
        }
    }

    fn fonts_of(&mut self, file: &FileEntry, bytes: Vec<u8>, mistakes: &mut Vec<Mistake>) {
        let lower = file.path.to_lowercase();
        if ![".ttf", ".otf", ".ttc"]
            .iter()
            .any(|end| lower.ends_with(end))
        {
            // A licence beside the fonts is welcome.
            return;
        }
        let before = self.fonts.len();
        self.fonts.extend(Font::iter(Bytes::new(bytes)));
        if self.fonts.len() == before {
            mistakes.push(mistake(
                &file.path,
                "no font can be read from it".to_owned(),
                "Fonts are TrueType or OpenType: .ttf, .otf or .ttc",
            ));
        }
    }

    fn look(
        &mut self,
        season: &Season,
        file: &FileEntry,
        bytes: &[u8],
        mistakes: &mut Vec<Mistake>,
    ) {
        let Some(text) = text_of(bytes) else {
            mistakes.push(mistake(
                &file.path,
                "it is not UTF-8 text".to_owned(),
                "Save it as UTF-8",
            ));
            return;
        };
        let look: Look = match toml::from_str(&text) {
            Ok(look) => look,
            Err(error) => {
                mistakes.push(Mistake {
                    message: error.message().to_owned(),
                    hints: Vec::new(),
                    spot: error.span().map(|span| spot(&file.path, &text, span)),
                });
                return;
            }
        };
        if let Some(wanted) = look.contract.filter(|wanted| *wanted != CONTRACT) {
            mistakes.push(mistake(
                &file.path,
                format!("this template was made for contract {wanted}, and this windrow keeps contract {CONTRACT}"),
                "docs/templates.md tells what changed; mend the template and then its number",
            ));
        }
        for (name, value) in look.colours {
            if !palette::ALL.iter().any(|colour| colour.name == name) {
                let names: Vec<&str> = palette::ALL.iter().map(|colour| colour.name).collect();
                mistakes.push(mistake(
                    &file.path,
                    format!("there is no colour '{name}'"),
                    &format!("The colours are {}", names.join(", ")),
                ));
            } else if !palette::is_hex(&value) {
                mistakes.push(mistake(
                    &file.path,
                    format!("{name} = {value:?} is no colour"),
                    "A colour is written as \"#17242b\"",
                ));
            } else {
                self.colours.insert(name, value.to_lowercase());
            }
        }
        for (wanted, face) in [
            (look.fonts.text, &mut self.text_face),
            (look.fonts.figures, &mut self.figure_face),
        ] {
            let Some(wanted) = wanted else { continue };
            if self.fonts.iter().any(|font| font.info().family == wanted) {
                *face = Some(wanted);
            } else {
                let mut there: Vec<&str> = self
                    .fonts
                    .iter()
                    .map(|font| font.info().family.as_str())
                    .collect();
                there.dedup();
                mistakes.push(mistake(
                    &file.path,
                    format!("no font of the family '{wanted}' lies in template/fonts/"),
                    &if there.is_empty() {
                        "There is no font in it".to_owned()
                    } else {
                        format!("There are {}", there.join(", "))
                    },
                ));
            }
        }
        if let Some(logo) = look.logo {
            let path = format!("/own/{logo}");
            if self.files.contains_key(&path) {
                let alt = look.logo_alt.unwrap_or_else(|| {
                    words!(
                        "Logo of {programme}",
                        programme = season.settings.programme.as_str()
                    )
                    .say(season.settings.report.language)
                });
                self.logo = Some((path, alt));
            } else {
                mistakes.push(mistake(
                    &file.path,
                    format!("there is no picture template/{logo}"),
                    "The logo is named by its path below template/",
                ));
            }
        }
    }

    /// Colours of text that can't be read well on one of the grounds: their names, the ground's, and the contrast.
    pub fn faint(&self) -> Vec<(&'static str, &'static str, f64)> {
        let hex = |colour: palette::Colour| {
            self.colours
                .get(colour.name)
                .map_or(colour.hex, String::as_str)
        };
        let mut faint = Vec::new();
        for text in palette::TEXT {
            for ground in palette::GROUNDS {
                // What the group left as it is was proved already.
                let ours = [text, ground]
                    .iter()
                    .all(|colour| !self.colours.contains_key(colour.name));
                let contrast = palette::contrast(hex(*text), hex(*ground));
                if !ours && contrast < palette::READABLE {
                    faint.push((text.name, ground.name, contrast));
                }
            }
        }
        faint
    }
}

/// A place in a text of which the compiler knows nothing.
fn spot(file: &str, text: &str, span: std::ops::Range<usize>) -> Spot {
    let before = text.get(..span.start).unwrap_or(text);
    let line = before.matches('\n').count();
    let start = before.rfind('\n').map_or(0, |at| at + 1);
    let whole = text.get(start..).unwrap_or_default();
    let meant = text.get(span).unwrap_or_default();
    Spot {
        file: file.to_owned(),
        line: line + 1,
        column: before.get(start..).unwrap_or_default().chars().count() + 1,
        text: whole.lines().next().unwrap_or_default().to_owned(),
        length: meant
            .lines()
            .next()
            .unwrap_or_default()
            .chars()
            .count()
            .max(1),
    }
}
