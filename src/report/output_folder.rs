use std::io::{ErrorKind, Write};
use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};
use tempfile::TempDir;

use crate::error::{Error, Result};

/// A folder of results that appears whole or not at all.
///
/// Files are written beside the target under a temporary name and the folder is renamed into place
/// at the end; when something fails before that, nothing is left behind. An existing folder is kept
/// unless the caller says to replace it, and then only once the new one is complete. A folder holds
/// the list of its own files ([`Self::CONTENTS`]): only a folder in which there is nothing else is
/// ever replaced.
#[derive(Debug)]
pub struct OutputFolder {
    staged: TempDir,
    /// The real folder in which the target stands.
    parent: PathBuf,
    target: Target,
    files: Vec<String>,
}

/// Whether an existing target may be replaced.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Existing {
    /// Keep it and fail.
    Keep,
    /// Replace it.
    Replace,
}

#[derive(Debug)]
enum Target {
    /// One folder, as the caller spells it, and its name in the parent.
    Named { shown: PathBuf, name: PathBuf, existing: Existing },
    /// The first free number when the folder is put in place.
    Numbered { shown_parent: PathBuf, prefix: String },
}

/// The list of files in a folder of results.
#[derive(Debug, Serialize, Deserialize)]
struct Contents {
    kind: String,
    format: u32,
    files: Vec<String>,
}

impl OutputFolder {
    /// The file that lists the others.
    pub const CONTENTS: &'static str = "contents.json";
    /// How many numbered folders are tried before giving up.
    const MAX_NUMBER: u32 = 9999;

    /// Begins a folder at `target`.
    ///
    /// # Errors
    /// `Io` when the target exists and is to be kept, is no folder of results, or its parent cannot
    /// be written; `Inconsistent` when it is or contains the working directory.
    pub fn begin(target: &Path, existing: Existing) -> Result<Self> {
        let (parent, name) = resolved(target)?;
        let real = parent.join(&name);
        if let Ok(found) = real.symlink_metadata() {
            if existing == Existing::Keep {
                return Err(taken(target));
            }
            if !found.is_dir() {
                let error = Error::io(target, ErrorKind::NotADirectory.into());
                return Err(error.with_hint("only a folder of results is replaced"));
            }
            if std::env::current_dir().is_ok_and(|here| contains(&real, &here)) {
                return Err(Error::inconsistent(format!(
                    "{} is or contains the working directory",
                    target.display()
                ))
                .with_hint("name a folder of its own for the results"));
            }
            own_files(&real, target)?;
        }
        let target = Target::Named { shown: target.to_owned(), name, existing };
        Self::staged(parent, target)
    }

    /// Begins the first free folder of `prefix-001`, `prefix-002`, ...; which one that is shows when
    /// it is put in place.
    ///
    /// # Errors
    /// `Io` when the parent folder cannot be written.
    pub fn begin_numbered(parent: &Path, prefix: &str) -> Result<Self> {
        let real = parent.canonicalize().map_err(|source| Error::io(parent, source))?;
        let target =
            Target::Numbered { shown_parent: parent.to_owned(), prefix: prefix.to_owned() };
        Self::staged(real, target)
    }

    fn staged(parent: PathBuf, target: Target) -> Result<Self> {
        let staged = staging(&parent)?;
        Ok(Self { staged, parent, target, files: Vec::new() })
    }

    /// The same folder, unless putting it in place would remove this file.
    ///
    /// # Errors
    /// `Inconsistent` when the target is or contains the file.
    pub fn sparing(self, file: &Path) -> Result<Self> {
        if let Target::Named { shown, name, .. } = &self.target
            && contains(&self.parent.join(name), file)
        {
            return Err(Error::inconsistent(format!(
                "{} holds {}, which the results are made from",
                shown.display(),
                file.display()
            ))
            .with_hint("choose another folder for the results"));
        }
        Ok(self)
    }

