//! Visits to judge and to play, all invented.

use jiff::Timestamp;
use loopcrest::description::{Description, sheet_text};
use loopcrest::meter::{Archetype, Certificate, MeasurementCategory, Sheet, VoltageCategory};
use loopcrest::procedure::entry::{Conditions, Opening};
use loopcrest::procedure::{MemoryJournal, Procedure, Run};

/// The name of the invented meter.
pub(crate) const METER: &str = "vault clamp 2";

/// A drawn sine on a five-step circuit, no regulator and no field: nothing to solve.
pub(crate) const SINE: &str = "format = 1\ntitle = \"bench\"\ninvented = true\n[steps]\n\
    circuit = \"6.6A-5-step\"\nbands = \"ufc-2005\"\n[current]\nshape = \"sine\"\n\
    [[meter]]\nname = \"any\"\ndetector = \"true-rms\"\n";

/// A meter of 0.5 % of reading and two decimals that adds nothing else.
pub(crate) const PLAIN_SHEET: &str = "[[meter]]\nname = \"vault clamp 2\"\n\
    detector = \"true-rms\"\n[meter.sheet]\n\
    [[meter.sheet.range]]\nfull-scale = \"20 A\"\nresolution = \"0.01 A\"\n\
    [[meter.sheet.accuracy]]\nfrom = \"0 Hz\"\nto = \"10 kHz\"\nreading = \"0.5 %\"\n";

/// A precise clamp made for the voltage of the loop, with a certificate of 2026.
pub(crate) fn good_sheet() -> Sheet {
    let mut sheet = Archetype::PrecisionTrueRmsClamp.sheet();
    sheet.category =
        Some(VoltageCategory { category: MeasurementCategory::Three, working_v: 5000.0 });
    sheet.certificate = Some(Certificate {
        number: "KM-2026-014".into(),
        date: Certificate::day("2026-03-02").unwrap(),
        due: Some(Certificate::day("2027-03-02").unwrap()),
        expanded_ratio: 0.002,
        coverage_factor: 2.0,
    });
    sheet
}

/// A visit to the embedded example with that clamp.
pub(crate) fn opening() -> Opening {
    Opening {
        regulator: "R-07".into(),
        circuit: Some("RWY 09 edge".into()),
        meter: METER.into(),
        day: Certificate::day("2026-11-25").unwrap(),
        person: "A. Person".into(),
        conditions: Conditions::default(),
        description: Description::EMBEDDED_TEXT.into(),
        sheet: sheet_text(METER, &good_sheet()),
        procedure: Procedure::EMBEDDED_TEXT.into(),
        conformance_probability: 0.95,
    }
}

/// The same on a drawn sine with the plain meter.
pub(crate) fn sine_opening() -> Opening {
    Opening { description: SINE.into(), sheet: PLAIN_SHEET.into(), ..opening() }
}

/// A run kept in memory.
pub(crate) fn run(opening: Opening) -> Run<MemoryJournal> {
    let at: Timestamp = "2026-11-25T09:00:00Z".parse().unwrap();
    Run::open(MemoryJournal::new(at, "A. Person"), opening).unwrap()
}
