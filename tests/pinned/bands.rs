//! Bands that no publication at hand vouches for.

use loopcrest::regulator::{BandSet, CircuitClass, StepTable};

/// From memory: ±0.1 A at 6.6 A, ±0.3 A at 20 A; the table says so wherever it is shown.
#[test]
fn pinned_faa_bands_say_from_memory() {
    for class in CircuitClass::ALL {
        let half_a = if class == CircuitClass::FiveStep20A { 0.3 } else { 0.1 };
        for step in StepTable::published(class, BandSet::FaaMemory).unwrap().steps() {
            assert!((step.band.high_a() - step.nominal.a() - half_a).abs() < 1e-9);
            assert!((step.nominal.a() - step.band.low_a() - half_a).abs() < 1e-9);
            assert!(step.source.to_string().contains("from memory, not verified"));
        }
    }
}
