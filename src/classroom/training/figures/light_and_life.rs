//! Every step after it was set by each of three meters.

use crate::assess::Judgement;
use crate::classroom::training::TrainingCircuit;
use crate::error::Result;
use crate::meter::{Detector, Meter};
use crate::plot::{Figure, SetByMeter, light_and_life_figure};
use crate::waveform::Coupling;

const LAWS: [Detector; 3] = [
    Detector::TrueRms(Coupling::Ac),
    Detector::AverageResponding(Coupling::Ac),
    Detector::PeakResponding(Coupling::Ac),
];

pub(in crate::classroom::training) fn figure(
    circuit: &TrainingCircuit,
    load_ratio: f64,
) -> Result<Figure> {
    let description = &circuit.description;
    let mut set = Vec::new();
    for step in circuit.steps() {
        let measures = circuit.case(step, load_ratio)?.waveform.measures();
        for law in LAWS {
            let meter = Meter::ideal(law.words(), law);
            let judged =
                Judgement::new(&meter, step, &measures, &description.lamp, description.rated())?;
            if let Some(trimmed) = judged.trimmed {
                set.push(SetByMeter {
                    step: step.clone(),
                    detector: law,
                    true_rms_a: trimmed.true_rms.a(),
                    light_ratio: trimmed.effect.light_ratio,
                    light_credible: trimmed.effect.light_credible,
                    life: trimmed.effect.life,
                });
            }
        }
    }
    // The dimmest first, as light grows.
    set.sort_by_key(|one| one.step.number);
    Ok(light_and_life_figure(&set, &circuit.load_words(load_ratio), &circuit.origin()))
}
