use std::io::Write;
use std::path::{Path, PathBuf};

use crate::error::{Error, Result};

/// A folder of results that appears whole or not at all.
///
/// Files are written beside the target under a temporary name and the folder is renamed into place
/// at the end; when something fails before that, nothing is left behind. An existing folder is kept
/// unless the caller says to replace it, and then only once the new one is complete.
#[derive(Debug)]
pub struct OutputFolder {
    staged: tempfile::TempDir,
    target: PathBuf,
}

/// Whether an existing target may be replaced.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Existing {
    /// Keep it and fail.
    Keep,
    /// Replace it.
    Replace,
}

impl OutputFolder {
    /// How many numbered folders are tried before giving up.
    const MAX_NUMBER: u32 = 9999;

    /// Begins a folder at `target`.
    ///
    /// # Errors
    /// `Inconsistent` when the target exists and is to be kept; `Io` when the parent folder cannot
    /// be written.
    pub fn begin(target: &Path, existing: Existing) -> Result<Self> {
        if target.exists() && existing == Existing::Keep {
            return Err(Error::io(target, std::io::ErrorKind::AlreadyExists.into())
                .with_hint("choose another folder, or add --replace to write over this one"));
        }
        if target.exists() && !target.is_dir() {
            return Err(Error::io(target, std::io::ErrorKind::NotADirectory.into()));
        }
        let parent = match target.parent() {
            Some(parent) if !parent.as_os_str().is_empty() => parent,
            _ => Path::new("."),
        };
        let staged = tempfile::Builder::new()
            .prefix(".loopcrest-")
            .tempdir_in(parent)
            .map_err(|source| Error::io(parent, source))?;
        Ok(Self { staged, target: target.to_owned() })
    }

    /// Begins the first free folder of `prefix-001`, `prefix-002`, ...
    ///
    /// # Errors
    /// As [`Self::begin`], or `Inconsistent` when all numbers are taken.
    pub fn begin_numbered(parent: &Path, prefix: &str) -> Result<Self> {
        let free = (1..=Self::MAX_NUMBER)
            .map(|number| parent.join(format!("{prefix}-{number:03}")))
            .find(|candidate| !candidate.exists())
            .ok_or_else(|| {
                Error::inconsistent(format!("{prefix}-001 to -{} all exist", Self::MAX_NUMBER))
                    .with_hint("remove old results, or name a folder with --out")
            })?;
        Self::begin(&free, Existing::Keep)
    }

    /// Adds a file.
    ///
    /// # Errors
    /// `Io` when it cannot be written.
    pub fn add(&self, name: &str, bytes: &[u8]) -> Result<()> {
        let path = self.staged.path().join(name);
        let write = || -> std::io::Result<()> {
            let mut file = std::fs::File::create_new(&path)?;
            file.write_all(bytes)?;
            file.sync_all()
        };
        write().map_err(|source| Error::io(self.target.join(name), source))
    }

    /// Puts the folder in its place and returns where that is.
    ///
    /// # Errors
    /// `Io` when the folder cannot be put in place; an old folder that was to be replaced is then
    /// back where it was.
    pub fn finish(self) -> Result<PathBuf> {
        let target = self.target;
        let failed = |source| Error::io(&target, source);
        let old = if target.exists() {
            let aside = self.staged.path().with_extension("old");
            std::fs::rename(&target, &aside).map_err(failed)?;
            Some(aside)
        } else {
            None
        };
        let staged = self.staged.keep();
        if let Err(source) = std::fs::rename(&staged, &target) {
            if let Some(aside) = old {
                // Nothing more can be done if even this fails; the old files stand at `aside`.
                let _ = std::fs::rename(aside, &target);
            }
            let _ = std::fs::remove_dir_all(staged);
            return Err(failed(source));
        }
        if let Some(aside) = old {
            std::fs::remove_dir_all(&aside).map_err(|source| Error::io(aside, source))?;
        }
        Ok(target)
    }
}
