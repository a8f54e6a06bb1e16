use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::capture::read::whole;
use crate::capture::{Format, ReadOptions, Record};
use crate::error::{Noted, Result};

use super::assemble::{Source, assemble};
use super::configuration::Configuration;

/// The record in the bytes of a configuration and of its data.
///
/// # Errors
/// `Malformed`, with the line, for a configuration that is incomplete or data without a whole row;
/// `OutOfRange` for more channels than the limits allow or a rate that makes no sense; `Inconsistent`
/// when no channel can be used or the section asked for is not there.
pub fn read_two_parts(
    configuration: &[u8],
    data: Vec<u8>,
    options: &ReadOptions,
) -> Result<Noted<Record>> {
    let configuration = Configuration::read(configuration, &options.limits)?;
    let range = 0..data.len();
    let source = Source { file: Arc::new(data), data: range, single_file: false, part: None };
    assemble(&configuration, &source, options).map(|rows| rows.read)
}

/// The record in two files.
///
/// # Errors
/// `Io` when either cannot be read, with the file that was looked for; otherwise as
/// [`read_two_parts`].
pub(in crate::capture) fn read_two(
    configuration: &Path,
    data: &Path,
    options: &ReadOptions,
) -> Result<Noted<Record>> {
    let bytes = whole(configuration, options)?;
    let parsed = Configuration::read(&bytes, &options.limits)
        .map_err(|error| error.in_file(configuration))?;
    let bytes = whole(data, options).map_err(|error| {
        error.with_context("the data of this record").with_hint(
            "configuration and data belong in one folder, under one name, as .cfg and .dat",
        )
    })?;
    let range = 0..bytes.len();
    let source = Source { file: Arc::new(bytes), data: range, single_file: false, part: None };
    let rows = assemble(&parsed, &source, options).map_err(|error| error.in_file(data))?;
    Ok(rows.read)
}

/// The configuration beside a file of data, when its content says that it is one.
pub(in crate::capture) fn configuration_beside(data: &Path) -> Option<PathBuf> {
    /// Enough to tell a configuration.
    const HEAD: u64 = 1024;
    if !data.extension()?.eq_ignore_ascii_case("dat") {
        return None;
    }
    let path = beside(data, "cfg").filter(|path| path.is_file())?;
    let mut head = Vec::new();
    let file = std::fs::File::open(&path).ok()?;
    std::io::Read::read_to_end(&mut std::io::Read::take(file, HEAD), &mut head).ok()?;
    (Format::of(&head).ok()? == Format::Comtrade).then_some(path)
}

/// Whether a file's name says that it is a configuration; its content decides later.
pub(in crate::capture) fn is_configuration(path: &Path) -> bool {
    path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("cfg"))
}

/// The data of a configuration: the file that is there, or the one that should be.
pub(in crate::capture) fn data_beside(configuration: &Path) -> PathBuf {
    beside(configuration, "dat").unwrap_or_else(|| configuration.with_extension("dat"))
}

/// The file of the same name with another ending, in small or capital letters.
fn beside(path: &Path, ending: &str) -> Option<PathBuf> {
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty());
    let mut found: Vec<PathBuf> = std::fs::read_dir(folder.unwrap_or(Path::new(".")))
        .ok()?
        .filter_map(|entry| Some(entry.ok()?.path()))
        .filter(|other| {
            other.extension().is_some_and(|end| end.eq_ignore_ascii_case(ending))
                && other
                    .file_stem()
                    .zip(path.file_stem())
                    .is_some_and(|(other, own)| other.eq_ignore_ascii_case(own))
        })
        .collect();
    // The very same name before one in other letters, and always the same one of several.
    found.sort_by_key(|other| (other.file_stem() != path.file_stem(), other.clone()));
    found.into_iter().next()
}
