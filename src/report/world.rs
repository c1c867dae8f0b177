//! The world in which the templates are compiled: a closed set of files in memory, our own fonts, a fixed day.
//!
//! Takes files by path; gives them to the compiler. Nothing is read from disk or network, and packages are refused.

use std::collections::BTreeMap;
use std::io::{self, Read as _};
use std::sync::OnceLock;

use typst::diag::{FileError, FileResult};
use typst::foundations::{Bytes, Datetime, Duration};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt, World};

use super::fonts::FACES;
use crate::deflated::Deflated;

/// The files of one report.
pub struct ReportWorld {
    library: LazyHash<Library>,
    main: FileId,
    /// By path from the root, such as `/lib/look.typ`.
    sources: BTreeMap<String, Source>,
    files: BTreeMap<String, Bytes>,
    texts: BTreeMap<String, Waiting>,
    today: Option<Datetime>,
    /// Our faces and the group's, where it brings its own.
    faces: Option<(LazyHash<FontBook>, Vec<Font>)>,
}

impl ReportWorld {
    /// A world whose main file is `main`; `None` if that is no path.
    pub fn new(main: &str, today: Option<Datetime>) -> Option<Self> {
        Some(Self {
            library: LazyHash::new(Library::builder().build()),
            main: id(main)?,
            sources: BTreeMap::new(),
            files: BTreeMap::new(),
            texts: BTreeMap::new(),
            today,
            faces: None,
        })
    }

    /// Adds a source file. A path that is none is left out, and the compiler will say that it is missing.
    pub fn add_source(&mut self, path: &str, text: String) {
        if let Some(id) = id(path) {
            self.sources.insert(path.to_owned(), Source::new(id, text));
        }
    }

    /// Adds fonts behind our own.
    pub fn add_fonts(&mut self, fonts: Vec<Font>) {
        if !fonts.is_empty() {
            let all: Vec<Font> = FACES.fonts.iter().cloned().chain(fonts).collect();
            self.faces = Some((LazyHash::new(FontBook::from_fonts(&all)), all));
        }
    }

    /// Adds a file of text, held small until it is asked for: several editions wait to be set, and of many sites each has megabytes.
    ///
    /// # Errors
    /// None in practice: what writes, writes to memory.
    pub fn add_text(
        &mut self,
        path: &str,
        write: impl FnOnce(&mut dyn io::Write) -> io::Result<()>,
    ) -> io::Result<()> {
        let waiting = Waiting {
            small: Deflated::of(write)?,
            whole: OnceLock::new(),
        };
        self.texts.insert(path.to_owned(), waiting);
        Ok(())
    }

    /// Adds a file of bytes.
    pub fn add_file(&mut self, path: &str, bytes: Bytes) {
        self.files.insert(path.to_owned(), bytes);
    }
}

/// A text that nobody has asked for yet, or that somebody has.
struct Waiting {
    small: Deflated,
    whole: OnceLock<Bytes>,
}

impl Waiting {
    fn whole(&self) -> FileResult<Bytes> {
        if let Some(whole) = self.whole.get() {
            return Ok(whole.clone());
        }
        let mut whole = Vec::new();
        self.small
            .plain()
            .read_to_end(&mut whole)
            .map_err(|error| FileError::Other(Some(error.to_string().into())))?;
        whole.shrink_to_fit();
        Ok(self.whole.get_or_init(|| Bytes::new(whole)).clone())
    }
}

fn id(path: &str) -> Option<FileId> {
    let path = VirtualPath::new(path).ok()?;
    Some(RootedPath::new(VirtualRoot::Project, path).intern())
}

/// The path of a file of the project; anything else, a package above all, is refused.
fn path_of(id: FileId) -> FileResult<&'static str> {
    let rooted = id.get();
    match rooted.root() {
        VirtualRoot::Project => Ok(rooted.vpath().get_with_slash()),
        VirtualRoot::Package(_) => Err(FileError::Other(Some(
            "packages can't be used: the report is set from what the program holds".into(),
        ))),
    }
}

fn missing(path: &str) -> FileError {
    FileError::NotFound(path.into())
}

impl World for ReportWorld {
    fn library(&self) -> &LazyHash<Library> {
        &self.library
    }

    fn book(&self) -> &LazyHash<FontBook> {
        self.faces.as_ref().map_or(&FACES.book, |(book, _)| book)
    }

    fn main(&self) -> FileId {
        self.main
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        let path = path_of(id)?;
        self.sources.get(path).cloned().ok_or_else(|| missing(path))
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        let path = path_of(id)?;
        if let Some(text) = self.texts.get(path) {
            return text.whole();
        }
        self.files.get(path).cloned().ok_or_else(|| missing(path))
    }

    fn font(&self, index: usize) -> Option<Font> {
        let fonts = self.faces.as_ref().map_or(&FACES.fonts, |(_, fonts)| fonts);
        fonts.get(index).cloned()
    }

    fn today(&self, _offset: Option<Duration>) -> Option<Datetime> {
        self.today
    }
}
