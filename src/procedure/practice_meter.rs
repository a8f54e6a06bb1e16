use jiff::ToSpan;
use jiff::civil::Date;

use crate::meter::{Archetype, Certificate, MeasurementCategory, Meter, VoltageCategory};

/// An invented meter for practice: a precise clamp made for the voltage of the invented loop, with a
/// certificate that counts on the day.
#[must_use]
pub fn practice_meter(day: Date) -> Meter {
    let mut sheet = Archetype::PrecisionTrueRmsClamp.sheet();
    sheet.category =
        Some(VoltageCategory { category: MeasurementCategory::Three, working_v: 5000.0 });
    sheet.certificate = Some(Certificate {
        number: "for practice".to_owned(),
        date: day.saturating_sub(3.months()),
        due: Some(day.saturating_add(9.months())),
        expanded_ratio: 0.002,
        coverage_factor: 2.0,
    });
    Meter::with_sheet("practice clamp (invented)", sheet)
}
