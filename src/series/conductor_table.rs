//! The conductors, digits as printed. One row each; a row is added here and nowhere else.

use crate::cited::{Cited, Evidence, Source};

use super::ConductorSize::{Awg6, Awg8, Mm6, Mm10};
use super::{Conductor, ConductorSize};

/// Relative change of copper's resistance per kelvin, at 20 °C.
pub(super) const COPPER_AT_20_PER_K: f64 = 0.00393;

const METRES_PER_KFT: f64 = 304.8;
const METRES_PER_KM: f64 = 1000.0;

const NEC: &str = "NEC chapter 9 table 8, conductor properties";
const IEC: &str = "IEC 60228, conductors of insulated cables";

/// Ohms per thousand feet at 75 °C.
const fn nec(
    key: &'static str,
    name: &'static str,
    size: ConductorSize,
    ohm_per_kft: f64,
) -> Conductor {
    Conductor {
        key,
        name,
        size,
        reference_ohm_per_m: Cited {
            value: ohm_per_kft / METRES_PER_KFT,
            source: Source::known(NEC, "direct-current resistance at 75 degC", Evidence::Quoted),
        },
        reference_degc: 75.0,
        coefficient_per_k: Cited {
            value: 0.00323,
            source: Source::known(NEC, "note on temperature, copper", Evidence::Quoted),
        },
    }
}

/// Ohms per kilometre at 20 °C.
const fn iec(
    key: &'static str,
    name: &'static str,
    size: ConductorSize,
    ohm_per_km: f64,
) -> Conductor {
    Conductor {
        key,
        name,
        size,
        reference_ohm_per_m: Cited {
            value: ohm_per_km / METRES_PER_KM,
            source: Source::known(IEC, "greatest resistance at 20 degC", Evidence::Quoted),
        },
        reference_degc: 20.0,
        coefficient_per_k: Cited {
            value: COPPER_AT_20_PER_K,
            source: Source::known(
                "copper at 20 degC",
                "the law of NEC chapter 9 table 8 seen from 20 degC",
                Evidence::Derived,
            ),
        },
    }
}

pub(super) static CONDUCTORS: [Conductor; 12] = [
    nec("8awg-stranded", "8 AWG, 7 strands, uncoated", Awg8, 0.778),
    nec("8awg-stranded-coated", "8 AWG, 7 strands, coated", Awg8, 0.809),
    nec("8awg-solid", "8 AWG, solid, uncoated", Awg8, 0.764),
    nec("8awg-solid-coated", "8 AWG, solid, coated", Awg8, 0.786),
    nec("6awg-stranded", "6 AWG, stranded, uncoated", Awg6, 0.491),
    nec("6awg-stranded-coated", "6 AWG, stranded, coated", Awg6, 0.510),
    iec("6mm2-class2", "6 mm2, class 2, plain", Mm6, 3.08),
    iec("6mm2-class2-tinned", "6 mm2, class 2, tinned", Mm6, 3.11),
    iec("6mm2-class5", "6 mm2, class 5, plain", Mm6, 3.30),
    iec("6mm2-class5-tinned", "6 mm2, class 5, tinned", Mm6, 3.39),
    iec("10mm2-class2", "10 mm2, class 2, plain", Mm10, 1.83),
    iec("10mm2-class2-tinned", "10 mm2, class 2, tinned", Mm10, 1.84),
];
