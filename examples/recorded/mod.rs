//! A visit to the embedded regulator, gone through in memory: place, people and numbers are invented.

#![allow(dead_code, reason = "each example takes what it needs")]

use jiff::Timestamp;
use loopcrest::description::{Description, sheet_text};
use loopcrest::error::{Error, Result};
use loopcrest::meter::Archetype;
use loopcrest::plot::{Figure, output_waveforms_figure, visit_readings_figure};
use loopcrest::procedure::entry::{Conditions, Moment, Opening, Output};
use loopcrest::procedure::{Candidate, MemoryJournal, Procedure, Run};

/// Step, as found and as left with the output shorted, as left with the field.
const READ: [(u32, f64, f64, f64); 5] = [
    (5, 6.71, 6.60, 6.56),
    (4, 5.31, 5.21, 5.18),
    (3, 4.17, 4.10, 4.09),
    (2, 3.41, 3.41, 3.39),
    (1, 2.78, 2.80, 2.79),
];

/// What was read at every step, in percent of its nominal.
///
/// # Errors
/// None in practice: the embedded description is read by a test.
pub(crate) fn readings() -> Result<Figure> {
    let run = visit()?;
    let steps: Vec<u32> = run.bench().steps().steps().iter().map(|step| step.number).collect();
    Ok(visit_readings_figure(run.visit(), &steps))
}

/// The current of the dimmest step with the output shorted and with the field connected.
///
/// # Errors
/// None in practice, as for [`readings`].
pub(crate) fn waveforms() -> Result<Figure> {
    let run = visit()?;
    let shorted = run.bench().currents(1, Output::Shorted);
    let shorted = shorted.ok_or_else(|| Error::inconsistent("the dimmest step is solved"))?;
    Ok(output_waveforms_figure(shorted, run.bench().currents(1, Output::Field)))
}

fn visit() -> Result<Run<MemoryJournal>> {
    let meter = "the vault's clamp";
    let opening = Opening {
        regulator: "R-07".into(),
        circuit: None,
        meter: meter.into(),
        day: jiff::civil::date(2026, 11, 25),
        person: "A. Invented".into(),
        conditions: Conditions::default(),
        description: Description::EMBEDDED_TEXT.into(),
        sheet: sheet_text(meter, &Archetype::PrecisionTrueRmsClamp.sheet()),
        procedure: Procedure::EMBEDDED_TEXT.into(),
        conformance_probability: 0.95,
    };
    let journal = MemoryJournal::new(Timestamp::UNIX_EPOCH, "A. Invented");
    let mut run = Run::open(journal, opening)?;
    let mut read = |step, moment, output, shown_a: f64| -> Result<()> {
        let candidate = Candidate { step, moment, output, shown_a };
        let taken = run.weigh(candidate, &format!("{shown_a:.2}"))?;
        run.read(taken).map(|_| ())
    };
    for (step, found_a, left_a, _) in READ {
        read(step, Moment::AsFound, Output::Shorted, found_a)?;
        read(step, Moment::AsLeft, Output::Shorted, left_a)?;
    }
    for (step, _, _, field_a) in READ {
        read(step, Moment::AsLeft, Output::Field, field_a)?;
    }
    Ok(run)
}
