//! An invented circuit for the examples: no regulator was measured for it.

#![allow(dead_code, reason = "each example takes what it needs")]

use std::f64::consts::PI;
use std::path::{Path, PathBuf};

use loopcrest::assess::{StepCase, Survey};
use loopcrest::error::{Error, Result};
use loopcrest::lamp::LampLaw;
use loopcrest::meter::{Detector, Meter};
use loopcrest::plot::{Drawing, Figure, Palette};
use loopcrest::regulator::{BandSet, CircuitClass, StepTable};
use loopcrest::waveform::{Coupling, Harmonic, Scale, Shape, Synthesis};

/// Third and fifth harmonic at each step from the brightest down: the lower the step, the more the
/// regulator has to take away and the more distorted what is left.
const THIRD_AND_FIFTH: [(f64, f64); 5] =
    [(0.03, 0.02), (0.06, 0.03), (0.08, 0.03), (0.10, 0.04), (0.12, 0.04)];

/// The step shown by itself: step 2, the fourth from the top, where an average-responding meter just
/// leaves the band.
pub(crate) const CHOSEN: usize = 3;

/// The steps of a 6.6 A circuit with an invented current at each.
///
/// # Errors
/// None in practice: every value is within bounds.
pub(crate) fn cases() -> Result<Vec<StepCase>> {
    let table = StepTable::published(CircuitClass::FiveStep6A6, BandSet::Ufc2005)?;
    let case = |(step, (third, fifth)): (&loopcrest::regulator::Step, (f64, f64))| {
        let shape = Shape::Harmonics(vec![
            Harmonic { order: 3, ratio: third, phase_rad: PI },
            Harmonic { order: 5, ratio: fifth, phase_rad: 0.0 },
            Harmonic { order: 7, ratio: 0.3 * fifth, phase_rad: 0.5 * PI },
        ]);
        let waveform = Synthesis::new(shape, Scale::RmsA(step.nominal.a())).waveform()?;
        let origin = "invented, no regulator was measured".to_owned();
        Ok(StepCase { step: step.clone(), waveform, origin })
    };
    table.steps().iter().zip(THIRD_AND_FIFTH).map(case).collect()
}

/// Three ideal meters at every step of [`cases`].
///
/// # Errors
/// None in practice: every value is within bounds.
pub(crate) fn survey() -> Result<Survey> {
    let cases = cases()?;
    let meters = [
        Meter { name: "true RMS".into(), detector: Detector::TrueRms(Coupling::Ac) },
        Meter {
            name: "average-responding".into(),
            detector: Detector::AverageResponding(Coupling::Ac),
        },
        Meter { name: "peak-responding".into(), detector: Detector::PeakResponding(Coupling::Ac) },
    ];
    let rated = cases[0].step.nominal;
    Survey::new(&cases, &meters, &LampLaw::default(), rated)
}

/// Writes a figure as SVG and PNG into the folder named by the first argument, or `plots/`.
///
/// # Errors
/// As [`Figure::draw`]; `Io` when a file cannot be written.
#[expect(clippy::print_stdout, reason = "an example tells its reader where the picture went")]
pub(crate) fn write(name: &str, figure: &Figure) -> Result<()> {
    let folder = std::env::args_os().nth(1).map_or_else(|| PathBuf::from("plots"), PathBuf::from);
    let drawing = figure.draw(&Palette::LIGHT)?;
    let put = |path: &Path, bytes: &[u8]| {
        std::fs::write(path, bytes).map_err(|error| Error::io(path, error))
    };
    std::fs::create_dir_all(&folder).map_err(|error| Error::io(&folder, error))?;
    put(&folder.join(format!("{name}.svg")), drawing.svg().as_bytes())?;
    put(&folder.join(format!("{name}.png")), &drawing.png(Drawing::DEFAULT_PNG_WIDTH_PX)?)?;
    println!("{}: {}", folder.join(name).with_extension("svg").display(), figure.caption);
    Ok(())
}