    /// Adds a file.
    ///
    /// # Errors
    /// `Inconsistent` for a name that is no plain file name, or is the list's; `Io` when it cannot be
    /// written.
    pub fn add(&mut self, name: &str, bytes: &[u8]) -> Result<()> {
        let plain = Path::new(name).file_name().is_some_and(|file| file == name)
            && !name.contains(['/', '\\', '\0']);
        if !plain || name == Self::CONTENTS {
            return Err(Error::inconsistent(format!(
                "{name:?} is no name for a file in a folder of results"
            )));
        }
        self.write(name, bytes)?;
        self.files.push(name.to_owned());
        Ok(())
    }

    fn write(&self, name: &str, bytes: &[u8]) -> Result<()> {
        let write = || -> std::io::Result<()> {
            let mut file = std::fs::File::create_new(self.staged.path().join(name))?;
            file.write_all(bytes)?;
            file.sync_all()
        };
        write().map_err(|source| Error::io(self.target.shown().join(name), source))
    }

    /// Puts the folder in its place and returns where that is.
    ///
    /// # Errors
    /// `Io` when the folder cannot be put in place; an old folder that was to be replaced is then
    /// back where it was, or the error says where it stands. `Inconsistent` when all numbers are
    /// taken.
    pub fn finish(mut self) -> Result<PathBuf> {
        let files = std::mem::take(&mut self.files);
        let contents = Contents { kind: "folder".into(), format: 1, files };
        self.write(Self::CONTENTS, super::to_json(&contents).as_bytes())?;
        let Self { staged, parent, target, .. } = self;
        match target {
            Target::Named { shown, name, existing } => {
                let real = parent.join(name);
                match existing {
                    Existing::Keep => place(&staged, &real, &shown)?,
                    Existing::Replace => replace(&staged, &real, &shown)?,
                }
                Ok(shown)
            }
            Target::Numbered { shown_parent, prefix } => {
                for number in 1..=Self::MAX_NUMBER {
                    let name = format!("{prefix}-{number:03}");
                    let real = parent.join(&name);
                    if real.symlink_metadata().is_ok() {
                        continue;
                    }
                    match place(&staged, &real, &shown_parent.join(&name)) {
                        // Another run took the number in between.
                        Err(_) if real.symlink_metadata().is_ok() => {}
                        placed => return placed.map(|()| shown_parent.join(name)),
                    }
                }
                Err(Error::inconsistent(format!("{prefix}-001 to -{} all exist", Self::MAX_NUMBER))
                    .with_hint("remove old results, or name a folder with --out"))
            }
        }
    }
}

impl Target {
    fn shown(&self) -> &Path {
        match self {
            Self::Named { shown, .. } => shown,
            Self::Numbered { shown_parent, .. } => shown_parent,
        }
    }
}

/// The real parent of a target and the target's name in it.
fn resolved(target: &Path) -> Result<(PathBuf, PathBuf)> {
    let failed = |source| Error::io(target, source);
    // "." and ".." have no name of their own; what they stand for has.
    let spelled = match target.file_name() {
        Some(_) => target.to_owned(),
        None => target.canonicalize().map_err(failed)?,
    };
    let name = spelled.file_name().ok_or_else(|| failed(ErrorKind::AlreadyExists.into()))?;
    let parent = match spelled.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    };
    let parent = parent.canonicalize().map_err(|source| Error::io(parent, source))?;
    Ok((parent, PathBuf::from(name)))
}

/// Whether `inner` is `outer` or lies in it; what does not exist lies nowhere.
fn contains(outer: &Path, inner: &Path) -> bool {
    matches!((outer.canonicalize(), inner.canonicalize()), (Ok(outer), Ok(inner)) if inner.starts_with(&outer))
}

/// A new folder under a temporary name, with the permissions of any other new folder.
fn staging(parent: &Path) -> Result<TempDir> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(".loopcrest-");
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o777));
    // The name of a folder that never came to be says nothing.
    builder.tempdir_in(parent).map_err(|source| {
        Error::io(parent, source.kind().into())
            .with_hint("look at the permissions of this folder, and whether the disk is full")
    })
}

