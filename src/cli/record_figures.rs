use std::path::Path;

use crate::error::Result;
use crate::plot::{
    averaged_period_figure, drawable, line_spectrum_figure, record_figure, rms_figure,
};

use super::figures;
use super::recorded::Read;

/// The figures of a record, as SVG and PNG: file names and their bytes.
pub(super) fn draw(file: &Path, read: &Read) -> Result<Vec<(String, Vec<u8>)>> {
    let name = drawable(&file.file_name().unwrap_or(file.as_os_str()).to_string_lossy());
    let summary = &read.summary;
    let is_steady = summary.steady.is_some();
    let step = (read.step.asked_for || is_steady && read.step.placement.is_some())
        .then_some(&read.step.step);
    let mut names = vec!["record", "rms"];
    let mut drawn = vec![record_figure(summary, &name), rms_figure(summary, step, &name)];
    // One period stands for a record, and its spectrum with it, only where the current stays.
    if is_steady {
        names.push("averaged-period");
        drawn.push(averaged_period_figure(summary, &name));
    }
    if is_steady && let Some(spectrum) = line_spectrum_figure(summary, &name) {
        names.push("spectrum");
        drawn.push(spectrum);
    }
    figures::files(&names, &drawn)
}
