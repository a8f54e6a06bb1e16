//! The numbers of the field's commands as comma-separated rows: an unknown is an empty cell.

use std::fmt::Write;

use crate::report::{FieldDocument, LampsOutDocument};

/// One row for each step.
pub(super) fn files(document: &FieldDocument) -> Vec<(String, Vec<u8>)> {
    let mut text = String::from(
        "step,nominal_rms_a,held,delay_deg,output_rms_a,output_peak_a,crest_factor,form_factor,\
         thd_ratio,average_error_ratio,output_rms_v,output_peak_v,open_secondary_peak_v,\
         apparent_va,active_w,non_active_va,fundamental_reactive_var,distortion_va,power_factor\n",
    );
    for step in &document.steps {
        let _ = write!(text, "{},{},{}", step.step, step.nominal_rms_a, step.held);
        let solved = step.solved.as_ref();
        let values = [
            solved.map(|point| point.delay_deg),
            solved.map(|point| point.output_rms_a),
            solved.map(|point| point.output_peak_a),
            solved.and_then(|point| point.crest_factor),
            solved.and_then(|point| point.form_factor),
            solved.and_then(|point| point.thd_ratio),
            solved.map(|point| point.average_error_ratio),
            solved.map(|point| point.output_rms_v),
            solved.map(|point| point.output_peak_v),
            solved.and_then(|point| point.open_secondary_peak_v),
            solved.map(|point| point.apparent_va),
            solved.map(|point| point.active_w),
            solved.map(|point| point.non_active_va),
            solved.map(|point| point.fundamental_reactive_var),
            solved.map(|point| point.distortion_va),
            solved.and_then(|point| point.power_factor),
        ];
        row(&mut text, &values);
    }
    vec![("field-steps.csv".into(), text.into_bytes())]
}

/// One row for each step and share of lamps out.
pub(super) fn lamps_out(document: &LampsOutDocument) -> (String, Vec<u8>) {
    let mut text = String::from(
        "step,nominal_rms_a,open_ratio,held,crest_factor,average_error_ratio,output_peak_v,\
         open_secondary_peak_v,delay_deg\n",
    );
    for step in &document.steps {
        for point in &step.points {
            let _ = write!(
                text,
                "{},{},{},{}",
                step.step, step.nominal_rms_a, point.open_ratio, point.held
            );
            let values = [
                point.crest_factor,
                point.average_error_ratio,
                point.output_peak_v,
                point.open_secondary_peak_v,
                point.delay_deg,
            ];
            row(&mut text, &values);
        }
    }
    ("lamps-out.csv".into(), text.into_bytes())
}

fn row(text: &mut String, values: &[Option<f64>]) {
    for value in values {
        text.push(',');
        if let Some(value) = value {
            let _ = write!(text, "{value:.9}");
        }
    }
    text.push('\n');
}
