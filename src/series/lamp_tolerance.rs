use crate::cited::{Cited, Evidence, Source};

/// How far above its printed power a lamp may lie: what a careful load calculation adds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum LampTolerance {
    /// Every lamp takes what is printed on it.
    #[default]
    Nominal,
    /// Every lamp takes the most that its tolerance allows.
    Most,
}

/// Lamp power and tolerance as printed.
const PRINTED: [(f64, f64); 4] = [(30.0, 0.08), (45.0, 0.08), (200.0, 0.07), (250.0, 0.06)];
const GUIDANCE: &str = "Transport Canada, guidance on airfield lighting load";

impl LampTolerance {
    /// What is added to the printed power, as a ratio of it; `None` where no tolerance is known.
    ///
    /// Between two printed powers the larger of their tolerances counts (ours, on the safe side).
    ///
    /// # Source
    /// Transport Canada, as quoted elsewhere: 30 W +8 %, 45 W +8 %, 200 W +7 %, 250 W +6 %.
    #[must_use]
    pub fn most_ratio(lamp_power_w: f64) -> Option<Cited<f64>> {
        let same = |printed_w: f64| (printed_w - lamp_power_w).abs() < 1e-9;
        if let Some((_, ratio)) = PRINTED.iter().find(|(printed_w, _)| same(*printed_w)) {
            let source = Source::known(GUIDANCE, "lamp tolerances", Evidence::Quoted);
            return Some(Cited { value: *ratio, source });
        }
        let between = PRINTED.windows(2).find(|pair| {
            let [(low_w, _), (high_w, _)] = [pair[0], pair[1]];
            low_w < lamp_power_w && lamp_power_w < high_w
        })?;
        let source = Source::known(
            GUIDANCE,
            "the larger tolerance of the two neighbouring lamps",
            Evidence::Derived,
        );
        Some(Cited { value: between[0].1.max(between[1].1), source })
    }

    /// The power one lamp is counted with; `None` where its tolerance is asked for and not known.
    #[must_use]
    pub fn counted_w(self, lamp_power_w: f64) -> Option<f64> {
        match self {
            Self::Nominal => Some(lamp_power_w),
            Self::Most => {
                Self::most_ratio(lamp_power_w).map(|most| lamp_power_w * (1.0 + most.value))
            }
        }
    }
}
