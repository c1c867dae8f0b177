//! Where the outputs of a season go, and how they are named.
//!
//! Takes the season folder and its name; gives paths beside it. Must not name a place in the folder itself.

use std::io::{self, Write};
use std::path::{Path, PathBuf};

use super::exit::Failure;
use crate::archive;
use crate::output::{self, Unfinished};
use crate::report::{self, Form};
use crate::season::{self, Edition};

/// Letters of a folder's name that outputs bear at most: with what is added, short on every system.
const LONGEST_NAME: usize = 60;

/// Names and places of a season's outputs.
pub struct Outputs {
    root: PathBuf,
    /// The folder's own name.
    name: String,
}

impl Outputs {
    /// Of a season folder that nobody has read yet.
    pub fn of(root: &Path) -> Self {
        let canonical = root.canonicalize().unwrap_or_else(|_| root.to_owned());
        Self::named(root, &season::name_of(&canonical))
    }

    /// Of a season folder of this name.
    pub fn named(root: &Path, name: &str) -> Self {
        Self {
            root: root.to_owned(),
            name: name.to_owned(),
        }
    }

    /// Where outputs go, and that they don't go into the season folder.
    pub fn place(&self, wanted: Option<&Path>) -> Result<PathBuf, Failure> {
        let folder = match wanted {
            Some(wanted) => wanted.to_owned(),
            None => self.folder_beside(),
        };
        self.outside(&folder)?;
        Ok(folder)
    }

    /// The same, made if it isn't there.
    pub fn folder(&self, wanted: Option<&Path>) -> Result<PathBuf, Failure> {
        let folder = self.place(wanted)?;
        make(&folder).map_err(unwritten(&folder))?;
        Ok(folder)
    }

    /// The archive where `pack` and `close` put it unless told otherwise, if one is there.
    pub fn archive_beside(&self) -> Option<PathBuf> {
        let path = self.folder_beside().join(self.archive_name());
        path.is_file().then_some(path)
    }

    /// Where outputs go unless told otherwise.
    fn folder_beside(&self) -> PathBuf {
        self.root
            .canonicalize()
            .ok()
            .and_then(|root| root.parent().map(Path::to_owned))
            .unwrap_or_else(|| PathBuf::from("."))
            .join(format!("{}-out", self.plain_name()))
    }

    /// Refuses a path in the season folder.
    pub fn outside(&self, path: &Path) -> Result<(), Failure> {
        outside(&self.root, path)
    }

    /// The folder's name in letters that every system takes in a file's name.
    pub fn plain_name(&self) -> String {
        let base = format!("{}-evidence", self.name);
        if archive::profile::check_base(&base).is_ok() {
            return self.name.clone();
        }
        let plain: String = self
            .name
            .chars()
            .map(|c| if c.is_ascii_alphanumeric() { c } else { '-' })
            .take(LONGEST_NAME)
            .collect();
        match plain.trim_matches('-') {
            "" => "season".to_owned(),
            name => name.to_owned(),
        }
    }

    /// The file's name of an edition in a form.
    pub fn report_name(&self, edition: Edition, form: Form) -> Result<String, Failure> {
        let ending = report::edition::ending(edition, form);
        let ending = ending.ok_or(report::ReportError::NoPage(edition))?;
        Ok(format!("{}{ending}", self.plain_name()))
    }

    /// Where one edition is written: the path asked for, or its own name among the outputs.
    pub fn report_path(
        &self,
        wanted: Option<&Path>,
        edition: Edition,
        form: Form,
    ) -> Result<PathBuf, Failure> {
        match wanted {
            Some(path) => {
                self.outside(path)?;
                Ok(path.to_owned())
            }
            None => {
                let name = self.report_name(edition, form)?;
                Ok(self.folder(None)?.join(name))
            }
        }
    }

    pub fn archive_name(&self) -> String {
        format!("{}-evidence.zip", self.plain_name())
    }

    pub fn handover_name(&self) -> String {
        format!("{}-evidence-handover.zip", self.plain_name())
    }

    /// The folder in the archive.
    pub fn archive_base(&self) -> String {
        format!("{}-evidence", self.plain_name())
    }
}

/// Makes a folder that isn't there yet, so that it lasts.
///
/// # Errors
/// Whatever the file system says.
pub fn make(folder: &Path) -> io::Result<()> {
    if !folder.is_dir() {
        std::fs::create_dir_all(folder)?;
        if let Some(above) = folder.parent() {
            output::sync_folder(above);
        }
    }
    Ok(())
}

/// Writes an output whole or not at all.
pub fn write(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    output::write_whole(path, bytes).map_err(unwritten(path))
}

/// Writes an output that has yet to get its name.
pub fn write_but_for_the_name(path: &Path, bytes: &[u8]) -> Result<Unfinished, Failure> {
    let mut unfinished = Unfinished::beside(path).map_err(unwritten(path))?;
    unfinished
        .file()
        .write_all(bytes)
        .and_then(|()| unfinished.file().sync_all())
        .map_err(unwritten(path))?;
    Ok(unfinished)
}

/// Names the output that an error stopped.
pub fn unwritten(path: &Path) -> impl FnOnce(io::Error) -> Failure {
    let path = path.to_owned();
    move |source| Failure::Write { path, source }
}

/// Refuses a path in a folder whose files are not to be changed.
pub fn outside(root: &Path, path: &Path) -> Result<(), Failure> {
    let root = root.canonicalize();
    // The path itself need not be there yet; its nearest folder that is decides.
    let absolute = std::path::absolute(path).unwrap_or_else(|_| path.to_owned());
    let place = absolute
        .ancestors()
        .find_map(|above| above.canonicalize().ok());
    if let (Ok(root), Some(place)) = (root, place)
        && place.starts_with(&root)
    {
        return Err(Failure::OutputInSeason {
            path: path.to_owned(),
        });
    }
    Ok(())
}
