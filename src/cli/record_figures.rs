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
    let step = read.step.placement.map(|_| &read.step.step);
    let mut names = vec!["record", "averaged-period", "rms"];
    let mut drawn = vec![
        record_figure(summary, &name),
        averaged_period_figure(summary, &name),
        rms_figure(summary, step, &name),
    ];
    if let Some(spectrum) = line_spectrum_figure(summary, &name) {
        names.push("spectrum");
        drawn.push(spectrum);
    }
    figures::files(&names, &drawn)
}
