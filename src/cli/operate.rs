use std::fmt::Write;

use crate::error::Result;
use crate::regulator::{OperatingPoint, Regulated};
use crate::report::{Document, OperatingDocument, amperes, plain_percent, to_json, volts, watts};

use super::args::OperateArgs;
use super::console::{cautions, folded};
use super::outcome::Outcome;
use super::{figures, readings, regulated, table};

/// Periods a start is left alone before another solution is looked for from it.
const SETTLE_PERIODS: usize = 30;

/// One operating point: a current held on a load.
pub(super) fn run(args: &OperateArgs, json: bool) -> Result<Outcome> {
    let file = args.description.as_deref();
    let description = regulated::description(file)?;
    let setup = regulated::setup(&description, file, args.load, args.sense)?;
    let target_a = match args.rms {
        Some(rms_a) => rms_a,
        None => regulated::nominal_a(&description, args.step)?,
    };
    let load = setup.load(setup.load_ratio)?;
    let answer = setup.regulator.hold(&load, target_a, None, &setup.options())?;
    let (point, reach) = match &answer {
        Regulated::Held(point) => (point.as_ref(), None),
        Regulated::OutOfReach(reach) => (&reach.nearest, Some(reach.as_ref())),
    };
    let others = match args.others {
        0 => None,
        starts => Some(point.others(starts, SETTLE_PERIODS)?),
    };
    let document =
        OperatingDocument::new(&description, &setup, target_a, point, reach, others.as_deref())?;
    let text = text(&document);
    let json_text = to_json(&Document::Operating(Box::new(document)));
    let folder = regulated::write(args.out.as_ref(), args.replace, || {
        let mut files = figures::operating(point, &setup)?;
        files.push(("operating.json".into(), json_text.clone().into_bytes()));
        files.push(("branches.csv".into(), branches_csv(point)?.into_bytes()));
        Ok(files)
    })?;
    regulated::show(json, &json_text, &text, folder.as_deref())?;
    Ok(if reach.is_some() { Outcome::VerdictAgainst } else { Outcome::Done })
}

/// Every branch over one period, one row a sample.
fn branches_csv(point: &OperatingPoint) -> Result<String> {
    let samples = point.output.samples_a().len();
    let traces = point.traces(samples)?;
    let mut text = String::from("time_s");
    for trace in &traces {
        let name = trace.name.replace(' ', "_");
        let _ = write!(text, ",{name}_current_a,{name}_voltage_v");
    }
    text.push('\n');
    for sample in 0..samples {
        let _ = write!(text, "{:.9}", point.output.time_s(sample));
        for trace in &traces {
            let _ = write!(text, ",{:.6},{:.4}", trace.current_a[sample], trace.voltage_v[sample]);
        }
        text.push('\n');
    }
    Ok(text)
}

fn text(document: &OperatingDocument) -> String {
    let mut text = regulated::heading(&document.title, document.invented, &document.regulator);
    match (document.limit, document.limit_a) {
        (Some(limit), Some(limit_a)) => {
            let _ = writeln!(
                text,
                "OUT OF REACH: {} cannot be held; the {limit} that can is {}, shown here",
                amperes(document.target_a),
                amperes(limit_a)
            );
        }
        _ => {
            let _ = writeln!(
                text,
                "holds {} ({}), firing delay {:.3}° after the capacitor voltage's zero",
                amperes(document.target_a),
                document.control_senses,
                document.delay_deg
            );
        }
    }
    text.push('\n');
    text += &readings::text(&document.measures, &document.readings);
    let _ = writeln!(
        text,
        "\n  THD {} (orders 2 to {})",
        document.measures.thd_ratio.map_or("undefined".into(), plain_percent),
        document.measures.thd_highest_order
    );
    let _ = writeln!(
        text,
        "  output {} RMS, {} peak, {} apparent, {} active, power factor {}",
        volts(document.output_rms_v),
        volts(document.output_peak_v),
        watts(document.output_apparent_va, "VA"),
        watts(document.output_active_w, "W"),
        document.output_power_factor.map_or("undefined".into(), |pf| format!("{pf:.3}"))
    );
    text.push('\n');
    let rows: Vec<Vec<String>> = document
        .branches
        .iter()
        .map(|branch| {
            vec![
                branch.name.clone(),
                format!("{:.4}", branch.current_rms_a),
                format!("{:.4}", branch.current_peak_a),
                format!("{:.2}", branch.voltage_rms_v),
                format!("{:.1}", branch.voltage_peak_v),
            ]
        })
        .collect();
    let header = ["branch", "RMS A", "peak A", "RMS V", "peak V"];
    for line in table::lines(&header, &rows, &[1, 2, 3, 4], 0) {
        let _ = writeln!(text, " {line}");
    }
    let solution = &document.solution;
    let dies = solution.decay_time_s.map_or(String::new(), |decay_s| {
        format!("; a small disturbance falls to 1/e in {decay_s:.2} s")
    });
    let _ = writeln!(
        text,
        "\n  {} at a held delay{dies}; the period closes to {:.1e}",
        solution.stability, solution.defect_ratio
    );
    if let Some(others) = &document.others {
        let _ = writeln!(text, "  other periodic solutions found at this delay: {}", others.len());
        for other in others {
            let _ = writeln!(
                text,
                "    {} RMS, crest factor {}, {}",
                amperes(other.output_rms_a),
                other.crest_factor.map_or("undefined".into(), |crest| format!("{crest:.3}")),
                other.solution.stability
            );
        }
    }
    text += "\nNoticed\n";
    for note in &document.notes {
        text += &folded(&note.text, "  ");
    }
    text + &cautions()
}
