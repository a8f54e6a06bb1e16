use std::fmt::Write;
use std::path::{Path, PathBuf};

use clap::Args;

use crate::error::{Error, Result};
use crate::regulator::StepTable;
use crate::report::{
    CaptureRowPart, CapturesDocument, Document, FailedFilePart, bare_amperes, plain_number, to_json,
};

use super::console::{folded, print};
use super::outcome::Outcome;
use super::recorded::ReadingArgs;
use super::table;

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  loopcrest captures vault-3\n  \
                        loopcrest captures vault-3 --clamp 100mV/A --json\n\n\
                        A file that cannot be read is named with its reason and skipped; the exit \
                        code is then 5.")]
pub(super) struct CapturesArgs {
    /// The folder; folders in it are left out
    folder: PathBuf,
    #[command(flatten)]
    reading: ReadingArgs,
}

/// Every record of a folder in one table.
pub(super) fn run(args: &CapturesArgs, json: bool) -> Result<Outcome> {
    let steps = args.reading.table(None)?;
    let (mut records, mut failed) = (Vec::new(), Vec::new());
    for file in files(&args.folder)? {
        match row(&file, args, &steps) {
            Ok(row) => records.push(row),
            Err(error) => failed.push(FailedFilePart::new(&file, &error)),
        }
    }
    let document = CapturesDocument::new(&args.folder, steps.name(), records, failed);
    let some_failed = !document.failed.is_empty();
    if json {
        print(&to_json(&Document::Captures(Box::new(document))))?;
    } else {
        print(&text(&document))?;
    }
    Ok(if some_failed { Outcome::SomeFailed } else { Outcome::Done })
}

fn row(file: &Path, args: &CapturesArgs, steps: &StepTable) -> Result<CaptureRowPart> {
    let read = args.reading.read(file, steps, None, &mut ())?;
    let codes: Vec<&'static str> = read.notes.iter().map(|note| note.code).collect();
    Ok(CaptureRowPart::new(file, &read.stream, &read.summary, &read.step, &codes))
}

/// The files of a folder by name: no hidden ones, and of a record in two files only the one that
/// explains the other.
fn files(folder: &Path) -> Result<Vec<PathBuf>> {
    let failed = |source| Error::io(folder, source);
    let mut files = Vec::new();
    for entry in std::fs::read_dir(folder).map_err(failed)? {
        let path = entry.map_err(failed)?.path();
        let hidden = path.file_name().is_some_and(|name| name.to_string_lossy().starts_with('.'));
        let end = path.extension().map(|end| end.to_ascii_lowercase()).unwrap_or_default();
        let beside = |end: &str| path.with_extension(end).is_file();
        let is_half = ["dat", "hdr", "inf"].iter().any(|half| end == *half)
            && (beside("cfg") || beside("CFG"));
        if path.is_file() && !hidden && !is_half {
            files.push(path);
        }
    }
    files.sort();
    if files.is_empty() {
        return Err(Error::inconsistent(format!("{} holds no files", folder.display())));
    }
    Ok(files)
}

fn text(document: &CapturesDocument) -> String {
    let mut text = String::new();
    let count = |n: usize, what: &str| format!("{n} {what}{}", if n == 1 { "" } else { "s" });
    let _ = writeln!(
        text,
        "{}: {} read, {} skipped",
        document.folder,
        count(document.records.len(), "record"),
        count(document.failed.len(), "file")
    );
    text += &folded(&format!("Steps {}.", document.step_table), "");
    if !document.records.is_empty() {
        text.push('\n');
        let header =
            ["file", "channel", "rate Hz", "mains Hz", "RMS A", "crest", "step", "band", "see"];
        let rows: Vec<Vec<String>> = document.records.iter().enumerate().map(cells).collect();
        for line in table::lines(&header, &rows, &[2, 3, 4, 5, 6], 0) {
            let _ = writeln!(text, " {line}");
        }
    }
    let noticed: Vec<(usize, &CaptureRowPart)> = document
        .records
        .iter()
        .enumerate()
        .filter(|(_, record)| !record.warnings.is_empty())
        .collect();
    if !noticed.is_empty() {
        text += "\nNoticed\n";
        for (at, record) in noticed {
            text += &folded(&format!("{} {}", mark(at), record.warnings.join(", ")), "  ");
        }
    }
    if !document.failed.is_empty() {
        text += "\nSkipped\n";
        for file in &document.failed {
            let hint = file.hint.as_ref().map_or(String::new(), |hint| format!(" ({hint})"));
            text += &folded(&format!("{}: {}{hint}", file.file, file.reason), "  ");
        }
    }
    text
}

fn cells((at, record): (usize, &CaptureRowPart)) -> Vec<String> {
    vec![
        record.file.clone(),
        record.channel.clone(),
        plain_number(record.sample_rate_hz),
        format!("{:.3}", record.frequency_hz),
        bare_amperes(record.rms_a),
        record.crest_factor.map_or("-".into(), |crest| format!("{crest:.3}")),
        record.likely_step.map_or("-".into(), |number| number.to_string()),
        record.placement.unwrap_or("-").to_owned(),
        if record.warnings.is_empty() { String::new() } else { mark(at) },
    ]
}

/// The sign that leads from a row to what was noticed about it.
fn mark(at: usize) -> String {
    let (number, _) = (1..).zip(0..=at).last().unwrap_or((1, 0));
    format!("[{number}]")
}
