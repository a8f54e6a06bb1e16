//! The words of verdicts and requirements. They claim no truth; they show what has changed. Set
//! `LOOPCREST_STORE=1` to write them anew.

use std::path::Path;

use loopcrest::assess::instrument::{
    Connection, Instrument, PossibleCurrent, Requirement, StepCurrents, Terms, Verdict,
};
use loopcrest::meter::Archetype;
use loopcrest::regulator::{BandSet, CircuitClass, StepTable};
use loopcrest::waveform::{Harmonic, Shape};

use crate::support::unit_shape;

fn stored(name: &str, got: &str) {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/pinned/printed").join(name);
    if std::env::var_os("LOOPCREST_STORE").is_some() {
        std::fs::write(&file, got).unwrap();
    }
    let want = std::fs::read_to_string(&file).unwrap_or_default();
    assert_eq!(got, want, "{name} differs from what is stored");
}

fn steps() -> Vec<StepCurrents> {
    let table = StepTable::published(CircuitClass::FiveStep6A6, BandSet::Ufc2005).unwrap();
    let third = |ratio: f64| {
        let phase_rad = std::f64::consts::PI;
        unit_shape(Shape::Harmonics(vec![Harmonic { order: 3, ratio, phase_rad }]), 1440)
    };
    let possible = || {
        [0.02, 0.06]
            .map(|ratio| PossibleCurrent { origin: "peaked".to_owned(), waveform: third(ratio) })
            .to_vec()
    };
    table
        .steps()
        .iter()
        .map(|step| {
            StepCurrents::new(step.clone(), Connection::Loaded, Some(1515.0), possible()).unwrap()
        })
        .collect()
}

#[test]
fn pinned_words_of_verdicts() {
    let mut words = String::new();
    for archetype in Archetype::ALL {
        let mut sheet = archetype.sheet();
        // Voltage is a matter of its own; the requirement below shows it.
        sheet.category = None;
        let meter = Instrument::new(archetype.key(), sheet, 60.0, None).unwrap();
        for step in [&steps()[0], &steps()[4]] {
            let verdict = Verdict::new(&meter, step, &Terms::default()).unwrap();
            words += &format!(
                "{}, step {}: {}\n",
                archetype.key(),
                step.step().number,
                verdict.sentence()
            );
        }
    }
    stored("verdicts.txt", &words);
}

#[test]
fn pinned_words_of_a_requirement() {
    let requirement = Requirement::new(&steps(), &Terms::default()).unwrap();
    stored("requirement.txt", &(requirement.purchase_text().join("\n") + "\n"));
}
