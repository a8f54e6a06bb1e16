use crate::capture::{CycleWindow, HalfCycle, PeriodRow};
use crate::meter::Detector;
use crate::waveform::Coupling;

/// Which rows of a record a file holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SeriesKind {
    /// One for each period.
    Periods,
    /// One-cycle RMS, one for each half cycle.
    HalfCycles,
    /// One for each window of 10 or 12 cycles, with its harmonic subgroups.
    Windows,
}

/// Orders of the subgroups written for each window.
const ORDERS: usize = 40;

impl SeriesKind {
    /// Names of the columns.
    #[must_use]
    pub fn columns(self) -> Vec<String> {
        let fixed: &[&str] = match self {
            Self::Periods => &[
                "start_s",
                "frequency_hz",
                "rms_a",
                "rms_ac_a",
                "mean_a",
                "arv_ac_a",
                "average_responding_a",
                "peak_a",
                "crest_factor",
            ],
            Self::HalfCycles => &["start_s", "rms_a", "peak_a"],
            Self::Windows => &[
                "start_s",
                "frequency_hz",
                "cycles",
                "rms_a",
                "subgroup_thd_ratio",
                "interharmonic_rms_a",
            ],
        };
        let mut columns: Vec<String> = fixed.iter().map(|name| (*name).to_owned()).collect();
        if self == Self::Windows {
            columns.extend((1..=ORDERS).map(|order| format!("subgroup_{order}_rms_a")));
        }
        columns
    }
}

pub(super) fn period_cells(row: &PeriodRow) -> Vec<Option<f64>> {
    let measures = &row.measures;
    let average = Detector::AverageResponding(Coupling::Ac).read(measures);
    vec![
        Some(row.start_s),
        Some(row.frequency_hz),
        Some(measures.dc.rms_a),
        Some(measures.ac.rms_a),
        Some(measures.mean_a),
        Some(measures.ac.arv_a),
        Some(average.shown_a()),
        Some(measures.dc.peak_a),
        measures.dc.crest_factor(),
    ]
}

pub(super) fn half_cycle_cells(half: &HalfCycle) -> Vec<Option<f64>> {
    vec![Some(half.start_s), Some(half.rms_a), Some(half.peak_a)]
}

pub(super) fn window_cells(window: &CycleWindow) -> Vec<Option<f64>> {
    let groups = &window.groups;
    let between =
        (0..groups.highest_order()).filter_map(|h| groups.interharmonic_subgroup_rms_a(h));
    let mut cells = vec![
        Some(window.start_s),
        Some(window.frequency_hz),
        Some(window.cycles as f64),
        Some(window.rms_a),
        groups.subgroup_thd_ratio(),
        Some(between.map(|rms_a| rms_a * rms_a).sum::<f64>().sqrt()),
    ];
    cells.extend((1..=ORDERS).map(|order| groups.subgroup_rms_a(order)));
    cells
}
