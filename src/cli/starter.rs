use std::io::Write;
use std::path::Path;

use crate::classroom::lesson::Lesson;
use crate::description::Description;
use crate::error::{Error, Result};
use crate::procedure::Procedure;

use super::args::StarterArgs;
use super::console::print;
use super::outcome::Outcome;

pub(super) fn run(args: &StarterArgs) -> Result<Outcome> {
    let (text, command) = if args.procedure {
        (Procedure::EMBEDDED_TEXT, "calibrate --procedure")
    } else if args.lesson {
        (Lesson::STARTER_TEXT, "lesson --out lesson.html")
    } else {
        (Description::EMBEDDED_TEXT, "judge")
    };
    match &args.file {
        None => print(text)?,
        Some(file) => {
            write_whole(file, text.as_bytes(), args.replace)?;
            print(&format!(
                "Wrote {}. Edit it, then run: loopcrest {command} {}\n",
                file.display(),
                file.display()
            ))?;
        }
    }
    Ok(Outcome::Done)
}

/// Writes a file whole or not at all.
pub(super) fn write_whole(file: &Path, bytes: &[u8], replace: bool) -> Result<()> {
    if file.is_dir() {
        return Err(Error::io(file, std::io::ErrorKind::IsADirectory.into())
            .with_hint("name the file to write, such as bench.toml"));
    }
    let parent = match file.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    };
    let failed = |source| Error::io(file, source);
    let mut builder = tempfile::Builder::new();
    // What any other new file gets; the umask takes its part away.
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    // The name of a file that never came to be says nothing: what is said is the one that was asked for.
    let unwritable = |source: std::io::Error| {
        Error::io(file, source.kind().into())
            .with_hint("look at the permissions of its folder, and whether the disk is full")
    };
    let mut staged = builder.tempfile_in(parent).map_err(unwritable)?;
    staged.write_all(bytes).and_then(|()| staged.as_file().sync_all()).map_err(failed)?;
    let placed = if replace { staged.persist(file) } else { staged.persist_noclobber(file) };
    placed.map(|_| ()).map_err(|error| {
        let exists = error.error.kind() == std::io::ErrorKind::AlreadyExists;
        let error = Error::io(file, error.error);
        if exists { error.with_hint("add --replace to write over it") } else { error }
    })
}
