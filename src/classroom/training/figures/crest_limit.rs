//! Crest factors of the steps with every lamp lit and with lamps out.

use rayon::prelude::*;

use crate::classroom::training::{TrainingCircuit, parameter};
use crate::error::{Error, Result};
use crate::meter::Archetype;
use crate::plot::{CrestPoint, Figure, crest_limit_figure};
use crate::regulator::Step;

pub(in crate::classroom::training) fn figure(
    circuit: &TrainingCircuit,
    meter: Archetype,
    open_ratio: f64,
) -> Result<Figure> {
    let crests = |step: &Step| -> Result<CrestPoint> {
        let lit = circuit.with_lamps_out(step, 0.0, None)?;
        let open = circuit.with_lamps_out(step, open_ratio, Some(&lit))?;
        let missing = || Error::inconsistent("a current without RMS has no crest factor");
        Ok(CrestPoint {
            step: step.number,
            rms_a: step.nominal.a(),
            lit: lit.crest_factor().ok_or_else(missing)?,
            lamps_out: open.crest_factor().ok_or_else(missing)?,
        })
    };
    let points = circuit.steps().par_iter().map(crests).collect::<Vec<_>>();
    let points = points.into_iter().collect::<Result<Vec<_>>>()?;
    let lamps_out = format!("{}\u{a0}% of the lamps out", parameter::percent(open_ratio));
    let sheet = meter.sheet();
    crest_limit_figure((meter.words(), &sheet), &points, &lamps_out, &circuit.origin()).ok_or_else(
        || {
            let stating: Vec<&str> = Archetype::ALL
                .into_iter()
                .filter(|kind| kind.sheet().crest.is_some())
                .map(Archetype::key)
                .collect();
            Error::inconsistent(format!("the sheet of \"{}\" states no crest factor", meter.key()))
                .with_hint(format!("those that do: {}", stating.join(", ")))
        },
    )
}
