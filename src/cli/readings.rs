use std::fmt::Write;

use crate::meter::Detector;
use crate::report::{MeasuresPart, ReadingPart, amperes, percent, plain_percent};

use super::table;

/// Measures of a current and what each law shows of it, as text.
pub(super) fn text(measures: &MeasuresPart, readings: &[ReadingPart]) -> String {
    let mut text = String::new();
    let _ = writeln!(
        text,
        "  true RMS {}   peak {}   mean {}",
        amperes(measures.rms_a),
        amperes(measures.peak_a),
        amperes(measures.mean_a)
    );
    let _ = writeln!(
        text,
        "  crest factor {}   form factor {}   distortion {}",
        factor(measures.crest_factor),
        factor(measures.form_factor),
        measures.distortion_ratio.map_or("undefined".into(), plain_percent)
    );
    text.push('\n');
    let rows: Vec<Vec<String>> = readings
        .iter()
        .map(|reading| {
            let law = Detector::from_key(&reading.detector);
            vec![
                law.map_or_else(|| reading.detector.clone(), Detector::words),
                amperes(reading.shown_a),
                reading.error_ratio.map_or("undefined".into(), percent),
                reading.indication.clone(),
            ]
        })
        .collect();
    for line in
        table::lines(&["kind of meter", "shows", "error", "what it stands for"], &rows, &[1, 2], 3)
    {
        let _ = writeln!(text, " {line}");
    }
    text
}

fn factor(value: Option<f64>) -> String {
    value.map_or("undefined".into(), |value| format!("{value:.4}"))
}
