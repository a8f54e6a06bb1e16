use std::path::{Path, PathBuf};

use tempfile::{NamedTempFile, TempPath};

use crate::error::{Error, Result};

/// A file that appears under its name when it is finished, and never in place of another.
pub(super) struct NewFile {
    staged: TempPath,
    target: PathBuf,
}

impl NewFile {
    /// Begins an empty file beside the target.
    pub(super) fn begin(target: &Path) -> Result<Self> {
        if target.symlink_metadata().is_ok() {
            return Err(taken(target));
        }
        let folder = folder_of(target);
        let mut builder = tempfile::Builder::new();
        builder.prefix(".loopcrest-").suffix(".new");
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt;
            // As any new file: the umask decides.
            builder.permissions(std::fs::Permissions::from_mode(0o666));
        }
        // The name of a file that never came to be says nothing.
        let staged = builder.tempfile_in(folder).map_err(|source| {
            Error::io(target, source.kind().into())
                .with_hint("look at the permissions of its folder, and whether the disk is full")
        })?;
        Ok(Self { staged: NamedTempFile::into_temp_path(staged), target: target.to_owned() })
    }

    pub(super) fn path(&self) -> &Path {
        &self.staged
    }

    /// Puts it in place, safe on disk.
    pub(super) fn finish(self) -> Result<()> {
        let failed = |source| Error::io(&self.target, source);
        std::fs::File::open(&self.staged).and_then(|file| file.sync_all()).map_err(failed)?;
        self.staged.persist_noclobber(&self.target).map_err(|error| {
            if error.error.kind() == std::io::ErrorKind::AlreadyExists {
                taken(&self.target)
            } else {
                Error::io(&self.target, error.error)
            }
        })?;
        // The name is safe once its folder is; not every system lets a folder be opened.
        if let Ok(folder) = std::fs::File::open(folder_of(&self.target)) {
            let _ = folder.sync_all();
        }
        Ok(())
    }
}

fn folder_of(target: &Path) -> &Path {
    target.parent().filter(|parent| !parent.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

fn taken(target: &Path) -> Error {
    let what = "there is a file of that name already";
    Error::io(target, std::io::Error::new(std::io::ErrorKind::AlreadyExists, what))
        .with_hint("it is kept as it is; choose another name")
}
