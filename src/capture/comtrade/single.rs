use std::ops::Range;
use std::sync::Arc;

use crate::capture::{ReadOptions, Record};
use crate::error::{Error, Noted, Result};

use super::assemble::{Source, assemble};
use super::configuration::Configuration;

/// The record in a single file of sections, each under a line such as `--- file type: CFG ---`.
///
/// # Errors
/// `Malformed` when the configuration or the data are not there; otherwise as the parts.
pub(in crate::capture) fn read_single(
    bytes: Vec<u8>,
    options: &ReadOptions,
) -> Result<Noted<Record>> {
    let sections = sections(&bytes);
    let section = |kind: &str| {
        let found = sections.iter().find(|section| section.kind == kind);
        found.map(|section| section.range.clone()).ok_or_else(|| {
            Error::malformed(format!("a section {kind}"), "a COMTRADE single file without one")
                .with_hint("was the file copied to the end?")
        })
    };
    let configuration = Configuration::read(&bytes[section("CFG")?], &options.limits)
        .map_err(|error| error.with_context("section CFG"))?;
    let data = section("DAT")?;
    let source = Source { file: Arc::new(bytes), data, single_file: true, part: None };
    assemble(&configuration, &source, options).map(|rows| rows.read)
}

/// In the beginning of a large file: the configuration, where the data begin and how many bytes of them
/// there are, if their heading says so. `None` when not all of that stands there.
pub(super) fn leading_sections(head: &[u8]) -> Option<(Range<usize>, u64, Option<u64>)> {
    let sections = sections(head);
    let named = |kind: &str| sections.iter().find(|section| section.kind == kind);
    let (configuration, data) = (named("CFG")?, named("DAT")?);
    // What the file goes on with must not be a part of the configuration.
    let is_whole = configuration.range.end < head.len();
    let length = data.size.map(|size| size as u64);
    is_whole.then(|| (configuration.range.clone(), data.range.start as u64, length))
}

/// Bytes of whole lines before the first that is a heading.
pub(super) fn next_heading(lines: &[u8]) -> usize {
    let starts = memchr::memmem::find_iter(lines, b"---")
        .filter(|at| at.checked_sub(1).is_none_or(|before| lines[before] == b'\n'));
    let is_heading = |at: &usize| {
        let end = memchr::memchr(b'\n', &lines[*at..]).map_or(lines.len(), |next| at + next);
        heading(&lines[*at..end]).is_some()
    };
    starts.into_iter().find(is_heading).unwrap_or(lines.len())
}

struct Section {
    kind: String,
    /// As its heading states it, in bytes.
    size: Option<usize>,
    range: Range<usize>,
}

/// The sections in the order of the file. A section that states its size has that size, so that bytes
/// of samples are never mistaken for the next heading.
fn sections(bytes: &[u8]) -> Vec<Section> {
    let mut found: Vec<Section> = Vec::new();
    let mut at = 0;
    while at < bytes.len() {
        let end = memchr::memchr(b'\n', &bytes[at..]).map_or(bytes.len(), |next| at + next + 1);
        let heading = heading(&bytes[at..end]);
        let from = at;
        at = end;
        let Some((kind, size)) = heading else { continue };
        if let Some(before) = found.last_mut()
            && before.range.end == usize::MAX
        {
            before.range.end = from;
        }
        let range_end = match size {
            Some(size) => {
                at = end.saturating_add(size).min(bytes.len());
                at
            }
            None => usize::MAX,
        };
        found.push(Section { kind, size, range: end..range_end });
    }
    for section in &mut found {
        section.range.end = section.range.end.min(bytes.len());
    }
    found
}

/// Kind and size of a section whose heading this line is: `--- file type: DAT BINARY: 702 ---`.
fn heading(line: &[u8]) -> Option<(String, Option<usize>)> {
    /// No heading is longer.
    const MOST: usize = 120;
    let line = line.trim_ascii();
    let line = line.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(line);
    if line.len() > MOST || !line.starts_with(b"---") {
        return None;
    }
    let text = std::str::from_utf8(line).ok()?.to_ascii_uppercase();
    let rest = text.split_once("FILE TYPE:")?.1.trim().trim_end_matches('-').trim();
    let mut words = rest.split([' ', ':']).filter(|word| !word.is_empty());
    let kind = words.next()?.to_owned();
    let size = words.next_back().and_then(|word| word.parse().ok());
    Some((kind, size))
}
