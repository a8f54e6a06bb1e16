use std::io::{IsTerminal, Write};
use std::process::ExitCode;

use miette::{GraphicalReportHandler, GraphicalTheme, LabeledSpan, MietteDiagnostic, NamedSource};

use crate::error::{Error, ErrorKind};

/// Largest file of which an excerpt is shown.
const MAX_EXCERPT_BYTES: u64 = 4 << 20;

/// Shows an error on standard error, with an excerpt of the file where its place is known, and
/// returns the exit code that says which kind it is.
pub(super) fn complain(error: &Error) -> ExitCode {
    let text = with_excerpt(error).unwrap_or_else(|| plain(error));
    // Nothing can be told to anyone if standard error is closed.
    let _ = anstream::stderr().write_all(text.as_bytes());
    ExitCode::from(match error.kind() {
        ErrorKind::NotConverged { .. } => 3,
        ErrorKind::Io { .. } => 4,
        _ => 2,
    })
}

fn plain(error: &Error) -> String {
    let mut text = format!("error: {error}\n");
    if let Some(hint) = error.hint() {
        text += &format!("  hint: {hint}\n");
    }
    text
}

fn with_excerpt(error: &Error) -> Option<String> {
    let (file, place) = (error.file()?, error.place()?);
    let span = place.span.clone()?;
    // A pipe or a device cannot be read a second time.
    let about = std::fs::metadata(file).ok()?;
    if !about.is_file() || about.len() > MAX_EXCERPT_BYTES {
        return None;
    }
    let source = std::fs::read_to_string(file).ok()?;
    let label = match &place.field {
        Some(field) => format!("{field}: here"),
        None => "here".to_owned(),
    };
    let mut diagnostic = MietteDiagnostic::new(error.to_string())
        .with_label(LabeledSpan::at(span.start..span.end, label));
    if let Some(hint) = error.hint() {
        diagnostic = diagnostic.with_help(hint);
    }
    let report = miette::Report::from(diagnostic)
        .with_source_code(NamedSource::new(file.display().to_string(), source));
    let theme = if std::io::stderr().is_terminal() {
        GraphicalTheme::unicode()
    } else {
        GraphicalTheme::unicode_nocolor()
    };
    let mut text = String::from("error:\n");
    GraphicalReportHandler::new_themed(theme)
        .with_width(100)
        .render_report(&mut text, report.as_ref())
        .ok()?;
    Some(text)
}