fn taken(target: &Path) -> Error {
    Error::io(target, ErrorKind::AlreadyExists.into())
        .with_hint("choose another folder, or add --replace to write over this one")
}

/// The names of the files in a folder of results, its list included, when it holds nothing else; a
/// folder that is empty holds nothing to lose.
fn own_files(folder: &Path, shown: &Path) -> Result<Vec<String>> {
    let listed = std::fs::read(folder.join(OutputFolder::CONTENTS))
        .ok()
        .and_then(|bytes| serde_json::from_slice::<Contents>(&bytes).ok())
        .filter(|contents| contents.kind == "folder")
        .map(|contents| contents.files);
    let mut names = Vec::new();
    for entry in std::fs::read_dir(folder).map_err(|source| Error::io(shown, source))? {
        let entry = entry.map_err(|source| Error::io(shown, source))?;
        let is_file = entry.file_type().is_ok_and(|kind| kind.is_file());
        names.push((entry.file_name().to_string_lossy().into_owned(), is_file));
    }
    names.sort();
    let own = |name: &String| {
        listed
            .as_ref()
            .is_some_and(|listed| name == OutputFolder::CONTENTS || listed.contains(name))
    };
    if let Some((foreign, _)) = names.iter().find(|(name, is_file)| !is_file || !own(name)) {
        let words = "not written by this program, so the folder is not replaced";
        return Err(Error::io(
            shown.join(foreign),
            std::io::Error::new(ErrorKind::AlreadyExists, words),
        )
        .with_hint("choose another folder, or move that file away"));
    }
    Ok(names.into_iter().map(|(name, _)| name).collect())
}

/// Renames the staged folder to a name that is free.
///
/// The rename is the claim: a staged folder is never empty, so that of two runs with one target the
/// second finds a folder with files, which no rename replaces.
fn place(staged: &TempDir, real: &Path, shown: &Path) -> Result<()> {
    std::fs::rename(staged.path(), real).map_err(|source| match source.kind() {
        ErrorKind::AlreadyExists | ErrorKind::DirectoryNotEmpty => taken(shown),
        _ => Error::io(shown, source),
    })
}

/// Puts the staged folder in the place of an old one, which goes only when the new one stands.
fn replace(staged: &TempDir, real: &Path, shown: &Path) -> Result<()> {
    if real.symlink_metadata().is_err() {
        return place(staged, real, shown);
    }
    let old_files = own_files(real, shown)?;
    let parent = real.parent().unwrap_or(Path::new("."));
    let aside = staging(parent)?;
    let old = aside.path().join("old");
    std::fs::rename(real, &old).map_err(|source| Error::io(shown, source))?;
    if let Err(error) = place(staged, real, shown) {
        if std::fs::rename(&old, real).is_err() {
            let kept = aside.keep().join("old");
            return Err(error.with_context(format!("the old files stand in {}", kept.display())));
        }
        return Err(error);
    }
    // Only what was seen to be ours is removed; a file that came in the meantime stays.
    let removed = old_files
        .iter()
        .try_for_each(|name| std::fs::remove_file(old.join(name)))
        .and_then(|()| std::fs::remove_dir(&old));
    removed.map_err(|source| {
        let kept = aside.keep().join("old");
        Error::io(kept, source)
            .with_hint("the new results are in place; look at what was left here")
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test may stop at the first surprise")]
mod tests {
    use super::*;

    #[test]
    fn a_replacement_that_fails_leaves_the_old_folder() {
        let bench = tempfile::tempdir().unwrap();
        let target = bench.path().join("results");
        let mut old = OutputFolder::begin(&target, Existing::Keep).unwrap();
        old.add("a.txt", b"old").unwrap();
        old.finish().unwrap();
        let staged = staging(bench.path()).unwrap();
        std::fs::remove_dir(staged.path()).unwrap();
        assert!(replace(&staged, &target, &target).is_err());
        assert_eq!(std::fs::read(target.join("a.txt")).unwrap(), b"old");
        let left = std::fs::read_dir(bench.path()).unwrap().count();
        assert_eq!(left, 1, "nothing but the old folder stands there");
    }
}
